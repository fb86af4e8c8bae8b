//! Squaring: what most likely moved, given everything that was written, and what does not fit.
//!
//! Balances of dry matter are exact; every weight, tank, fill and bin measure is a measurement with a
//! standard error. Weighted least squares finds the values that fit them all, a test of each
//! measurement finds those that do not fit, and [`mistake`] says which slip of the pen would explain
//! each. Nothing is corrected here: the record is the record, the squared value stands beside it.

mod error;
pub mod mistake;
pub mod network;
mod season;
mod settings;
mod squared;

use crate::slip::{MachineId, MeterId, Place, PlaceId, PlaceKind, Slip, SlipId, Stock};
use quantity::Mass;
use season::build::Known;
use std::collections::BTreeMap;

pub use error::SquareError;
pub use mistake::{Field, Hypothesis, MistakeKind};
pub use settings::{MeterKind, Settings};
pub use squared::{
    Advice, MoistureSource, Squared, SquaredFactor, SquaredOffset, SquaredSlip, SquaredStock,
    SquaredTare, Suspect, Unexplained, Weighing,
};

/// Everything that was written in one season.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Season {
    /// Every place that a slip or stock names.
    pub places: Vec<Place>,
    /// The slips, in any order.
    pub slips: Vec<Slip>,
    /// The measured stocks, in any order. A place without one starts the season empty.
    pub stocks: Vec<Stock>,
    /// The moisture meter that the others' offsets are counted from; `None` takes the buyer's meter
    /// read most often.
    pub reference_meter: Option<MeterId>,
    /// Whose each meter is; one that is not listed counts as a hand meter.
    pub meters: BTreeMap<MeterId, MeterKind>,
    /// What wagons and trucks weigh empty, where the farm keeps a list.
    pub tares: BTreeMap<PlaceId, Mass>,
    /// Test weight on the slip, lb/bu.
    pub test_weights_lb_bu: BTreeMap<SlipId, f64>,
    /// When a monitor was set anew, UTC milliseconds: a new factor from then on.
    pub recalibrations: Vec<(MachineId, i64)>,
}

/// Squares a season.
///
/// # Errors
/// A slip that names an unlisted place or no source, two slips with one id, or a standard error that
/// is not positive.
pub fn square(season: &Season, settings: &Settings) -> Result<Squared, SquareError> {
    let mut layout = season::build::lay_out(season, settings, &Known::default())?;
    if layout.periods.iter().any(|p| p.kind == PlaceKind::Dryer) {
        // a dryer's loss is a share of what went through it, which a first fit tells
        let fit = network::fit(&layout.network)?;
        let through = layout
            .periods
            .iter()
            .enumerate()
            .filter(|(_, period)| period.kind == PlaceKind::Dryer)
            .map(|(at, period)| {
                let kg = period
                    .ins
                    .iter()
                    .map(|&s| fit.values[layout.mass[s]])
                    .sum::<f64>();
                (at, kg.max(0.0))
            })
            .collect();
        let known = Known {
            through,
            ..Known::default()
        };
        layout = season::build::lay_out(season, settings, &known)?;
    }
    let mut oddity = vec![f64::NEG_INFINITY; layout.network.measurements.len()];
    for (odd, measurement) in mistake::oddities(&layout).into_iter().zip(&layout.of_slip) {
        if let Some(measurement) = measurement {
            oddity[*measurement] = odd;
        }
    }
    let verdict = network::judge_odd(&layout.network, settings.level, &oddity)?;
    Ok(season::report::report(&layout, &verdict, settings.level))
}
