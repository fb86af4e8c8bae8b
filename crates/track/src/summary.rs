//! What a track adds up to.

use crate::{FindingTotals, Totals, Track, TrackError};
use quantity::Moisture;
use serde::Serialize;

/// Passes with fewer records than this are called short: starts, ends and turns
/// (threshold: common practice, no source).
pub const SHORT_PASS: u64 = 12;

/// How dry bushels are counted. Base moisture belongs to the buyer or the crop, so it is an argument.
#[derive(Debug, Clone, PartialEq)]
pub struct CropBasis {
    /// Crop, for the reader.
    pub crop: String,
    /// Moisture at which dry bushels are counted (corn usually 15.5 %).
    pub base_moisture: Moisture,
    /// Pounds in a bushel (corn 56).
    pub lb_per_bu: f64,
    /// Moisture taken for records that carry none; without it they are an error.
    pub moisture_if_unmeasured: Option<Moisture>,
}

/// Totals of one pass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassTotals {
    /// Number, from 1, in the order of the log.
    pub pass: u64,
    /// Row of its first record.
    pub first_row: u64,
    /// Row of its last record.
    pub last_row: u64,
    /// Records.
    pub n: u64,
    /// Area cut, acres.
    pub area_ac: f64,
    /// Wet grain, lb.
    pub wet_lb: f64,
    /// Bushels at the base moisture.
    pub dry_bu: f64,
    /// Bushels at the base moisture per acre cut; `None` when no area was cut.
    pub yield_bu_per_ac: Option<f64>,
}

/// Totals of one machine tank, as the monitor saw it: evidence for the account, not a weight.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TankTotals {
    /// Load as named in the file.
    pub tank: String,
    /// Row of its first record.
    pub first_row: u64,
    /// Row of its last record.
    pub last_row: u64,
    /// Records.
    pub n: u64,
    /// Logged time of its first record, s, on the log's clock.
    pub start_s: Option<f64>,
    /// Logged time of its last record, s.
    pub end_s: Option<f64>,
    /// Area cut, acres.
    pub area_ac: f64,
    /// Wet grain by the monitor, lb.
    pub monitor_wet_lb: f64,
    /// Mass-weighted moisture by the monitor, per cent wet basis; `None` when it holds no grain.
    pub monitor_moisture_pct: Option<f64>,
    /// Bushels at the base moisture by the monitor.
    pub monitor_dry_bu: f64,
}

/// What a track adds up to; printed as it is by `--json`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Crop.
    pub crop: String,
    /// Records in the totals.
    pub n: u64,
    /// Records read: `n` + `findings.set_aside_rows`.
    pub rows_read: u64,
    /// Cutting width used where the log has none, inches.
    pub swath_in: f64,
    /// Area, acres.
    pub area_ac: f64,
    /// Which acres those are: "cut", width times distance with the head down, overlap counted twice.
    pub acres: String,
    /// Wet grain, lb.
    pub wet_lb: f64,
    /// Dry matter, lb.
    pub dry_matter_lb: f64,
    /// Bushels at `base_moisture_pct` and `lb_per_bu`.
    pub dry_bu: f64,
    /// Moisture at which `dry_bu` is counted, per cent wet basis.
    pub base_moisture_pct: f64,
    /// Pounds in one of those bushels.
    pub lb_per_bu: f64,
    /// `dry_bu` per acre cut, area-weighted (total over total); `None` when no area was cut.
    pub yield_bu_per_ac: Option<f64>,
    /// Moisture weighted by wet mass, per cent wet basis; `None` when there is no grain.
    pub moisture_pct_mass_weighted: Option<f64>,
    /// Records whose moisture was not measured and was taken as given.
    pub moisture_assumed_rows: u64,
    /// Passes, in the order of the log.
    pub passes: Vec<PassTotals>,
    /// How many of them have fewer than 12 records.
    pub short_passes: u64,
    /// Tanks, in order of first appearance; empty when the log has no load column.
    pub tanks: Vec<TankTotals>,
    /// Records of a file with loads that belong to none.
    pub no_tank_rows: u64,
    /// What was found on the way.
    pub findings: FindingTotals,
}

/// Adds up a track: area, wet and dry mass, yield, moisture, by pass and by tank.
///
/// `dry_bu = sum of wet_lb x (100 - M) / (100 - Mbase) / lb_per_bu`, each record at its own
/// moisture: the dry-matter rule, which is not an elevator's shrink factor. Yield is area-weighted,
/// total bushels over total acres, so a slow record does not count as much as a fast one.
/// The order of the points fixes every rounding, so the result is the same on any machine.
///
/// # Errors
/// A swath or test weight that cannot be, no points, or a point without moisture when none is given.
pub fn summary(track: &Track, swath_m: f64, basis: &CropBasis) -> Result<Summary, TrackError> {
    let mut totals = Totals::new(swath_m, basis)?;
    totals.add(&track.points);
    totals.finish(track)
}
