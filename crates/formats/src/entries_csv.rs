//! Rows of named text to CSV and back without loss: a book's entries, one a row.
//!
//! The book gives each entry as plain text fields (id, device, seq, stamp, author, happened, zone,
//! kind, version, payload as JSON, what it replaces); this module knows only their names. Any text
//! survives: delimiters, quotes, line ends of every kind, empty fields, anything in Unicode. UTF-8,
//! comma, quoted where needed, rows ended by a line feed (RFC 4180 but for that).
//!
//! ```
//! use formats::entries_csv::{read, write};
//! let rows = vec![vec!["1".to_string(), "{\"remark\":\"wet,\\n \\\"red\\\" wagon\"}".to_string()]];
//! let text = write(&["seq", "payload"], &rows)?;
//! assert_eq!(read(&text, &["seq", "payload"])?, rows);
//! # Ok::<(), formats::FormatError>(())
//! ```

use crate::FormatError;

fn malformed(found: String, expected: impl Into<String>) -> FormatError {
    FormatError::Malformed {
        found,
        expected: expected.into(),
    }
}

/// Writes a header and the rows.
///
/// # Errors
/// A row with another number of fields than there are columns.
pub fn write(columns: &[&str], rows: &[Vec<String>]) -> Result<Vec<u8>, FormatError> {
    let mut writer = csv::WriterBuilder::new()
        .quote_style(csv::QuoteStyle::Necessary)
        .from_writer(Vec::new());
    let refused = |why: csv::Error| {
        malformed(
            why.to_string(),
            format!("{} fields in every row", columns.len()),
        )
    };
    writer.write_record(columns).map_err(refused)?;
    for (row, number) in rows.iter().zip(2..) {
        if row.len() != columns.len() {
            return Err(malformed(
                format!("{} fields in row {number}", row.len()),
                format!("{}", columns.len()),
            ));
        }
        writer.write_record(row).map_err(refused)?;
    }
    writer
        .into_inner()
        .map_err(|why| malformed(why.to_string(), "memory for the text"))
}

/// Reads what [`write()`] wrote; the columns must be those, in that order.
///
/// An export is a copy of the truth, so nothing is set aside: any damage refuses the file.
///
/// # Errors
/// Another header, text that is not UTF-8, or a row with too few or too many fields.
pub fn read(bytes: &[u8], columns: &[&str]) -> Result<Vec<Vec<String>>, FormatError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(bytes);
    let mut records = reader.records();
    let header = match records.next() {
        Some(header) => header.map_err(|why| damaged(&why))?,
        None => {
            return Err(malformed(
                "an empty file".into(),
                format!("a header {}", columns.join(",")),
            ));
        }
    };
    if header.iter().ne(columns.iter().copied()) {
        let found: String = header
            .iter()
            .collect::<Vec<_>>()
            .join(",")
            .chars()
            .take(120)
            .collect();
        return Err(malformed(
            format!("the header {found:?}"),
            columns.join(","),
        ));
    }
    let mut rows = Vec::new();
    for record in records {
        let record = record.map_err(|why| damaged(&why))?;
        if record.len() != columns.len() {
            let line = record.position().map_or(0, csv::Position::line);
            return Err(malformed(
                format!("{} fields in the row at line {line}", record.len()),
                format!(
                    "{}; the file is damaged or was saved by another program, export it again",
                    columns.len()
                ),
            ));
        }
        rows.push(record.iter().map(str::to_string).collect());
    }
    Ok(rows)
}

fn damaged(why: &csv::Error) -> FormatError {
    let line = why.position().map_or(0, csv::Position::line);
    malformed(
        format!("text that is not UTF-8 at line {line}"),
        "UTF-8 as it was exported; export it again",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const COLUMNS: [&str; 3] = ["id", "payload", "replaces"];

    proptest! {
        #[test]
        fn any_text_comes_back(
            rows in prop::collection::vec(prop::collection::vec(prop_oneof![any::<String>(), "[\"\r\n,;\u{feff} ]{0,6}"], 3), 0..12)
        ) {
            let text = write(&COLUMNS, &rows).unwrap();
            prop_assert_eq!(read(&text, &COLUMNS).unwrap(), rows);
        }

        #[test]
        fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let _ = read(&bytes, &COLUMNS);
        }
    }

    #[test]
    fn damage_is_named() {
        for (text, expected) in [
            (&b""[..], "an empty file"),
            (b"id,payload\n1,2\n", "the header \"id,payload\""),
            (
                b"id,payload,replaces\n1,2\n",
                "2 fields in the row at line 2",
            ),
            (b"id,payload,replaces\n1,\xff,3\n", "not UTF-8 at line 2"),
        ] {
            let error = read(text, &COLUMNS).unwrap_err().to_string();
            assert!(error.contains(expected), "{error}");
        }
        assert!(write(&COLUMNS, &[vec!["1".into()]]).is_err());
    }
}
