//! The farm's one file: append-only entries, corrections, merging, migrations, backup.
//!
//! A *book* is one SQLite file that holds all seasons of a farm. What it keeps is a set of
//! [`Entry`]s, each of them one thing that happened, and attachments (raw files, photographs of
//! tickets) named by their SHA-256. Nothing in it is ever changed: a correction is a new entry
//! that names what it replaces, a void is a new entry that takes one out, and two books merge as
//! the union of their entries.
//!
//! - [`Entry`], [`NewEntry`], [`EntryId`], [`Device`], [`Happened`]: one thing that happened.
//! - [`kinds`]: what an entry can say, one typed payload a kind, each with its version, its checks
//!   and the way from its older versions.
//! - [`effective`]: what stands, once corrections and voids are taken into account; a pure fold
//!   over the entries that does not care in what order they arrive.
//! - [`Book`]: the file. `create`, `open`, `append`, `entries`, `attach`, `merge_from`, `backup`,
//!   `check`, `dump`, `import_dump`.
//!
//! The book never asks the clock or a source of chance: ids and "now" are arguments.
//!
//! ```
//! use book::{Book, Device, EntryId, Happened, NewEntry, effective, kinds::{Name, Note, Payload}};
//! # let folder = tempfile::tempdir()?;
//! # let path = folder.path().join("farm.stook");
//! let kitchen = Device::new("kitchen", "the laptop in the kitchen")?;
//! let now_ms = 1_790_000_000_000;
//! let mut book = Book::create(&path, &kitchen, now_ms)?;
//! let entry = book.append(
//!     &NewEntry {
//!         id: EntryId::from_clock(now_ms, [7; 10])?,
//!         author: Name::new("grower")?,
//!         happened: Happened::new(now_ms, "America/Chicago")?,
//!         payload: Payload::Note(Note { text: "first frost on the low ground".into(), about: vec![], of: vec![], question: false }),
//!         replaces: vec![],
//!     },
//!     now_ms,
//! )?;
//! assert_eq!(entry.seq, 1);
//! assert_eq!(effective(&book.entries()?).entries.len(), 1);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod entry;
mod error;
mod fold;
pub mod kinds;
mod sha;
mod store;

pub use entry::{Device, DeviceId, Entry, EntryId, Happened, NewEntry, PayloadText};
pub use error::BookError;
pub use fold::{ClockOdd, Conflict, Effective, NeedsNewer, OddClock, Standing, Voided, effective};
pub use sha::Sha256Key;
pub use store::{
    APPLICATION_ID, Attachment, Book, CheckReport, Finding, Grade, Merged, SCHEMA_VERSION,
};
