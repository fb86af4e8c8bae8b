//! Seeded seasons with known truth, for the demo, tests and studies.
//!
//! Imports floors 0 and 1 only, so that it shares no kernel, and so no bug, with what it tests.
//!
//! - [`season`] grows random seasons and plants mistakes in them;
//! - [`demo`] is one small invented farm with eight mistakes of different kinds;
//! - [`paper`] holds the plain types of what was written, [`mistake`] the truth kept beside it.

pub mod counts;
pub mod demo;
pub mod harvest;
pub mod mistake;
pub mod paper;
mod plant;
pub mod scribe;
pub mod season;
pub mod stops;
pub mod wagon;
