//! The field as it truly is: boundary, and yield at every place.

use super::{Line, Options, Preset};
use numeric::stream::Stream;
use std::f64::consts::TAU;

/// West to east and south to north, m.
pub(super) const WIDE: f64 = 400.0;
pub(super) const HIGH: f64 = 620.0;
/// How far the east side leans in at the north end, m: what makes the field 55.17 acres.
const SLANT: f64 = 68.31;
/// The waterway's middle at the west side and how it climbs eastward.
const WATER_FROM: f64 = 210.0;
const WATER_CLIMB: f64 = 0.45;
/// Across, m.
const WATER: f64 = 9.0;

/// East edge at a northing.
pub(super) fn east(y: f64) -> f64 {
    WIDE - SLANT * y / HIGH
}

/// Half the waterway's height along north.
fn water_half() -> f64 {
    0.5 * WATER * WATER_CLIMB.hypot(1.0)
}

/// Rings of the field, m: south of the waterway, and north of it.
pub(super) fn rings() -> Vec<Vec<[f64; 2]>> {
    let half = water_half();
    // where the waterway's sides meet the east side: x = WIDE - SLANT y / HIGH, y = from + climb x
    let meets = |from: f64| {
        let x = (WIDE - SLANT * from / HIGH) / (1.0 + SLANT * WATER_CLIMB / HIGH);
        [x, from + WATER_CLIMB * x]
    };
    let (low, high) = (WATER_FROM - half, WATER_FROM + half);
    vec![
        vec![[0.0, 0.0], [WIDE, 0.0], meets(low), [0.0, low]],
        vec![[0.0, high], meets(high), [WIDE - SLANT, HIGH], [0.0, HIGH]],
    ]
}

/// Whether a place is in the field.
pub(super) fn inside(x: f64, y: f64) -> bool {
    x >= 0.0
        && (0.0..=HIGH).contains(&y)
        && x <= east(y)
        && (y - WATER_FROM - WATER_CLIMB * x).abs() >= water_half()
}

/// A stationary normal field of mean 0 and variance 1 with exponential covariance, on a grid of 2 m.
///
/// A sum of cosines with random directions and phases; radial frequencies from the exponential model's spectral
/// density in the plane, `F(k) = 1 - 1 / sqrt(1 + r^2 k^2)`.
struct Rough {
    wide: usize,
    values: Vec<f32>,
}

const STEP: f64 = 2.0;
const MARGIN: f64 = 30.0;
const TERMS: usize = 500;

impl Rough {
    fn new(range_m: f64, stream: &mut Stream) -> Self {
        let waves: Vec<(f64, f64, f64)> = (0..TERMS)
            .map(|_| {
                let k = (1.0 / (1.0 - stream.uniform()).powi(2) - 1.0)
                    .max(0.0)
                    .sqrt()
                    / range_m;
                let (sin, cos) = (TAU * stream.uniform()).sin_cos();
                (k * cos, k * sin, TAU * stream.uniform())
            })
            .collect();
        let wide = ((WIDE + 2.0 * MARGIN) / STEP) as usize + 2;
        let high = ((HIGH + 2.0 * MARGIN) / STEP) as usize + 2;
        let scale = (2.0 / TERMS as f64).sqrt();
        let mut values = vec![0.0_f64; wide * high];
        for (kx, ky, phase) in waves {
            // cos(a + x b) along a row by the recurrence 2 cos b cos(x) - cos(x - b)
            let turn = 2.0 * (kx * STEP).cos();
            for row in 0..high {
                let a = ky * (row as f64 * STEP - MARGIN) + phase - kx * MARGIN;
                let (mut before, mut now) = ((a - kx * STEP).cos(), a.cos());
                for value in &mut values[row * wide..(row + 1) * wide] {
                    *value += now;
                    (before, now) = (now, turn * now - before);
                }
            }
        }
        Self {
            wide,
            values: values.into_iter().map(|v| (scale * v) as f32).collect(),
        }
    }

    fn at(&self, x: f64, y: f64) -> f64 {
        let (u, v) = ((x + MARGIN).max(0.0) / STEP, (y + MARGIN).max(0.0) / STEP);
        let (i, j) = (u as usize, v as usize);
        let (fu, fv) = (u - i as f64, v - j as f64);
        let value = |i: usize, j: usize| {
            let at = (j * self.wide + i).min(self.values.len() - 1);
            f64::from(self.values[at])
        };
        (1.0 - fv) * ((1.0 - fu) * value(i, j) + fu * value(i + 1, j))
            + fv * ((1.0 - fu) * value(i, j + 1) + fu * value(i + 1, j + 1))
    }
}

/// A drowned spot: an ellipse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Its middle, m.
    pub at: [f64; 2],
    /// Half its length east and north, m.
    pub half: [f64; 2],
}

impl Spot {
    /// How far out a place is: 1 at the rim.
    pub fn out(&self, x: f64, y: f64) -> f64 {
        ((x - self.at[0]) / self.half[0]).hypot((y - self.at[1]) / self.half[1])
    }
}

/// What trees take: `1 - depth exp(-(d/H)/reach) + gain exp(-((d/H - 5)/1.5)^2)`, d from the trunks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trees {
    /// Height, m.
    pub height_m: f64,
    /// Share lost at the trunk.
    pub depth: f64,
    /// Tree heights over which the loss falls to a third.
    pub reach: f64,
    /// Shelter's gain five heights out.
    pub gain: f64,
}

impl Trees {
    /// Of 1, what is left at a distance.
    pub fn left(&self, distance_m: f64) -> f64 {
        let d = distance_m / self.height_m;
        1.0 - self.depth * (-d / self.reach).exp() + self.gain * (-((d - 5.0) / 1.5).powi(2)).exp()
    }
}

/// What edges take besides trees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edges {
    /// Share lost over two swaths at the north and south ends, where the machine turns.
    pub headland: f64,
    /// Share lost along every side.
    pub strip: f64,
    /// How far that reaches, m.
    pub strip_m: f64,
}

impl Edges {
    /// Nothing.
    pub const NONE: Self = Self {
        headland: 0.0,
        strip: 0.0,
        strip_m: 0.0,
    };
}

/// The ground: yield and moisture everywhere.
pub(super) struct Ground {
    mean: f64,
    long: Rough,
    short: Rough,
    wet: Rough,
    pub spots: Vec<Spot>,
    trees: Trees,
    edges: Edges,
    soil: [f64; 2],
    headland_m: f64,
}

impl Ground {
    pub(super) fn new(options: &Options, swath_m: f64, stream: &mut Stream) -> Self {
        let spots = (0..3)
            .map(|nth| Spot {
                at: [
                    stream.between(60.0, 300.0),
                    [90.0, 330.0, 500.0][nth] + stream.between(-30.0, 30.0),
                ],
                half: [stream.between(14.0, 24.0), stream.between(14.0, 26.0)],
            })
            .collect();
        Self {
            mean: if options.preset == Preset::Drilled {
                55.0
            } else {
                185.0
            },
            long: Rough::new(120.0, stream),
            short: Rough::new(15.0, stream),
            wet: Rough::new(100.0, stream),
            spots,
            trees: options.trees,
            edges: options.edges,
            soil: [stream.between(0.0, TAU), stream.between(60.0, 110.0)],
            headland_m: 2.0 * swath_m,
        }
    }

    /// Soil zone of a place: 0 poor, 1 middling, 2 good.
    pub(super) fn zone(&self, x: f64, y: f64) -> usize {
        let bend = 35.0 * (y / self.soil[1] + self.soil[0]).sin();
        match x + bend {
            at if at < 110.0 => 1,
            at if at < 220.0 => 2,
            at if at < 300.0 => 1,
            _ => 0,
        }
    }

    /// Dry yield at a place, bu/ac at the base moisture.
    pub(super) fn dry_bu_ac(&self, x: f64, y: f64) -> f64 {
        self.open_and_dry_bu_ac(x, y).1
    }

    /// The same as it would be without edges, and as it is.
    pub(super) fn open_and_dry_bu_ac(&self, x: f64, y: f64) -> (f64, f64) {
        let scale = self.mean / 185.0;
        let zone = [-30.0, 0.0, 12.0][self.zone(x, y)];
        let mut out =
            scale * (185.0 + 16.0 * self.long.at(x, y) + 8.0 * self.short.at(x, y) + zone);
        for spot in &self.spots {
            // full inside, nothing half a rim farther out
            let share = (1.0 - (spot.out(x, y) - 1.0) / 0.25).clamp(0.0, 1.0);
            out *= 1.0 - 0.75 * share;
        }
        let least = 0.02 * self.mean;
        let open = out.max(least);
        let west = self.trees.left(x);
        let north = self.trees.left(HIGH - y);
        out *= west.min(north);
        if y < self.headland_m || y > HIGH - self.headland_m {
            out *= 1.0 - self.edges.headland;
        }
        if nearest_side(x, y).1 < self.edges.strip_m {
            out *= 1.0 - self.edges.strip;
        }
        (open, out.max(least))
    }

    /// Moisture of the standing grain, per cent, at seconds since ten in the morning.
    pub(super) fn moisture_pct(&self, x: f64, y: f64, second: f64) -> f64 {
        let wet = if self.mean < 100.0 { 13.5 } else { 18.5 };
        let dried = 1.8 * (second / 23_400.0).min(1.0);
        (wet - dried + 0.5 * self.wet.at(x, y)).max(8.0)
    }
}

/// How many sides there are, the waterway's among them.
pub(super) const SIDES: usize = 5;

/// The nearest of [`sides`], and how far it is, m.
pub(super) fn nearest_side(x: f64, y: f64) -> (usize, f64) {
    let lean = (SLANT / HIGH).hypot(1.0);
    let water = ((y - WATER_FROM - WATER_CLIMB * x).abs() - water_half()) / WATER_CLIMB.hypot(1.0);
    let all: [f64; SIDES] = [x, HIGH - y, (east(y) - x) / lean, y, water.max(0.0)];
    all.into_iter().enumerate().fold(
        (0, f64::INFINITY),
        |best, one| {
            if one.1 < best.1 { one } else { best }
        },
    )
}

/// The sides of the field by what grows or lies there.
pub(super) fn sides() -> Vec<Line> {
    let side = |kind: &'static str, from: [f64; 2], to: [f64; 2]| Line {
        kind,
        points: vec![from, to],
    };
    vec![
        side("trees", [0.0, 0.0], [0.0, HIGH]),
        side("trees", [0.0, HIGH], [WIDE - SLANT, HIGH]),
        side("fence", [WIDE - SLANT, HIGH], [WIDE, 0.0]),
        side("road", [WIDE, 0.0], [0.0, 0.0]),
        side(
            "waterway",
            [0.0, WATER_FROM],
            [
                east(WATER_FROM),
                WATER_FROM + WATER_CLIMB * east(WATER_FROM),
            ],
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_field_is_fifty_five_acres_and_a_bit() {
        let area: f64 = rings()
            .iter()
            .map(|ring| {
                let sum: f64 = ring
                    .iter()
                    .zip(ring.iter().cycle().skip(1))
                    .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
                    .sum();
                0.5 * sum.abs()
            })
            .sum();
        assert!(
            (area / 4_046.856_422_4 - 55.17).abs() < 0.05,
            "{}",
            area / 4_046.856
        );
    }

    /// Means over 16 fields of (z(x) - z(x + h))^2 / 2, against 1 - exp(-h/r).
    #[test]
    fn rough_fields_have_the_covariance_they_should() {
        let (mut sums, mut n) = ([0.0; 4], 0.0);
        let lags = [4.0, 10.0, 20.0, 60.0];
        for seed in 0..16 {
            let rough = Rough::new(15.0, &mut Stream::new(seed, "rough", 0));
            for i in 0..40 {
                for j in 0..60 {
                    let (x, y) = (f64::from(i) * 8.0, f64::from(j) * 10.0);
                    for (sum, lag) in sums.iter_mut().zip(lags) {
                        *sum += 0.5 * (rough.at(x, y) - rough.at(x + lag, y)).powi(2);
                    }
                    n += 1.0;
                }
            }
        }
        for (sum, lag) in sums.iter().zip(lags) {
            let wanted = 1.0 - (-lag / 15.0_f64).exp();
            assert!(
                (sum / n / wanted - 1.0).abs() < 0.05,
                "{lag}: {} {wanted}",
                sum / n
            );
        }
    }
}
