//! What was written down: slips, stocks and samples in plain types, as typed or as the paper says.
//!
//! These types are this room's own, so that a generated season shares no code with the account that
//! it tests; whoever uses one converts it. Weights are whole digits in the unit they were written in.

use quantity::MassUnit;
use serde::{Deserialize, Serialize};

/// What a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKind {
    /// Standing crop of a field.
    Standing,
    /// Wagon.
    Wagon,
    /// Road truck.
    Truck,
    /// Farm bin.
    Bin,
    /// Own dryer: loses a little dry matter.
    Dryer,
    /// A buyer's pit.
    Pit,
    /// Fed on the farm.
    Feed,
    /// Kept for seed.
    Seed,
    /// Spilt.
    Spill,
}

/// One place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// Its name in slips.
    pub id: String,
    /// What it is.
    pub kind: PlaceKind,
    /// What it holds level full, wet, lb.
    pub capacity_lb: Option<f64>,
    /// Its weight empty as this farm's list of tares has it, lb (wagons and trucks).
    pub tare_lb: Option<i64>,
}

/// Whose moisture meter it is; decides its standard error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MeterKind {
    /// A buyer's bench meter: 0.3 points.
    Buyer,
    /// The farm's hand meter: 0.5 points.
    Hand,
    /// The combine's sensor: 0.7 points.
    Combine,
}

/// One moisture meter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Meter {
    /// Its name in slips.
    pub id: String,
    /// Whose it is.
    pub kind: MeterKind,
    /// The reference that the other meters' offsets are measured from.
    pub reference: bool,
}

/// Which scale weighed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Scale {
    /// A buyer's certified truck scale, 0.1 % and a 20-lb step.
    Certified,
    /// A weigh wagon, 0.5 %.
    Cart,
    /// The farm's own platform, 1.5 %.
    Farm,
}

/// How much, as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// Weighed.
    Scale {
        /// Loaded, in `unit`, where written.
        gross: Option<i64>,
        /// Empty, in `unit`, where written.
        tare: Option<i64>,
        /// Names a tare that was weighed once and used on many slips.
        shared_tare: Option<String>,
        /// Net, in `unit`: gross less tare where both are there, else as written.
        net: i64,
        /// The step the scale prints, in `unit`.
        step: i64,
        /// The unit of the digits.
        unit: MassUnit,
        /// Which scale.
        scale: Scale,
    },
    /// The combine's own reading of a tank.
    Monitor {
        /// Which combine.
        machine: String,
        /// As read, in `unit`; dry mass where the slip has no moisture, else wet.
        reading: i64,
        /// The unit of the digits.
        unit: MassUnit,
    },
    /// A guess of the wet weight.
    Eye {
        /// lb.
        lb: i64,
        /// A wagon or tank level full rather than a share of it.
        full: bool,
    },
    /// Nobody said.
    Unknown,
}

/// A moisture reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Per cent, wet basis, as written.
    pub percent: f64,
    /// Which meter.
    pub meter: String,
}

/// One movement of grain, as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Slip {
    /// Names it in this season; sorted as it was written.
    pub id: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Where from (several wagons may be emptied over one ticket).
    pub from: Vec<String>,
    /// Where to.
    pub to: String,
    /// Which crop.
    pub crop: String,
    /// How much.
    pub weight: Weight,
    /// How wet.
    pub moisture: Option<Reading>,
    /// Test weight, lb/bu, where the ticket has one.
    pub test_weight_lb_bu: Option<f64>,
    /// Grade factors as the ticket prints them: name and per cent.
    pub factors: Vec<(String, f64)>,
    /// The sources are empty afterwards.
    pub empties: bool,
    /// The ticket's or load card's number.
    pub number: Option<String>,
}

/// A measured stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Stock {
    /// Names it in this season.
    pub id: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Where.
    pub place: String,
    /// Of which crop.
    pub crop: String,
    /// Wet mass, lb.
    pub wet_lb: i64,
    /// How wet.
    pub moisture: Option<Reading>,
    /// Relative standard error; `None` is a bin measure's 3 %; 0 is exact (empty).
    pub relative_sd: Option<f64>,
}

/// A moisture and test weight of grain in a place, apart from any slip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sample {
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Where it was taken.
    pub place: String,
    /// Of which crop.
    pub crop: String,
    /// How wet.
    pub moisture: Reading,
    /// Test weight, lb/bu.
    pub test_weight_lb_bu: Option<f64>,
}

/// Everything that one farm wrote in one season.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Record {
    /// All places.
    pub places: Vec<Place>,
    /// Names of the combines.
    pub machines: Vec<String>,
    /// All moisture meters; exactly one is the reference.
    pub meters: Vec<Meter>,
    /// In order of time.
    pub slips: Vec<Slip>,
    /// In order of time.
    pub stocks: Vec<Stock>,
    /// In order of time.
    pub samples: Vec<Sample>,
}

impl Record {
    /// The slip of that name.
    pub fn slip(&self, id: &str) -> Option<&Slip> {
        self.slips.iter().find(|slip| slip.id == id)
    }
}
