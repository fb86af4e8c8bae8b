//! What can be wrong with a written quantity.

/// One error for the whole room: what was found and what was expected.
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
}
