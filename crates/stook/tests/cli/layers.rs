//! Points in the formats of map programs in place of delimited text, told by content.

use crate::bench::Bench;
use std::path::Path;

fn file(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../reference/gdal-vector")
        .join(name)
        .display()
        .to_string()
}

fn sum(bench: &Bench, file: &str) -> serde_json::Value {
    let words = ["--json", "pass", "summary", file, "--crop", "corn"];
    let words = [&words[..], &["--swath", "360in"]].concat();
    serde_json::from_str(&bench.ok(&words)).expect("JSON")
}

#[test]
fn every_format_adds_up_to_the_same() {
    let bench = Bench::new();
    let wanted = sum(&bench, &file("points.csv"));
    for name in [
        "points.shp",
        "points-utm.shp",
        "points-feet.shp",
        "points.zip",
        "points.geojson",
        "points-old.geojson",
        "points.gpkg",
        "points-utm.gpkg",
        "points.fgb",
        "../geoparquet/points-wkb.parquet",
    ] {
        // the name says nothing, but a Shapefile's parts are found by it
        let mut path = file(name);
        if Path::new(name).extension().is_none_or(|end| end != "shp") {
            let other = bench.path().join("points.csv");
            std::fs::copy(&path, &other).expect("copied");
            path = other.display().to_string();
        }
        let got = sum(&bench, &path);
        for key in ["n", "wet_lb", "dry_bu", "area_ac", "rows_read"] {
            assert_eq!(got[key], wanted[key], "{name}: {key}");
        }
        // rows are counted from the first record, not from the header
        let parts = |sum: &serde_json::Value, of: &str| -> Vec<[serde_json::Value; 3]> {
            let parts = sum[of].as_array().expect("a list").iter();
            parts
                .map(|part| ["n", "area_ac", "tank"].map(|key| part[key].clone()))
                .collect()
        };
        for of in ["passes", "tanks"] {
            assert_eq!(parts(&got, of), parts(&wanted, of), "{name}");
        }
    }
}

#[test]
fn what_cannot_be_read_is_a_sentence() {
    let bench = Bench::new();
    for (name, more, says) in [
        ("soil.shp", None, "a Shapefile of polygons"),
        (
            "points.gpkg",
            Some(["--log", "a"]),
            "only task data has use for it",
        ),
        (
            "points.gpkg",
            Some(["--column", "x=ft"]),
            "found no column 'x'",
        ),
    ] {
        let path = file(name);
        let mut words = vec![
            "pass", "summary", &path, "--crop", "corn", "--swath", "30ft",
        ];
        words.extend(more.iter().flatten());
        let ran = bench.run(&words);
        assert_eq!(ran.code, 2, "{words:?}");
        assert!(ran.err.contains(says), "{words:?}: {}", ran.err);
        assert!(!ran.err.contains("panicked"), "{}", ran.err);
    }
}
