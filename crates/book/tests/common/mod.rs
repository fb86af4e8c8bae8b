//! Things that every test of the book needs: ids without chance, devices, one payload a kind.
#![expect(dead_code, reason = "each test binary uses a part of this")]

pub(crate) mod any;
pub(crate) mod each;

use book::kinds::{Name, Note, Payload};
use book::{Book, Device, Entry, EntryId, Happened, NewEntry, PayloadText};
use std::path::Path;

/// 21 September 2026, about noon UTC.
pub(crate) const NOW: i64 = 1_790_000_000_000;

pub(crate) fn name(text: &str) -> Name {
    Name::new(text).unwrap()
}

pub(crate) fn id(number: u32) -> EntryId {
    let [a, b, c, d] = number.to_be_bytes();
    EntryId::from_clock(NOW + i64::from(number), [1, 2, 3, 4, 5, 6, a, b, c, d]).unwrap()
}

pub(crate) fn happened() -> Happened {
    Happened::new(NOW, "America/Chicago").unwrap()
}

pub(crate) fn device(text: &str) -> Device {
    Device::new(text, text).unwrap()
}

pub(crate) fn new(number: u32, payload: impl Into<Payload>, replaces: &[EntryId]) -> NewEntry {
    NewEntry {
        id: id(number),
        author: name("grower"),
        happened: happened(),
        payload: payload.into(),
        replaces: replaces.to_vec(),
    }
}

pub(crate) fn note(text: &str) -> Payload {
    Note {
        text: text.to_owned(),
        about: vec![],
        of: vec![],
        question: false,
    }
    .into()
}

pub(crate) fn book(path: &Path, device_name: &str) -> Book {
    Book::create(path, &device(device_name), NOW).unwrap()
}

/// An entry of a kind that only a later program knows.
pub(crate) fn later(number: u32) -> Entry {
    Entry {
        id: id(number),
        device: device("later").id,
        seq: number,
        stamp_ms: NOW + i64::from(number),
        author: name("grower"),
        happened: happened(),
        kind: "moonphase".to_owned(),
        version: 3,
        payload: PayloadText::new(r#"{"z":1.50,"a":[1e400, {"b":"\u00e9"}]}"#).unwrap(),
        replaces: vec![],
    }
}

/// An entry as `append` would make it, without a book.
pub(crate) fn entry(dev: &str, seq: u32, stamp: i64, one: &NewEntry) -> Entry {
    Entry {
        id: one.id,
        device: device(dev).id,
        seq,
        stamp_ms: NOW + stamp,
        author: one.author.clone(),
        happened: one.happened.clone(),
        kind: one.payload.kind().to_owned(),
        version: one.payload.version(),
        payload: PayloadText::new(one.payload.text()).unwrap(),
        replaces: one.replaces.clone(),
    }
}

/// A folder in memory where there is one: what is tested in it is not whether it lasts.
pub(crate) fn quick_folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap()
}
