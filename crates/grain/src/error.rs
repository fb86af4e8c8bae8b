//! What cannot be reckoned, and what to do about it.

use crate::Factor;

/// One error for the whole room.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GrainError {
    /// A schedule that cannot be applied.
    #[error("schedule '{schedule}', line '{line}': {what}")]
    Schedule {
        /// Which schedule.
        schedule: String,
        /// Which line or entry of it.
        line: String,
        /// What is wrong and what to write instead.
        what: String,
    },
    /// A line that cannot be applied.
    #[error("line '{line}': {what}")]
    Line {
        /// Which line.
        line: String,
        /// What is wrong and what to write instead.
        what: String,
    },
    /// A ticket for another crop.
    #[error("ticket is for {ticket}, schedule is for {schedule}; use a schedule for {ticket}")]
    OtherCrop {
        /// The ticket's crop.
        ticket: facts::Crop,
        /// The schedule's crop.
        schedule: facts::Crop,
    },
    /// A ticket with nothing on it.
    #[error("found net weight {found}, expected more than 0 lb; read the ticket again")]
    NoWeight {
        /// As entered.
        found: String,
    },
    /// A factor value that cannot be.
    #[error("found {} {found}, expected {expected}; read the ticket again", factor.words())]
    Factor {
        /// Which factor.
        factor: Factor,
        /// As entered.
        found: String,
        /// The range.
        expected: &'static str,
    },
    /// A number outside what the arithmetic can take.
    #[error("found {what} {found}, expected {expected}")]
    OutOfRange {
        /// Which number.
        what: &'static str,
        /// As given.
        found: String,
        /// The range, with unit.
        expected: &'static str,
    },
    /// No published table for this crop.
    #[error("no {what} is known here for {crop}; enter your own")]
    NotKnown {
        /// What was asked.
        what: &'static str,
        /// For which crop.
        crop: facts::Crop,
    },
    /// A quantity past what an account can hold.
    #[error(transparent)]
    Quantity(#[from] quantity::QuantityError),
}
