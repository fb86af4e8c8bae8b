//! The file's versions: migrations in order, each run once, none ever edited.

use crate::BookError;
use rusqlite::{Connection, Transaction};

/// "stok" in the header of every book (SQLite's `application_id`).
pub const APPLICATION_ID: i32 = 0x7374_6f6b;

const MIGRATIONS: [&str; 2] = [
    include_str!("../../migrations/0001_entries.sql"),
    include_str!("../../migrations/0002_attachments.sql"),
];

/// The version of the file that this program writes; it opens all earlier ones.
pub const SCHEMA_VERSION: u32 = MIGRATIONS.len() as u32;

/// The file's version.
pub(super) fn version(db: &Connection) -> Result<u32, BookError> {
    Ok(db.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

/// Brings a file from its version up to `to`, inside the caller's transaction.
pub(super) fn migrate(tx: &Transaction<'_>, to: u32) -> Result<(), BookError> {
    for (sql, number) in MIGRATIONS.iter().zip(1..=to).skip(version(tx)? as usize) {
        tx.execute_batch(sql)?;
        tx.pragma_update(None, "user_version", number)?;
    }
    Ok(())
}

/// One object of a schema: its type, name and the SQL that made it.
type Object = (String, String, String);

fn objects(db: &Connection) -> Result<Vec<Object>, BookError> {
    let mut all = db.prepare(
        "SELECT type, name, sql FROM sqlite_schema
         WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'
         ORDER BY type = 'table' DESC, type, name",
    )?;
    let rows = all.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Compares a file's schema with the one its version should have; says what differs, if anything.
/// Views, tables and indexes of other programs are left alone; their triggers are not.
pub(super) fn differs(db: &Connection, version: u32) -> Result<Option<String>, BookError> {
    let mut model = Connection::open_in_memory()?;
    let tx = model.transaction()?;
    migrate(&tx, version)?;
    let wanted = objects(&tx)?;
    let found = objects(db)?;
    for object in &wanted {
        if !found.contains(object) {
            return Ok(Some(format!(
                "its {} '{}' is not as stook makes it",
                object.0, object.1
            )));
        }
    }
    let stranger = found
        .iter()
        .find(|object| object.0 == "trigger" && !wanted.contains(object));
    Ok(stranger.map(|object| format!("it holds a trigger '{}' that stook did not make", object.1)))
}
