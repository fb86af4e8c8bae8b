//! How much each kind of evidence is believed.

use crate::slip::{MachineId, MeterId, ScaleClass, SlipId};
use std::collections::BTreeMap;

/// Whose moisture meter it is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum MeterKind {
    /// A buyer's bench meter.
    Buyer,
    /// A hand meter.
    Hand,
    /// The combine's sensor.
    Combine,
}

/// Standard errors by kind of evidence, and the level of the tests.
///
/// Every default is a labelled guess from common practice (no source unless one is named), meant to
/// be changed by whoever knows better; each may be overridden for one slip, meter or machine.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Chance of calling a season without mistakes unsquared.
    pub level: f64,
    /// A slip is named only if the chance that it shows nothing but noise is at most this; the test at
    /// `level` alone decides whether the season is square.
    pub noise_at_most: f64,
    /// Buyer's or other certified truck scale: standard error as a share of the weight on it.
    pub certified_scale: f64,
    /// Weigh wagon or cart scale, the same.
    pub cart_scale: f64,
    /// Farm platform or axle pads, the same.
    pub farm_scale: f64,
    /// One tank by monitor, before it has been set by weighed loads: share of the mass.
    pub monitor_unset: f64,
    /// One tank by monitor, once set: share of the mass (published: a good calibration is within
    /// 1 to 3 %, a single small load within 5 to 10 %).
    pub monitor_set: f64,
    /// Weighed loads of one crop that set a monitor.
    pub loads_to_set: usize,
    /// Prior standard error of a monitor's factor about 1, before those loads.
    pub factor_unset: f64,
    /// The same, after them.
    pub factor_set: f64,
    /// A guess from how full a wagon or tank is, or from a count of dumps: share of the mass.
    pub eye: f64,
    /// A bin measured with tape, test weight and packing: share of the mass.
    pub bin_measure: f64,
    /// Moisture by a buyer's meter, points.
    pub buyer_meter_points: f64,
    /// Moisture by a hand meter, points.
    pub hand_meter_points: f64,
    /// Moisture by the combine's sensor, points.
    pub combine_meter_points: f64,
    /// Prior standard error of a meter's offset against the reference, points.
    pub offset_points: f64,
    /// Moisture borrowed from another slip of the same filling, points.
    pub borrowed_points: f64,
    /// Moisture borrowed from the crop's other slips of that day, points.
    pub day_points: f64,
    /// Own dryer: share of the dry matter lost in handling, expected.
    pub handling_loss: f64,
    /// Own dryer: standard error of that share.
    pub handling_loss_sd: f64,
    /// One slip's weight: relative standard error that replaces the default.
    pub slip_relative_sd: BTreeMap<SlipId, f64>,
    /// One meter's standard error, points, that replaces the default.
    pub meter_points: BTreeMap<MeterId, f64>,
    /// One machine's monitor: relative standard error of a tank that replaces both defaults.
    pub machine_relative_sd: BTreeMap<MachineId, f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            level: 0.05,
            noise_at_most: 0.05,
            certified_scale: 0.001,
            cart_scale: 0.005,
            farm_scale: 0.015,
            monitor_unset: 0.07,
            monitor_set: 0.025,
            loads_to_set: 4,
            factor_unset: 0.3,
            factor_set: 0.1,
            eye: 0.10,
            bin_measure: 0.03,
            buyer_meter_points: 0.3,
            hand_meter_points: 0.5,
            combine_meter_points: 0.7,
            offset_points: 0.5,
            borrowed_points: 1.0,
            day_points: 1.5,
            handling_loss: 0.005,
            handling_loss_sd: 0.004,
            slip_relative_sd: BTreeMap::new(),
            meter_points: BTreeMap::new(),
            machine_relative_sd: BTreeMap::new(),
        }
    }
}

impl Settings {
    /// Relative standard error of a weight on this class of scale.
    pub fn scale(&self, class: ScaleClass) -> f64 {
        match class {
            ScaleClass::Certified => self.certified_scale,
            ScaleClass::Cart => self.cart_scale,
            ScaleClass::Farm => self.farm_scale,
        }
    }

    /// Standard error of one reading of this meter, points.
    pub fn meter(&self, meter: &MeterId, kind: MeterKind) -> f64 {
        self.meter_points.get(meter).copied().unwrap_or(match kind {
            MeterKind::Buyer => self.buyer_meter_points,
            MeterKind::Hand => self.hand_meter_points,
            MeterKind::Combine => self.combine_meter_points,
        })
    }
}
