//! A field driven back and forth, north and south, by a machine without delay, whose yield is given.

use numeric::stream::Stream;
use track::clean::Known;
use track::{LocalFrame, RawPoint, Track};

pub(crate) const SWATH_M: f64 = 9.0;
pub(crate) const SPEED_M_S: f64 = 2.0;

/// The field's south-west corner, degrees.
const CORNER: (f64, f64) = (-93.5, 42.0);

/// Degrees of a place in meters from the corner.
pub(crate) fn degrees(at: (f64, f64)) -> (f64, f64) {
    LocalFrame::at(CORNER.0, CORNER.1).degrees(at.0, at.1)
}

/// A log of passes side by side from the west; `dry_kg_m2` is the yield at a place, which each record takes the mean
/// of across its swath. Every reading is off by a twentieth or so.
pub(crate) fn drive(
    passes: u32,
    long_m: f64,
    seed: u64,
    dry_kg_m2: impl Fn(f64, f64) -> f64,
) -> Track {
    const ACROSS: u32 = 18;
    let mut stream = Stream::new(seed, "driven", 0);
    let mut points = Vec::new();
    let mut time = 0.0;
    let steps = (long_m / SPEED_M_S) as u32;
    for pass in 0..passes {
        for step in 0..steps {
            let along = (f64::from(step) + 1.0) * SPEED_M_S;
            let northward = pass % 2 == 0;
            let (y, middle) = if northward {
                (along, along - 0.5 * SPEED_M_S)
            } else {
                (long_m - along, long_m - along + 0.5 * SPEED_M_S)
            };
            let west = f64::from(pass) * SWATH_M;
            let across = |k: u32| west + (f64::from(k) + 0.5) / f64::from(ACROSS) * SWATH_M;
            let mean = (0..ACROSS)
                .map(|k| dry_kg_m2(across(k), middle))
                .sum::<f64>()
                / f64::from(ACROSS);
            let read = mean * (1.0 + 0.05 * stream.normal());
            let at = degrees((west + 0.5 * SWATH_M, y));
            time += 1.0;
            points.push(RawPoint {
                moisture: Some(0.155),
                time_s: Some(time),
                pass: Some(pass),
                ..RawPoint::new(
                    points.len() as u64 + 2,
                    at.0,
                    at.1,
                    read * SWATH_M * SPEED_M_S,
                    1.0,
                    SPEED_M_S,
                )
            });
        }
        time += 20.0;
    }
    Track::of(points)
}

/// What is known of it.
pub(crate) fn known(passes: u32, long_m: f64) -> Known {
    let wide = f64::from(passes) * SWATH_M;
    let ring = [(0.0, 0.0), (wide, 0.0), (wide, long_m), (0.0, long_m)];
    Known {
        swath_m: SWATH_M,
        boundary: vec![ring.map(degrees).to_vec()],
        base_moisture: 0.155,
        moisture_if_unmeasured: Some(0.155),
        delay_s: Some(0.0),
        seed: 1,
        ..Known::default()
    }
}

/// Soil that rises and falls by a tenth over some tens of meters.
pub(crate) fn soil(x: f64, y: f64) -> f64 {
    1.0 + 0.06 * (x / 37.0 + 1.0).sin() * (y / 53.0).cos() + 0.04 * (y / 29.0 + x / 61.0).sin()
}
