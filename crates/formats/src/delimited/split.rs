//! Records and fields, by the rules of delimited text (RFC 4180 and the `csv` crate).
//!
//! A quote opens a field only at its first byte; inside, two quotes are one, delimiters and line
//! ends are text; after the closing quote anything up to the delimiter is taken as it stands. Two
//! differences, both so that one bad row costs one row: a quoted field may run over line ends for
//! at most 4 KiB, else its row ends at its first line end and is a finding; and a row may be at
//! most 64 KiB long. Lines without a quote never meet these rules and are split by bytes alone.

use memchr::{memchr, memchr2};

/// Longest row of points, bytes.
pub(super) const LONGEST_ROW: usize = 64 * 1024;
/// Longest row whose quoted field holds line ends, bytes.
const LONGEST_QUOTED: usize = 4 * 1024;

/// How the file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Dialect {
    pub(super) delimiter: u8,
    /// Byte that ends a line: `\n` (also for CRLF) or a lone `\r`.
    pub(super) line_end: u8,
    pub(super) decimal_comma: bool,
}

/// Where a record ends.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum End {
    /// Its bytes stop here (the line end not included); the next record starts at the second.
    At(usize, usize),
    /// The bytes at hand do not show it.
    Beyond,
}

/// Finds the end of the record at `start`; `last` says that no more bytes follow.
pub(super) fn record_end(bytes: &[u8], start: usize, dialect: Dialect, last: bool) -> End {
    let rest = &bytes[start..];
    let Some(line) = memchr(dialect.line_end, rest) else {
        return if last {
            End::At(bytes.len(), bytes.len())
        } else {
            End::Beyond
        };
    };
    let first = End::At(start + line, start + line + 1);
    if memchr(b'"', &rest[..line]).is_none() {
        return first;
    }
    let window = &rest[..rest.len().min(LONGEST_QUOTED)];
    match quoted_end(window, dialect) {
        Some(end) => End::At(start + end, start + end + 1),
        None if window.len() < LONGEST_QUOTED && !last => End::Beyond,
        // an open quote, or a last row without a line end
        None if last && window.len() == rest.len() && closes(window, dialect) => {
            End::At(bytes.len(), bytes.len())
        }
        None => first,
    }
}

/// The first line end that is outside quotes.
fn quoted_end(bytes: &[u8], dialect: Dialect) -> Option<usize> {
    let mut at = 0;
    loop {
        if bytes.get(at) == Some(&b'"') {
            at = closing(bytes, at + 1)? + 1;
        }
        at += memchr2(dialect.delimiter, dialect.line_end, bytes.get(at..)?)?;
        if bytes[at] == dialect.line_end {
            return Some(at);
        }
        at += 1;
    }
}

/// Whether every quoted field that opens also closes.
fn closes(bytes: &[u8], dialect: Dialect) -> bool {
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at] == b'"' {
            match closing(bytes, at + 1) {
                Some(end) => at = end + 1,
                None => return false,
            }
        }
        match bytes
            .get(at..)
            .and_then(|rest| memchr(dialect.delimiter, rest))
        {
            Some(step) => at += step + 1,
            None => return true,
        }
    }
    true
}

/// The quote that closes a field whose text starts at `from`.
fn closing(bytes: &[u8], mut from: usize) -> Option<usize> {
    loop {
        from += memchr(b'"', bytes.get(from..)?)?;
        if bytes.get(from + 1) == Some(&b'"') {
            from += 2;
        } else {
            return Some(from);
        }
    }
}

/// A quoted field that never closes.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct OpenQuote;

/// Calls `each` with the number and the text of every field of one record.
pub(super) fn fields(
    record: &[u8],
    dialect: Dialect,
    scratch: &mut Vec<u8>,
    mut each: impl FnMut(usize, &[u8]),
) -> Result<(), OpenQuote> {
    let (mut at, mut column) = (0, 0);
    loop {
        let rest = &record[at..];
        if rest.first() == Some(&b'"') {
            let close = closing(rest, 1).ok_or(OpenQuote)?;
            scratch.clear();
            let mut inside = &rest[1..close];
            while let Some(quote) = memchr(b'"', inside) {
                scratch.extend_from_slice(&inside[..=quote]);
                inside = &inside[quote + 2..];
            }
            scratch.extend_from_slice(inside);
            let after = &rest[close + 1..];
            let tail = memchr(dialect.delimiter, after).unwrap_or(after.len());
            scratch.extend_from_slice(&after[..tail]);
            each(column, scratch);
            at += close + 1 + tail;
        } else {
            // fields of points are a few bytes: a plain loop beats a search
            let end = rest
                .iter()
                .position(|b| *b == dialect.delimiter)
                .unwrap_or(rest.len());
            each(column, &rest[..end]);
            at += end;
        }
        if at >= record.len() {
            return Ok(());
        }
        at += 1;
        column += 1;
    }
}

/// A record without the `\r` of a CRLF line end.
pub(super) fn without_cr(record: &[u8]) -> &[u8] {
    record.strip_suffix(b"\r").unwrap_or(record)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const COMMA: Dialect = Dialect {
        delimiter: b',',
        line_end: b'\n',
        decimal_comma: false,
    };

    fn split(text: &[u8]) -> Vec<Vec<Vec<u8>>> {
        let (mut rows, mut at, mut scratch) = (Vec::new(), 0, Vec::new());
        while at < text.len() {
            let End::At(end, next) = record_end(text, at, COMMA, true) else {
                panic!("all bytes are here")
            };
            let record = without_cr(&text[at..end]);
            at = next;
            if record.is_empty() {
                continue;
            }
            let mut row = Vec::new();
            if fields(record, COMMA, &mut scratch, |_, field| {
                row.push(field.to_vec());
            })
            .is_ok()
            {
                rows.push(row);
            }
        }
        rows
    }

    fn by_csv(text: &[u8]) -> Vec<Vec<Vec<u8>>> {
        csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .from_reader(text)
            .byte_records()
            .map(|r| r.expect("memory").iter().map(<[u8]>::to_vec).collect())
            .collect()
    }

    #[test]
    fn quoted_fields_split_as_the_csv_crate_splits_them() {
        for text in [
            "a,\"b,c\",d\n1,2,3\n",
            "a,\"he said \"\"no\"\"\",d\r\n\r\n1,,\r\n",
            "\"two\nlines\",2\n3,4",
            "5\" pipe,\"x\"y,z\n",
            "\"\",\"\"\"\"\n",
            "a,b,\n,\n",
        ] {
            assert_eq!(split(text.as_bytes()), by_csv(text.as_bytes()), "{text:?}");
        }
    }

    #[test]
    fn a_quote_that_never_closes_costs_one_row() {
        assert_eq!(split(b"1,\"2\n3,4\n5,6\n").len(), 2);
    }

    proptest! {
        #[test]
        fn well_formed_text_splits_as_the_csv_crate_splits_it(
            rows in proptest::collection::vec(proptest::collection::vec("[ -~\n]{0,8}", 1..5), 1..20)
        ) {
            let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
            for row in &rows {
                writer.write_record(row).expect("memory");
            }
            let text = writer.into_inner().expect("memory");
            prop_assert_eq!(split(&text), by_csv(&text));
        }
    }
}
