//! The farm's daily care: ready lists, tarps, copies of the book, and what a phone wrote that
//! could not be read.

use super::check::{odd, within, words};
use super::{Day, Name};
use crate::{BookError, EntryId};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How often a line of a list is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Often {
    /// Every harvest day anew.
    Daily,
    /// Until it is ticked.
    Once,
}

/// A line of a ready list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ready {
    /// What to look at, do or bring.
    pub text: String,
    /// Which list it stands on, e.g. `walk-round`, `head-change`, `bring`.
    pub list: Name,
    /// How often; with [`Ready::every_engine_h`] the engine's hours decide instead.
    pub often: Often,
    /// What is to be read when it is done: a torque, a pressure, points greased, a clearance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<ReadyReading>,
    /// Due again after so many engine hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub every_engine_h: Option<Decimal>,
}

/// A figure that a line of a ready list asks for, and what it may be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadyReading {
    /// What is read, e.g. `torque`, `pressure`, `points greased`, `clearance`.
    pub what: Name,
    /// In which unit, e.g. `lb ft`, `psi`, `mm`.
    pub unit: Name,
    /// The least that will do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<Decimal>,
    /// The most that will do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<Decimal>,
}

impl Ready {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        words("ready", "text", &self.text, true)?;
        if let Some(reading) = &self.reading {
            for (field, value) in [("least", reading.least), ("most", reading.most)] {
                within("ready", field, value, (-1_000, 1_000_000), "")?;
            }
            if let (Some(least), Some(most)) = (reading.least, reading.most)
                && least > most
            {
                let found = format!("{most}, which is below the least, {least}");
                return Err(odd(
                    "ready",
                    "most",
                    &found,
                    "at least as much as the least",
                ));
            }
        }
        if self.every_engine_h.is_some_and(|h| h <= Decimal::ZERO) {
            return Err(odd("ready", "every_engine_h", "0 h or less", "more than 0"));
        }
        within(
            "ready",
            "every_engine_h",
            self.every_engine_h,
            (0, 20_000),
            "h",
        )
    }
}

/// A line of a ready list was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ticked {
    /// The line: its first entry.
    pub item: EntryId,
    /// For which harvest day.
    pub day: Day,
    /// What was read, in the unit that the line asks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Decimal>,
    /// What the engine's hour meter showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub engine_h: Option<Decimal>,
}

impl Ticked {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        within("ticked", "value", self.value, (-1_000, 1_000_000), "")?;
        within("ticked", "engine_h", self.engine_h, (0, 100_000), "h")
    }
}

/// A tarp was put on, or taken off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cover {
    /// Of what.
    pub place: Name,
    /// Whether it is covered from now on.
    pub covered: bool,
}

/// A copy of the book was put where this machine's end would not be its own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Copied {
    /// Where it is kept, e.g. `stick in the truck`.
    pub kept_at: Name,
    /// How many entries it holds.
    pub entries: u64,
}

/// What a phone wrote and this program could not read: kept whole, so that nothing typed is lost,
/// until a person writes it anew and takes this out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unread {
    /// The kind that it said it was.
    pub sent_as: String,
    /// Its figures as typed, by name.
    pub figures: BTreeMap<String, Vec<String>>,
    /// Why it could not be read.
    pub why: String,
    /// What it was to replace, as sent.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces_sent: Vec<String>,
}

impl Unread {
    /// Most characters of all its texts together.
    pub const MOST: usize = 200_000;

    pub(crate) fn check(&self) -> Result<(), BookError> {
        words("unread", "why", &self.why, true)?;
        let named = self.figures.iter().map(|(name, texts)| {
            name.len() + texts.iter().map(|text| text.len() + 1).sum::<usize>()
        });
        let sent: usize = self.replaces_sent.iter().map(String::len).sum();
        let size = named.sum::<usize>() + sent + self.sent_as.len();
        if size > Self::MOST {
            let found = format!("{size} bytes");
            return Err(odd("unread", "figures", &found, "at most 200,000 bytes"));
        }
        Ok(())
    }
}

// `Cover` and `Copied` are sound by their types; every payload has a check.
macro_rules! sound {
    ($($payload:ty),*) => {
        $(impl $payload {
            pub(crate) fn check(&self) -> Result<(), BookError> {
                Ok(())
            }
        })*
    };
}
sound!(Cover, Copied);
