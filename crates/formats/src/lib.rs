//! Files in and out, one module a format.
//!
//! Reading never fails on a bad row: it returns records and findings (row or byte, what, what was
//! done). It fails only for a file that is not what it says.
//!
//! - [`delimited`]: combine points in delimited text, to a [`track::Track`].
//! - [`slips_csv`]: slips as typed in a spreadsheet, to rows of named cells.
//! - [`entries_csv`]: rows of named text out and back without loss, for a book's export.
//! - [`geojson`]: the outline of a field, checked, and its area.
//! - [`geopackage`]: outlines with attributes, out and in.
//! - [`taskdata`]: the task data of machines (ISO 11783-10), its logs to a [`track::Track`].

pub mod delimited;
pub mod entries_csv;
mod error;
pub mod geojson;
pub mod geopackage;
mod limits;
pub mod slips_csv;
pub mod taskdata;

pub use error::FormatError;
