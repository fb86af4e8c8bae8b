//! The mistakes that people make with slips, and the truth kept beside a record that has some.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What kind of mistake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MistakeKind {
    /// Two neighboring digits swapped (gross, tare, net or reading).
    Swapped,
    /// One digit wrong.
    Digit,
    /// The tare was never taken off.
    TareNotTaken,
    /// The gross was typed where the net belongs.
    GrossAsNet,
    /// Another wagon's tare was taken off.
    OtherTare,
    /// Pounds typed as kilograms, or the other way round.
    WrongUnit,
    /// The moisture's decimal point slipped.
    MoistureTenfold,
    /// The test weight was typed as the moisture.
    TestWeightAsMoisture,
    /// The slip is there twice.
    Twice,
    /// The slip was never typed.
    Missing,
    /// The slip names the wrong wagon.
    WrongWagon,
    /// The slip names a field of another crop.
    WrongField,
    /// The monitor missed a part of the tank.
    MonitorGap,
}

impl MistakeKind {
    /// All kinds, in the order that tables print them.
    pub const ALL: [Self; 13] = [
        Self::Swapped,
        Self::Digit,
        Self::TareNotTaken,
        Self::GrossAsNet,
        Self::OtherTare,
        Self::WrongUnit,
        Self::MoistureTenfold,
        Self::TestWeightAsMoisture,
        Self::Twice,
        Self::Missing,
        Self::WrongWagon,
        Self::WrongField,
        Self::MonitorGap,
    ];

    /// A few words for a table.
    pub fn name(self) -> &'static str {
        match self {
            Self::Swapped => "digits swapped",
            Self::Digit => "one digit off",
            Self::TareNotTaken => "tare not taken",
            Self::GrossAsNet => "gross as net",
            Self::OtherTare => "another wagon's tare",
            Self::WrongUnit => "pounds for kilograms",
            Self::MoistureTenfold => "moisture ten-fold",
            Self::TestWeightAsMoisture => "test weight as moisture",
            Self::Twice => "entered twice",
            Self::Missing => "missing slip",
            Self::WrongWagon => "wrong wagon",
            Self::WrongField => "wrong field",
            Self::MonitorGap => "monitor gap",
        }
    }
}

/// Which part of the slip the mistake is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Loaded weight.
    Gross,
    /// Empty weight.
    Tare,
    /// Net weight.
    Net,
    /// The combine's reading.
    Reading,
    /// The unit of the weights.
    Unit,
    /// Moisture.
    Moisture,
    /// Where from.
    From,
    /// Where to.
    To,
    /// The slip as a whole.
    Slip,
}

/// One planted mistake.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Mistake {
    /// What kind.
    pub kind: MistakeKind,
    /// The slip: as typed, or for a missing one the slip that should be there; for one entered
    /// twice the second.
    pub slip: String,
    /// For one entered twice, the first.
    pub twin: Option<String>,
    /// Where on the slip.
    pub part: Part,
    /// What was typed.
    pub typed: String,
    /// What should have been (what the paper says; for a monitor gap, nobody's paper knows).
    pub right: String,
    /// Change in dry mass that the mistake makes, lb (typed less right; the whole slip's for a
    /// missing, doubled or misplaced one).
    pub change_dry_lb: f64,
    /// Every typed slip of the trips concerned, the slip itself included where it is typed.
    pub concerned: Vec<String>,
    /// Every typed slip and stock that stands in a balance with one of those, bins included.
    pub in_balance: Vec<String>,
}

/// One machine's true factor in one crop: true dry mass over the monitor's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Factor {
    /// Which combine.
    pub machine: String,
    /// Which crop.
    pub crop: String,
    /// True over read.
    pub k: f64,
}

/// One filling of a place: a wagon's from empty to empty, a bin's between two measures.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Filling {
    /// Which place.
    pub place: String,
    /// Which filling, counted over the whole season.
    pub number: u32,
}

/// What really happened.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Truth {
    /// True dry mass of each slip, lb; a second entry of a slip has none.
    pub dry_lb: BTreeMap<String, f64>,
    /// True moisture of each slip's grain, per cent.
    pub moisture_pct: BTreeMap<String, f64>,
    /// True dry mass of each measured stock, lb.
    pub stock_dry_lb: BTreeMap<String, f64>,
    /// Fillings that each slip belongs to.
    pub trips: BTreeMap<String, Vec<Filling>>,
    /// Fillings that each stock closes and opens.
    pub stock_trips: BTreeMap<String, Vec<Filling>>,
    /// Gross on the paper of tickets whose net alone was copied, digits in the slip's unit.
    pub paper_gross: BTreeMap<String, i64>,
    /// Monitor factors.
    pub factors: Vec<Factor>,
    /// Meter offsets against the reference, points.
    pub offsets: BTreeMap<String, f64>,
    /// The planted mistakes, in order of time.
    pub mistakes: Vec<Mistake>,
}
