//! What can be wrong.

use thiserror::Error;

/// Data or settings that cannot be meant.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SpatialError {
    /// Too few points, bins or groups.
    #[error("{what}: found {found}, expected {wanted} or more")]
    TooFew {
        /// Of what.
        what: &'static str,
        /// How many.
        found: usize,
        /// How many it takes.
        wanted: usize,
    },
    /// Lists that belong together and differ in length, or figures out of range.
    #[error("{what}: found {found}, expected {wanted}")]
    Odd {
        /// Of what.
        what: &'static str,
        /// What was found.
        found: String,
        /// What was expected.
        wanted: &'static str,
    },
}

impl SpatialError {
    pub(crate) fn odd(
        what: &'static str,
        found: impl std::fmt::Display,
        wanted: &'static str,
    ) -> Self {
        Self::Odd {
            what,
            found: format!("{found}"),
            wanted,
        }
    }
}
