//! Slips as a farmer types them in a spreadsheet and saves as CSV.
//!
//! One row a slip, the first line names the columns. This module splits and checks the sheet; what a
//! cell means is for whoever asked. The columns that the program understands are `kind` (dump,
//! weighed, move, ...), `at` (when), `by` (who) and one column a figure, named as that kind of entry
//! names it (`gross`, `tare`, `moisture`, `test-weight`, ...).
//!
//! Names are lowered, and spaces or underscores in them become hyphens, so `Test Weight` is `test-weight`.
//! Comma, semicolon or tab; CRLF, byte-order mark and quoted cells (with line ends inside) are fine; an
//! empty cell is left out, a row of empty cells is skipped.
//!
//! ```
//! let text = "Kind;From;Gross;Test Weight\nweighed;red wagon;23,880 lb;\n;;;\nweighed;red wagon;1;2;3\n";
//! let sheet = formats::slips_csv::read(text.as_bytes(), "slips.csv")?;
//! assert_eq!(sheet.rows[0].fields[2], ("gross".to_string(), "23,880 lb".to_string()));
//! assert_eq!((sheet.rows.len(), sheet.rows[0].row, sheet.rows[0].fields.len()), (1, 2, 3));
//! assert_eq!(sheet.findings[0].row, 4);
//! # Ok::<(), formats::FormatError>(())
//! ```

use crate::FormatError;

/// A sheet, split and checked; rows + findings = rows that held anything.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// The file as the caller names it.
    pub file: String,
    /// Rows that can be read on.
    pub rows: Vec<SheetRow>,
    /// Rows set aside.
    pub findings: Vec<SheetFinding>,
}

/// One row: its line in the file and its cells that hold anything.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetRow {
    /// Line of the file, the header being 1.
    pub row: u64,
    /// Column names and texts, trimmed, in the order of the sheet.
    pub fields: Vec<(String, String)>,
}

/// A row that was set aside, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetFinding {
    /// Line of the file.
    pub row: u64,
    /// What was found and expected.
    pub what: String,
}

fn malformed(found: impl Into<String>, expected: impl Into<String>) -> FormatError {
    FormatError::Malformed {
        found: found.into(),
        expected: expected.into(),
    }
}

/// Reads a sheet from bytes.
///
/// # Errors
/// A file that is no delimited text, or a header with fewer than two names, a name twice or a column without one.
pub fn read(bytes: &[u8], file: &str) -> Result<Sheet, FormatError> {
    const WANTED: &str = "a spreadsheet of slips saved as CSV (UTF-8), with a header line such as kind,at,from,to,gross,tare,moisture";
    if let Some(kind) = crate::delimited::other_kind(bytes) {
        return Err(malformed(kind, WANTED));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let first = bytes
        .split(|b| matches!(b, b'\n' | b'\r'))
        .find(|line| !line.trim_ascii().is_empty())
        .unwrap_or(&[]);
    if first.is_empty() {
        return Err(malformed("an empty file", WANTED));
    }
    if first.len() > 64 * 1024 || first.contains(&0) {
        return Err(malformed(
            "binary data or a first line longer than 64 KB",
            WANTED,
        ));
    }
    let count = |delimiter: u8| memchr::memchr_iter(delimiter, first).count();
    let delimiter = [b'\t', b';', b',']
        .into_iter()
        .rev()
        .max_by_key(|d| count(*d))
        .unwrap_or(b',');
    let mut records = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(bytes)
        .into_byte_records();
    let header = records.find_map(|r| {
        r.ok()
            .filter(|r| r.iter().any(|c| !c.trim_ascii().is_empty()))
    });
    let names = names(&header.unwrap_or_default()).map_err(|found| malformed(found, WANTED))?;

    let mut sheet = Sheet {
        file: file.to_string(),
        ..Sheet::default()
    };
    let mut lines = Lines {
        bytes,
        at: 0,
        line: 1,
    };
    // reading from memory cannot fail, and with `flexible` no record is refused
    for record in records.flatten() {
        let row = lines.at(record.position().map_or(0, csv::Position::byte));
        if record.iter().all(|cell| cell.trim_ascii().is_empty()) {
            continue;
        }
        match fields(&names, &record) {
            Ok(fields) => sheet.rows.push(SheetRow { row, fields }),
            Err(what) => sheet.findings.push(SheetFinding { row, what }),
        }
    }
    Ok(sheet)
}

/// Counts lines up to a record. (The reader's own count lags by one where lines end in CRLF.)
struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u64,
}

impl Lines<'_> {
    /// The line on which the first byte at or after `byte` stands that ends no line; `byte` only grows.
    fn at(&mut self, byte: u64) -> u64 {
        while let Some(&next) = self.bytes.get(self.at) {
            let ends = matches!(next, b'\n' | b'\r');
            if self.at as u64 >= byte && !ends {
                break;
            }
            // a lone CR ends a line, the CR of a CRLF does not
            if next == b'\n' || (next == b'\r' && self.bytes.get(self.at + 1) != Some(&b'\n')) {
                self.line += 1;
            }
            self.at += 1;
        }
        self.line
    }
}

/// Names as they are compared; an unnamed column at the end of the sheet is allowed while it stays empty.
fn names(header: &csv::ByteRecord) -> Result<Vec<String>, String> {
    let mut names: Vec<String> = Vec::new();
    for cell in header {
        let text =
            std::str::from_utf8(cell).map_err(|_| "a header that is not UTF-8".to_string())?;
        let words: Vec<String> = text
            .to_lowercase()
            .split([' ', '_', '-'])
            .filter(|w| !w.is_empty())
            .map(str::to_string)
            .collect();
        names.push(words.join("-"));
    }
    while names.last().is_some_and(String::is_empty) {
        names.pop();
    }
    if names.len() < 2 {
        return Err("one column in the first line".into());
    }
    for (i, name) in names.iter().enumerate() {
        if name.is_empty() {
            return Err(format!("no name for column {}", i + 1));
        }
        if names[..i].contains(name) {
            let shown: String = name.chars().take(40).collect();
            return Err(format!("two columns named '{shown}'"));
        }
    }
    Ok(names)
}

fn fields(names: &[String], record: &csv::ByteRecord) -> Result<Vec<(String, String)>, String> {
    let mut fields = Vec::new();
    for (i, cell) in record.iter().enumerate() {
        let cell = cell.trim_ascii();
        if cell.is_empty() {
            continue;
        }
        let name = names.get(i).ok_or_else(|| {
            format!(
                "a cell in column {}, expected at most {} as in the header",
                i + 1,
                names.len()
            )
        })?;
        let text = std::str::from_utf8(cell).map_err(|_| {
            format!("{name} holds bytes that are not UTF-8; save the sheet as CSV UTF-8")
        })?;
        fields.push((name.clone(), text.to_string()));
    }
    Ok(fields)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_sheet_as_a_spreadsheet_saves_it() {
        let text = b"\xef\xbb\xbfkind,at,From,test_weight,,\r\nweighed,2026-10-01 14:05,\"red, \"\"old\"\" wagon\",58.5,,\r\n,,,,,\r\ndump,\xff,x,,,\r\nspill,\"two\nlines\",,,,\r\nmove,,,,5,\r\n";
        let sheet = read(text, "slips.csv").unwrap();
        assert_eq!(sheet.rows.iter().map(|r| r.row).collect::<Vec<_>>(), [2, 5]);
        assert_eq!(sheet.rows[0].fields[2].1, "red, \"old\" wagon");
        assert_eq!(
            sheet.rows[0].fields[3],
            ("test-weight".into(), "58.5".into())
        );
        assert_eq!(
            sheet.findings.iter().map(|f| f.row).collect::<Vec<_>>(),
            [4, 7]
        );
    }

    #[test]
    fn what_is_not_a_sheet_is_refused() {
        for (bytes, expected) in [
            (&b""[..], "an empty file"),
            (b"PK\x03\x04", "spreadsheet workbook"),
            (b"only one\n1\n", "one column"),
            (b"kind,at,Kind\n", "two columns named 'kind'"),
            (b"kind,,at\n", "no name for column 2"),
            (b"\0\0\0\0", "binary"),
        ] {
            let error = read(bytes, "x").unwrap_err().to_string();
            assert!(error.contains(expected) && !error.contains('\n'), "{error}");
        }
    }

    proptest! {
        #[test]
        fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
            let _ = read(&bytes, "x");
        }
    }
}
