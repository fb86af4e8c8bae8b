//! Outlines of fields: drawn by corners on a plain sheet, or brought in a file of several.

use crate::DeskError;
use book::kinds::Boundary;
use quantity::{Area, AreaUnit, Length, Units};
use serde::Serialize;

/// Corners of one outline at most, when drawn by hand.
const MOST_CORNERS: usize = 500;
/// The farthest corner of a drawn outline from its origin, metres.
const FARTHEST_M: f64 = 10_000.0;

/// A field as drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drawn {
    /// Its area as the figures of a field take it, e.g. `12.34 ac`.
    pub written: String,
    /// Its area for a reader.
    pub shown: String,
    /// Its outline, where the sheet's origin is known.
    pub geojson: Option<String>,
}

/// Where the sheet lies: the middle of it, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Origin {
    /// Longitude, east positive.
    pub longitude_deg: f64,
    /// Latitude, north positive.
    pub latitude_deg: f64,
}

impl Origin {
    /// Reads degrees as typed; both empty is none.
    ///
    /// # Errors
    /// One without the other, no number, or a place that is not on the Earth.
    pub fn parse(latitude: &str, longitude: &str) -> Result<Option<Self>, DeskError> {
        let (latitude, longitude) = (latitude.trim(), longitude.trim());
        if latitude.is_empty() && longitude.is_empty() {
            return Ok(None);
        }
        let read = |name: &str, text: &str, most: f64| {
            text.replace(',', ".")
                .parse::<f64>()
                .ok()
                .filter(|degrees| degrees.abs() <= most)
                .ok_or_else(|| {
                    DeskError::figure(
                        name,
                        format!("found '{text}', expected degrees such as 43.9242 or -93.9758"),
                    )
                })
        };
        Ok(Some(Self {
            latitude_deg: read("latitude", latitude, 85.0)?,
            longitude_deg: read("longitude", longitude, 180.0)?,
        }))
    }
}

/// The area inside corners that were set on a sheet, and the outline where the sheet's middle is
/// known. `corners` are pairs east and north of the middle, in `unit` (`ft` or `m`):
/// `"0,0 660,0 660,660 0,660"`.
///
/// The area is the plane one of the corners in their order (half the sum of the cross products).
///
/// # Errors
/// Fewer than three corners, too many, one that is no pair of numbers, or an outline that crosses
/// itself.
pub fn drawn(
    corners: &str,
    unit: &str,
    origin: Option<Origin>,
    units: Units,
) -> Result<Drawn, DeskError> {
    let odd = |why: String| DeskError::figure("corners", why);
    let mut points = Vec::new();
    for pair in corners.split_whitespace() {
        let point = pair.split_once(',').and_then(|(east, north)| {
            let metres = |text: &str| {
                let length = Length::parse(&format!("{text} {unit}")).ok()?.m();
                (length.abs() <= FARTHEST_M).then_some(length)
            };
            Some((metres(east)?, metres(north)?))
        });
        points.push(point.ok_or_else(|| {
            odd(format!(
                "found '{}', expected a corner like 660,-330",
                pair.chars().take(40).collect::<String>()
            ))
        })?);
    }
    if !(3..=MOST_CORNERS).contains(&points.len()) {
        return Err(odd(format!(
            "found {} corners, expected 3 to {MOST_CORNERS}; set them one after the other around the field",
            points.len()
        )));
    }
    if crosses(&points) {
        return Err(odd(
            "the line crosses itself; set the corners one after the other around the field"
                .to_owned(),
        ));
    }
    let next = |index: usize| points[(index + 1) % points.len()];
    let twice: f64 = points
        .iter()
        .enumerate()
        .map(|(index, (x, y))| x * next(index).1 - next(index).0 * y)
        .sum();
    let area = Area::from_m2(twice.abs() / 2.0)?;
    let geojson = origin.map(|origin| {
        let mut ring: Vec<[f64; 2]> = points.iter().map(|point| degrees(origin, *point)).collect();
        ring.push(ring[0]);
        serde_json::json!({ "type": "Polygon", "coordinates": [ring] }).to_string()
    });
    Ok(Drawn {
        written: format!("{:.2} ac", area.to(AreaUnit::Ac)),
        shown: area.show(units),
        geojson,
    })
}

/// A point of the sheet in degrees, on the flat frame at its middle, to 1e-7 (about a centimetre).
fn degrees(origin: Origin, (east_m, north_m): (f64, f64)) -> [f64; 2] {
    let frame = track::LocalFrame::at(origin.longitude_deg, origin.latitude_deg);
    let (a_degree_east, _) = frame.xy(origin.longitude_deg + 1.0, origin.latitude_deg);
    let (_, a_degree_north) = frame.xy(origin.longitude_deg, origin.latitude_deg + 1.0);
    let round = |degrees: f64| (degrees * 1e7).round() / 1e7;
    [
        round(origin.longitude_deg + east_m / a_degree_east),
        round(origin.latitude_deg + north_m / a_degree_north),
    ]
}

/// Whether two sides that do not touch at a corner cross each other.
fn crosses(points: &[(f64, f64)]) -> bool {
    let count = points.len();
    let side = |at: usize| (points[at], points[(at + 1) % count]);
    let turn = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
        (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
    };
    (0..count).any(|one| {
        ((one + 2)..count)
            .filter(|other| (other + 1) % count != one)
            .any(|other| {
                let ((a, b), (c, d)) = (side(one), side(other));
                turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
            })
    })
}

/// One outline out of a file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outline {
    /// What the file calls it, where it does.
    pub name: Option<String>,
    /// The outline, a GeoJSON geometry.
    pub geojson: String,
    /// Its area as the figures of a field take it.
    pub written: String,
    /// Its area for a reader.
    pub shown: String,
}

/// Outlines read out of a file, and features that are none.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Outlines {
    /// The outlines.
    pub found: Vec<Outline>,
    /// Why the others were set aside, one sentence each.
    pub set_aside: Vec<String>,
}

/// Reads every outline of a GeoJSON file: a geometry, a feature or a collection of features.
/// Names are taken from the properties `name`, `field` or `title`, in any case of letters.
///
/// # Errors
/// A text that is no GeoJSON or has no feature at all.
pub fn outlines(text: &str, units: Units) -> Result<Outlines, DeskError> {
    let none = || {
        DeskError::Refused("found no outline, expected GeoJSON with polygons of fields".to_owned())
    };
    let value: serde_json::Value = serde_json::from_str(text).map_err(|_| none())?;
    let features: Vec<&serde_json::Value> = match value.get("features") {
        Some(serde_json::Value::Array(list)) => list.iter().collect(),
        _ if value.get("type").is_some() => vec![&value],
        _ => return Err(none()),
    };
    let mut out = Outlines::default();
    for (index, feature) in features.iter().enumerate() {
        match outline(feature, units) {
            Ok(outline) => out.found.push(outline),
            Err(why) => out.set_aside.push(format!("feature {}: {why}", index + 1)),
        }
    }
    if out.found.is_empty() && out.set_aside.is_empty() {
        return Err(none());
    }
    Ok(out)
}

fn outline(feature: &serde_json::Value, units: Units) -> Result<Outline, DeskError> {
    let geometry = feature.get("geometry").unwrap_or(feature);
    let boundary = Boundary::new(geometry.to_string())?;
    let shape = formats::geojson::parse(boundary.geojson())
        .map_err(|why| DeskError::Refused(why.to_string()))?;
    let area = Area::from_m2(shape.area_m2())?;
    let name = feature
        .get("properties")
        .and_then(|properties| properties.as_object())
        .and_then(|properties| {
            ["name", "field", "title"].iter().find_map(|wanted| {
                properties
                    .iter()
                    .find(|(key, _)| key.to_lowercase() == *wanted)
                    .and_then(|(_, value)| value.as_str())
                    .map(str::trim)
                    .filter(|name| !name.is_empty())
            })
        });
    Ok(Outline {
        name: name.map(|name| name.chars().take(80).collect()),
        geojson: boundary.geojson().to_owned(),
        written: format!("{:.2} ac", area.to(AreaUnit::Ac)),
        shown: area.show(units),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_acres_are_660_feet_each_way() {
        // an acre is 43,560 square feet: 660 x 660 is exactly ten of them
        let drawn = drawn("0,0 660,0 660,660 0,660", "ft", None, Units::Us).unwrap();
        assert_eq!((drawn.written.as_str(), drawn.geojson), ("10.00 ac", None));
    }

    #[test]
    fn a_drawn_outline_has_the_area_of_its_sheet() {
        let origin = Origin::parse("43.9242", "-93.9758").unwrap();
        let drawn = drawn(
            "-200,-100 200,-100 200,100 -200,100",
            "m",
            origin,
            Units::Us,
        )
        .unwrap();
        let found = outlines(&drawn.geojson.unwrap(), Units::Us).unwrap();
        // 8 ha, within what the flat frame and rounding to 1e-7 degrees change
        let area = Area::parse(&found.found[0].written).unwrap();
        assert!((area.to(AreaUnit::Ha) - 8.0).abs() < 0.01, "{area:?}");
    }

    #[test]
    fn an_outline_that_cannot_be_one_is_refused() {
        for corners in [
            "",
            "0,0 1,1",
            "0,0 100,100 100,0 0,100",
            "0,0 a,b 3,3",
            "0,0 1e9,0 0,5",
        ] {
            assert!(drawn(corners, "ft", None, Units::Us).is_err(), "{corners}");
        }
        assert!(Origin::parse("43", "").is_err() && Origin::parse("143", "2").is_err());
    }

    #[test]
    fn every_feature_is_found_or_set_aside() {
        let text = r#"{"type":"FeatureCollection","features":[
            {"type":"Feature","properties":{"Name":"Willow Bench"},"geometry":{"type":"Polygon","coordinates":
                [[[-93.98,43.995],[-93.97,43.995],[-93.97,44.005],[-93.98,44.005],[-93.98,43.995]]]}},
            {"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[1,2]}}]}"#;
        let all = outlines(text, Units::Us).unwrap();
        assert_eq!(all.found[0].name.as_deref(), Some("Willow Bench"));
        assert_eq!(all.set_aside.len(), 1);
        assert!(outlines("{}", Units::Us).is_err() && outlines("corn", Units::Us).is_err());
    }
}
