//! Setting aside what does not fit, one after another, and letting back in what does.

use super::solve::{Fit, dot};
use super::tests::{ALIKE, REDUNDANT, Tests, checked, critical, tests};
use super::{Network, fit, fit_with};
use crate::square::SquareError;
use std::collections::BTreeMap;

/// Below that, a measurement still stands in for another when their residuals correlate this much
/// and setting it aside would take as much off the chi-square but for this (odds of 10 to 1).
const STANDS_IN: f64 = 0.6;
const NEARLY: f64 = 4.6;
/// Rounds of testing everything once more without the suspects.
const ROUNDS: usize = 3;
/// Further rounds while masses are held at nothing.
const CAREFUL: usize = 8;
/// Log odds from which a measurement is set aside for what it looks like alone.
const PLAINLY_ODD: f64 = 1.0;
/// Most that the looks of a measurement count.
const MOST_ODD: f64 = 8.0;

/// One measurement set aside.
#[derive(Debug, Clone, PartialEq)]
pub struct Aside {
    /// Which.
    pub measurement: usize,
    /// Its test when it was set aside.
    pub z: f64,
    /// The measurements that no test told from it then, with the correlation; itself left out.
    pub alike: Vec<(usize, f64)>,
}

/// What does not fit.
#[derive(Debug, Clone)]
pub struct Verdict {
    /// The fit with everything.
    pub first: Fit,
    /// Its tests.
    pub tests: Tests,
    /// The |z| that alarms.
    pub critical: f64,
    /// The largest |z| with everything.
    pub worst: f64,
    /// What was set aside, the worst first.
    pub aside: Vec<Aside>,
    /// The fit without what was set aside.
    pub last: Fit,
}

/// Tests, sets the worst aside by exact deletion until nothing alarms, and tests everything once
/// more without the suspects, who come back when they turn out to fit.
///
/// # Errors
/// As [`fit`].
pub fn judge(network: &Network, level: f64) -> Result<Verdict, SquareError> {
    judge_odd(
        network,
        level,
        &vec![f64::NEG_INFINITY; network.measurements.len()],
    )
}

/// As [`judge`], with log odds, for each measurement, that it is wrong by what it looks like alone:
/// of two that explain a misfit alike the odder goes first, and one that is odd enough goes anyway.
///
/// # Errors
/// As [`fit`].
pub fn judge_odd(network: &Network, level: f64, oddity: &[f64]) -> Result<Verdict, SquareError> {
    let first = fit(network)?;
    let tests_of_first = tests(network, &first);
    let critical = critical(level, tests_of_first.distinct);
    let worst = tests_of_first
        .z
        .iter()
        .flatten()
        .fold(0.0_f64, |m, z| m.max(z.abs()));
    let mut aside: Vec<Aside> = Vec::new();
    let mut last = first.clone();
    let odd: Vec<usize> = (0..oddity.len())
        .filter(|&m| oddity[m] > PLAINLY_ODD && network.measurements[m].tested)
        .collect();
    for &measurement in &odd {
        let z = tests_of_first.z[measurement].unwrap_or(0.0);
        let alike = tests_of_first.alike[measurement].clone();
        aside.push(Aside {
            measurement,
            z,
            alike,
        });
    }
    if !odd.is_empty() {
        last = without(network, &aside)?;
    }
    let mut rounds = 0;
    let mut careful = 0;
    while rounds < ROUNDS {
        // a mass held at nothing by a mistake elsewhere makes others look wrong: then only the worst
        // go, and the masses are looked at again
        let holding = !last.held.is_empty() && careful < CAREFUL;
        let more = delete_serially(
            network,
            &last,
            critical,
            if holding { 0.6 } else { 0.0 },
            oddity,
        );
        let found = !more.is_empty();
        aside.extend(more);
        if found {
            last = without(network, &aside)?;
        }
        let back = readmit(network, &mut aside, &mut last, critical, &odd)?;
        if holding {
            careful += 1;
        } else {
            rounds += 1;
        }
        if !(found || back && holding) {
            break;
        }
    }
    Ok(Verdict {
        first,
        tests: tests_of_first,
        critical,
        worst,
        aside,
        last,
    })
}

fn without(network: &Network, aside: &[Aside]) -> Result<Fit, SquareError> {
    let mut active = vec![true; network.measurements.len()];
    for a in aside {
        active[a.measurement] = false;
    }
    fit_with(network, &active)
}

/// Lets those back in that turn out to fit, the least suspect first; says whether any came back.
fn readmit(
    network: &Network,
    aside: &mut Vec<Aside>,
    last: &mut Fit,
    critical: f64,
    odd: &[usize],
) -> Result<bool, SquareError> {
    let mut any = false;
    loop {
        // several may contradict each other, so one at a time unless all of them are predicted
        let fits =
            |a: &&Aside| !odd.contains(&a.measurement) && returns(last, a.measurement, critical);
        let back: Vec<usize> = aside.iter().filter(fits).map(|a| a.measurement).collect();
        if !back.is_empty() {
            aside.retain(|a| !back.contains(&a.measurement));
        } else if let Some(at) = aside.iter().rposition(|a| {
            !odd.contains(&a.measurement) && !last.determines_reduced(&last.rows[a.measurement])
        }) {
            // nothing contradicts it any more
            aside.remove(at);
        } else {
            return Ok(any);
        }
        any = true;
        *last = without(network, aside)?;
    }
}

/// Whether setting another aside instead would have explained as much, or nearly.
fn stands_in(z: f64, other: f64, correlation: f64) -> bool {
    correlation.abs() > ALIKE || correlation.abs() > STANDS_IN && z * z - other * other < NEARLY
}

/// Whether a measurement that was set aside fits what the rest predicts.
fn returns(fit: &Fit, measurement: usize, critical: f64) -> bool {
    fit.determines_reduced(&fit.rows[measurement])
        && fit.residuals[measurement].abs() <= critical * fit.residual_variance(measurement).sqrt()
}

/// The state that deletion updates: everything that a refit without the deleted would give at the
/// same linearisation.
pub(super) struct Deleting<'a> {
    fit: &'a Fit,
    pub(super) residuals: Vec<f64>,
    pub(super) variances: Vec<f64>,
    /// Deleted: covariance of its fitted value with all columns, and its residual variance then.
    gone: Vec<(Vec<f64>, f64)>,
    deleted: Vec<bool>,
}

impl<'a> Deleting<'a> {
    pub(super) fn new(fit: &'a Fit) -> Self {
        Self {
            fit,
            residuals: fit.residuals.clone(),
            variances: (0..fit.rows.len())
                .map(|i| fit.residual_variance(i))
                .collect(),
            gone: Vec::new(),
            deleted: fit.active.iter().map(|active| !active).collect(),
        }
    }

    /// Covariance of one fitted measurement with every column and every fitted measurement, given
    /// the deletions so far: one sparse solve, then a rank-one term for each deleted before.
    fn against_all(&self, measurement: usize) -> (Vec<f64>, Vec<f64>) {
        let row = &self.fit.rows[measurement];
        let (mut columns, mut with) = self.fit.against_all(row);
        if !self.gone.is_empty() {
            for (direction, variance) in &self.gone {
                let share = dot(row, direction) / variance;
                if share != 0.0 {
                    for (c, d) in columns.iter_mut().zip(direction) {
                        *c += share * d;
                    }
                }
            }
            for (value, row) in with.iter_mut().zip(&self.fit.rows) {
                *value = dot(row, &columns);
            }
        }
        (columns, with)
    }

    /// Deletes one measurement; returns the correlation of its residual with every other's.
    pub(super) fn delete(&mut self, measurement: usize) -> Vec<f64> {
        let (columns, with) = self.against_all(measurement);
        let own = self.variances[measurement];
        let rest = self.residuals[measurement];
        let mut correlations = vec![0.0; with.len()];
        for (j, &shared) in with.iter().enumerate() {
            if j == measurement {
                continue;
            }
            let size = (own * self.variances[j].max(0.0)).sqrt();
            correlations[j] = if size > 0.0 { -shared / size } else { 0.0 };
            self.residuals[j] += shared * rest / own;
            // what was deleted before is now predicted less well; what is left has more to say of itself
            let change = shared * shared / own;
            self.variances[j] += if self.deleted[j] { change } else { -change };
        }
        // measured less what the others predict, and the variance of that difference
        let full = self.fit.variances[measurement];
        self.residuals[measurement] = rest * full / own;
        self.variances[measurement] = full * full / own;
        self.deleted[measurement] = true;
        self.gone.push((columns, own));
        correlations
    }
}

/// Log evidence of a network in which any measurement may be a blunder, at `ln_blunder` each: the best
/// found by deleting as long as that helps. Returns what was deleted too.
pub(crate) fn robust_evidence(
    network: &Network,
    fit: &Fit,
    range: f64,
    ln_blunder: f64,
) -> (f64, Vec<usize>) {
    let mut evidence = fit.ln_evidence(network, range);
    let mut state = Deleting::new(fit);
    let mut open: Vec<usize> = (0..fit.rows.len())
        .filter(|&i| checked(network, fit, i))
        .collect();
    let mut gone = Vec::new();
    loop {
        open.retain(|&i| state.variances[i] > REDUNDANT * fit.variances[i]);
        let gain = |i: usize| {
            let (rest, left, own) = (state.residuals[i], state.variances[i], fit.variances[i]);
            // less the log density of the measurement as the others predict it
            0.5 * (rest * rest / left + (std::f64::consts::TAU * own * own / left).ln())
                + ln_blunder
        };
        let best = open
            .iter()
            .map(|&i| (gain(i), i))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        match best {
            Some((better, chosen)) if better > 0.0 => {
                evidence += better;
                state.delete(chosen);
                open.retain(|&i| i != chosen);
                gone.push(chosen);
            }
            _ => return (evidence, gone),
        }
    }
}

/// The worst measurement, or of those that no test tells from it the worst whose mass could be what
/// the others then say: a slip cannot be so wrong that it moved less than nothing.
fn possible(
    network: &Network,
    fit: &Fit,
    state: &Deleting<'_>,
    open: &[usize],
    worst: usize,
) -> usize {
    let could = |i: usize| {
        let shift = fit.variances[i] / state.variances[i];
        let error = fit.variances[i] / state.variances[i].sqrt();
        network.measurements[i]
            .written(&network.unknowns)
            .is_none_or(|w| w - state.residuals[i] * shift >= -2.0 * error)
    };
    if could(worst) {
        return worst;
    }
    let (_, with) = state.against_all(worst);
    let size = |i: usize| state.residuals[i].abs() / state.variances[i].sqrt();
    open.iter()
        .copied()
        .filter(|&i| {
            let scale = (state.variances[i] * state.variances[worst]).sqrt();
            i != worst && with[i].abs() > ALIKE * scale && could(i)
        })
        .max_by(|&a, &b| size(a).total_cmp(&size(b)).then(b.cmp(&a)))
        .unwrap_or(worst)
}

/// Sets the worst aside by exact deletion until none is past `critical`, nor past `share` of the
/// first one's |z|.
fn delete_serially(
    network: &Network,
    fit: &Fit,
    critical: f64,
    share: f64,
    oddity: &[f64],
) -> Vec<Aside> {
    let mut least = critical;
    let mut state = Deleting::new(fit);
    let mut open: Vec<usize> = (0..fit.rows.len())
        .filter(|&i| checked(network, fit, i))
        .collect();
    let mut found = Vec::new();
    loop {
        open.retain(|&i| state.variances[i] > REDUNDANT * fit.variances[i]);
        let size = |i: usize| state.residuals[i].abs() / state.variances[i].sqrt();
        let Some(worst) = open.iter().map(|&i| size(i)).reduce(f64::max) else {
            return found;
        };
        if worst <= least {
            return found;
        }
        least = least.max(share * worst);
        // what a measurement looks like by itself counts beside how badly it fits; members of an
        // equivalent set tie but for rounding, and the first of them stands for the set
        let weight = |i: usize| 0.5 * size(i).powi(2) + oddity[i].clamp(0.0, MOST_ODD);
        let past = |i: &usize| size(*i) > least.min(worst * (1.0 - 1e-7));
        let heaviest = open
            .iter()
            .filter(|i| past(i))
            .map(|&i| weight(i))
            .fold(0.0, f64::max);
        let Some(&first) = open
            .iter()
            .find(|i| past(i) && weight(**i) >= heaviest * (1.0 - 2e-7))
        else {
            return found;
        };
        let chosen = possible(network, fit, &state, &open, first);
        let z = state.residuals[chosen] / state.variances[chosen].sqrt();
        let before: BTreeMap<usize, f64> = open.iter().map(|&i| (i, size(i))).collect();
        let correlations = state.delete(chosen);
        open.retain(|&i| i != chosen);
        let alike = correlations
            .iter()
            .enumerate()
            .filter(|(j, c)| before.get(j).is_some_and(|&had| stands_in(z, had, **c)))
            .map(|(j, &c)| (j, c))
            .collect();
        found.push(Aside {
            measurement: chosen,
            z,
            alike,
        });
    }
}

#[cfg(test)]
mod deletion {
    use super::super::{Measurement, Network, fit, fit_with};
    use super::Deleting;
    use numeric::stream::Stream;

    /// A chain of wagons through one bin, everything weighed twice.
    fn network(seed: u64) -> Network {
        let mut s = Stream::new(seed, "deletion", 0);
        let mut network = Network::default();
        let mut terms = Vec::new();
        for _ in 0..12 {
            let mass = network.mass(0.0);
            let truth = s.between(4_000.0, 9_000.0);
            for sd in [40.0, 200.0] {
                let value = truth + sd * s.normal();
                network.measure(Measurement::linear(vec![(mass, 1.0)], value, sd));
            }
            terms.push((mass, 1.0));
        }
        let stock = network.mass(0.0);
        terms.push((stock, -1.0));
        network.balance(terms, 0.0);
        let value = 78_000.0 + 2_000.0 * s.normal();
        network.measure(Measurement::linear(vec![(stock, 1.0)], value, 2_000.0));
        network
    }

    #[test]
    fn exact_deletion_is_a_refit() {
        for seed in 0..20 {
            let network = network(seed);
            let all = fit(&network).unwrap();
            let mut state = Deleting::new(&all);
            let mut active = vec![true; network.measurements.len()];
            for gone in [3, 10, 24, 7] {
                state.delete(gone);
                active[gone] = false;
                let again = fit_with(&network, &active).unwrap();
                for j in 0..active.len() {
                    let (found, wanted) = (state.residuals[j], again.residuals[j]);
                    assert!(
                        (found - wanted).abs() < 1e-6,
                        "{seed} {gone} {j} {found} {wanted}"
                    );
                    let (found, wanted) = (state.variances[j], again.residual_variance(j));
                    let scale = all.variances[j];
                    assert!(
                        (found - wanted).abs() < 1e-8 * scale,
                        "{seed} {gone} {j} {found} {wanted}"
                    );
                }
            }
        }
    }
}
