//! What can be wrong with what a fit was given: one sentence each.

/// One error for the whole room.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StatsError {
    /// Lists that belong together are of different length, or there are fewer rows than columns.
    #[error("{what}: found {found}, expected {expected}")]
    Shape {
        /// Which list.
        what: &'static str,
        /// Its length, or what is in it.
        found: String,
        /// What would do.
        expected: String,
    },
    /// The data cannot tell the coefficients apart.
    #[error("column {column} of the model is made up of the others, so its effect cannot be told")]
    Aliased {
        /// Which column, from 0.
        column: usize,
    },
    /// The likelihood rises without end.
    #[error("{0}")]
    Endless(String),
}
