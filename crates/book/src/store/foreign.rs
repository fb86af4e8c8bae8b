//! Reading a book that came from elsewhere: read-only, defensive, nothing in it trusted.

use super::{attach, open, rows};
use crate::{Attachment, BookError, Entry};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;

/// A book of another device or copy, open to read.
pub(super) struct Foreign {
    db: Connection,
    version: u32,
}

impl Foreign {
    /// Opens and verifies: mark, version, schema, integrity, sizes.
    pub(super) fn open(path: &Path) -> Result<Self, BookError> {
        open::sniff(path)?;
        Self::connect(path).map_err(|error| open::damaged(error, path))
    }

    fn connect(path: &Path) -> Result<Self, BookError> {
        let db = read_only(path)?;
        // one snapshot for all that follows
        db.execute_batch("BEGIN")?;
        let version = open::verify(&db, path)?;
        let said: String = db.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
        if said != "ok" {
            return Err(BookError::Damaged {
                path: path.display().to_string(),
                why: said,
            });
        }
        if let Some(error) = rows::too_large(&db)? {
            return Err(error);
        }
        Ok(Self { db, version })
    }

    /// Every entry, in order, through the same constructors and checks as typed input.
    pub(super) fn entries(&self) -> Result<Vec<Entry>, BookError> {
        let entries = rows::all(&self.db)?;
        entries.iter().try_for_each(Entry::check)?;
        Ok(entries)
    }

    /// Every attachment, by key.
    pub(super) fn attachments(&self) -> Result<Vec<Attachment>, BookError> {
        // attachments came with version 2 of the file
        if self.version < 2 {
            Ok(Vec::new())
        } else {
            attach::list(&self.db)
        }
    }

    /// The compressed bytes of one, verified.
    pub(super) fn packed(&self, one: Attachment) -> Result<Vec<u8>, BookError> {
        let (size, zstd) =
            attach::get(&self.db, one.sha256)?.expect("it was listed in this snapshot");
        attach::unpack(one.sha256, size, &zstd)?;
        Ok(zstd)
    }
}

/// A read-only connection. A book left in write-ahead mode needs its two side files, which cannot
/// be made on a read-only disk; there it is read as a file that nobody changes, provided that no
/// log stands beside it.
fn read_only(path: &Path) -> Result<Connection, BookError> {
    let db = open::connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let readable = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| {
        row.get::<_, i64>(0)
    });
    let Err(error) = readable else { return Ok(db) };
    let cannot_open = error.sqlite_error_code() == Some(rusqlite::ErrorCode::CannotOpen)
        || error.sqlite_error_code() == Some(rusqlite::ErrorCode::ReadOnly);
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    let no_log = std::fs::metadata(&log).map_or(true, |found| found.len() == 0);
    if cannot_open && no_log {
        let name = path
            .to_string_lossy()
            .replace('%', "%25")
            .replace('?', "%3f")
            .replace('#', "%23");
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
        return open::connect(Path::new(&format!("file:{name}?immutable=1")), flags);
    }
    Err(error.into())
}
