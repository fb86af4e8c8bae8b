//! The outline of a field: a GeoJSON Polygon or MultiPolygon (RFC 7946), checked, and its area.
//!
//! Limitations: an outline that crosses itself, overlaps itself or has a hole outside its ring is
//! not noticed and gives a wrong area; heights are dropped; an outline across the 180th meridian is
//! not joined.

use crate::FormatError;
use serde_json::Value;
use track::LocalFrame;

/// Most corners of one outline.
const MOST_CORNERS: usize = 1_000_000;

/// Longitude and latitude, degrees (WGS 84).
pub type Corner = [f64; 2];

/// One outer ring and the holes in it; each ring ends where it began.
pub type Polygon = Vec<Vec<Corner>>;

/// An outline: one or several polygons. Made only by a constructor that checks it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    polygons: Vec<Polygon>,
}

fn malformed(found: impl Into<String>, expected: &str) -> FormatError {
    FormatError::Malformed {
        found: found.into(),
        expected: expected.into(),
    }
}

const WANTED: &str = "a GeoJSON Polygon or MultiPolygon in longitude and latitude";

impl Shape {
    /// Checks polygons given as numbers.
    ///
    /// # Errors
    /// No polygon, a ring that is not closed or has fewer than 3 corners, or a corner off the Earth.
    pub fn new(polygons: Vec<Polygon>) -> Result<Self, FormatError> {
        if polygons.is_empty() || polygons.iter().any(Vec::is_empty) {
            return Err(malformed("an empty outline", WANTED));
        }
        let mut corners = 0;
        for ring in polygons.iter().flatten() {
            corners += ring.len();
            if ring.len() < 4 || ring.first() != ring.last() {
                return Err(malformed(
                    format!("a ring of {} positions", ring.len()),
                    "rings of at least 4 positions, the last like the first",
                ));
            }
            if let Some(corner) = ring.iter().find(|c| !on_earth(**c)) {
                return Err(malformed(
                    format!("the corner {corner:?}"),
                    "[longitude, latitude] in degrees, at most 180 and 90 (not meters, not latitude first)",
                ));
            }
        }
        if corners > MOST_CORNERS {
            return Err(malformed(
                format!("{corners} corners"),
                "at most 1,000,000; simplify the outline",
            ));
        }
        Ok(Self { polygons })
    }

    /// The polygons.
    pub fn polygons(&self) -> &[Polygon] {
        &self.polygons
    }

    /// Least and greatest longitude and latitude: west, east, south, north.
    pub fn bounds(&self) -> [f64; 4] {
        let mut bounds = [
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
        ];
        for [x, y] in self.polygons.iter().flatten().flatten() {
            bounds = [
                bounds[0].min(*x),
                bounds[1].max(*x),
                bounds[2].min(*y),
                bounds[3].max(*y),
            ];
        }
        bounds
    }

    /// Area, m2, on a flat frame at the middle of the outline; holes are taken out. Good to a few
    /// parts in 100,000 for a field of a few kilometers.
    ///
    /// ```
    /// // a quarter section by degrees: 0.01 degree each way at 44 N
    /// let shape = formats::geojson::parse(r#"{"type":"Polygon","coordinates":
    ///     [[[-93.98,43.995],[-93.97,43.995],[-93.97,44.005],[-93.98,44.005],[-93.98,43.995]]]}"#)?;
    /// assert!((shape.area_m2() / track::M2_PER_AC - 220.2).abs() < 0.1);
    /// # Ok::<(), formats::FormatError>(())
    /// ```
    pub fn area_m2(&self) -> f64 {
        let [west, east, south, north] = self.bounds();
        let frame = LocalFrame::at(f64::midpoint(west, east), f64::midpoint(south, north));
        let ring_area = |ring: &Vec<Corner>| {
            let xy: Vec<_> = ring.iter().map(|[x, y]| frame.xy(*x, *y)).collect();
            let twice: track::Sum = xy
                .windows(2)
                .map(|p| p[0].0 * p[1].1 - p[1].0 * p[0].1)
                .collect();
            twice.value().abs() / 2.0
        };
        let polygon_area =
            |rings: &Polygon| ring_area(&rings[0]) - rings[1..].iter().map(ring_area).sum::<f64>();
        self.polygons.iter().map(polygon_area).sum()
    }

    /// The outline as a GeoJSON geometry, MultiPolygon.
    pub fn to_geojson(&self) -> String {
        serde_json::json!({ "type": "MultiPolygon", "coordinates": self.polygons }).to_string()
    }
}

fn on_earth([longitude, latitude]: Corner) -> bool {
    longitude.abs() <= 180.0 && latitude.abs() <= 90.0
}

/// Reads a Polygon or MultiPolygon, alone or as the geometry of a Feature.
///
/// # Errors
/// Text that is not such a GeoJSON, or an outline that [`Shape::new`] refuses.
pub fn parse(text: &str) -> Result<Shape, FormatError> {
    let value: Value = serde_json::from_str(text.trim_start_matches('\u{feff}'))
        .map_err(|why| malformed(format!("text that is not JSON ({why})"), WANTED))?;
    let geometry = if value["type"] == "Feature" {
        &value["geometry"]
    } else {
        &value
    };
    let coordinates = &geometry["coordinates"];
    let polygons = match geometry["type"].as_str() {
        Some("Polygon") => vec![polygon(coordinates)?],
        Some("MultiPolygon") => array(coordinates)?
            .iter()
            .map(polygon)
            .collect::<Result<_, _>>()?,
        other => {
            let found: String = other.map_or("no type".into(), |t| {
                format!("the type '{}'", t.chars().take(40).collect::<String>())
            });
            return Err(malformed(found, WANTED));
        }
    };
    Shape::new(polygons)
}

fn array(value: &Value) -> Result<&Vec<Value>, FormatError> {
    value
        .as_array()
        .ok_or_else(|| malformed("coordinates that are not nested lists", WANTED))
}

fn polygon(value: &Value) -> Result<Polygon, FormatError> {
    array(value)?
        .iter()
        .map(|ring| array(ring)?.iter().map(corner).collect())
        .collect()
}

fn corner(value: &Value) -> Result<Corner, FormatError> {
    match array(value)?.as_slice() {
        [x, y] | [x, y, _] => x.as_f64().zip(y.as_f64()).map(|(x, y)| [x, y]),
        _ => None,
    }
    .ok_or_else(|| {
        malformed(
            "a corner that is not two numbers",
            "[longitude, latitude] in degrees",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Area between two parallels and two meridians on the WGS 84 ellipsoid, closed form (the
    /// authalic-latitude integral, Snyder, USGS Professional Paper 1395, eq. 3-12; from memory).
    fn quad(degrees: f64, south: f64, north: f64) -> f64 {
        let f = 1.0 / 298.257_223_563_f64;
        let (a, e2) = (6_378_137.0_f64, f * (2.0 - f));
        let e = e2.sqrt();
        let q = |latitude: f64| {
            let s = latitude.to_radians().sin();
            s / (1.0 - e2 * s * s) + ((1.0 + e * s) / (1.0 - e * s)).ln() / (2.0 * e)
        };
        degrees.to_radians() * a * a * (1.0 - e2) / 2.0 * (q(north) - q(south))
    }

    fn square(west: f64, south: f64, side: f64) -> Vec<Corner> {
        let (east, north) = (west + side, south + side);
        vec![
            [west, south],
            [east, south],
            [east, north],
            [west, north],
            [west, south],
        ]
    }

    #[test]
    fn area_agrees_with_the_ellipsoid() {
        for south in [-35.0, 0.0, 20.0, 44.0, 60.0] {
            let shape = Shape::new(vec![vec![square(10.0, south, 0.02)]]).unwrap();
            let exact = quad(0.02, south, south + 0.02);
            assert!((shape.area_m2() / exact - 1.0).abs() < 1e-6, "{south}");
        }
    }

    #[test]
    fn holes_are_taken_out_and_text_comes_back() {
        let whole = Shape::new(vec![vec![square(10.0, 44.0, 0.02)]]).unwrap();
        let holed = Shape::new(vec![vec![
            square(10.0, 44.0, 0.02),
            square(10.005, 44.005, 0.01),
        ]])
        .unwrap();
        assert!((holed.area_m2() / whole.area_m2() - 0.75).abs() < 1e-9);
        assert_eq!(parse(&holed.to_geojson()).unwrap(), holed);
        let feature = format!(
            r#"{{"type":"Feature","properties":{{}},"geometry":{}}}"#,
            holed.to_geojson()
        );
        assert_eq!(parse(&feature).unwrap(), holed);
    }

    #[test]
    fn bad_outlines_are_named() {
        for (text, expected) in [
            ("{", "not JSON"),
            (
                r#"{"type":"Point","coordinates":[1,2]}"#,
                "the type 'Point'",
            ),
            ("[]", "no type"),
            (
                r#"{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1]]]}"#,
                "a ring of 4 positions",
            ),
            (
                r#"{"type":"Polygon","coordinates":[[[0,0],[1,0],[0,0]]]}"#,
                "a ring of 3 positions",
            ),
            (
                r#"{"type":"Polygon","coordinates":[[[5e5,0],[1,0],[1,1],[5e5,0]]]}"#,
                "the corner [500000.0, 0.0]",
            ),
            (
                r#"{"type":"Polygon","coordinates":[[[0,"x"]]]}"#,
                "not two numbers",
            ),
            (
                r#"{"type":"MultiPolygon","coordinates":[]}"#,
                "an empty outline",
            ),
            (r#"{"type":"Polygon","coordinates":7}"#, "not nested lists"),
        ] {
            let error = parse(text).unwrap_err().to_string();
            assert!(error.contains(expected) && !error.contains('\n'), "{error}");
        }
        assert!(parse(&"[".repeat(100_000)).is_err());
    }
}
