//! What the ledger is posted from.

use crate::slip::{CropId, Place, Slip, SlipId, Stock};
use quantity::Moisture;
use std::collections::{BTreeMap, BTreeSet};

/// Everything that one season's ledger is posted from: effective entries only, that is, after
/// corrections and voids have been applied. The order of the slices does not matter.
#[derive(Debug, Clone, Copy)]
pub struct Season<'a> {
    /// Every place that a slip or a stock names.
    pub places: &'a [Place],
    /// The movements.
    pub slips: &'a [Slip],
    /// What was there before the season's first slip.
    pub openings: &'a [Stock],
    /// Bins and wagons measured, or known empty.
    pub measured: &'a [Stock],
    /// The moisture assumed for a weight that has none, by crop; a weight whose moisture is neither
    /// measured, nor known from what the source holds, nor assumed here, is set aside.
    pub assumed: &'a BTreeMap<CropId, Moisture>,
    /// Deliveries that became a claim on the buyer's storage instead of a sale.
    pub on_claim: &'a BTreeSet<SlipId>,
}
