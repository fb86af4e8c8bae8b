//! Least squares where measurements near each other err together.
//!
//! Generalized least squares with a covariance taken as known: with `V = L L'`, measurements and columns are
//! multiplied by the inverse of `L`, after which ordinary least squares is the best linear unbiased estimate (Aitken
//! 1935, from memory) and its covariance is `(X' V^-1 X)^-1`.
//!
//! Limitations: dense, so for some thousand measurements at most; what is not known of the covariance is left out.

use crate::grid::square;
use crate::solve::{backward, factor, forward};
use crate::{Model, Place, SpatialError};
use serde::{Deserialize, Serialize};

/// Measurements whose covariance is known, and factored.
#[derive(Debug, Clone)]
pub struct Correlated {
    root: Vec<f64>,
    n: usize,
}

/// A fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Regression {
    /// One a column.
    pub coefficients: Vec<f64>,
    /// Covariance of their errors.
    pub covariance: Vec<Vec<f64>>,
    /// Sum of squares left, each over its variance: about the number of measurements less that of columns.
    pub rest: f64,
}

impl Correlated {
    /// Measurements at places: the curve's covariance, its nugget and own noise on the diagonal, and a variance that those
    /// of one group share.
    ///
    /// # Errors
    /// None, more than 5,000, lists of different lengths, or a covariance that is none.
    pub fn new(
        places: &[Place],
        model: &Model,
        noise: &[f64],
        groups: &[u32],
        shared: f64,
    ) -> Result<Self, SpatialError> {
        const MOST: usize = 5_000;
        let n = places.len();
        if n == 0 || n > MOST || noise.len() != n || groups.len() != n {
            return Err(SpatialError::odd(
                "measurements that err together",
                format!(
                    "{n} with {} noises and {} groups",
                    noise.len(),
                    groups.len()
                ),
                "from 1 to 5000, each with a noise and a group",
            ));
        }
        let mut root = vec![0.0; n * n];
        for j in 0..n {
            for i in j..n {
                let same = if groups[i] == groups[j] { shared } else { 0.0 };
                root[j * n + i] = same + model.covariance(square(places[i], places[j]).sqrt());
            }
            root[j * n + j] += model.nugget.max(1e-9 * model.sill) + noise[j];
        }
        factor(&mut root, n).ok_or_else(|| {
            SpatialError::odd(
                "a covariance",
                format!("{model:?}"),
                "one of which every variance is above 0",
            )
        })?;
        Ok(Self { root, n })
    }

    /// Fits values by columns. `beforehand` is what was known of each coefficient: the inverse of the variance by which it
    /// was expected to differ from 0, or 0 where nothing was known; the rest then counts what that holds against it.
    ///
    /// # Errors
    /// Lists of different lengths, or columns of which one is made of the others.
    pub fn regress(
        &self,
        values: &[f64],
        columns: &[Vec<f64>],
        beforehand: &[f64],
    ) -> Result<Regression, SpatialError> {
        if let Some(bad) = columns
            .iter()
            .map(Vec::len)
            .chain([values.len()])
            .find(|len| *len != self.n)
        {
            return Err(SpatialError::odd(
                "a column",
                bad,
                "one number a measurement",
            ));
        }
        if beforehand.len() != columns.len() {
            return Err(SpatialError::odd(
                "what was known beforehand",
                beforehand.len(),
                "one number a column",
            ));
        }
        let white = |of: &[f64]| {
            let mut out = of.to_vec();
            forward(&self.root, self.n, &mut out);
            out
        };
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let (y, x): (Vec<f64>, Vec<Vec<f64>>) = (
            white(values),
            columns.iter().map(|one| white(one)).collect(),
        );
        let p = x.len();
        let mut normal = vec![0.0; p * p];
        for j in 0..p {
            for i in j..p {
                normal[j * p + i] = dot(&x[i], &x[j]);
            }
            normal[j * p + j] += beforehand[j];
        }
        let sizes: Vec<f64> = (0..p).map(|j| normal[j * p + j]).collect();
        let made_of_others = || {
            SpatialError::odd(
                "columns of a fit",
                p,
                "columns of which none is made of the others",
            )
        };
        factor(&mut normal, p).ok_or_else(made_of_others)?;
        // a pivot that has lost all its digits is a column made of others
        if (0..p).any(|j| normal[j * p + j].powi(2) < 1e-12 * sizes[j]) {
            return Err(made_of_others());
        }
        let solve = |mut b: Vec<f64>| {
            forward(&normal, p, &mut b);
            backward(&normal, p, &mut b);
            b
        };
        let coefficients = solve(x.iter().map(|one| dot(one, &y)).collect());
        let unit = |j: usize| (0..p).map(|i| f64::from(u8::from(i == j))).collect();
        let rest = (0..self.n).map(|k| {
            let told: f64 = x.iter().zip(&coefficients).map(|(x, b)| x[k] * b).sum();
            (y[k] - told).powi(2)
        });
        let held_against: f64 = (coefficients.iter().zip(beforehand))
            .map(|(b, precision)| precision * b * b)
            .sum();
        Ok(Regression {
            rest: rest.sum::<f64>() + held_against,
            covariance: (0..p).map(|j| solve(unit(j))).collect(),
            coefficients,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Kind;

    fn model(nugget: f64, sill: f64) -> Model {
        Model {
            kind: Kind::Exponential,
            nugget,
            sill,
            range_m: 30.0,
        }
    }

    #[test]
    fn without_correlation_it_is_a_line_by_hand() {
        let places: Vec<Place> = (0..4).map(|k| [f64::from(k), 0.0]).collect();
        let one =
            Correlated::new(&places, &model(4.0, 0.0), &[0.0; 4], &[0, 1, 2, 3], 0.0).unwrap();
        let columns = [vec![1.0; 4], vec![0.0, 1.0, 2.0, 3.0]];
        let fit = one
            .regress(&[1.0, 3.0, 2.0, 5.0], &columns, &[0.0; 2])
            .unwrap();
        // slope 5.5/5, level 2.75 - 1.65; sum of squares 8.75 - 6.05 = 2.7; variance of the slope 4/5
        assert!((fit.coefficients[1] - 1.1).abs() < 1e-12);
        assert!((fit.coefficients[0] - 1.1).abs() < 1e-12);
        assert!((fit.rest - 2.7 / 4.0).abs() < 1e-12);
        assert!((fit.covariance[1][1] - 0.8).abs() < 1e-12);
        assert!(
            one.regress(&[1.0; 4], &[vec![1.0; 4], vec![2.0; 4]], &[0.0; 2])
                .is_err()
        );
        assert!(one.regress(&[1.0; 3], &columns, &[0.0; 2]).is_err());
    }

    #[test]
    fn what_was_known_beforehand_pulls_to_nothing() {
        let places: Vec<Place> = (0..4).map(|k| [f64::from(k), 0.0]).collect();
        let one =
            Correlated::new(&places, &model(1.0, 0.0), &[0.0; 4], &[0, 1, 2, 3], 0.0).unwrap();
        // four measurements of 2 and one of 0 with the weight of four
        let fit = one.regress(&[2.0; 4], &[vec![1.0; 4]], &[4.0]).unwrap();
        assert!((fit.coefficients[0] - 1.0).abs() < 1e-12);
        assert!((fit.covariance[0][0] - 0.125).abs() < 1e-12);
        assert!((fit.rest - 8.0).abs() < 1e-12);
    }

    #[test]
    fn what_a_group_shares_is_not_averaged_away() {
        let places: Vec<Place> = (0..10).map(|k| [1_000.0 * f64::from(k), 0.0]).collect();
        let shared = Correlated::new(&places, &model(1.0, 0.0), &[0.0; 10], &[7; 10], 5.0).unwrap();
        let fit = shared
            .regress(&[2.0; 10], &[vec![1.0; 10]], &[0.0])
            .unwrap();
        assert!((fit.covariance[0][0] - 5.1).abs() < 1e-9);
        assert!(Correlated::new(&places, &model(1.0, 0.0), &[0.0; 9], &[7; 10], 5.0).is_err());
    }
}
