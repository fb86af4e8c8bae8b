//! Base64 as RFC 4648 section 4 says, decoding only.

/// The bytes of a text; `None` where it is not base64 with its padding.
pub(super) fn decode(text: &str) -> Option<Vec<u8>> {
    let text = text.as_bytes();
    if !text.len().is_multiple_of(4) {
        return None;
    }
    let body = text.strip_suffix(b"=").unwrap_or(text);
    let body = body.strip_suffix(b"=").unwrap_or(body);
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    for group in body.chunks(4) {
        let mut bits: u32 = 0;
        for &letter in group {
            bits = bits << 6 | u32::from(value(letter)?);
        }
        let left = 4 - group.len();
        let [_, first, second, third] = (bits << (6 * left)).to_be_bytes();
        match left {
            0 => bytes.extend([first, second, third]),
            // bits that no byte uses must be nothing
            1 if third == 0 => bytes.extend([first, second]),
            2 if second == 0 => bytes.push(first),
            _ => return None,
        }
    }
    Some(bytes)
}

fn value(letter: u8) -> Option<u8> {
    Some(match letter {
        b'A'..=b'Z' => letter - b'A',
        b'a'..=b'z' => letter - b'a' + 26,
        b'0'..=b'9' => letter - b'0' + 52,
        b'+' => 62,
        b'/' => 63,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::decode;

    /// RFC 4648, section 10.
    #[test]
    fn the_standards_own_examples() {
        for (text, bytes) in [
            ("", ""),
            ("Zg==", "f"),
            ("Zm8=", "fo"),
            ("Zm9v", "foo"),
            ("Zm9vYg==", "foob"),
            ("Zm9vYmE=", "fooba"),
            ("Zm9vYmFy", "foobar"),
        ] {
            assert_eq!(decode(text).as_deref(), Some(bytes.as_bytes()), "{text}");
        }
        assert_eq!(decode("+/+/"), Some(vec![0xfb, 0xff, 0xbf]));
    }

    #[test]
    fn nothing_else_is_taken() {
        for text in [
            "Zg", "Zg=", "Zh==", "Zm9=", "Z===", "====", "Zm 9", "Zm9v\n", "Zm=v",
        ] {
            assert_eq!(decode(text), None, "{text}");
        }
    }
}
