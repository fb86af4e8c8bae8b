//! Quantities that cannot be confused.
//!
//! A ledgered mass is an exact integer of 10 micrograms, so pounds and kilograms add without
//! rounding; money is an exact integer of ten-thousandths; dry matter and as-weighed mass are
//! different types, and so are the several honest bushel counts of one load.

mod error;
mod mass;
mod moisture;
mod money;

pub use error::QuantityError;
pub use mass::{DryMass, Mass, MassUnit};
pub use moisture::Moisture;
pub use money::{Money, MoneyRounding, Price};
