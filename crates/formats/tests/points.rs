//! The real corn field, against numbers made apart from this program (`reference/points`).

#![expect(clippy::print_stdout, reason = "says why a check is skipped")]

use formats::delimited::{ColumnOverride, ReadOptions, read, read_bytes};
use quantity::Moisture;
use std::path::{Path, PathBuf};
use track::{CropBasis, FindingKind, Summary, summary};

const SWATH_M: f64 = 9.144; // 360 in

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn real_field() -> Option<Vec<u8>> {
    let folder = std::env::var_os("STOOK_TEST_DATA")
        .map_or_else(|| root().join("../shared/data"), PathBuf::from);
    let path = folder.join("yield-points-minnesota-corn.tsv");
    let bytes = std::fs::read(&path).ok();
    if bytes.is_none() {
        println!(
            "skipped: no {}; set STOOK_TEST_DATA to the folder of test data",
            path.display()
        );
    }
    bytes
}

fn corn() -> CropBasis {
    CropBasis {
        crop: "corn".into(),
        base_moisture: Moisture::from_percent(15.5).expect("a moisture"),
        lb_per_bu: 56.0,
        moisture_if_unmeasured: None,
    }
}

fn near(found: f64, expected: f64, relative: f64) {
    assert!(
        ((found - expected) / expected).abs() <= relative,
        "found {found}, expected {expected}"
    );
}

fn add_up(bytes: &[u8], options: &ReadOptions) -> Summary {
    let read = read_bytes(bytes, "points", options).expect("points");
    summary(&read.track, SWATH_M, &corn()).expect("points add up")
}

#[test]
fn the_real_field_adds_up_to_its_known_numbers() {
    let Some(bytes) = real_field() else { return };
    let points = read(bytes.as_slice(), "corn.tsv", &ReadOptions::default()).unwrap();
    assert_eq!(
        points.profile.as_ref().map(|p| p.name.as_str()),
        Some("us-points")
    );
    assert!(points.assumptions().unwrap().contains("mass lb/s (flow)"));
    let sum = summary(&points.track, SWATH_M, &corn()).unwrap();
    // printed numbers of the field, as handed down with it
    assert_eq!((sum.n, sum.rows_read), (4949, 4949));
    near(sum.area_ac, 67.6368, 1e-5);
    near(sum.wet_lb, 513_551.0, 1e-5);
    near(sum.dry_bu, 9_027.154, 1e-5);
    near(sum.yield_bu_per_ac.unwrap(), 133.465, 1e-5);
    near(sum.moisture_pct_mass_weighted.unwrap(), 16.8213, 1e-5);
    // two clocks run backwards: said, and their mass stays
    assert_eq!(
        sum.findings.counts.get(&FindingKind::ClockBackwards),
        Some(&2)
    );
    let rows: Vec<_> = sum.findings.shown.iter().filter_map(|f| f.row).collect();
    assert_eq!(rows, [1195, 4354]);
    assert_eq!(sum.findings.set_aside_rows, 0);
    // 44 long runs up and down the field, and short ones round an obstacle
    assert_eq!(
        sum.passes
            .iter()
            .filter(|p| (100..=118).contains(&p.n))
            .count(),
        44
    );
    assert_eq!(sum.passes.iter().filter(|p| p.n > 118).count(), 0);
    assert_eq!(sum.passes.iter().map(|p| p.n).sum::<u64>(), sum.n);
    near(sum.passes.iter().map(|p| p.dry_bu).sum(), sum.dry_bu, 1e-12);
}

#[test]
fn the_real_field_agrees_with_rational_arithmetic() {
    let Some(bytes) = real_field() else { return };
    let text = std::fs::read_to_string(root().join("reference/points/expected.json")).unwrap();
    let expected: serde_json::Value = serde_json::from_str(&text).unwrap();
    let sum = add_up(&bytes, &ReadOptions::default());
    let found = serde_json::to_value(&sum).unwrap();
    for key in [
        "n",
        "area_ac",
        "wet_lb",
        "dry_matter_lb",
        "dry_bu",
        "yield_bu_per_ac",
        "moisture_pct_mass_weighted",
    ] {
        near(
            found[key].as_f64().unwrap(),
            expected[key].as_f64().unwrap(),
            1e-9,
        );
    }
}

#[test]
fn feet_for_inches_is_noticed() {
    let Some(bytes) = real_field() else { return };
    let options = ReadOptions {
        columns: vec![ColumnOverride::parse("dist=ft").unwrap()],
        ..ReadOptions::default()
    };
    let sum = add_up(&bytes, &options);
    near(sum.area_ac, 12.0 * 67.636_765_4, 1e-6);
    for kind in [
        FindingKind::ImplausibleSpeed,
        FindingKind::ImplausibleDistance,
    ] {
        assert_eq!(sum.findings.counts.get(&kind), Some(&1), "{kind:?}");
    }
}

#[test]
fn any_order_delimiter_and_unit_gives_the_same_totals() {
    let Some(bytes) = real_field() else { return };
    let plain = add_up(&bytes, &ReadOptions::default());
    let text = String::from_utf8(bytes).unwrap();
    let mut other =
        String::from("\u{feff}Moist(%);Dist_ft;\"Seconds\";elev m;Lat;mass kg/s;Long;Time_s\r\n");
    for line in text.lines().skip(1) {
        let f: Vec<f64> = line.split('\t').map(|v| v.parse().unwrap()).collect();
        let row = [
            f[6],
            f[5] / 12.0,
            f[4],
            f[7] * 0.3048,
            f[1],
            f[2] * 0.453_592_37,
            f[0],
            f[3],
        ];
        let row: Vec<String> = row
            .iter()
            .map(|v| v.to_string().replace('.', ","))
            .collect();
        other.push_str(&row.join(";"));
        other.push_str("\r\n");
    }
    let read = read_bytes(other.as_bytes(), "other.csv", &ReadOptions::default()).unwrap();
    assert_eq!(
        (read.delimiter, read.decimal_comma, &read.profile),
        (';', true, &None)
    );
    let sum = summary(&read.track, SWATH_M, &corn()).unwrap();
    near(sum.dry_bu, plain.dry_bu, 1e-12);
    near(sum.area_ac, plain.area_ac, 1e-12);
    assert_eq!(sum.passes.len(), plain.passes.len());
}
