//! Grain through a machine that mixes: what was cut, from what came over the sensor.
//!
//! The machine is a dead time and a store that empties at a constant rate (time constant `lag`), after the
//! first-order models of the literature. Yield along the way is a stationary process whose correlation falls
//! exponentially with distance. Both together are a linear state with one observation a record, so that the
//! likelihood of a dead time and a lag is one pass of a Kalman filter, and the yields one pass of its smoother back.
//! Ground of no width gives nothing: the machine fills at the start of a pass and empties at its end by itself.

use serde::Serialize;

/// What the filter is told of each record, in the order of the log.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fed {
    /// Length, s.
    pub dt: f64,
    /// Area cut, m2.
    pub area: f64,
    /// Meters from the record before.
    pub moved: f64,
    /// Mass that came over the sensor in it, less the dead time, kg; none where the log does not reach.
    pub mass: Option<f64>,
    /// A run begins.
    pub begins: bool,
}

/// The machine and the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mixing {
    /// Time constant of the store, s.
    pub lag_s: f64,
    /// Mean yield, kg/m2.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Distance over which it keeps to itself, m.
    pub reach_m: f64,
    /// Noise of the sensor as a share of flow.
    pub noise: f64,
}

impl Mixing {
    /// Where to look first: figures of our own, from no machine.
    pub(super) fn usual(mean: f64) -> Self {
        Self {
            lag_s: 3.0,
            mean,
            sd: 0.2 * mean,
            reach_m: 40.0,
            noise: 0.05,
        }
    }
}

/// A store over one record: the share that it keeps, and the share of what comes in that it holds at the end.
fn store(lag_s: f64, dt: f64) -> (f64, f64) {
    if lag_s <= 1e-6 {
        return (0.0, 0.0);
    }
    let keep = (-dt / lag_s).exp();
    (keep, lag_s * (1.0 - keep) / dt)
}

/// What the sensor reads of ground, record by record: the machine run forward, its store at first as full as the
/// first ground keeps it.
pub(super) fn remix(ground: impl Iterator<Item = (f64, f64)>, lag_s: f64) -> Vec<f64> {
    let mut full: Option<f64> = None;
    ground
        .map(|(dt, mass)| {
            let (keep, held) = store(lag_s, dt);
            let before = full.unwrap_or(mass / dt * lag_s);
            full = Some(keep * before + held * mass);
            (1.0 - keep) * before + (1.0 - held) * mass
        })
        .collect()
}

/// Noise that is there at any flow: this share of what [`FLOOR_M2`] of mean ground give a second.
const FLOOR: f64 = 0.004;
const FLOOR_M2: f64 = 20.0;
/// A reading this many variances out tells less the farther out it is.
const ODD: f64 = 16.0;
/// Doubt of a store that nobody saw before, as a share of it.
const UNSEEN: f64 = 0.5;
/// Keeps variances above nothing.
const HAIR: f64 = 1e-12;

type Pair = [f64; 2];
/// A symmetric 2 x 2: xx, xy, yy.
type Sym = [f64; 3];

/// What is known of store and yield: means and covariances.
#[derive(Clone, Copy)]
struct Belief {
    mean: Pair,
    cov: Sym,
}

/// A record gone through: what was believed before its reading, and after it.
#[derive(Clone, Copy)]
struct Gone {
    before: Belief,
    after: Belief,
    /// What takes it to the next record: store kept, store fed by yield, yield kept.
    step: [f64; 3],
    begins: bool,
}

impl Belief {
    /// At the start of a run.
    fn first(one: &Fed, mixing: &Mixing) -> Self {
        let full = one.mass.unwrap_or(0.0) / one.dt * mixing.lag_s;
        Self {
            mean: [full, mixing.mean],
            cov: [(UNSEEN * full).powi(2) + 1e-6, 0.0, mixing.sd.powi(2)],
        }
    }

    /// One record later.
    fn next(self, [a, c, phi]: [f64; 3], mixing: &Mixing) -> Self {
        let (m, y) = (self.mean[0], self.mean[1]);
        let [xx, xy, yy] = self.cov;
        Self {
            mean: [a * m + c * y, mixing.mean + phi * (y - mixing.mean)],
            cov: [
                a * a * xx + 2.0 * a * c * xy + c * c * yy + 1e-9,
                phi * (a * xy + c * yy),
                phi * phi * yy + mixing.sd.powi(2) * (1.0 - phi * phi) + HAIR,
            ],
        }
    }

    /// Told a mass that is `h` times store and yield with noise of this variance, and what that cost: twice the
    /// negative log-likelihood, at most [`ODD`] of it for the reading itself.
    fn told(self, h: Pair, mass: f64, noise: f64) -> (Self, f64) {
        let [xx, xy, yy] = self.cov;
        let off = mass - (h[0] * self.mean[0] + h[1] * self.mean[1]);
        let own = h[0] * h[0] * xx + 2.0 * h[0] * h[1] * xy + h[1] * h[1] * yy;
        let odd = off * off / (own + noise);
        let noise = noise + (odd / ODD - 1.0).max(0.0) * (own + noise);
        let s = own + noise;
        let gain = [(xx * h[0] + xy * h[1]) / s, (xy * h[0] + yy * h[1]) / s];
        let told = Self {
            mean: [self.mean[0] + gain[0] * off, self.mean[1] + gain[1] * off],
            cov: [
                xx - gain[0] * gain[0] * s,
                xy - gain[0] * gain[1] * s,
                yy - gain[1] * gain[1] * s,
            ],
        };
        (told, (off * off / s).min(ODD) + s.ln())
    }
}

/// Goes through the records: twice the negative log-likelihood a record told, and what was believed at each where
/// that is to be kept.
fn filter(fed: &[Fed], mixing: &Mixing, keep_all: bool) -> (f64, Vec<Gone>) {
    let (mut cost, mut told) = (0.0, 0.0);
    let mut all: Vec<Gone> = Vec::with_capacity(if keep_all { fed.len() } else { 0 });
    let (mut now, mut step) = (None, [0.0; 3]);
    // flow that noise is a share of: what came lately, or is expected
    let mut lately = 0.0;
    for one in fed {
        let before = match now {
            Some(before) if !one.begins => {
                step[2] = (-one.moved / mixing.reach_m).exp();
                if let Some(last) = all.last_mut() {
                    last.step = step;
                }
                Belief::next(before, step, mixing)
            }
            _ => {
                lately = one.mass.unwrap_or(0.0);
                Belief::first(one, mixing)
            }
        };
        let (keep, held) = store(mixing.lag_s, one.dt);
        let mut after = before;
        if let Some(mass) = one.mass {
            lately = 0.7 * lately + 0.3 * mass;
            let h = [1.0 - keep, (1.0 - held) * one.area];
            let expected = h[0] * before.mean[0] + h[1] * before.mean[1];
            let floor = FLOOR * mixing.mean * FLOOR_M2 * one.dt;
            let noise = (mixing.noise * lately.max(expected).max(0.0)).powi(2) + floor.powi(2);
            let by;
            (after, by) = before.told(h, mass, noise);
            cost += by;
            told += 1.0;
        }
        step = [keep, held * one.area, 0.0];
        if keep_all {
            all.push(Gone {
                before,
                after,
                step,
                begins: one.begins,
            });
        }
        now = Some(after);
    }
    (if told > 0.0 { cost / told } else { f64::NAN }, all)
}

/// A record believed again, knowing what was believed of the next one at last.
fn smoothed(here: &Gone, expected: Belief, at_last: Belief) -> Belief {
    let [a, c, phi] = here.step;
    let [xx, xy, yy] = here.after.cov;
    // P F' with F = [a c; 0 phi], then times the inverse of what was expected
    let pf = [[a * xx + c * xy, phi * xy], [a * xy + c * yy, phi * yy]];
    let [px, pxy, py] = expected.cov;
    let det = px * py - pxy * pxy;
    let gain = pf.map(|[u, v]| [(u * py - v * pxy) / det, (v * px - u * pxy) / det]);
    let d = [0, 1].map(|k| at_last.mean[k] - expected.mean[k]);
    let dp = [0, 1, 2].map(|k| at_last.cov[k] - expected.cov[k]);
    let quad = |r: Pair, s: Pair| {
        r[0] * s[0] * dp[0] + (r[0] * s[1] + r[1] * s[0]) * dp[1] + r[1] * s[1] * dp[2]
    };
    Belief {
        mean: [0, 1].map(|k| here.after.mean[k] + gain[k][0] * d[0] + gain[k][1] * d[1]),
        cov: [
            (xx + quad(gain[0], gain[0])).max(HAIR),
            xy + quad(gain[0], gain[1]),
            (yy + quad(gain[1], gain[1])).max(HAIR),
        ],
    }
}

/// Yield of each record and its variance, given the whole stream (Rauch, Tung and Striebel's smoother).
pub(super) fn unmix(fed: &[Fed], mixing: &Mixing) -> Vec<(f64, f64)> {
    let (_, all) = filter(fed, mixing, true);
    let mut out = vec![(0.0, 0.0); all.len()];
    let mut next: Option<(&Gone, Belief)> = None;
    for (here, out) in all.iter().zip(&mut out).rev() {
        let belief = match next {
            Some((after, at_last)) if !after.begins => smoothed(here, after.before, at_last),
            _ => here.after,
        };
        *out = (belief.mean[1], belief.cov[2]);
        next = Some((here, belief));
    }
    out
}

/// Finds the machine and the ground that the stream is likeliest of. `feed` gives the stream for a dead time.
pub(super) fn find(feed: &dyn Fn(f64) -> Vec<Fed>, start: Mixing, shift_s: f64) -> (f64, Mixing) {
    // the best shift lies within a lag after the dead time
    let dead = shift_s - 2.0;
    let mut best = (dead, start, f64::INFINITY);
    let mut fed = feed(dead);
    for round in 0..3 {
        // dead time and lag together: a later store and a shorter lag look alike
        let wide = if round == 0 { 4 } else { 2 };
        let fine = [1.0, 0.5, 0.25][round];
        let (dead0, mix0) = (best.0, best.1);
        best.2 = f64::INFINITY;
        for k in -wide..=wide {
            let dead = dead0 + fine * f64::from(k);
            let here = feed(dead);
            let lags: Vec<f64> = if round == 0 {
                vec![0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.5, 8.0]
            } else {
                (-2..=2)
                    .map(|k| (mix0.lag_s + fine * f64::from(k)).max(0.0))
                    .collect()
            };
            for lag_s in lags {
                let mixing = Mixing { lag_s, ..mix0 };
                let (cost, _) = filter(&here, &mixing, false);
                if cost < best.2 {
                    best = (dead, mixing, cost);
                    fed.clone_from(&here);
                }
            }
        }
        for _ in 0..2 {
            for which in 0..3 {
                for factor in [0.5, 0.7, 0.85, 1.2, 1.5, 2.0] {
                    let mut mixing = best.1;
                    match which {
                        0 => mixing.sd *= factor,
                        1 => mixing.reach_m = (mixing.reach_m * factor).clamp(5.0, 500.0),
                        _ => mixing.noise *= factor,
                    }
                    let (cost, _) = filter(&fed, &mixing, false);
                    if cost < best.2 {
                        best.1 = mixing;
                        best.2 = cost;
                    }
                }
            }
        }
    }
    (best.0, best.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use numeric::stream::Stream;

    fn records(n: usize) -> Vec<Fed> {
        (0..n)
            .map(|i| Fed {
                dt: 1.0,
                // out of the crop now and then: the store goes on emptying
                area: if i % 9 == 7 { 0.0 } else { 18.0 },
                moved: 2.0,
                mass: None,
                begins: i == 0,
            })
            .collect()
    }

    /// Solves a small system by elimination with pivots.
    fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
        let n = b.len();
        for k in 0..n {
            let pivot = (k..n)
                .max_by(|i, j| a[*i][k].abs().total_cmp(&a[*j][k].abs()))
                .unwrap();
            a.swap(k, pivot);
            b.swap(k, pivot);
            for i in k + 1..n {
                let by = a[i][k] / a[k][k];
                let pivot = a[k].clone();
                for (one, other) in a[i].iter_mut().zip(&pivot).skip(k) {
                    *one -= by * other;
                }
                b[i] -= by * b[k];
            }
        }
        for k in (0..n).rev() {
            for j in k + 1..n {
                b[k] -= a[k][j] * b[j];
            }
            b[k] /= a[k][k];
        }
        b
    }

    /// Yields are normal with exponential covariance and readings a linear map of them and of the first store: the
    /// conditional mean and variance by one dense solve, with no filter in it.
    #[test]
    fn yields_are_the_conditional_mean_of_one_dense_solve() {
        let n = 24;
        let mixing = Mixing {
            lag_s: 3.0,
            mean: 1.0,
            sd: 0.2,
            reach_m: 10.0,
            noise: 0.0,
        };
        let mut stream = Stream::new(5, "lag", 0);
        let mut fed = records(n);
        let ground: Vec<(f64, f64)> = fed
            .iter()
            .map(|one| (1.0, one.area * (1.0 + 0.05 * stream.normal())))
            .collect();
        for (one, mass) in fed.iter_mut().zip(remix(ground.into_iter(), 3.0)) {
            one.mass = Some(mass + 0.05 * stream.normal());
        }
        // readings of each unit of first store and of each yield
        let (keep, held) = store(3.0, 1.0);
        let read = |first: f64, yields: &[f64]| -> Vec<f64> {
            let mut full = first;
            let each = fed.iter().zip(yields).map(|(one, y)| {
                let mass = one.area * y;
                let out = (1.0 - keep) * full + (1.0 - held) * mass;
                full = keep * full + held * mass;
                out
            });
            each.collect()
        };
        let unit = |k: usize| {
            let mut yields = vec![0.0; n];
            yields[k] = 1.0;
            read(0.0, &yields)
        };
        let maps: Vec<Vec<f64>> = std::iter::once(read(1.0, &vec![0.0; n]))
            .chain((0..n).map(unit))
            .collect();
        let full = fed[0].mass.unwrap() * 3.0;
        let prior_mean = |k: usize| if k == 0 { full } else { 1.0 };
        let prior = |i: usize, j: usize| match (i, j) {
            (0, 0) => (0.5 * full).powi(2) + 1e-6,
            (0, _) | (_, 0) => 0.0,
            _ => 0.04 * (-(2.0 * (i as f64 - j as f64).abs()) / 10.0).exp(),
        };
        let noise = (0.004_f64 * 20.0).powi(2);
        let cross = |k: usize, t: usize| (0..=n).map(|j| prior(k, j) * maps[j][t]).sum::<f64>();
        let s: Vec<Vec<f64>> = (0..n)
            .map(|t| {
                (0..n)
                    .map(|u| {
                        (0..=n).map(|k| maps[k][t] * cross(k, u)).sum::<f64>()
                            + if t == u { noise } else { 0.0 }
                    })
                    .collect()
            })
            .collect();
        let off: Vec<f64> = (0..n)
            .map(|t| {
                fed[t].mass.unwrap() - (0..=n).map(|k| maps[k][t] * prior_mean(k)).sum::<f64>()
            })
            .collect();
        let weighed = solve(s.clone(), off);
        for (i, (value, variance)) in unmix(&fed, &mixing).into_iter().enumerate() {
            let c: Vec<f64> = (0..n).map(|t| cross(i + 1, t)).collect();
            let mean = 1.0 + c.iter().zip(&weighed).map(|(c, w)| c * w).sum::<f64>();
            let told = solve(s.clone(), c.clone());
            let var = 0.04 - c.iter().zip(&told).map(|(c, w)| c * w).sum::<f64>();
            assert!((value - mean).abs() < 1e-5, "{i}: {value} {mean}");
            assert!((variance - var).abs() < 1e-5, "{i}: {variance} {var}");
        }
    }

    /// A machine of 3 s behind 5 s: its own stream says so.
    #[test]
    fn dead_time_and_lag_come_back_from_the_stream() {
        let n = 3_000;
        let mut stream = Stream::new(2, "lag", 1);
        let mut fed = records(n);
        for (i, one) in fed.iter_mut().enumerate() {
            one.area = if i % 200 > 175 {
                0.0
            } else {
                18.0 * (1.0 + 0.1 * stream.normal())
            };
        }
        let mut yields = 1.0;
        let ground: Vec<(f64, f64)> = fed
            .iter()
            .map(|one| {
                yields = 1.0 + 0.95 * (yields - 1.0) + 0.05 * stream.normal();
                (1.0, one.area * yields)
            })
            .collect();
        let read: Vec<f64> = remix(ground.into_iter(), 3.0)
            .into_iter()
            .map(|mass| mass * (1.0 + 0.03 * stream.normal()))
            .collect();
        // five records late on the log
        let late = |dead_s: f64| -> Vec<Fed> {
            let at = |i: usize, whole: f64| {
                let at = i as f64 + whole - 5.0;
                (at >= 0.0)
                    .then(|| read.get(at as usize).copied())
                    .flatten()
            };
            fed.iter()
                .enumerate()
                .map(|(i, one)| {
                    let part = dead_s - dead_s.floor();
                    let mass = at(i, dead_s.floor())
                        .zip(at(i, dead_s.floor() + 1.0))
                        .map(|(a, b)| a + part * (b - a));
                    Fed { mass, ..*one }
                })
                .collect()
        };
        let (dead_s, mixing) = find(&late, Mixing::usual(1.0), 7.5);
        assert!(
            (dead_s - 5.0).abs() <= 0.5 && (mixing.lag_s - 3.0).abs() <= 0.5,
            "{dead_s} {mixing:?}"
        );
    }

    #[test]
    fn what_is_mixed_is_conserved() {
        let ground: Vec<(f64, f64)> = (0..50)
            .map(|i| (1.0, if i < 20 { 2.0 } else { 0.0 }))
            .collect();
        let out: f64 = remix(ground.into_iter(), 3.0).iter().sum();
        // 20 records of 2 and the store that stood full before them
        assert!((out - (40.0 + 6.0)).abs() < 1e-3, "{out}");
    }
}
