//! What squaring answers.

use super::mistake::Hypothesis;
use crate::slip::{CropId, MachineId, MeterId, PlaceId, SlipId};
use serde::{Deserialize, Serialize};

/// Where the moisture that made a slip's wet mass dry came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MoistureSource {
    /// Read on the slip itself.
    Own,
    /// Another slip of the same filling of the wagon.
    Filling,
    /// Median of the crop's slips of the same day.
    Day,
    /// Median of the crop's slips of the season.
    Season,
    /// Nobody measured this crop's moisture: a guess of 15 %, 3 points either way.
    Guess,
    /// The reading was dry mass already.
    Dry,
    /// There is no mass to make dry.
    None,
}

/// One slip, as written and as squared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SquaredSlip {
    /// Which slip.
    pub slip: SlipId,
    /// Dry matter that the slip says, where it says anything, kg.
    pub record_dry_kg: Option<f64>,
    /// Dry matter that most likely moved, kg; `None` where nothing determines it.
    pub squared_dry_kg: Option<f64>,
    /// Its standard error, kg.
    pub se_kg: Option<f64>,
    /// Standard error of what the slip says, taken alone, kg.
    pub record_sd_kg: Option<f64>,
    /// The measurement test: residual over its standard error, at the values as written (no
    /// suspect set aside); `None` where nothing checks the slip.
    pub z: Option<f64>,
    /// Whether what is written determines it at all.
    pub observable: bool,
    /// Whether something else checks it.
    pub redundant: bool,
    /// Smallest change in dry mass that would be found nearly always (d = 6), kg.
    pub findable_kg: Option<f64>,
    /// Slips and stocks that no test can tell from this one, itself left out.
    pub alike: Vec<SlipId>,
    /// Where its moisture came from.
    pub moisture: MoistureSource,
    /// Whether it is among the suspects.
    pub suspect: bool,
}

/// Grain in a place at a measured moment, or at the end of what is written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SquaredStock {
    /// The measurement, or `None` for what is left after the last slip.
    pub stock: Option<SlipId>,
    /// Where.
    pub place: PlaceId,
    /// Of which crop.
    pub crop: CropId,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Dry matter as measured, kg.
    pub record_dry_kg: Option<f64>,
    /// Dry matter that most likely is there, kg; `None` where nothing determines it.
    pub squared_dry_kg: Option<f64>,
    /// Its standard error, kg.
    pub se_kg: Option<f64>,
    /// The measurement test.
    pub z: Option<f64>,
    /// Whether something else checks the measurement.
    pub redundant: bool,
}

/// True mass over a monitor's mass.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SquaredFactor {
    /// Which combine.
    pub machine: MachineId,
    /// In which crop.
    pub crop: CropId,
    /// From which recalibration on (0: the season's start).
    pub setting: usize,
    /// True over read.
    pub factor: f64,
    /// Its standard error.
    pub se: f64,
    /// Weighed loads that this monitor's tanks went into.
    pub weighed_loads: usize,
}

/// What a moisture meter reads over the reference.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SquaredOffset {
    /// Which meter.
    pub meter: MeterId,
    /// Points above the reference meter.
    pub points: f64,
    /// Its standard error, points.
    pub se_points: f64,
}

/// Error of a tare that several slips share.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SquaredTare {
    /// Its name on the slips.
    pub tare: String,
    /// Written less true, wet kg.
    pub error_kg: f64,
    /// Its standard error, kg.
    pub se_kg: f64,
}

/// What went into a place and neither came out nor is there, by the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Unexplained {
    /// Where.
    pub place: PlaceId,
    /// Of which crop.
    pub crop: CropId,
    /// First slip of the period, UTC milliseconds.
    pub from_ms: i64,
    /// Its close, UTC milliseconds.
    pub to_ms: i64,
    /// In less out less what stayed, by the record with monitors at their squared factor, kg.
    pub dry_kg: f64,
    /// Its standard error from the errors of the slips concerned, kg.
    pub se_kg: f64,
    /// Slips and stocks of the period.
    pub slips: Vec<SlipId>,
}

/// A measurement that does not fit the rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Suspect {
    /// The slip or stock set aside.
    pub slip: SlipId,
    /// Everything that no test can tell from it, itself included: one of these is off.
    pub set: Vec<SlipId>,
    /// Its measurement test when it was set aside; small where the slip is odd by itself and another
    /// mistake hides it from the test.
    pub z: f64,
    /// Written less what everything else predicts, dry kg.
    pub off_by_kg: f64,
    /// Standard error of that difference, kg.
    pub se_kg: f64,
    /// What may have happened, the most likely first.
    pub hypotheses: Vec<Hypothesis>,
    /// Chance that it is a mistake of none of these kinds.
    pub something_else: f64,
    /// Chance that it is no mistake at all, only noise.
    pub noise: f64,
    /// One sentence that claims nothing.
    pub words: String,
}

/// A weighing that would let mistakes be found that nothing shows now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Advice {
    /// What to do.
    pub weighing: Weighing,
    /// Slips that it would check.
    pub checks: Vec<SlipId>,
    /// One sentence.
    pub words: String,
}

/// An extra weighing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weighing {
    /// A ticket for what this place holds.
    Ticket(PlaceId),
    /// A bin or pile measured.
    Measure(PlaceId),
    /// Say that a place was empty (tare it) after this slip.
    Tare(PlaceId),
    /// A weighed load of this crop for this machine's monitor.
    SetMonitor(MachineId, CropId),
    /// Another estimate of what this slip moved.
    Second(SlipId),
}

/// The squared account of a season.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Squared {
    /// Whether no measurement test alarms.
    pub square: bool,
    /// The largest |z| before anything was set aside.
    pub worst_z: f64,
    /// The |z| that alarms.
    pub critical_z: f64,
    /// Level of that test.
    pub level: f64,
    /// Distinct tests (an equivalent set is one).
    pub tests: usize,
    /// Sum of squared residuals over their standard errors.
    pub chi_square: f64,
    /// Its degrees of freedom.
    pub dof: usize,
    /// Chance of a larger one in a season without mistakes; shown beside, decides nothing.
    pub chi_square_p: f64,
    /// Every slip, in the order given.
    pub slips: Vec<SquaredSlip>,
    /// Measured stocks in the order given, then what is left in each open place.
    pub stocks: Vec<SquaredStock>,
    /// Monitor factors.
    pub factors: Vec<SquaredFactor>,
    /// Meter offsets.
    pub offsets: Vec<SquaredOffset>,
    /// Shared tares.
    pub tares: Vec<SquaredTare>,
    /// What each closed period leaves unexplained.
    pub unexplained: Vec<Unexplained>,
    /// What does not fit, in the order in which it was set aside.
    pub suspects: Vec<Suspect>,
    /// Slips that nothing checks.
    pub unchecked: Vec<SlipId>,
    /// Weighings that would check them.
    pub advice: Vec<Advice>,
    /// Anything assumed on the way, one sentence each.
    pub notes: Vec<String>,
}
