//! Old one-byte texts of attribute tables, to Unicode.

use std::borrow::Cow;

/// How the texts of a table are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    /// UTF-8 where it is, else Windows 1252: nobody said.
    Unsaid,
    Utf8,
    Latin1,
    /// Upper half of a code page, in four rows of 32.
    Page(&'static [&'static str; 4]),
}

impl Encoding {
    /// By the word of a `.cpg` file; `None` for one that is not read here.
    pub(super) fn named(word: &str) -> Option<Self> {
        let plain: String = word
            .trim_start_matches('\u{feff}')
            .chars()
            .filter(char::is_ascii_alphanumeric)
            .collect::<String>()
            .to_uppercase();
        Some(match plain.as_str() {
            "" => Self::Unsaid,
            "UTF8" | "65001" | "CP65001" | "USASCII" | "ASCII" => Self::Utf8,
            "ISO88591" | "88591" | "LATIN1" | "28591" => Self::Latin1,
            "1252" | "CP1252" | "ANSI1252" | "WINDOWS1252" | "LDID87" | "LDID3" => {
                Self::Page(&CP_1252)
            }
            "437" | "CP437" | "OEM437" | "IBM437" | "LDID1" => Self::Page(&CP_437),
            "850" | "CP850" | "OEM850" | "IBM850" | "LDID2" => Self::Page(&CP_850),
            _ => return None,
        })
    }

    /// By the language byte of a table's header; `None` for one that is not read here.
    pub(super) fn of_language(byte: u8) -> Option<Self> {
        Some(match byte {
            0 => Self::Unsaid,
            0x01 => Self::Page(&CP_437),
            0x02 => Self::Page(&CP_850),
            0x03 | 0x57 | 0x58 | 0x59 => Self::Page(&CP_1252),
            _ => return None,
        })
    }

    /// Text; what has no meaning becomes the replacement character.
    pub(super) fn text(self, bytes: &[u8]) -> Cow<'_, str> {
        match self {
            _ if bytes.is_ascii() => String::from_utf8_lossy(bytes),
            Self::Utf8 => String::from_utf8_lossy(bytes),
            Self::Latin1 => bytes.iter().map(|byte| char::from(*byte)).collect(),
            Self::Unsaid if std::str::from_utf8(bytes).is_ok() => String::from_utf8_lossy(bytes),
            Self::Unsaid => paged(bytes, &CP_1252),
            Self::Page(page) => paged(bytes, page),
        }
    }
}

fn paged<'a>(bytes: &[u8], page: &[&str; 4]) -> Cow<'a, str> {
    let upper = |byte: u8| {
        let at = usize::from(byte & 0x7f);
        page[at / 32].chars().nth(at % 32)
    };
    bytes
        .iter()
        .map(|byte| match byte {
            0..=0x7f => char::from(*byte),
            _ => upper(*byte).unwrap_or(char::REPLACEMENT_CHARACTER),
        })
        .collect()
}

// The upper halves as Python 3's codecs cp437, cp850 and cp1252 have them.
const CP_437: [&str; 4] = [
    "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒ",
    "áíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐",
    "└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀",
    "αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}",
];
const CP_850: [&str; 4] = [
    "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒ",
    "áíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐",
    "└┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀",
    "ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u{ad}±‗¾¶§÷¸°¨·¹³²■\u{a0}",
];
const CP_1252: [&str; 4] = [
    "€\u{fffd}‚ƒ„…†‡ˆ‰Š‹Œ\u{fffd}Ž\u{fffd}\u{fffd}‘’“”•–—˜™š›œ\u{fffd}žŸ",
    "\u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}®¯°±²³´µ¶·¸¹º»¼½¾¿",
    "ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ×ØÙÚÛÜÝÞß",
    "àáâãäåæçèéêëìíîïðñòóôõö÷øùúûüýþÿ",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_read_by_their_page() {
        // Python 3: "café ß".encode(PAGE)
        for (word, bytes) in [
            ("UTF-8", &b"caf\xc3\xa9 \xc3\x9f"[..]),
            ("ISO-8859-1", b"caf\xe9 \xdf"),
            ("ANSI 1252", b"caf\xe9 \xdf"),
            ("437", b"caf\x82 \xe1"),
            ("CP850", b"caf\x82 \xe1"),
            ("", b"caf\xe9 \xdf"),
            ("", b"caf\xc3\xa9 \xc3\x9f"),
        ] {
            let read = Encoding::named(word).unwrap();
            assert_eq!(read.text(bytes), "caf\u{e9} \u{df}", "{word}");
        }
        assert_eq!(Encoding::named("Big5"), None);
        assert_eq!(Encoding::of_language(0x13), None);
        for page in [CP_437, CP_850, CP_1252] {
            assert!(page.iter().all(|row| row.chars().count() == 32));
        }
    }
}
