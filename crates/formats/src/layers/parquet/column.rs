//! One column of one row group: pages to values.

use super::super::{Bytes, number};
use super::snappy;
use super::thrift::{self, Value, varint};
use std::io::Read;

/// Largest page, unpacked, bytes.
const MOST_PAGE: usize = 64 << 20;

/// How values are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Truth,
    Whole32,
    Whole64,
    Real32,
    Real64,
    Bytes,
}

/// The values of a column; a row without one is `None`.
#[derive(Debug, Default)]
pub(super) struct Column {
    /// All bytes that values point into.
    heap: Vec<u8>,
    pub(super) rows: Vec<Option<Cell>>,
}

/// One value, or where its bytes are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Cell {
    Truth(bool),
    Whole(i64),
    Real32(f32),
    Real64(f64),
    Bytes(usize, usize),
}

impl Column {
    pub(super) fn bytes(&self, row: usize) -> Option<&[u8]> {
        match (*self.rows.get(row)?)? {
            Cell::Bytes(start, end) => self.heap.get(start..end),
            _ => None,
        }
    }

    pub(super) fn real(&self, row: usize) -> Option<f64> {
        match (*self.rows.get(row)?)? {
            Cell::Real64(value) => Some(value),
            Cell::Real32(value) => Some(f64::from(value)),
            _ => None,
        }
    }

    /// A value as text; a time counted in `parts` of a second is written in seconds.
    pub(super) fn write(&self, row: usize, parts: Option<f64>, out: &mut String) {
        out.clear();
        match self.rows.get(row).copied().flatten() {
            Some(Cell::Truth(value)) => *out = value.to_string(),
            Some(Cell::Whole(value)) => {
                *out = match parts {
                    Some(parts) => number(value as f64 / parts),
                    None => value.to_string(),
                }
            }
            // in its own shortest form, which is what was meant
            Some(Cell::Real32(value)) if value.is_finite() => *out = value.to_string(),
            None | Some(Cell::Real32(_)) => {}
            Some(Cell::Real64(value)) => *out = number(value),
            Some(Cell::Bytes(start, end)) => {
                out.push_str(&String::from_utf8_lossy(
                    self.heap.get(start..end).unwrap_or(&[]),
                ));
            }
        }
    }
}

/// What is known of a column chunk.
pub(super) struct Chunk<'a> {
    /// The file from the chunk's first page on.
    pub(super) bytes: &'a [u8],
    pub(super) kind: Kind,
    pub(super) codec: i64,
    /// Definition levels: a value is there when its level is the highest.
    pub(super) levels: u32,
    pub(super) rows: usize,
}

/// Reads a column, unpacking at most `left` bytes; the error is what was found.
pub(super) fn read(chunk: &Chunk<'_>, left: &mut usize) -> Result<Column, String> {
    let broken = || "pages that break off".to_owned();
    let mut column = Column::default();
    let mut dictionary: Vec<Cell> = Vec::new();
    let mut input = Bytes { rest: chunk.bytes };
    while column.rows.len() < chunk.rows {
        let page = thrift::fields(&mut input).ok_or_else(broken)?;
        let size = |id: i16| {
            page.whole(id)
                .and_then(|size| usize::try_from(size).ok())
                .filter(|size| *size <= MOST_PAGE)
                .ok_or_else(broken)
        };
        let (full, packed) = (size(2)?, size(3)?);
        *left = left
            .checked_sub(full)
            .ok_or("more than 1 GB when unpacked")?;
        let packed = input.take(packed).ok_or_else(broken)?;
        match page.whole(1) {
            Some(2) => {
                let head = page.field(7).ok_or_else(broken)?;
                let count = count(head).ok_or_else(broken)?;
                let bytes = unpack(packed, full, chunk.codec)?;
                dictionary =
                    plain(&bytes, chunk.kind, count, &mut column.heap).ok_or_else(broken)?;
            }
            Some(0) => {
                let head = page.field(5).ok_or_else(broken)?;
                let bytes = unpack(packed, full, chunk.codec)?;
                let mut rest = Bytes { rest: &bytes };
                let levels = if chunk.levels > 0 {
                    let size = rest.u32().ok_or_else(broken)? as usize;
                    rest.take(size).ok_or_else(broken)?
                } else {
                    &[]
                };
                let values = (levels, rest.rest, head.whole(2));
                page_of(chunk, head, values, &dictionary, &mut column)?;
            }
            Some(3) => {
                let head = page.field(8).ok_or_else(broken)?;
                let size = |id| usize::try_from(head.whole(id).unwrap_or(0)).map_err(|_| broken());
                let (defined, repeated) = (size(5)?, size(6)?);
                let mut rest = Bytes { rest: packed };
                rest.take(repeated).ok_or_else(broken)?;
                let levels = rest.take(defined).ok_or_else(broken)?;
                let full = full
                    .checked_sub(defined)
                    .and_then(|left| left.checked_sub(repeated))
                    .ok_or_else(broken)?;
                let codec = if head.whole(7) == Some(0) {
                    0
                } else {
                    chunk.codec
                };
                let bytes = unpack(rest.rest, full, codec)?;
                let values = (levels, &bytes[..], head.whole(4));
                page_of(chunk, head, values, &dictionary, &mut column)?;
            }
            _ => {}
        }
    }
    Ok(column)
}

fn count(head: &Value<'_>) -> Option<usize> {
    usize::try_from(head.whole(1)?).ok()
}

/// Adds the rows of a data page.
fn page_of(
    chunk: &Chunk<'_>,
    head: &Value<'_>,
    (levels, values, encoding): (&[u8], &[u8], Option<i64>),
    dictionary: &[Cell],
    column: &mut Column,
) -> Result<(), String> {
    let broken = || "pages that break off".to_owned();
    let count = count(head)
        .filter(|count| *count > 0 && *count <= chunk.rows - column.rows.len())
        .ok_or_else(broken)?;
    let there: Vec<bool> = if chunk.levels == 0 {
        vec![true; count]
    } else {
        let width = u32::BITS - chunk.levels.leading_zeros();
        let told = runs(levels, width, count).ok_or_else(broken)?;
        told.into_iter()
            .map(|level| level == chunk.levels)
            .collect()
    };
    let present = there.iter().filter(|there| **there).count();
    let cells: Vec<Cell> = match encoding {
        Some(0) => plain(values, chunk.kind, present, &mut column.heap).ok_or_else(broken)?,
        Some(2 | 8) => {
            let (width, runs_of) = match values.split_first() {
                Some((width, rest)) => (u32::from(*width), rest),
                None => (0, values),
            };
            let at = runs(runs_of, width, present).ok_or_else(broken)?;
            at.into_iter()
                .map(|at| dictionary.get(at as usize).copied())
                .collect::<Option<_>>()
                .ok_or_else(broken)?
        }
        Some(3) if chunk.kind == Kind::Truth => {
            let rest = values.get(4..).ok_or_else(broken)?;
            let told = runs(rest, 1, present).ok_or_else(broken)?;
            told.into_iter().map(|bit| Cell::Truth(bit == 1)).collect()
        }
        other => {
            return Err(format!(
                "values in the encoding {}",
                other.map_or_else(|| "none".into(), |code| code.to_string())
            ));
        }
    };
    let mut cells = cells.into_iter();
    column.rows.extend(
        there
            .into_iter()
            .map(|there| there.then(|| cells.next()).flatten()),
    );
    Ok(())
}

fn unpack(packed: &[u8], size: usize, codec: i64) -> Result<Vec<u8>, String> {
    let damaged = || "a page that cannot be unpacked".to_owned();
    let bytes = match codec {
        0 => packed.to_vec(),
        1 => snappy::unpack(packed, size).ok_or_else(damaged)?,
        2 => {
            let mut out = Vec::new();
            flate2::read::MultiGzDecoder::new(packed)
                .take(size as u64 + 1)
                .read_to_end(&mut out)
                .map_err(|_| damaged())?;
            out
        }
        6 => zstd::bulk::decompress(packed, size).map_err(|_| damaged())?,
        other => return Err(format!("pages packed by the method {other}")),
    };
    if bytes.len() == size {
        Ok(bytes)
    } else {
        Err(damaged())
    }
}

/// Values one after another.
fn plain(bytes: &[u8], kind: Kind, count: usize, heap: &mut Vec<u8>) -> Option<Vec<Cell>> {
    let mut input = Bytes { rest: bytes };
    let mut cells = Vec::new();
    for i in 0..count {
        cells.push(match kind {
            Kind::Truth => Cell::Truth(bytes.get(i / 8)? >> (i % 8) & 1 == 1),
            Kind::Whole32 => Cell::Whole(i64::from(i32::from_le_bytes(input.array()?))),
            Kind::Whole64 => Cell::Whole(i64::from_le_bytes(input.array()?)),
            Kind::Real32 => Cell::Real32(f32::from_le_bytes(input.array()?)),
            Kind::Real64 => Cell::Real64(input.f64()?),
            Kind::Bytes => {
                let size = input.u32()? as usize;
                let start = heap.len();
                heap.extend_from_slice(input.take(size)?);
                Cell::Bytes(start, heap.len())
            }
        });
    }
    Some(cells)
}

/// Whole numbers of `width` bits in runs and packed groups of eight; exactly `count` of them.
fn runs(bytes: &[u8], width: u32, count: usize) -> Option<Vec<u32>> {
    if width > 32 {
        return None;
    }
    let mut input = Bytes { rest: bytes };
    let mut out = Vec::new();
    let whole = width.div_ceil(8) as usize;
    while out.len() < count {
        let left = count - out.len();
        // no bits at all need no bytes
        if width == 0 && input.rest.is_empty() {
            out.resize(count, 0);
            break;
        }
        let head = varint(&mut input)?;
        let times = usize::try_from(head >> 1).ok()?;
        if head & 1 == 0 {
            let value = input.take(whole)?;
            let value = value
                .iter()
                .rev()
                .fold(0, |all, byte| all << 8 | u32::from(*byte));
            if times == 0 {
                return None;
            }
            out.resize(out.len() + times.min(left), value);
        } else {
            let packed = input.take(times.checked_mul(width as usize)?)?;
            let most = times.checked_mul(8)?.min(left);
            if most == 0 {
                return None;
            }
            for i in 0..most {
                out.push(bits(packed, i * width as usize, width));
            }
        }
    }
    Some(out)
}

/// A number of `width` bits from a bit on, the least first.
fn bits(bytes: &[u8], from: usize, width: u32) -> u32 {
    let (first, shift) = (from / 8, from % 8);
    let word = (0..5).fold(0_u64, |all, i| {
        all | u64::from(bytes.get(first + i).copied().unwrap_or(0)) << (8 * i)
    });
    let mask = (1_u64 << width) - 1;
    (word >> shift & mask) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn runs_and_packed_groups() {
        // the example of the format's own description: 0 to 7 in three bits
        let packed = [3, 0b1000_1000, 0b1100_0110, 0b1111_1010];
        assert_eq!(runs(&packed, 3, 8), Some((0..8).collect()));
        assert_eq!(runs(&[8, 5], 3, 4), Some(vec![5; 4]));
        assert_eq!(runs(&[8, 5], 3, 5), None);
        assert_eq!(runs(&[], 0, 3), Some(vec![0; 3]));
    }

    proptest! {
        #[test]
        fn any_bytes_are_runs_or_not(bytes in prop::collection::vec(any::<u8>(), 0..60), width in 0_u32..40, count in 0_usize..500) {
            if let Some(values) = runs(&bytes, width, count) {
                prop_assert_eq!(values.len(), count);
            }
            let _ = snappy::unpack(&bytes, count);
        }
    }
}
