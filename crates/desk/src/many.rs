//! Several entries of one page, all or none of them.

use crate::written::Figures;
use crate::{DeskError, Farm, Pen};
use book::{Book, Entry};

/// One entry to be written with others; a later one may name what an earlier one brings in.
#[derive(Debug, Clone, PartialEq)]
pub struct ToWrite {
    /// Its kind.
    pub kind: String,
    /// Its figures.
    pub figures: Figures,
}

/// Writes several entries in one transaction: a field, what is planted there and the next field.
///
/// # Errors
/// The first that cannot be read or is refused, with its place in the list; then the book is
/// unchanged.
pub fn write_all(
    book: &mut Book,
    farm: &Farm,
    pen: &mut Pen<'_>,
    entries: &[ToWrite],
) -> Result<Vec<Entry>, (usize, DeskError)> {
    let mut known = farm.clone();
    let mut new = Vec::new();
    for (index, one) in entries.iter().enumerate() {
        let entry = (|| {
            let year = crate::year_of(pen, &known)?;
            let payload = crate::read_new(&one.kind, &one.figures, &known, year)?;
            pen.entry(payload, Vec::new())
        })()
        .map_err(|why| (index, why))?;
        known.learn(entry.id, &entry.happened, false, entry.payload.clone());
        new.push(entry);
    }
    pen.ready(book).map_err(|why| (0, why))?;
    let now_ms = pen.clock.now_ms();
    book.append_all(&new, now_ms).map_err(|why| (0, why.into()))
}
