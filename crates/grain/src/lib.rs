//! Dry matter, shrink, grades, buyers' schedules, settlements, bins and piles.
//!
//! Three ideas carry this room. Raw weight and moisture are kept and every bushel count is derived
//! from them by name ([`counts`]). A buyer's rules are data ([`Schedule`]), entered by the user, and
//! [`settle()`] recomputes a [`Ticket`] under them line by line, to the cent. Nothing that is not on
//! the paper is assumed: what is missing is a finding.

mod audit;
mod bin;
mod charge;
mod check;
mod dockage;
mod error;
mod factor;
mod grade;
mod lot;
mod pile;
mod schedule;
mod settle;
mod settlement;
mod share;
mod shrink;
mod test_weight;
mod ticket;
mod views;

pub use audit::{Audit, Difference, Figure, Printed, PrintedLine, audit};
pub use bin::{
    BushelVolume, Filled, FlatBin, Packing, RoundBin, RoundTop, flat_bin, mean_depth, round_bin,
};
pub use charge::{Charged, charge};
pub use dockage::{Docked, take_dockage};
pub use error::GrainError;
pub use factor::Factor;
pub use grade::{Driver, Grade, grade};
pub use lot::{Lot, settle_many};
pub use pile::{angle_of, cone_pile, pile_by_repose, pile_diameter, pile_factor};
pub use schedule::{
    Assessment, AssessmentBase, Average, Band, Charge, ExcessRounding, Kind, Line, PayUnit,
    Reading, Round, Rounding, Schedule, When,
};
pub use settle::{buyer_units, settle};
pub use settlement::{Outcome, SettleFinding, SettledLine, Settlement};
pub use share::{Part, Share, divide};
pub use shrink::{
    GiveAway, after_shrink, dried, dry_in_bushel, flat_shrink_pct, give_away,
    hidden_in_flat_shrink_pct, over_dry_loss_pct, point_factor, water_shrink_pct,
    weight_of_a_dry_bushel,
};
pub use test_weight::printed_kg_per_hl;
pub use ticket::Ticket;
pub use views::{Counts, counts, insurance_bushels, insurance_moisture_factor, legal_bushel};
