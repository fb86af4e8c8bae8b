//! What phones wrote: taken into the book, each entry once, whatever was sent how often.

mod base64;
mod clock;
mod outbox;
mod take;

pub(crate) use clock::read as clock_note;
pub use outbox::{
    MOST_BYTES, MOST_PHOTOGRAPH_BYTES, Outbox, PHOTOGRAPH_TYPES, Photograph, is_outbox,
    outbox_file, picture_type,
};
pub use take::take;

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Most entries in one batch.
pub const MOST_ENTRIES: usize = 500;
/// Largest entry: bytes of its figures' names and texts together.
pub const MOST_ENTRY_BYTES: usize = 64 << 10;
/// A device's clock that is further off than this is noted, milliseconds (10 minutes).
pub const CLOCK_OFF_MS: i64 = 600_000;
/// Kinds of entry that a phone writes; `strike` takes out what `replaces` names.
pub const KINDS: [&str; 11] = [
    "dump", "weighed", "sample", "count", "setting", "stop", "go", "note", "cover", "file",
    "strike",
];

/// The device that an outbox belongs to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Phone {
    /// Its id in entries.
    pub id: String,
    /// What people call it.
    pub name: String,
}

/// One entry as a phone wrote it: figures are texts exactly as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Written {
    /// A version 7 UUID, made on the phone.
    pub id: String,
    /// Counts the phone's entries from 1.
    pub seq: u32,
    /// When it was written down by the phone's clock, UTC milliseconds.
    pub stamp_ms: i64,
    /// When it happened by the phone's clock, UTC milliseconds.
    pub happened_ms: i64,
    /// The zone of the phone's clock.
    pub zone: String,
    /// What kind of entry, one of [`KINDS`].
    pub kind: String,
    /// Its figures.
    #[serde(default)]
    pub figures: BTreeMap<String, Vec<String>>,
    /// Entries that it takes out (of a `strike`).
    #[serde(default)]
    pub replaces: Vec<String>,
}

/// A batch as a phone sends it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Batch {
    /// Whose outbox.
    pub device: Phone,
    /// The phone's clock when it sent, UTC milliseconds.
    pub sent_ms: i64,
    /// The entries, in any order.
    pub entries: Vec<Sent>,
}

/// One entry of a batch; what has not the form of one is answered by itself and stops no other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Sent {
    /// In form.
    Written(Written),
    /// Anything else.
    Odd(serde_json::Value),
}

/// What the sender may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rights {
    /// Adds entries, and strikes out those of the own device.
    Helper,
    /// Strikes out any entry, and may send every kind that people write.
    Owner,
}

/// Who sends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sender<'a> {
    /// The person of the session: the author of what is taken.
    pub person: &'a str,
    /// The device of the session; a batch of another device is refused.
    pub device: &'a str,
    /// What that person may do.
    pub rights: Rights,
}

/// What became of one entry. All but `Refused` are in the book, and the phone may let go of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// It is in the book now.
    Kept,
    /// It was in the book already.
    Known,
    /// It is in the book, whole, but its figures could not be read; Night lists it.
    Unread,
    /// It is not in the book, and stays on the phone.
    Refused,
}

/// The answer for one entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct One {
    /// The entry's id as sent.
    pub id: String,
    /// What became of it.
    pub state: State,
    /// Why it was not read or refused, and what to do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The answer for a batch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Taken {
    /// The book's clock, UTC milliseconds.
    pub now_ms: i64,
    /// The phone's clock less the book's, milliseconds; positive is ahead.
    pub clock_off_ms: i64,
    /// One answer an entry, in the order sent.
    pub results: Vec<One>,
}
