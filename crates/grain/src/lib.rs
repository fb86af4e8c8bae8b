//! Dry matter, shrink, grades, buyers' schedules, settlements, bins and piles.
//!
//! Three ideas carry this room. Raw weight and moisture are kept and every bushel count is derived
//! from them by name ([`views`]). A buyer's rules are data ([`Schedule`]), entered by the user, and
//! [`settle`] recomputes a [`Ticket`] under them line by line, to the cent. Nothing that is not on
//! the paper is assumed: what is missing is a finding.

mod charge;
mod check;
mod error;
mod factor;
mod schedule;
mod settle;
mod settlement;
mod ticket;

pub use charge::{Charged, charge};
pub use error::GrainError;
pub use factor::Factor;
pub use schedule::{
    Assessment, AssessmentBase, Average, Band, Charge, ExcessRounding, Kind, Line, PayUnit,
    Reading, Round, Rounding, Schedule, When,
};
pub use settle::{buyer_units, settle};
pub use settlement::{Outcome, SettleFinding, SettledLine, Settlement};
pub use ticket::Ticket;
