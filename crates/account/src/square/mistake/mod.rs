//! Which mistake a suspect looks like.

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

/// One thing that may have happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hypothesis {
    /// What kind of mistake.
    pub kind: MistakeKind,
    /// On which slip; for a missing one, the slip that is short of it.
    pub slip: SlipId,
    /// Where on it.
    pub field: Field,
    /// What is written there.
    pub written: String,
    /// What may have been meant, to be looked up on the paper.
    pub perhaps: String,
    /// Another slip concerned: the first of two, or the slip the grain may belong with.
    pub other: Option<SlipId>,
    /// What it would change in the slip's dry mass, kg.
    pub change_dry_kg: f64,
    /// Residual left if it were so, in standard errors.
    pub z_left: f64,
    /// Chance among everything considered, something unspecified included.
    pub chance: f64,
    /// Natural logarithm of the odds against nothing but noise.
    pub ln_odds_against_noise: f64,
    /// One sentence that claims nothing.
    pub words: String,
}

use crate::square::network::Aside;
use crate::square::season::report::Read;

pub(super) fn weigh(
    _read: &Read<'_>,
    _aside: &Aside,
    _members: &[usize],
) -> (Vec<Hypothesis>, f64) {
    (Vec::new(), 1.0)
}

pub(super) fn say(slip: &SlipId, _set: &[SlipId], _off: f64, _h: &[Hypothesis]) -> String {
    format!("Slip {slip} does not fit.")
}
