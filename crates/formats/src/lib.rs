//! Files in and out, one module a format.
//!
//! Reading never fails on a bad row: it returns records and findings (row or byte, what, what was
//! done). It fails only for a file that is not what it says.
//!
//! - [`delimited`]: combine points in delimited text, to a [`track::Track`].

pub mod delimited;
mod error;

pub use error::FormatError;
