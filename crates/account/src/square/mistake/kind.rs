//! The kinds of mistake, where on a slip they sit, and one hypothesis.

use crate::slip::SlipId;
use serde::{Deserialize, Serialize};

/// The kinds of mistake that people make with slips.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MistakeKind {
    /// Two neighboring digits swapped, of gross, tare, net or reading.
    DigitsSwapped,
    /// One digit off.
    DigitOff,
    /// The tare was never taken off.
    TareNotTaken,
    /// The gross was typed where the net belongs.
    GrossAsNet,
    /// Another wagon's tare was taken off.
    OtherTare,
    /// Pounds typed as kilograms, or the other way round.
    PoundsForKilograms,
    /// The moisture's decimal point slipped.
    MoistureTenfold,
    /// The test weight was typed as the moisture.
    TestWeightAsMoisture,
    /// The slip is there twice.
    EnteredTwice,
    /// A slip was never entered.
    Missing,
    /// The slip names the wrong wagon.
    WrongWagon,
    /// The slip names a field of another crop.
    WrongField,
    /// The monitor missed a part of the tank.
    MonitorGap,
}

impl MistakeKind {
    /// A few words, as a page prints them.
    pub fn name(self) -> &'static str {
        match self {
            Self::DigitsSwapped => "two digits swapped",
            Self::DigitOff => "one digit off",
            Self::TareNotTaken => "tare not taken off",
            Self::GrossAsNet => "gross typed as net",
            Self::OtherTare => "another wagon's tare",
            Self::PoundsForKilograms => "pounds for kilograms",
            Self::MoistureTenfold => "moisture ten-fold off",
            Self::TestWeightAsMoisture => "test weight typed as moisture",
            Self::EnteredTwice => "entered twice",
            Self::Missing => "a slip missing",
            Self::WrongWagon => "wrong wagon",
            Self::WrongField => "wrong field",
            Self::MonitorGap => "monitor gap",
        }
    }
}

/// Where on a slip a change would be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Field {
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
    /// Which crop.
    Crop,
    /// The slip as a whole.
    Slip,
}

impl Field {
    /// As a sentence names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Gross => "gross",
            Self::Tare => "tare",
            Self::Net => "net",
            Self::Reading => "reading",
            Self::Unit => "unit",
            Self::Moisture => "moisture",
            Self::From => "place it came from",
            Self::To => "place it went to",
            Self::Crop => "crop",
            Self::Slip => "slip",
        }
    }
}

/// One thing that may have happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hypothesis {
    /// What kind of mistake.
    pub kind: MistakeKind,
    /// On which slip; for a missing one, a slip of the filling that is short of it.
    pub slip: SlipId,
    /// Where on it.
    pub field: Field,
    /// What is written there.
    pub written: String,
    /// What may have been meant, to be looked up on the paper.
    pub perhaps: String,
    /// Another slip concerned: the first of two.
    pub other: Option<SlipId>,
    /// What it would change in the slip's dry mass, kg.
    pub change_dry_kg: f64,
    /// Chance of this kind among everything considered, noise and something unspecified included.
    pub chance: f64,
    /// Natural logarithm of the odds of this kind against nothing but noise.
    pub ln_odds_against_noise: f64,
    /// One sentence that claims nothing.
    pub words: String,
}
