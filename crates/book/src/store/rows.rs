//! Rows to entries and back. Every row passes the constructors that typed input passes.

use super::Book;
use crate::entry::PayloadText;
use crate::kinds::Name;
use crate::{BookError, DeviceId, Entry, EntryId, Happened};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, Row};

const COLUMNS: &str =
    "id, device, seq, stamp_ms, author, happened_ms, zone, kind, version, payload, replaces";

/// Longest text a column other than the payload may hold, bytes; 1,000 ids fit.
const COLUMN_MOST: i64 = 40_000;

impl Book {
    /// Every entry, in the one order (stamp, device, seq, id).
    ///
    /// # Errors
    /// [`BookError::Damaged`] when a row is not an entry.
    pub fn entries(&self) -> Result<Vec<Entry>, BookError> {
        all(&self.db).map_err(|error| super::open::damaged(error, &self.path))
    }

    /// How many entries there are, without reading them: entries are only ever added, so this tells
    /// whether the book has grown.
    ///
    /// # Errors
    /// [`BookError::Sql`].
    pub fn length(&self) -> Result<u64, BookError> {
        let rows: i64 = self
            .db
            .prepare_cached("SELECT coalesce(max(rowid), 0) FROM entry")?
            .query_row([], |row| row.get(0))?;
        Ok(rows.unsigned_abs())
    }

    /// One entry.
    ///
    /// # Errors
    /// [`BookError::Sql`] or [`BookError::Damaged`].
    pub fn entry(&self, id: EntryId) -> Result<Option<Entry>, BookError> {
        one(&self.db, id)
    }
}

/// Reads all entries, in order.
pub(super) fn all(db: &Connection) -> Result<Vec<Entry>, BookError> {
    let mut rows = db.prepare(&format!("SELECT {COLUMNS} FROM entry"))?;
    let mut rows = rows.query([])?;
    let mut entries = Vec::new();
    while let Some(row) = rows.next()? {
        entries.push(read(row)?);
    }
    entries.sort_by(|a, b| a.order().cmp(&b.order()));
    Ok(entries)
}

/// Reads one entry.
pub(super) fn one(db: &Connection, id: EntryId) -> Result<Option<Entry>, BookError> {
    let mut rows = db.prepare_cached(&format!("SELECT {COLUMNS} FROM entry WHERE id = ?1"))?;
    rows.query_row([id.to_string()], |row| Ok(read(row)))
        .optional()?
        .transpose()
}

/// The first row that holds more than a book takes, found without reading it.
pub(super) fn too_large(db: &Connection) -> Result<Option<BookError>, BookError> {
    let found = db
        .query_row(
            "SELECT rowid, max(octet_length(payload), ?1 * (
                 octet_length(id) + octet_length(device) + octet_length(author)
                 + octet_length(zone) + octet_length(kind) + octet_length(replaces) > ?2))
             FROM entry
             WHERE octet_length(payload) > ?1
                OR octet_length(id) + octet_length(device) + octet_length(author)
                   + octet_length(zone) + octet_length(kind) + octet_length(replaces) > ?2
             LIMIT 1",
            (i64::from(PayloadText::MOST), COLUMN_MOST),
            |row| Ok((row.get::<_, i64>(0)?, row.get::<_, i64>(1)?)),
        )
        .optional()?;
    Ok(found.map(|(row, bytes)| BookError::TooLarge {
        what: format!("row {row}"),
        found: bytes.unsigned_abs(),
        most: u64::from(PayloadText::MOST),
    }))
}

fn text<'a>(row: &'a Row<'_>, column: usize) -> Result<&'a str, BookError> {
    let name = Entry::COLUMNS[column];
    let odd = |found: String| BookError::Field {
        kind: "entry",
        field: name.to_owned(),
        found,
        expected: "text in UTF-8".to_owned(),
    };
    match row.get_ref(column)? {
        ValueRef::Text(bytes) => {
            std::str::from_utf8(bytes).map_err(|error| odd(format!("not UTF-8 ({error})")))
        }
        other => Err(odd(other.data_type().to_string())),
    }
}

fn count(row: &Row<'_>, column: usize) -> Result<u32, BookError> {
    let found: i64 = row.get(column)?;
    u32::try_from(found).map_err(|_| BookError::Field {
        kind: "entry",
        field: Entry::COLUMNS[column].to_owned(),
        found: found.to_string(),
        expected: "a count from 1".to_owned(),
    })
}

fn read(row: &Row<'_>) -> Result<Entry, BookError> {
    let replaces = text(row, 10)?;
    Ok(Entry {
        id: EntryId::parse(text(row, 0)?)?,
        device: DeviceId::new(text(row, 1)?)?,
        seq: count(row, 2)?,
        stamp_ms: row.get(3)?,
        author: Name::new(text(row, 4)?)?,
        happened: Happened::new(row.get(5)?, text(row, 6)?)?,
        kind: text(row, 7)?.to_owned(),
        version: count(row, 8)?,
        payload: PayloadText::new(text(row, 9)?)?,
        replaces: replaces
            .split_whitespace()
            .map(EntryId::parse)
            .collect::<Result<_, _>>()?,
    })
}

/// Writes one entry. The caller has checked it and holds the transaction.
pub(super) fn insert(db: &Connection, entry: &Entry) -> Result<(), BookError> {
    let record = entry.record();
    db.prepare_cached(&format!(
        "INSERT INTO entry ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)"
    ))?
    .execute((
        &record[0],
        &record[1],
        entry.seq,
        entry.stamp_ms,
        &record[4],
        entry.happened.at_ms(),
        &record[6],
        &record[7],
        entry.version,
        &record[9],
        &record[10],
    ))?;
    Ok(())
}
