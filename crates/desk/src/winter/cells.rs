//! Raw points put into square cells, as read: no delay, overlap or outlier is treated.

use crate::DeskError;
use serde::Serialize;

/// Most cells; past that the cells are made larger.
pub const MOST_CELLS: usize = 12_000;

/// What is asked about a file of points.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CellsAsked {
    /// The crop's key.
    pub crop: String,
    /// Working width as typed, where the file has none.
    pub swath: Option<String>,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// The field's outline, GeoJSON; cells are counted from its south-west corner.
    pub outline: Option<String>,
}

/// Cells of a field, one list a column so that it stays small; cell `i` lies between
/// `lon_edges[column[i]]` and the next edge, and `lat_edges[row[i]]` and the next.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cells {
    /// The crop's key.
    pub crop: String,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Whether cells were made larger than asked to stay under [`MOST_CELLS`].
    pub enlarged: bool,
    /// `dry_bu_per_ac` or, where the file has no moisture, `wet_lb_per_ac`.
    pub unit: &'static str,
    /// The bushels' base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Edges of columns, degrees east, from the west.
    pub lon_edges: Vec<f64>,
    /// Edges of rows, degrees north, from the south.
    pub lat_edges: Vec<f64>,
    /// Column of each cell.
    pub column: Vec<u32>,
    /// Row of each cell.
    pub row: Vec<u32>,
    /// Mean yield of each cell, mass over area cut.
    pub mean: Vec<f64>,
    /// Standard error of that mean from its points alone; none for one point.
    pub se: Vec<Option<f64>>,
    /// Points in each cell.
    pub n: Vec<u32>,
    /// The 2nd, 25th, 50th, 75th and 98th per cent of the cells' means, for a scale of shades.
    pub quantiles: [f64; 5],
    /// Lowest and highest mean.
    pub range: [f64; 2],
    /// Least and greatest longitude and latitude: west, south, east, north.
    pub bounds: [f64; 4],
    /// Points read.
    pub points: u64,
    /// Records in the file: points + set aside.
    pub rows: u64,
    /// Records set aside by the reader.
    pub set_aside: u64,
    /// Points that cut no ground: kept in every total, in no cell.
    pub no_ground: u64,
    /// Points that the checks flagged (kept).
    pub flagged: u64,
    /// What was assumed about units, widths and moistures, English.
    pub assumed: Vec<String>,
}

/// Puts the points of a file into cells.
///
/// # Errors
/// Not yet built.
pub fn cells(_bytes: &[u8], _file: &str, _asked: &CellsAsked) -> Result<Cells, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}
