//! What the scribe is told of a combine and of how tickets are copied.

use crate::paper::Scale;
use quantity::MassUnit;
use std::collections::BTreeMap;

/// A combine as the scribe knows it.
#[derive(Debug, Clone)]
pub(crate) struct Combine {
    pub(crate) id: String,
    pub(crate) meter: String,
    /// Shows dry mass, so that its slips carry no moisture.
    pub(crate) shows_dry: bool,
    /// Digits in kilograms.
    pub(crate) unit: MassUnit,
    /// True over read, by crop; a crop that is not there is cut with no monitor.
    pub(crate) factors: BTreeMap<String, f64>,
}

/// How a ticket is copied into the book.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TicketStyle {
    pub(crate) scale: Scale,
    pub(crate) unit: MassUnit,
    pub(crate) step: i64,
    /// Gross and tare both, or only the net.
    pub(crate) net_only: bool,
    /// Take the tares off the farm's list instead of weighing empty.
    pub(crate) shared_tare: bool,
    pub(crate) meter: Option<String>,
    pub(crate) factors: Vec<(String, f64)>,
}
