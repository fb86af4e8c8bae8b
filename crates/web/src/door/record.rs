//! What the access file holds: people, their devices, no secret in the clear.
//!
//! It lies outside the book, because a book is copied, merged, sent and exported, and none of those
//! may carry a key to the farm's own machine.

use super::role::Role;
use serde::{Deserialize, Serialize};

/// Milliseconds of a day.
pub const DAY_MS: i64 = 24 * 60 * 60 * 1000;
/// A session ends this long after it was last heard of.
pub const SESSION_MS: i64 = 90 * DAY_MS;
/// A revoked or ended session is listed this long, so that the owner sees what was.
pub const REMEMBERED_MS: i64 = 30 * DAY_MS;

/// Why a reader may see a field: their rent depends on what it yields.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Because {
    /// Their share of the grain stands in the book.
    ShareOfGrain,
    /// The owner says that their rent depends on the yield.
    RentByYield,
}

/// One field that a reader may see.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReaderField {
    /// The field's name.
    pub field: String,
    /// Why.
    pub because: Because,
}

/// Somebody who may come in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// A number of this file's own, so that a name may be mended.
    pub id: u32,
    /// What people call them; signs what they write.
    pub name: String,
    /// What they may do.
    pub role: Role,
    /// Their language, `en` or `es`; the device's own if none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub language: Option<String>,
    /// Argon2id of their passphrase, if they have one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub passphrase: Option<String>,
    /// A reader's fields.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reader_fields: Vec<ReaderField>,
    /// Whether a reader may read; off until the owner turns it on.
    #[serde(default)]
    pub reading: bool,
}

/// One paired device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Session {
    /// SHA-256 of its token.
    pub token: String,
    /// Whose.
    pub person: u32,
    /// What they called the device.
    pub device: String,
    /// When it was paired, UTC milliseconds.
    pub made_ms: i64,
    /// When it was last heard of.
    pub seen_ms: i64,
    /// When it ends unless it is heard of again.
    pub ends_ms: i64,
    /// When it was revoked or signed out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revoked_ms: Option<i64>,
}

impl Session {
    /// Whether its token still opens the door.
    pub fn stands(&self, now_ms: i64) -> bool {
        self.revoked_ms.is_none() && now_ms < self.ends_ms
    }
}

/// The whole file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// The form of this file.
    pub version: u32,
    /// Made once by chance; names the cookie, so that two books on one machine have two.
    pub mark: String,
    /// The next person's number.
    pub next: u32,
    /// Who may come in.
    pub people: Vec<Person>,
    /// Their devices.
    pub sessions: Vec<Session>,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            version: 1,
            mark: String::new(),
            next: 1,
            people: Vec::new(),
            sessions: Vec::new(),
        }
    }
}

impl Record {
    /// The person of that number.
    pub fn person(&self, id: u32) -> Option<&Person> {
        self.people.iter().find(|person| person.id == id)
    }

    /// The session of that hash.
    pub fn session(&self, hash: &str) -> Option<&Session> {
        self.sessions.iter().find(|session| session.token == hash)
    }

    /// Adds somebody and gives them a number.
    pub fn add(&mut self, name: &str, role: Role) -> u32 {
        let id = self.next;
        self.next += 1;
        self.people.push(Person {
            id,
            name: name.to_owned(),
            role,
            language: None,
            passphrase: None,
            reader_fields: Vec::new(),
            reading: false,
        });
        id
    }

    /// Forgets sessions that ended or were revoked long ago.
    pub fn tidy(&mut self, now_ms: i64) {
        self.sessions.retain(|session| {
            let over = session.revoked_ms.unwrap_or(session.ends_ms);
            over.saturating_add(REMEMBERED_MS) > now_ms
        });
    }
}
