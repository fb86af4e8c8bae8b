//! How values differ with distance.

use crate::grid::square;
use crate::{Grid, Place, SpatialError};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// How the differences of a bin are put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Estimator {
    /// Half the mean squared difference (Matheron).
    Classical,
    /// `mean(sqrt|d|)^4 / (2 (0.457 + 0.494/N))`, which outliers move less (Cressie and Hawkins 1980).
    CressieHawkins,
}

/// Which pairs count.
#[derive(Debug, Clone, Copy)]
pub enum Pairs<'a> {
    /// All.
    All,
    /// Those of one group only.
    Within(&'a [u32]),
    /// Those of two groups only.
    Between(&'a [u32]),
}

/// Pairs whose distance is above the bin before and at most this bin's end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bin {
    /// Pairs.
    pub pairs: u64,
    /// Their mean distance, m.
    pub distance_m: f64,
    /// Semivariance.
    pub gamma: f64,
}

#[derive(Clone, Copy, Default)]
struct Sum {
    n: u64,
    distance: f64,
    value: f64,
}

/// Points in a piece of the work.
const PIECE: usize = 512;

/// Bins of a width up to a cutoff; those without a pair are left out. A distance of exactly 0 falls in the first.
/// Places that are not finite make no pair.
///
/// Limitations: no direction; every pair counts alike, so that dense ground tells most.
///
/// # Errors
/// Lists of different lengths, values that are not finite, or a width or cutoff that cannot be meant.
pub fn variogram(
    places: &[Place],
    values: &[f64],
    width_m: f64,
    cutoff_m: f64,
    estimator: Estimator,
    pairs: Pairs<'_>,
) -> Result<Vec<Bin>, SpatialError> {
    if places.len() != values.len() {
        return Err(SpatialError::odd("values", values.len(), "one a place"));
    }
    if let Some(bad) = values.iter().find(|v| !v.is_finite()) {
        return Err(SpatialError::odd("a value", bad, "a number"));
    }
    if !(width_m > 0.0 && cutoff_m >= width_m && cutoff_m / width_m < 1e5) {
        return Err(SpatialError::odd(
            "width and cutoff of a variogram",
            format!("{width_m} and {cutoff_m} m"),
            "a width above 0 and a cutoff of at least that",
        ));
    }
    let bins = (cutoff_m / width_m).ceil() as usize;
    // in the order of cells, neighbors lie near each other in memory too
    let order = by_cell(places, 0.25 * cutoff_m);
    let sorted: Vec<Place> = order.iter().map(|i| places[*i as usize]).collect();
    let value: Vec<f64> = order.iter().map(|i| values[*i as usize]).collect();
    let group: Option<Vec<u32>> = match pairs {
        Pairs::All => None,
        Pairs::Within(of) | Pairs::Between(of) => {
            if of.len() != places.len() {
                return Err(SpatialError::odd("groups", of.len(), "one a place"));
            }
            Some(order.iter().map(|i| of[*i as usize]).collect())
        }
    };
    let same = matches!(pairs, Pairs::Within(_));
    let grid = Grid::new(sorted.clone(), 0.25 * cutoff_m);
    let cut2 = cutoff_m * cutoff_m;
    let pieces: Vec<Vec<Sum>> = (0..sorted.len().div_ceil(PIECE))
        .into_par_iter()
        .map(|piece| {
            let mut sums = vec![Sum::default(); bins];
            for i in piece * PIECE..((piece + 1) * PIECE).min(sorted.len()) {
                let (at, v) = (sorted[i], value[i]);
                grid.about(at, cutoff_m, |j| {
                    if j <= i {
                        return;
                    }
                    let d2 = square(at, sorted[j]);
                    let near = d2 <= cut2;
                    if !near || group.as_ref().is_some_and(|of| (of[i] == of[j]) != same) {
                        return;
                    }
                    let d = d2.sqrt();
                    let bin = ((d / width_m).ceil() as usize).clamp(1, bins) - 1;
                    let off = v - value[j];
                    let sum = &mut sums[bin];
                    sum.n += 1;
                    sum.distance += d;
                    sum.value += match estimator {
                        Estimator::Classical => off * off,
                        Estimator::CressieHawkins => off.abs().sqrt(),
                    };
                });
            }
            sums
        })
        .collect();
    let mut all = vec![Sum::default(); bins];
    for sums in &pieces {
        for (total, one) in all.iter_mut().zip(sums) {
            total.n += one.n;
            total.distance += one.distance;
            total.value += one.value;
        }
    }
    Ok(all
        .into_iter()
        .filter(|one| one.n > 0)
        .map(|one| {
            let n = one.n as f64;
            let mean = one.value / n;
            Bin {
                pairs: one.n,
                distance_m: one.distance / n,
                gamma: match estimator {
                    Estimator::Classical => 0.5 * mean,
                    Estimator::CressieHawkins => 0.5 * mean.powi(4) / (0.457 + 0.494 / n),
                },
            }
        })
        .collect())
}

/// Places in the order of square cells.
fn by_cell(places: &[Place], cell_m: f64) -> Vec<u32> {
    let mut order: Vec<u32> = (0..places.len() as u32).collect();
    let cell = |i: &u32| {
        let place = places[*i as usize];
        [1, 0].map(|axis| (place[axis] / cell_m).floor() as i64)
    };
    order.sort_by_key(cell);
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_a_number_counts_nowhere_or_is_refused() {
        let places = [[0.0, 0.0], [3.0, 4.0], [f64::NAN, 1.0], [6.0, 8.0]];
        let values = [1.0, 3.0, 100.0, 2.0];
        let of = |values: &[f64]| {
            variogram(&places, values, 6.0, 12.0, Estimator::Classical, Pairs::All)
        };
        let bins = of(&values).unwrap();
        assert_eq!(bins.len(), 2);
        assert_eq!((bins[0].pairs, bins[0].distance_m), (2, 5.0));
        assert!((bins[0].gamma - 0.25 * (4.0 + 1.0)).abs() < 1e-12);
        assert_eq!((bins[1].pairs, bins[1].distance_m), (1, 10.0));
        assert!(of(&[1.0, f64::NAN, 0.0, 2.0]).is_err());
    }
}
