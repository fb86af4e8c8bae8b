//! The attribute table of a Shapefile (dBASE III and its kin).

use super::encoding::Encoding;
use super::number;

/// One column.
#[derive(Debug)]
struct Field {
    kind: u8,
    start: usize,
    width: usize,
}

/// A table whose header was read; rows are read one by one.
#[derive(Debug)]
pub(super) struct Dbf<'a> {
    fields: Vec<Field>,
    /// Names of the columns.
    pub(super) names: Vec<String>,
    rows: &'a [u8],
    row_width: usize,
    /// Rows that the header promises.
    pub(super) promised: u64,
    encoding: Encoding,
    /// Something to say, if there is.
    pub(super) note: Option<String>,
}

/// A row, if it is there.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Row {
    There,
    Deleted,
    Beyond,
}

impl<'a> Dbf<'a> {
    /// Reads the header; `page` is what a `.cpg` file says. The error is what was found.
    pub(super) fn new(bytes: &'a [u8], page: Option<&str>) -> Result<Self, String> {
        let short = || "an attribute table (.dbf) that breaks off in its header".to_owned();
        let (head, _) = bytes.split_first_chunk::<32>().ok_or_else(short)?;
        let promised = u32::from_le_bytes([head[4], head[5], head[6], head[7]]);
        let header = usize::from(u16::from_le_bytes([head[8], head[9]]));
        let row_width = usize::from(u16::from_le_bytes([head[10], head[11]]));
        let (mut encoding, mut note) = (Encoding::of_language(head[29]), None);
        if let Some(word) = page.map(str::trim).filter(|word| !word.is_empty()) {
            encoding = Encoding::named(word);
        }
        let encoding = encoding.unwrap_or_else(|| {
            note = Some(
                "the attributes are in an encoding that is not read here; letters beyond ASCII may be wrong".to_owned(),
            );
            Encoding::Unsaid
        });
        let described = bytes.get(32..header).ok_or_else(short)?;
        let (mut fields, mut names, mut start) = (Vec::new(), Vec::new(), 1);
        for field in described.chunks_exact(32) {
            // a carriage return ends the list
            if field[0] == b'\r' {
                break;
            }
            let name = field[..11].split(|byte| *byte == 0).next().unwrap_or(&[]);
            let width = usize::from(field[16]);
            names.push(encoding.text(name).trim().to_owned());
            fields.push(Field {
                kind: field[11].to_ascii_uppercase(),
                start,
                width,
            });
            start += width;
        }
        if start > row_width {
            return Err(format!(
                "an attribute table (.dbf) whose columns take {start} bytes and whose rows have {row_width}"
            ));
        }
        Ok(Self {
            fields,
            names,
            rows: bytes.get(header..).unwrap_or(&[]),
            row_width,
            promised: u64::from(promised),
            encoding,
            note,
        })
    }

    /// Writes the cells of a row, counted from 0, into `cells`.
    pub(super) fn row(&self, index: u64, cells: &mut [String]) -> Row {
        let row = usize::try_from(index)
            .ok()
            .filter(|_| index < self.promised)
            .and_then(|index| index.checked_mul(self.row_width))
            .and_then(|start| self.rows.get(start..start.checked_add(self.row_width)?));
        let Some(row) = row else {
            return Row::Beyond;
        };
        if row[0] == b'*' {
            return Row::Deleted;
        }
        for (field, cell) in self.fields.iter().zip(cells) {
            cell.clear();
            let bytes = &row[field.start..field.start + field.width];
            self.cell(field.kind, bytes, cell);
        }
        Row::There
    }

    fn cell(&self, kind: u8, bytes: &[u8], out: &mut String) {
        let plain = bytes
            .strip_suffix(&[0])
            .map_or(bytes, |_| {
                let end = bytes.iter().rposition(|b| *b != 0).map_or(0, |at| at + 1);
                &bytes[..end]
            })
            .trim_ascii();
        match kind {
            // stars are how a number that does not fit, or is not there, is written
            b'N' | b'F' if plain.first() != Some(&b'*') => {
                out.push_str(&String::from_utf8_lossy(plain));
            }
            b'L' => match plain {
                b"T" | b"t" | b"Y" | b"y" => out.push_str("true"),
                b"F" | b"f" | b"N" | b"n" => out.push_str("false"),
                _ => {}
            },
            b'D' if plain.len() == 8 && plain.iter().all(u8::is_ascii_digit) => {
                let text = String::from_utf8_lossy(plain);
                *out = format!("{}-{}-{}", &text[..4], &text[4..6], &text[6..]);
            }
            b'C' => out.push_str(self.encoding.text(plain).trim()),
            b'I' | b'+' => {
                if let Ok(bytes) = bytes.try_into() {
                    *out = i32::from_le_bytes(bytes).to_string();
                }
            }
            b'O' | b'B' => {
                if let Ok(bytes) = bytes.try_into() {
                    *out = number(f64::from_le_bytes(bytes));
                }
            }
            _ => {}
        }
    }
}
