//! In what a file's positions are, and from there to degrees.
//!
//! A coordinate system is named by a number of the EPSG registry ([`Crs::epsg`]) or written out as
//! well-known text ([`Crs::wkt`]; OGC 01-009, its dialect in `.prj` files, and OGC 18-010) or JSON ([`Crs::projjson`]). Read are degrees, and
//! transverse Mercator grids (UTM among them) in meters, feet and US survey feet, on WGS 84 or on a datum
//! within some 2 m of it (NAD83, ETRS89 and others on GRS 1980); what else there is, is refused by name.
//!
//! Limitations: the datums named above are taken as WGS 84, which is said in [`Crs::note`]; over one field
//! the difference is the same everywhere. The first coordinate is taken as east, the second as north,
//! as files hold them whatever their text says of axes. Heights are not read. Feet that nobody said, latitude
//! first and another zone are noticed only where they put a position off the Earth or more than 500 km
//! from the central meridian.
//!
//! ```
//! use formats::crs::Crs;
//! let grid = Crs::epsg(26915)?; // NAD83, UTM zone 15 north
//! let [longitude, latitude] = grid.degrees(421_750.0, 4_863_200.0).expect("in the zone");
//! assert!((longitude + 93.974654).abs() < 1e-6 && (latitude - 43.917757).abs() < 1e-6); // cs2cs
//! assert!(grid.degrees(-93.97, 43.92).is_none(), "degrees are no meters");
//! let why = Crs::epsg(26715).unwrap_err().to_string();
//! assert!(why.starts_with("found coordinates in EPSG:26715, expected degrees"));
//! # Ok::<(), formats::FormatError>(())
//! ```

mod json;
mod wkt;

use crate::FormatError;
use track::{Ellipsoid, Grid, TransverseMercator};

/// What can be read, and the way out.
const WANTED: &str = "degrees, or a transverse Mercator grid such as UTM in meters or feet, on WGS 84, NAD83 or ETRS89; save it again in longitude and latitude (EPSG:4326)";
/// Farthest from the central meridian that a grid is used, m: a zone of UTM is 334 km to each side at
/// most. Common practice, no source; it tells feet that nobody said, and other zones.
const MOST_EAST_M: f64 = 500_000.0;
/// Farthest from the equator, m: the pole is at 10,002 km.
const MOST_NORTH_M: f64 = 10_002_000.0;
/// Meters in a US survey foot, exact.
const US_FT: f64 = 1_200.0 / 3_937.0;

/// A coordinate system.
#[derive(Debug, Clone, PartialEq)]
pub struct Crs {
    name: String,
    datum: String,
    kind: Kind,
}

#[derive(Debug, Clone, PartialEq)]
enum Kind {
    /// Nobody said anything; degrees, if they can be.
    Unsaid,
    Degrees,
    Grid {
        grid: TransverseMercator,
        /// Easting and northing where the central meridian meets the equator, m.
        equator_m: [f64; 2],
        meters_per_unit: f64,
        unit: &'static str,
    },
}

fn refused(found: impl Into<String>) -> FormatError {
    FormatError::Malformed {
        found: format!("coordinates in {}", found.into()),
        expected: WANTED.into(),
    }
}

impl Crs {
    /// Longitude and latitude on WGS 84.
    pub fn wgs_84() -> Self {
        Self::of_degrees("WGS 84", "WGS 84")
    }

    /// Of a file that does not say; degrees, if its numbers can be.
    pub fn unsaid() -> Self {
        Self {
            name: "no coordinate system that the file says".into(),
            datum: "WGS 84".into(),
            kind: Kind::Unsaid,
        }
    }

    fn of_degrees(name: &str, datum: &str) -> Self {
        Self {
            name: name.into(),
            datum: datum.into(),
            kind: Kind::Degrees,
        }
    }

    fn of_grid(
        name: String,
        datum: &str,
        grid: Grid,
        (unit, meters_per_unit): (&'static str, f64),
    ) -> Self {
        let mercator = TransverseMercator::new(grid);
        let (east, north) = mercator.forward(grid.central_deg, 0.0);
        Self {
            name,
            datum: datum.into(),
            kind: Kind::Grid {
                grid: mercator,
                equator_m: [east, north],
                meters_per_unit,
                unit,
            },
        }
    }

    /// By number of the EPSG registry: 4326 and 4979 (WGS 84), 4269 and 6318 (NAD83), 4258 (ETRS89), and
    /// UTM zones 326xx, 327xx (WGS 84), 269xx and 63xx (NAD83), 258xx (ETRS89). Numbers from memory, and
    /// tried against PROJ.
    ///
    /// # Errors
    /// Any other number.
    pub fn epsg(code: i64) -> Result<Self, FormatError> {
        let utm = |first: i64, south: bool, datum: &str, ellipsoid: Ellipsoid| {
            let zone = u8::try_from(code - first + 1).expect("the match keeps it within 1 to 60");
            let side = if south { "south" } else { "north" };
            Self::of_grid(
                format!("EPSG:{code} ({datum}, UTM zone {zone} {side})"),
                datum,
                Grid::utm(zone, south, ellipsoid),
                ("meters", 1.0),
            )
        };
        let (wgs, grs) = (Ellipsoid::WGS_84, Ellipsoid::GRS_1980);
        Ok(match code {
            4326 | 4979 => Self::wgs_84(),
            4269 | 6318 => Self::of_degrees("NAD83", "NAD83"),
            4258 => Self::of_degrees("ETRS89", "ETRS89"),
            32_601..=32_660 => utm(32_601, false, "WGS 84", wgs),
            32_701..=32_760 => utm(32_701, true, "WGS 84", wgs),
            26_901..=26_923 => utm(26_901, false, "NAD83", grs),
            6_330..=6_348 => utm(6_330, false, "NAD83", grs),
            25_828..=25_838 => utm(25_801, false, "ETRS89", grs),
            _ => return Err(refused(format!("EPSG:{code}"))),
        })
    }

    /// By name, as old GeoJSON and others write it: `EPSG:26915`, `urn:ogc:def:crs:EPSG::26915`,
    /// `urn:ogc:def:crs:OGC:1.3:CRS84`.
    ///
    /// # Errors
    /// A name of another form, or a number that [`Self::epsg`] does not know.
    pub fn named(name: &str) -> Result<Self, FormatError> {
        let last = name.rsplit([':', '/']).next().unwrap_or_default();
        let upper = name.to_uppercase();
        if last.eq_ignore_ascii_case("CRS84") || last.eq_ignore_ascii_case("CRS84h") {
            return Ok(Self::wgs_84());
        }
        match last.parse() {
            Ok(code) if upper.contains("EPSG") => Self::epsg(code),
            _ => Err(refused(format!("'{}'", short(name)))),
        }
    }

    /// Written out as well-known text, of any of its dialects.
    ///
    /// # Errors
    /// Text that is not well-known text, or a system that is not read here, by name.
    pub fn wkt(text: &str) -> Result<Self, FormatError> {
        wkt::crs(text)
    }

    /// Written out as PROJJSON, by its number if that is known here.
    ///
    /// # Errors
    /// A system that is not read here, by name.
    pub fn projjson(system: &serde_json::Value) -> Result<Self, FormatError> {
        let id = &system["id"];
        let code = match &id["code"] {
            serde_json::Value::String(code) => code.clone(),
            other => other.to_string(),
        };
        let known = id["authority"]
            .as_str()
            .and_then(|authority| Self::named(&format!("{authority}:{code}")).ok());
        match (known, json::as_text(system)) {
            (Some(known), _) => Ok(known),
            (None, Some(text)) => Self::wkt(&text),
            (None, None) => Err(refused(format!(
                "'{}'",
                short(system["name"].as_str().unwrap_or("no name"))
            ))),
        }
    }

    /// Its name, for a person.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What is assumed of it, one sentence, if anything is.
    pub fn note(&self) -> Option<String> {
        if self.kind == Kind::Unsaid {
            return Some(
                "the file says no coordinate system; positions taken as WGS 84 degrees".into(),
            );
        }
        let plain: String = self
            .datum
            .chars()
            .filter(char::is_ascii_alphanumeric)
            .collect();
        let is_wgs = plain.to_uppercase().contains("WGS84")
            || plain.to_uppercase().contains("WGS1984")
            || plain.to_uppercase().contains("WORLDGEODETICSYSTEM1984");
        (!is_wgs).then(|| {
            format!(
                "positions in {} taken as WGS 84; the two lie within some 2 m of each other, the same all over a field",
                short(&self.datum)
            )
        })
    }

    /// Longitude and latitude, degrees, of a position; `None` outside the ground that the system is for.
    pub fn degrees(&self, x: f64, y: f64) -> Option<[f64; 2]> {
        match &self.kind {
            Kind::Unsaid | Kind::Degrees => {
                // some write 0 to 360
                let x = if x > 180.0 && x <= 360.0 && self.kind == Kind::Degrees {
                    x - 360.0
                } else {
                    x
                };
                (x.abs() <= 180.0 && y.abs() <= 90.0).then_some([x, y])
            }
            Kind::Grid {
                grid,
                equator_m,
                meters_per_unit,
                ..
            } => {
                let (east, north) = (x * meters_per_unit, y * meters_per_unit);
                let near = (east - equator_m[0]).abs() < MOST_EAST_M
                    && (north - equator_m[1]).abs() <= MOST_NORTH_M;
                let (longitude, latitude) = grid.inverse(east, north);
                // near the equator and its false northing a degree pair looks like meters
                let small = x.abs() <= 180.0 && y.abs() <= 90.0;
                (near && !small && longitude.is_finite() && latitude.is_finite())
                    .then_some([longitude, latitude])
            }
        }
    }

    /// Why a position outside is outside, as "found X, expected Y".
    pub(crate) fn outside(&self, x: f64, y: f64) -> (String, String) {
        let found = format!("the position {x} {y} in {}", self.name);
        let again = "save it again in longitude and latitude (EPSG:4326)";
        let expected = match &self.kind {
            Kind::Unsaid => format!(
                "longitude and latitude in degrees; they may be meters or feet of a map grid, or latitude first: say which with a .prj file beside it, or {again}"
            ),
            Kind::Degrees if y.abs() <= 180.0 && x.abs() <= 90.0 => format!(
                "longitude -180 to 180, then latitude -90 to 90; the two seem swapped: {again}"
            ),
            Kind::Degrees => format!(
                "longitude -180 to 180 and latitude -90 to 90; they seem to be meters or feet of a map grid: {again}"
            ),
            Kind::Grid { unit, .. } => format!(
                "{unit} within 500 km of its central meridian; they may be in another unit, another zone, degrees or swapped: {again}"
            ),
        };
        (found, expected)
    }
}

/// A name for a message: short, and without control characters.
pub(crate) fn short(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(60).collect()
}
