//! Printed numbers of capacity, worked again. READ: the source was read; CALC: arithmetic on it.

use machine::capacity::{ha_per_h, hours_left, speed_by_stakes};

const MPH: f64 = 0.447_04;
const FT: f64 = 0.304_8;
const AC: f64 = 0.404_685_642_24;

fn ac_per_h(mph: f64, ft: f64, share: f64) -> f64 {
    ha_per_h(mph * MPH, ft * FT, share).expect("good figures") / AC
}

/// Iowa State University PM 696 (2001) and AgDM A3-24, rows of the table: READ.
#[test]
fn acres_an_hour() {
    for (mph, ft, share, worked, printed) in [
        (6.0, 40.0, 0.70, 20.36, 20.4),
        (6.0, 60.0, 0.68, 29.67, 29.7),
        (12.0, 60.0, 0.68, 59.35, 59.3),
        (12.0, 80.0, 0.68, 79.13, 79.1),
        (5.0, 15.0, 0.63, 5.73, 5.7),
        (5.0, 7.0 * 16.0 / 12.0, 0.85, 4.81, 4.8),
        (5.5, 11.25, 0.85, 6.38, 6.4),
        (5.5, 16.25, 0.83, 8.99, 9.0),
    ] {
        let found = ac_per_h(mph, ft, share);
        assert!((found - worked).abs() < 0.006, "{found} {worked}");
        assert!((found - printed).abs() < 0.06, "{found} {printed}");
    }
}

/// The same in metric: km/h x m x efficiency / 10 (CALC).
#[test]
fn hectares_an_hour() {
    let found = ha_per_h(8.0 / 3.6, 9.0, 0.75).unwrap();
    assert!((found - 8.0 * 9.0 * 0.75 / 10.0).abs() < 1e-12);
}

/// AgDM A3-24: stakes 88 ft apart, 12 seconds are 5 mph (READ).
#[test]
fn speed_between_stakes() {
    let found = speed_by_stakes(88.0 * FT, 12.0).unwrap() / MPH;
    assert!((found - 5.0).abs() < 1e-9);
    // 100 feet is another stretch, and would not say 5
    assert!((speed_by_stakes(100.0 * FT, 12.0).unwrap() / MPH - 5.0).abs() > 0.5);
}

/// Eight rows of 30 inches at 3.5 mph and 70 %, 180 bu/ac, a 300-bushel tank (CALC).
#[test]
fn bushels_an_hour_and_a_tank() {
    let acres = ac_per_h(3.5, 20.0, 0.70);
    assert!((acres - 5.939).abs() < 5e-4);
    assert!((acres * 180.0 - 1_069.0).abs() < 0.1);
    assert!((300.0 / (acres * 180.0) * 60.0 - 16.8).abs() < 0.1);
}

/// 640 acres at 5.94 an hour, 8 hours on 62 % of the days (CALC).
#[test]
fn days_to_the_end() {
    let hours = hours_left(640.0 * AC, 5.94 * AC).unwrap();
    assert!((hours / (8.0 * 0.62) - 21.7).abs() < 0.1);
}
