//! What can be wrong with a written quantity.

/// One error for the whole room: what was found and what was expected.
///
/// ```
/// use quantity::Mass;
/// let said = Mass::parse("52220").unwrap_err().to_string();
/// assert_eq!(
///     said,
///     "found '52220' without a unit, expected a mass with its unit, such as 52,220 lb, 23.7 t or 26 short tons"
/// );
/// ```
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// The text is not a quantity of this kind.
    #[error("found '{found}', expected {expected}")]
    Unreadable {
        /// What was written (shortened to 40 characters).
        found: String,
        /// What would have been understood, with an example.
        expected: &'static str,
    },
    /// A bare number where nobody said which unit it is in.
    #[error("found '{found}' without a unit, expected {expected}")]
    UnitMissing {
        /// What was written (shortened to 40 characters).
        found: String,
        /// What would have been understood, with an example.
        expected: &'static str,
    },
    /// A number outside the range that this quantity can have.
    #[error("found {found}, expected {what} from {low} to {high}")]
    OutOfRange {
        /// Which quantity.
        what: &'static str,
        /// The number as written.
        found: String,
        /// Least accepted value, with unit.
        low: &'static str,
        /// Greatest accepted value, with unit.
        high: &'static str,
    },
    /// Two counts of bushels of different kinds, or two yields on different acres, were put together.
    #[error("found {found} and {other} together, expected two of the same kind")]
    Unlike {
        /// The first.
        found: String,
        /// The second.
        other: String,
    },
    /// Shares by which nothing can be split.
    #[error("found {found}, expected {expected}")]
    Shares {
        /// What is wrong with them.
        found: String,
        /// What would have been split.
        expected: &'static str,
    },
}

impl QuantityError {
    /// `Unreadable`, with the text shortened.
    pub(crate) fn unreadable(text: &str, expected: &'static str) -> Self {
        Self::Unreadable {
            found: shortened(text),
            expected,
        }
    }
}

/// At most 40 characters, control characters shown as spaces, so that no input floods a terminal.
pub(crate) fn shortened(text: &str) -> String {
    let clean = |c: char| if c.is_control() { ' ' } else { c };
    let mut short: String = text.chars().take(40).map(clean).collect();
    if text.chars().nth(40).is_some() {
        short.push('…');
    }
    short
}
