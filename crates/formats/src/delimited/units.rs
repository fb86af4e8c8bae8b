//! What a column can be, and the units it can be in.

use serde::{Deserialize, Serialize};

/// What a column means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Degrees east.
    Longitude,
    /// Degrees north.
    Latitude,
    /// Wet grain a second.
    Flow,
    /// Wet grain in the record.
    Mass,
    /// How long the record is.
    Interval,
    /// How far the machine moved in the record.
    Distance,
    /// Ground speed.
    Speed,
    /// Cutting width.
    Width,
    /// Moisture, wet basis.
    Moisture,
    /// Height of the ground.
    Elevation,
    /// When: seconds, or a date and time.
    Time,
    /// Head up or down.
    Head,
    /// Which load or machine tank.
    Load,
    /// The log's own pass number.
    Pass,
    /// Not read.
    Ignore,
}

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dimension {
    Angle,
    Length,
    Mass,
    Flow,
    Time,
    Speed,
    Fraction,
    Plain,
}

/// A unit with its factor to SI (fractions for per cent).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    pub(super) symbol: &'static str,
    pub(super) dimension: Dimension,
    pub(super) to_si: f64,
}

const LB: f64 = track::KG_PER_LB;
const FT: f64 = track::M_PER_FT;

/// Every unit that a column may be in: symbol, other spellings, dimension, factor to SI.
/// Factors are the exact international definitions.
const UNITS: &[(&str, &[&str], Dimension, f64)] = &[
    ("deg", &["degree", "degrees", "dd"], Dimension::Angle, 1.0),
    (
        "in",
        &["inch", "inches", "ins"],
        Dimension::Length,
        FT / 12.0,
    ),
    ("ft", &["foot", "feet"], Dimension::Length, FT),
    ("yd", &["yard", "yards"], Dimension::Length, 3.0 * FT),
    ("mm", &[], Dimension::Length, 0.001),
    ("cm", &[], Dimension::Length, 0.01),
    (
        "m",
        &["meter", "meters", "metre", "metres"],
        Dimension::Length,
        1.0,
    ),
    ("lb", &["lbs", "pound", "pounds"], Dimension::Mass, LB),
    (
        "kg",
        &["kgs", "kilogram", "kilograms"],
        Dimension::Mass,
        1.0,
    ),
    ("g", &["gram", "grams"], Dimension::Mass, 0.001),
    ("t", &["tonne", "tonnes"], Dimension::Mass, 1000.0),
    (
        "lb/s",
        &["lbs/s", "lb/sec", "lbs/sec", "pps"],
        Dimension::Flow,
        LB,
    ),
    ("lb/min", &["lbs/min"], Dimension::Flow, LB / 60.0),
    (
        "lb/h",
        &["lbs/h", "lb/hr", "lbs/hr"],
        Dimension::Flow,
        LB / 3600.0,
    ),
    ("kg/s", &["kgs/s", "kg/sec"], Dimension::Flow, 1.0),
    ("kg/min", &[], Dimension::Flow, 1.0 / 60.0),
    ("kg/h", &["kg/hr"], Dimension::Flow, 1.0 / 3600.0),
    (
        "t/h",
        &["t/hr", "tonne/h", "tonnes/h"],
        Dimension::Flow,
        1.0 / 3.6,
    ),
    (
        "s",
        &["sec", "secs", "second", "seconds"],
        Dimension::Time,
        1.0,
    ),
    (
        "ms",
        &["msec", "millisecond", "milliseconds"],
        Dimension::Time,
        0.001,
    ),
    ("min", &["minute", "minutes"], Dimension::Time, 60.0),
    ("h", &["hr", "hour", "hours"], Dimension::Time, 3600.0),
    ("m/s", &["m/sec", "mps"], Dimension::Speed, 1.0),
    (
        "km/h",
        &["kmh", "kph", "km/hr"],
        Dimension::Speed,
        1.0 / 3.6,
    ),
    (
        "mph",
        &["mi/h", "mi/hr", "miles/h"],
        Dimension::Speed,
        0.447_04,
    ),
    ("ft/s", &["ft/sec", "fps"], Dimension::Speed, FT),
    (
        "%",
        &["pct", "percent", "per cent"],
        Dimension::Fraction,
        0.01,
    ),
    ("fraction", &["frac"], Dimension::Fraction, 1.0),
    ("ppm", &[], Dimension::Fraction, 1e-6),
];

/// A unit as people write it: `lb/s`, `lbs per sec`, `lb_s`, `Feet`, `percent`.
pub(super) fn unit(text: &str) -> Option<Unit> {
    let spelled = text.trim().to_lowercase();
    let slashed = spelled.replace([' ', '_'], "/").replace("/per/", "/");
    UNITS
        .iter()
        .find(|(symbol, others, _, _)| {
            [spelled.as_str(), slashed.as_str()]
                .iter()
                .any(|t| t == symbol || others.contains(t))
        })
        .map(|&(symbol, _, dimension, to_si)| Unit {
            symbol,
            dimension,
            to_si,
        })
}

impl Role {
    /// Word for a role, as written by hand.
    pub fn named(text: &str) -> Option<Self> {
        Some(match text {
            "longitude" => Self::Longitude,
            "latitude" => Self::Latitude,
            "flow" => Self::Flow,
            "mass" => Self::Mass,
            "interval" => Self::Interval,
            "distance" => Self::Distance,
            "speed" => Self::Speed,
            "width" => Self::Width,
            "moisture" => Self::Moisture,
            "elevation" => Self::Elevation,
            "time" => Self::Time,
            "head" => Self::Head,
            "load" => Self::Load,
            "pass" => Self::Pass,
            "ignore" => Self::Ignore,
            _ => return None,
        })
    }

    /// The word for this role.
    pub fn word(self) -> &'static str {
        match self {
            Self::Longitude => "longitude",
            Self::Latitude => "latitude",
            Self::Flow => "flow",
            Self::Mass => "mass",
            Self::Interval => "interval",
            Self::Distance => "distance",
            Self::Speed => "speed",
            Self::Width => "width",
            Self::Moisture => "moisture",
            Self::Elevation => "elevation",
            Self::Time => "time",
            Self::Head => "head",
            Self::Load => "load",
            Self::Pass => "pass",
            Self::Ignore => "ignore",
        }
    }

    /// What its unit measures.
    pub(super) fn dimension(self) -> Dimension {
        match self {
            Self::Longitude | Self::Latitude => Dimension::Angle,
            Self::Flow => Dimension::Flow,
            Self::Mass => Dimension::Mass,
            Self::Interval | Self::Time => Dimension::Time,
            Self::Distance | Self::Width | Self::Elevation => Dimension::Length,
            Self::Speed => Dimension::Speed,
            Self::Moisture => Dimension::Fraction,
            Self::Head | Self::Load | Self::Pass | Self::Ignore => Dimension::Plain,
        }
    }

    /// The unit taken when nobody says one, and only where the trade has just one.
    pub(super) fn usual(self) -> Option<Unit> {
        match self {
            Self::Longitude | Self::Latitude => unit("deg"),
            Self::Moisture => unit("%"),
            Self::Time => unit("s"),
            _ => None,
        }
    }

    /// What a bare name (lower case, single spaces, no unit) says the column is.
    pub(super) fn of_name(name: &str) -> Option<Self> {
        Some(match name {
            "long" | "lon" | "lng" | "longitude" => Self::Longitude,
            "lat" | "latitude" => Self::Latitude,
            "flow" | "mass flow" | "grain flow" | "wet flow" | "flow rate" => Self::Flow,
            "mass" | "wet mass" | "grain mass" | "weight" | "wet weight" | "grain weight" => {
                Self::Mass
            }
            "interval" | "logging interval" | "log interval" | "duration" | "seconds" | "secs" => {
                Self::Interval
            }
            "dist" | "distance" | "distance traveled" | "distance travelled" => Self::Distance,
            "speed" | "ground speed" | "velocity" => Self::Speed,
            "width" | "swath" | "swath width" | "cutting width" | "head width" => Self::Width,
            "moist" | "moisture" | "grain moisture" | "moisture content" => Self::Moisture,
            "elev" | "elevation" | "altitude" => Self::Elevation,
            "time" | "timestamp" | "date time" | "datetime" | "utc" | "utc time" | "clock" => {
                Self::Time
            }
            "head" | "header" | "head down" | "header down" | "head state" | "head status"
            | "header state" | "header status" => Self::Head,
            "load" | "tank" | "load id" | "tank id" | "load number" | "tank number"
            | "load name" => Self::Load,
            "pass" | "pass id" | "pass number" => Self::Pass,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_as_people_write_them() {
        for text in ["lb/s", "lbs/sec", "lb_s", "lb per s", "LB/S", " lb/s "] {
            assert_eq!(unit(text).map(|u| u.symbol), Some("lb/s"), "{text}");
        }
        assert_eq!(unit("Feet").map(|u| u.to_si), Some(0.3048));
        assert_eq!(unit("furlong"), None);
    }

    #[test]
    fn every_role_word_reads_back() {
        for word in [
            "longitude",
            "flow",
            "mass",
            "ignore",
            "head",
            "load",
            "pass",
            "width",
        ] {
            assert_eq!(Role::named(word).map(Role::word), Some(word));
        }
    }
}
