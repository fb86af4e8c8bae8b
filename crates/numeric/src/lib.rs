//! Linear solves, distributions and seeded streams: the only door to the linear-algebra and
//! random crates.
//!
//! * [`distribution`]: normal, chi-square, t and F probabilities and quantiles.
//! * [`stream`]: random numbers by name, the same on every platform and at every thread count.
//! * [`sparse`]: sparse symmetric factors, solves, and the entries of the inverse that a
//!   least-squares fit needs for its standard errors.
//!
//! Everything here is pure and general: no grain, no farm, no file, no clock. Seeds are arguments.

pub mod distribution;
mod error;
pub mod sparse;
pub mod stream;

pub use error::NumericError;
