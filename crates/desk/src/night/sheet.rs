//! What the day sheet holds: plain results, units in the names.

use crate::Why;
use crate::square::Squaring;
use account::claims::Claim;
use account::slip::{CropId, PersonId, PlaceId, PlaceKind, SlipId};
use serde::Serialize;

/// The sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Night {
    /// The farm.
    pub farm: String,
    /// The season.
    pub season: u16,
    /// The harvest day, or none for the whole season.
    pub day: Option<String>,
    /// Square or not, in one sentence.
    pub sentence: String,
    /// Whether the account is square.
    pub square: bool,
    /// One line a crop.
    pub crops: Vec<CropLine>,
    /// What stands on wheels and in bins.
    pub held: Vec<HeldLine>,
    /// Slips of the day (all, for the whole season).
    pub slips: Vec<SlipLine>,
    /// What each field made so far.
    pub fields: Vec<FieldLine>,
    /// What each insured unit made so far, in insurance bushels.
    pub units: Vec<UnitLine>,
    /// Shares of each field's grain by person, dry pounds.
    pub shares: Vec<ShareLine>,
    /// Claims on buyers' storage, in the buyer's bushels.
    pub claims: Vec<Claim>,
    /// The squaring behind the sentence.
    pub squaring: Squaring,
    /// What else a person should look at: conflicts, odd clocks, unweighed or unposted slips.
    pub look_at: Vec<String>,
    /// Cautions for tonight's acts.
    pub cautions: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// One crop's account on record, dry bushels at a stated base (dry pounds where a crop has no bushel).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropLine {
    /// The crop.
    pub crop: CropId,
    /// The bushels' base moisture, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Dry matter that came off the fields with each monitor set to the scale, lb.
    pub came_off_dry_lb: f64,
    /// The same exactly as read, monitors not set, lb.
    pub came_off_as_read_dry_lb: f64,
    /// Opening stock, lb.
    pub opening_dry_lb: f64,
    /// Sold, lb.
    pub sold_dry_lb: f64,
    /// On claim at buyers, lb.
    pub on_claim_dry_lb: f64,
    /// Standing in places, lb.
    pub held_dry_lb: f64,
    /// Fed, kept for seed or spilt, lb.
    pub used_dry_lb: f64,
    /// Unexplained with each monitor set to the scale, lb; positive is short.
    pub unexplained_dry_lb: f64,
    /// Standard error of what is unexplained, from squaring, lb.
    pub unexplained_se_lb: f64,
    /// Bushels dry at the base for one dry pound; to print the line in bushels.
    pub dry_bu_per_dry_lb: Option<f64>,
}

/// Grain in a place tonight.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeldLine {
    /// Where.
    pub place: PlaceId,
    /// What it is.
    pub kind: PlaceKind,
    /// Which crop.
    pub crop: CropId,
    /// Dry matter on record, lb.
    pub dry_lb: f64,
    /// Wet mass on record, lb.
    pub wet_lb: f64,
    /// Moisture by the record, per cent.
    pub moisture_pct: Option<f64>,
    /// Squared dry matter, lb.
    pub squared_dry_lb: Option<f64>,
    /// Its standard error, lb.
    pub squared_se_lb: Option<f64>,
    /// When the last grain went in, local time.
    pub since: Option<String>,
}

/// One slip of the day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlipLine {
    /// The slip.
    pub slip: SlipId,
    /// Its entry.
    pub entry: String,
    /// Local time.
    pub at: String,
    /// UTC milliseconds.
    pub at_ms: i64,
    /// Where from.
    pub from: String,
    /// Where to.
    pub to: String,
    /// Which crop.
    pub crop: CropId,
    /// As written.
    pub written: String,
    /// Squared dry matter, lb.
    pub squared_dry_lb: Option<f64>,
    /// Its standard error, lb.
    pub squared_se_lb: Option<f64>,
    /// The measurement test.
    pub z: Option<f64>,
    /// Whether it looks wrong.
    pub suspect: bool,
    /// Whether a correction holds.
    pub mended: bool,
}

/// One field and crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldLine {
    /// The field, or where grain without a field came from.
    pub field: String,
    /// The crop.
    pub crop: CropId,
    /// Insured unit.
    pub unit: Option<String>,
    /// Dry matter, lb.
    pub dry_lb: f64,
    /// Bushels dry at the base.
    pub dry_bu: Option<f64>,
    /// That base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Yield for each acreage on record, with its acres.
    pub yields: Vec<YieldLine>,
    /// Loads behind it.
    pub loads: usize,
}

/// A yield that says its acres.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YieldLine {
    /// reported, planted, measured or cut.
    pub acres: String,
    /// How many.
    pub area_ac: f64,
    /// Bushels dry at the base, per acre.
    pub dry_bu_per_ac: f64,
}

/// One insured unit and crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnitLine {
    /// The unit; none is grain that cannot be tied to one.
    pub unit: Option<String>,
    /// The crop.
    pub crop: CropId,
    /// Insurance bushels of weighed loads (7 CFR 457.113 moisture rule where it applies).
    pub insurance_bu: f64,
    /// Loads in it.
    pub loads: usize,
    /// Loads not converted: no moisture, or no rule for the crop.
    pub unconverted: usize,
}

/// One person's share.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShareLine {
    /// Whose.
    pub person: PersonId,
    /// Of which field.
    pub field: PlaceId,
    /// Which crop.
    pub crop: CropId,
    /// Dry matter, lb.
    pub dry_lb: f64,
}
