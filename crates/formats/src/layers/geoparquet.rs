//! GeoParquet 1.1: a Parquet table whose key `geo` says which column holds geometries, and how.

use super::parquet::{File, Group};
use super::{Geometry, Head, Taker, Want, check_columns, of_file, refuse, wkb};
use crate::FormatError;
use crate::crs::Crs;
use serde_json::Value;

/// Most rows of a file, which a few bytes may claim.
const MOST_ROWS: usize = 10_000_000;
/// What all pages of a file may unpack to, bytes.
const MOST_UNPACKED: usize = 1 << 30;
const WHOLE: &str = "a whole GeoParquet file in a usual encoding (Snappy, gzip or Zstandard); save it again, or as GeoPackage";

pub(super) fn read(
    bytes: &[u8],
    file: &str,
    want: Want,
    taker: &mut dyn Taker,
) -> Result<(), FormatError> {
    let table = File::open(bytes).map_err(|found| refuse(file, found, WHOLE))?;
    let geo: Value = table
        .said("geo")
        .and_then(|told| serde_json::from_slice(told).ok())
        .ok_or_else(|| {
            refuse(
                file,
                "a Parquet table that does not say where its geometries are",
                "GeoParquet, with the key geo; or the points as CSV",
            )
        })?;
    let primary = geo["primary_column"].as_str().unwrap_or("geometry");
    let told = &geo["columns"][primary];
    let place = place(&table, file, want, primary, told)?;
    let attributes: Vec<usize> = (0..table.leaves.len())
        .filter(|at| {
            let leaf = &table.leaves[*at];
            leaf.path.len() == 1 && leaf.is_read() && geo["columns"][&leaf.path[0]].is_null()
        })
        .collect();
    check_columns(file, attributes.len())?;
    taker.begin(Head {
        name: String::new(),
        crs: crs(told).map_err(|why| of_file(file, why))?,
        columns: attributes
            .iter()
            .map(|at| table.leaves[*at].path[0].clone())
            .collect(),
    })?;
    let left_out: Vec<String> = table
        .leaves
        .iter()
        .filter(|leaf| leaf.path.len() == 1 && !leaf.is_read())
        .map(|leaf| crate::crs::short(&leaf.path[0]))
        .collect();
    if !left_out.is_empty() {
        taker.note(format!(
            "columns of a kind that is not read were left out: {}",
            left_out.join(", ")
        ));
    }
    let geometries = place.columns();
    let wanted: Vec<usize> = geometries.iter().chain(&attributes).copied().collect();
    let mut cells = vec![String::new(); attributes.len()];
    let (mut rows, mut left) = (0, MOST_UNPACKED);
    for group in 0..table.groups() {
        let group = table
            .group(group, &wanted, &mut left)
            .map_err(|found| refuse(file, found, WHOLE))?;
        rows += group.rows;
        if rows > MOST_ROWS {
            return Err(refuse(
                file,
                format!("more than {MOST_ROWS} rows"),
                "fewer; a season of one machine has some hundred thousand",
            ));
        }
        for row in 0..group.rows {
            for (i, cell) in cells.iter_mut().enumerate() {
                group.write(geometries.len() + i, row, cell);
            }
            taker.feature(place.geometry(&group, row), &cells)?;
        }
    }
    Ok(())
}

/// In which columns a geometry is.
enum Place {
    Binary(usize),
    Numbers(usize, usize),
}

impl Place {
    fn columns(&self) -> Vec<usize> {
        match self {
            Self::Binary(at) => vec![*at],
            Self::Numbers(x, y) => vec![*x, *y],
        }
    }

    fn geometry(&self, group: &Group, row: usize) -> Geometry {
        match self {
            Self::Binary(_) => group.bytes(0, row).map_or(Geometry::None, |bytes| {
                wkb::geometry(bytes)
                    .unwrap_or_else(|| Geometry::Other("a geometry that breaks off".into()))
            }),
            Self::Numbers(..) => group
                .real(0, row)
                .zip(group.real(1, row))
                .map_or(Geometry::None, |(x, y)| Geometry::Point([x, y])),
        }
    }
}

fn place(
    table: &File<'_>,
    file: &str,
    want: Want,
    primary: &str,
    told: &Value,
) -> Result<Place, FormatError> {
    let leaf = |path: &[&str]| {
        table
            .leaves
            .iter()
            .position(|leaf| leaf.path == path && leaf.is_read())
    };
    let encoding = told["encoding"].as_str().unwrap_or("WKB");
    let found = match encoding {
        "WKB" => leaf(&[primary]).map(Place::Binary),
        "point" if want == Want::Points => leaf(&[primary, "x"])
            .zip(leaf(&[primary, "y"]))
            .map(|(x, y)| Place::Numbers(x, y)),
        _ => None,
    };
    found.ok_or_else(|| {
        refuse(
            file,
            format!(
                "geometries in the column '{}' as {}",
                crate::crs::short(primary),
                crate::crs::short(encoding)
            ),
            format!(
                "{} as WKB (or points as numbers); save it again so, or as GeoPackage",
                want.word()
            ),
        )
    })
}

/// The coordinate system: none said is longitude and latitude, null is one that nobody knows.
fn crs(told: &Value) -> Result<Crs, FormatError> {
    let Some(system) = told.get("crs") else {
        return Ok(Crs::wgs_84());
    };
    if system.is_null() {
        return Ok(Crs::unsaid());
    }
    Crs::projjson(system)
}
