//! Archives that would do harm: each is a sentence, and nothing is unpacked.

use super::build::{Spec, Transfer, zipped};
use formats::taskdata::{Files, Limits};
use std::io::Cursor;

fn refused(zip: &[u8], limits: &Limits) -> String {
    Files::from_zip(Cursor::new(zip), "x.zip", limits)
        .unwrap_err()
        .to_string()
}

fn main_and(name: &str, bytes: &[u8]) -> Vec<u8> {
    zipped([
        (
            "TASKDATA.XML".to_owned(),
            &b"<ISO11783_TaskData VersionMajor=\"4\"/>"[..],
        ),
        (name.to_owned(), bytes),
    ])
}

#[test]
fn names_that_lead_out_are_refused() {
    for name in [
        "../TLG00001.xml",
        "/etc/passwd",
        "a/../../x",
        "C:\\x.bin",
        "..\\x.bin",
    ] {
        let why = refused(&main_and(name, b"x"), &Limits::default());
        assert!(why.contains("leads out of it"), "{name}: {why}");
    }
}

#[test]
fn a_bomb_is_refused() {
    let zeros = vec![0; 64 << 20];
    let bomb = main_and("TLG00001.bin", &zeros);
    assert!(bomb.len() < 100_000, "packed 1000 times");
    let why = refused(&bomb, &Limits::default());
    assert!(
        why.contains("'TLG00001.bin' unpacks to more than 200 times"),
        "{why}"
    );
    let usual = Transfer::one(Spec::usual("TLG00001", 200)).zip();
    let few = Limits {
        unpacked_bytes: 5_000,
        ..Limits::default()
    };
    let why = refused(&usual, &few);
    assert!(why.contains("more than the whole archive may"), "{why}");
    let entries = Limits {
        entries: 2,
        ..Limits::default()
    };
    let why = refused(&usual, &entries);
    assert!(
        why.contains("a zip archive of 3 files, expected at most 2"),
        "{why}"
    );
}

#[test]
fn a_long_log_is_no_bomb() {
    // two hours that hardly change pack well, and must still be read
    let zip = Transfer::one(Spec::usual("TLG00001", 7_200)).zip();
    assert_eq!(super::read(&zip).tasks[0].logs[0].records.len(), 7_200);
}

#[test]
fn archives_that_are_not_task_data_say_so() {
    let why = refused(
        &zipped([("xl/workbook.xml".to_owned(), &b"<x/>"[..])]),
        &Limits::default(),
    );
    assert!(
        why.contains("without TASKDATA.XML (a spreadsheet workbook"),
        "{why}"
    );
    let twice = zipped([
        ("a/TASKDATA.XML".to_owned(), &b"<x/>"[..]),
        ("b/taskdata.xml".to_owned(), &b"<x/>"[..]),
    ]);
    let why = refused(&twice, &Limits::default());
    assert!(
        why.contains("2 files TASKDATA.XML (a/TASKDATA.XML, b/taskdata.xml)"),
        "{why}"
    );
    assert!(refused(b"PK\x03\x04nothing", &Limits::default()).contains("cannot be read"));
    let mut hurt = Transfer::one(Spec::usual("TLG00001", 50)).zip();
    let at = hurt.len() / 4;
    hurt[at] ^= 0x55;
    let why = refused(&hurt, &Limits::default());
    assert!(
        why.contains("cannot be unpacked") || why.contains("checksum"),
        "{why}"
    );
}
