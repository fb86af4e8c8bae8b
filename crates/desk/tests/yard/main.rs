//! The pages of the day, the phone and the winter sheet, over small farms made by hand.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod account;
mod cab;
mod counts;
mod dropped;
mod evening;
mod farm;
mod morning;
mod phone;
mod rights;
mod setup;
mod speed;
mod stops;
mod sync;
mod winter;
