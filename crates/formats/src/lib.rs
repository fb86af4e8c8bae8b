//! Files in and out, one module a format.
//!
//! Reading never fails on a bad row: it returns records and findings (row or byte, what, what was
//! done). It fails only for a file that is not what it says.
//!
//! - [`crs`]: in what positions are, and from there to degrees.
//! - [`delimited`]: combine points in delimited text, to a [`track::Track`].
//! - [`slips_csv`]: slips as typed in a spreadsheet, to rows of named cells.
//! - [`entries_csv`]: rows of named text out and back without loss, for a book's export.
//! - [`geojson`]: the outline of a field, checked, and its area.
//! - [`geopackage`]: outlines with attributes, out and in.
//! - [`points`]: combine points in Shapefile, GeoJSON and others, to the same track.
//! - [`polygons`]: outlines with attributes in the same formats.
//! - [`raster`]: cells of numbers out, as GeoTIFF and PNG.
//! - [`taskdata`]: the task data of machines (ISO 11783-10), its logs to a [`track::Track`].

mod archive;
pub mod crs;
pub mod delimited;
pub mod entries_csv;
mod error;
pub mod geojson;
pub mod geopackage;
mod layers;
mod limits;
pub mod points;
pub mod polygons;
pub mod raster;
pub mod slips_csv;
pub mod taskdata;

pub use error::FormatError;
