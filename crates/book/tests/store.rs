//! The file: appending, attachments, backup, check, dump.
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

mod common;

use book::kinds::{Correction, FileKept, FilePurpose, Void};
use book::{Book, BookError, Grade, Sha256Key};
use common::each::ticket;
use common::{NOW, book, device, id, name, new, note};
use tempfile::tempdir;

#[test]
fn seq_has_no_gaps_and_stamps_only_grow_whatever_the_clock_does() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    let mut open = book(&path, "a");
    for (n, clock) in [(1, NOW), (2, NOW + 10), (3, NOW - 5_000), (4, NOW + 10)] {
        open.append(&new(n, note("x"), &[]), clock).unwrap();
    }
    drop(open);
    let mut open = Book::open(&path).unwrap();
    open.append(&new(5, note("x"), &[]), NOW + 20).unwrap();
    let entries = open.entries().unwrap();
    let seqs: Vec<u32> = entries.iter().map(|entry| entry.seq).collect();
    let stamps: Vec<i64> = entries.iter().map(|entry| entry.stamp_ms - NOW).collect();
    assert_eq!(seqs, [1, 2, 3, 4, 5]);
    assert_eq!(stamps, [0, 10, 11, 12, 20]);
    assert!(open.check().unwrap().is_clean());
    assert_eq!(open.entry(id(3)).unwrap().unwrap(), entries[2]);
    assert_eq!(open.entry(id(9)).unwrap(), None);
}

#[test]
fn writing_the_same_entry_again_changes_nothing() {
    let folder = tempdir().unwrap();
    let mut open = book(&folder.path().join("farm.stook"), "a");
    let first = open.append(&new(1, note("x"), &[]), NOW).unwrap();
    assert_eq!(
        open.append(&new(1, note("x"), &[]), NOW + 9).unwrap(),
        first
    );
    let error = open.append(&new(1, note("y"), &[]), NOW + 9).unwrap_err();
    assert!(matches!(error, BookError::SameId { .. }));
    assert_eq!(open.entries().unwrap().len(), 1);
    // nor does a repeat leave a gap in the device's count
    let both = [new(1, note("x"), &[]), new(2, note("z"), &[])];
    assert_eq!(open.append_all(&both, NOW).unwrap()[1].seq, 2);
}

#[test]
fn no_half_batch_after_a_refusal() {
    let folder = tempdir().unwrap();
    let mut open = book(&folder.path().join("farm.stook"), "a");
    open.append(&new(1, note("x"), &[]), NOW).unwrap();
    let before = open.dump().unwrap();
    let mut bad = ticket();
    bad.weight.tare = bad.weight.gross;
    let error = open
        .append_all(&[new(2, note("y"), &[]), new(3, bad, &[])], NOW)
        .unwrap_err();
    assert!(error.to_string().contains("tare"), "{error}");
    assert_eq!(open.dump().unwrap(), before);
    let next = open.append(&new(4, note("z"), &[]), NOW).unwrap();
    assert_eq!(next.seq, 2);
}

#[test]
fn only_what_is_here_and_fits_can_be_replaced() {
    let folder = tempdir().unwrap();
    let mut open = book(&folder.path().join("farm.stook"), "a");
    open.append(&new(1, ticket(), &[]), NOW).unwrap();
    open.append(&new(2, note("x"), &[]), NOW).unwrap();
    let correct = |of: u32, now: book::kinds::Payload| Correction {
        of: id(of),
        reason: "paper".into(),
        now: Box::new(now),
    };
    let void = Void {
        reason: "twice".into(),
    };
    let gone = open
        .append(&new(3, void.clone(), &[id(77)]), NOW)
        .unwrap_err();
    assert!(matches!(gone, BookError::NoSuchEntry { .. }), "{gone}");
    let kind = open
        .append(&new(3, correct(1, note("y")), &[id(1)]), NOW)
        .unwrap_err();
    assert!(matches!(kind, BookError::CannotReplace { .. }), "{kind}");
    let other = open
        .append(&new(3, correct(1, ticket().into()), &[id(1), id(2)]), NOW)
        .unwrap_err();
    assert!(matches!(other, BookError::CannotReplace { .. }), "{other}");
    open.append(&new(3, correct(1, ticket().into()), &[id(1)]), NOW)
        .unwrap();
    let nested = open
        .append(&new(4, correct(3, ticket().into()), &[id(3)]), NOW)
        .unwrap_err();
    assert!(
        matches!(nested, BookError::CannotReplace { .. }),
        "{nested}"
    );
    open.append(&new(4, correct(1, ticket().into()), &[id(1), id(3)]), NOW)
        .unwrap();
    open.append(&new(5, void, &[id(1), id(3), id(4)]), NOW)
        .unwrap();
    assert!(
        open.check()
            .unwrap()
            .findings
            .iter()
            .all(|f| f.grade == Grade::Missing),
        "only the photograph"
    );
}

#[test]
fn entries_cannot_be_changed_or_removed_by_sql() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    let mut open = book(&path, "a");
    open.append(&new(1, note("x"), &[]), NOW).unwrap();
    let key = open.attach(b"bytes").unwrap();
    let db = rusqlite::Connection::open(&path).unwrap();
    let row = "SELECT id, 'b', 9, 9, author, 9, zone, kind, version, '{}', replaces FROM entry";
    for sql in [
        "UPDATE entry SET author = 'other'".to_owned(),
        "DELETE FROM entry".to_owned(),
        format!("INSERT OR REPLACE INTO entry {row}"),
        format!("INSERT OR IGNORE INTO entry {row}"),
        "UPDATE attachment SET bytes = 1".to_owned(),
        "DELETE FROM attachment".to_owned(),
        format!("INSERT OR REPLACE INTO attachment VALUES ('{key}', 1, x'00')"),
    ] {
        assert!(db.execute_batch(&sql).is_err(), "{sql}");
    }
    assert!(open.check().unwrap().is_clean());
}

#[test]
fn the_file_is_marked_and_durable() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    let open = book(&path, "a");
    drop(open);
    let db = rusqlite::Connection::open(&path).unwrap();
    let ask = |name: &str| {
        db.pragma_query_value(None, name, |row| row.get::<_, i64>(0))
            .unwrap()
    };
    assert_eq!(ask("application_id"), i64::from(book::APPLICATION_ID));
    assert_eq!(ask("user_version"), i64::from(book::SCHEMA_VERSION));
    let mode: String = db
        .pragma_query_value(None, "journal_mode", |row| row.get(0))
        .unwrap();
    assert_eq!(mode, "wal");
    let strict: i64 = db
        .query_row("SELECT count(*) FROM pragma_table_list WHERE strict AND name IN ('entry', 'attachment', 'here')", [], |row| row.get(0))
        .unwrap();
    assert_eq!(strict, 3);
}

#[test]
fn create_and_backup_never_overwrite() {
    let folder = tempdir().unwrap();
    let (path, copy) = (
        folder.path().join("farm.stook"),
        folder.path().join("copy.stook"),
    );
    let mut open = book(&path, "a");
    assert!(matches!(
        Book::create(&path, &device("b"), NOW),
        Err(BookError::Exists { .. })
    ));
    open.append(&new(1, note("x"), &[]), NOW).unwrap();
    open.attach(b"points").unwrap();
    assert_eq!(open.backup(&copy).unwrap(), 1);
    assert!(matches!(open.backup(&copy), Err(BookError::Exists { .. })));
    assert!(matches!(open.backup(&path), Err(BookError::Exists { .. })));
    assert!(matches!(
        open.backup(folder.path().join("no/such")),
        Err(BookError::Io { .. })
    ));
    let names: Vec<_> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|f| f.unwrap().file_name())
        .collect();
    assert!(
        !names
            .iter()
            .any(|name| name.to_string_lossy().contains("part")),
        "{names:?}"
    );
    assert_eq!(
        Book::open(&copy).unwrap().dump().unwrap(),
        open.dump().unwrap()
    );
}

#[test]
fn attachments_are_kept_once_and_verified() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    let mut open = book(&path, "a");
    let bytes = b"time,lb\n1,10\n".repeat(10_000);
    let key = open.attach(&bytes).unwrap();
    assert_eq!(open.attach(&bytes).unwrap(), key);
    assert_eq!(open.attach(b"").unwrap(), Sha256Key::of(b""));
    assert_eq!(open.attachments().unwrap().len(), 2);
    assert_eq!(open.attachment(key).unwrap().unwrap(), bytes);
    assert_eq!(open.attachment(Sha256Key::of(b"other")).unwrap(), None);
    let file = FileKept {
        sha256: Sha256Key::of(b"other"),
        name: name("other.csv"),
        bytes: 5,
        purpose: FilePurpose::Other,
        of: vec![],
    };
    open.append(&new(1, file, &[]), NOW).unwrap();
    let report = open.check().unwrap();
    assert_eq!(report.findings.len(), 1);
    assert_eq!(
        (report.attachments, report.findings[0].grade),
        (2, Grade::Missing)
    );
    // a bomb: 200 MB of noughts under a false key and a small size
    let bomb = zstd::bulk::compress(&vec![0; 200 << 20], 1).unwrap();
    let db = rusqlite::Connection::open(&path).unwrap();
    let false_key = Sha256Key::of(b"bomb").to_string();
    db.execute(
        "INSERT INTO attachment VALUES (?1, 4, ?2)",
        (&false_key, &bomb),
    )
    .unwrap();
    let error = open.attachment(Sha256Key::of(b"bomb")).unwrap_err();
    assert!(matches!(error, BookError::Attachment { .. }), "{error}");
    assert_eq!(open.check().unwrap().findings[0].grade, Grade::Damage);
}

#[test]
fn a_copy_that_is_written_to_is_noticed_and_nothing_is_lost() {
    let folder = tempdir().unwrap();
    let copy = folder.path().join("copy.stook");
    let mut open = book(&folder.path().join("farm.stook"), "a");
    open.append(&new(1, note("x"), &[]), NOW).unwrap();
    open.backup(&copy).unwrap();
    let mut other = Book::open(&copy).unwrap();
    open.append(&new(2, note("here"), &[]), NOW).unwrap();
    other.append(&new(3, note("there"), &[]), NOW).unwrap();
    open.merge_from(&copy).unwrap();
    assert_eq!(open.entries().unwrap().len(), 3);
    let findings = open.check().unwrap().findings;
    assert_eq!(
        findings.iter().map(|f| f.grade).collect::<Vec<_>>(),
        [Grade::Copied]
    );
    other.take_device(&device("b"), NOW).unwrap();
    assert_eq!(
        other
            .append(&new(4, note("more"), &[]), NOW)
            .unwrap()
            .device
            .as_str(),
        "b"
    );
    assert_eq!(Book::open(&copy).unwrap().device(), &device("b"));
}

#[test]
fn a_dump_comes_back_without_loss() {
    let folder = tempdir().unwrap();
    let mut open = book(&folder.path().join("farm.stook"), "a");
    for (n, payload) in (1..)
        .zip(common::each::all())
        .filter(|(_, p)| !matches!(p.kind(), "correction" | "void"))
    {
        open.append(&new(n, payload, &[]), NOW).unwrap();
    }
    open.take_in(&[common::later(900)]).unwrap();
    let key = open.attach(b"points").unwrap();
    let dump = open.dump().unwrap();
    let mut back = book(&folder.path().join("back.stook"), "b");
    let (merged, missing) = back.import_dump(&mut dump.as_bytes()).unwrap();
    assert_eq!(
        (merged.added, merged.already, merged.needs_newer),
        (30, 0, 1)
    );
    assert_eq!(
        missing.iter().map(|one| one.sha256).collect::<Vec<_>>(),
        [key]
    );
    back.attach(b"points").unwrap();
    assert_eq!(back.dump().unwrap(), dump);
    let (again, missing) = back.import_dump(&mut dump.as_bytes()).unwrap();
    assert_eq!((again.added, again.already, missing.len()), (0, 30, 0));
}

#[test]
fn a_bad_dump_changes_nothing() {
    let folder = tempdir().unwrap();
    let mut open = book(&folder.path().join("farm.stook"), "a");
    open.append(&new(1, note("first"), &[]), NOW).unwrap();
    let good = open.dump().unwrap();
    let mut back = book(&folder.path().join("back.stook"), "b");
    let before = back.dump().unwrap();
    let cases: [(Vec<u8>, &str); 7] = [
        (Vec::new(), "line 1"),
        (b"\xff\xfe garbage".to_vec(), "line 1"),
        (b"{\"stook_dump\":2}\n".to_vec(), "line 1"),
        ([good.as_bytes(), b"{\"entry\":{}}\n"].concat(), "line 3"),
        ([good.as_bytes(), b"\n"].concat(), "line 3"),
        (
            good.replace("\"seq\":1", "\"seq\":0").into_bytes(),
            "line 2",
        ),
        ([good.as_bytes(), &vec![b'x'; 9 << 20]].concat(), "line 3"),
    ];
    for (bytes, said) in cases {
        let error = back
            .import_dump(&mut bytes.as_slice())
            .unwrap_err()
            .to_string();
        assert!(error.contains(said), "{error}");
        assert!(error.len() < 400, "{error}");
    }
    assert_eq!(back.dump().unwrap(), before);
}

#[test]
fn a_book_that_is_held_says_so_and_stays_whole() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    let mut open = book(&path, "a");
    let mut second = Book::open(&path).unwrap();
    open.append(&new(1, note("x"), &[]), NOW).unwrap();
    second.append(&new(2, note("y"), &[]), NOW).unwrap();
    open.append(&new(3, note("z"), &[]), NOW).unwrap();
    let seqs: Vec<u32> = second
        .entries()
        .unwrap()
        .iter()
        .map(|entry| entry.seq)
        .collect();
    assert_eq!(seqs, [1, 2, 3]);
}
