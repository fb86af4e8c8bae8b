//! Ground that is cut for the first time: the cross line of each record less what was cut before it and what
//! lies outside the field.
//!
//! A receiver drifts by half a meter in minutes, so that passes driven side by side seem to overlap or to leave
//! strips. The overlap of a pass as a whole tells drift from a part swath: where the middle record of a pass still
//! has three quarters of its line to itself, what overlaps is drift and is divided out, and what is left within
//! 15 % of a full line is a full line; below that the pass is a part swath, whole rows where rows are known.

use super::pass_of_each;
use super::place::Place;
use crate::{Pass, RawPoint};
use spatial::Grid;

/// The field, as rings in meters: inside is what an odd number of rings holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ground {
    /// Rings, outer and holes alike, closed or not.
    pub rings: Vec<Vec<(f64, f64)>>,
}

impl Ground {
    /// Square meters.
    pub fn area_m2(&self) -> f64 {
        // holes are told by how many rings hold their first corner
        self.rings
            .iter()
            .enumerate()
            .map(|(nth, ring)| {
                let Some(corner) = ring.first() else {
                    return 0.0;
                };
                let around = self
                    .rings
                    .iter()
                    .enumerate()
                    .filter(|(other, one)| *other != nth && inside(one, *corner))
                    .count();
                let sign = if around % 2 == 0 { 1.0 } else { -1.0 };
                sign * ring_area(ring)
            })
            .sum()
    }

    /// Whether a place is inside.
    pub fn holds(&self, at: (f64, f64)) -> bool {
        self.rings.iter().filter(|ring| inside(ring, at)).count() % 2 == 1
    }

    /// Parts of the line `at + s * along` inside, s within `-half..half`, in order.
    pub(crate) fn along(&self, at: (f64, f64), along: (f64, f64), half: f64) -> Vec<(f64, f64)> {
        let mut cuts: Vec<f64> = Vec::new();
        for ring in &self.rings {
            let mut a = match ring.last() {
                Some(last) => *last,
                None => continue,
            };
            for b in ring {
                let side = |p: (f64, f64)| along.0 * (p.1 - at.1) - along.1 * (p.0 - at.0);
                let (sa, sb) = (side(a), side(*b));
                if (sa > 0.0) != (sb > 0.0) {
                    let part = sa / (sa - sb);
                    let x = (
                        a.0 + part * (b.0 - a.0) - at.0,
                        a.1 + part * (b.1 - a.1) - at.1,
                    );
                    cuts.push(x.0 * along.0 + x.1 * along.1);
                }
                a = *b;
            }
        }
        cuts.sort_by(f64::total_cmp);
        cuts.chunks_exact(2)
            .map(|pair| (pair[0].max(-half), pair[1].min(half)))
            .filter(|(from, to)| to > from)
            .collect()
    }
}

fn ring_area(ring: &[(f64, f64)]) -> f64 {
    let mut sum = 0.0;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        sum += a.0 * b.1 - b.0 * a.1;
    }
    0.5 * sum.abs()
}

fn inside(ring: &[(f64, f64)], at: (f64, f64)) -> bool {
    let mut odd = false;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        if (a.1 > at.1) != (b.1 > at.1) && at.0 < a.0 + (at.1 - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            odd = !odd;
        }
    }
    odd
}

/// Widths of each record, m.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Widths {
    /// Of the cross line, what lies in the field.
    pub inside: Vec<f64>,
    /// Of that, what nobody cut before, as the receiver says.
    pub fresh: Vec<f64>,
    /// What is taken to be cut.
    pub cut: Vec<f64>,
}

/// A share of a full line, or more, that is full but for drift.
const DRIFT: f64 = 0.75;
const FULL: f64 = 0.85;
/// Less of a line than this is old ground, not a part swath.
const OLD: f64 = 0.3;

/// What is asked of [`widths`].
#[derive(Debug)]
pub(super) struct Asked<'a> {
    pub swath_m: f64,
    /// Rows of a row crop's head.
    pub rows: Option<u32>,
    pub ground: Option<&'a Ground>,
    /// Meters from the antenna forward to the head.
    pub offset_m: f64,
    /// Whether a record cuts: head down, no jump, and moving.
    pub cuts: &'a [bool],
}

/// The widths of all records.
pub(super) fn widths(
    points: &[RawPoint],
    passes: &[Pass],
    places: &[Place],
    asked: &Asked<'_>,
) -> Widths {
    let n = points.len();
    let middles: Vec<(f64, f64)> = (0..n)
        .map(|i| places[i].middle(points[i].distance_m, asked.offset_m))
        .collect();
    let grid = Grid::new(middles.iter().map(|p| [p.0, p.1]).collect(), asked.swath_m);
    let pass_of = pass_of_each(passes, n);
    let half = 0.5 * asked.swath_m;
    let mut out = Widths {
        inside: vec![0.0; n],
        fresh: vec![0.0; n],
        cut: vec![0.0; n],
    };
    let longest = points
        .iter()
        .zip(asked.cuts)
        .filter(|(_, cuts)| **cuts)
        .map(|(one, _)| one.distance_m)
        .fold(0.0, f64::max)
        .min(30.0);
    let mut covered: Vec<(f64, f64)> = Vec::new();
    for i in 0..n {
        if !asked.cuts[i] {
            continue;
        }
        let left = (-places[i].ahead.1, places[i].ahead.0);
        let in_field = match asked.ground {
            Some(ground) => ground.along(middles[i], left, half),
            None => vec![(-half, half)],
        };
        covered.clear();
        grid.about([middles[i].0, middles[i].1], asked.swath_m + longest, |j| {
            if j >= i || !asked.cuts[j] || pass_of[j] == pass_of[i] && i - j < 60 {
                return;
            }
            // the cross line in the frame of the ground that record j cut, a hair longer so that records touch
            let (u, w) = (places[j].ahead, (-places[j].ahead.1, places[j].ahead.0));
            let d = (middles[i].0 - middles[j].0, middles[i].1 - middles[j].1);
            let (p, q) = (d.0 * u.0 + d.1 * u.1, d.0 * w.0 + d.1 * w.1);
            let (dp, dq) = (left.0 * u.0 + left.1 * u.1, left.0 * w.0 + left.1 * w.1);
            let long = 0.5 * points[j].distance_m + 0.3;
            let mut span = (-half, half);
            for (at, step, reach) in [(p, dp, long), (q, dq, half)] {
                if step.abs() < 1e-9 {
                    if at.abs() > reach {
                        span = (1.0, 0.0);
                    }
                    continue;
                }
                let (a, b) = ((-reach - at) / step, (reach - at) / step);
                span = (span.0.max(a.min(b)), span.1.min(a.max(b)));
            }
            if span.1 > span.0 {
                covered.push(span);
            }
        });
        covered.sort_by(|a, b| a.0.total_cmp(&b.0));
        out.inside[i] = in_field.iter().map(|(from, to)| to - from).sum();
        out.fresh[i] = in_field
            .iter()
            .map(|(from, to)| (to - from) - taken(&covered, *from, *to))
            .sum::<f64>()
            .max(0.0);
    }
    for pass in passes {
        settle(&mut out, *pass, asked);
    }
    out
}

/// Length of `from..to` in a union of spans in order of their starts.
fn taken(spans: &[(f64, f64)], from: f64, to: f64) -> f64 {
    let (mut sum, mut at) = (0.0, from);
    for (a, b) in spans {
        let (a, b) = (a.max(at), b.min(to));
        if b > a {
            sum += b - a;
            at = b;
        }
    }
    sum
}

/// Tells drift from part swaths over one pass.
fn settle(out: &mut Widths, pass: Pass, asked: &Asked<'_>) {
    let swath = asked.swath_m;
    let shares = |all: &[f64], of: &dyn Fn(usize) -> f64| -> Option<f64> {
        let mut shares: Vec<f64> = (pass.start..pass.end)
            .filter(|i| asked.cuts[*i])
            .map(|i| all[i] / of(i))
            .filter(|share| share.is_finite() && *share >= OLD)
            .collect();
        super::median(&mut shares)
    };
    let inside = shares(&out.inside, &|_| swath).unwrap_or(1.0);
    let fresh = shares(&out.fresh, &|i| out.inside[i]).unwrap_or(1.0);
    // drift off the field's edge is drift too
    let edge = if inside >= FULL { inside } else { 1.0 };
    let snap = |share: f64| if share > FULL { 1.0 } else { share };
    for i in pass.start..pass.end {
        if !asked.cuts[i] {
            continue;
        }
        let in_field = snap((out.inside[i] / swath / edge).min(1.0));
        let mut share = if out.inside[i] > 0.0 {
            out.fresh[i] / out.inside[i]
        } else {
            0.0
        };
        if fresh >= DRIFT {
            share = snap((share / fresh).min(1.0));
        } else if share / fresh > FULL {
            share = match asked.rows {
                Some(rows) => (fresh * f64::from(rows)).round().max(1.0) / f64::from(rows),
                None => fresh,
            };
        }
        out.cut[i] = swath * in_field * share;
    }
}
