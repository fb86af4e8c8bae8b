//! Quantities that cannot be confused.
//!
//! Everything that a slip, a ticket, a settlement or a combine file measures passes through here,
//! and three things hold of it:
//!
//! - **What is kept in the account is exact.** A ledgered [`Mass`] is an integer of 10 micrograms, so
//!   pounds and kilograms add without rounding; [`Money`] is an integer of ten-thousandths, a
//!   [`Price`] an exact decimal. Rounding happens once, where a real sheet rounds, by a named rule
//!   ([`MoneyRounding`], [`Step`], [`MassStep`], [`SplitRule`]).
//! - **What differs in kind differs in type.** Mass as weighed and [`DryMass`] do not add; nor do
//!   [`Length`] and [`Area`]. [`Bushels`] say which of the honest counts of a load they are, and a
//!   [`Yield`] says on which acres; there is no way to print one that does not.
//! - **What a person writes is read, and nothing is guessed.** `52,220 lb`, `52220#`, `30'`, `14.3%`
//!   and `$4.15/bu` are understood; a bare number only where the caller names its unit (`parse_or`).
//!   `26 tons`, `1,23` and `10/11/2026` mean two things, and are refused with what would do.
//!
//! ```
//! use quantity::{BushelWeight, Bushels, Mass, Moisture, DryMass, Units};
//! let net = Mass::parse("78,460 lb")? - Mass::parse("26,240 lb")?;
//! let corn = BushelWeight::pounds(56)?;
//! assert_eq!(Bushels::as_weighed(net, corn).show_places(3), "932.500 bu as weighed (56 lb)");
//! let dry = DryMass::of(net, Moisture::parse("18.2 %")?);
//! assert_eq!(dry.show(Units::Us), "42,716 lb dry");
//! # Ok::<(), quantity::QuantityError>(())
//! ```
//!
//! The parts, in the order one meets them: `text` (how a number is written), `units` and `real` (what
//! is common to all), `mass`, `moisture`, `bushel`, `test_weight`, `yields`, `length`, `flow`, `rounding`, `money`,
//! `split`, `when`. Every quantity has `parse`, `parse_or`, `show` and `canonical`; serde uses the
//! canonical text, and reading it passes the same range checks as typed input.

mod bushel;
mod error;
mod flow;
mod length;
mod mass;
mod moisture;
mod money;
mod real;
mod rounding;
mod split;
mod test_weight;
mod text;
mod units;
mod when;
mod yields;

pub use bushel::{
    BushelKind, BushelWeight, BushelWeightUnit, Bushels, CUBIC_FEET_PER_BUSHEL,
    CUBIC_INCHES_PER_BUSHEL, HECTOLITERS_PER_BUSHEL,
};
pub use error::QuantityError;
pub use flow::{FlowUnit, MassFlow, Speed, SpeedUnit};
pub use length::{Area, AreaUnit, Length, LengthUnit};
pub use mass::{DryMass, Mass, MassUnit};
pub use moisture::{DryBasis, Moisture, MoistureUnit};
pub use money::{Money, MoneyUnit, Price, PriceUnit};
pub use rounding::{MassStep, MoneyRounding, Step};
pub use split::{SplitRule, split_dry, split_mass, split_money};
pub use test_weight::{TestWeight, TestWeightUnit};
pub use units::Units;
pub use when::{HARVEST_DAY_ENDS, When, Zone, harvest_day, parse_clock, parse_date};
pub use yields::{AcreSource, Acres, Yield};
