//! Stops: time that the combine stood, and why.

use super::Name;
use super::check::{odd, words};
use crate::{BookError, EntryId};
use quantity::Money;
use serde::{Deserialize, Serialize};

/// Why the combine stood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StopWhy {
    /// Nothing to unload into.
    Wagon,
    /// Head, feeder or cylinder plugged.
    Plug,
    /// Something broke.
    Breakdown,
    /// On the way to another field or round an obstacle.
    Moving,
    /// Fuel, grease, cleaning, daily care.
    FuelGrease,
    /// Too wet, too tough, wind, fire danger.
    Weather,
    /// Counting, sampling or setting the machine.
    Setting,
    /// Rest and meals.
    Rest,
    /// Something else; the remark says what.
    Other,
}

/// The combine stands. It runs on until a [`Go`] names it, unless the minutes are written with it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stop {
    /// Which machine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<Name>,
    /// In which field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<Name>,
    /// Why.
    pub why: StopWhy,
    /// Which part broke or plugged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<Name>,
    /// What it cost in parts and labor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<Money>,
    /// How long it stood, whole minutes, where it is written afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<u32>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl Stop {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        paid("stop", self.cost)?;
        // a season is not longer than that
        match self.minutes {
            Some(minutes) if minutes > 200_000 => Err(odd(
                "stop",
                "minutes",
                &minutes.to_string(),
                "at most 200,000 minutes",
            )),
            _ => words("stop", "remark", &self.remark, false),
        }
    }
}

/// The combine goes on: ends a stop. Of two ends the earlier stands, and both are kept.
///
/// Why, part and cost are often known only now. What the stop's beginning said stands beside what its end
/// says; neither takes the other's place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Go {
    /// The stop that it ends.
    pub stop: EntryId,
    /// Why it stood, as it turned out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<StopWhy>,
    /// Which part broke or plugged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<Name>,
    /// What it cost in parts and labor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<Money>,
    /// What was done.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl Go {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        paid("go", self.cost)?;
        words("go", "remark", &self.remark, false)
    }
}

/// What a stop cost, if that is written.
fn paid(kind: &'static str, cost: Option<Money>) -> Result<(), BookError> {
    match cost {
        Some(cost) if !(Money::ZERO..=Money::from_units(10_000_000_000)).contains(&cost) => {
            Err(odd(kind, "cost", &cost.show(), "$0 to $1,000,000"))
        }
        _ => Ok(()),
    }
}
