//! The transverse Mercator grid against PROJ (`reference/proj`), and there and back.

use proptest::prelude::*;
use serde_json::Value;
use track::{Ellipsoid, Grid, TransverseMercator};

const NEAR_M: f64 = 1e-4;
const NEAR_DEG: f64 = 1e-9;

fn ellipsoid(name: &str) -> Ellipsoid {
    match name {
        "WGS84" => Ellipsoid::WGS_84,
        "GRS80" => Ellipsoid::GRS_1980,
        other => panic!("no ellipsoid {other}"),
    }
}

#[test]
fn grids_agree_with_proj() {
    let grids: Vec<Value> =
        serde_json::from_str(include_str!("../../../reference/proj/expected.json")).unwrap();
    let (mut count, mut worst_m, mut worst_deg) = (0, 0.0_f64, 0.0_f64);
    for told in &grids {
        let number = |key: &str| told[key].as_f64().unwrap();
        let grid = TransverseMercator::new(Grid {
            ellipsoid: ellipsoid(told["ellipsoid"].as_str().unwrap()),
            central_deg: number("central_deg"),
            origin_deg: number("origin_deg"),
            scale: number("scale"),
            false_easting_m: number("false_easting_m"),
            false_northing_m: number("false_northing_m"),
        });
        let unit = number("meters_per_unit");
        for row in told["positions"].as_array().unwrap() {
            let at = |i: usize| row[i].as_f64().unwrap();
            let (east, north) = grid.forward(at(0), at(1));
            worst_m = worst_m
                .max((east - at(2) * unit).abs())
                .max((north - at(3) * unit).abs());
            let (longitude, latitude) = grid.inverse(at(2) * unit, at(3) * unit);
            let turn = (longitude - at(0) + 540.0).rem_euclid(360.0) - 180.0;
            worst_deg = worst_deg.max(turn.abs()).max((latitude - at(1)).abs());
            count += 1;
        }
    }
    println!("{count} positions: {worst_m:e} m, {worst_deg:e} degrees");
    assert_eq!(count, 7 * 64);
    assert!(worst_m < NEAR_M, "{worst_m} m");
    assert!(worst_deg < NEAR_DEG, "{worst_deg} degrees");
}

#[test]
fn a_pole_is_a_pole() {
    let zone = TransverseMercator::utm(15, false);
    for latitude in [90.0, -90.0] {
        let (east, north) = zone.forward(-93.0, latitude);
        assert!((east - 500_000.0).abs() < 1e-6);
        let (_, back) = zone.inverse(east, north);
        assert!((back - latitude).abs() < 1e-9, "{back}");
    }
}

proptest! {
    #[test]
    fn there_and_back(
        zone in 1_u8..=60,
        south in any::<bool>(),
        east_deg in -20.0..20.0_f64,
        latitude in -89.0..89.0_f64,
    ) {
        let grid = TransverseMercator::utm(zone, south);
        let longitude = (6.0 * f64::from(zone) - 183.0 + east_deg + 540.0).rem_euclid(360.0) - 180.0;
        let (east, north) = grid.forward(longitude, latitude);
        let (back, level) = grid.inverse(east, north);
        let turn = (back - longitude + 540.0).rem_euclid(360.0) - 180.0;
        // a degree of longitude is short near the poles
        prop_assert!((turn * latitude.to_radians().cos()).abs() < NEAR_DEG, "{turn}");
        prop_assert!((level - latitude).abs() < NEAR_DEG);
    }

    #[test]
    fn any_meters_give_numbers_on_the_earth(east in -1e8..1e8_f64, north in -1e8..1e8_f64) {
        let (longitude, latitude) = TransverseMercator::utm(31, false).inverse(east, north);
        let on_earth = longitude.abs() <= 180.0 && latitude.abs() <= 90.0;
        prop_assert!(on_earth || longitude.is_nan() || latitude.is_nan());
    }
}
