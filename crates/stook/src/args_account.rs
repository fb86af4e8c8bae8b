//! What can be typed to mend an entry, strike one, and read the account.

use crate::args_yield::{CleanTyped, EdgeTyped, ExplainTyped, MapTyped, ZonesTyped};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// When and by whom; every entry carries both.
#[derive(Debug, Args, Default)]
pub(crate) struct SignedTyped {
    /// When it happened, e.g. "2026-10-06 16:41"; now, if left out
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// Who writes
    #[arg(long, value_name = "WHO", default_value = "owner")]
    pub by: String,
}

#[derive(Debug, Args)]
pub(crate) struct MendTyped {
    /// The entry to correct: its id, first letters, or ticket number
    pub entry: String,
    /// What the paper shows, e.g. --set "gross=52,220 lb" --set moisture=14.3%
    #[arg(long = "set", value_name = "FIGURE=VALUE", required = true)]
    pub set: Vec<String>,
    /// Why, and from which paper
    #[arg(long)]
    pub reason: String,
    #[command(flatten)]
    pub signed: SignedTyped,
}

#[derive(Debug, Args)]
pub(crate) struct StrikeTyped {
    /// The entry to strike out: its id, first letters, or ticket number
    pub entry: String,
    /// Why
    #[arg(long)]
    pub reason: String,
    #[command(flatten)]
    pub signed: SignedTyped,
}

#[derive(Debug, Args)]
pub(crate) struct SquareTyped {
    /// Only this season, e.g. 2026
    #[arg(long)]
    pub season: Option<i16>,
    /// Chance of a false alarm in a clean season
    #[arg(long, default_value_t = 0.05)]
    pub level: f64,
    /// Every slip, not only what looks wrong
    #[arg(long)]
    pub all: bool,
    /// Draw the test of every slip as an SVG
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct AuditTyped {
    /// Ticket number or entry id; every ticket if left out
    pub ticket: Option<String>,
    /// Price, e.g. "$4.15/bu"; without it, bushels only
    #[arg(long)]
    pub price: Option<String>,
    /// What the buyer's sheet paid, to compare
    #[arg(long)]
    pub paid: Option<String>,
    /// Draw the settlement of one ticket as an SVG
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct NightTyped {
    /// Which harvest day, e.g. 2026-10-06; the whole season if left out
    #[arg(long)]
    pub day: Option<String>,
    /// Only this season, e.g. 2026
    #[arg(long)]
    pub season: Option<i16>,
    /// Write the sheet as a page to print
    #[arg(long, value_name = "FILE")]
    pub page: Option<PathBuf>,
    /// Draw the account of the largest crop as an SVG
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum PassTyped {
    /// Add up a file of raw points: mass, area, moisture, passes, tanks
    Summary(SummaryTyped),
    /// Give the account what the monitor saw: each tank of a file to its dump, by load card number
    Tanks(TanksTyped),
    /// Clean a log: how late grain is written, what is not mapped and why, monitor against scale
    Clean(CleanTyped),
    /// Map a log: the yield of every cell and how sure it is
    Map(MapTyped),
    /// What trees, roads, ditches and turning cost along the field's edges
    Edge(EdgeTyped),
    /// Yields of a field's parts, such as soils, and whether they differ
    Zones(ZonesTyped),
    /// Every step that one record of a log went through
    Explain(ExplainTyped),
}

#[derive(Debug, Args)]
pub(crate) struct TanksTyped {
    /// Delimited file of combine points with a load column
    pub file: PathBuf,
    /// Which field
    #[arg(long)]
    pub field: String,
    /// Which combine
    #[arg(long)]
    pub machine: String,
    /// Which crop
    #[arg(long)]
    pub crop: String,
    /// Working width, e.g. 360in or 30ft
    #[arg(long)]
    pub swath: Option<String>,
    /// What a column is, where its name does not say
    #[arg(long = "column", value_name = "NAME=UNIT|ROLE|ROLE UNIT")]
    pub columns: Vec<String>,
    /// Which season, e.g. 2026; the last one with a slip if left out
    #[arg(long)]
    pub season: Option<i16>,
    #[command(flatten)]
    pub signed: SignedTyped,
}

#[derive(Debug, Args)]
pub(crate) struct SummaryTyped {
    /// Combine points: delimited file, Shapefile (or its zip archive), GeoJSON, GeoPackage, FlatGeobuf, GeoParquet,
    /// or task data (ISO 11783-10) as zip archive, folder or TASKDATA.XML
    pub file: PathBuf,
    /// Working width, e.g. 360in or 30ft
    #[arg(long)]
    pub swath: Option<String>,
    /// Crop, for bushels
    #[arg(long)]
    pub crop: String,
    /// Moisture that dry bushels are stated at; the crop's customary one if left out
    #[arg(long)]
    pub base: Option<String>,
    /// What a column is, where its name does not say: --column dist=ft, --column "rate=flow lb/s"
    #[arg(long = "column", value_name = "NAME=UNIT|ROLE|ROLE UNIT")]
    pub columns: Vec<String>,
    /// Which log of task data, e.g. TLG00001; all that record yield, one after another, if left out
    #[arg(long)]
    pub log: Option<String>,
    /// Test weight, where task data records the volume of grain, e.g. "56 lb/bu"
    #[arg(long)]
    pub test_weight: Option<String>,
    /// Refuse the file at the first bad row
    #[arg(long)]
    pub strict: bool,
    /// Draw the points as an SVG
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}
