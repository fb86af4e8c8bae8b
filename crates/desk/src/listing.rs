//! Entries in pages, newest first, for a reader.

use crate::entries::shown;
use crate::{DeskError, Farm, Shown};
use book::Book;
use serde::Serialize;
use std::collections::BTreeSet;

/// Which entries are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Of one kind only.
    pub kind: Option<String>,
    /// Kinds that are left out.
    pub without: Vec<String>,
    /// Corrections, strikings out and what was replaced too; else only what stands.
    pub all: bool,
    /// How many to pass over.
    pub skip: usize,
    /// How many to give at most.
    pub take: usize,
}

/// One page of entries.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Listing {
    /// The entries of this page, the newest first.
    pub entries: Vec<Shown>,
    /// How many there are on all pages.
    pub count: usize,
    /// How many are passed over before this page.
    pub skip: usize,
    /// Where the page before begins, if there is one.
    pub newer: Option<usize>,
    /// Where the page after begins, if there is one.
    pub older: Option<usize>,
    /// Every kind in the book, by name.
    pub kinds: Vec<String>,
}

/// Lists entries by when they happened, the newest first.
///
/// # Errors
/// A book that cannot be read.
pub fn listing(book: &Book, farm: &Farm, wanted: &Wanted) -> Result<Listing, DeskError> {
    let mut entries = book.entries()?;
    entries.retain(|entry| !wanted.without.contains(&entry.kind));
    let kinds: BTreeSet<String> = entries.iter().map(|entry| entry.kind.clone()).collect();
    let stands: BTreeSet<book::EntryId> = farm
        .effective
        .entries
        .iter()
        .map(|standing| standing.holder)
        .collect();
    entries.retain(|entry| {
        let kind = wanted.kind.as_ref().is_none_or(|kind| *kind == entry.kind);
        kind && (wanted.all || stands.contains(&entry.id))
    });
    entries.sort_by(|a, b| (b.happened.at_ms(), b.order()).cmp(&(a.happened.at_ms(), a.order())));
    let count = entries.len();
    let skip = wanted.skip.min(count);
    let end = skip.saturating_add(wanted.take).min(count);
    Ok(Listing {
        entries: entries[skip..end]
            .iter()
            .map(|entry| shown(entry, farm))
            .collect::<Result<_, _>>()?,
        count,
        skip,
        newer: (skip > 0).then(|| skip.saturating_sub(wanted.take)),
        older: (end < count).then_some(end),
        kinds: kinds.into_iter().collect(),
    })
}
