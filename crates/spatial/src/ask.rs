//! What is asked of kriging, and what it tells.

use crate::Place;
use serde::{Deserialize, Serialize};

/// Which neighbors tell a target.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Near {
    /// At most so many, the nearest.
    pub most: usize,
    /// At most so many of one group, so that more come from across; none for no bound. Looked for among the nearest
    /// 32 times `most` at the farthest: where these are of few groups, fewer than `most` are used.
    pub of_a_group: Option<usize>,
    /// None farther than this, m; none for no bound.
    pub within_m: Option<f64>,
}

impl Near {
    /// The nearest so many.
    pub fn nearest(most: usize) -> Self {
        Self {
            most,
            of_a_group: None,
            within_m: None,
        }
    }
}

/// Error variance that points of one group share.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Shared {
    /// Of points at one place.
    pub variance: f64,
    /// Distance over which it falls to a third, m; infinite where a whole group errs alike.
    pub reach_m: f64,
}

impl Shared {
    /// Nothing shared.
    pub fn none() -> Self {
        Self::always(0.0)
    }

    /// A whole group errs alike.
    pub fn always(variance: f64) -> Self {
        Self {
            variance,
            reach_m: f64::INFINITY,
        }
    }

    /// Of points whose distance has this square, m2.
    #[inline]
    pub(crate) fn at(&self, square_m2: f64) -> f64 {
        self.variance * (-square_m2.sqrt() / self.reach_m).exp()
    }
}

/// A rectangle along the axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Its middle.
    pub at: Place,
    /// Its sides, m.
    pub size: [f64; 2],
}

/// What is told of a target.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Its variance by the model.
    pub variance: f64,
    /// Neighbors used.
    pub used: usize,
}

/// A measurement to be foretold from all groups but one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Without {
    /// Its middle, m.
    pub at: Place,
    /// Half the line that it is the mean over, m; nothing for a point.
    pub half: Place,
    /// The group that is left out.
    pub group: u32,
}
