//! The book's file: the only door to its SQL.

mod append;
mod attach;
mod backup;
mod check;
mod dump;
mod foreign;
mod merge;
mod open;
mod rows;
mod schema;

use crate::Device;
use rusqlite::Connection;
use std::path::PathBuf;

pub use attach::Attachment;
pub use check::{CheckReport, Finding, Grade};
pub use merge::Merged;
pub use schema::{APPLICATION_ID, SCHEMA_VERSION};

/// How long a writer waits for another before it gives up, seconds.
pub(crate) const BUSY_SECONDS: u64 = 10;

/// An open book: one SQLite file, one writer at a time.
///
/// Write-ahead log with full synchronisation: when `append` returns, the entry is on the disk.
#[derive(Debug)]
pub struct Book {
    db: Connection,
    path: PathBuf,
    device: Device,
}

impl Book {
    /// The device that this copy of the book writes as.
    pub fn device(&self) -> &Device {
        &self.device
    }

    /// Where the file is.
    pub fn path(&self) -> &std::path::Path {
        &self.path
    }
}
