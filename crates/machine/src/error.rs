//! What can be wrong with what the arithmetic was given: one sentence each.

/// One error for the whole room. A face may put the name of the flag or the field before it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MachineError {
    /// A figure that cannot be meant, such as a count below nothing.
    #[error("{what}: found {found}, expected {expected}")]
    Odd {
        /// Which figure, in words.
        what: &'static str,
        /// What it is.
        found: String,
        /// What would do.
        expected: String,
    },
    /// Figures that are each possible and contradict one another, or one that must be there first.
    #[error("{0}")]
    Refused(String),
}

impl MachineError {
    /// A figure that cannot be meant.
    pub fn odd(
        what: &'static str,
        found: impl std::fmt::Display,
        expected: impl Into<String>,
    ) -> Self {
        Self::Odd {
            what,
            found: found.to_string(),
            expected: expected.into(),
        }
    }
}

/// A figure that must be finite and more than zero.
///
/// # Errors
/// [`MachineError::Odd`] with the figure's name.
pub(crate) fn above_zero(what: &'static str, value: f64, unit: &str) -> Result<f64, MachineError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(MachineError::odd(
            what,
            format!("{value} {unit}"),
            "a number above 0",
        ))
    }
}
