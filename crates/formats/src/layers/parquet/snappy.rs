//! Snappy without frames (its format description, from memory).

use super::super::Bytes;
use super::thrift::varint;

/// Unpacks to exactly `size` bytes; `None` for anything else.
pub(super) fn unpack(bytes: &[u8], size: usize) -> Option<Vec<u8>> {
    let mut input = Bytes { rest: bytes };
    if varint(&mut input)? != size as u64 {
        return None;
    }
    let mut out: Vec<u8> = Vec::new();
    while !input.rest.is_empty() {
        let [tag] = input.array()?;
        let upper = usize::from(tag >> 2);
        let (length, back) = match tag & 3 {
            0 => {
                let length = match upper {
                    0..=59 => upper,
                    more => little(input.take(more - 59)?),
                };
                let piece = input.take(length.checked_add(1)?)?;
                if out.len() + piece.len() > size {
                    return None;
                }
                out.extend_from_slice(piece);
                continue;
            }
            1 => {
                let [low] = input.array()?;
                (4 + (upper & 7), (upper >> 3) << 8 | usize::from(low))
            }
            2 => (upper + 1, little(input.take(2)?)),
            _ => (upper + 1, little(input.take(4)?)),
        };
        let from = out.len().checked_sub(back).filter(|_| back > 0)?;
        if out.len() + length > size {
            return None;
        }
        // a piece may run into itself
        for i in 0..length {
            out.push(out[from + i]);
        }
    }
    (out.len() == size).then_some(out)
}

fn little(bytes: &[u8]) -> usize {
    bytes
        .iter()
        .rev()
        .fold(0, |all, byte| all << 8 | usize::from(*byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_and_what_repeats_them() {
        // "abc" as it stands, then 9 bytes from 3 back
        assert_eq!(
            unpack(b"\x0c\x08abc\x22\x03\x00", 12).as_deref(),
            Some(&b"abcabcabcabc"[..])
        );
        assert_eq!(unpack(b"\x0c\x08abc\x22\x04\x00", 12), None);
        assert_eq!(unpack(b"\x0c\x08abc", 12), None);
        assert_eq!(unpack(b"", 0), None);
        assert_eq!(unpack(b"\x00", 0).as_deref(), Some(&b""[..]));
    }
}
