//! How long grain takes from the ground to the sensor, less what an exporter took out already.

use super::pass_of_each;
use super::place::Place;
use super::stream::Stream;
use crate::{Pass, RawPoint};
use numeric::stream::Stream as Seeded;
use spatial::Grid;

/// What was found of the delay.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Delay {
    /// Residual delay, s: above 0 the grain is late; `None` when nothing tells it.
    pub seconds: Option<f64>,
    /// Ends between which it lies 9 times in 10.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// Why it is not told.
    pub why_not: Option<String>,
    /// Trial delays, s, and how neighbors on opposite passes disagree at each.
    pub curve: Vec<(f64, f64)>,
    /// Pairs of records on opposite passes.
    pub pairs: usize,
    /// Pairs of neighboring passes.
    pub pass_pairs: usize,
}

/// Trial delays reach this far on each side, s.
const REACH_S: f64 = 26.0;
/// Records this near a pass's end are left out, s.
const ENDS_S: f64 = 30.0;
/// Draws of the bootstrap, and the share of them that must tell a delay.
const DRAWS: u64 = 400;
const TELL: f64 = 0.9;
/// Fewer neighboring passes or pairs of records than this tell nothing.
const PASS_PAIRS: usize = 4;
const PAIRS: f64 = 60.0;

/// A pass and one of its opposite neighbors.
struct Group {
    pass: u32,
    /// Sum over pairs of the root of the difference at each trial.
    sums: Vec<f64>,
    n: f64,
}

/// What a delay is told from.
pub(super) struct Seen<'a> {
    pub points: &'a [RawPoint],
    pub passes: &'a [Pass],
    pub places: &'a [Place],
    pub stream: &'a Stream,
    pub cuts: &'a [bool],
    pub width_m: &'a [f64],
    pub swath_m: f64,
    pub seed: u64,
}

impl Delay {
    /// Opposite passes agree best a little after the shift that lays a mixed stream best on the ground: the store
    /// that mixes is entered at once and left slowly, and the half point of what it does to a step is earlier than
    /// where two such smears, one each way, lie on each other: by a tenth of the lag (measured on simulated fields).
    pub(super) fn take_half_point(&mut self, lag_s: f64) {
        const SHARE: f64 = 0.1;
        if let Some(seconds) = &mut self.seconds {
            let by = SHARE * lag_s;
            *seconds -= by;
            (self.low, self.high) = (self.low - by, self.high - by);
        }
    }
}

/// Estimates the delay.
pub(super) fn estimate(seen: &Seen<'_>) -> Delay {
    let Seen {
        points,
        passes,
        places,
        stream,
        cuts,
        width_m,
        swath_m,
        seed,
    } = *seen;
    let usual = super::stream::usual_interval(points);
    let reach = (REACH_S / usual).round() as i64;
    let trials: Vec<f64> = (-reach..=reach).map(|k| k as f64 * usual).collect();
    let fits = inner(points, passes, stream, cuts, width_m, swath_m);
    // yields of every inner record at each trial delay
    let chosen: Vec<usize> = (0..points.len()).filter(|i| fits[*i]).collect();
    let yields: Vec<Vec<f64>> = chosen
        .iter()
        .map(|i| {
            let area = width_m[*i] * points[*i].distance_m;
            trials
                .iter()
                .map(|delay| {
                    stream
                        .shifted_one(*i, *delay, usual)
                        .map_or(f64::NAN, |mass| mass / area)
                })
                .collect()
        })
        .collect();
    let groups = groups(
        points,
        passes,
        places,
        &chosen,
        &yields,
        trials.len(),
        swath_m,
    );
    let pairs: f64 = groups.iter().map(|one| one.n).sum();
    let mut out = Delay {
        seconds: None,
        low: f64::NAN,
        high: f64::NAN,
        why_not: None,
        curve: Vec::new(),
        pairs: pairs as usize,
        pass_pairs: groups.len(),
    };
    if groups.len() < PASS_PAIRS || pairs < PAIRS {
        out.why_not = Some(format!(
            "{} pairs of neighboring opposite passes with {} records side by side; it takes {PASS_PAIRS} and {PAIRS}",
            groups.len(),
            out.pairs
        ));
        return out;
    }
    let all = vec![1.0; groups.len()];
    let curve = disagreement(&groups, &all, trials.len());
    let best = lowest(&trials, &curve, usual);
    out.curve = trials.iter().copied().zip(curve.iter().copied()).collect();
    let mut passes_in: Vec<u32> = groups.iter().map(|one| one.pass).collect();
    passes_in.dedup();
    let mut drawn: Vec<f64> = Vec::new();
    for draw in 0..DRAWS {
        let mut stream = Seeded::new(seed, "delay", draw);
        let mut weight = vec![0.0; passes_in.len()];
        for _ in 0..passes_in.len() {
            weight[stream.below(passes_in.len())] += 1.0;
        }
        let weights: Vec<f64> = groups
            .iter()
            .map(|one| {
                passes_in
                    .binary_search(&one.pass)
                    .map_or(0.0, |nth| weight[nth])
            })
            .collect();
        if let Some(at) = lowest(
            &trials,
            &disagreement(&groups, &weights, trials.len()),
            usual,
        ) {
            drawn.push(at);
        }
    }
    drawn.sort_by(f64::total_cmp);
    let at = |share: f64| drawn[((drawn.len() - 1) as f64 * share).round() as usize];
    if let Some(best) = best
        && drawn.len() as f64 > TELL * DRAWS as f64
    {
        out.seconds = Some(best);
        (out.low, out.high) = (at(0.05), at(0.95));
    } else {
        out.why_not = Some(format!(
            "neighboring passes agree no better at any delay within {REACH_S} s than elsewhere"
        ));
    }
    out
}

/// Records well inside a pass, cutting, with ground and nothing odd.
fn inner(
    points: &[RawPoint],
    passes: &[Pass],
    stream: &Stream,
    cuts: &[bool],
    width_m: &[f64],
    swath_m: f64,
) -> Vec<bool> {
    let mut fits = vec![false; points.len()];
    for pass in passes {
        let cutting: Vec<usize> = (pass.start..pass.end).filter(|i| cuts[*i]).collect();
        let (Some(first), Some(last)) = (cutting.first(), cutting.last()) else {
            continue;
        };
        let span = stream.t[*last] - stream.t[*first];
        let ends = ENDS_S.min(0.25 * span);
        let mut speeds: Vec<f64> = cutting
            .iter()
            .map(|i| points[*i].distance_m / stream.dt[*i])
            .collect();
        let usual = super::median(&mut speeds).unwrap_or(0.0);
        for &i in &cutting {
            let speed = points[i].distance_m / stream.dt[i];
            fits[i] = stream.t[i] - stream.t[*first] >= ends
                && stream.t[*last] - stream.t[i] >= ends
                && width_m[i] > 0.5 * swath_m
                && speed > 0.5 * usual
                && speed < 2.0 * usual;
        }
    }
    fits
}

fn groups(
    points: &[RawPoint],
    passes: &[Pass],
    places: &[Place],
    chosen: &[usize],
    yields: &[Vec<f64>],
    trials: usize,
    swath_m: f64,
) -> Vec<Group> {
    let middles: Vec<(f64, f64)> = chosen
        .iter()
        .map(|i| places[*i].middle(points[*i].distance_m, 0.0))
        .collect();
    let grid = Grid::new(middles.iter().map(|p| [p.0, p.1]).collect(), 1.5 * swath_m);
    let pass_of = pass_of_each(passes, points.len());
    let mut groups: std::collections::BTreeMap<(u32, u32), Group> =
        std::collections::BTreeMap::new();
    let mut best: Vec<(u32, f64, usize)> = Vec::new();
    for (a, i) in chosen.iter().enumerate() {
        best.clear();
        grid.about([middles[a].0, middles[a].1], 1.5 * swath_m, |b| {
            let j = chosen[b];
            let (p, q) = (pass_of[*i], pass_of[j]);
            let (u, v) = (places[*i].ahead, places[j].ahead);
            if q <= p || u.0 * v.0 + u.1 * v.1 > -0.9 {
                return;
            }
            let d = (middles[b].0 - middles[a].0, middles[b].1 - middles[a].1);
            let (along, across) = ((d.0 * u.0 + d.1 * u.1).abs(), (d.1 * u.0 - d.0 * u.1).abs());
            if across > 1.5 * swath_m
                || along > 0.75 * points[*i].distance_m.max(points[j].distance_m)
            {
                return;
            }
            match best.iter_mut().find(|one| one.0 == q) {
                Some(one) if along < one.1 => (one.1, one.2) = (along, b),
                Some(_) => {}
                None => best.push((q, along, b)),
            }
        });
        for (q, _, b) in &best {
            let p = pass_of[*i];
            let group = groups.entry((p, *q)).or_insert_with(|| Group {
                pass: p,
                sums: vec![0.0; trials],
                n: 0.0,
            });
            let (mine, theirs) = (&yields[a], &yields[*b]);
            if mine.iter().chain(theirs).any(|y| y.is_nan()) {
                continue;
            }
            for (sum, (x, y)) in group.sums.iter_mut().zip(mine.iter().zip(theirs)) {
                *sum += (x - y).abs().sqrt();
            }
            group.n += 1.0;
        }
    }
    groups.into_values().filter(|one| one.n >= 5.0).collect()
}

/// Cressie and Hawkins' fourth power of the mean root, at each trial.
fn disagreement(groups: &[Group], weights: &[f64], trials: usize) -> Vec<f64> {
    let mut sums = vec![0.0; trials];
    let mut n = 0.0;
    for (group, weight) in groups.iter().zip(weights) {
        if *weight == 0.0 {
            continue;
        }
        n += weight * group.n;
        for (sum, one) in sums.iter_mut().zip(&group.sums) {
            *sum += weight * one;
        }
    }
    sums.iter().map(|sum| (sum / n).powi(4)).collect()
}

/// The trial of least disagreement, refined by the parabola of least squares over three seconds on each side.
fn lowest(trials: &[f64], curve: &[f64], usual: f64) -> Option<f64> {
    let (at, _) = curve.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1))?;
    let side = ((3.0 / usual).round() as usize).max(1);
    let (low, high) = (at.checked_sub(side)?, at + side);
    if high >= curve.len() {
        return None;
    }
    // least squares of c0 + c1 x + c2 x^2 on symmetric x
    let (mut s2, mut s4, mut y0, mut y1, mut y2, mut n) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (k, value) in curve.iter().enumerate().take(high + 1).skip(low) {
        let x = k as f64 - at as f64;
        n += 1.0;
        s2 += x * x;
        s4 += x.powi(4);
        y0 += value;
        y1 += x * value;
        y2 += x * x * value;
    }
    let bend = (n * y2 - s2 * y0) / (n * s4 - s2 * s2);
    let slope = y1 / s2;
    if bend <= 0.0 {
        return Some(trials[at]);
    }
    let shift = (-0.5 * slope / bend).clamp(-(side as f64), side as f64);
    Some(trials[at] + shift * usual)
}
