//! Every value of every record, as another reader decodes it (`reference/isoxml`).

use super::build::variants;
use formats::taskdata::{Log, Record};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

fn reference(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../reference/isoxml")
        .join(name)
}

/// A record in the words of the script.
fn line(
    archive: &str,
    log: &Log,
    kind: &str,
    record: &Record,
    values: &BTreeMap<String, i32>,
) -> String {
    let position = record.position.unwrap();
    let shown = |value: Option<f64>| value.map_or("-".to_owned(), |v| v.to_string());
    let by = |value: Option<f64>, by: f64| shown(value.map(|v| v / by));
    let mut out = format!(
        "{archive} {} {kind} {}",
        log.name,
        record.local_s() * 1_000.0
    );
    for text in [
        by(position.north_e7.map(f64::from), 1e7),
        by(position.east_e7.map(f64::from), 1e7),
        shown(position.up_mm.map(f64::from)),
        shown(position.status.map(f64::from)),
        by(position.pdop_tenths.map(f64::from), 10.0),
        by(position.hdop_tenths.map(f64::from), 10.0),
        shown(position.satellites.map(f64::from)),
        shown(position.utc_ms.map(f64::from)),
        shown(position.utc_days.map(f64::from)),
    ] {
        write!(out, " {text}").unwrap();
    }
    for (key, value) in values {
        write!(out, " {key}:{value}").unwrap();
    }
    out
}

fn lines(archive: &str, log: &Log) -> Vec<String> {
    let key = |place: usize| {
        let channel = &log.channels[place];
        format!("{:04X}_{}", channel.ddi, channel.element)
    };
    let mut out = Vec::new();
    for record in &log.records {
        let values = log.stored(record).iter();
        let values = values.map(|(place, value)| (key(usize::from(*place)), *value));
        out.push(line(archive, log, "stored", record, &values.collect()));
    }
    let mut filled = log.filled();
    while let Some((record, values)) = filled.next_record() {
        let values = values.iter().enumerate().filter_map(|(place, value)| {
            // the other reader leaves constants out of its records
            let recorded = log.channels[place].constant.is_none();
            Some((key(place), (*value).filter(|_| recorded)?))
        });
        out.push(line(archive, log, "filled", record, &values.collect()));
    }
    out.push(format!(
        "{archive} {} errors {}",
        log.name,
        u8::from(log.cut_short.is_some())
    ));
    out
}

#[test]
fn every_value_is_as_an_independent_reader_decodes_it() {
    let expected = std::fs::read_to_string(reference("expected.txt")).unwrap();
    let mut names: Vec<&str> = variants().iter().map(|(name, _)| *name).collect();
    names.sort_unstable();
    let mut ours = Vec::new();
    for name in names {
        let zip = std::fs::read(reference(&format!("{name}.zip"))).unwrap();
        for task in &super::read(&zip).tasks {
            for log in &task.logs {
                ours.extend(lines(name, log));
            }
        }
    }
    for (own, other) in ours.iter().zip(expected.lines()) {
        assert_eq!(own, other);
    }
    assert_eq!(ours.len(), expected.lines().count());
    assert!(ours.len() > 400);
}

#[test]
fn the_archives_are_those_that_the_variants_make() {
    for (name, transfer) in variants() {
        let kept = std::fs::read(reference(&format!("{name}.zip"))).unwrap();
        assert_eq!(super::read(&kept), super::read(&transfer.zip()), "{name}");
    }
}

#[test]
fn the_records_come_back_as_they_were_known() {
    for (name, transfer) in variants() {
        let data = super::read(&transfer.zip());
        for (task, specs) in data.tasks.iter().zip(&transfer.tasks) {
            for (log, spec) in task.logs.iter().zip(specs) {
                let whole = spec.records.len() - usize::from(spec.cut > 0);
                assert_eq!(log.records.len(), whole, "{name}");
                let mut filled = log.filled();
                for known in &spec.records[..whole] {
                    let (record, values) = filled.next_record().unwrap();
                    assert_eq!((record.time_ms, record.days), (known.ms, known.days));
                    let position = record.position.unwrap();
                    assert_eq!(position.north_e7, Some(known.north));
                    assert_eq!(position.east_e7, Some(known.east));
                    for ((value, now), own) in spec.values.iter().zip(&known.values).zip(values) {
                        assert_eq!(*own, value.constant.or(*now), "{name}");
                    }
                }
            }
        }
    }
}
