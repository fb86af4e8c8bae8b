//! How well kriging foretells what it was not shown.

use crate::Kriging;
use serde::{Deserialize, Serialize};

/// What is left out to be foretold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LeaveOut {
    /// One point: flatters, for its neighbors in the same group stay.
    Point,
    /// The point's whole group; the point alone where there are no groups.
    Group,
}

/// One point foretold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Held {
    /// Index of the point.
    pub point: u32,
    /// Foretold less measured.
    pub off: f64,
    /// Variance of that by the model.
    pub variance: f64,
}

/// What came of it; where nothing could be foretold, the figures are not numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cross {
    /// Each point that had neighbors left.
    pub held: Vec<Held>,
    /// Root of the mean squared difference.
    pub rmse: f64,
    /// Mean difference.
    pub bias: f64,
    /// Mean of the squared difference over its variance: 1 where the variance says what it should.
    pub msdr: f64,
    /// Median of the squared difference over its variance, over 0.4549, the median of chi-square on 1: the same,
    /// moved less by outliers.
    pub typical: f64,
}

impl Kriging<'_> {
    /// Foretells points, by index, from the others.
    pub fn cross(&self, points: &[u32], leave_out: LeaveOut) -> Cross {
        let told = self.without(points, |point, other| match leave_out {
            LeaveOut::Point => other != point,
            LeaveOut::Group => match self.group(point as usize) {
                Some(group) => self.group(other as usize) != Some(group),
                None => other != point,
            },
        });
        let held: Vec<Held> = points
            .iter()
            .zip(told)
            .filter_map(|(point, told)| {
                told.map(|told| Held {
                    point: *point,
                    off: told.value - self.value(*point as usize),
                    variance: told.variance,
                })
            })
            .collect();
        Cross::of(held)
    }
}

impl Cross {
    /// Sums up what was foretold.
    pub fn of(held: Vec<Held>) -> Self {
        const MEDIAN_CHI_SQUARE: f64 = 0.454_936_423_119_572_8;
        let n = held.len() as f64;
        let mean = |of: &dyn Fn(&Held) -> f64| held.iter().map(of).sum::<f64>() / n;
        let mut shares: Vec<f64> = held
            .iter()
            .map(|one| one.off * one.off / one.variance)
            .collect();
        shares.sort_by(f64::total_cmp);
        Self {
            rmse: mean(&|one| one.off * one.off).sqrt(),
            bias: mean(&|one| one.off),
            msdr: mean(&|one| one.off * one.off / one.variance),
            typical: shares
                .get(shares.len() / 2)
                .map_or(f64::NAN, |middle| middle / MEDIAN_CHI_SQUARE),
            held,
        }
    }

    /// By what a standard error must be multiplied for what was foretold to bear it out; never below 1.
    pub fn inflation(&self) -> f64 {
        self.msdr.sqrt().max(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_foretold_is_not_a_perfect_score() {
        let none = Cross::of(Vec::new());
        let figures = [none.rmse, none.bias, none.msdr, none.typical];
        assert!(figures.iter().all(|one| one.is_nan()));
        assert_eq!(none.inflation(), 1.0);
    }
}
