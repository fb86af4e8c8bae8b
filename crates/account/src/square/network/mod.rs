//! The general engine: unknowns, exact balances, measurements; values, errors, tests.
//!
//! Knows nothing of grain. [`fit`] solves, [`tests()`] tests one fit, [`judge`] does both and sets
//! aside what does not fit.
//!
//! Least-squares reconciliation of flows under exact balances: Kuehn & Davidson 1961; Mah, Stanley
//! & Downing 1976; measurement test: Mah & Tamhane 1982; unmeasured flows: Crowe 1983; textbook:
//! Narasimhan & Jordache 2000 (all from memory).
//!
//! Limitations: errors are taken for normal and independent but for the unknowns that they share;
//! several mistakes whose effects cancel cannot be seen; what no balance checks is reported, not
//! tested.

mod eliminate;
mod model;
mod serial;
mod solve;
mod tests;

pub use model::{Balance, Measurement, Model, Network, Row, Unknown};
pub(crate) use serial::robust_evidence;
pub use serial::{Aside, Verdict, judge, judge_odd};
pub use solve::{Fit, fit, fit_with};
pub use tests::{Tests, critical, tests};
