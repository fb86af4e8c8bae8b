//! What can be asked of this room in vain.

/// One error for the whole room.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FactsError {
    /// No such crop here.
    #[error("found crop '{found}', expected one of {expected}")]
    UnknownCrop {
        /// What was written (shortened to 40 characters).
        found: String,
        /// The keys that exist.
        expected: String,
    },
    /// No such act has a caution.
    #[error("found act '{found}', expected one of {expected}")]
    UnknownAct {
        /// What was written (shortened to 40 characters).
        found: String,
        /// The keys that exist.
        expected: String,
    },
}
