//! Random seasons with known truth: who cut what into which wagon, and what got written down.

use crate::mistake::Truth;
use crate::paper::Record;
use serde::{Deserialize, Serialize};

/// How many mistakes to plant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Planting {
    /// None.
    None,
    /// Exactly one.
    One,
    /// In 3 to 5 % of slips, at least one.
    Usual,
    /// One to eight in every 60 slips.
    Many,
}

/// One season: what was typed, what the paper says, and what happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Season {
    /// The seed it came from.
    pub seed: u64,
    /// Which of that seed's seasons.
    pub index: u64,
    /// As typed, mistakes included.
    pub typed: Record,
    /// As the paper says: the same slips with no mistake, the missing there, the doubled once.
    pub paper: Record,
    /// What really happened.
    pub truth: Truth,
}
