//! Files from elsewhere: each is refused in one sentence, and neither book is changed.
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

mod common;

use book::{Book, BookError, Grade};
use common::{NOW, book, new, note, quick_folder};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A sound book with one note, closed, and a way to spoil it.
fn spoilt(folder: &TempDir, spoil: impl FnOnce(&Path)) -> PathBuf {
    let path = folder.path().join("foreign.stook");
    let mut open = book(&path, "b");
    open.append(&new(1, note("x"), &[]), NOW).unwrap();
    open.attach(b"points").unwrap();
    drop(open);
    spoil(&path);
    path
}

fn by_sql(sql: &'static str) -> impl FnOnce(&Path) {
    move |path| Connection::open(path).unwrap().execute_batch(sql).unwrap()
}

/// Merging must fail with this in the sentence, and leave both files as they were.
fn refused(spoil: impl FnOnce(&Path), expected: &str) -> BookError {
    let folder = quick_folder();
    let path = spoilt(&folder, spoil);
    let mut ours = book(&folder.path().join("ours.stook"), "a");
    ours.append(&new(9, note("ours"), &[]), NOW).unwrap();
    let (before, theirs) = (ours.dump().unwrap(), std::fs::read(&path).unwrap());
    let error = ours.merge_from(&path).unwrap_err();
    let said = error.to_string();
    assert!(said.contains(expected), "{said}");
    assert!(!said.contains('\n') && said.len() < 400, "{said}");
    assert_eq!(ours.dump().unwrap(), before);
    assert!(ours.check().unwrap().is_clean());
    assert_eq!(std::fs::read(&path).unwrap(), theirs);
    error
}

/// Inserts a row past the triggers and checks of an honest book.
fn row(column: &str, value: &str) -> impl FnOnce(&Path) {
    let sql = format!(
        "CREATE TEMP TABLE made AS SELECT * FROM entry;
         UPDATE made SET id = '0199f3c0-6400-7007-8707-070707070707', seq = 2, stamp_ms = stamp_ms + 1;
         UPDATE made SET {column} = {value};
         PRAGMA ignore_check_constraints = ON;
         INSERT INTO entry SELECT * FROM made;"
    );
    move |path| Connection::open(path).unwrap().execute_batch(&sql).unwrap()
}

#[test]
fn files_that_are_no_book() {
    refused(
        |path| std::fs::write(path, "field,crop\n").unwrap(),
        "some other kind of file",
    );
    refused(|path| std::fs::write(path, "").unwrap(), "it is empty");
    refused(
        |path| std::fs::write(path, vec![0xff; 300_000]).unwrap(),
        "some other kind of file",
    );
    refused(
        |path| std::fs::write(path, "SQLite format 3\0").unwrap(),
        "another program's",
    );
    refused(by_sql("PRAGMA application_id = 7"), "another program's");
    let folder = quick_folder();
    assert!(matches!(
        Book::open(folder.path()),
        Err(BookError::Io { .. })
    ));
    assert!(matches!(
        Book::open(folder.path().join("none")),
        Err(BookError::Missing { .. })
    ));
}

#[test]
fn schemas_that_are_not_a_books() {
    let view = "ALTER TABLE entry RENAME TO hidden; CREATE VIEW entry AS
        WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT * FROM hidden, n;";
    refused(by_sql(view), "'entry' is not as stook makes it");
    let trigger = "CREATE TRIGGER sly AFTER INSERT ON entry BEGIN DELETE FROM here; END";
    refused(by_sql(trigger), "a trigger 'sly'");
    refused(
        by_sql("DROP TRIGGER entry_never_changed"),
        "'entry_never_changed' is not",
    );
    refused(by_sql("DROP TABLE attachment"), "is not as stook makes it");
    refused(by_sql("PRAGMA user_version = 0"), "not a book");
    let loose = "DROP TABLE attachment; CREATE TABLE attachment (sha256, bytes, zstd)";
    refused(by_sql(loose), "is not as stook makes it");
}

#[test]
fn another_programs_view_is_left_alone() {
    let folder = quick_folder();
    let path = spoilt(
        &folder,
        by_sql("CREATE VIEW mine AS SELECT kind FROM entry; ANALYZE;"),
    );
    let mut ours = book(&folder.path().join("ours.stook"), "a");
    assert_eq!(ours.merge_from(&path).unwrap().attachments_added, 1);
    assert!(Book::open(&path).unwrap().check().unwrap().is_clean());
}

#[test]
fn a_sly_trigger_never_runs_in_our_own_book_either() {
    let folder = quick_folder();
    let path = spoilt(
        &folder,
        by_sql("CREATE TRIGGER sly AFTER INSERT ON entry BEGIN DELETE FROM here; END"),
    );
    let said = Book::open(&path).unwrap_err().to_string();
    assert!(said.contains("a trigger 'sly'"), "{said}");
}

#[test]
fn rows_that_typed_input_could_not_have_made() {
    refused(row("id", "'1'"), "id is '1'");
    refused(
        row("id", "'0199f3c0-6400-4007-8707-070707070707'"),
        "version 7",
    );
    refused(row("device", "'UPPER CASE'"), "device");
    refused(row("author", "'a' || char(10) || 'b'"), "name");
    refused(row("author", "CAST(x'ff41' AS TEXT)"), "not UTF-8");
    refused(row("payload", "CAST(x'7b22ff227d' AS TEXT)"), "payload");
    refused(row("seq", "0"), "seq");
    refused(row("seq", "-1"), "seq is -1");
    refused(row("version", "4294967296"), "version is 4294967296");
    refused(row("stamp_ms", "9223372036854775807"), "stamp");
    refused(row("happened_ms", "-5"), "happened");
    refused(row("zone", "'<script>'"), "zone");
    refused(row("kind", "'DROP TABLE'"), "kind");
    refused(row("version", "0"), "version");
    refused(row("payload", "'[1]'"), "JSON object");
    refused(row("payload", "'{\"text\":\"\"}'"), "note: text");
    refused(
        row("payload", "'{\"text\":\"x\",\"colour\":1}'"),
        "does not read",
    );
    refused(row("replaces", "id"), "other entries than itself");
    let other = "'01a0c450-6c01-7000-8000-000000000001'";
    refused(
        row("replaces", other),
        "none (a correction or a void replaces)",
    );
    refused(row("replaces", "'nonsense'"), "id is 'nonsense'");
}

#[test]
fn rows_of_a_size_that_no_farm_needs() {
    let big = r#"'{"text":"' || hex(zeroblob(3000000)) || '"}'"#;
    let error = refused(row("payload", big), "a book takes at most");
    assert!(matches!(error, BookError::TooLarge { .. }), "{error}");
    refused(
        row("replaces", "hex(zeroblob(50000))"),
        "a book takes at most",
    );
    refused(
        row("kind", "hex(zeroblob(3000000))"),
        "a book takes at most",
    );
    // a later kind may be anything, but not of any size
    refused(
        |path| {
            row("kind", "'moonphase'")(path);
            let db = Connection::open(path).unwrap();
            db.execute_batch("DROP TRIGGER entry_never_changed")
                .unwrap();
            db.execute_batch(
                "UPDATE entry SET payload = '{\"x\":\"' || hex(zeroblob(3000000)) || '\"}'",
            )
            .unwrap();
            let sql = include_str!("../migrations/0001_entries.sql");
            let from = sql.find("CREATE TRIGGER entry_never_changed").unwrap();
            let upto = from + sql[from..].find("END;").unwrap() + 4;
            db.execute_batch(&sql[from..upto]).unwrap();
        },
        "a book takes at most",
    );
}

#[test]
fn attachments_whose_bytes_are_not_their_keys() {
    let other = "INSERT INTO attachment SELECT replace(sha256, substr(sha256, 1, 4), '0000'), bytes, zstd FROM attachment";
    let error = refused(by_sql(other), "is damaged");
    assert!(matches!(error, BookError::Attachment { .. }), "{error}");
    let size = "INSERT INTO attachment SELECT replace(sha256, substr(sha256, 1, 4), '0000'), 9000000000, zstd FROM attachment";
    refused(by_sql(size), "");
    let key = "INSERT INTO attachment SELECT replace(sha256, substr(sha256, 1, 4), 'ZZZZ'), bytes, zstd FROM attachment";
    refused(by_sql(key), "64 hexadecimal digits");
}

#[test]
fn damaged_files_are_named_as_damaged() {
    let cut = |keep: usize| {
        move |path: &Path| {
            let bytes = std::fs::read(path).unwrap();
            std::fs::write(path, &bytes[..keep.min(bytes.len() - 1)]).unwrap();
        }
    };
    for keep in [101, 4_096, 8_192, 20_000, usize::MAX] {
        refused(cut(keep), "");
    }
    // every page but the first overwritten, one after another
    let folder = quick_folder();
    let path = spoilt(&folder, |_| {});
    let whole = std::fs::read(&path).unwrap();
    let mut ours = book(&folder.path().join("ours.stook"), "a");
    let before = ours.dump().unwrap();
    let mut caught = 0;
    for page in 1..whole.len() / 4_096 {
        let mut bytes = whole.clone();
        bytes[page * 4_096..(page + 1) * 4_096].fill(0xa5);
        std::fs::write(&path, bytes).unwrap();
        let error = ours
            .merge_from(&path)
            .expect_err("every page of a small book is in use");
        assert!(
            matches!(error, BookError::Damaged { .. }),
            "page {page}: {error}"
        );
        assert_eq!(ours.dump().unwrap(), before);
        caught += 1;
    }
    assert!(caught >= 7, "{caught}");
}

#[test]
fn check_names_damage_in_our_own_book() {
    let folder = quick_folder();
    let path = spoilt(&folder, row("payload", "'{\"text\":\"\"}'"));
    let report = Book::open(&path).unwrap().check().unwrap();
    assert!(!report.is_clean());
    assert!(
        report
            .findings
            .iter()
            .all(|finding| finding.grade == Grade::Damage),
        "{report:?}"
    );
    assert!(
        report
            .findings
            .iter()
            .any(|finding| finding.said.contains("note: text")),
        "{report:?}"
    );
}
