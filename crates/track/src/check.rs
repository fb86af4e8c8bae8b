//! Records and files that cannot be right, flagged and kept.

use crate::{CropBasis, Done, Finding, FindingKind, LocalFrame, M2_PER_AC, RawPoint};

/// Ground speeds that a combine cuts at, m/s: 0.3 to 4.5 (0.7 to 10 mph); common practice, no source.
const SPEED_M_S: (f64, f64) = (0.3, 4.5);
/// Wet yields that a grain crop makes over a whole field, kg/m2: 0.1 to 30 t/ha; common practice, no source.
const YIELD_KG_M2: (f64, f64) = (0.01, 3.0);
/// Logged distance over distance between positions, outside which a unit is likely wrong.
const DISTANCE_RATIO: (f64, f64) = (0.5, 2.0);
/// Fewest records from which a whole file is judged.
const FEWEST: usize = 20;
/// About how many records the units of a whole file are judged from, evenly spread.
const SAMPLE: usize = 10_000;

/// Flags clocks that run backwards, records written twice, and units that give a speed, a yield
/// or a distance that no combine makes. Nothing is dropped: mass stays where it is.
///
/// Pounds read as kilograms give 2.2 times the yield, which can be a fair crop: that mistake is
/// not caught here; only a scale ticket catches it.
pub fn implausible(points: &[RawPoint], swath_m: f64, basis: &CropBasis) -> Vec<Finding> {
    let mut found = Vec::new();
    for pair in points.windows(2) {
        let (before, now) = (&pair[0], &pair[1]);
        if let (Some(a), Some(b)) = (before.time_s, now.time_s)
            && b < a
        {
            found.push(kept(
                now.row,
                FindingKind::ClockBackwards,
                format!("clock went back from {a} s to {b} s"),
            ));
        }
        if (RawPoint { row: 0, ..*before }) == (RawPoint { row: 0, ..*now }) && now.time_s.is_some()
        {
            found.push(kept(
                now.row,
                FindingKind::Repeated,
                "same time, place and mass as the record before".into(),
            ));
        }
    }
    whole_file(points, swath_m, basis, &mut found);
    found
}

fn whole_file(points: &[RawPoint], swath_m: f64, basis: &CropBasis, found: &mut Vec<Finding>) {
    let every = points.len() / SAMPLE + 1;
    let mut speeds: Vec<f64> = points
        .iter()
        .step_by(every)
        .filter_map(RawPoint::speed_m_s)
        .filter(|v| *v > 0.0)
        .collect();
    if speeds.len() >= FEWEST {
        let speed = median(&mut speeds);
        if !within(speed, SPEED_M_S) {
            found.push(warned(
                FindingKind::ImplausibleSpeed,
                format!(
                    "median speed is {speed:.3} m/s ({:.2} mph), expected 0.3 to 4.5 m/s: check the units of distance and interval (feet and inches differ 12 times)",
                    speed / 0.447_04
                ),
            ));
        }
    }
    if points.len() < FEWEST {
        return;
    }
    let mut yields: Vec<f64> = points
        .iter()
        .step_by(every)
        .map(|p| (p.mass_kg, p.area_m2(swath_m)))
        .filter(|(kg, m2)| *kg > 0.0 && *m2 > 0.0)
        .map(|(kg, m2)| kg / m2)
        .collect();
    if yields.len() >= FEWEST {
        let wet = median(&mut yields);
        if !within(wet, YIELD_KG_M2) {
            let bushels = wet * M2_PER_AC / crate::KG_PER_LB / basis.lb_per_bu;
            found.push(warned(
                FindingKind::ImplausibleYield,
                format!(
                    "median yield is {bushels:.4} wet bushels of {} lb an acre as cut, beyond any grain crop: check the units of mass, distance and swath",
                    basis.lb_per_bu
                ),
            ));
        }
    }
    let frame = LocalFrame::at(points[0].longitude_deg, points[0].latitude_deg);
    let mut ratios: Vec<f64> = points
        .windows(2)
        .step_by(every)
        .filter_map(|pair| {
            let (a, b) = (
                frame.xy(pair[0].longitude_deg, pair[0].latitude_deg),
                frame.xy(pair[1].longitude_deg, pair[1].latitude_deg),
            );
            let moved = (b.0 - a.0).hypot(b.1 - a.1);
            (moved > 0.2).then(|| pair[1].distance_m / moved)
        })
        .collect();
    if ratios.len() >= FEWEST {
        let ratio = median(&mut ratios);
        if !within(ratio, DISTANCE_RATIO) {
            found.push(warned(
                FindingKind::ImplausibleDistance,
                format!("logged distances are {ratio:.3} times the distances between positions, expected about 1: check the unit of distance"),
            ));
        }
    }
}

fn within(value: f64, (low, high): (f64, f64)) -> bool {
    (low..=high).contains(&value)
}

fn median(values: &mut [f64]) -> f64 {
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

fn kept(row: u64, kind: FindingKind, what: String) -> Finding {
    Finding {
        row: Some(row),
        byte: None,
        kind,
        what,
        done: Done::Kept,
        mass_kg: None,
    }
}

fn warned(kind: FindingKind, what: String) -> Finding {
    Finding {
        row: None,
        byte: None,
        kind,
        what,
        done: Done::Warned,
        mass_kg: None,
    }
}
