//! Merging: the union of entries by id and of attachments by key.

use super::foreign::Foreign;
use super::{Book, attach, rows};
use crate::kinds::{Payload, Reading};
use crate::{BookError, Entry, EntryId};
use rusqlite::{Connection, TransactionBehavior};
use serde::Serialize;
use std::path::Path;

/// What a merge brought.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Merged {
    /// Entries read.
    pub read: u64,
    /// Entries that are new here.
    pub added: u64,
    /// Entries that were here already, word for word; `read = added + already`.
    pub already: u64,
    /// Of those added, how many only a newer stook understands.
    pub needs_newer: u64,
    /// Attachments that are new here.
    pub attachments_added: u64,
}

impl Book {
    /// Takes in all entries and attachments of another book of the same farm, all or nothing.
    ///
    /// # Errors
    /// [`BookError::OtherFarm`] when the two books were begun for different farms,
    /// [`BookError::SameId`] when one id says two things, and all the refusals of a file that is
    /// not a sound book. This book is unchanged after any of them.
    pub fn merge_from(&mut self, path: impl AsRef<Path>) -> Result<Merged, BookError> {
        let other = Foreign::open(path.as_ref())?;
        let entries = other.entries()?;
        same_farm(&self.entries()?, &entries)?;
        self.merge(&other, &entries)
    }

    /// As [`Book::merge_from`], also when the two books were begun for different farms.
    ///
    /// # Errors
    /// As [`Book::merge_from`], but never [`BookError::OtherFarm`].
    pub fn merge_any_farm(&mut self, path: impl AsRef<Path>) -> Result<Merged, BookError> {
        let other = Foreign::open(path.as_ref())?;
        let entries = other.entries()?;
        self.merge(&other, &entries)
    }

    /// Takes in entries that came another way (a phone, a dump), all or nothing.
    ///
    /// # Errors
    /// [`BookError::SameId`], and [`BookError::Field`] or [`BookError::Payload`] for an entry that
    /// typed input could not have made.
    pub fn take_in(&mut self, entries: &[Entry]) -> Result<Merged, BookError> {
        entries.iter().try_for_each(Entry::check)?;
        let tx = self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let merged = union(&tx, entries)?;
        tx.commit()?;
        Ok(merged)
    }

    fn merge(&mut self, other: &Foreign, entries: &[Entry]) -> Result<Merged, BookError> {
        let tx = self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let mut merged = union(&tx, entries)?;
        for one in other.attachments()? {
            let there = attach::get(&tx, one.sha256)?.is_some();
            if !there && attach::put(&tx, one, &other.packed(one)?)? {
                merged.attachments_added += 1;
            }
        }
        tx.commit()?;
        Ok(merged)
    }
}

/// Adds what is not there; the caller has checked every entry and holds the transaction.
fn union(db: &Connection, entries: &[Entry]) -> Result<Merged, BookError> {
    let mut merged = Merged::default();
    for entry in entries {
        merged.read += 1;
        match rows::one(db, entry.id)? {
            Some(there) if there == *entry => merged.already += 1,
            Some(there) => {
                return Err(BookError::SameId {
                    id: entry.id,
                    ours: there.in_short(),
                    theirs: entry.in_short(),
                });
            }
            None => {
                rows::insert(db, entry)?;
                merged.added += 1;
                merged.needs_newer += u64::from(entry.read()? == Reading::NeedsNewer);
            }
        }
    }
    Ok(merged)
}

/// Refuses two books that each name a farm, and no farm in common.
fn same_farm(ours: &[Entry], theirs: &[Entry]) -> Result<(), BookError> {
    let farms = |entries: &[Entry]| -> Vec<(EntryId, String)> {
        let named = entries.iter().filter(|entry| entry.kind == "farm");
        named
            .filter_map(|entry| match entry.read() {
                Ok(Reading::Known(Payload::Farm(farm))) => Some((entry.id, farm.name.to_string())),
                _ => None,
            })
            .collect()
    };
    let (ours, theirs) = (farms(ours), farms(theirs));
    let common = ours
        .iter()
        .any(|(id, _)| theirs.iter().any(|(other, _)| id == other));
    match (ours.first(), theirs.first()) {
        (Some((_, ours)), Some((_, theirs))) if !common => Err(BookError::OtherFarm {
            ours: ours.clone(),
            theirs: theirs.clone(),
        }),
        _ => Ok(()),
    }
}
