//! Outlines with attributes in the formats of another writer (`reference/gdal-vector`), and a real soil
//! survey where it is at hand.

use formats::polygons::{Form, Parts, PolygonLayer, read};
use std::path::{Path, PathBuf};

fn layer(name: &str) -> PolygonLayer {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../reference/gdal-vector");
    let parts = Parts::at(&folder.join(name), name).expect("a file of reference/");
    read(&parts, name).expect("a layer of polygons")
}

/// Corners of a ring from its least one on, in the direction that is counterclockwise, each to 1e-9.
fn normal(ring: &[[f64; 2]]) -> Vec<[i64; 2]> {
    let mut corners: Vec<[i64; 2]> = ring[1..]
        .iter()
        .map(|corner| corner.map(|degrees| (degrees * 1e9).round() as i64))
        .collect();
    let twice: f64 = ring
        .windows(2)
        .map(|p| (p[0][0] + 94.0) * (p[1][1] - 43.9) - (p[1][0] + 94.0) * (p[0][1] - 43.9))
        .sum();
    if twice < 0.0 {
        corners.reverse();
    }
    let least = (0..corners.len())
        .min_by_key(|i| corners[*i])
        .expect("a ring has corners");
    corners.rotate_left(least);
    corners
}

/// The rings of each feature without order among its polygons, outer rings first.
fn rings(layer: &PolygonLayer) -> Vec<Vec<Vec<Vec<[i64; 2]>>>> {
    let feature = |one: &formats::polygons::Polygons| {
        let polygons = one.shape.polygons().iter();
        let mut all: Vec<Vec<_>> = polygons
            .map(|polygon| polygon.iter().map(|ring| normal(ring)).collect())
            .collect();
        all.sort();
        all
    };
    layer.features.iter().map(feature).collect()
}

#[test]
fn every_format_gives_the_same_outlines() {
    let wanted = layer("soil.geojson");
    assert_eq!(wanted.features.len(), 3);
    for (name, form) in [
        ("soil.shp", Form::Shapefile),
        ("soil.gpkg", Form::GeoPackage),
        ("soil.fgb", Form::FlatGeobuf),
        ("../geoparquet/soil.parquet", Form::GeoParquet),
    ] {
        let got = layer(name);
        assert_eq!(got.form, form);
        assert!(got.findings.is_empty(), "{name}: {:?}", got.findings);
        let mut told: Vec<_> = got.features.iter().zip(rings(&got)).collect();
        let mut known: Vec<_> = wanted.features.iter().zip(rings(&wanted)).collect();
        // a spatial index may have put them in another order
        told.sort_by_key(|(one, _)| one.attribute("MUSYM").map(str::to_owned));
        known.sort_by_key(|(one, _)| one.attribute("MUSYM").map(str::to_owned));
        for ((one, rings), (other, known)) in told.into_iter().zip(known) {
            assert_eq!(rings, known, "{name}");
            assert_eq!(one.name, other.name, "{name}");
            assert_eq!(one.attribute("musym"), other.attribute("MUSYM"), "{name}");
            let slope = |of: &formats::polygons::Polygons| -> f64 {
                let text = of.attribute("slope").expect("a slope");
                text.parse().expect("a number")
            };
            assert_eq!(slope(one), slope(other), "{name}");
            assert!((one.shape.area_m2() / other.shape.area_m2() - 1.0).abs() < 1e-9);
        }
    }
}

#[test]
fn points_are_no_polygons() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../reference/gdal-vector");
    for name in ["points.shp", "points.geojson", "points.gpkg", "points.fgb"] {
        let parts = Parts::at(&folder.join(name), name).unwrap();
        let why = read(&parts, name).unwrap_err().to_string();
        assert!(why.contains("polygon") && !why.contains('\n'), "{why}");
    }
}

#[test]
fn a_soil_survey_is_read() {
    let folder = match std::env::var_os("STOOK_TEST_DATA") {
        Some(folder) => PathBuf::from(folder),
        None => Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data"),
    };
    let path = folder.join("soil-map-units.shp");
    if !path.exists() {
        println!("skipped: a_soil_survey_is_read: no soil-map-units.shp; set STOOK_TEST_DATA");
        return;
    }
    let parts = Parts::at(&path, "soil").unwrap();
    let layer = read(&parts, "soil").unwrap();
    assert_eq!((layer.features.len(), layer.findings.len()), (14, 0));
    assert!(
        layer
            .features
            .iter()
            .all(|one| one.attribute("MUSYM").is_some())
    );
    let acres: f64 = layer
        .features
        .iter()
        .map(|one| one.shape.area_m2())
        .sum::<f64>()
        / track::M2_PER_AC;
    let holes: usize = layer
        .features
        .iter()
        .flat_map(|one| one.shape.polygons())
        .map(|polygon| polygon.len() - 1)
        .sum();
    // GDAL 3.6.2: st_area in EPSG:26915 sums to 84.42607 ac, by a scale of 0.999676 on the ground here
    assert!(
        (acres * 0.999_676_f64.powi(2) - 84.42607).abs() < 0.002,
        "{acres} ac"
    );
    assert_eq!(holes, 1);
}
