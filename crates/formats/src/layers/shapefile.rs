//! Shapefiles: the shapes of `.shp`, the rows of `.dbf`, the system of `.prj`, the encoding of `.cpg`
//! (ESRI Shapefile Technical Description, 1998, from memory; tried on files of another writer).
//!
//! Heights and measures are dropped. Rings are put together by containment, not by the direction in
//! which they run, since some writers turn them round.

use super::dbf::{Dbf, Row};
use super::{Bytes, Geometry, Head, Parts, Taker, Want, check_columns, of_file, refuse};
use crate::FormatError;
use crate::crs::Crs;
use crate::geojson::Corner;

const HEADER: usize = 100;

pub(super) fn read(
    parts: &Parts,
    file: &str,
    want: Want,
    taker: &mut dyn Taker,
) -> Result<(), FormatError> {
    let shapes = parts.main();
    let whole = "a whole Shapefile: .shp, .shx, .dbf and .prj; copy all of them again";
    let Some(kind) = shapes.get(32..36).map(little) else {
        return Err(refuse(
            file,
            "a Shapefile that breaks off in its header",
            whole,
        ));
    };
    let said = shapes[24..28]
        .iter()
        .fold(0, |all, byte| all << 8 | u64::from(*byte))
        * 2;
    let fits = match want {
        Want::Points => matches!(kind, 0 | 1 | 8 | 11 | 18 | 21 | 28),
        Want::Polygons => matches!(kind, 0 | 5 | 15 | 25),
    };
    if !fits {
        return Err(refuse(
            file,
            format!("a Shapefile of {}", word(kind)),
            format!("one of {}", want.word()),
        ));
    }
    let table = parts.beside("dbf").ok_or_else(|| {
        refuse(
            file,
            "a Shapefile without its attributes",
            "the .dbf file of the same name beside it; put .shp, .dbf and .prj into one zip archive",
        )
    })?;
    let page = parts.beside("cpg").map(String::from_utf8_lossy);
    let table = Dbf::new(table, page.as_deref()).map_err(|found| refuse(file, found, whole))?;
    check_columns(file, table.names.len())?;
    let crs = match parts.beside("prj").map(String::from_utf8_lossy) {
        Some(text) if !text.trim().is_empty() => {
            Crs::wkt(&text).map_err(|why| of_file(file, why))?
        }
        _ => Crs::unsaid(),
    };
    taker.begin(Head {
        name: String::new(),
        crs,
        columns: table.names.clone(),
    })?;
    if let Some(note) = &table.note {
        taker.note(note.clone());
    }
    let mut cells = vec![String::new(); table.names.len()];
    let mut rest = Bytes {
        rest: &shapes[HEADER.min(shapes.len())..],
    };
    let (mut row, mut deleted) = (0, 0_u64);
    let mut short = said > shapes.len() as u64;
    while !rest.rest.is_empty() {
        let Some(content) = record(&mut rest) else {
            short = true;
            break;
        };
        match table.row(row, &mut cells) {
            Row::There => taker.feature(geometry(content), &cells)?,
            Row::Deleted => deleted += 1,
            Row::Beyond => {
                short = true;
                break;
            }
        }
        row += 1;
    }
    if deleted > 0 {
        taker.note(format!(
            "{deleted} rows are marked as deleted and were left out"
        ));
    }
    if short || row < table.promised {
        let lost = table.promised.saturating_sub(row);
        taker.cut_short(format!(
            "the Shapefile breaks off after {row} records, and {lost} more are promised; copy it again"
        ));
    }
    Ok(())
}

/// The content of the next record.
fn record<'a>(rest: &mut Bytes<'a>) -> Option<&'a [u8]> {
    rest.u32_big()?;
    let words = rest.u32_big()?;
    rest.take(usize::try_from(words).ok()?.checked_mul(2)?)
}

fn little(bytes: &[u8]) -> u32 {
    bytes
        .iter()
        .rev()
        .fold(0, |all, byte| all << 8 | u32::from(*byte))
}

fn word(kind: u32) -> String {
    match kind {
        1 | 11 | 21 => "points".into(),
        3 | 13 | 23 => "lines".into(),
        5 | 15 | 25 => "polygons".into(),
        8 | 18 | 28 => "groups of points".into(),
        31 => "surfaces".into(),
        other => format!("kind {other}"),
    }
}

fn geometry(content: &[u8]) -> Geometry {
    let broken = || Geometry::Other("a shape that breaks off".into());
    let mut input = Bytes { rest: content };
    match input.u32() {
        None => broken(),
        Some(0) => Geometry::None,
        Some(1 | 11 | 21) => input.position().map_or_else(broken, Geometry::Point),
        Some(8 | 18 | 28) => match group(input) {
            Some(Ok(point)) => Geometry::Point(point),
            Some(Err(count)) => Geometry::Other(format!("a group of {count} points")),
            None => broken(),
        },
        Some(5 | 15 | 25) => rings(input).map_or_else(broken, crate::polygons::assembled),
        Some(kind) => Geometry::Other(word(kind)),
    }
}

/// A group of one point is a point.
fn group(mut input: Bytes<'_>) -> Option<Result<[f64; 2], u32>> {
    input.take(32)?;
    match input.u32()? {
        1 => input.position().map(Ok),
        count => Some(Err(count)),
    }
}

fn rings(mut input: Bytes<'_>) -> Option<Vec<Vec<Corner>>> {
    input.take(32)?;
    let (parts, points) = (input.u32()? as usize, input.u32()? as usize);
    let starts: Vec<usize> = input
        .take(parts.checked_mul(4)?)?
        .chunks_exact(4)
        .map(|start| little(start) as usize)
        .collect();
    let mut corners = Bytes {
        rest: input.take(points.checked_mul(16)?)?,
    };
    let corners: Vec<Corner> = std::iter::from_fn(|| corners.position()).collect();
    let ends = starts.iter().skip(1).copied().chain([points]);
    starts
        .iter()
        .zip(ends)
        .map(|(start, end)| corners.get(*start..end).map(<[_]>::to_vec))
        .collect()
}
