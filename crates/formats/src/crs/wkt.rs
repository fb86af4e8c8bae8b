//! Well-known text of coordinate systems: a tree of keywords, and what of it is read.

use super::{Crs, US_FT, refused, short};
use crate::FormatError;
use track::{Ellipsoid, Grid, M_PER_FT};

/// Longest text; real ones have a few thousand bytes.
const MOST_BYTES: usize = 64 * 1024;
/// Deepest nesting; real ones have about 8.
const MOST_DEPTH: usize = 24;
/// A degree in radians, as files round it.
const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// One keyword with what stands in its brackets.
#[derive(Debug, Default, PartialEq)]
struct Node {
    word: String,
    texts: Vec<String>,
    numbers: Vec<f64>,
    inside: Vec<Node>,
}

impl Node {
    fn is(&self, words: &[&str]) -> bool {
        words
            .iter()
            .any(|word| self.word.eq_ignore_ascii_case(word))
    }

    fn find(&self, words: &[&str]) -> Option<&Self> {
        self.inside.iter().find(|node| node.is(words))
    }

    fn name(&self) -> &str {
        self.texts.first().map_or("", String::as_str)
    }
}

pub(super) fn crs(text: &str) -> Result<Crs, FormatError> {
    let text = text.trim_start_matches('\u{feff}').trim();
    if text.len() > MOST_BYTES {
        return Err(refused("a description of more than 64 KB"));
    }
    let mut reader = Reader { rest: text };
    let root = reader
        .node(0)
        .ok_or_else(|| refused(format!("'{}', which is no well-known text", short(text))))?;
    if root.is(&["COMPD_CS", "COMPOUNDCRS"]) {
        // heights are not read
        return match root.inside.iter().find(|node| is_flat(node)) {
            Some(flat) => of(flat),
            None => Err(refused(named(&root))),
        };
    }
    of(&root)
}

const GRIDS: [&str; 3] = ["PROJCS", "PROJCRS", "PROJECTEDCRS"];
const DEGREES: [&str; 5] = [
    "GEOGCS",
    "GEOGCRS",
    "GEOGRAPHICCRS",
    "GEODCRS",
    "GEODETICCRS",
];
const BASES: [&str; 3] = ["GEOGCS", "BASEGEOGCRS", "BASEGEODCRS"];

fn is_flat(node: &Node) -> bool {
    node.is(&GRIDS) || node.is(&DEGREES)
}

fn of(node: &Node) -> Result<Crs, FormatError> {
    if node.is(&DEGREES) {
        if node
            .find(&["CS"])
            .is_some_and(|cs| cs.numbers.first() == Some(&3.0) && cs.has("Cartesian"))
        {
            return Err(refused(format!("{} (geocentric)", named(node))));
        }
        let (datum, _) = datum(node)?;
        let axis = node.find(&["AXIS"]).and_then(|axis| unit_in(axis, &ANGLES));
        let unit = unit_in(node, &ANGLES).or(axis).unwrap_or(DEGREE);
        if degrees(unit) != 1.0 {
            return Err(refused(format!("{}, not in degrees", named(node))));
        }
        return Ok(Crs::of_degrees(&named(node), &datum));
    }
    if node.is(&GRIDS) {
        return grid(node);
    }
    Err(refused(named(node)))
}

impl Node {
    fn has(&self, word: &str) -> bool {
        self.inside.iter().any(|node| node.is(&[word]))
            || self
                .texts
                .iter()
                .any(|text| text.eq_ignore_ascii_case(word))
    }
}

/// "'NAD83' (GEOGCS)".
fn named(node: &Node) -> String {
    format!("'{}' ({})", short(node.name()), short(&node.word))
}

/// Name and ellipsoid of the datum, if it is WGS 84 or lies within 2 m of it.
fn datum(node: &Node) -> Result<(String, Ellipsoid), FormatError> {
    let datum = node
        .find(&["DATUM", "ENSEMBLE", "GEODETICDATUM", "TRF"])
        .ok_or_else(|| refused(format!("{} without a datum", named(node))))?;
    let figure = datum
        .find(&["SPHEROID", "ELLIPSOID"])
        .ok_or_else(|| refused(format!("{} without an ellipsoid", named(node))))?;
    let elsewhere = || {
        refused(format!(
            "{} on the datum '{}' with the ellipsoid '{}'",
            named(node),
            short(datum.name()),
            short(figure.name())
        ))
    };
    let unit = unit_in(figure, &["LENGTHUNIT", "UNIT"]).unwrap_or(1.0);
    let [radius, inverse, ..] = figure.numbers[..] else {
        return Err(elsewhere());
    };
    let ellipsoid = [Ellipsoid::WGS_84, Ellipsoid::GRS_1980]
        .into_iter()
        .find(|known| {
            (radius * unit - known.equatorial_m).abs() < 1e-3
                && (inverse - known.inverse_flattening).abs() < 2e-7
        })
        .ok_or_else(elsewhere)?;
    let shifted = |node: &Node| {
        node.find(&["TOWGS84"])
            .is_some_and(|shift| shift.numbers.iter().take(3).any(|m| m.abs() > 3.0))
    };
    if shifted(datum) || shifted(node) {
        return Err(elsewhere());
    }
    if let Some(meridian) = node.find(&["PRIMEM", "PRIMEMERIDIAN"])
        && meridian.numbers.first().is_some_and(|value| *value != 0.0)
    {
        return Err(refused(format!(
            "{} counted from the meridian of '{}'",
            named(node),
            short(meridian.name())
        )));
    }
    Ok((datum.name().to_owned(), ellipsoid))
}

/// The factor of a unit inside a node.
fn unit_in(node: &Node, words: &[&str]) -> Option<f64> {
    node.find(words)?.numbers.first().copied()
}

const ANGLES: [&str; 2] = ["UNIT", "ANGLEUNIT"];

/// Degrees in an angle given in radians, free of the rounding in files.
fn degrees(radians: f64) -> f64 {
    let degrees = radians / DEGREE;
    if (degrees - 1.0).abs() < 1e-8 {
        1.0
    } else {
        degrees
    }
}

fn grid(node: &Node) -> Result<Crs, FormatError> {
    let base = node
        .find(&BASES)
        .ok_or_else(|| refused(format!("{} without a datum", named(node))))?;
    let (datum, ellipsoid) = datum(base)?;
    // well-known text of 2015 and later keeps the parameters in a node of their own
    let conversion = node.find(&["CONVERSION"]).unwrap_or(node);
    let method = conversion
        .find(&["PROJECTION", "METHOD"])
        .map(Node::name)
        .unwrap_or_default();
    let mercator = ["transverse_mercator", "gauss_kruger"];
    if !mercator.contains(&plain(method).as_str()) {
        return Err(refused(format!(
            "{} by the projection '{}'",
            named(node),
            short(method)
        )));
    }
    let unit = length_unit(node)?;
    if degrees(unit_in(base, &ANGLES).unwrap_or(DEGREE)) != 1.0 {
        return Err(refused(format!(
            "{}, whose angles are not degrees",
            named(node)
        )));
    }
    let mut grid = Grid {
        ellipsoid,
        central_deg: f64::NAN,
        origin_deg: 0.0,
        scale: 1.0,
        false_easting_m: 0.0,
        false_northing_m: 0.0,
    };
    for parameter in conversion.inside.iter().filter(|n| n.is(&["PARAMETER"])) {
        let Some(&value) = parameter.numbers.first() else {
            return Err(refused(format!(
                "{} whose parameter '{}' is no number",
                named(node),
                short(parameter.name())
            )));
        };
        let meters = value * unit_in(parameter, &["LENGTHUNIT", "UNIT"]).unwrap_or(unit.1);
        let angle = degrees(unit_in(parameter, &ANGLES).unwrap_or(DEGREE));
        match plain(parameter.name()).as_str() {
            "central_meridian" | "longitude_of_natural_origin" => grid.central_deg = value * angle,
            "latitude_of_origin" | "latitude_of_natural_origin" => grid.origin_deg = value * angle,
            "scale_factor" | "scale_factor_at_natural_origin" => grid.scale = value,
            "false_easting" => grid.false_easting_m = meters,
            "false_northing" => grid.false_northing_m = meters,
            other => {
                return Err(refused(format!(
                    "{} with the parameter '{}'",
                    named(node),
                    short(other)
                )));
            }
        }
    }
    let usual = grid.central_deg.abs() <= 360.0
        && grid.origin_deg.abs() <= 90.0
        && (0.9..=1.1).contains(&grid.scale)
        && grid.false_easting_m.abs() < 1e8
        && grid.false_northing_m.abs() < 1e8;
    if !usual {
        return Err(refused(format!(
            "{} whose parameters make no grid (central meridian {}, scale {})",
            named(node),
            grid.central_deg,
            grid.scale
        )));
    }
    Ok(Crs::of_grid(named(node), &datum, grid, unit))
}

/// The unit of a grid's coordinates, and its meters.
fn length_unit(node: &Node) -> Result<(&'static str, f64), FormatError> {
    // in newer text each axis may carry it
    let axis = node
        .inside
        .iter()
        .find_map(|n| n.is(&["AXIS"]).then(|| n.find(&["LENGTHUNIT", "UNIT"]))?);
    let told = node
        .find(&["UNIT", "LENGTHUNIT"])
        .or(axis)
        .ok_or_else(|| refused(format!("{} without a unit", named(node))))?;
    let factor = told.numbers.first().copied().unwrap_or(f64::NAN);
    let known = [
        ("meters", 1.0),
        ("feet", M_PER_FT),
        ("US survey feet", US_FT),
    ]
    .into_iter()
    // the two feet differ by 6e-7 m
    .find(|(_, meters)| (factor - meters).abs() < 1e-8);
    let says_feet = ["foot", "feet", "ft"]
        .iter()
        .any(|word| told.name().to_lowercase().contains(word));
    match known {
        Some(unit) if says_feet == (unit.0 != "meters") => Ok(unit),
        _ => Err(refused(format!(
            "{} in the unit '{}' of {factor} m",
            named(node),
            short(told.name())
        ))),
    }
}

fn plain(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '-'], "_")
}

struct Reader<'a> {
    rest: &'a str,
}

impl Reader<'_> {
    fn skip(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn take(&mut self, wanted: &[char]) -> bool {
        self.skip();
        match self.rest.strip_prefix(wanted) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn word(&mut self) -> String {
        self.skip();
        let end = self
            .rest
            .find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '_' | '.' | '+' | '-')))
            .unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        word.to_owned()
    }

    /// A quoted text, in which two quotes are one.
    fn text(&mut self) -> Option<String> {
        let mut out = String::new();
        loop {
            let end = self.rest.find('"')?;
            out.push_str(&self.rest[..end]);
            self.rest = &self.rest[end + 1..];
            match self.rest.strip_prefix('"') {
                Some(rest) => {
                    out.push('"');
                    self.rest = rest;
                }
                None => return Some(out),
            }
        }
    }

    fn node(&mut self, depth: usize) -> Option<Node> {
        let word = self.word();
        if word.is_empty() || depth > MOST_DEPTH || !self.take(&['[', '(']) {
            return None;
        }
        let mut node = Node {
            word,
            ..Node::default()
        };
        loop {
            if self.take(&['"']) {
                node.texts.push(self.text()?);
            } else {
                let before = self.rest;
                let word = self.word();
                if word.is_empty() {
                    return None;
                }
                self.skip();
                if self.rest.starts_with(['[', '(']) {
                    self.rest = before;
                    node.inside.push(self.node(depth + 1)?);
                } else if let Ok(number) = word.parse::<f64>()
                    && number.is_finite()
                {
                    node.numbers.push(number);
                } else {
                    node.texts.push(word);
                }
            }
            if self.take(&[']', ')']) {
                return Some(node);
            }
            if !self.take(&[',']) {
                return None;
            }
        }
    }
}
