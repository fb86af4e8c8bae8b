//! The demo farm: a small invented farm on a creek bench, its season's slips with eight mistakes,
//! and the paper that shows what each should have been.

use crate::mistake::Truth;
use crate::paper::Record;
use quantity::MassUnit;
use serde::{Deserialize, Serialize};

/// A point on the ground, degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Corner {
    /// East, degrees (negative in the west).
    pub lon: f64,
    /// North, degrees.
    pub lat: f64,
}

/// One field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoField {
    /// Its name; also the standing-crop place of its slips.
    pub id: String,
    /// Outer ring, not closed, counter-clockwise.
    pub boundary: Vec<Corner>,
    /// Acres inside the boundary.
    pub measured_ac: f64,
    /// Acres reported to the insurer.
    pub reported_ac: f64,
    /// Acres planted.
    pub planted_ac: f64,
    /// Farm, tract and field numbers, invented.
    pub farm_tract_field: (u32, u32, u32),
    /// Insured unit.
    pub unit: String,
    /// Which crop stands on it.
    pub crop: String,
    /// The person other than the owner who has a share, and the share in per cent.
    pub share: Option<(String, f64)>,
}

/// One person, by role.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoPerson {
    /// Names the person.
    pub id: String,
    /// What the person does here.
    pub role: String,
}

/// A contract or claim under which loads are sold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoContract {
    /// Names it.
    pub id: String,
    /// Which crop.
    pub crop: String,
    /// Dollars a bushel; `None` is priced later.
    pub price_per_bu: Option<String>,
    /// Loads (slip ids) under it.
    pub slips: Vec<String>,
}

/// A bin, as a tape sees it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoBin {
    /// Its place.
    pub id: String,
    /// Inside, ft.
    pub diameter_ft: f64,
    /// Wall, ft.
    pub eave_ft: f64,
}

/// A bin measured by tape: its stock in `Record::stocks` follows from this.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoBinMeasure {
    /// The stock that it gives.
    pub stock: String,
    /// Grain against the wall, ft.
    pub depth_ft: f64,
    /// Peak above that, ft (negative for a cone drawn down).
    pub peak_ft: f64,
    /// Test weight, lb/bu.
    pub test_weight_lb_bu: f64,
    /// Packing, per cent by which the bin holds more than volume times test weight.
    pub packing_pct: f64,
}

/// The demo farm, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoFarm {
    /// The seed it came from.
    pub seed: u64,
    /// The farm's name.
    pub name: String,
    /// IANA name of its time zone.
    pub zone: String,
    /// Harvest year.
    pub year: i16,
    /// Unit of the farm's own weights.
    pub unit: MassUnit,
    /// Fields.
    pub fields: Vec<DemoField>,
    /// People by role.
    pub people: Vec<DemoPerson>,
    /// Crop names with what this farm calls them, e.g. ("corn", "corn").
    pub crops: Vec<String>,
    /// The bin.
    pub bins: Vec<DemoBin>,
    /// Its measures.
    pub bin_measures: Vec<DemoBinMeasure>,
    /// Who buys; the pit's place id.
    pub buyer: String,
    /// The buyer's schedules, one text a crop: (crop, TOML).
    pub schedules: Vec<(String, String)>,
    /// Contracts and the price-later claim.
    pub contracts: Vec<DemoContract>,
    /// As typed, with eight mistakes.
    pub typed: Record,
    /// As the paper tickets show.
    pub paper: Record,
    /// What really happened, and the mistakes.
    pub truth: Truth,
    /// Name and text of the raw combine points of one field.
    pub points: (String, String),
}
