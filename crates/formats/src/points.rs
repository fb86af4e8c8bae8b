//! Combine points in the open formats of map programs: Shapefile, GeoJSON, GeoPackage, FlatGeobuf,
//! GeoParquet.
//!
//! [`read`] tells the format by content and gives the same [`Track`] that [`crate::delimited`] gives for the
//! same rows: attributes are taken for columns, by the same names, units and limits, and positions come
//! from the geometry, turned into degrees ([`crate::crs`]). Attributes that name a longitude or a latitude
//! are passed over, since the geometry says it. Rows are numbered from 1.
//!
//! ```
//! use formats::points::{Parts, read};
//! let text = r#"{"type": "FeatureCollection", "features": [{"type": "Feature",
//!     "geometry": {"type": "Point", "coordinates": [-93.9, 43.9]},
//!     "properties": {"flow lb/s": 22.0, "seconds": 1, "dist ft": 6.5, "moist": 17.5}}]}"#;
//! let read = read(&Parts::of(text.into()), "points.geojson", &Default::default())?;
//! assert_eq!(read.track.points[0].longitude_deg, -93.9);
//! assert_eq!(read.notes, ["assumed: moist %"]);
//! # Ok::<(), formats::FormatError>(())
//! ```
//!
//! Limitations: the whole file is held in memory, 512 MB at most. Heights of the geometry are dropped; an
//! elevation is read from its attribute. A file with several layers of points is refused.

use crate::FormatError;
use crate::crs::Crs;
use crate::delimited::{
    ColumnOverride, ColumnReading, ReadOptions, Role, Table, assumptions, is_position,
};
use crate::layers::{self, Geometry, Head, Taker, Want};
use serde::Serialize;
use track::{Done, Finding, FindingKind, Track};

pub use crate::layers::{Form, Parts, Unpacked, names_points, told_by, unpacked};

/// Names of the columns that the geometry gives.
const LONGITUDE: &str = "long";
const LATITUDE: &str = "lat";

/// Points and how they were read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointsRead {
    /// The points, and a finding for every row set aside.
    #[serde(skip)]
    pub track: Track,
    /// What the file was.
    pub form: Form,
    /// How each attribute was read.
    pub columns: Vec<ColumnReading>,
    /// What was assumed or is to be known, one sentence each.
    pub notes: Vec<String>,
}

/// Reads points; `file` is its name for messages.
///
/// # Errors
/// A file of another kind; no points in it; columns or units missing; a coordinate system that is not
/// read; positions that do not lie where it says; no usable row; with `strict`, the first bad row.
pub fn read(parts: &Parts, file: &str, options: &ReadOptions) -> Result<PointsRead, FormatError> {
    let mut maker = Maker {
        file,
        options,
        begun: None,
        notes: Vec::new(),
        cut_short: None,
        reordered: false,
        others: 0,
        other: None,
        placed: 0,
        outside: 0,
        first_outside: None,
    };
    let form = layers::read(parts, file, Want::Points, &mut maker)?;
    maker.finish(form)
}

/// Features out of place after which the file is looked at as a whole, before it is read to its end.
const LOOKED_AT: u64 = 1_000;

/// What the head of the layer led to.
struct Begun<'a> {
    table: Table<'a>,
    crs: Crs,
    /// Attributes that are cells of the table.
    taken: Vec<usize>,
}

struct Maker<'a> {
    file: &'a str,
    options: &'a ReadOptions,
    begun: Option<Begun<'a>>,
    notes: Vec<String>,
    cut_short: Option<String>,
    reordered: bool,
    /// Features of another kind, and the first such kind.
    others: u64,
    other: Option<String>,
    placed: u64,
    outside: u64,
    first_outside: Option<[f64; 2]>,
}

impl Taker for Maker<'_> {
    fn begin(&mut self, head: Head) -> Result<(), FormatError> {
        let (mut names, mut taken) = (vec![LONGITUDE.to_owned(), LATITUDE.to_owned()], Vec::new());
        let mut options = self.options.clone();
        for (i, name) in head.columns.iter().enumerate() {
            let named = |said: &ColumnOverride| {
                said.column.trim().to_lowercase() == name.trim().to_lowercase()
            };
            if is_position(name) {
                // whatever is said of it, the geometry is what counts
                options.columns.retain(|said| !named(said));
            } else {
                names.push(name.clone());
                taken.push(i);
            }
        }
        for (column, role) in [(LONGITUDE, Role::Longitude), (LATITUDE, Role::Latitude)] {
            options.columns.push(ColumnOverride {
                column: column.to_owned(),
                role: Some(role),
                unit: Some("deg".to_owned()),
            });
        }
        self.notes.extend(head.crs.note());
        self.begun = Some(Begun {
            table: Table::new(self.file, &names, &options)?,
            crs: head.crs,
            taken,
        });
        Ok(())
    }

    fn feature(&mut self, geometry: Geometry, cells: &[String]) -> Result<(), FormatError> {
        let begun = self
            .begun
            .as_mut()
            .expect("a layer begins before its features");
        let [x, y] = match geometry {
            Geometry::None => [String::new(), String::new()],
            Geometry::Point([x, y]) if x.is_nan() || y.is_nan() => [String::new(), String::new()],
            Geometry::Point([x, y]) => {
                self.placed += 1;
                match begun.crs.degrees(x, y) {
                    Some(degrees) => degrees.map(|value| value.to_string()),
                    // no fix, whatever the grid
                    None if x == 0.0 && y == 0.0 => ["0", "0"].map(str::to_owned),
                    None => {
                        self.outside += 1;
                        self.first_outside.get_or_insert([x, y]);
                        [x, y].map(|value| format!("{value}, off the map grid"))
                    }
                }
            }
            Geometry::Polygons(_) => self.foreign("a polygon".to_owned()),
            Geometry::Other(kind) => self.foreign(kind),
        };
        if self.others + self.outside == LOOKED_AT
            && let Some(why) = self.elsewhere()
        {
            return Err(why);
        }
        let begun = self.begun.as_mut().expect("as above");
        let rest = begun
            .taken
            .iter()
            .map(|i| cells.get(*i).map_or("", String::as_str));
        begun
            .table
            .row([x.as_str(), y.as_str()].into_iter().chain(rest))
    }

    fn note(&mut self, what: String) {
        self.notes.push(what);
    }

    fn cut_short(&mut self, what: String) {
        self.cut_short = Some(what);
    }

    fn reordered(&mut self) {
        self.reordered = true;
    }
}

impl Maker<'_> {
    /// The cells of a feature that is no point.
    fn foreign(&mut self, kind: String) -> [String; 2] {
        self.others += 1;
        let cells = [kind.clone(), kind.clone()];
        self.other.get_or_insert(kind);
        cells
    }

    /// What is wrong with the file as a whole, as far as it was read.
    fn elsewhere(&self) -> Option<FormatError> {
        let refuse = |(found, expected): (String, String)| FormatError::NotThis {
            file: self.file.to_owned(),
            found,
            expected,
        };
        if self.placed == 0 {
            let found = match &self.other {
                Some(kind) => format!(
                    "no point, but {} other features, the first {kind}",
                    self.others
                ),
                None => "no point with a position".to_owned(),
            };
            return Some(refuse((found, "one combine point a feature".to_owned())));
        }
        // a few may be the receiver's fault; many are the coordinate system's
        let [x, y] = self
            .first_outside
            .filter(|_| self.outside * 2 > self.placed)?;
        Some(refuse(self.begun.as_ref()?.crs.outside(x, y)))
    }

    fn finish(mut self, form: Form) -> Result<PointsRead, FormatError> {
        if let Some(why) = self.elsewhere() {
            return Err(why);
        }
        let begun = self
            .begun
            .take()
            .expect("a reader begins the layer or fails");
        let mut read = begun.table.finish()?;
        if let Some(what) = self.cut_short {
            if self.options.strict {
                return Err(FormatError::NotThis {
                    file: self.file.to_owned(),
                    found: what,
                    expected: "a whole file".to_owned(),
                });
            }
            read.track.note(Finding {
                row: None,
                byte: None,
                kind: FindingKind::CutShort,
                what,
                done: Done::Warned,
                mass_kg: None,
            });
        }
        let mut notes = self.notes;
        notes.extend(assumptions(&read.columns, read.profile.as_ref()));
        if self.reordered {
            notes.push(in_order(&mut read.track));
        }
        let made = |column: &ColumnReading| {
            matches!(column.role, Some(Role::Longitude | Role::Latitude))
                && (column.column == LONGITUDE || column.column == LATITUDE)
        };
        read.columns.retain(|column| !made(column));
        Ok(PointsRead {
            track: read.track,
            form,
            columns: read.columns,
            notes,
        })
    }
}

/// Puts points back in the order of their times, if each has one, and says what was done.
fn in_order(track: &mut Track) -> String {
    if track.points.iter().all(|point| point.time_s.is_some()) {
        track.points.sort_by(|a, b| {
            let time = |point: &track::RawPoint| point.time_s.unwrap_or(f64::NEG_INFINITY);
            time(a).total_cmp(&time(b))
        });
        // loads stand in the order of their first points
        let mut renamed = std::collections::BTreeMap::new();
        for load in track
            .points
            .iter_mut()
            .filter_map(|point| point.load.as_mut())
        {
            let next = renamed.len() as u32;
            *load = *renamed.entry(*load).or_insert(next);
        }
        let mut loads = vec![String::new(); renamed.len()];
        for (old, new) in renamed {
            loads[new as usize] = std::mem::take(&mut track.loads[old as usize]);
        }
        track.loads = loads;
        "the file holds its points by place; they were put back in the order of their times".into()
    } else {
        "the file holds its points by place and has no time for each: passes cannot be told from them, only totals"
            .into()
    }
}
