//! Negative binomial regression: counts that scatter more than chance alone would have it.
//!
//! y is a count of mean mu and variance mu + mu^2/theta (NB2), log mu = x b + offset. Coefficients
//! and theta are those of greatest likelihood, which is what `glm.nb` of R's MASS finds; they agree with it on
//! four data sets to 1e-4 (coefficients) and 1e-3 (theta), `reference/counts`.
//!
//! Limitations: from few counts the likelihood understates the scatter (Lloyd-Smith 2007), so
//! standard errors on fewer than about ten counts are too small; they are those of the expected information
//! with theta taken as known.

use crate::StatsError;
use serde::{Deserialize, Serialize};

/// What was fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// Coefficients, on the log scale, one a column.
    pub coefficients: Vec<f64>,
    /// Their covariance, row by row.
    pub covariance: Vec<Vec<f64>>,
    /// Theta (size): 1 / dispersion. `None` where the counts scatter no more than chance, so that theta has no
    /// greatest-likelihood value below infinity and the fit is Poisson's.
    pub theta: Option<f64>,
    /// Twice the log likelihood.
    pub two_log_likelihood: f64,
    /// Fitted means.
    pub fitted: Vec<f64>,
}

impl Fit {
    /// Whether the counts scatter no more than chance: Poisson.
    pub fn is_poisson(&self) -> bool {
        self.theta.is_none()
    }

    /// Dispersion alpha: variance = mean + alpha mean^2; 0 for Poisson.
    pub fn alpha(&self) -> f64 {
        self.theta.map_or(0.0, |theta| 1.0 / theta)
    }

    /// Standard error of a coefficient; NaN for a column that is not there.
    pub fn se(&self, column: usize) -> f64 {
        self.covariance
            .get(column)
            .and_then(|row| row.get(column))
            .map_or(f64::NAN, |variance| variance.sqrt())
    }
}

/// Fits counts by maximum likelihood: rows of the model with an intercept if it is to have one, and
/// offsets (the log of each frame's area; empty for none).
///
/// Theta and the coefficients are found in turn, which converges fast since their information is
/// orthogonal. Where the likelihood still rises as theta goes to infinity
/// (sum of (y - mu)^2 - y not above 0), the fit is Poisson's and says so.
///
/// ```
/// // 4 counts that are all alike scatter less than chance
/// let rows = vec![vec![1.0]; 4];
/// let fit = stats::negbin::fit(&[5, 5, 5, 5], &rows, &[])?;
/// assert!(fit.is_poisson() && (fit.coefficients[0] - 5.0_f64.ln()).abs() < 1e-9);
/// # Ok::<(), stats::StatsError>(())
/// ```
///
/// # Errors
/// Lists of different length, fewer counts than columns, aliased columns, a coefficient that runs
/// away because some group found nothing at all.
pub fn fit(counts: &[u32], rows: &[Vec<f64>], offset: &[f64]) -> Result<Fit, StatsError> {
    let model = Model::new(counts, rows, offset)?;
    let mut coefficients = model.start();
    let mut alpha = 0.0;
    model.coefficients(&mut coefficients, alpha)?;
    let mut means = model.means(&coefficients);
    if model.rise_at_poisson(&means) > 0.0 {
        alpha = model.moments(&means);
        for _ in 0..500 {
            let before = alpha;
            alpha = model.alpha(&means, alpha);
            model.coefficients(&mut coefficients, alpha)?;
            means = model.means(&coefficients);
            if (alpha / before - 1.0).abs() < 1e-12 {
                break;
            }
        }
    }
    let covariance = model.covariance(&means, alpha)?;
    Ok(Fit {
        two_log_likelihood: 2.0 * model.log_likelihood(&means, alpha),
        theta: (alpha > 0.0).then(|| 1.0 / alpha),
        coefficients,
        covariance,
        fitted: means,
    })
}

struct Model<'a> {
    counts: Vec<f64>,
    whole: &'a [u32],
    rows: &'a [Vec<f64>],
    offset: Vec<f64>,
    columns: usize,
}

impl<'a> Model<'a> {
    fn new(counts: &'a [u32], rows: &'a [Vec<f64>], offset: &[f64]) -> Result<Self, StatsError> {
        let columns = rows.first().map_or(0, Vec::len);
        let shape = |what, found: String, expected: String| {
            Err(StatsError::Shape {
                what,
                found,
                expected,
            })
        };
        if columns == 0 || rows.iter().any(|row| row.len() != columns) {
            return shape(
                "rows of the model",
                "rows of different length or none".to_owned(),
                "as many columns in each, one at least".to_owned(),
            );
        }
        if rows.len() != counts.len() || counts.len() < columns {
            return shape(
                "counts",
                format!(
                    "{} counts, {} rows, {columns} columns",
                    counts.len(),
                    rows.len()
                ),
                "a row for each count and no fewer counts than columns".to_owned(),
            );
        }
        if !(offset.is_empty() || offset.len() == counts.len()) {
            return shape(
                "offsets",
                offset.len().to_string(),
                format!("{} or none", counts.len()),
            );
        }
        if rows.iter().flatten().chain(offset).any(|x| !x.is_finite()) {
            return shape(
                "rows of the model",
                "a value that is no number".to_owned(),
                "finite numbers".to_owned(),
            );
        }
        if counts.iter().all(|count| *count == 0) {
            return Err(StatsError::Endless(
                "every count is 0, so that no mean can be fitted; look at more frames".to_owned(),
            ));
        }
        Ok(Self {
            counts: counts.iter().map(|count| f64::from(*count)).collect(),
            whole: counts,
            rows,
            offset: if offset.is_empty() {
                vec![0.0; counts.len()]
            } else {
                offset.to_vec()
            },
            columns,
        })
    }

    /// Least squares of log(y + 1/10) less the offset: near enough for scoring to take over.
    fn start(&self) -> Vec<f64> {
        let target: Vec<f64> = self
            .counts
            .iter()
            .zip(&self.offset)
            .map(|(y, offset)| (y + 0.1).ln() - offset)
            .collect();
        let weights = vec![1.0; target.len()];
        self.weighted(&weights, &target)
            .unwrap_or_else(|_| vec![0.0; self.columns])
    }

    fn line(&self, at: usize, coefficients: &[f64]) -> f64 {
        self.offset[at]
            + self.rows[at]
                .iter()
                .zip(coefficients)
                .map(|(x, b)| x * b)
                .sum::<f64>()
    }

    fn means(&self, coefficients: &[f64]) -> Vec<f64> {
        (0..self.rows.len())
            .map(|at| self.line(at, coefficients).clamp(-700.0, 700.0).exp())
            .collect()
    }

    fn information(&self, weights: &[f64]) -> Vec<Vec<f64>> {
        let mut out = vec![vec![0.0; self.columns]; self.columns];
        for (row, weight) in self.rows.iter().zip(weights) {
            for (i, left) in row.iter().enumerate() {
                for (j, right) in row.iter().enumerate() {
                    out[i][j] += weight * left * right;
                }
            }
        }
        out
    }

    fn weighted(&self, weights: &[f64], target: &[f64]) -> Result<Vec<f64>, StatsError> {
        let mut right = vec![0.0; self.columns];
        for ((row, weight), target) in self.rows.iter().zip(weights).zip(target) {
            for (sum, x) in right.iter_mut().zip(row) {
                *sum += weight * x * target;
            }
        }
        Ok(solve(&cholesky(&self.information(weights))?, &right))
    }

    /// Fisher scoring for the coefficients with the dispersion held, steps halved where the
    /// likelihood would fall.
    fn coefficients(&self, coefficients: &mut Vec<f64>, alpha: f64) -> Result<(), StatsError> {
        let mut means = self.means(coefficients);
        let mut best = self.log_likelihood(&means, alpha);
        for _ in 0..200 {
            let weights: Vec<f64> = means.iter().map(|mu| mu / (1.0 + alpha * mu)).collect();
            let working: Vec<f64> = self
                .counts
                .iter()
                .zip(&means)
                .map(|(y, mu)| (y - mu) / mu)
                .collect();
            let step = self.weighted(&weights, &working)?;
            let mut size = 1.0;
            let moved = loop {
                let trial: Vec<f64> = coefficients
                    .iter()
                    .zip(&step)
                    .map(|(b, step)| b + size * step)
                    .collect();
                let there = self.means(&trial);
                let likelihood = self.log_likelihood(&there, alpha);
                if likelihood >= best - 1e-12 * best.abs() || size < 1e-6 {
                    let moved = step.iter().map(|s| (s * size).abs()).fold(0.0, f64::max);
                    (*coefficients, means, best) = (trial, there, likelihood);
                    break moved;
                }
                size /= 2.0;
            };
            if moved < 1e-11 {
                break;
            }
        }
        let gone = means
            .iter()
            .zip(&self.offset)
            .any(|(mu, offset)| mu.ln() - offset < -20.0);
        if gone {
            return Err(StatsError::Endless(
                "some group found nothing in any frame, so its ratio to the others has no end; look at more frames"
                    .to_owned(),
            ));
        }
        Ok(())
    }

    /// Slope of the log likelihood in the dispersion at none: half the sum of (y - mu)^2 - y.
    fn rise_at_poisson(&self, means: &[f64]) -> f64 {
        self.counts
            .iter()
            .zip(means)
            .map(|(y, mu)| ((y - mu).powi(2) - y) / 2.0)
            .sum()
    }

    /// A first dispersion, by moments.
    fn moments(&self, means: &[f64]) -> f64 {
        let above: f64 = self
            .counts
            .iter()
            .zip(means)
            .map(|(y, mu)| (y - mu).powi(2) - mu)
            .sum();
        let square: f64 = means.iter().map(|mu| mu * mu).sum();
        (above / square).clamp(1e-3, 10.0)
    }

    /// The dispersion of greatest likelihood with the means held, by Newton in its logarithm between
    /// bounds that close in.
    fn alpha(&self, means: &[f64], from: f64) -> f64 {
        let (mut low, mut high) = (1e-9_f64.ln(), 1e6_f64.ln());
        let mut at = from.ln().clamp(low, high);
        for _ in 0..200 {
            let (slope, curve) = self.in_log_alpha(means, at.exp());
            if slope > 0.0 {
                low = at;
            } else {
                high = at;
            }
            let newton = at - slope / curve;
            let next = if curve < 0.0 && newton > low && newton < high {
                newton
            } else {
                f64::midpoint(low, high)
            };
            let done = (next - at).abs() < 1e-13;
            at = next;
            if done {
                break;
            }
        }
        at.exp()
    }

    /// First and second derivative of the log likelihood in log alpha.
    fn in_log_alpha(&self, means: &[f64], alpha: f64) -> (f64, f64) {
        // log f = sum_{j<y} ln(1 + alpha j) + y ln mu - (y + 1/alpha) ln(1 + alpha mu) - ln y!
        let (mut first, mut second) = (0.0, 0.0);
        for (whole, mu) in self.whole.iter().zip(means) {
            let y = f64::from(*whole);
            for j in 0..*whole {
                let part = alpha * f64::from(j) / (1.0 + alpha * f64::from(j));
                first += part;
                second += part * (1.0 - part);
            }
            let am = alpha * mu;
            let log = am.ln_1p();
            let q = mu / (1.0 + am);
            first += log / alpha - (y + 1.0 / alpha) * q * alpha;
            second += -log / alpha + q - y * alpha * q / (1.0 + am) + q * am / (1.0 + am);
        }
        (first, second)
    }

    fn log_likelihood(&self, means: &[f64], alpha: f64) -> f64 {
        let mut sum = 0.0;
        for (whole, mu) in self.whole.iter().zip(means) {
            let y = f64::from(*whole);
            for j in 0..*whole {
                let j = f64::from(j);
                sum += (alpha * j).ln_1p() - (j + 1.0).ln();
            }
            sum += y * mu.ln();
            sum -= if alpha > 0.0 {
                (y + 1.0 / alpha) * (alpha * mu).ln_1p()
            } else {
                *mu
            };
        }
        sum
    }

    fn covariance(&self, means: &[f64], alpha: f64) -> Result<Vec<Vec<f64>>, StatsError> {
        let weights: Vec<f64> = means.iter().map(|mu| mu / (1.0 + alpha * mu)).collect();
        let factor = cholesky(&self.information(&weights))?;
        Ok((0..self.columns)
            .map(|column| {
                let mut unit = vec![0.0; self.columns];
                unit[column] = 1.0;
                solve(&factor, &unit)
            })
            .collect())
    }
}

/// Lower triangle L with L L' the matrix.
fn cholesky(matrix: &[Vec<f64>]) -> Result<Vec<Vec<f64>>, StatsError> {
    let size = matrix.len();
    let mut factor = vec![vec![0.0; size]; size];
    for i in 0..size {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| factor[i][k] * factor[j][k]).sum();
            let left = matrix[i][j] - dot;
            if i == j {
                if left.is_nan() || left <= 1e-11 * matrix[i][i] {
                    return Err(StatsError::Aliased { column: i });
                }
                factor[i][i] = left.sqrt();
            } else {
                factor[i][j] = left / factor[j][j];
            }
        }
    }
    Ok(factor)
}

fn solve(factor: &[Vec<f64>], right: &[f64]) -> Vec<f64> {
    let size = factor.len();
    let mut out = right.to_vec();
    for i in 0..size {
        let dot: f64 = (0..i).map(|k| factor[i][k] * out[k]).sum();
        out[i] = (out[i] - dot) / factor[i][i];
    }
    for i in (0..size).rev() {
        let dot: f64 = (i + 1..size).map(|k| factor[k][i] * out[k]).sum();
        out[i] = (out[i] - dot) / factor[i][i];
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With an intercept alone the mean of the counts is fitted, whatever theta.
    #[test]
    fn one_class_is_fitted_by_its_mean() {
        let counts = [2, 14, 0, 7, 30, 1];
        let fit = fit(&counts, &vec![vec![1.0]; 6], &[]).unwrap();
        assert!((fit.coefficients[0].exp() - 9.0).abs() < 1e-8);
        assert!(!fit.is_poisson() && fit.alpha() > 0.3);
    }

    /// Doubling every frame's area and halving nothing else shifts the intercept by log 2 only.
    #[test]
    fn an_offset_moves_the_intercept_only() {
        let counts = [3, 9, 12, 4, 15, 31];
        let rows: Vec<Vec<f64>> = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0]
            .iter()
            .map(|x| vec![1.0, *x])
            .collect();
        let one = fit(&counts, &rows, &[]).unwrap();
        let two = fit(&counts, &rows, &[2.0_f64.ln(); 6]).unwrap();
        assert!((one.coefficients[0] - two.coefficients[0] - 2.0_f64.ln()).abs() < 1e-9);
        assert!((one.coefficients[1] - two.coefficients[1]).abs() < 1e-9);
        assert!((one.theta.unwrap() - two.theta.unwrap()).abs() < 1e-7);
    }

    /// The derivatives used by Newton against finite differences of the likelihood.
    #[test]
    fn derivatives_are_those_of_the_likelihood() {
        let (counts, rows) = ([3, 9, 12, 4, 15, 31], vec![vec![1.0]; 6]);
        let model = Model::new(&counts, &rows, &[]).unwrap();
        let means = [5.0, 6.0, 9.0, 8.0, 14.0, 20.0];
        let (a, h) = (0.4_f64, 1e-4);
        let l = |log: f64| model.log_likelihood(&means, log.exp());
        let (first, second) = model.in_log_alpha(&means, a);
        let x = a.ln();
        assert!((first - (l(x + h) - l(x - h)) / (2.0 * h)).abs() < 1e-6);
        assert!((second - (l(x + h) - 2.0 * l(x) + l(x - h)) / (h * h)).abs() < 1e-5);
    }

    #[test]
    fn what_cannot_be_fitted_is_refused() {
        let two = |x: f64| vec![1.0, x];
        let aliased = vec![two(2.0), two(2.0), two(2.0)];
        assert_eq!(
            fit(&[1, 5, 9], &aliased, &[]),
            Err(StatsError::Aliased { column: 1 })
        );
        let groups = vec![two(0.0), two(0.0), two(1.0), two(1.0)];
        let nothing = fit(&[4, 9, 0, 0], &groups, &[]).unwrap_err();
        assert!(nothing.to_string().contains("more frames"));
        assert!(fit(&[0, 0], &[vec![1.0], vec![1.0]], &[]).is_err());
        assert!(fit(&[1], &[vec![1.0], vec![1.0]], &[]).is_err());
        assert!(fit(&[1, 2], &[vec![1.0], vec![f64::NAN]], &[]).is_err());
    }
}
