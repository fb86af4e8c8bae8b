//! What stands in wagons, bins and piles: crop, insured units, owners and fields, how wet, how long.

use serde::Serialize;

/// Grain in a place, by the book.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Held {
    /// Where.
    pub place: String,
    /// cart, wagon, truck, bin, pile or dryer.
    pub kind: &'static str,
    /// Whether it is on wheels.
    pub on_wheels: bool,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Dry matter on record, lb; none while no weight of it is known.
    pub dry_lb: Option<f64>,
    /// Wet mass on record, lb.
    pub wet_lb: Option<f64>,
    /// Bushels dry at the base; none without a bushel or a weight.
    pub dry_bu: Option<f64>,
    /// That base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Moisture: of the latest sample of the place since it was filled, else by the slips, per cent.
    pub moisture_pct: Option<f64>,
    /// Whether that is from a sample of the place itself.
    pub moisture_sampled: bool,
    /// Loads in it that nobody weighed: the figures are short by those.
    pub unweighed: usize,
    /// Insured units of what it holds.
    pub units: Vec<String>,
    /// Whose it is.
    pub owners: Vec<String>,
    /// Fields that it came from.
    pub fields: Vec<String>,
    /// Whether some of it is from a field that nobody wrote.
    pub unknown_field: bool,
    /// How full as last written, per cent of level full.
    pub full_percent: Option<f64>,
    /// Covered, open, or nobody said.
    pub covered: Option<bool>,
    /// When the first of it went in, UTC milliseconds.
    pub first_ms: Option<i64>,
    /// When the last of it went in, UTC milliseconds.
    pub last_ms: Option<i64>,
    /// The season it grew in, where it is carried over from an earlier one.
    pub carried_from: Option<u16>,
    /// Entries behind it.
    pub entries: Vec<String>,
}

/// Somebody's share, as written.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// Whose.
    pub person: String,
    /// Per cent, as written.
    pub percent: String,
}

/// Why grain on wheels should move.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "why", rename_all = "snake_case")]
pub enum MoveWhy {
    /// It is wetter than its customary base.
    Wet {
        /// Its moisture, per cent.
        moisture_pct: f64,
        /// The base, per cent.
        base_pct: f64,
    },
    /// It has stood for more than a day.
    LongFilled {
        /// Hours since the last of it went in.
        hours: f64,
    },
    /// It stands open.
    Open {},
}
