//! What can stop a season from being squared.

use crate::slip::{PlaceId, SlipId};
use numeric::NumericError;

/// Why a season could not be squared.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SquareError {
    /// A slip or stock names a place that is not among the places.
    #[error(
        "slip {slip} names the place '{place}', which is not on the list: add the place, or correct the slip"
    )]
    UnknownPlace {
        /// The slip or stock.
        slip: SlipId,
        /// The name.
        place: PlaceId,
    },
    /// A slip moves grain from nowhere.
    #[error("slip {slip} names no place that the grain came from: add one")]
    NoSource {
        /// The slip.
        slip: SlipId,
    },
    /// Two slips or stocks with the same id.
    #[error("two slips are called {slip}: each needs its own id")]
    SameId {
        /// The id.
        slip: SlipId,
    },
    /// A standard error that is not a positive number.
    #[error("found a standard error of {found} for {what}, expected a number above 0 and finite")]
    BadStandardError {
        /// Of what.
        what: String,
        /// As set.
        found: f64,
    },
    /// Balances that cannot all hold.
    #[error(
        "the balance of {what} can hold with no values at all: it asks that {found} kg be nothing"
    )]
    Impossible {
        /// Which balance.
        what: String,
        /// What is left over, kg.
        found: f64,
    },
    /// A term names an unknown that is not there.
    #[error("found unknown number {found} in a row, expected one below {unknowns}")]
    UnknownOutOfRange {
        /// Index named.
        found: usize,
        /// Unknowns there are.
        unknowns: usize,
    },
    /// The linear algebra refused.
    #[error("the account could not be solved: {0}")]
    Numeric(#[from] NumericError),
}
