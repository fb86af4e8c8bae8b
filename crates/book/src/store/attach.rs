//! Attachments: raw files and photographs, stored once, compressed, verified when read.

use super::Book;
use crate::{BookError, Sha256Key};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior};
use serde::{Deserialize, Serialize};

/// Compression level: 3 is the library's own balance of speed and size.
const LEVEL: i32 = 3;

/// An attachment as listed: its key and size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attachment {
    /// Its SHA-256.
    pub sha256: Sha256Key,
    /// Its size uncompressed, bytes.
    pub bytes: u32,
}

impl Attachment {
    /// Largest attachment, bytes (a season of a combine's points fits several times).
    pub const MOST: u32 = 256 << 20;
}

impl Book {
    /// Keeps bytes under their SHA-256; the same bytes are kept once.
    ///
    /// # Errors
    /// [`BookError::TooLarge`] past 256 MiB, [`BookError::Busy`].
    pub fn attach(&mut self, bytes: &[u8]) -> Result<Sha256Key, BookError> {
        let size = u32::try_from(bytes.len())
            .ok()
            .filter(|size| *size <= Attachment::MOST)
            .ok_or_else(|| BookError::TooLarge {
                what: "the file".to_owned(),
                found: bytes.len() as u64,
                most: u64::from(Attachment::MOST),
            })?;
        let key = Sha256Key::of(bytes);
        let zstd = zstd::bulk::compress(bytes, LEVEL).map_err(|error| BookError::Attachment {
            key,
            why: error.to_string(),
        })?;
        let tx = self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        put(
            &tx,
            Attachment {
                sha256: key,
                bytes: size,
            },
            &zstd,
        )?;
        tx.commit()?;
        Ok(key)
    }

    /// The bytes of an attachment, verified against its key; `None` when it is not in this book.
    ///
    /// # Errors
    /// [`BookError::Attachment`] when the stored bytes are not those that the key names.
    pub fn attachment(&self, key: Sha256Key) -> Result<Option<Vec<u8>>, BookError> {
        get(&self.db, key)?
            .map(|(size, zstd)| unpack(key, size, &zstd))
            .transpose()
    }

    /// Every attachment, by key.
    ///
    /// # Errors
    /// [`BookError::Sql`].
    pub fn attachments(&self) -> Result<Vec<Attachment>, BookError> {
        list(&self.db)
    }
}

/// Every attachment of a file of version 2 or later, by key.
pub(super) fn list(db: &Connection) -> Result<Vec<Attachment>, BookError> {
    let mut rows = db.prepare("SELECT sha256, bytes FROM attachment ORDER BY sha256")?;
    let rows = rows.query_map([], |row| Ok((row.get::<_, String>(0)?, row.get(1)?)))?;
    rows.map(|row| {
        let (sha256, bytes) = row?;
        Ok(Attachment {
            sha256: Sha256Key::parse(&sha256)?,
            bytes,
        })
    })
    .collect()
}

/// The stored size and compressed bytes.
pub(super) fn get(db: &Connection, key: Sha256Key) -> Result<Option<(u32, Vec<u8>)>, BookError> {
    let found = db
        .prepare_cached("SELECT bytes, zstd FROM attachment WHERE sha256 = ?1")?
        .query_row([key.to_string()], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    Ok(found)
}

/// Unpacks and verifies. The stored size bounds the memory, whatever the compressed bytes claim.
pub(super) fn unpack(key: Sha256Key, size: u32, zstd: &[u8]) -> Result<Vec<u8>, BookError> {
    let bad = |why: &str| BookError::Attachment {
        key,
        why: why.to_owned(),
    };
    if size > Attachment::MOST {
        return Err(BookError::TooLarge {
            what: format!("attachment {key}"),
            found: u64::from(size),
            most: u64::from(Attachment::MOST),
        });
    }
    let bytes = zstd::bulk::decompress(zstd, size as usize)
        .map_err(|_| bad("its compressed bytes do not unpack to the size noted"))?;
    if bytes.len() != size as usize {
        return Err(bad("its size is not the one noted"));
    }
    if Sha256Key::of(&bytes) != key {
        return Err(bad("its bytes are not those that its key names"));
    }
    Ok(bytes)
}

/// Keeps compressed bytes unless the key is there already; says whether they are new.
pub(super) fn put(db: &Connection, one: Attachment, zstd: &[u8]) -> Result<bool, BookError> {
    let key = one.sha256.to_string();
    let there = db
        .prepare_cached("SELECT EXISTS (SELECT 1 FROM attachment WHERE sha256 = ?1)")?
        .query_row([&key], |row| row.get::<_, bool>(0))?;
    if !there {
        db.prepare_cached("INSERT INTO attachment (sha256, bytes, zstd) VALUES (?1, ?2, ?3)")?
            .execute((&key, one.bytes, zstd))?;
    }
    Ok(!there)
}
