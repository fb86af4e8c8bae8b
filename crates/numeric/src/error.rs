//! What can be wrong with what a kernel was given.

/// One error for the whole room: what was found and what was expected.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NumericError {
    /// A matrix entry names a row or column that is not there.
    #[error("found an entry at row {row}, column {column}, expected both below {size}")]
    OutOfMatrix {
        /// Row named.
        row: usize,
        /// Column named.
        column: usize,
        /// Rows and columns there are.
        size: usize,
    },
    /// An entry is infinite or not a number.
    #[error("found {value} at row {row}, column {column}, expected a finite number")]
    NotFinite {
        /// The entry.
        value: f64,
        /// Its row.
        row: usize,
        /// Its column.
        column: usize,
    },
    /// The matrix is not positive semi-definite.
    #[error(
        "found a negative pivot {pivot} at column {column}, expected a positive semi-definite matrix"
    )]
    Indefinite {
        /// Pivot relative to the column's own diagonal.
        pivot: f64,
        /// Where.
        column: usize,
    },
    /// The ordering library refused the pattern.
    #[error("could not order a matrix of {size} columns: out of memory or index range")]
    Ordering {
        /// Its columns.
        size: usize,
    },
}
