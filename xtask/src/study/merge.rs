//! Merging: parts of a book come together in any order to the same book.
//!
//! A season of slips from three devices, with corrections, corrections of the same slip by two people,
//! voids, a void of a correction, and photographs, is dealt into two to five overlapping parts, each a
//! book of its own. They are merged in a random order into a fresh book. Whole: 50 deals; sample: 6.
//! Each ordered dump must be that of the season's own book, each effective state the same, and a
//! second merge of everything must change nothing.

use super::{Request, Verdict, slips};
use anyhow::{Context as _, ensure};
use book::kinds::{Correction, Name, Payload, Void};
use book::{Book, Device, Entry, EntryId, Happened, NewEntry, effective};
use numeric::stream::Stream;
use std::path::Path;

/// Slips that each device writes.
const SLIPS: u64 = 40;

/// First index of the second device's slips, and so on; a multiple of three, so that the same
/// offsets are dumps on each device.
const DEVICE: u64 = 999;

/// Deals, merges and compares.
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let folder = tempfile::tempdir()?;
    let season = season(request.seed, folder.path())?;
    let (entries, dump) = (season.entries()?, season.dump()?);
    let state = format!("{:?}", effective(&entries));
    let orders = request.size(50, 6);
    for order in 0..orders {
        let mut stream = Stream::new(request.seed, "deal", order);
        let merged = deal_and_merge(&season, &entries, &mut stream)?;
        if merged.dump()? != dump {
            return Ok(Verdict::Fails(format!(
                "order {}: the merged dump differs",
                order + 1
            )));
        }
        if format!("{:?}", effective(&merged.entries()?)) != state {
            return Ok(Verdict::Fails(format!(
                "order {}: the merged state differs",
                order + 1
            )));
        }
        let report = merged.check()?;
        if !report.is_clean() {
            return Ok(Verdict::Fails(format!(
                "order {}: {:?}",
                order + 1,
                report.findings
            )));
        }
    }
    let attachments = season.attachments()?.len();
    Ok(Verdict::Holds(format!(
        "{orders} random orders of 2 to 5 parts of {} entries and {attachments} photographs: one dump of {} bytes",
        entries.len(),
        dump.len()
    )))
}

/// A season on three devices that have met in the end.
fn season(seed: u64, folder: &Path) -> anyhow::Result<Book> {
    let mut whole: Option<Book> = None;
    for (number, name) in (0..).zip(["kitchen", "cab", "wagon"]) {
        let path = folder.join(format!("{name}.stook"));
        let mut book = Book::create(&path, &Device::new(name, name)?, slips::BEGIN_MS)?;
        let first = number * DEVICE;
        for index in first..first + SLIPS {
            slips::write(&mut book, seed, index)?;
        }
        amend(&mut book, seed, first)?;
        if let Some(whole) = &mut whole {
            whole.merge_from(&path)?;
        } else {
            whole = Some(book);
        }
    }
    let mut whole = whole.context("there are devices")?;
    cross(&mut whole, seed)?;
    Ok(whole)
}

/// On each device: two slips corrected, one of them twice; one slip struck out; one correction undone.
fn amend(book: &mut Book, seed: u64, first: u64) -> anyhow::Result<()> {
    let slip = |offset: u64| slips::id(seed, first + offset);
    let once = correct(book, seed, first + 101, slip(1)?, &[slip(1)?], first + 4)?;
    correct(
        book,
        seed,
        first + 102,
        slip(1)?,
        &[slip(1)?, once],
        first + 7,
    )?;
    let undone = correct(book, seed, first + 103, slip(2)?, &[slip(2)?], first + 8)?;
    void(book, seed, first + 104, &[undone])?;
    void(book, seed, first + 105, &[slip(5)?])
}

/// After all met: the kitchen corrects a slip of the cab's that the cab had corrected, not having seen
/// that correction, which makes a conflict.
fn cross(book: &mut Book, seed: u64) -> anyhow::Result<()> {
    let slip = slips::id(seed, DEVICE + 1)?;
    correct(book, seed, 901, slip, &[slip], DEVICE + 10).map(drop)
}

/// A correction of dump `of` to what dump `like` says.
fn correct(
    book: &mut Book,
    seed: u64,
    index: u64,
    of: EntryId,
    replaces: &[EntryId],
    like: u64,
) -> anyhow::Result<EntryId> {
    let now = Box::new(slips::payload(seed, like)?);
    let payload = Payload::Correction(Correction {
        of,
        reason: "the paper says so".to_owned(),
        now,
    });
    write(book, seed, index, payload, replaces)
}

fn void(book: &mut Book, seed: u64, index: u64, replaces: &[EntryId]) -> anyhow::Result<()> {
    let payload = Payload::Void(Void {
        reason: "entered twice".to_owned(),
    });
    write(book, seed, index, payload, replaces).map(drop)
}

fn write(
    book: &mut Book,
    seed: u64,
    index: u64,
    payload: Payload,
    replaces: &[EntryId],
) -> anyhow::Result<EntryId> {
    let now_ms = slips::clock_ms(index)?;
    let new = NewEntry {
        id: slips::id(seed, index)?,
        author: Name::new("helper")?,
        happened: Happened::new(now_ms, "America/Chicago")?,
        payload,
        replaces: replaces.to_vec(),
    };
    Ok(book.append(&new, now_ms)?.id)
}

/// Deals the season into overlapping parts and merges them, shuffled, into a fresh book.
fn deal_and_merge(season: &Book, entries: &[Entry], stream: &mut Stream) -> anyhow::Result<Book> {
    let folder = tempfile::tempdir()?;
    let parts = usize::try_from(stream.whole(2, 5))?;
    let mut hands: Vec<Vec<Entry>> = vec![Vec::new(); parts];
    for entry in entries {
        let owner = stream.below(parts);
        for (number, hand) in hands.iter_mut().enumerate() {
            if number == owner || stream.chance(0.2) {
                hand.push(entry.clone());
            }
        }
    }
    let mut paths = Vec::new();
    for (number, hand) in hands.iter_mut().enumerate() {
        stream.shuffle(hand);
        let path = folder.path().join(format!("part-{number}.stook"));
        let mut part = Book::create(
            &path,
            &Device::new(&format!("part-{number}"), "part")?,
            slips::BEGIN_MS,
        )?;
        part.take_in(hand)?;
        // every photograph travels with at least one part
        for one in season.attachments()? {
            if number == 0 || stream.chance(0.5) {
                part.attach(
                    &season
                        .attachment(one.sha256)?
                        .context("the season keeps its photographs")?,
                )?;
            }
        }
        paths.push(path);
    }
    stream.shuffle(&mut paths);
    let mut merged = Book::create(
        folder.path().join("merged.stook"),
        &Device::new("merged", "merged")?,
        slips::BEGIN_MS,
    )?;
    for path in &paths {
        merged.merge_from(path)?;
    }
    for path in &paths {
        let again = merged.merge_from(path)?;
        ensure!(
            again.added == 0 && again.attachments_added == 0,
            "a second merge brought something: {again:?}"
        );
    }
    Ok(merged)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_season_holds_what_makes_merging_hard() {
        let folder = tempfile::tempdir().unwrap();
        let book = season(3, folder.path()).unwrap();
        let state = effective(&book.entries().unwrap());
        assert_eq!(book.entries().unwrap().len(), 3 * (40 + 5) + 1);
        assert_eq!(state.conflicts.len(), 1);
        // one slip struck out on each device; a correction undone is no slip that was taken out
        assert_eq!(state.voided.len(), 3);
        assert!(!book.attachments().unwrap().is_empty());
    }

    #[test]
    fn a_lost_entry_would_show() {
        let folder = tempfile::tempdir().unwrap();
        let season = season(3, folder.path()).unwrap();
        let entries = season.entries().unwrap();
        let mut stream = Stream::new(3, "deal", 0);
        let fewer = deal_and_merge(&season, &entries[1..], &mut stream).unwrap();
        assert_ne!(fewer.dump().unwrap(), season.dump().unwrap());
    }
}
