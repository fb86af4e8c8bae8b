//! What kind of file the first bytes say it is.

use super::split::{self, Dialect, End, LONGEST_ROW};
use crate::FormatError;
use memchr::memchr;

/// Delimiters that are tried, in order of preference when they tie.
const DELIMITERS: [u8; 4] = [b'\t', b';', b',', b'|'];

/// What the start of a file says.
#[derive(Debug)]
pub(super) struct Start {
    pub(super) dialect: Dialect,
    pub(super) header: Vec<String>,
    /// First byte after the header.
    pub(super) body: usize,
    /// Line ends before `body`.
    pub(super) lines: u64,
}

const WANTED: &str = "delimited text of combine points with a header line";

/// Reads the start: `head` is at least 64 KiB, or (`last`) all there is.
pub(super) fn sniff(
    file: &str,
    head: &[u8],
    last: bool,
    delimiter: Option<u8>,
) -> Result<Start, FormatError> {
    let refuse = |found: String, expected: &str| FormatError::NotThis {
        file: file.to_string(),
        found,
        expected: expected.to_string(),
    };
    if let Some(found) = other_kind(head) {
        return Err(refuse(
            found.into(),
            "delimited text: export the points as CSV (UTF-8) and read that",
        ));
    }
    // a fixed window, so that what is seen does not depend on how much was read ahead
    let window = head.len().min(4 * LONGEST_ROW);
    let (head, last) = (&head[..window], last && window == head.len());
    let mark = if head.starts_with(b"\xef\xbb\xbf") {
        3
    } else {
        0
    };
    let line_end = if memchr(b'\n', head).is_none() && memchr(b'\r', head).is_some() {
        b'\r'
    } else {
        b'\n'
    };
    let mut dialect = Dialect {
        delimiter: b',',
        line_end,
        decimal_comma: false,
    };
    let (mut at, mut lines) = (mark, 0);
    let (header, body) = loop {
        if at >= head.len() {
            return Err(refuse("an empty file".into(), WANTED));
        }
        let end = memchr(line_end, &head[at..]).map(|step| at + step);
        if end.is_none_or(|end| end - at > LONGEST_ROW) && !(last && head.len() - at <= LONGEST_ROW)
        {
            let found = match memchr(0, head) {
                Some(zero) => format!("binary data (a zero byte at {zero})"),
                None => "a first line longer than 64 KB".into(),
            };
            return Err(refuse(found, WANTED));
        }
        let line = split::without_cr(&head[at..end.unwrap_or(head.len())]);
        let next = end.map_or(head.len(), |end| end + 1);
        lines += u64::from(end.is_some());
        if !line.trim_ascii().is_empty() {
            break (line, next);
        }
        at = next;
    };
    if let Some(byte) = header
        .iter()
        .find(|b| **b < 9 || (14..32).contains(*b) || **b == 127)
    {
        return Err(refuse(
            format!("binary data (byte {byte:#04x} in the first line)"),
            WANTED,
        ));
    }
    dialect.delimiter = delimiter.unwrap_or_else(|| likeliest(header));
    let names = names(header, dialect)
        .ok_or_else(|| refuse("a first line with a quote that never closes".into(), WANTED))?;
    if names.len() < 2 {
        return Err(refuse(
            "one column in the first line".into(),
            "columns separated by tab, comma, semicolon or bar, named in the first line",
        ));
    }
    if names
        .iter()
        .all(|name| super::number::number(name.trim().as_bytes(), false).is_some())
    {
        return Err(refuse(
            "numbers in the first line".into(),
            "a header line that names the columns; add one, such as long,lat,mass lb/s,seconds,dist in,moist %",
        ));
    }
    dialect.decimal_comma = dialect.delimiter != b',' && commas(&head[body..], dialect);
    Ok(Start {
        dialect,
        header: names,
        body,
        lines,
    })
}

/// Another kind of file, known by its first bytes.
pub(crate) fn other_kind(head: &[u8]) -> Option<&'static str> {
    let kinds: [(&[u8], &str); 9] = [
        (b"\xff\xfe", "UTF-16 text"),
        (b"\xfe\xff", "UTF-16 text"),
        (b"PK\x03\x04", "a zip archive or a spreadsheet workbook"),
        (b"SQLite format 3\0", "an SQLite database"),
        (b"%PDF", "a PDF"),
        (b"\x1f\x8b", "a gzip archive"),
        (b"\x89PNG", "a picture"),
        (b"\x00\x00\x27\x0a", "a Shapefile"),
        (b"\xd0\xcf\x11\xe0", "an old spreadsheet workbook"),
    ];
    kinds
        .iter()
        .find(|(magic, _)| head.starts_with(magic))
        .map(|(_, found)| *found)
}

fn likeliest(header: &[u8]) -> u8 {
    let mut best = (0, b',');
    for delimiter in DELIMITERS {
        let dialect = Dialect {
            delimiter,
            line_end: b'\n',
            decimal_comma: false,
        };
        let count = names(header, dialect).map_or(0, |n| n.len());
        if count > best.0 {
            best = (count, delimiter);
        }
    }
    best.1
}

fn names(header: &[u8], dialect: Dialect) -> Option<Vec<String>> {
    let mut names = Vec::new();
    split::fields(header, dialect, &mut Vec::new(), |_, name| {
        names.push(String::from_utf8_lossy(name).trim().to_string());
    })
    .ok()?;
    Some(names)
}

/// Whether the first hundred rows write `16,54` and never `16.54`.
fn commas(body: &[u8], dialect: Dialect) -> bool {
    let (mut with_comma, mut with_point) = (false, false);
    let (mut at, mut scratch) = (0, Vec::new());
    for _ in 0..100 {
        let End::At(end, next) = split::record_end(body, at, dialect, false) else {
            break;
        };
        let _ = split::fields(
            split::without_cr(&body[at..end]),
            dialect,
            &mut scratch,
            |_, field| {
                with_comma |=
                    memchr(b',', field).is_some() && super::number::number(field, true).is_some();
                with_point |=
                    memchr(b'.', field).is_some() && super::number::number(field, false).is_some();
            },
        );
        at = next;
    }
    with_comma && !with_point
}
