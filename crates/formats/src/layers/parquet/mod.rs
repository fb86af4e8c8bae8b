//! Just enough of Parquet (its format description and parquet.thrift, from memory; tried on files of another
//! writer) for tables of plain columns: no lists, no encryption; PLAIN, RLE and dictionary encodings; pages
//! as they are or packed by Snappy, gzip or Zstandard.

mod column;
mod snappy;
mod thrift;

use super::Bytes;
use column::{Chunk, Column, Kind};
use thrift::Value;

/// Largest description of a file, bytes.
const MOST_FOOTER: usize = 8 << 20;
/// Most values that are held at a time: rows of a group times columns.
const MOST_VALUES: usize = 40_000_000;
const MAGIC: &[u8] = b"PAR1";

/// One leaf of the schema.
#[derive(Debug)]
pub(super) struct Leaf {
    /// Names from the root down.
    pub(super) path: Vec<String>,
    /// `None` for what is not read: lists, fixed widths, old times.
    kind: Option<Kind>,
    levels: u32,
    /// Parts of a second, for a point in time.
    parts: Option<f64>,
}

impl Leaf {
    pub(super) fn is_read(&self) -> bool {
        self.kind.is_some()
    }
}

/// A file whose description was read.
pub(super) struct File<'a> {
    bytes: &'a [u8],
    footer: Value<'a>,
    pub(super) leaves: Vec<Leaf>,
}

/// The rows of one row group, by the columns asked for.
pub(super) struct Group {
    pub(super) rows: usize,
    columns: Vec<(Column, Option<f64>)>,
}

impl Group {
    pub(super) fn bytes(&self, column: usize, row: usize) -> Option<&[u8]> {
        self.columns.get(column)?.0.bytes(row)
    }

    pub(super) fn real(&self, column: usize, row: usize) -> Option<f64> {
        self.columns.get(column)?.0.real(row)
    }

    pub(super) fn write(&self, column: usize, row: usize, out: &mut String) {
        match self.columns.get(column) {
            Some((column, parts)) => column.write(row, *parts, out),
            None => out.clear(),
        }
    }
}

impl<'a> File<'a> {
    /// Reads the description at the end of a file; the error is what was found.
    pub(super) fn open(bytes: &'a [u8]) -> Result<Self, String> {
        let broken = || "a Parquet file that breaks off".to_owned();
        let body = bytes.strip_suffix(MAGIC).ok_or_else(broken)?;
        let (body, size) = body.split_last_chunk::<4>().ok_or_else(broken)?;
        let size = u32::from_le_bytes(*size) as usize;
        if size > MOST_FOOTER {
            return Err("a Parquet file that describes itself in more than 8 MB".into());
        }
        let start = body.len().checked_sub(size).ok_or_else(broken)?;
        let mut told = Bytes {
            rest: &body[start..],
        };
        let footer = thrift::fields(&mut told).ok_or_else(broken)?;
        let leaves = leaves(footer.list(2)).ok_or_else(broken)?;
        Ok(Self {
            bytes: &body[..start],
            footer,
            leaves,
        })
    }

    /// A text that the writer kept beside the table.
    pub(super) fn said(&self, key: &str) -> Option<&'a [u8]> {
        let pairs = self.footer.list(5).iter();
        let mut pairs = pairs.filter(|pair| pair.bytes(1) == Some(key.as_bytes()));
        pairs.next()?.bytes(2)
    }

    pub(super) fn groups(&self) -> usize {
        self.footer.list(4).len()
    }

    /// Reads the leaves asked for of one row group, unpacking at most `left` bytes, of which it takes what it
    /// unpacked; the error is what was found.
    pub(super) fn group(
        &self,
        group: usize,
        wanted: &[usize],
        left: &mut usize,
    ) -> Result<Group, String> {
        let broken = || "a row group that is not described".to_owned();
        let told = self.footer.list(4).get(group).ok_or_else(broken)?;
        let rows = told.whole(3).and_then(|rows| usize::try_from(rows).ok());
        let rows = rows.ok_or_else(broken)?;
        if rows.saturating_mul(wanted.len()) > MOST_VALUES {
            return Err(format!(
                "{rows} rows of {} columns in one group",
                wanted.len()
            ));
        }
        let mut columns = Vec::new();
        for at in wanted {
            let leaf = self.leaves.get(*at).ok_or_else(broken)?;
            let meta = told.list(1).get(*at).and_then(|chunk| chunk.field(3));
            let meta = meta.ok_or_else(broken)?;
            let place = |id: i16| meta.whole(id).and_then(|at| usize::try_from(at).ok());
            // the dictionary, if there is one, comes first
            let data = place(9).ok_or_else(broken)?;
            let start = place(11)
                .filter(|at| *at > 0)
                .map_or(data, |at| at.min(data));
            let chunk = Chunk {
                bytes: self.bytes.get(start..).ok_or_else(broken)?,
                kind: leaf.kind.ok_or_else(broken)?,
                codec: meta.whole(4).ok_or_else(broken)?,
                levels: leaf.levels,
                rows,
            };
            let name = crate::crs::short(&leaf.path.join("."));
            let read = column::read(&chunk, left)
                .map_err(|found| format!("column '{name}' with {found}"))?;
            columns.push((read, leaf.parts));
        }
        Ok(Group { rows, columns })
    }
}

/// The leaves of the schema, which is listed parents first.
fn leaves(told: &[Value<'_>]) -> Option<Vec<Leaf>> {
    let mut leaves = Vec::new();
    // for each open group: its name, children still to come, levels, and whether it is in a list
    let mut open: Vec<(String, i64, u32, bool)> = Vec::new();
    let (root, rest) = told.split_first()?;
    open.push((String::new(), root.whole(5)?, 0, false));
    for element in rest {
        while open.last().is_some_and(|(_, left, ..)| *left <= 0) {
            open.pop();
        }
        let (_, left, levels, listed) = open.last_mut()?;
        *left -= 1;
        let repetition = element.whole(3).unwrap_or(0);
        let levels = levels.checked_add(u32::from(repetition != 0))?;
        let listed = *listed || repetition == 2;
        let name = element.text(4);
        if let Some(children) = element.whole(5).filter(|children| *children > 0) {
            if open.len() > 32 {
                return None;
            }
            open.push((name, children, levels, listed));
            continue;
        }
        let mut path: Vec<String> = open.iter().skip(1).map(|(name, ..)| name.clone()).collect();
        path.push(name);
        leaves.push(Leaf {
            path,
            kind: kind(element).filter(|_| !listed),
            levels,
            parts: parts(element),
        });
    }
    Some(leaves)
}

fn kind(element: &Value<'_>) -> Option<Kind> {
    // a decimal is a whole number of parts, which nobody logs yield in
    if element.whole(6) == Some(5) || element.field(10).is_some_and(|of| of.field(5).is_some()) {
        return None;
    }
    Some(match element.whole(1)? {
        0 => Kind::Truth,
        1 => Kind::Whole32,
        2 => Kind::Whole64,
        4 => Kind::Real32,
        5 => Kind::Real64,
        6 => Kind::Bytes,
        _ => return None,
    })
}

/// Parts of a second in which a point in time is counted.
fn parts(element: &Value<'_>) -> Option<f64> {
    match element.whole(6) {
        Some(9) => return Some(1e3),
        Some(10) => return Some(1e6),
        _ => {}
    }
    let unit = element.field(10)?.field(8)?.field(2)?;
    [(1, 1e3), (2, 1e6), (3, 1e9)]
        .into_iter()
        .find(|(id, _)| unit.field(*id).is_some())
        .map(|(_, parts)| parts)
}
