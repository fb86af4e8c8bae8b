//! Coordinate systems by number and by well-known text, against PROJ (`reference/proj`) and in the
//! dialects of another writer (`reference/gdal-vector`).

use formats::crs::Crs;
use proptest::prelude::*;
use serde_json::Value;

const NEAR_DEG: f64 = 1e-9;

fn text(name: &str) -> String {
    let path = format!(
        "{}/../../reference/gdal-vector/{name}",
        env!("CARGO_MANIFEST_DIR")
    );
    std::fs::read_to_string(path).expect("a file of reference/")
}

fn grids() -> Vec<Value> {
    serde_json::from_str(include_str!("../../../reference/proj/expected.json"))
        .expect("a file of reference/")
}

/// The positions of a grid of PROJ's that lie where a map grid is used.
fn positions(grid: &str) -> Vec<[f64; 4]> {
    let grids = grids();
    let told = grids
        .iter()
        .find(|told| told["grid"] == grid)
        .expect("a file of reference/");
    let central = told["central_deg"].as_f64().expect("a file of reference/");
    let rows = told["positions"]
        .as_array()
        .expect("a file of reference/")
        .iter();
    rows.map(|row| std::array::from_fn(|i| row[i].as_f64().expect("a file of reference/")))
        .filter(|row: &[f64; 4]| {
            ((row[0] - central + 540.0).rem_euclid(360.0) - 180.0).abs() <= 3.0
        })
        .collect()
}

fn assert_agrees(crs: &Crs, grid: &str) {
    let rows = positions(grid);
    assert!(rows.len() >= 40);
    for [longitude, latitude, x, y] in rows {
        let [a, b] = crs.degrees(x, y).unwrap_or_else(|| panic!("{x} {y}"));
        let turn = (a - longitude + 540.0).rem_euclid(360.0) - 180.0;
        assert!(
            turn.abs() < NEAR_DEG && (b - latitude).abs() < NEAR_DEG,
            "{grid}: {a} {b}"
        );
    }
}

#[test]
fn numbers_and_every_dialect_agree_with_proj() {
    for code in [32_615, 26_915, 25_832, 32_733] {
        let grid = format!("EPSG:{code}");
        assert_agrees(&Crs::epsg(code).unwrap(), &grid);
        assert_agrees(
            &Crs::named(&format!("urn:ogc:def:crs:EPSG::{code}")).unwrap(),
            &grid,
        );
        for dialect in ["wkt1", "wkt_esri", "wkt2"] {
            let told = Crs::wkt(&text(&format!("wkt-{code}-{dialect}.txt"))).unwrap();
            assert_agrees(&told, &grid);
        }
    }
    assert_agrees(&Crs::epsg(32_601).unwrap(), "EPSG:32601");
    for dialect in ["wkt1", "wkt_esri", "wkt2"] {
        let feet = Crs::wkt(&text(&format!("wkt-3435-{dialect}.txt"))).unwrap();
        assert_agrees(&feet, "feet-us");
    }
}

#[test]
fn json_says_the_same_with_and_without_a_number() {
    for code in [32_615, 26_915, 3_435, 4_326] {
        let mut told: Value = serde_json::from_str(&text(&format!("wkt-{code}.json"))).unwrap();
        let grid = match code {
            3_435 => "feet-us".to_owned(),
            code => format!("EPSG:{code}"),
        };
        for with_number in [true, false] {
            if !with_number {
                told.as_object_mut().unwrap().remove("id");
            }
            let crs = Crs::projjson(&told).unwrap();
            if code == 4_326 {
                assert_eq!(crs.degrees(-93.5, 43.5), Some([-93.5, 43.5]));
            } else {
                assert_agrees(&crs, &grid);
            }
        }
    }
    for code in [26_715, 3_857] {
        let told: Value = serde_json::from_str(&text(&format!("wkt-not-{code}.json"))).unwrap();
        assert!(Crs::projjson(&told).is_err());
    }
    for odd in ["null", "{}", "7", r#"{"type": "ProjectedCRS"}"#] {
        assert!(Crs::projjson(&serde_json::from_str(odd).unwrap()).is_err());
    }
}

#[test]
fn degrees_are_degrees_in_every_dialect() {
    for code in [4326, 4269] {
        for dialect in ["wkt1", "wkt_esri", "wkt2"] {
            let told = Crs::wkt(&text(&format!("wkt-{code}-{dialect}.txt"))).unwrap();
            assert_eq!(told.degrees(-93.5, 43.5), Some([-93.5, 43.5]));
            assert_eq!(told.note().is_some(), code == 4269, "{:?}", told.note());
        }
    }
    assert_eq!(
        Crs::named("urn:ogc:def:crs:OGC:1.3:CRS84").unwrap(),
        Crs::wgs_84()
    );
}

#[test]
fn what_is_not_read_is_refused_by_name() {
    for (code, wanted) in [
        (26_715, "North American Datum 1927"),
        (4_267, "North American Datum 1927"),
        (3_857, "Pseudo Mercator"),
        (27_700, "Airy"),
        (2_154, "Lambert"),
        (26_992, "Lambert"),
    ] {
        let why = Crs::wkt(&text(&format!("wkt-not-{code}.txt")))
            .unwrap_err()
            .to_string();
        assert!(
            why.contains(wanted) && why.contains("EPSG:4326") && !why.contains('\n'),
            "{why}"
        );
        let why = Crs::epsg(code).unwrap_err().to_string();
        assert!(why.contains(&format!("EPSG:{code}")), "{why}");
    }
    let utm = text("wkt-32615-wkt_esri.txt");
    for (from, to, wanted) in [
        ("\"Meter\",1.0", "\"Foot\",1.0", "in the unit 'Foot' of 1 m"),
        (
            "\"Meter\",1.0",
            "\"Meter\",0.3048",
            "in the unit 'Meter' of 0.3048 m",
        ),
        ("\"Meter\",1.0", "\"Kilometer\",1000.0", "of 1000 m"),
        (
            "\"Greenwich\",0.0",
            "\"Paris\",2.337",
            "from the meridian of 'Paris'",
        ),
        (
            "\"Scale_Factor\",0.9996",
            "\"Scale_Factor\",99.0",
            "make no grid",
        ),
        (
            "\"Central_Meridian\"",
            "\"Azimuth\"",
            "with the parameter 'azimuth'",
        ),
    ] {
        assert!(utm.contains(from), "{from}");
        let why = Crs::wkt(&utm.replace(from, to)).unwrap_err().to_string();
        assert!(why.contains(wanted), "{why}");
    }
    for broken in [
        "",
        "PROJCS",
        "PROJCS[",
        "7[1]",
        "hello world",
        "GEOGCS[\"a\"]",
    ] {
        assert!(Crs::wkt(broken).is_err(), "{broken}");
    }
    assert!(Crs::wkt(&"A[".repeat(50_000)).is_err());
    for name in ["", "EPSG:x", "26915", "urn:ogc:def:crs:IGNF::1"] {
        assert!(Crs::named(name).is_err(), "{name}");
    }
}

#[test]
fn positions_elsewhere_are_not_taken() {
    let zone = Crs::epsg(32_615).unwrap();
    let [x, y] = [421_310.5, 4_862_343.5];
    assert!(zone.degrees(x, y).is_some());
    for (x, y) in [
        (-93.98, 43.91),          // degrees
        (y, x),                   // swapped
        (x / 0.3048, y / 0.3048), // feet
        (x, 12_000_000.0),        // beyond the pole
        (f64::NAN, y),
        (f64::INFINITY, y),
    ] {
        assert_eq!(zone.degrees(x, y), None, "{x} {y}");
    }
    assert_eq!(Crs::wgs_84().degrees(43.9, -93.9), None);
    assert_eq!(Crs::wgs_84().degrees(266.0, 43.9), Some([-94.0, 43.9]));
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in "[A-Z0-9\\[\\](),\"\\. ]{0,120}") {
        let _ = Crs::wkt(&text);
        let _ = Crs::named(&text);
    }

    #[test]
    fn any_change_of_a_text_is_read_or_refused(at in 0_usize..485, with in any::<char>()) {
        let mut told = text("wkt-32615-wkt_esri.txt");
        if told.is_char_boundary(at) && told.is_char_boundary(at + 1) {
            told.replace_range(at..=at, &with.to_string());
        }
        if let Ok(crs) = Crs::wkt(&told) {
            let _ = crs.degrees(421_310.5, 4_862_343.5);
        }
    }
}
