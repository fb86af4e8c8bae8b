//! Logs to points: what mass, ground and moisture they add up to.

use super::build::{Field, Spec, Transfer, known, variants};
use super::{points, read};
use formats::FormatError;
use formats::taskdata::{self, PointsOptions, TaskPoints};
use track::{Done, FindingKind, Head};

fn kg(read: &TaskPoints) -> f64 {
    read.track.points.iter().map(|point| point.mass_kg).sum()
}

/// Mass of known records, kg: flow times the second that each covers.
fn known_kg(records: &[super::build::Known]) -> f64 {
    let flows = records.iter().filter_map(|one| one.values[0]);
    flows.map(|mg_s| f64::from(mg_s) * 1e-6).sum()
}

/// The transfer with one entry of the header replaced by another.
fn with_entry(from: u16, to: u16) -> Spec {
    let mut spec = Spec::usual("TLG00001", 20);
    for value in &mut spec.values {
        if value.ddi == from {
            value.ddi = to;
        }
    }
    spec
}

/// The transfer without an entry: nothing of it in header or records.
fn without(spec: &Spec, entries: &[u16]) -> Spec {
    let mut spec = spec.clone();
    let keep: Vec<bool> = spec
        .values
        .iter()
        .map(|value| !entries.contains(&value.ddi))
        .collect();
    let mut keeps = keep.iter();
    spec.values.retain(|_| *keeps.next().unwrap());
    for record in &mut spec.records {
        let mut keeps = keep.iter();
        record.values.retain(|_| *keeps.next().unwrap());
    }
    spec
}

#[test]
fn a_log_adds_up_to_what_is_known() {
    let spec = Spec::usual("TLG00001", 20);
    let read = points(&Transfer::one(spec.clone()));
    let track = &read.track;
    assert!(track.conserved());
    assert_eq!(track.points.len(), 20);
    assert!((kg(&read) - known_kg(&spec.records)).abs() < 1e-9);
    let first = &track.points[0];
    assert_eq!((first.latitude_deg, first.longitude_deg), (43.9, -93.9));
    assert_eq!(first.moisture, Some(0.185));
    assert_eq!(first.width_m, Some(9.144));
    assert_eq!(first.time_s, Some(1_727_697_600.0));
    assert_eq!((first.head, track.points[19].head), (Head::Down, Head::Up));
    let meters: f64 = track.points.iter().map(|point| point.distance_m).sum();
    assert!((meters - 40.0).abs() < 1e-9, "speed x interval: {meters}");
    assert_eq!(read.logs[0].mass_from, "mass flow x interval");
    assert!(track.findings.counts().is_empty(), "{:?}", track.findings);
}

#[test]
fn how_it_was_written_does_not_show() {
    let reference = points(&Transfer::one(Spec::usual("TLG00001", 16)));
    for (name, transfer) in variants() {
        if [
            "version-3",
            "changes-only",
            "upper-case",
            "lower-case",
            "bus-message-and-unknown",
        ]
        .contains(&name)
        {
            assert_eq!(
                points(&transfer).track.points,
                reference.track.points,
                "{name}"
            );
        }
    }
}

#[test]
fn without_speed_the_ways_between_positions_are_taken() {
    let spec = without(&Spec::usual("TLG00001", 20), &[397]);
    let read = points(&Transfer::one(spec));
    let meters: Vec<f64> = read.track.points.iter().map(|p| p.distance_m).collect();
    assert_eq!(meters[0], 0.0, "there is nothing before the first");
    // 1.8e-5 degrees north is 2.0 m (111,127 m a degree at 43.9 north); east wavers by a centimeter
    assert!(
        meters[1..].iter().all(|m| (m - 2.0).abs() < 0.002),
        "{meters:?}"
    );
}

#[test]
fn a_lost_fix_is_set_aside_with_its_mass_and_counted() {
    let (_, transfer) = variants()
        .into_iter()
        .find(|(name, _)| *name == "no-fix")
        .unwrap();
    let read = points(&transfer);
    let records = &transfer.tasks[0][0].records;
    assert!(read.track.conserved());
    assert_eq!(
        (read.track.rows_read, read.track.findings.set_aside_rows()),
        (16, 2)
    );
    assert_eq!(read.track.findings.counts()[&FindingKind::NoFix], 2);
    let aside = read.track.findings.totals(0.0).set_aside_wet_lb * track::KG_PER_LB;
    assert!((kg(&read) + aside - known_kg(records)).abs() < 1e-6);
}

#[test]
fn a_cut_record_is_counted_and_said() {
    let (_, transfer) = variants()
        .into_iter()
        .find(|(name, _)| *name == "cut-short")
        .unwrap();
    let read = points(&transfer);
    assert!(read.track.conserved());
    assert_eq!((read.track.points.len(), read.track.rows_read), (15, 16));
    let found = &read.track.findings.shown()[0];
    assert_eq!(
        (found.kind, found.done, found.row),
        (FindingKind::CutShort, Done::SetAside, Some(16))
    );
    assert!(
        found
            .what
            .starts_with("TLG00001: the file ends inside a record; the last 37 bytes"),
        "{}",
        found.what
    );
}

#[test]
fn counters_give_differences_and_may_start_anew() {
    let spec = without(&Spec::usual("TLG00001", 16), &[87]);
    let whole = points(&Transfer::one(spec.clone()));
    let (first, last) = (
        spec.records[0].values[4].unwrap(),
        spec.records[15].values[4].unwrap(),
    );
    assert_eq!(kg(&whole), f64::from(last - first));
    assert_eq!(whole.logs[0].mass_from, "difference of the mass counter");
    let mut reset = spec;
    let at_eighth = reset.records[7].values[4].unwrap();
    let since: Vec<i32> = (8..16).map(|i| (i - 8) * 10 + 3).collect();
    for (record, total) in reset.records[8..].iter_mut().zip(&since) {
        record.values[4] = Some(*total);
    }
    let read = points(&Transfer::one(reset));
    // what came before, and all that the counter shows since it began anew
    assert_eq!(kg(&read), f64::from(at_eighth - first + since[7]));
}

#[test]
fn mass_an_area_takes_the_ground_cut() {
    let mut spec = without(&with_entry(87, 84), &[90]);
    for record in &mut spec.records {
        record.values[0] = Some(1_000_000); // 1 kg/m2
    }
    let read = points(&Transfer::one(spec));
    // 18 records with the head down, 2 m at 9.144 m each
    assert!(
        (kg(&read) - 18.0 * 2.0 * 9.144).abs() < 1e-4,
        "{}",
        kg(&read)
    );
}

#[test]
fn volume_needs_a_test_weight() {
    let mut spec = without(&with_entry(87, 86), &[90]);
    for record in &mut spec.records {
        record.values[0] = Some(35_239); // ml/s: a bushel (35.239 L) a second
    }
    let data = read(&Transfer::one(spec).zip());
    let why = taskdata::points(&data, "x.zip", &PointsOptions::default()).unwrap_err();
    assert!(why.to_string().contains("test weight"), "{why}");
    let options = PointsOptions {
        test_weight_lb_per_bu: Some(56.0),
        ..PointsOptions::default()
    };
    let read = taskdata::points(&data, "x.zip", &options).unwrap();
    let lb = kg(&read) / track::KG_PER_LB;
    assert!((lb - 20.0 * 56.0).abs() < 0.01, "{lb}");
}

#[test]
fn a_pause_of_the_logger_does_not_make_grain() {
    let mut spec = Spec::usual("TLG00001", 20);
    for record in &mut spec.records[10..] {
        record.ms += 25_000;
    }
    let read = points(&Transfer::one(spec.clone()));
    assert!((kg(&read) - known_kg(&spec.records)).abs() < 1e-9);
    assert_eq!(read.track.findings.counts()[&FindingKind::Interval], 1);
    assert_eq!(read.track.points.len(), 20);
}

#[test]
fn several_logs_follow_each_other_with_tasks_as_loads() {
    let (_, transfer) = variants()
        .into_iter()
        .find(|(name, _)| *name == "several-linked")
        .unwrap();
    let data = read(&transfer.zip());
    let all = taskdata::points(&data, "x.zip", &PointsOptions::default()).unwrap();
    assert_eq!(all.track.loads, ["Task 1", "Task 2"]);
    assert_eq!(
        all.logs.iter().map(|log| log.records).collect::<Vec<_>>(),
        [16, 12, 10]
    );
    assert_eq!(all.track.points.last().unwrap().row, 38);
    let sum: f64 = [16, 12, 10].iter().map(|n| known_kg(&known(*n))).sum();
    assert!((kg(&all) - sum).abs() < 1e-9);
    let only = PointsOptions {
        log: Some("tlg00002".into()),
        ..PointsOptions::default()
    };
    let one = taskdata::points(&data, "x.zip", &only).unwrap();
    assert_eq!((one.track.points.len(), one.track.loads.len()), (12, 0));
    let none = PointsOptions {
        log: Some("TLG9".into()),
        ..PointsOptions::default()
    };
    let why = taskdata::points(&data, "x.zip", &none)
        .unwrap_err()
        .to_string();
    assert!(
        why.contains("TLG00001 (Task 1), TLG00002 (Task 1), TLG00003 (Task 2)"),
        "{why}"
    );
}

#[test]
fn moisture_that_comes_late_is_taken_back_and_said() {
    let mut spec = Spec::usual("TLG00001", 20);
    for record in &mut spec.records[..3] {
        record.values[1] = None;
    }
    let read = points(&Transfer::one(spec));
    assert_eq!(read.track.points[0].moisture, Some(0.185));
    assert!(
        read.assumptions[0].contains("first 3 records"),
        "{:?}",
        read.assumptions
    );
}

#[test]
fn sections_narrow_the_described_width() {
    let mut spec = without(&with_entry(67, 161), &[237]);
    let place = spec
        .values
        .iter()
        .position(|value| value.ddi == 161)
        .unwrap();
    for (i, record) in spec.records.iter_mut().enumerate() {
        // four sections of which three work, and twelve that are not there; then none
        record.values[place] = Some(if i < 10 { !0xFF | 0b0001_0101 } else { !0xFF });
    }
    let read = points(&Transfer::one(spec));
    assert_eq!(
        read.track.points[0].width_m,
        Some((9.144_f64 * 0.75) as f32)
    );
    assert_eq!(
        (read.track.points[0].head, read.track.points[10].head),
        (Head::Down, Head::Up)
    );
    assert!(
        read.assumptions
            .iter()
            .any(|one| one.contains("9.144 m, as the machine describes itself"))
    );
}

#[test]
fn what_the_file_says_of_delays_is_told_and_not_applied() {
    let mut spec = Spec::usual("TLG00001", 6);
    for (ddi, constant) in [(143, 2_500), (259, 4_000), (260, 3_000)] {
        let mut value = spec.values[0].clone();
        (value.ddi, value.constant) = (ddi, Some(constant));
        spec.values.push(value);
    }
    let mut hold = spec.values[0].clone();
    hold.ddi = 239;
    spec.values.push(hold);
    for (i, record) in spec.records.iter_mut().enumerate() {
        record
            .values
            .extend([None, None, None, Some(i32::from(i >= 4))]);
    }
    let settled = points(&Transfer::one(spec)).settled;
    assert_eq!(settled.latency_s, Some(2.5));
    assert_eq!(
        (settled.lag_ignore_s, settled.lead_ignore_s),
        (Some(4.0), Some(3.0))
    );
    assert_eq!(settled.yield_held_records, 2);
    // the head is 2.5 m forward of the reference, the antenna 1.5 m behind it
    assert_eq!(settled.antenna_to_head_m, Some((4.0, 0.0)));
    assert_eq!(settled.offsets.len(), 2);
    assert_eq!(settled.sentences().len(), 5);
}

#[test]
fn what_cannot_be_points_is_refused_in_a_sentence() {
    let refused = |spec: Spec, options: &PointsOptions| -> FormatError {
        taskdata::points(&read(&Transfer::one(spec).zip()), "x.zip", options).unwrap_err()
    };
    let plain = PointsOptions::default();
    let usual = Spec::usual("TLG00001", 8);
    let none = refused(without(&usual, &[87, 90]), &plain).to_string();
    assert!(none.contains("no log that records yield"), "{none}");
    assert!(
        none.contains("TLG00001 records moisture, working width"),
        "{none}"
    );
    let mut nowhere = usual.clone();
    nowhere.position = [Field::Absent; 9];
    let why = refused(nowhere, &plain).to_string();
    assert!(
        why.contains("no usable row") && why.contains("no position") || why.contains("no fix"),
        "{why}"
    );
    let mut empty = usual.clone();
    empty.records.clear();
    let why = refused(empty, &plain).to_string();
    assert!(why.contains("records yield"), "{why}");
    let mut wet = usual;
    wet.records[3].values[1] = Some(700_000);
    let strict = PointsOptions {
        strict: true,
        ..plain
    };
    let why = refused(wet, &strict).to_string();
    assert!(why.contains("row 4") && why.contains("moisture"), "{why}");
}

#[test]
fn load_numbers_become_loads() {
    let mut spec = with_entry(90, 322);
    let place = spec
        .values
        .iter()
        .position(|value| value.ddi == 322)
        .unwrap();
    for (i, record) in spec.records.iter_mut().enumerate() {
        record.values[place] = Some(if i < 12 { 41 } else { 42 });
    }
    let read = points(&Transfer::one(spec));
    assert_eq!(read.track.loads, ["41", "42"]);
    let loads: Vec<_> = read.track.points.iter().map(|point| point.load).collect();
    assert_eq!(
        (loads[0], loads[11], loads[12], loads[19]),
        (Some(0), Some(0), Some(1), Some(1))
    );
}

#[test]
fn distance_counters_go_before_speed() {
    let mut spec = with_entry(90, 117);
    let mut out = spec.values[5].clone();
    out.ddi = 118;
    spec.values.push(out);
    for (i, record) in (0_i32..).zip(&mut spec.records) {
        // 2.1 m a second, counted in work for fifteen seconds and out of work after
        record.values[5] = Some(1_000_000 + 2_100 * i.min(15));
        record.values.push(Some(500 + 2_100 * (i - 15).max(0)));
    }
    let read = points(&Transfer::one(spec));
    let meters: Vec<f64> = read
        .track
        .points
        .iter()
        .map(|point| point.distance_m)
        .collect();
    assert_eq!(meters[0], 0.0, "a counter says nothing at once");
    assert!(
        meters[1..].iter().all(|m| (m - 2.1).abs() < 1e-12),
        "{meters:?}"
    );
}

#[test]
fn what_several_parts_log_is_said() {
    let mut spec = Spec::usual("TLG00001", 5);
    let mut second = spec.values[0].clone();
    second.element = "DET-9";
    spec.values.push(second);
    for record in &mut spec.records {
        record.values.push(Some(1));
    }
    let read = points(&Transfer::one(spec.clone()));
    assert!((kg(&read) - known_kg(&spec.records)).abs() < 1e-9);
    assert_eq!(
        read.assumptions,
        ["TLG00001: mass flow is logged by DET-2, DET-9; DET-2 is used"]
    );
}

#[test]
fn a_clock_that_runs_backwards_makes_no_negative_grain() {
    let mut spec = Spec::usual("TLG00001", 20);
    for record in &mut spec.records[10..] {
        record.ms -= 5_000;
    }
    let read = points(&Transfer::one(spec.clone()));
    assert_eq!(read.track.points.len(), 20);
    assert!((kg(&read) - known_kg(&spec.records)).abs() < 1e-9);
    // the same second twice is the same grain
    let mut twice = Spec::usual("TLG00001", 20);
    let copy = twice.records[9].clone();
    twice.records.insert(10, copy);
    let read = points(&Transfer::one(twice.clone()));
    twice.records.remove(10);
    assert!((kg(&read) - known_kg(&twice.records)).abs() < 1e-9);
}

#[test]
fn height_is_kept_and_midnight_is_no_gap() {
    let mut spec = Spec::usual("TLG00001", 20);
    spec.position[2] = Field::InRecord;
    for (i, record) in (0_u32..).zip(&mut spec.records) {
        let ms = 86_390_000 + 1_000 * i;
        record.ms = ms % 86_400_000;
        record.days += u16::from(ms >= 86_400_000);
    }
    let read = points(&Transfer::one(spec.clone()));
    assert_eq!(read.track.points[0].elevation_m, Some(310.0));
    assert!((kg(&read) - known_kg(&spec.records)).abs() < 1e-9);
    assert!(read.track.findings.counts().is_empty());
}
