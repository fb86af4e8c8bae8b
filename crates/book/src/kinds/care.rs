//! The farm's daily care: ready lists, tarps, copies of the book, and what a phone wrote that
//! could not be read.

use super::check::{odd, words};
use super::{Day, Name};
use crate::{BookError, EntryId};
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
    /// How often.
    pub often: Often,
}

impl Ready {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        words("ready", "text", &self.text, true)
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

// `Cover`, `Copied` and `Ticked` are sound by their types; every payload has a check.
macro_rules! sound {
    ($($payload:ty),*) => {
        $(impl $payload {
            pub(crate) fn check(&self) -> Result<(), BookError> {
                Ok(())
            }
        })*
    };
}
sound!(Cover, Copied, Ticked);
