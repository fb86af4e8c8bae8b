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

/// What the sensor reads of ground, record by record: the machine run forward, its store at first as full as the
/// first ground keeps it.
pub(super) fn remix(ground: impl Iterator<Item = (f64, f64)>, lag_s: f64) -> Vec<f64> {
    let mut store: Option<f64> = None;
    ground
        .map(|(dt, mass)| {
            let keep = if lag_s > 1e-6 {
                (-dt / lag_s).exp()
            } else {
                0.0
            };
            let held = lag_s * (1.0 - keep) / dt;
            let before = store.unwrap_or(mass / dt * lag_s);
            store = Some(keep * before + held * mass);
            (1.0 - keep) * before + (1.0 - held) * mass
        })
        .collect()
}

type Pair = [f64; 2];
/// A symmetric 2 x 2: xx, xy, yy.
type Sym = [f64; 3];

#[derive(Clone, Copy)]
struct State {
    mean: Pair,
    cov: Sym,
    /// What took it to the next: store kept, store fed by yield, yield kept.
    step: [f64; 3],
    predicted: (Pair, Sym),
    begins: bool,
}

/// Twice the negative log-likelihood, a record, and if wanted yield and its variance for each record.
pub(crate) fn run(fed: &[Fed], mixing: &Mixing, smooth: bool) -> (f64, Vec<(f64, f64)>) {
    let mut cost = 0.0;
    let mut counted = 0.0;
    let mut states: Vec<State> = Vec::with_capacity(if smooth { fed.len() } else { 0 });
    let var = mixing.sd * mixing.sd;
    let (mut mean, mut cov): (Pair, Sym) = ([0.0; 2], [0.0; 3]);
    let mut step = [0.0; 3];
    // flow that noise is a share of: what is cut at the mean yield lately
    let mut level = 0.0;
    for one in fed {
        let keep = if mixing.lag_s > 1e-6 {
            (-one.dt / mixing.lag_s).exp()
        } else {
            0.0
        };
        let held = mixing.lag_s * (1.0 - keep) / one.dt;
        if one.begins {
            // a store that nobody saw before: as full as its first flow says
            let first = one.mass.unwrap_or(0.0) / one.dt * mixing.lag_s;
            mean = [first, mixing.mean];
            cov = [(0.5 * first).powi(2) + 1e-6, 0.0, var];
            level = one.mass.unwrap_or(0.0);
        } else {
            let phi = (-one.moved / mixing.reach_m).exp();
            let (m, y) = (mean[0], mean[1]);
            let [a, c, _] = step;
            mean = [a * m + c * y, mixing.mean + phi * (y - mixing.mean)];
            let [xx, xy, yy] = cov;
            cov = [
                a * a * xx + 2.0 * a * c * xy + c * c * yy + 1e-9,
                phi * (a * xy + c * yy),
                phi * phi * yy + var * (1.0 - phi * phi) + 1e-12,
            ];
            if let Some(last) = states.last_mut() {
                last.step[2] = phi;
            }
        }
        let predicted = (mean, cov);
        let h = [1.0 - keep, (1.0 - held) * one.area];
        if let Some(mass) = one.mass {
            let expected = h[0] * mean[0] + h[1] * mean[1];
            level = 0.7 * level + 0.3 * mass;
            let r = (mixing.noise * level.max(expected).max(0.0)).powi(2)
                + (0.004 * mixing.mean * 20.0 * one.dt).powi(2);
            let [xx, xy, yy] = cov;
            let s0 = h[0] * h[0] * xx + 2.0 * h[0] * h[1] * xy + h[1] * h[1] * yy;
            let off = mass - expected;
            // what is far out tells little
            let odd = off * off / (s0 + r);
            let r = if odd > 16.0 {
                r + (odd / 16.0 - 1.0) * (s0 + r)
            } else {
                r
            };
            let s = s0 + r;
            cost += (off * off / s).min(16.0) + s.ln();
            counted += 1.0;
            let gain = [(xx * h[0] + xy * h[1]) / s, (xy * h[0] + yy * h[1]) / s];
            mean = [mean[0] + gain[0] * off, mean[1] + gain[1] * off];
            cov = [
                xx - gain[0] * gain[0] * s,
                xy - gain[0] * gain[1] * s,
                yy - gain[1] * gain[1] * s,
            ];
        }
        step = [keep, held * one.area, 0.0];
        if smooth {
            states.push(State {
                mean,
                cov,
                step,
                predicted,
                begins: one.begins,
            });
        }
    }
    let mut out = vec![(0.0, 0.0); states.len()];
    let mut next: Option<(Pair, Sym)> = None;
    for i in (0..states.len()).rev() {
        let state = states[i];
        let (mean, cov) = match next {
            Some((m1, p1)) if !states[i + 1].begins => {
                let (mp, pp) = states[i + 1].predicted;
                let [a, c, phi] = state.step;
                let [xx, xy, yy] = state.cov;
                // P F', F = [a c; 0 phi]
                let pf = [[a * xx + c * xy, phi * xy], [a * xy + c * yy, phi * yy]];
                let det = pp[0] * pp[2] - pp[1] * pp[1];
                let inv = [pp[2] / det, -pp[1] / det, pp[0] / det];
                let g = [
                    [
                        pf[0][0] * inv[0] + pf[0][1] * inv[1],
                        pf[0][0] * inv[1] + pf[0][1] * inv[2],
                    ],
                    [
                        pf[1][0] * inv[0] + pf[1][1] * inv[1],
                        pf[1][0] * inv[1] + pf[1][1] * inv[2],
                    ],
                ];
                let d = [m1[0] - mp[0], m1[1] - mp[1]];
                let dp = [p1[0] - pp[0], p1[1] - pp[1], p1[2] - pp[2]];
                let mean = [
                    state.mean[0] + g[0][0] * d[0] + g[0][1] * d[1],
                    state.mean[1] + g[1][0] * d[0] + g[1][1] * d[1],
                ];
                let quad = |r: [f64; 2], s: [f64; 2]| {
                    r[0] * s[0] * dp[0] + (r[0] * s[1] + r[1] * s[0]) * dp[1] + r[1] * s[1] * dp[2]
                };
                let cov = [
                    (xx + quad(g[0], g[0])).max(1e-12),
                    xy + quad(g[0], g[1]),
                    (yy + quad(g[1], g[1])).max(1e-12),
                ];
                (mean, cov)
            }
            _ => (state.mean, state.cov),
        };
        out[i] = (mean[1], cov[2]);
        next = Some((mean, cov));
    }
    (
        if counted > 0.0 {
            cost / counted
        } else {
            f64::NAN
        },
        out,
    )
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
                let (cost, _) = run(&here, &mixing, false);
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
                    let (cost, _) = run(&fed, &mixing, false);
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
