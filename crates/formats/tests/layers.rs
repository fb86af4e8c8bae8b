//! One set of points in the formats of another writer (`reference/gdal-vector`): every format gives the
//! points that delimited text gives.

use formats::delimited::{self, ColumnOverride, ReadOptions};
use formats::points::{Form, Parts, PointsRead, Unpacked, read, told_by, unpacked};
use proptest::prelude::*;
use std::path::PathBuf;
use track::{FindingKind, RawPoint, Sum, Track};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../reference/gdal-vector")
}

fn parts(name: &str) -> Parts {
    Parts::at(&folder().join(name), name).expect("a file of reference/")
}

fn points(name: &str) -> PointsRead {
    read(&parts(name), name, &ReadOptions::default()).expect("a file of reference/")
}

fn from_csv() -> Track {
    let text = std::fs::read(folder().join("points.csv")).expect("a file of reference/");
    delimited::read_bytes(&text, "points.csv", &ReadOptions::default())
        .expect("a file of reference/")
        .track
}

/// The same but for the number of its row, and a position to within `near_deg`.
fn assert_same(name: &str, point: &RawPoint, expected: &RawPoint, near_deg: f64) {
    assert!(
        (point.longitude_deg - expected.longitude_deg).abs() <= near_deg
            && (point.latitude_deg - expected.latitude_deg).abs() <= near_deg,
        "{name}: {point:?} {expected:?}"
    );
    let here = RawPoint {
        row: expected.row,
        longitude_deg: expected.longitude_deg,
        latitude_deg: expected.latitude_deg,
        ..*point
    };
    assert_eq!(here, *expected, "{name}");
}

#[test]
fn every_format_gives_the_same_points() {
    let expected = from_csv();
    let sum = |track: &Track, of: fn(&RawPoint) -> f64| -> Sum {
        let all: Sum = track.points.iter().map(of).collect();
        all
    };
    // degrees come back exactly, map grids to the last digits that the file has
    for (name, form, near_deg, in_order) in [
        ("points.shp", Form::Shapefile, 0.0, true),
        ("points-z.shp", Form::Shapefile, 0.0, true),
        ("points-m.shp", Form::Shapefile, 0.0, true),
        ("points-utm.shp", Form::Shapefile, 1e-11, true),
        ("points-feet.shp", Form::Shapefile, 1e-11, true),
        ("points.geojson", Form::GeoJson, 0.0, true),
        ("points-old.geojson", Form::GeoJson, 1e-11, true),
        ("points.gpkg", Form::GeoPackage, 0.0, true),
        ("points-utm.gpkg", Form::GeoPackage, 1e-11, true),
        ("points.fgb", Form::FlatGeobuf, 0.0, false),
        ("points-order.fgb", Form::FlatGeobuf, 0.0, true),
        ("points-utm.fgb", Form::FlatGeobuf, 1e-11, false),
        (
            "../geoparquet/points-wkb.parquet",
            Form::GeoParquet,
            0.0,
            true,
        ),
        (
            "../geoparquet/points-native.parquet",
            Form::GeoParquet,
            0.0,
            true,
        ),
        (
            "../geoparquet/points-utm.parquet",
            Form::GeoParquet,
            1e-11,
            true,
        ),
        (
            "../geoparquet/points-feet.parquet",
            Form::GeoParquet,
            1e-11,
            true,
        ),
        (
            "../geoparquet/points-zstd.parquet",
            Form::GeoParquet,
            0.0,
            true,
        ),
    ] {
        let got = points(name);
        assert_eq!(got.form, form, "{name}");
        assert_eq!(got.track.points.len(), 60, "{name}");
        assert_eq!(got.track.loads, expected.loads, "{name}");
        assert!(got.track.conserved() && got.track.rows_read == 60, "{name}");
        for (i, (point, wanted)) in got.track.points.iter().zip(&expected.points).enumerate() {
            assert_same(name, point, wanted, near_deg);
            assert!(!in_order || point.row == i as u64 + 1, "{name}");
        }
        for of in [
            (|p| p.mass_kg) as fn(&RawPoint) -> f64,
            |p| p.distance_m,
            |p| p.moisture.unwrap(),
        ] {
            assert_eq!(
                sum(&got.track, of).value(),
                sum(&expected, of).value(),
                "{name}"
            );
        }
    }
}

#[test]
fn null_shapes_are_set_aside_and_deleted_rows_left_out() {
    let got = points("holes.shp");
    assert_eq!((got.track.points.len(), got.track.rows_read), (57, 58));
    assert!(got.track.conserved());
    let finding = &got.track.findings.shown()[0];
    assert_eq!((finding.kind, finding.row), (FindingKind::Empty, Some(4)));
    assert!(finding.mass_kg.is_some());
    assert!(
        got.notes
            .iter()
            .any(|note| note == "2 rows are marked as deleted and were left out"),
        "{:?}",
        got.notes
    );
}

#[test]
fn what_is_assumed_is_said() {
    let note = |name: &str, wanted: &str| {
        let notes = points(name).notes;
        assert!(notes.iter().any(|note| note.contains(wanted)), "{notes:?}");
    };
    note("points-old.geojson", "positions in NAD83 taken as WGS 84");
    note("points-feet.shp", "D_North_American_1983 taken as WGS 84");
    let bytes = |end: &str| std::fs::read(folder().join(format!("points.{end}"))).unwrap();
    let bare = Parts::with(bytes("shp"), [("x.dbf".to_owned(), bytes("dbf"))]);
    let got = read(&bare, "x", &ReadOptions::default()).unwrap();
    assert!(
        got.notes[0].contains("says no coordinate system"),
        "{:?}",
        got.notes
    );
    assert_eq!(got.track.points.len(), 60);
}

#[test]
fn columns_are_said_by_hand_as_for_text() {
    let options = |said: &str| ReadOptions {
        columns: vec![ColumnOverride::parse(said).unwrap()],
        ..ReadOptions::default()
    };
    let got = read(&parts("points.shp"), "p", &options("dist_in=distance ft")).unwrap();
    assert!((got.track.points[0].distance_m - 83.5 * 0.3048).abs() < 1e-12);
    let why = read(&parts("points.shp"), "p", &options("nothing=ft")).unwrap_err();
    assert!(
        why.to_string().contains("found no column 'nothing'"),
        "{why}"
    );
}

/// A Shapefile whose parts may be changed.
fn shapefile(change: impl Fn(&str, &mut Vec<u8>)) -> Parts {
    let part = |end: &str| {
        let mut bytes = std::fs::read(folder().join(format!("points-utm.{end}")))
            .expect("a file of reference/");
        change(end, &mut bytes);
        bytes
    };
    let beside = ["dbf", "prj", "cpg"].map(|end| (format!("p.{end}"), part(end)));
    Parts::with(
        part("shp"),
        beside.into_iter().filter(|(_, bytes)| !bytes.is_empty()),
    )
}

fn refused(parts: &Parts) -> String {
    let why = match read(parts, "p", &ReadOptions::default()) {
        Err(why) => why.to_string(),
        Ok(got) => panic!("{} points were read", got.track.points.len()),
    };
    assert!(!why.contains('\n') && why.starts_with("p: "), "{why}");
    why
}

#[test]
fn wrong_systems_are_refused_in_one_sentence() {
    let with_prj = |text: &str| {
        let prj = std::fs::read(folder().join(text)).unwrap();
        shapefile(move |end, bytes| {
            if end == "prj" {
                bytes.clone_from(&prj);
            }
        })
    };
    for (prj, wanted) in [
        ("wkt-4326-wkt_esri.txt", "they seem to be meters or feet"),
        (
            "wkt-not-26715.txt",
            "on the datum 'North American Datum 1927'",
        ),
        (
            "wkt-not-3857.txt",
            "by the projection 'Popular Visualisation Pseudo Mercator'",
        ),
    ] {
        let why = refused(&with_prj(prj));
        assert!(why.contains(wanted), "{why}");
        assert!(why.contains("EPSG:4326"), "{why}");
    }
    let feet = std::fs::read(folder().join("points-feet.shp")).unwrap();
    let unsaid_feet = shapefile(move |end, bytes| {
        if end == "shp" {
            bytes.clone_from(&feet);
        }
    });
    let why = refused(&unsaid_feet);
    assert!(
        why.contains("may be in another unit, another zone"),
        "{why}"
    );
    let unsaid = shapefile(|end, bytes| {
        if end == "prj" {
            bytes.clear();
        }
    });
    assert!(refused(&unsaid).contains("say which with a .prj file"));
    let swapped = std::fs::read_to_string(folder().join("points.geojson"))
        .unwrap()
        .replace("[ -93.9", "[ 43.9, -93.9");
    let why = refused(&Parts::of(swapped.into_bytes()));
    assert!(why.contains("the two seem swapped"), "{why}");
    // one point out of place is that row's fault alone
    let one = std::fs::read_to_string(folder().join("points.geojson"))
        .unwrap()
        .replacen("[ -93.98", "[ 293900.0", 1);
    let got = read(&Parts::of(one.into_bytes()), "p", &ReadOptions::default()).unwrap();
    assert_eq!(got.track.points.len(), 59);
    assert!(got.track.conserved());
}

#[test]
fn what_breaks_off_is_said() {
    for keep in [0.4, 0.7, 0.99] {
        for end in ["shp", "dbf"] {
            let short = shapefile(|part, bytes| {
                if part == end {
                    bytes.truncate((bytes.len() as f64 * keep) as usize);
                }
            });
            let got = read(&short, "p", &ReadOptions::default()).unwrap();
            assert!(got.track.points.len() < 60 && got.track.conserved());
            assert_eq!(got.track.findings.counts()[&FindingKind::CutShort], 1);
            let strict = ReadOptions {
                strict: true,
                ..ReadOptions::default()
            };
            let why = read(&short, "p", &strict).unwrap_err().to_string();
            assert!(why.contains("breaks off after"), "{why}");
        }
    }
    for end in ["shp", "dbf"] {
        let stub = shapefile(|part, bytes| {
            if part == end {
                bytes.truncate(40);
            }
        });
        // the header of 100 bytes may be there in part, but no record is
        assert!(refused(&stub).contains("found"));
    }
    for (name, from) in [
        ("points.fgb", 200),
        ("points-order.fgb", 900),
        ("points.gpkg", 5_000),
    ] {
        let bytes = std::fs::read(folder().join(name)).unwrap();
        for cut in (from..bytes.len()).step_by(bytes.len() / 9) {
            match read(
                &Parts::of(bytes[..cut].to_vec()),
                "p",
                &ReadOptions::default(),
            ) {
                Err(why) => assert!(!why.to_string().contains('\n'), "{why}"),
                Ok(got) => {
                    assert!(
                        got.track.points.len() < 60 && got.track.conserved(),
                        "{name}"
                    );
                    assert_eq!(got.track.findings.counts()[&FindingKind::CutShort], 1);
                }
            }
        }
    }
    let alone = Parts::of(std::fs::read(folder().join("points.shp")).unwrap());
    assert!(refused(&alone).contains("a Shapefile without its attributes"));
    for cut in [100, 3_000] {
        let text = std::fs::read(folder().join("points.geojson")).unwrap();
        let why = refused(&Parts::of(text[..cut].to_vec()));
        assert!(why.contains("text that is not GeoJSON"), "{why}");
    }
}

#[test]
fn other_kinds_are_refused_by_name() {
    for (name, wanted) in [
        (
            "soil.shp",
            "found a Shapefile of polygons, expected one of points",
        ),
        ("soil.geojson", "found no column for the grain"),
        ("soil.fgb", "found no column for the grain"),
        ("soil.gpkg", "found no column for the grain"),
        (
            "../geopackage/fields.gpkg",
            "found a GeoPackage without a layer of points (fields (multipolygon))",
        ),
    ] {
        let why = refused(&parts(name));
        assert!(why.contains(wanted), "{name}: {why}");
    }
    assert_eq!(told_by(b"long,lat"), None);
    assert!(
        refused(&Parts::of(b"{\"type\": \"Topology\"}".to_vec())).contains("the type 'Topology'")
    );
    assert!(refused(&Parts::of(b"{\"a\": [".to_vec())).contains("not GeoJSON"));
    let deep = format!("{{\"features\":{}", "[".repeat(100_000));
    assert!(refused(&Parts::of(deep.into_bytes())).contains("not GeoJSON"));
}

/// An archive of files, stored as they are.
fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut out = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in files {
        let stored: zip::write::SimpleFileOptions = zip::write::SimpleFileOptions::default();
        out.start_file(*name, stored).expect("a new entry");
        std::io::Write::write_all(&mut out, bytes).expect("in memory");
    }
    out.finish().expect("in memory").into_inner()
}

#[test]
fn archives_hold_one_layer_and_nothing_that_leads_out() {
    let bytes = std::fs::read(folder().join("points.zip")).unwrap();
    let Unpacked::Layer(parts) = unpacked(&bytes, "p").unwrap() else {
        panic!("a layer");
    };
    let got = read(&parts, "p", &ReadOptions::default()).unwrap();
    assert_eq!((got.form, got.track.points.len()), (Form::Shapefile, 60));
    let json = std::fs::read(folder().join("points.geojson")).unwrap();
    let hidden = zipped(&[("a/points.json", &json), ("__MACOSX/a/._points.json", b"x")]);
    assert!(matches!(unpacked(&hidden, "p"), Ok(Unpacked::Layer(_))));
    for (files, wanted) in [
        (
            vec![("a.geojson", &json[..]), ("b.geojson", &json[..])],
            "2 layers (a.geojson, b.geojson)",
        ),
        (vec![("../a.geojson", &json[..])], "which leads out of it"),
        (vec![("notes.txt", b"x")], "without TASKDATA.XML"),
    ] {
        let why = unpacked(&zipped(&files), "p").unwrap_err().to_string();
        assert!(why.contains(wanted), "{why}");
    }
    // four megabytes of blanks in a few kilobytes
    let mut bomb = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let packed: zip::write::SimpleFileOptions = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated);
    bomb.start_file("points.geojson", packed).unwrap();
    std::io::Write::write_all(&mut bomb, &vec![b' '; 4 << 20]).unwrap();
    let bomb = bomb.finish().unwrap().into_inner();
    let why = unpacked(&bomb, "p").unwrap_err().to_string();
    assert!(why.contains("times its packed size"), "{why}");
}

/// The polygons of any bytes are read or refused in one sentence.
fn polygons_or_refused(parts: &Parts) {
    if let Err(why) = formats::polygons::read(parts, "p") {
        assert!(!why.to_string().contains('\n'), "{why}");
    }
}

/// Points of any bytes are read without a row lost, or refused in one sentence.
fn points_or_refused(parts: &Parts) {
    match read(parts, "p", &ReadOptions::default()) {
        Ok(got) => {
            assert!(got.track.conserved());
            for point in &got.track.points {
                assert!(point.longitude_deg.abs() <= 180.0 && point.latitude_deg.abs() <= 90.0);
            }
        }
        Err(why) => assert!(!why.to_string().contains('\n'), "{why}"),
    }
}

/// Bytes with some of them changed.
fn changed(mut bytes: Vec<u8>, changes: &[(f64, u8)], head: bool) -> Vec<u8> {
    let span = if head {
        bytes.len().min(1_500)
    } else {
        bytes.len()
    };
    for (place, byte) in changes {
        let at = (place * span as f64) as usize;
        if let Some(there) = bytes.get_mut(at) {
            *there = *byte;
        }
    }
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_change_of_a_file_is_read_or_refused(
        name in prop::sample::select(vec![
            "points.fgb", "points-order.fgb", "points.geojson", "points-old.geojson", "points.gpkg",
            "soil.fgb", "soil.geojson", "soil.gpkg", "points.zip", "../geoparquet/points-wkb.parquet",
            "../geoparquet/points-utm.parquet", "../geoparquet/points-zstd.parquet", "../geoparquet/soil.parquet",
        ]),
        changes in prop::collection::vec((0.0..1.0_f64, any::<u8>()), 1..8),
        head in any::<bool>(),
    ) {
        let bytes = changed(std::fs::read(folder().join(name)).unwrap(), &changes, head);
        if let Ok(Unpacked::Layer(parts)) = unpacked(&bytes, "p") {
            points_or_refused(&parts);
        }
        let parts = Parts::of(bytes);
        points_or_refused(&parts);
        polygons_or_refused(&parts);
    }

    #[test]
    fn any_change_of_a_shapefile_is_read_or_refused(
        stem in prop::sample::select(vec!["points", "points-z", "points-utm", "holes", "soil"]),
        changes in prop::collection::vec((0.0..1.0_f64, any::<u8>()), 1..8),
        which in 0_usize..3,
        head in any::<bool>(),
    ) {
        let ends = ["shp", "dbf", "prj"];
        let [shp, dbf, prj] = std::array::from_fn(|i| {
            let bytes = std::fs::read(folder().join(format!("{stem}.{}", ends[i]))).unwrap();
            if i == which { changed(bytes, &changes, head) } else { bytes }
        });
        let parts = Parts::with(shp, [("p.dbf".to_owned(), dbf), ("p.prj".to_owned(), prj)]);
        points_or_refused(&parts);
        polygons_or_refused(&parts);
    }
}
