//! What is asked of kriging, and what it tells.

use crate::Place;
use serde::{Deserialize, Serialize};

/// Which neighbors tell a target.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Near {
    /// At most so many, the nearest.
    pub most: usize,
    /// At most so many of one group, so that more come from across; none for no bound.
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
