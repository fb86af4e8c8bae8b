//! Words of `stook pass clean`, `map` and `explain`.

use clap::Args;
use std::path::PathBuf;

/// A log and what is known of it.
#[derive(Debug, Args)]
pub(crate) struct LogTyped {
    /// File of combine points, or task data (ISO 11783-10); the field's latest file in the book if left out
    pub file: Option<PathBuf>,
    /// Field of the book: its crop, outline, width, tickets and file of points are then known
    #[arg(long)]
    pub field: Option<String>,
    /// Which season of the book, e.g. 2026; the last one with a slip if left out
    #[arg(long)]
    pub season: Option<i16>,
    /// Crop, for bushels
    #[arg(long)]
    pub crop: Option<String>,
    /// Working width, e.g. 360in or 30ft
    #[arg(long)]
    pub swath: Option<String>,
    /// Rows of a row crop's head: ground is then cut in whole rows
    #[arg(long)]
    pub rows: Option<u32>,
    /// The field's outline: GeoJSON, Shapefile, GeoPackage, FlatGeobuf or GeoParquet
    #[arg(long, value_name = "FILE")]
    pub boundary: Option<PathBuf>,
    /// Weighings, CSV: loads (several joined by +), net, moisture
    #[arg(long, value_name = "FILE")]
    pub weighings: Option<PathBuf>,
    /// From the antenna forward to the head, e.g. 12ft
    #[arg(long, allow_hyphen_values = true)]
    pub antenna: Option<String>,
    /// Seconds that grain is written late, in place of what the log tells
    #[arg(long, value_name = "SECONDS", allow_hyphen_values = true)]
    pub delay: Option<f64>,
    /// Moisture that dry bushels are stated at; the crop's customary one if left out
    #[arg(long)]
    pub base: Option<String>,
    /// What a column is, where its name does not say: --column dist=ft
    #[arg(long = "column", value_name = "NAME=UNIT|ROLE|ROLE UNIT")]
    pub columns: Vec<String>,
    /// Which log of task data; all that record yield if left out
    #[arg(long)]
    pub log: Option<String>,
    /// Test weight, where task data records the volume of grain
    #[arg(long)]
    pub test_weight: Option<String>,
    /// Refuse the file at the first bad row
    #[arg(long)]
    pub strict: bool,
    /// Seed of what is drawn by chance: the same seed gives the same answer
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
}

#[derive(Debug, Args)]
pub(crate) struct CleanTyped {
    #[command(flatten)]
    pub of: LogTyped,
    /// Every record with what became of it: a new file ending in .csv or .geojson
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct MapTyped {
    #[command(flatten)]
    pub of: LogTyped,
    /// Side of a cell, e.g. 10m or 30ft
    #[arg(long, default_value = "10m")]
    pub cell: String,
    /// A page with the map, its doubt and all that they rest on (HTML)
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// The map beside its doubt as one picture (SVG)
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// The cells with their standard errors: new files ending in .tif (GeoTIFF), .gpkg, .geojson, .csv or .png
    #[arg(long, value_name = "FILE")]
    pub out: Vec<PathBuf>,
}

/// What lies along the field.
#[derive(Debug, Args)]
pub(crate) struct EdgesTyped {
    /// A side of the outline and what lies there, with the height of trees: --side "north=trees 50ft" --side east=road
    #[arg(long = "side", value_name = "SIDE=CLASS [HEIGHT]")]
    pub sides: Vec<String>,
    /// Lines along edges, GeoJSON: property class (trees, fence, road, waterway, turning ends, other), height
    #[arg(long, value_name = "FILE")]
    pub edges: Option<PathBuf>,
    /// Price of a bushel, for money
    #[arg(long)]
    pub price: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct EdgeTyped {
    #[command(flatten)]
    pub of: LogTyped,
    #[command(flatten)]
    pub along: EdgesTyped,
    /// A page with the map, the edges and all that they rest on (HTML)
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct ZonesTyped {
    #[command(flatten)]
    pub of: LogTyped,
    /// Polygons of the zones, such as a soil survey: Shapefile, GeoJSON, GeoPackage, FlatGeobuf or GeoParquet
    #[arg(long, value_name = "FILE")]
    pub zones: PathBuf,
    /// Attribute that names a zone; polygons of one name are one zone
    #[arg(long)]
    pub by: Option<String>,
    /// Side of a cell, e.g. 10m or 30ft
    #[arg(long, default_value = "10m")]
    pub cell: String,
    /// A page with the map, the zones and all that they rest on (HTML)
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct ExplainTyped {
    #[command(flatten)]
    pub of: LogTyped,
    /// Line of the file, the header being 1
    #[arg(long)]
    pub row: u64,
}
