//! A curve fitted to a variogram.
//!
//! For a given range the nugget and the sill are a weighted least squares of two columns, kept at 0 or above; so only
//! the range is searched, from several starts over its bounds.

use crate::{Bin, Kind, Model, SpatialError};
use serde::{Deserialize, Serialize};

/// How bins weigh, by name, for there are at least three called Cressie's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weights {
    /// `N`: pairs.
    Pairs,
    /// `N / h^2`, h the bin's mean distance.
    PairsOverDistance2,
    /// `N / gamma(h)^2`, gamma the model's (Cressie 1985): repeated until it settles.
    PairsOverModel2,
    /// `N / gamma_hat(h)^2`, gamma_hat the bin's own.
    PairsOverBin2,
    /// 1.
    Equal,
}

/// A fitted curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// The curve.
    pub model: Model,
    /// Weighted sum of squares.
    pub sse: f64,
    /// The range ran to its bound, or the structure is not reached within what was looked at: the sill and the
    /// range are then not known apart.
    pub runaway: bool,
}

/// Fits a kind of curve.
///
/// # Errors
/// Fewer than four bins.
pub fn fit(bins: &[Bin], kind: Kind, weights: Weights) -> Result<Fit, SpatialError> {
    const LEAST: usize = 4;
    if bins.len() < LEAST {
        return Err(SpatialError::TooFew {
            what: "bins of a variogram",
            found: bins.len(),
            wanted: LEAST,
        });
    }
    let far = bins.iter().map(|one| one.distance_m).fold(0.0, f64::max);
    let near = bins
        .iter()
        .map(|one| one.distance_m)
        .filter(|d| *d > 0.0)
        .fold(far, f64::min);
    let (low, high) = (0.2 * near / kind.reach(), 3.0 * far);
    let base: Vec<f64> = bins
        .iter()
        .map(|one| {
            let n = one.pairs as f64;
            match weights {
                Weights::Pairs | Weights::PairsOverModel2 => n,
                Weights::PairsOverDistance2 => n / one.distance_m.max(1e-9).powi(2),
                Weights::PairsOverBin2 => n / one.gamma.max(1e-12).powi(2),
                Weights::Equal => 1.0,
            }
        })
        .collect();
    let mut best = search(bins, kind, &base, low, high);
    if weights == Weights::PairsOverModel2 {
        for _ in 0..50 {
            let own: Vec<f64> = bins
                .iter()
                .zip(&base)
                .map(|(one, n)| n / best.0.semivariance(one.distance_m).max(1e-12).powi(2))
                .collect();
            let next = search(bins, kind, &own, low, high);
            let settled = (next.0.range_m / best.0.range_m - 1.0).abs() < 1e-9;
            best = next;
            if settled {
                break;
            }
        }
    }
    let (model, sse) = best;
    Ok(Fit {
        model,
        sse,
        runaway: model.range_m > 0.98 * high || model.range_m * kind.reach() > 1.5 * far,
    })
}

fn search(bins: &[Bin], kind: Kind, weights: &[f64], low: f64, high: f64) -> (Model, f64) {
    const STARTS: i32 = 60;
    let step = (high / low).ln() / f64::from(STARTS);
    let at = |k: i32| linear(bins, kind, weights, low * (step * f64::from(k)).exp());
    let Some((middle, _)) = (0..=STARTS)
        .map(|k| (k, at(k).1))
        .min_by(|a, b| a.1.total_cmp(&b.1))
    else {
        return linear(bins, kind, weights, low);
    };
    // golden section on the log of the range about the best start
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let of = |x: f64| linear(bins, kind, weights, low * (step * x).exp());
    let (mut a, mut b) = (
        f64::from((middle - 1).max(0)),
        f64::from((middle + 1).min(STARTS)),
    );
    let (mut c, mut d) = (b - golden * (b - a), a + golden * (b - a));
    let (mut fc, mut fd) = (of(c), of(d));
    for _ in 0..80 {
        if fc.1 < fd.1 {
            (b, d, fd) = (d, c, fc);
            c = b - golden * (b - a);
            fc = of(c);
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + golden * (b - a);
            fd = of(d);
        }
    }
    let mut best = if fc.1 < fd.1 { fc } else { fd };
    for end in [at(0), at(STARTS)] {
        if end.1 < best.1 {
            best = end;
        }
    }
    best
}

/// Nugget and sill at a range, none below 0.
fn linear(bins: &[Bin], kind: Kind, weights: &[f64], range_m: f64) -> (Model, f64) {
    let (mut s1, mut sf, mut sff, mut sg, mut sgf) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (one, w) in bins.iter().zip(weights) {
        let f = 1.0 - kind.correlation(one.distance_m / range_m);
        s1 += w;
        sf += w * f;
        sff += w * f * f;
        sg += w * one.gamma;
        sgf += w * one.gamma * f;
    }
    let det = s1 * sff - sf * sf;
    let (mut nugget, mut sill) = if det > 1e-12 * s1 * sff {
        ((sff * sg - sf * sgf) / det, (s1 * sgf - sf * sg) / det)
    } else {
        (sg / s1, 0.0)
    };
    if nugget < 0.0 {
        (nugget, sill) = (0.0, (sgf / sff.max(1e-300)).max(0.0));
    }
    if sill < 0.0 {
        (nugget, sill) = (sg / s1, 0.0);
    }
    let model = Model {
        kind,
        nugget,
        sill,
        range_m,
    };
    let sse = bins
        .iter()
        .zip(weights)
        .map(|(one, w)| w * (one.gamma - model.semivariance(one.distance_m)).powi(2))
        .sum();
    (model, sse)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bins(model: Model) -> Vec<Bin> {
        (1..=25)
            .map(|k| {
                let distance_m = 10.0 * f64::from(k) - 5.0;
                Bin {
                    pairs: 1_000 * k as u64,
                    distance_m,
                    gamma: model.semivariance(distance_m),
                }
            })
            .collect()
    }

    #[test]
    fn a_curve_comes_back_whatever_the_weights() {
        for kind in [
            Kind::Exponential,
            Kind::Spherical,
            Kind::Gaussian,
            Kind::Matern32,
            Kind::Matern52,
        ] {
            let model = Model {
                kind,
                nugget: 37.0,
                sill: 105.0,
                range_m: 40.0,
            };
            for weights in [
                Weights::Pairs,
                Weights::PairsOverDistance2,
                Weights::PairsOverModel2,
                Weights::PairsOverBin2,
                Weights::Equal,
            ] {
                let found = fit(&bins(model), kind, weights).unwrap();
                assert!(
                    (found.model.range_m - 40.0).abs() < 1e-3,
                    "{kind:?} {weights:?} {found:?}"
                );
                assert!((found.model.nugget - 37.0).abs() < 1e-3 && !found.runaway);
            }
        }
    }

    #[test]
    fn a_line_without_end_runs_away_and_a_flat_one_is_all_nugget() {
        let mut all = bins(Model {
            kind: Kind::Exponential,
            nugget: 5.0,
            sill: 0.0,
            range_m: 1.0,
        });
        let flat = fit(&all, Kind::Exponential, Weights::Pairs).unwrap();
        assert!((flat.model.nugget + flat.model.sill - 5.0).abs() < 1e-6);
        for one in &mut all {
            one.gamma = 0.1 * one.distance_m;
        }
        assert!(
            fit(&all, Kind::Exponential, Weights::Pairs)
                .unwrap()
                .runaway
        );
        assert!(fit(&all[..3], Kind::Exponential, Weights::Pairs).is_err());
    }
}
