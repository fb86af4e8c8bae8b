//! Writing entries: seq and stamp are allotted in the same transaction.

use super::{Book, rows};
use crate::entry::{PayloadText, check_ms};
use crate::kinds::{Payload, Reading};
use crate::{BookError, Device, Entry, EntryId, NewEntry};
use rusqlite::{Connection, TransactionBehavior};

impl Book {
    /// Writes one entry; when this returns, it is on the disk.
    ///
    /// Writing the same entry (same id, same content) again changes nothing and returns the first.
    ///
    /// # Errors
    /// [`BookError::Field`] when the payload is out of range, [`BookError::NoSuchEntry`] or
    /// [`BookError::CannotReplace`] when it replaces what it cannot, [`BookError::SameId`] when
    /// the id is taken, [`BookError::Busy`].
    pub fn append(&mut self, new: &NewEntry, now_ms: i64) -> Result<Entry, BookError> {
        let mut entries = self.append_all(std::slice::from_ref(new), now_ms)?;
        Ok(entries.pop().expect("one entry in, one entry out"))
    }

    /// Writes several entries, all or none.
    ///
    /// # Errors
    /// As [`Book::append`].
    pub fn append_all(&mut self, new: &[NewEntry], now_ms: i64) -> Result<Vec<Entry>, BookError> {
        check_ms("now", now_ms)?;
        let tx = self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        // each stamp and seq follows from the one before, so the last is asked for only once
        let (mut seq, mut stamp) = last(&tx, &self.device)?;
        let mut written = Vec::with_capacity(new.len());
        for one in new {
            let entry = Entry {
                id: one.id,
                device: self.device.id.clone(),
                seq: seq + 1,
                stamp_ms: now_ms.max(stamp + 1),
                author: one.author.clone(),
                happened: one.happened.clone(),
                kind: one.payload.kind().to_owned(),
                version: one.payload.version(),
                payload: PayloadText::new(one.payload.text())?,
                replaces: one.replaces.clone(),
            };
            entry.check()?;
            if let Some(there) = rows::one(&tx, entry.id)? {
                written.push(same_again(there, &entry)?);
                continue;
            }
            replaceable(&tx, &one.payload, &one.replaces)?;
            rows::insert(&tx, &entry)?;
            (seq, stamp) = (entry.seq, entry.stamp_ms);
            written.push(entry);
        }
        tx.commit()?;
        Ok(written)
    }
}

/// The device's last seq and latest stamp, 0 before its first entry.
fn last(db: &Connection, device: &Device) -> Result<(u32, i64), BookError> {
    let seq = "SELECT coalesce(max(seq), 0) FROM entry WHERE device = ?1";
    let stamp = "SELECT coalesce(max(stamp_ms), 0) FROM entry WHERE device = ?1";
    let id = device.id.as_str();
    let seq = db.prepare_cached(seq)?.query_row([id], |row| row.get(0))?;
    let stamp = db
        .prepare_cached(stamp)?
        .query_row([id], |row| row.get(0))?;
    Ok((seq, stamp))
}

/// A repeated write of an entry that is there already.
fn same_again(there: Entry, new: &Entry) -> Result<Entry, BookError> {
    let same = there.device == new.device
        && there.author == new.author
        && there.happened == new.happened
        && there.kind == new.kind
        && there.version == new.version
        && there.payload == new.payload
        && there.replaces == new.replaces;
    if same {
        return Ok(there);
    }
    Err(BookError::SameId {
        id: new.id,
        ours: there.in_short(),
        theirs: new.in_short(),
    })
}

/// Checks that what an entry replaces is here and can be replaced so.
fn replaceable(db: &Connection, payload: &Payload, replaces: &[EntryId]) -> Result<(), BookError> {
    for &id in replaces {
        let target = rows::one(db, id)?.ok_or(BookError::NoSuchEntry { id })?;
        let Payload::Correction(correction) = payload else {
            continue;
        };
        let cannot = |why: &str| {
            Err(BookError::CannotReplace {
                id,
                why: why.to_owned(),
            })
        };
        if id == correction.of {
            if target.kind == "correction" || target.kind == "void" {
                return cannot("it is itself a correction or void; correct the first entry");
            }
            if target.kind != correction.now.kind() {
                return cannot("the correction is of another kind; void it and enter it anew");
            }
            continue;
        }
        match target.read()? {
            Reading::Known(Payload::Correction(earlier)) if earlier.of == correction.of => {}
            _ => return cannot("it is not an earlier correction of the same entry"),
        }
    }
    Ok(())
}
