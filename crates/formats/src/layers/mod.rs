//! Layers of features (a geometry and a row of attributes) in open formats of map programs, told by
//! their content. [`crate::points`] and [`crate::polygons`] make of them what a farm needs.

mod dbf;
mod encoding;
mod flatbuffer;
mod flatgeobuf;
mod geojson;
mod geopackage;
mod geoparquet;
mod parquet;
mod parts;
mod shapefile;
pub(crate) mod wkb;

pub use parts::{Parts, Unpacked, unpacked};

use crate::FormatError;
use crate::crs::Crs;
use crate::geojson::Polygon;
use serde::Serialize;

/// Largest file that is taken into memory.
pub(crate) const MOST_BYTES: u64 = 512 << 20;
/// Most attributes of a layer.
const MOST_COLUMNS: usize = 2_000;

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Shapes (`.shp`), with attributes (`.dbf`) beside them.
    Shapefile,
    /// GeoJSON, RFC 7946 or older.
    GeoJson,
    /// A GeoPackage: an SQLite database.
    GeoPackage,
    /// FlatGeobuf.
    FlatGeobuf,
    /// GeoParquet.
    GeoParquet,
}

impl Form {
    /// Its name, for a person.
    pub fn word(self) -> &'static str {
        match self {
            Self::Shapefile => "a Shapefile",
            Self::GeoJson => "GeoJSON",
            Self::GeoPackage => "a GeoPackage",
            Self::FlatGeobuf => "FlatGeobuf",
            Self::GeoParquet => "GeoParquet",
        }
    }
}

/// Tells a layer by its first bytes (some twenty will do), never by a name.
///
/// ```
/// use formats::points::{Form, told_by};
/// assert_eq!(told_by(b"\xef\xbb\xbf {\"type\": \"FeatureCollection\""), Some(Form::GeoJson));
/// assert_eq!(told_by(b"SQLite format 3\0"), Some(Form::GeoPackage));
/// assert_eq!(told_by(b"long,lat,mass\n"), None);
/// ```
pub fn told_by(head: &[u8]) -> Option<Form> {
    let kinds: [(&[u8], Form); 4] = [
        (b"\x00\x00\x27\x0a", Form::Shapefile),
        (b"SQLite format 3\0", Form::GeoPackage),
        (b"fgb\x03fgb", Form::FlatGeobuf),
        (b"PAR1", Form::GeoParquet),
    ];
    if let Some((_, form)) = kinds.iter().find(|(magic, _)| head.starts_with(magic)) {
        return Some(*form);
    }
    let text = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(head);
    (text.trim_ascii_start().first() == Some(&b'{')).then_some(Form::GeoJson)
}

/// Whether GeoJSON names points among its geometries, and no polygons.
pub fn names_points(text: &[u8]) -> bool {
    let names = |word: &[u8]| memchr::memmem::find(text, word).is_some();
    names(b"\"Point\"") && !names(b"\"Polygon\"") && !names(b"\"MultiPolygon\"")
}

/// What a layer says before its features.
#[derive(Debug, Clone)]
pub(crate) struct Head {
    /// Its name; may be empty.
    pub(crate) name: String,
    pub(crate) crs: Crs,
    pub(crate) columns: Vec<String>,
}

/// Where a feature is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Geometry {
    None,
    Point([f64; 2]),
    Polygons(Vec<Polygon>),
    /// Another kind, by its name.
    Other(String),
}

/// Which features are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Want {
    Points,
    Polygons,
}

impl Want {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Points => "points",
            Self::Polygons => "polygons",
        }
    }
}

/// Who takes a layer, feature by feature.
pub(crate) trait Taker {
    /// The layer begins.
    fn begin(&mut self, head: Head) -> Result<(), FormatError>;
    /// The next feature, with a cell a column; an empty cell is nothing.
    fn feature(&mut self, geometry: Geometry, cells: &[String]) -> Result<(), FormatError>;
    /// Something to say of the whole.
    fn note(&mut self, what: String);
    /// The file ends too early; what came before holds.
    fn cut_short(&mut self, what: String);
    /// The features do not stand in the order in which they were written down.
    fn reordered(&mut self);
}

/// Reads the one layer of the kind asked for.
pub(crate) fn read(
    parts: &Parts,
    file: &str,
    want: Want,
    taker: &mut dyn Taker,
) -> Result<Form, FormatError> {
    let form = told_by(parts.main()).ok_or_else(|| FormatError::NotThis {
        file: file.to_owned(),
        found: "nothing that is known here".to_owned(),
        expected: format!(
            "{} as a Shapefile, GeoJSON, a GeoPackage, FlatGeobuf or GeoParquet",
            want.word()
        ),
    })?;
    match form {
        Form::Shapefile => shapefile::read(parts, file, want, taker)?,
        Form::GeoJson => geojson::read(parts.main(), file, taker)?,
        Form::GeoPackage => geopackage::read(parts.main(), file, want, taker)?,
        Form::FlatGeobuf => flatgeobuf::read(parts.main(), file, want, taker)?,
        Form::GeoParquet => geoparquet::read(parts.main(), file, want, taker)?,
    }
    Ok(form)
}

/// Refuses a file in one sentence.
fn refuse(file: &str, found: impl Into<String>, expected: impl Into<String>) -> FormatError {
    FormatError::NotThis {
        file: file.to_owned(),
        found: found.into(),
        expected: expected.into(),
    }
}

/// Names the file in an error that does not.
fn of_file(file: &str, why: FormatError) -> FormatError {
    match why {
        FormatError::Malformed { found, expected } => refuse(file, found, expected),
        other => other,
    }
}

/// Refuses too many columns, which no table of a farm has.
fn check_columns(file: &str, count: usize) -> Result<(), FormatError> {
    if count > MOST_COLUMNS {
        return Err(refuse(
            file,
            format!("{count} attributes"),
            format!("at most {MOST_COLUMNS}"),
        ));
    }
    Ok(())
}

/// Numbers in their shortest form, which comes back as the same double.
fn number(value: f64) -> String {
    if value.is_finite() {
        value.to_string()
    } else {
        String::new()
    }
}

/// Bytes not yet read; nothing is set up before its bytes are there.
#[derive(Debug, Clone, Copy)]
struct Bytes<'a> {
    rest: &'a [u8],
}

impl<'a> Bytes<'a> {
    fn take(&mut self, count: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.rest.split_at_checked(count)?;
        self.rest = rest;
        Some(taken)
    }

    fn array<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (taken, rest) = self.rest.split_first_chunk::<N>()?;
        self.rest = rest;
        Some(*taken)
    }

    fn u32(&mut self) -> Option<u32> {
        self.array().map(u32::from_le_bytes)
    }

    fn u32_big(&mut self) -> Option<u32> {
        self.array().map(u32::from_be_bytes)
    }

    fn f64(&mut self) -> Option<f64> {
        self.array().map(f64::from_le_bytes)
    }

    fn position(&mut self) -> Option<[f64; 2]> {
        Some([self.f64()?, self.f64()?])
    }
}
