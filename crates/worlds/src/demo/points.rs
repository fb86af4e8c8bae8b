//! Raw points of one field: the combine driven up and down it, its sensor late and its log not clean.

use super::DemoField;
use super::ground::{POINTS_FIELD, STILE_M, corner};
use crate::mistake::Truth;
use crate::paper::Record;
use crate::scribe::Combine;
use numeric::stream::Stream;
use std::f64::consts::PI;
use std::fmt::Write as _;

/// Seconds a record covers.
const RECORD_S: f64 = 3.0;
/// A six-row head on 30-inch rows, m.
const SWATH_M: f64 = 4.572;
/// Records from the head to the sensor, and how the grain is smeared over the next ones.
const LATE: usize = 3;
const SMEAR: [f64; 3] = [0.25, 0.5, 0.25];
/// Records of a turn: long enough for the last grain to reach the sensor.
const TURN: usize = 6;
const LB_PER_KG: f64 = 1.0 / 0.453_592_37;

struct Spot {
    east_m: f64,
    north_m: f64,
    moved_m: f64,
    /// Relative yield times area; nothing on a turn.
    grain: f64,
    head_down: bool,
}

/// Name and text of the points file. Flow times time over all good rows adds up to what the field
/// truly gave over the monitor's factor.
pub(super) fn log(
    seed: u64,
    fields: &[DemoField],
    combine: &Combine,
    paper: &Record,
    truth: &Truth,
) -> (String, String) {
    let mut stream = Stream::new(seed, "demo points", 0);
    let crop = fields
        .iter()
        .find(|f| f.id == POINTS_FIELD)
        .map_or("corn", |f| f.crop.as_str());
    let k = combine.factors.get(crop).copied().unwrap_or(1.0);
    let (mut wet_lb, mut water_lb) = (0.0, 0.0);
    for slip in paper.slips.iter().filter(|s| s.from == [POINTS_FIELD]) {
        let dry = truth.dry_lb.get(&slip.id).copied().unwrap_or(0.0);
        let moisture = truth.moisture_pct.get(&slip.id).copied().unwrap_or(0.0) / 100.0;
        wet_lb += dry / (1.0 - moisture);
        water_lb += dry * moisture / (1.0 - moisture);
    }
    let offset = truth.offsets.get(&combine.meter).copied().unwrap_or(0.0);
    let moisture = 100.0 * water_lb / wet_lb.max(1.0) + offset;
    let path = drive(&mut stream);
    let total: f64 = path.iter().map(|spot| spot.grain).sum();
    let mut sensed = vec![0.0; path.len()];
    for (at, spot) in path.iter().enumerate() {
        for (later, share) in SMEAR.into_iter().enumerate() {
            if let Some(flow) = sensed.get_mut(at + LATE + later) {
                *flow += share * spot.grain / total * wet_lb / k;
            }
        }
    }
    let mut text = String::from(
        "Record,Lon(deg),Lat(deg),Head,Flow(kg/s),Moisture(%),Speed(m/s),Distance(m),Interval(s)\n",
    );
    for (at, (spot, lb)) in path.iter().zip(&sensed).enumerate() {
        let here = corner(
            spot.east_m + 0.15 * stream.normal(),
            spot.north_m + 0.15 * stream.normal(),
        );
        let wet = moisture + 0.5 * stream.normal();
        let _ = writeln!(
            text,
            "{},{:.7},{:.7},{},{:.5},{:.1},{:.2},{:.2},{RECORD_S}",
            at + 1,
            here.lon,
            here.lat,
            if spot.head_down { "down" } else { "up" },
            lb / LB_PER_KG / RECORD_S,
            wet,
            spot.moved_m / RECORD_S,
            spot.moved_m,
        );
        if let Some(row) = bad_row(at, path.len()) {
            text.push_str(row);
        }
    }
    ("stile-piece-points.csv".to_owned(), text)
}

/// What a log has in it that is no point.
fn bad_row(at: usize, rows: usize) -> Option<&'static str> {
    match (at * 7).checked_div(rows)? {
        part if at != (part * rows).div_ceil(7) || part == 0 => None,
        1 => Some("restart,,,,,,,,\n"),
        2 => Some("0,-90.8400000,44.0490000,down,NaN,18.2,1.80,5.40,3\n"),
        4 => Some("0,-90.8400000,44.0490000,down,-4.10000,18.2,1.80,5.40,3\n"),
        5 => Some("0,-90.8400000,44.0490000,down,1e308,18.2,1.80,5.40,3\n"),
        6 => Some("0,-90.84,44\n"),
        _ => None,
    }
}

/// Up and down the field, south to north, a turn after each pass.
fn drive(stream: &mut Stream) -> Vec<Spot> {
    let [west, south, east, north] = STILE_M;
    let passes = ((north - south) / SWATH_M).round() as usize;
    let mut path = Vec::new();
    for pass in 0..passes {
        let line = south + (pass as f64 + 0.5) * SWATH_M;
        let eastward = pass % 2 == 0;
        let mut along = 0.0;
        while along < east - west - 0.5 {
            let speed = (1.8 + 0.12 * stream.normal()).clamp(1.3, 2.3);
            let moved = (speed * RECORD_S).min(east - west - along);
            along += moved;
            let place = if eastward { west + along } else { east - along };
            path.push(Spot {
                east_m: place,
                north_m: line,
                moved_m: moved,
                grain: moved * SWATH_M * yield_at(place - west, line - south),
                head_down: true,
            });
        }
        let end = if eastward { east } else { west };
        for step in 1..=TURN {
            let turn = step as f64 / TURN as f64;
            let out = 7.0 * (turn * PI).sin();
            path.push(Spot {
                east_m: if eastward { end + out } else { end - out },
                north_m: line + turn * SWATH_M,
                moved_m: 2.6,
                grain: 0.0,
                head_down: false,
            });
        }
    }
    path
}

/// Relative yield: a wet hollow, a gravel spot, and a tree line along the south.
fn yield_at(east_m: f64, north_m: f64) -> f64 {
    let bump = |x: f64, y: f64, size: f64| {
        (-((east_m - x).powi(2) + (north_m - y).powi(2)) / (2.0 * size * size)).exp()
    };
    let trees = 0.35 * (-north_m / 9.0).exp();
    let swell = 0.08 * (east_m / 60.0).sin() + 0.05 * (north_m / 35.0).cos();
    (1.0 + swell - 0.55 * bump(150.0, 110.0, 22.0) - 0.30 * bump(60.0, 60.0, 30.0) - trees).max(0.1)
}
