//! What can go wrong with a book.

use crate::{EntryId, Sha256Key};

/// One error for the whole room: what was found, what was expected, what to do.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// A field of an entry is out of its range or badly written.
    #[error("{kind}: {field} is {found}, expected {expected}")]
    Field {
        /// The kind of entry, or "entry" for what every entry has.
        kind: &'static str,
        /// Which field.
        field: String,
        /// What was written, shortened to 60 characters.
        found: String,
        /// What would have been accepted.
        expected: String,
    },
    /// The payload text is not what its kind and version say.
    #[error("{kind} (version {version}) does not read: {why}")]
    Payload {
        /// The kind as stored.
        kind: String,
        /// The payload version as stored.
        version: u32,
        /// The reader's own words.
        why: String,
    },
    /// The entry is of a kind or version from a later program; it is kept but cannot be read here.
    #[error("{kind} (version {version}) needs a newer stook")]
    NeedsNewer {
        /// The kind as stored.
        kind: String,
        /// The payload version as stored.
        version: u32,
    },
    /// What a correction or void names is not in this book.
    #[error("entry {id} is not in this book; look up the entry to replace and name it again")]
    NoSuchEntry {
        /// The id that was named.
        id: EntryId,
    },
    /// A correction or void that cannot apply to what it names.
    #[error("entry {id} cannot be replaced so: {why}")]
    CannotReplace {
        /// The id that was named.
        id: EntryId,
        /// Why not, and what to do instead.
        why: String,
    },
    /// Two entries carry one id and say different things.
    #[error(
        "two different entries carry the id {id}: here {ours}; there {theirs}; nothing was merged"
    )]
    SameId {
        /// The id.
        id: EntryId,
        /// What this book's entry says, in short.
        ours: String,
        /// What the other says, in short.
        theirs: String,
    },
    /// The two books were begun for different farms.
    #[error("this is the book of {ours}, that one of {theirs}; nothing was merged")]
    OtherFarm {
        /// The farm of this book.
        ours: String,
        /// The farm of the other book.
        theirs: String,
    },
    /// The file is not a book.
    #[error("{path} is not a book: {why}")]
    NotABook {
        /// The file.
        path: String,
        /// What was found instead.
        why: String,
    },
    /// The file was written by a later program.
    #[error(
        "{path} was written by a newer stook (file version {found}, this one knows up to {known}); update stook to open it"
    )]
    NewerBook {
        /// The file.
        path: String,
        /// Its schema version.
        found: u32,
        /// The newest this program knows.
        known: u32,
    },
    /// The file is damaged.
    #[error(
        "{path} is damaged ({why}); go back to the last backup and merge what can still be read"
    )]
    Damaged {
        /// The file.
        path: String,
        /// What the check said first.
        why: String,
    },
    /// The file is there already and is not to be overwritten.
    #[error("{path} is there already; choose another name, nothing was overwritten")]
    Exists {
        /// The file.
        path: String,
    },
    /// The file cannot be found.
    #[error("{path} is not there; check the name, or make a new book")]
    Missing {
        /// The file.
        path: String,
    },
    /// An attachment's bytes are not those that its name promises.
    #[error("attachment {key} is damaged: {why}; go back to the last backup for it")]
    Attachment {
        /// Its SHA-256.
        key: Sha256Key,
        /// What does not agree.
        why: String,
    },
    /// An attachment, a payload or a line is larger than a book takes.
    #[error("{what} has {found} bytes, a book takes at most {most}")]
    TooLarge {
        /// What is too large.
        what: String,
        /// Its size in bytes.
        found: u64,
        /// The limit in bytes.
        most: u64,
    },
    /// A line of a dump does not read.
    #[error("line {line} of the dump does not read: {why}; nothing was imported")]
    DumpLine {
        /// Counted from 1.
        line: usize,
        /// The reader's own words.
        why: String,
    },
    /// The book is held by another program for too long.
    #[error(
        "the book is busy: another program has been writing to it for {seconds} seconds; close it and try again"
    )]
    Busy {
        /// How long this one waited.
        seconds: u64,
    },
    /// Reading or writing the file failed.
    #[error("{path} cannot be read or written: {source}")]
    Io {
        /// The file.
        path: String,
        /// The system's words.
        source: std::io::Error,
    },
    /// SQLite's own refusal.
    #[error("the book's file refuses: {0}")]
    Sql(rusqlite::Error),
}

impl From<rusqlite::Error> for BookError {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(rusqlite::ErrorCode::DatabaseBusy | rusqlite::ErrorCode::DatabaseLocked) => {
                Self::Busy {
                    seconds: crate::store::BUSY_SECONDS,
                }
            }
            _ => Self::Sql(error),
        }
    }
}

/// Shortens what was found to 60 characters on one line for a message.
pub(crate) fn short(found: &str) -> String {
    let plain = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    let mut head: String = found.chars().take(60).map(plain).collect();
    if found.chars().nth(60).is_some() {
        head.truncate(head.char_indices().nth(57).map_or(head.len(), |(at, _)| at));
        head.push_str("...");
    }
    format!("'{head}'")
}
