//! Winter: what each field made, first in pounds and shares, then its evidence.

mod cells;
mod field;
mod live;
mod loads;

pub use cells::{Cells, CellsAsked, MOST_CELLS, Plan, cells, plan, swath};
pub use field::{field, season};
pub use live::{KeyTick, LiveMap, MapWords, live, picture};
pub use loads::loads;
pub(crate) use loads::{fields_of, fillings};

use crate::Why;
use crate::audit::{Audited, NotAudited};
use crate::held::Share;
use crate::morning::Later;
use crate::ranged::Ranged;
use serde::Serialize;

/// One field and crop in the list of a season.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldSheetLine {
    /// The field.
    pub field: String,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Insured unit.
    pub unit: Option<String>,
    /// Bushels dry at the base; none for a crop without a bushel.
    pub dry_bu: Option<Ranged>,
    /// Dry matter, lb.
    pub dry_lb: Ranged,
    /// The bushels' base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Loads at rest.
    pub loads: usize,
    /// Tanks that came off it.
    pub dumps: usize,
    /// The acres that its yield is given over: cut, else measured, planted, reported.
    pub acres: Option<AcresLine>,
    /// Yield over those acres.
    pub yields: Option<Ranged>,
    /// Files of points on record.
    pub points: usize,
}

/// An acreage and the yield over it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AcresLine {
    /// reported, planted, measured or cut.
    pub which: &'static str,
    /// How many.
    pub area_ac: f64,
    /// Dry bushels at the base, an acre; the doubt of the acres is not in it.
    pub dry_bu_per_ac: Option<Ranged>,
}

/// The sheet of one field and crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldSheet {
    /// Its line.
    pub line: FieldSheetLine,
    /// The season.
    pub season: u16,
    /// First tank, UTC milliseconds.
    pub first_ms: Option<i64>,
    /// Last tank.
    pub last_ms: Option<i64>,
    /// Every acreage on record with the yield over it.
    pub acres: Vec<AcresLine>,
    /// Agency farm, tract and field numbers.
    pub numbers: [Option<String>; 3],
    /// Who has which share by the planting.
    pub shares: Vec<Share>,
    /// Each person's part of what it made.
    pub parts: Vec<PersonPart>,
    /// Tickets that carry its grain, audited.
    pub audited: Vec<Audited>,
    /// Those that could not be settled, and why.
    pub not_audited: Vec<NotAudited>,
    /// The load log, in order of time.
    pub log: Vec<LoadLine>,
    /// Monitor against scale, load by load.
    pub against_scale: Vec<AgainstScale>,
    /// All of those together.
    pub against_scale_together: Option<AgainstScale>,
    /// Its outline as GeoJSON geometry, if drawn.
    pub outline: Option<String>,
    /// Files of points on record, the latest first.
    pub points: Vec<PointsFile>,
    /// The map once cleaned.
    pub cleaned: Option<Later>,
    /// The doubt of that map.
    pub doubt: Option<Later>,
    /// What trees, fences and turning took.
    pub edges: Option<Later>,
    /// Ground that yields alike.
    pub zones: Option<Later>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// A person's part of a field's grain.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PersonPart {
    /// Whose.
    pub person: String,
    /// Dry matter, lb.
    pub dry_lb: f64,
    /// Dry bushels at the base.
    pub dry_bu: Option<f64>,
}

/// One line of the load log: a tank emptied.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoadLine {
    /// Its entry.
    pub entry: String,
    /// The number on the card.
    pub number: Option<String>,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Which combine.
    pub machine: String,
    /// Into what.
    pub into: String,
    /// The monitor's reading, as written.
    pub monitor: Option<String>,
    /// Moisture, per cent.
    pub moisture_pct: Option<f64>,
    /// How full the tank was, per cent.
    pub tank_percent: Option<f64>,
    /// The ticket that weighed it, by the name people know.
    pub ticket: Option<String>,
}

/// The monitor's wet pounds beside the scale's, over one ticket.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AgainstScale {
    /// The ticket, by the name people know; none for all together.
    pub ticket: Option<String>,
    /// Its entry.
    pub entry: Option<String>,
    /// When it was weighed, UTC milliseconds.
    pub at_ms: Option<i64>,
    /// Out of what.
    pub from: Vec<String>,
    /// Tanks in it.
    pub dumps: usize,
    /// Their load card numbers.
    pub numbers: Vec<String>,
    /// The monitor, wet lb.
    pub monitor_lb: f64,
    /// The scale, wet lb.
    pub scale_lb: Ranged,
    /// Moisture on the ticket, per cent.
    pub moisture_pct: Option<f64>,
    /// Monitor over scale, less one, per cent.
    pub over_percent: f64,
    /// Whether all its tanks came off this field; else other fields' are in it too.
    pub all_this_field: bool,
}

/// A file of points.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointsFile {
    /// Its entry.
    pub entry: String,
    /// Its bytes' SHA-256.
    pub sha256: String,
    /// Its name where it came from.
    pub name: String,
    /// Bytes.
    pub bytes: u64,
    /// When it was written down, UTC milliseconds.
    pub at_ms: i64,
}
