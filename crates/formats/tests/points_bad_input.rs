//! Bad rows, bad files, and files far too large: findings, one clear sentence, bounded memory.

use formats::FormatError;
use formats::delimited::{ColumnOverride, PointsRead, ReadOptions, read, read_bytes};
use std::io::Read;
use track::{FindingKind, Head};

const HEADER: &str = "long,lat,mass lb/s,seconds,dist_in,moist %\n";
const GOOD: &str = "-93.9,43.9,16.5,3,200,18.5\n";

fn plain(text: &[u8]) -> Result<PointsRead, FormatError> {
    read_bytes(text, "points.csv", &ReadOptions::default())
}

fn refused(text: &[u8]) -> String {
    plain(text).expect_err("refused").to_string()
}

#[test]
fn each_bad_row_is_a_finding_with_its_number() {
    let rows: [(&[u8], FindingKind); 13] = [
        (b"-93.9,43.9,NaN,3,200,18.5", FindingKind::NotANumber),
        (b"-93.9,43.9,-1,3,200,18.5", FindingKind::Mass),
        (b"-93.9,43.9,1e308,3,200,18.5", FindingKind::Mass),
        (b"-93.9,43.9,1\xff6.5,3,200,18.5", FindingKind::NotUtf8),
        (b"-93.9,43.9,16.5,3", FindingKind::TooFewFields),
        (b"-193.9,43.9,16.5,3,200,18.5", FindingKind::OffEarth),
        (b"0,0,16.5,3,200,18.5", FindingKind::NoFix),
        (b"-93.9,43.9,16.5,3,200,118", FindingKind::Moisture),
        (b"-93.9,43.9,16.5,0,200,18.5", FindingKind::Interval),
        (b"-93.9,43.9,16.5,3,1e300,18.5", FindingKind::Distance),
        (b"-93.9,43.9,,3,200,18.5", FindingKind::Empty),
        (b"-93.9,43.9,\"16.5,3,200,18.5", FindingKind::OpenQuote),
        (b"-93.9,43.9,16.5\0,3,200,18.5", FindingKind::NotANumber),
    ];
    let mut text = HEADER.as_bytes().to_vec();
    for _ in 0..1_000 {
        text.extend_from_slice(GOOD.as_bytes());
    }
    for (row, _) in rows {
        text.extend_from_slice(row);
        text.push(b'\n');
        for _ in 0..200 {
            text.extend_from_slice(GOOD.as_bytes());
        }
    }
    let read = plain(&text).unwrap();
    let found: Vec<_> = read
        .track
        .findings
        .shown()
        .iter()
        .map(|f| (f.row.unwrap(), f.kind))
        .collect();
    let expected: Vec<_> = rows
        .iter()
        .zip(0..)
        .map(|((_, kind), i)| (1_002 + 201 * i, *kind))
        .collect();
    assert_eq!(found, expected);
    assert!(read.track.conserved());
    assert_eq!(read.track.points.len(), 1_000 + 13 * 200);
    let first = &read.track.findings.shown()[0];
    assert_eq!(first.byte, Some((HEADER.len() + 1_000 * GOOD.len()) as u64));

    let strict = ReadOptions {
        strict: true,
        ..ReadOptions::default()
    };
    let error = read_bytes(&text, "points.csv", &strict)
        .unwrap_err()
        .to_string();
    assert_eq!(
        error,
        "points.csv: row 1002: mass lb/s is 'NaN', expected a number; read without strict to set such rows aside and go on"
    );
}

#[test]
fn mass_of_a_row_set_aside_is_still_reported() {
    let text = format!("{HEADER}{GOOD}-93.9,43.9,10,3,200,99\n-93.9,43.9,x,3,200,18\n");
    let read = plain(text.as_bytes()).unwrap();
    let totals = read.track.findings.totals(0.0);
    assert_eq!(
        (totals.set_aside_rows, totals.set_aside_mass_unread_rows),
        (2, 1)
    );
    assert!((totals.set_aside_wet_lb - 30.0).abs() < 1e-6);
}

#[test]
fn files_that_are_not_points_are_refused_in_one_sentence() {
    let cases: [(&[u8], &str); 12] = [
        (b"", "an empty file"),
        (b"\n\n  \n", "an empty file"),
        (b"PK\x03\x04rest", "spreadsheet workbook"),
        (b"SQLite format 3\0", "an SQLite database"),
        (b"\xff\xfel\0o\0n\0", "UTF-16"),
        (b"long\0,lat\n1,2\n", "binary data (byte 0x00"),
        (b"\x01\x02,\x03\n", "binary data"),
        (b"1,2,3\n4,5,6\n", "numbers in the first line"),
        (b"just some prose\nand more\n", "one column"),
        (b"name,color\nred,blue\n", "no column for longitude"),
        (HEADER.as_bytes(), "no usable row"),
        (
            b"long,lat,mass,seconds,dist_in\n1,2,3,4,5\n",
            "'mass' is a mass without a unit",
        ),
    ];
    for (text, expected) in cases {
        let error = refused(text);
        assert!(
            error.starts_with("points.csv: ") && error.contains(expected),
            "{error}"
        );
        assert!(!error.contains('\n') && error.len() < 400, "{error}");
    }
}

#[test]
fn columns_said_twice_or_without_a_unit_are_named() {
    let error = refused(b"long,lat,mass lb/s,flow kg/s,seconds,dist_in\n1,2,3,4,5,6\n");
    assert!(
        error.contains("'mass lb/s' and 'flow kg/s' both say flow"),
        "{error}"
    );
    let error = refused(b"long,lat,mass lb/s,dist_in\n1,2,3,4\n");
    assert!(error.contains("how long a record is"), "{error}");
    let options = ReadOptions {
        columns: vec![ColumnOverride::parse("width=in").unwrap()],
        ..ReadOptions::default()
    };
    let error = read_bytes(format!("{HEADER}{GOOD}").as_bytes(), "p", &options)
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("found no column 'width', expected one of: long, lat"),
        "{error}"
    );
}

/// A stream that makes its bytes and counts how many were taken.
struct Flood<'a> {
    start: &'a [u8],
    repeat: &'a [u8],
    at: usize,
    taken: &'a mut usize,
}

impl Read for Flood<'_> {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        let left = (200_usize << 20).saturating_sub(*self.taken).min(out.len());
        for byte in &mut out[..left] {
            *byte = match self.start.get(self.at) {
                Some(first) => *first,
                None => self.repeat[(self.at - self.start.len()) % self.repeat.len()],
            };
            self.at += 1;
        }
        *self.taken += left;
        Ok(left)
    }
}

#[test]
fn two_hundred_megabytes_of_garbage_are_refused_at_the_start() {
    let header_then_long = format!("{HEADER}{}", "x".repeat(100));
    let cases: [(&str, &[u8], &[u8]); 5] = [
        ("zeros", b"", b"\0"),
        ("one line", b"", b"abcdefgh,"),
        ("noise", b"", &[7, 200, 13, 10, 255, 44, 3]),
        (
            "a header, then prose",
            HEADER.as_bytes(),
            b"call me a row, if you like\n",
        ),
        ("a header, then one line", header_then_long.as_bytes(), b"y"),
    ];
    for (what, start, repeat) in cases {
        let mut taken = 0;
        let flood = Flood {
            start,
            repeat,
            at: 0,
            taken: &mut taken,
        };
        let error = read(flood, "flood", &ReadOptions::default())
            .expect_err(what)
            .to_string();
        assert!(!error.contains('\n') && error.len() < 400, "{error}");
        assert!(
            taken <= 8 << 20,
            "{what}: read {taken} bytes before refusing"
        );
    }
}

#[test]
fn a_long_line_among_good_ones_is_one_finding() {
    let mut text = format!("{HEADER}{GOOD}").into_bytes();
    text.extend(std::iter::repeat_n(b'z', 1 << 20));
    text.extend_from_slice(format!("\n{GOOD}bad\n").as_bytes());
    for block_bytes in [1 << 12, 1 << 17, 4 << 20] {
        let read = read_bytes(
            &text,
            "p",
            &ReadOptions {
                block_bytes,
                ..ReadOptions::default()
            },
        )
        .unwrap();
        let found: Vec<_> = read
            .track
            .findings
            .shown()
            .iter()
            .map(|f| (f.row.unwrap(), f.kind))
            .collect();
        assert_eq!(
            found,
            [(3, FindingKind::LongRow), (5, FindingKind::TooFewFields)]
        );
        assert_eq!(read.track.points.len(), 2);
        assert!(read.track.conserved());
    }
}

#[test]
fn optional_columns_are_read_and_a_bad_one_costs_nothing() {
    let text = "Time;Load;Head;Pass;Swath(ft);long;lat;mass kg;dist m;elev ft\n\
                2013-10-05T14:03:07Z;A 1;down;1;30;-93,9;43,9;20;6;1000\n\
                2013-10-05T14:03:10Z;A 1;up;1;30;-93,9;43,9;2;6;sky\n\
                2013-10-05T14:03:13Z;B;down;2;15;-93,9;43,9;20;6;\n";
    let read = plain(text.as_bytes()).unwrap();
    assert_eq!(read.track.loads, ["A 1", "B"]);
    let heads: Vec<_> = read.track.points.iter().map(|p| p.head).collect();
    assert_eq!(heads, [Head::Down, Head::Up, Head::Down]);
    assert_eq!(read.track.points[2].load, Some(1));
    assert_eq!(
        read.track.points[1]
            .time_s
            .zip(read.track.points[0].time_s)
            .map(|(b, a)| b - a),
        Some(3.0)
    );
    assert_eq!(
        read.track
            .findings
            .counts()
            .get(&FindingKind::OptionalField),
        Some(&1)
    );
    assert!(read.track.conserved());
    let basis = track::CropBasis {
        crop: "wheat".into(),
        base_moisture: quantity::Moisture::from_percent(13.5).unwrap(),
        lb_per_bu: 60.0,
        moisture_if_unmeasured: Some(quantity::Moisture::from_percent(13.5).unwrap()),
    };
    let sum = track::summary(&read.track, 9.144, &basis).unwrap();
    assert_eq!(
        (sum.moisture_assumed_rows, sum.tanks.len(), sum.passes.len()),
        (3, 2, 2)
    );
    // head up cuts no ground, yet its grain stays: 6 m of 30 ft and 6 m of 15 ft
    assert!((sum.area_ac * track::M2_PER_AC - 6.0 * (9.144 + 4.572)).abs() < 1e-5);
    assert!((sum.tanks[0].monitor_wet_lb * track::KG_PER_LB - 22.0).abs() < 1e-9);
    let none = track::CropBasis {
        moisture_if_unmeasured: None,
        ..basis
    };
    assert!(
        track::summary(&read.track, 9.144, &none)
            .unwrap_err()
            .to_string()
            .starts_with("row 2 has no moisture")
    );
}
