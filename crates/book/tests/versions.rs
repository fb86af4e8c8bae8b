//! Every earlier file version opens, migrates, merges and says the same. The old books and the
//! dumps they must give were made by another program (see `reference/book/PROVENANCE.md`).
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

mod common;

use book::kinds::{Name, Payload};
use book::{Book, BookError, effective};
use common::{NOW, book, new, note};
use std::path::PathBuf;
use tempfile::tempdir;

fn old(file: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../reference/book")
        .join(file)
}

fn versions() -> impl Iterator<Item = u32> {
    1..book::SCHEMA_VERSION
}

#[test]
fn every_earlier_book_opens_and_says_the_same() {
    for version in versions() {
        let folder = tempdir().unwrap();
        let path = folder.path().join("farm.stook");
        std::fs::copy(old(&format!("v{version}.stook")), &path).unwrap();
        let wanted = std::fs::read_to_string(old(&format!("v{version}.jsonl"))).unwrap();
        let mut open = Book::open(&path).unwrap();
        assert_eq!(open.device().id.as_str(), "barn");
        assert_eq!(open.dump().unwrap(), wanted);
        let report = open.check().unwrap();
        // the tickets name a photograph that version 1 had no room for
        assert!(
            report
                .findings
                .iter()
                .all(|one| one.said.contains("names attachment")),
            "{report:?}"
        );
        assert_eq!((report.findings.len(), report.needs_newer), (2, 1));
        // and goes on as if it had always been of this version
        let next = open.append(&new(50, note("after"), &[]), NOW).unwrap();
        assert_eq!((next.seq, next.stamp_ms), (7, NOW + 7));
        let key = open.attach(b"bytes").unwrap();
        drop(open);
        let open = Book::open(&path).unwrap();
        assert_eq!(open.attachment(key).unwrap().unwrap(), b"bytes");
        assert_eq!(open.check().unwrap().findings, report.findings);
    }
}

#[test]
fn a_migrated_book_has_the_same_schema_as_a_new_one() {
    let schema = |path: &std::path::Path| -> Vec<(String, String)> {
        let db = rusqlite::Connection::open(path).unwrap();
        let mut rows = db
            .prepare("SELECT name, coalesce(sql, '') FROM sqlite_schema ORDER BY name")
            .unwrap();
        let rows = rows
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .unwrap();
        rows.map(Result::unwrap).collect()
    };
    let folder = tempdir().unwrap();
    let fresh = folder.path().join("fresh.stook");
    drop(book(&fresh, "a"));
    for version in versions() {
        let path = folder.path().join(format!("v{version}.stook"));
        std::fs::copy(old(&format!("v{version}.stook")), &path).unwrap();
        drop(Book::open(&path).unwrap());
        assert_eq!(schema(&path), schema(&fresh));
    }
}

#[test]
fn an_earlier_book_merges_without_being_touched() {
    for version in versions() {
        let folder = tempdir().unwrap();
        let path = folder.path().join("old.stook");
        std::fs::copy(old(&format!("v{version}.stook")), &path).unwrap();
        let before = std::fs::read(&path).unwrap();
        let mut ours = book(&folder.path().join("ours.stook"), "kitchen");
        assert_eq!(ours.merge_from(&path).unwrap().added, 7);
        let wanted = std::fs::read_to_string(old(&format!("v{version}.jsonl"))).unwrap();
        assert_eq!(ours.dump().unwrap(), wanted);
        assert_eq!(std::fs::read(&path).unwrap(), before);
    }
}

#[test]
fn what_the_first_book_says_stands_corrected_and_raised() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    std::fs::copy(old("v1.stook"), &path).unwrap();
    let fold = effective(&Book::open(&path).unwrap().entries().unwrap());
    let kinds: Vec<&str> = fold.entries.iter().map(|one| one.kind.as_str()).collect();
    assert_eq!(kinds, ["farm", "weighed", "note", "moonphase"]);
    let Some(Payload::Weighed(ticket)) = fold.entries[1].read().unwrap().known() else {
        panic!()
    };
    assert_eq!(ticket.from, [Name::new("red wagon").unwrap()]);
    assert_eq!(ticket.number, Some(Name::new("48214").unwrap()));
    assert_eq!(
        (
            fold.voided.len(),
            fold.needs_newer.len(),
            fold.conflicts.len()
        ),
        (1, 1, 0)
    );
}

#[test]
fn a_newer_book_is_left_alone() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    drop(book(&path, "a"));
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch("PRAGMA user_version = 3; CREATE TABLE tomorrow (x)")
        .unwrap();
    drop(db);
    let before = std::fs::read(&path).unwrap();
    let error = Book::open(&path).unwrap_err();
    assert!(
        matches!(error, BookError::NewerBook { found: 3, .. }),
        "{error}"
    );
    let mut ours = book(&folder.path().join("ours.stook"), "b");
    let error = ours.merge_from(&path).unwrap_err();
    assert!(error.to_string().contains("update stook"), "{error}");
    assert_eq!(std::fs::read(&path).unwrap(), before);
}
