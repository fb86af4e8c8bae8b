//! The least-squares fit.

use super::eliminate::{Elimination, tidy};
use super::model::{Balance, Linearised, Network, Row};
use crate::square::SquareError;
use numeric::sparse::{Factor, SymmetricMatrix};

/// Linearisations: the factor of a monitor enters as a quotient.
const PASSES: usize = 3;
/// Rounds of holding negative masses at nothing.
const ROUNDS: usize = 8;
/// A combination counts as determined when its part along a free direction is below this.
const ALONG: f64 = 1e-8;

/// A fitted network: values, and everything their standard errors and tests are worked out from.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Every unknown of the network, in its order.
    pub values: Vec<f64>,
    /// Masses held at nothing because the fit would have made them negative.
    pub held: Vec<usize>,
    /// Sum of squared residuals over their standard errors, priors included.
    pub chi_square: f64,
    /// Measurements less unknowns plus independent balances (and plus directions that nothing
    /// determines).
    pub dof: usize,
    /// What each measurement leaves: measured less fitted (also for those set aside).
    pub residuals: Vec<f64>,
    /// Standard error squared of each measurement, as the last linearisation has it.
    pub variances: Vec<f64>,
    /// Variance of each fitted measurement.
    pub fitted_variances: Vec<f64>,
    /// Whether a measurement took part.
    pub active: Vec<bool>,
    pub(crate) rows: Vec<Row>,
    pub(super) elimination: Elimination,
    pub(super) factor: Factor,
    /// Free directions, each as (column, share), by column.
    along: Vec<Row>,
    directions: usize,
}

/// Fits with every measurement.
///
/// # Errors
/// A row that names an unknown that is not there, a standard error that is not positive, balances
/// that contradict each other.
pub fn fit(network: &Network) -> Result<Fit, SquareError> {
    fit_with(network, &vec![true; network.measurements.len()])
}

/// Fits with some measurements set aside.
///
/// # Errors
/// As [`fit`].
pub fn fit_with(network: &Network, active: &[bool]) -> Result<Fit, SquareError> {
    network.check()?;
    let mut held: Vec<usize> = Vec::new();
    let mut made = fit_held(network, active, &held)?;
    for _ in 0..ROUNDS {
        let below = negative(network, &made, &held);
        if below.is_empty() {
            break;
        }
        held.extend(below);
        held.sort_unstable();
        made = fit_held(network, active, &held)?;
    }
    // of several that are held, one may have been carried below by another: let each try again
    if (2..=12).contains(&held.len()) {
        for candidate in held.clone() {
            let rest: Vec<usize> = held.iter().copied().filter(|h| *h != candidate).collect();
            let tried = fit_held(network, active, &rest)?;
            if negative(network, &tried, &rest).is_empty() {
                held = rest;
                made = tried;
            }
        }
    }
    made.held = held;
    Ok(made)
}

fn negative(network: &Network, fit: &Fit, held: &[usize]) -> Vec<usize> {
    let scale = fit.values.iter().fold(1.0_f64, |m, v| m.max(v.abs()));
    network
        .unknowns
        .iter()
        .enumerate()
        .filter(|(j, unknown)| {
            unknown.non_negative
                && fit.values[*j] < -1e-9 * scale
                && !held.contains(j)
                && fit.determines(&[(*j, 1.0)])
        })
        .map(|(j, _)| j)
        .collect()
}

fn fit_held(network: &Network, active: &[bool], held: &[usize]) -> Result<Fit, SquareError> {
    let given = network.unknowns.len();
    let mut uses = vec![0; given];
    let mut x: Vec<f64> = network.unknowns.iter().map(|u| u.start).collect();
    for measurement in &network.measurements {
        for (j, _) in measurement.at(&x).row {
            uses[j] += 1;
        }
    }
    let mut balances = network.balances.clone();
    balances.extend(held.iter().map(|&j| Balance {
        terms: vec![(j, 1.0)],
        total: 0.0,
    }));
    let elimination = Elimination::new(given, &balances, &uses)?;
    x.resize(elimination.unknowns, 0.0);
    let mut columns: Vec<f64> = elimination.free.iter().map(|&j| x[j]).collect();

    let mut factor: Option<Factor> = None;
    for pass in 0..=PASSES {
        let linear: Vec<Linearised> = network.measurements.iter().map(|m| m.at(&x)).collect();
        let rows: Vec<Row> = linear.iter().map(|l| elimination.reduce(&l.row)).collect();
        // residuals at the free unknowns' own point, which keeps the balances; the linearisation
        // stands at x, and on the first pass x does not keep them yet
        let here = elimination.spread(&columns);
        let rests: Vec<f64> = linear
            .iter()
            .map(|l| {
                l.rest
                    - l.row
                        .iter()
                        .map(|&(j, a)| a * (here[j] - x[j]))
                        .sum::<f64>()
            })
            .collect();
        let normal = normal_matrix(columns.len(), &rows, &linear, active)?;
        let made = match factor.take() {
            Some(before) => before.again(&normal)?,
            None => Factor::new(&normal)?,
        };
        if pass == PASSES {
            return Ok(Fit::finish(
                network,
                elimination,
                made,
                &linear,
                rows,
                rests,
                here,
                active,
            ));
        }
        let mut right = vec![0.0; columns.len()];
        for (index, row) in rows.iter().enumerate() {
            if active[index] {
                let weighted = rests[index] / linear[index].variance;
                for &(c, a) in row {
                    right[c] += a * weighted;
                }
            }
        }
        for (value, step) in columns.iter_mut().zip(made.solve_refined(&normal, &right)) {
            *value += step;
        }
        x = elimination.spread(&columns);
        factor = Some(made);
    }
    unreachable!("the last pass returns")
}

fn normal_matrix(
    columns: usize,
    rows: &[Row],
    linear: &[Linearised],
    active: &[bool],
) -> Result<SymmetricMatrix, SquareError> {
    let mut entries = Vec::with_capacity(rows.iter().map(|r| r.len() * (r.len() + 1) / 2).sum());
    for (index, row) in rows.iter().enumerate() {
        // a measurement that is set aside keeps its place in the pattern
        let weight = if active[index] {
            1.0 / linear[index].variance
        } else {
            0.0
        };
        for (at, &(i, a)) in row.iter().enumerate() {
            for &(j, b) in &row[at..] {
                entries.push((i, j, weight * a * b));
            }
        }
    }
    Ok(SymmetricMatrix::from_entries(columns, &entries)?)
}

impl Fit {
    #[expect(
        clippy::too_many_arguments,
        reason = "one caller, which has them all at hand"
    )]
    fn finish(
        network: &Network,
        elimination: Elimination,
        factor: Factor,
        linear: &[Linearised],
        rows: Vec<Row>,
        residuals: Vec<f64>,
        values: Vec<f64>,
        active: &[bool],
    ) -> Self {
        let free = factor.free();
        let mut along: Vec<Row> = vec![Vec::new(); elimination.free.len()];
        for (direction, &column) in free.iter().enumerate() {
            for (c, share) in factor.null_direction(column).into_iter().enumerate() {
                if share.abs() > ALONG {
                    along[c].push((direction, share));
                }
            }
        }
        let variances: Vec<f64> = linear.iter().map(|l| l.variance).collect();
        let mut inverse = factor.inverse();
        let fitted_variances = rows.iter().map(|row| inverse.between(row, row)).collect();
        let mut chi_square = 0.0;
        let mut count = 0;
        for index in 0..rows.len() {
            if active[index] {
                chi_square += residuals[index] * residuals[index] / variances[index];
                count += 1;
            }
        }
        let dof = (count + free.len()).saturating_sub(elimination.free.len());
        let mut values = values;
        values.truncate(network.unknowns.len());
        Self {
            values,
            held: Vec::new(),
            chi_square,
            dof,
            residuals,
            variances,
            fitted_variances,
            active: active.to_vec(),
            rows,
            elimination,
            directions: free.len(),
            factor,
            along,
        }
    }

    /// Natural logarithm of how likely the measurements are under this network, each mass being
    /// taken for anything up to `range` beforehand: what two networks for the same slips are
    /// compared by.
    ///
    /// A mass held at nothing stands at an end of its range, which is worth about a standard error.
    pub fn ln_evidence(&self, network: &Network, range: f64) -> f64 {
        let tau = std::f64::consts::TAU.ln();
        let measured: f64 = self
            .active
            .iter()
            .zip(&self.variances)
            .filter(|(active, _)| **active)
            .map(|(_, variance)| -0.5 * (tau + variance.ln()))
            .sum();
        let masses = self
            .elimination
            .free
            .iter()
            .filter(|&&j| network.unknowns.get(j).is_none_or(|u| u.non_negative))
            .count();
        let determined = self.elimination.free.len() - self.directions;
        let bounded = masses.saturating_sub(self.directions);
        measured - 0.5 * self.chi_square
            + 0.5 * (determined as f64 * tau - self.factor.ln_determinant())
            - bounded as f64 * range.ln()
            - 4.0 * self.held.len() as f64
    }

    /// Whether the measurements determine this combination of unknowns.
    pub fn determines(&self, row: &[(usize, f64)]) -> bool {
        self.determines_reduced(&self.elimination.reduce(row))
    }

    pub(crate) fn determines_reduced(&self, row: &Row) -> bool {
        if self.directions == 0 {
            return true;
        }
        let mut parts: Row = Vec::new();
        let mut size: f64 = 0.0;
        for &(c, a) in row {
            size = size.max(a.abs());
            parts.extend(self.along[c].iter().map(|&(d, share)| (d, a * share)));
        }
        tidy(parts)
            .iter()
            .all(|part| part.1.abs() <= 10.0 * ALONG * size)
    }

    /// Standard error of every unknown; `None` where nothing determines it.
    pub fn errors(&self) -> Vec<Option<f64>> {
        let mut inverse = self.factor.inverse();
        (0..self.values.len())
            .map(|j| {
                let row = self.elimination.unknown(j);
                self.determines_reduced(row)
                    .then(|| inverse.between(row, row).max(0.0).sqrt())
            })
            .collect()
    }

    /// Standard error of one combination of unknowns; `None` where nothing determines it.
    pub fn error_of(&self, row: &[(usize, f64)]) -> Option<f64> {
        let reduced = self.elimination.reduce(row);
        self.determines_reduced(&reduced).then(|| {
            self.factor
                .inverse()
                .between(&reduced, &reduced)
                .max(0.0)
                .sqrt()
        })
    }

    /// Variance of a measurement's residual: its own less that of its fitted value (or plus, when it
    /// was set aside and the rest predicts it).
    pub fn residual_variance(&self, measurement: usize) -> f64 {
        let fitted = self.fitted_variances[measurement];
        if self.active[measurement] {
            self.variances[measurement] - fitted
        } else {
            self.variances[measurement] + fitted
        }
    }

    /// Covariance of one unknown with every fitted measurement.
    pub fn leaning(&self, unknown: usize) -> Vec<f64> {
        self.against_all(self.elimination.unknown(unknown)).1
    }

    /// Covariances of one fitted measurement with all: the solve behind exact deletion.
    pub(crate) fn against_all(&self, row: &Row) -> (Vec<f64>, Vec<f64>) {
        let mut right = vec![0.0; self.elimination.free.len()];
        for &(c, a) in row {
            right[c] += a;
        }
        let solved = self.factor.solve(&right);
        let with = self.rows.iter().map(|row| dot(row, &solved)).collect();
        (solved, with)
    }
}

pub(super) fn dot(row: &Row, dense: &[f64]) -> f64 {
    row.iter().map(|&(c, a)| a * dense[c]).sum()
}
