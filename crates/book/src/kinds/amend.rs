//! Corrections and voids: the only entries that replace others.

use super::check::{odd, words};
use super::{Payload, Reading};
use crate::{BookError, EntryId, PayloadText};
use serde::{Deserialize, Serialize};

/// A new wording of an earlier entry, typed from the paper with a reason. Its own `happened` is
/// when the thing corrected happened, as corrected; its `replaces` names the entry corrected and
/// every earlier correction of it that the writer saw.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Wire", into = "Wire")]
pub struct Correction {
    /// The first entry, the one that is corrected (never a correction itself).
    pub of: EntryId,
    /// Why, e.g. "the paper ticket says 12,620".
    pub reason: String,
    /// What it should have said; of the same kind.
    pub now: Box<Payload>,
}

#[derive(Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wire {
    of: EntryId,
    reason: String,
    kind: String,
    version: u32,
    payload: PayloadText,
}

impl TryFrom<Wire> for Correction {
    type Error = BookError;
    fn try_from(wire: Wire) -> Result<Self, BookError> {
        // before reading: corrections nested in corrections would otherwise nest without end
        amendable(&wire.kind)?;
        match Payload::read(&wire.kind, wire.version, wire.payload.as_str())? {
            Reading::Known(now) => Ok(Self {
                of: wire.of,
                reason: wire.reason,
                now: Box::new(now),
            }),
            Reading::NeedsNewer => Err(BookError::NeedsNewer {
                kind: wire.kind,
                version: wire.version,
            }),
        }
    }
}

impl From<Correction> for Wire {
    fn from(correction: Correction) -> Self {
        Self {
            of: correction.of,
            reason: correction.reason,
            kind: correction.now.kind().to_owned(),
            version: correction.now.version(),
            payload: PayloadText::new(correction.now.text())
                .expect("a payload writes one JSON object"),
        }
    }
}

impl Correction {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        amendable(self.now.kind())?;
        words("correction", "reason", &self.reason, true)?;
        self.now.check()
    }
}

/// A correction rewords an entry, never another correction or a void.
fn amendable(kind: &str) -> Result<(), BookError> {
    if matches!(kind, "correction" | "void") {
        return Err(odd(
            "correction",
            "kind",
            kind,
            "the kind of the entry corrected",
        ));
    }
    Ok(())
}

/// Whether a correction's new wording is of a kind or version that only a later program knows.
pub(super) fn needs_newer(text: &str) -> bool {
    serde_json::from_str::<Wire>(text).is_ok_and(|wire| {
        Payload::current_version(&wire.kind).is_none_or(|current| wire.version > current)
    })
}

/// Takes out what its entry `replaces` names: an entry (name every version seen), a correction
/// (the wording before it comes back) or a void (what it took out comes back).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Void {
    /// Why, e.g. "entered twice".
    pub reason: String,
}

impl Void {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        words("void", "reason", &self.reason, true)
    }
}
