//! Polygons with attributes in the open formats of map programs, such as a soil survey: Shapefile,
//! GeoJSON, GeoPackage, FlatGeobuf, GeoParquet.
//!
//! [`read`] tells the format by content and gives the outlines in degrees ([`crate::crs`]), holes and parts put
//! together, with their attributes as text. A feature that cannot be used is a finding.
//!
//! ```
//! use formats::polygons::{Parts, read};
//! let text = r#"{"type": "FeatureCollection", "features": [{"type": "Feature",
//!     "geometry": {"type": "Polygon", "coordinates": [[[-93.98,43.99],[-93.97,43.99],[-93.97,44.0],[-93.98,43.99]]]},
//!     "properties": {"MUSYM": "105C", "slope": 7.5}}]}"#;
//! let layer = read(&Parts::of(text.into()), "soil.geojson")?;
//! assert_eq!(layer.features[0].attribute("musym"), Some("105C"));
//! assert!((layer.features[0].shape.area_m2() / track::M2_PER_AC - 110.1).abs() < 0.1);
//! # Ok::<(), formats::FormatError>(())
//! ```
//!
//! Limitations: the whole file is held in memory, 512 MB at most. An outline that crosses itself is not
//! noticed. Heights are dropped.

use crate::FormatError;
use crate::crs::Crs;
use crate::geojson::{Corner, Polygon, Shape};
use crate::layers::{self, Geometry, Head, Taker, Want};

pub use crate::layers::{Form, Parts};

/// Most features of a layer.
const MOST_FEATURES: usize = 1_000_000;
/// Most rings of one feature times its corners: what putting them together may cost.
const MOST_WORK: usize = 200_000_000;

/// One feature: its outlines, and what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Polygons {
    /// Its row in the file, from 1.
    pub row: u64,
    /// What its attribute `name` says, in any case of letters, if it has one.
    pub name: Option<String>,
    /// Its rings, in degrees: one or several polygons, each with its holes.
    pub shape: Shape,
    /// Attributes as text, in the order of the layer's columns; empty ones are left out.
    pub attributes: Vec<(String, String)>,
}

impl Polygons {
    /// An attribute by its name, in any case of letters.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(name))
            .map(|(_, text)| text.as_str())
    }
}

/// A layer of polygons.
#[derive(Debug, Clone, PartialEq)]
pub struct PolygonLayer {
    /// Its name; empty when the file says none.
    pub name: String,
    /// What the file was.
    pub form: Form,
    /// Names of the attributes.
    pub columns: Vec<String>,
    /// What can be used; features + findings = rows of the layer.
    pub features: Vec<Polygons>,
    /// Rows set aside, from 1, and why.
    pub findings: Vec<(u64, String)>,
    /// What was assumed or is to be known, one sentence each.
    pub notes: Vec<String>,
}

/// Reads the one polygon layer of a file; `file` is its name for messages.
///
/// # Errors
/// A file of another kind; no polygon in it; a coordinate system that is not read; positions that do not
/// lie where it says.
pub fn read(parts: &Parts, file: &str) -> Result<PolygonLayer, FormatError> {
    let mut maker = Maker {
        file,
        crs: Crs::unsaid(),
        name: String::new(),
        columns: Vec::new(),
        features: Vec::new(),
        findings: Vec::new(),
        notes: Vec::new(),
        first_outside: None,
        outside: 0,
    };
    let form = layers::read(parts, file, Want::Polygons, &mut maker)?;
    maker.finish(form)
}

struct Maker<'a> {
    file: &'a str,
    crs: Crs,
    name: String,
    columns: Vec<String>,
    features: Vec<Polygons>,
    findings: Vec<(u64, String)>,
    notes: Vec<String>,
    first_outside: Option<Corner>,
    outside: usize,
}

impl Taker for Maker<'_> {
    fn begin(&mut self, head: Head) -> Result<(), FormatError> {
        self.notes.extend(head.crs.note());
        (self.crs, self.name, self.columns) = (head.crs, head.name, head.columns);
        Ok(())
    }

    fn feature(&mut self, geometry: Geometry, cells: &[String]) -> Result<(), FormatError> {
        let rows = self.features.len() + self.findings.len();
        if rows >= MOST_FEATURES {
            return Err(FormatError::NotThis {
                file: self.file.to_owned(),
                found: format!("more than {MOST_FEATURES} features"),
                expected: "fewer; cut the layer to the farm".to_owned(),
            });
        }
        let row = rows as u64 + 1;
        let shape = match geometry {
            Geometry::Polygons(polygons) => self.in_degrees(polygons),
            Geometry::None => Err("found no geometry, expected a polygon".to_owned()),
            Geometry::Point(_) => Err("found a point, expected a polygon".to_owned()),
            Geometry::Other(kind) => Err(format!("found {kind}, expected a polygon")),
        };
        match shape {
            Err(what) => self.findings.push((row, what)),
            Ok(shape) => {
                let told = self
                    .columns
                    .iter()
                    .zip(cells)
                    .filter(|(_, cell)| !cell.is_empty());
                let attributes: Vec<(String, String)> = told
                    .map(|(name, cell)| (name.clone(), cell.clone()))
                    .collect();
                let mut made = Polygons {
                    row,
                    name: None,
                    shape,
                    attributes,
                };
                made.name = made.attribute("name").map(str::to_owned);
                self.features.push(made);
            }
        }
        Ok(())
    }

    fn note(&mut self, what: String) {
        self.notes.push(what);
    }

    fn cut_short(&mut self, what: String) {
        self.notes.push(what);
    }

    /// The order of outlines says nothing.
    fn reordered(&mut self) {}
}

impl Maker<'_> {
    fn in_degrees(&mut self, mut polygons: Vec<Polygon>) -> Result<Shape, String> {
        for corner in polygons.iter_mut().flatten().flatten() {
            let [x, y] = *corner;
            let Some(degrees) = self.crs.degrees(x, y) else {
                self.outside += 1;
                self.first_outside.get_or_insert([x, y]);
                let (found, expected) = self.crs.outside(x, y);
                return Err(format!("found {found}, expected {expected}"));
            };
            *corner = degrees;
        }
        Shape::new(polygons).map_err(|why| why.to_string())
    }

    fn finish(self, form: Form) -> Result<PolygonLayer, FormatError> {
        let refuse = |(found, expected): (String, String)| FormatError::NotThis {
            file: self.file.to_owned(),
            found,
            expected,
        };
        if let Some([x, y]) = self.first_outside
            && self.outside > self.features.len()
        {
            return Err(refuse(self.crs.outside(x, y)));
        }
        if self.features.is_empty() {
            let found = match self.findings.first() {
                Some((row, what)) => format!("no polygon that can be used (row {row}: {what})"),
                None => "no feature".to_owned(),
            };
            return Err(refuse((found, "a layer of polygons".to_owned())));
        }
        Ok(PolygonLayer {
            name: self.name,
            form,
            columns: self.columns,
            features: self.features,
            findings: self.findings,
            notes: self.notes,
        })
    }
}

/// Puts loose rings together to polygons: a ring inside an odd number of others is a hole of the smallest
/// of those. Open rings are closed. Rings must not cross.
pub(crate) fn assembled(rings: Vec<Vec<Corner>>) -> Geometry {
    let corners: usize = rings.iter().map(Vec::len).sum();
    if rings.len().saturating_mul(corners) > MOST_WORK {
        return Geometry::Other(format!("a shape of {} rings", rings.len()));
    }
    let mut rings: Vec<Ring> = rings.into_iter().map(Ring::of).collect();
    // larger ones first, so that whatever holds a ring stands before it
    rings.sort_by(|a, b| b.area.total_cmp(&a.area));
    let mut polygons: Vec<Polygon> = Vec::new();
    // for each ring seen: its corners' place, and the polygon that it is the outside of
    let mut seen: Vec<(Ring, Option<usize>)> = Vec::new();
    for ring in rings {
        let around: Vec<&(Ring, Option<usize>)> = match ring.inner_point() {
            Some(point) => seen
                .iter()
                .filter(|(other, _)| other.holds(point))
                .collect(),
            None => Vec::new(),
        };
        let holder = (around.len() % 2 == 1)
            .then(|| around.iter().rev().find_map(|(_, polygon)| *polygon))
            .flatten();
        let own = if let Some(polygon) = holder {
            polygons[polygon].push(ring.corners.clone());
            None
        } else {
            polygons.push(vec![ring.corners.clone()]);
            Some(polygons.len() - 1)
        };
        seen.push((ring, own));
    }
    Geometry::Polygons(polygons)
}

/// A closed ring with its bounds and twice its area.
struct Ring {
    corners: Vec<Corner>,
    low: Corner,
    high: Corner,
    area: f64,
}

impl Ring {
    fn of(mut corners: Vec<Corner>) -> Self {
        if corners.first() != corners.last() {
            corners.extend(corners.first().copied());
        }
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for corner in &corners {
            for i in 0..2 {
                low[i] = low[i].min(corner[i]);
                high[i] = high[i].max(corner[i]);
            }
        }
        // from one corner, since coordinates may be large beside a ring
        let [x, y] = corners.first().copied().unwrap_or_default();
        let twice: f64 = corners
            .windows(2)
            .map(|p| (p[0][0] - x) * (p[1][1] - y) - (p[1][0] - x) * (p[0][1] - y))
            .sum();
        Self {
            corners,
            low,
            high,
            area: twice.abs(),
        }
    }

    /// The middle of its first side: a corner may touch the ring around it.
    fn inner_point(&self) -> Option<Corner> {
        let [a, b, ..] = self.corners[..] else {
            return None;
        };
        Some([f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])])
    }

    /// Whether a point lies inside, by counting the sides to its east.
    fn holds(&self, [x, y]: Corner) -> bool {
        if x < self.low[0] || x > self.high[0] || y < self.low[1] || y > self.high[1] {
            return false;
        }
        let mut inside = false;
        for side in self.corners.windows(2) {
            let ([ax, ay], [bx, by]) = (side[0], side[1]);
            if (ay > y) != (by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax {
                inside = !inside;
            }
        }
        inside
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(west: f64, south: f64, side: f64) -> Vec<Corner> {
        let (east, north) = (west + side, south + side);
        vec![[west, south], [east, south], [east, north], [west, north]]
    }

    fn closed(mut ring: Vec<Corner>) -> Vec<Corner> {
        ring.push(ring[0]);
        ring
    }

    #[test]
    fn rings_find_what_holds_them() {
        // an island in a lake in a field, and another field; rings in no order and either direction
        let mut lake = square(1.0, 1.0, 6.0);
        lake.reverse();
        let rings = vec![
            square(3.0, 3.0, 1.0),
            lake.clone(),
            square(20.0, 0.0, 2.0),
            square(0.0, 0.0, 10.0),
        ];
        let Geometry::Polygons(polygons) = assembled(rings) else {
            panic!("polygons");
        };
        assert_eq!(
            polygons,
            [
                vec![closed(square(0.0, 0.0, 10.0)), closed(lake)],
                vec![closed(square(20.0, 0.0, 2.0))],
                vec![closed(square(3.0, 3.0, 1.0))],
            ]
        );
    }

    #[test]
    fn a_hole_that_touches_at_a_corner_is_a_hole() {
        let hole = vec![[0.0, 5.0], [3.0, 4.0], [3.0, 6.0]];
        let Geometry::Polygons(polygons) = assembled(vec![hole, square(0.0, 0.0, 10.0)]) else {
            panic!("polygons");
        };
        assert_eq!((polygons.len(), polygons[0].len()), (1, 2));
    }
}
