//! A spreadsheet of slips saved as CSV: a `kind` column, `at` and `by` if wanted, and one column a
//! figure, named as in [`crate::written::FORMS`]; several values in one cell are separated by semicolons.

use crate::written::Figures;
use crate::{DeskError, Farm, Pen};
use book::kinds::Name;
use book::{Book, NewEntry};
use serde::Serialize;

/// What came of a sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetRead {
    /// Rows read.
    pub rows: u64,
    /// Entries written.
    pub written: u64,
    /// Rows set aside, each with the reason; `rows` = `written` + these.
    pub set_aside: Vec<String>,
    /// Cautions for the acts that were written, each once.
    pub cautions: Vec<String>,
}

/// Reads a sheet and writes its slips into the book, all in one transaction. A bad row is set
/// aside with its number and reason; with `strict` it refuses the whole file.
///
/// # Errors
/// A file that is not such a sheet or has no usable row; with `strict` the first bad row. Then the
/// book is unchanged.
pub fn read_sheet(
    book: &mut Book,
    farm: &Farm,
    pen: &mut Pen<'_>,
    file: &str,
    bytes: &[u8],
    strict: bool,
) -> Result<SheetRead, DeskError> {
    let sheet = formats::slips_csv::read(bytes, file).map_err(|why| DeskError::File {
        file: file.to_owned(),
        why: why.to_string(),
    })?;
    let mut entries: Vec<NewEntry> = Vec::new();
    let mut set_aside: Vec<String> = Vec::new();
    let mut rows = 0;
    for row in &sheet.rows {
        rows += 1;
        match entry(farm, pen, &row.fields) {
            Ok(entry) => entries.push(entry),
            Err(why) if strict => {
                return Err(DeskError::Row {
                    file: file.to_owned(),
                    row: row.row,
                    why: why.to_string(),
                });
            }
            Err(why) => set_aside.push(format!("row {}: {why}", row.row)),
        }
    }
    for finding in &sheet.findings {
        rows += 1;
        let why = format!("row {}: {}", finding.row, finding.what);
        if strict {
            return Err(DeskError::File {
                file: file.to_owned(),
                why,
            });
        }
        set_aside.push(why);
    }
    if entries.is_empty() {
        let first = set_aside
            .first()
            .cloned()
            .unwrap_or_else(|| "it has no rows".to_owned());
        return Err(DeskError::File {
            file: file.to_owned(),
            why: format!("no usable row; {first}"),
        });
    }
    pen.ready(book)?;
    let now_ms = pen.clock.now_ms();
    let written = book.append_all(&entries, now_ms)?.len() as u64;
    let kinds = entries.iter().map(|entry| entry.payload.kind());
    Ok(SheetRead {
        rows,
        written,
        set_aside,
        cautions: crate::written::cautions_of(kinds),
    })
}

fn entry(
    farm: &Farm,
    pen: &mut Pen<'_>,
    fields: &[(String, String)],
) -> Result<NewEntry, DeskError> {
    let mut figures = Figures::default();
    let (mut kind, mut at, mut by) = (None, None, None);
    for (name, text) in fields {
        let text = text.trim();
        match name.trim() {
            "kind" => kind = (!text.is_empty()).then(|| text.to_owned()),
            "at" => at = (!text.is_empty()).then(|| text.to_owned()),
            "by" => by = (!text.is_empty()).then(|| text.to_owned()),
            "boundary" | "text" | "remark" => figures.add(name.trim(), text),
            name => {
                for part in text.split(';') {
                    figures.add(name, part.trim());
                }
            }
        }
    }
    let kind = kind.ok_or_else(|| DeskError::Missing {
        kind: "row".to_owned(),
        figure: "kind".to_owned(),
        help: "dump, weighed, move, ...".to_owned(),
    })?;
    let happened = at
        .map(|text| crate::happened(&text, &farm.zone))
        .transpose()?;
    let author = by
        .map(Name::new)
        .transpose()?
        .unwrap_or_else(|| pen.author.clone());
    let mut own = Pen {
        author,
        at: happened.or_else(|| pen.at.clone()),
        zone: pen.zone.clone(),
        device: None,
        clock: pen.clock,
    };
    let year = crate::entries::year_of(&mut own, farm)?;
    let payload = crate::read_new(&kind, &figures, farm, year)?;
    own.entry(payload, Vec::new())
}
