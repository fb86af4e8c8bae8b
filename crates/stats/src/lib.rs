//! Counts that scatter more than chance, rates of rare events, and what a sample can settle.
//!
//! * [`negbin`]: negative binomial regression by maximum likelihood.
//! * [`rates`]: a rate of rare events with its doubt, and how many more will come.
//!
//! General: nothing here knows of grain. Everything is pure; seeds are arguments.

mod error;
pub mod negbin;
pub mod rates;

pub use error::StatsError;
