//! Making and opening the file.

use super::{BUSY_SECONDS, Book, schema};
use crate::entry::check_ms;
use crate::{BookError, Device};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;
use std::time::Duration;

impl Book {
    /// Makes a new book in a file that must not be there yet.
    ///
    /// # Errors
    /// [`BookError::Exists`] when the file is there, [`BookError::Io`] when it cannot be made.
    pub fn create(path: impl AsRef<Path>, device: &Device, now_ms: i64) -> Result<Self, BookError> {
        let path = path.as_ref();
        check_ms("now", now_ms)?;
        claim(path)?;
        fill(path, device, now_ms).inspect_err(|_| {
            // the file is ours and holds nothing yet
            let _ = std::fs::remove_file(path);
        })
    }

    /// Opens a book to read and write, bringing an older file up to this program's version.
    ///
    /// # Errors
    /// [`BookError::Missing`], [`BookError::NotABook`], [`BookError::NewerBook`],
    /// [`BookError::Damaged`], [`BookError::Busy`].
    pub fn open(path: impl AsRef<Path>) -> Result<Self, BookError> {
        let path = path.as_ref();
        sniff(path)?;
        let mut db = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        let opened = (|| {
            verify(&db, path)?;
            settle(&db)?;
            if schema::version(&db)? < schema::SCHEMA_VERSION {
                let tx = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
                schema::migrate(&tx, schema::SCHEMA_VERSION)?;
                tx.commit()?;
            }
            read_device(&db)
        })();
        let device = opened.map_err(|error| damaged(error, path))?;
        Ok(Self {
            db,
            path: path.to_owned(),
            device,
        })
    }

    /// Makes this copy of the book write as another device from now on: what to do after a copy
    /// or a restored backup, when the first copy is still written to.
    ///
    /// # Errors
    /// [`BookError::Busy`] or [`BookError::Sql`].
    pub fn take_device(&mut self, device: &Device, now_ms: i64) -> Result<(), BookError> {
        check_ms("now", now_ms)?;
        self.db.execute(
            "UPDATE here SET device = ?1, name = ?2, since_ms = ?3",
            (device.id.as_str(), device.name.as_str(), now_ms),
        )?;
        self.device = device.clone();
        Ok(())
    }
}

/// Makes an empty file, or says that one is there.
pub(super) fn claim(path: &Path) -> Result<(), BookError> {
    match File::create_new(path) {
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(BookError::Exists {
            path: path.display().to_string(),
        }),
        Err(error) => Err(io(path, error)),
    }
}

fn fill(path: &Path, device: &Device, now_ms: i64) -> Result<Book, BookError> {
    let mut db = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    // the mark goes in before the write-ahead log is turned on, so that it is in the file itself
    let tx = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    tx.pragma_update(None, "application_id", schema::APPLICATION_ID)?;
    schema::migrate(&tx, schema::SCHEMA_VERSION)?;
    tx.execute(
        "INSERT INTO here (only_row, device, name, since_ms) VALUES (1, ?1, ?2, ?3)",
        (device.id.as_str(), device.name.as_str(), now_ms),
    )?;
    tx.commit()?;
    settle(&db)?;
    sync_folder(path);
    Ok(Book {
        db,
        path: path.to_owned(),
        device: device.clone(),
    })
}

/// Makes a new or renamed file's name durable, where the system lets a folder be synchronised.
pub(super) fn sync_folder(path: &Path) {
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    if let Ok(folder) = File::open(folder.unwrap_or(Path::new("."))) {
        // not every file system can; the file's own bytes are synchronised in any case
        let _ = folder.sync_all();
    }
}

/// Looks at the first 100 bytes before SQLite does, so that a wrong file gets a plain answer.
pub(super) fn sniff(path: &Path) -> Result<(), BookError> {
    let not = |why: &str| {
        Err(BookError::NotABook {
            path: path.display().to_string(),
            why: why.to_owned(),
        })
    };
    let mut head = Vec::new();
    match File::open(path) {
        Ok(file) => file
            .take(100)
            .read_to_end(&mut head)
            .map_err(|error| io(path, error))?,
        Err(error) if error.kind() == ErrorKind::NotFound => {
            return Err(BookError::Missing {
                path: path.display().to_string(),
            });
        }
        Err(error) => return Err(io(path, error)),
    };
    if head.is_empty() {
        return not("it is empty");
    }
    if !head.starts_with(b"SQLite format 3\0") {
        return not("it is some other kind of file");
    }
    // big-endian at byte 68: https://www.sqlite.org/fileformat2.html, section 1.3
    if head.get(68..72) != Some(&schema::APPLICATION_ID.to_be_bytes()) {
        return not("it is another program's SQLite file");
    }
    Ok(())
}

/// Opens a connection that trusts nothing in the file.
pub(super) fn connect(path: &Path, flags: OpenFlags) -> Result<Connection, BookError> {
    let db = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    db.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_FKEY, true)?;
    db.pragma_update(None, "cell_size_check", true)?;
    Ok(db)
}

/// What a connection that writes needs: write-ahead log, full synchronisation.
fn settle(db: &Connection) -> Result<(), BookError> {
    db.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get::<_, String>(0))?;
    db.pragma_update(None, "synchronous", "FULL")?;
    db.pragma_update(None, "foreign_keys", true)?;
    Ok(())
}

/// Refuses a file whose mark, version or schema is not a book's; returns its version.
pub(super) fn verify(db: &Connection, path: &Path) -> Result<u32, BookError> {
    let not = |why: String| {
        Err(BookError::NotABook {
            path: path.display().to_string(),
            why,
        })
    };
    let mark: i32 = db.pragma_query_value(None, "application_id", |row| row.get(0))?;
    if mark != schema::APPLICATION_ID {
        return not("it is another program's SQLite file".to_owned());
    }
    let found = schema::version(db)?;
    if found > schema::SCHEMA_VERSION {
        return Err(BookError::NewerBook {
            path: path.display().to_string(),
            found,
            known: schema::SCHEMA_VERSION,
        });
    }
    if found == 0 {
        return not("it has no entries table".to_owned());
    }
    match schema::differs(db, found)? {
        Some(why) => not(why),
        None => Ok(found),
    }
}

pub(super) fn read_device(db: &Connection) -> Result<Device, BookError> {
    let (id, name): (String, String) =
        db.query_row("SELECT device, name FROM here", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })?;
    Device::new(&id, &name)
}

pub(super) fn io(path: &Path, source: std::io::Error) -> BookError {
    BookError::Io {
        path: path.display().to_string(),
        source,
    }
}

/// Says "damaged" with the file's name where SQLite says that the file is not what it should be.
pub(super) fn damaged(error: BookError, path: &Path) -> BookError {
    use rusqlite::ErrorCode::{DatabaseCorrupt, NotADatabase};
    match error {
        BookError::Sql(inner)
            if matches!(
                inner.sqlite_error_code(),
                Some(DatabaseCorrupt | NotADatabase)
            ) =>
        {
            BookError::Damaged {
                path: path.display().to_string(),
                why: inner.to_string(),
            }
        }
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_connection_that_writes_is_fully_synchronised_and_trusts_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("farm.stook");
        let device = Device::new("a", "a").unwrap();
        let made = Book::create(&path, &device, 1_790_000_000_000).unwrap();
        let opened = Book::open(&path).unwrap();
        for book in [made, opened] {
            let ask = |name: &str| -> i64 {
                book.db
                    .pragma_query_value(None, name, |row| row.get(0))
                    .unwrap()
            };
            assert_eq!(ask("synchronous"), 2, "FULL");
            assert_eq!(ask("foreign_keys"), 1);
            assert_eq!(ask("trusted_schema"), 0);
            assert_eq!(ask("cell_size_check"), 1);
            assert_eq!(ask("busy_timeout"), 10_000);
            assert!(
                book.db
                    .db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE)
                    .unwrap()
            );
            let mode: String = book
                .db
                .pragma_query_value(None, "journal_mode", |row| row.get(0))
                .unwrap();
            assert_eq!(mode, "wal");
        }
    }
}
