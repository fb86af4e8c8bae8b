//! Which measurements do not fit, and which cannot be told apart.

use super::Network;
use super::solve::Fit;
use numeric::distribution::normal_quantile;

/// Residuals that correlate more than this behave alike.
pub(super) const ALIKE: f64 = 0.95;
/// Share of a measurement's variance that its residual must keep to be put to the test.
pub(super) const REDUNDANT: f64 = 1e-9;
/// Unknowns in more rows than this join a whole season (a factor, an offset): sharing one does not
/// make two measurements neighbors.
const SHARED: usize = 24;

/// The |z| that alarms: two-sided normal at the Sidak level for this many distinct tests.
///
/// ```
/// assert!((account::square::network::critical(0.05, 10) - 2.7996).abs() < 5e-5);
/// ```
pub fn critical(level: f64, tests: usize) -> f64 {
    let each = 1.0 - (1.0 - level).powf(1.0 / tests.max(1) as f64);
    normal_quantile(1.0 - each / 2.0)
}

/// The measurement tests of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Tests {
    /// Residual over its standard error; `None` where it is not tested or nothing checks it.
    pub z: Vec<Option<f64>>,
    /// Distinct tests: an equivalent set is one.
    pub distinct: usize,
    /// Measurements that behave like this one, with the correlation of their residuals.
    pub alike: Vec<Vec<(usize, f64)>>,
}

/// Whether a measurement is put to the test in this fit.
pub(super) fn checked(network: &Network, fit: &Fit, index: usize) -> bool {
    network.measurements[index].tested
        && fit.active[index]
        && fit.residual_variance(index) > REDUNDANT * fit.variances[index]
}

/// Neighbors: measurements that share an unknown that is not shared by a whole season.
fn neighbors(fit: &Fit, tested: &[bool]) -> Vec<Vec<usize>> {
    let mut holders: Vec<Vec<usize>> = vec![Vec::new(); fit.elimination.free.len()];
    for (index, row) in fit.rows.iter().enumerate() {
        if tested[index] {
            for &(c, _) in row {
                holders[c].push(index);
            }
        }
    }
    let mut found = vec![Vec::new(); fit.rows.len()];
    for holder in holders.iter().filter(|h| h.len() <= SHARED) {
        for &a in holder {
            found[a].extend(holder.iter().copied().filter(|&b| b != a));
        }
    }
    for list in &mut found {
        list.sort_unstable();
        list.dedup();
    }
    found
}

/// Tests every measurement of a fit.
pub fn tests(network: &Network, fit: &Fit) -> Tests {
    let count = fit.rows.len();
    let tested: Vec<bool> = (0..count).map(|i| checked(network, fit, i)).collect();
    let z = (0..count)
        .map(|i| tested[i].then(|| fit.residuals[i] / fit.residual_variance(i).sqrt()))
        .collect();
    let mut inverse = fit.factor.inverse();
    let mut alike = vec![Vec::new(); count];
    let mut set: Vec<usize> = (0..count).collect();
    for (a, list) in neighbors(fit, &tested).into_iter().enumerate() {
        for b in list.into_iter().filter(|&b| b > a) {
            let covariance = -inverse.between(&fit.rows[a], &fit.rows[b]);
            let size = (fit.residual_variance(a) * fit.residual_variance(b)).sqrt();
            let correlation = covariance / size;
            if correlation.abs() > ALIKE {
                alike[a].push((b, correlation));
                alike[b].push((a, correlation));
                let (ra, rb) = (root(&set, a), root(&set, b));
                set[ra.max(rb)] = ra.min(rb);
            }
        }
    }
    let distinct = (0..count)
        .filter(|&i| tested[i] && root(&set, i) == i)
        .count();
    Tests { z, distinct, alike }
}

fn root(set: &[usize], mut at: usize) -> usize {
    while set[at] != at {
        at = set[at];
    }
    at
}
