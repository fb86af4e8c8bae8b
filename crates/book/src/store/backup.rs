//! Online backup: a copy that is checked before it gets its name, and never overwrites.

use super::{Book, open, rows};
use crate::BookError;
use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::time::Duration;

impl Book {
    /// Copies the book to a file that must not be there, while it stays open, and checks the copy
    /// (SQLite's integrity check, and as many entries as here); returns how many entries it holds.
    ///
    /// The copy writes as the same device: before writing to both, call [`Book::take_device`] on one.
    ///
    /// # Errors
    /// [`BookError::Exists`], [`BookError::Io`], [`BookError::Damaged`]; no file of that name is
    /// left behind by any of them.
    pub fn backup(&self, to: impl AsRef<Path>) -> Result<u64, BookError> {
        let to = to.as_ref();
        if to.exists() {
            return Err(BookError::Exists {
                path: to.display().to_string(),
            });
        }
        let mut part = to.as_os_str().to_owned();
        part.push(".part");
        let part = PathBuf::from(part);
        // what an earlier, broken-off backup left; nothing else has such a name
        let _ = std::fs::remove_file(&part);
        let copied = copy(&self.db, &part).and_then(|count| {
            name(&part, to)?;
            Ok(count)
        });
        let _ = std::fs::remove_file(&part);
        copied
    }
}

fn copy(from: &Connection, part: &Path) -> Result<u64, BookError> {
    open::claim(part)?;
    let mut db = open::connect(part, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    Backup::new(from, &mut db)?.run_to_completion(1_000, Duration::ZERO, None)?;
    // a backup is one file, readable from a disk that cannot be written to
    db.pragma_update_and_check(None, "journal_mode", "DELETE", |row| {
        row.get::<_, String>(0)
    })?;
    let said: String = db.query_row("PRAGMA integrity_check", [], |row| row.get(0))?;
    if said != "ok" {
        return Err(BookError::Damaged {
            path: part.display().to_string(),
            why: said,
        });
    }
    let count = rows::all(&db)?.len() as u64;
    db.close().map_err(|(_, error)| error)?;
    File::open(part)
        .and_then(|file| file.sync_all())
        .map_err(|error| open::io(part, error))?;
    Ok(count)
}

/// Gives the finished copy its name, unless the name was taken in the meantime.
fn name(part: &Path, to: &Path) -> Result<(), BookError> {
    let exists = || BookError::Exists {
        path: to.display().to_string(),
    };
    match std::fs::hard_link(part, to) {
        Ok(()) => {}
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => return Err(exists()),
        // a memory stick's file system has no links
        Err(_) if to.exists() => return Err(exists()),
        Err(_) => std::fs::rename(part, to).map_err(|error| open::io(to, error))?,
    }
    open::sync_folder(to);
    Ok(())
}
