//! A weigh ticket as it comes out of a scale's printer, as a small gray picture: what the demo farm
//! photographed. For showing beside an entry only; nothing is ever read from it.

use std::io::Write;

/// Dots of one printed letter: seven rows of five.
type Glyph = [u8; 7];

/// What a scale's printer can print.
const GLYPHS: [(char, Glyph); 44] = [
    (
        'A',
        [
            0b01110, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001,
        ],
    ),
    (
        'B',
        [
            0b11110, 0b10001, 0b10001, 0b11110, 0b10001, 0b10001, 0b11110,
        ],
    ),
    (
        'C',
        [
            0b01110, 0b10001, 0b10000, 0b10000, 0b10000, 0b10001, 0b01110,
        ],
    ),
    (
        'D',
        [
            0b11110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b11110,
        ],
    ),
    (
        'E',
        [
            0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b11111,
        ],
    ),
    (
        'F',
        [
            0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b10000,
        ],
    ),
    (
        'G',
        [
            0b01110, 0b10001, 0b10000, 0b10111, 0b10001, 0b10001, 0b01111,
        ],
    ),
    (
        'H',
        [
            0b10001, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001,
        ],
    ),
    (
        'I',
        [
            0b01110, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b01110,
        ],
    ),
    (
        'J',
        [
            0b00111, 0b00010, 0b00010, 0b00010, 0b00010, 0b10010, 0b01100,
        ],
    ),
    (
        'K',
        [
            0b10001, 0b10010, 0b10100, 0b11000, 0b10100, 0b10010, 0b10001,
        ],
    ),
    (
        'L',
        [
            0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b11111,
        ],
    ),
    (
        'M',
        [
            0b10001, 0b11011, 0b10101, 0b10101, 0b10001, 0b10001, 0b10001,
        ],
    ),
    (
        'N',
        [
            0b10001, 0b11001, 0b10101, 0b10011, 0b10001, 0b10001, 0b10001,
        ],
    ),
    (
        'O',
        [
            0b01110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110,
        ],
    ),
    (
        'P',
        [
            0b11110, 0b10001, 0b10001, 0b11110, 0b10000, 0b10000, 0b10000,
        ],
    ),
    (
        'Q',
        [
            0b01110, 0b10001, 0b10001, 0b10001, 0b10101, 0b10010, 0b01101,
        ],
    ),
    (
        'R',
        [
            0b11110, 0b10001, 0b10001, 0b11110, 0b10100, 0b10010, 0b10001,
        ],
    ),
    (
        'S',
        [
            0b01111, 0b10000, 0b10000, 0b01110, 0b00001, 0b00001, 0b11110,
        ],
    ),
    (
        'T',
        [
            0b11111, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100,
        ],
    ),
    (
        'U',
        [
            0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110,
        ],
    ),
    (
        'V',
        [
            0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01010, 0b00100,
        ],
    ),
    (
        'W',
        [
            0b10001, 0b10001, 0b10001, 0b10101, 0b10101, 0b11011, 0b10001,
        ],
    ),
    (
        'X',
        [
            0b10001, 0b10001, 0b01010, 0b00100, 0b01010, 0b10001, 0b10001,
        ],
    ),
    (
        'Y',
        [
            0b10001, 0b10001, 0b01010, 0b00100, 0b00100, 0b00100, 0b00100,
        ],
    ),
    (
        'Z',
        [
            0b11111, 0b00001, 0b00010, 0b00100, 0b01000, 0b10000, 0b11111,
        ],
    ),
    (
        '0',
        [
            0b01110, 0b10001, 0b10011, 0b10101, 0b11001, 0b10001, 0b01110,
        ],
    ),
    (
        '1',
        [
            0b00100, 0b01100, 0b00100, 0b00100, 0b00100, 0b00100, 0b01110,
        ],
    ),
    (
        '2',
        [
            0b01110, 0b10001, 0b00001, 0b00110, 0b01000, 0b10000, 0b11111,
        ],
    ),
    (
        '3',
        [
            0b11110, 0b00001, 0b00001, 0b01110, 0b00001, 0b00001, 0b11110,
        ],
    ),
    (
        '4',
        [
            0b00010, 0b00110, 0b01010, 0b10010, 0b11111, 0b00010, 0b00010,
        ],
    ),
    (
        '5',
        [
            0b11111, 0b10000, 0b11110, 0b00001, 0b00001, 0b10001, 0b01110,
        ],
    ),
    (
        '6',
        [
            0b00110, 0b01000, 0b10000, 0b11110, 0b10001, 0b10001, 0b01110,
        ],
    ),
    (
        '7',
        [
            0b11111, 0b00001, 0b00010, 0b00100, 0b01000, 0b01000, 0b01000,
        ],
    ),
    (
        '8',
        [
            0b01110, 0b10001, 0b10001, 0b01110, 0b10001, 0b10001, 0b01110,
        ],
    ),
    (
        '9',
        [
            0b01110, 0b10001, 0b10001, 0b01111, 0b00001, 0b00010, 0b01100,
        ],
    ),
    (
        '.',
        [
            0b00000, 0b00000, 0b00000, 0b00000, 0b00000, 0b01100, 0b01100,
        ],
    ),
    (
        ',',
        [
            0b00000, 0b00000, 0b00000, 0b00000, 0b01100, 0b00100, 0b01000,
        ],
    ),
    (
        '-',
        [
            0b00000, 0b00000, 0b00000, 0b11111, 0b00000, 0b00000, 0b00000,
        ],
    ),
    (
        ':',
        [
            0b00000, 0b01100, 0b01100, 0b00000, 0b01100, 0b01100, 0b00000,
        ],
    ),
    (
        '/',
        [
            0b00001, 0b00010, 0b00010, 0b00100, 0b01000, 0b01000, 0b10000,
        ],
    ),
    (
        '%',
        [
            0b11001, 0b11010, 0b00010, 0b00100, 0b01000, 0b01011, 0b10011,
        ],
    ),
    (
        '$',
        [
            0b00100, 0b01111, 0b10100, 0b01110, 0b00101, 0b11110, 0b00100,
        ],
    ),
    (
        '#',
        [
            0b01010, 0b01010, 0b11111, 0b01010, 0b11111, 0b01010, 0b01010,
        ],
    ),
];

/// Pixels a printed dot.
const DOT: usize = 3;
/// Dots from one letter to the next, and from one line to the next.
const ADVANCE: usize = 6;
const LINE: usize = 12;
/// Dots of bare paper around the print, and of table around the paper.
const MARGIN: usize = 9;
const TABLE: usize = 6;
/// Grays of table, paper, print.
const GRAYS: [u8; 3] = [0x8b, 0xe9, 0x33];

/// A printed slip of paper as a PNG. Letters that the printer does not have are left out; small ones
/// are printed large.
///
/// ```
/// let png = draw::paper_slip(&["WEIGH TICKET 48213", "GROSS  52,220 LB", "TARE   17,910 LB"]);
/// assert!(png.starts_with(b"\x89PNG\r\n\x1a\n"));
/// ```
pub fn paper_slip(lines: &[impl AsRef<str>]) -> Vec<u8> {
    let longest = lines
        .iter()
        .map(|line| line.as_ref().chars().count())
        .max()
        .unwrap_or(0)
        .max(16);
    let paper_wide = longest * ADVANCE + 2 * MARGIN;
    let paper_tall = lines.len() * LINE + 2 * MARGIN;
    let wide = paper_wide + 2 * TABLE;
    let tall = paper_tall + 2 * TABLE;
    let mut dots = vec![0_u8; wide * tall];
    for y in 0..paper_tall {
        for x in 0..paper_wide {
            // the lower edge is torn
            let tooth = (x % 8).abs_diff(4);
            if y + tooth < paper_tall {
                dots[(y + TABLE) * wide + x + TABLE] = 1;
            }
        }
    }
    for (row, line) in lines.iter().enumerate() {
        for (column, letter) in line.as_ref().chars().enumerate() {
            let Some(glyph) = glyph(letter) else { continue };
            let left = TABLE + MARGIN + column * ADVANCE;
            let top = TABLE + MARGIN + row * LINE;
            for (y, bits) in glyph.iter().enumerate() {
                for x in (0..5).filter(|x| bits & (0b1_0000 >> x) != 0) {
                    dots[(top + y) * wide + left + x] = 2;
                }
            }
        }
    }
    png(&dots, wide, tall)
}

fn glyph(letter: char) -> Option<&'static Glyph> {
    let large = letter.to_ascii_uppercase();
    GLYPHS
        .iter()
        .find(|(known, _)| *known == large)
        .map(|(_, glyph)| glyph)
}

/// Eight-bit gray PNG (W3C PNG specification, third edition) of dots, each drawn `DOT` pixels wide.
fn png(dots: &[u8], wide: usize, tall: usize) -> Vec<u8> {
    let mut raw = Vec::with_capacity((wide * DOT + 1) * tall * DOT);
    for row in dots.chunks_exact(wide) {
        for _ in 0..DOT {
            raw.extend([0]); // no filter
            for dot in row {
                raw.extend([GRAYS[usize::from(*dot)]; DOT]);
            }
        }
    }
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    packed.write_all(&raw).expect("a vector takes every byte");
    let packed = packed.finish().expect("a vector takes every byte");
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut header = Vec::with_capacity(13);
    for side in [wide * DOT, tall * DOT] {
        let side =
            u32::try_from(side).expect("a slip of paper is no wider than four billion pixels");
        header.extend(side.to_be_bytes());
    }
    header.extend([8, 0, 0, 0, 0]);
    chunk(&mut out, *b"IHDR", &header);
    chunk(&mut out, *b"IDAT", &packed);
    chunk(&mut out, *b"IEND", &[]);
    out
}

fn chunk(out: &mut Vec<u8>, kind: [u8; 4], bytes: &[u8]) {
    let length = u32::try_from(bytes.len()).expect("a slip of paper is small");
    out.extend(length.to_be_bytes());
    let mut sum = flate2::Crc::new();
    sum.update(&kind);
    sum.update(bytes);
    out.extend(kind);
    out.extend(bytes);
    out.extend(sum.sum().to_be_bytes());
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read;

    /// Reads a picture of ours back to its gray pixels.
    fn pixels(png: &[u8]) -> (usize, Vec<u8>) {
        let wide = u32::from_be_bytes(png[16..20].try_into().unwrap()) as usize;
        let at = png.windows(4).position(|four| four == b"IDAT").unwrap();
        let length = u32::from_be_bytes(png[at - 4..at].try_into().unwrap()) as usize;
        let mut raw = Vec::new();
        flate2::read::ZlibDecoder::new(&png[at + 4..at + 4 + length])
            .read_to_end(&mut raw)
            .unwrap();
        (
            wide,
            raw.chunks(wide + 1)
                .flat_map(|row| row[1..].to_vec())
                .collect(),
        )
    }

    #[test]
    fn print_is_where_the_letters_are() {
        let (wide, with) = pixels(&paper_slip(&["GROSS 1"]));
        let (_, without) = pixels(&paper_slip(&["      "]));
        let black = |pixels: &[u8]| {
            pixels
                .iter()
                .map(|gray| usize::from(*gray == GRAYS[2]))
                .sum::<usize>()
        };
        assert_eq!(black(&without), 0);
        // dots of G R O S S 1, counted in the table above, nine pixels each
        let dots: u32 = "GROSS1"
            .chars()
            .map(|c| {
                glyph(c)
                    .unwrap()
                    .iter()
                    .map(|row| row.count_ones())
                    .sum::<u32>()
            })
            .sum();
        assert_eq!(black(&with), dots as usize * DOT * DOT);
        assert_eq!(wide % DOT, 0);
    }

    #[test]
    fn every_letter_differs_from_every_other() {
        for (i, (a, dots)) in GLYPHS.iter().enumerate() {
            for (b, others) in &GLYPHS[i + 1..] {
                assert_ne!(dots, others, "{a} {b}");
            }
        }
    }
}
