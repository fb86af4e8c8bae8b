//! FlatGeobuf, version 3 (its header.fbs and feature.fbs, from memory; tried on files of another writer).
//!
//! The index is passed over: everything is read. With an index the features stand by place, not in the
//! order in which they were logged, and the taker is told so.

use super::flatbuffer::Table;
use super::{Bytes, Geometry, Head, Taker, Want, check_columns, number, of_file, refuse};
use crate::FormatError;
use crate::crs::Crs;
use crate::geojson::{Corner, Polygon};

/// Bytes of one node of the index: four numbers and an offset.
const NODE: u64 = 40;
/// Largest header and feature, bytes.
const MOST_PIECE: usize = 64 << 20;
/// Kinds of geometry.
const POINT: u8 = 1;
const POLYGON: u8 = 3;
const MULTI_POINT: u8 = 4;
const MULTI_POLYGON: u8 = 6;

/// Fields of the tables, by number.
mod field {
    pub(super) const HEADER_NAME: usize = 0;
    pub(super) const HEADER_KIND: usize = 2;
    pub(super) const HEADER_COLUMNS: usize = 7;
    pub(super) const HEADER_COUNT: usize = 8;
    pub(super) const HEADER_NODE_SIZE: usize = 9;
    pub(super) const HEADER_CRS: usize = 10;
    pub(super) const COLUMN_NAME: usize = 0;
    pub(super) const COLUMN_KIND: usize = 1;
    pub(super) const CRS_ORGANIZATION: usize = 0;
    pub(super) const CRS_CODE: usize = 1;
    pub(super) const CRS_TEXT: usize = 4;
    pub(super) const FEATURE_GEOMETRY: usize = 0;
    pub(super) const FEATURE_PROPERTIES: usize = 1;
    pub(super) const FEATURE_COLUMNS: usize = 2;
    pub(super) const GEOMETRY_ENDS: usize = 0;
    pub(super) const GEOMETRY_XY: usize = 1;
    pub(super) const GEOMETRY_KIND: usize = 6;
    pub(super) const GEOMETRY_PARTS: usize = 7;
}

pub(super) fn read(
    bytes: &[u8],
    file: &str,
    want: Want,
    taker: &mut dyn Taker,
) -> Result<(), FormatError> {
    let damaged = || {
        refuse(
            file,
            "a FlatGeobuf that breaks off in its header",
            "a whole one; copy it again",
        )
    };
    let mut rest = Bytes { rest: bytes };
    rest.take(8).ok_or_else(damaged)?;
    let header = piece(&mut rest).and_then(Table::root).ok_or_else(damaged)?;
    let kind = header.u8(field::HEADER_KIND).unwrap_or(0);
    let fits = match want {
        Want::Points => matches!(kind, 0 | POINT | MULTI_POINT),
        Want::Polygons => matches!(kind, 0 | POLYGON | MULTI_POLYGON),
    };
    if !fits {
        let what = match kind {
            POINT | MULTI_POINT => "points".to_owned(),
            POLYGON | MULTI_POLYGON => "polygons".to_owned(),
            2 | 5 => "lines".to_owned(),
            other => format!("kind {other}"),
        };
        return Err(refuse(
            file,
            format!("a FlatGeobuf of {what}"),
            format!("one of {}", want.word()),
        ));
    }
    let count = header.u64(field::HEADER_COUNT).unwrap_or(0);
    let node_size = header.u16(field::HEADER_NODE_SIZE).unwrap_or(16);
    let told = header.tables(field::HEADER_COLUMNS).unwrap_or_default();
    check_columns(file, told.len())?;
    let columns = columns(&told);
    taker.begin(Head {
        name: header.text(field::HEADER_NAME).unwrap_or_default(),
        crs: crs(&header).map_err(|why| of_file(file, why))?,
        columns: columns.iter().map(|column| column.name.clone()).collect(),
    })?;
    let indexed = node_size >= 2 && count > 0;
    if indexed {
        taker.reordered();
        let bytes = index_bytes(count, u64::from(node_size));
        let passed = bytes.and_then(|bytes| rest.take(usize::try_from(bytes).ok()?));
        passed.ok_or_else(damaged)?;
    }
    let mut cells = vec![String::new(); columns.len()];
    let mut read = 0_u64;
    while !rest.rest.is_empty() {
        let Some(feature) = piece(&mut rest).and_then(Table::root) else {
            taker.cut_short(format!(
                "the FlatGeobuf breaks off after {read} features of {count}; copy it again"
            ));
            return Ok(());
        };
        read += 1;
        cells.iter_mut().for_each(String::clear);
        let told = feature.numbers(field::FEATURE_PROPERTIES, 1).unwrap_or(&[]);
        let own = feature.numbers(field::FEATURE_COLUMNS, 4).unwrap_or(&[]);
        // a feature with columns of its own is allowed, and nobody writes it
        let whole = own.is_empty() && properties(told, &columns, &mut cells).is_some();
        let geometry = if whole {
            feature
                .table(field::FEATURE_GEOMETRY)
                .map_or(Geometry::None, |table| geometry(&table, kind))
        } else {
            Geometry::Other("a feature whose attributes cannot be read".into())
        };
        taker.feature(geometry, &cells)?;
    }
    if read < count {
        taker.cut_short(format!(
            "the FlatGeobuf breaks off after {read} features of {count}; copy it again"
        ));
    }
    Ok(())
}

/// The next piece that says its size.
fn piece<'a>(rest: &mut Bytes<'a>) -> Option<&'a [u8]> {
    let size = rest.u32()? as usize;
    if size > MOST_PIECE {
        return None;
    }
    rest.take(size)
}

/// How many bytes the index takes: a packed tree with a leaf a feature.
fn index_bytes(count: u64, node_size: u64) -> Option<u64> {
    let (mut level, mut nodes) = (count, count);
    while level > 1 {
        level = level.div_ceil(node_size);
        nodes = nodes.checked_add(level)?;
    }
    nodes.checked_mul(NODE)
}

struct Column {
    name: String,
    kind: u8,
}

fn columns(told: &[Table<'_>]) -> Vec<Column> {
    told.iter()
        .map(|column| Column {
            name: crate::crs::short(&column.text(field::COLUMN_NAME).unwrap_or_default()),
            kind: column.u8(field::COLUMN_KIND).unwrap_or(0),
        })
        .collect()
}

fn crs(header: &Table<'_>) -> Result<Crs, FormatError> {
    let Some(told) = header.table(field::HEADER_CRS) else {
        return Ok(Crs::unsaid());
    };
    let organization = told.text(field::CRS_ORGANIZATION).unwrap_or_default();
    let code = told.i32(field::CRS_CODE).unwrap_or(0);
    let text = told.text(field::CRS_TEXT).unwrap_or_default();
    let epsg = organization.is_empty() || organization.eq_ignore_ascii_case("EPSG");
    if code != 0 && epsg {
        let known = Crs::epsg(i64::from(code));
        if known.is_ok() || text.is_empty() {
            return known;
        }
    }
    if text.is_empty() {
        return Ok(Crs::unsaid());
    }
    Crs::wkt(&text)
}

/// Writes the attributes that are there; `None` if they break off or are of a kind that nobody knows.
fn properties(told: &[u8], columns: &[Column], cells: &mut [String]) -> Option<()> {
    let mut input = Bytes { rest: told };
    while !input.rest.is_empty() {
        let at = usize::from(u16::from_le_bytes(input.array()?));
        let (column, cell) = (columns.get(at)?, cells.get_mut(at)?);
        *cell = match column.kind {
            0 => i8::from_le_bytes(input.array()?).to_string(),
            1 => u8::from_le_bytes(input.array()?).to_string(),
            2 => (input.array::<1>()? != [0]).to_string(),
            3 => i16::from_le_bytes(input.array()?).to_string(),
            4 => u16::from_le_bytes(input.array()?).to_string(),
            5 => i32::from_le_bytes(input.array()?).to_string(),
            6 => u32::from_le_bytes(input.array()?).to_string(),
            7 => i64::from_le_bytes(input.array()?).to_string(),
            8 => u64::from_le_bytes(input.array()?).to_string(),
            // in its own shortest form, which is what was meant
            9 => f32::from_le_bytes(input.array()?).to_string(),
            10 => number(input.f64()?),
            11..=13 => {
                let size = input.u32()? as usize;
                String::from_utf8_lossy(input.take(size)?).into_owned()
            }
            14 => {
                let size = input.u32()? as usize;
                input.take(size)?;
                String::new()
            }
            _ => return None,
        };
    }
    Some(())
}

fn geometry(told: &Table<'_>, of_layer: u8) -> Geometry {
    let kind = match of_layer {
        0 => told.u8(field::GEOMETRY_KIND).unwrap_or(0),
        known => known,
    };
    let broken = || Geometry::Other("a geometry that breaks off".into());
    match kind {
        POINT | MULTI_POINT => match corners(told).as_slice() {
            [] => Geometry::None,
            [one] => Geometry::Point(*one),
            several => Geometry::Other(format!("a group of {} points", several.len())),
        },
        POLYGON => polygon(told).map_or_else(broken, |one| Geometry::Polygons(vec![one])),
        MULTI_POLYGON => polygons(told).map_or_else(broken, Geometry::Polygons),
        2 | 5 => Geometry::Other("lines".into()),
        other => Geometry::Other(format!("geometry kind {other}")),
    }
}

fn corners(told: &Table<'_>) -> Vec<Corner> {
    let mut input = Bytes {
        rest: told.numbers(field::GEOMETRY_XY, 8).unwrap_or(&[]),
    };
    std::iter::from_fn(|| input.position()).collect()
}

fn polygons(told: &Table<'_>) -> Option<Vec<Polygon>> {
    let parts = told.tables(field::GEOMETRY_PARTS)?;
    // parts that share their corners could ask for more memory than there is
    let wanted: usize = parts
        .iter()
        .map(|part| part.numbers(field::GEOMETRY_XY, 8).map_or(0, <[u8]>::len))
        .sum();
    if wanted > told.size() {
        return None;
    }
    parts.iter().map(polygon).collect()
}

fn polygon(told: &Table<'_>) -> Option<Polygon> {
    let corners = corners(told);
    let mut ends: Vec<usize> = told
        .numbers(field::GEOMETRY_ENDS, 4)
        .unwrap_or(&[])
        .chunks_exact(4)
        .map(|end| {
            end.iter()
                .rev()
                .fold(0, |all, byte| all << 8 | usize::from(*byte))
        })
        .collect();
    // one ring needs no list of ends
    if ends.is_empty() {
        ends.push(corners.len());
    }
    if ends.len() > corners.len() {
        return None;
    }
    let starts = std::iter::once(0).chain(ends.iter().copied());
    starts
        .zip(&ends)
        .map(|(start, end)| corners.get(start..*end).map(<[_]>::to_vec))
        .collect()
}
