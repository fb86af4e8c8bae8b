//! The monitor set to the scale, load by load.
//!
//! `S = b0 sum(q dt) + b1 sum(q (q/qbar - 1) dt)`: a factor, and a response to flow that is drawn towards none (its
//! prior standard deviation is 0.08). What a load still differs by is a smooth drift plus its own gain, drawn
//! towards the drift by how well a weighing knows it: `s_gain^2 / (s_gain^2 + s_weighing^2)`.
//! Loads with more than 1 % of their time unlogged in the crop take their neighbors' gain.

use serde::Serialize;

/// A weighing of one machine tank or several together.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// Loads in it.
    pub loads: Vec<u32>,
    /// Wet grain, kg.
    pub wet_kg: f64,
    /// Moisture, fraction wet basis.
    pub moisture: Option<f64>,
    /// Standard error of the weight as a share, scale and grain left behind together.
    pub error: f64,
}

/// What the monitor read of one load.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Read {
    /// Mass, kg.
    pub mass_kg: f64,
    /// `sum(q (q/qbar - 1) dt)`, kg.
    pub bend_kg: f64,
    /// Share of its time in the crop that was not logged.
    pub unlogged: f64,
}

/// A weighing beside what the monitor read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fitted {
    /// Loads weighed together.
    pub loads: Vec<u32>,
    /// By the scale, wet kg.
    pub scale_kg: f64,
    /// By the monitor, wet kg.
    pub monitor_kg: f64,
    /// Scale over monitor.
    pub ratio: f64,
    /// Whether it took part.
    pub used: bool,
    /// The gain given to its loads, over the common factor.
    pub gain: f64,
    /// Standard error of that gain.
    pub gain_se: f64,
}

/// The monitor's calibration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Calibration {
    /// Scale over monitor for all.
    pub factor: f64,
    /// Its standard error.
    pub factor_se: f64,
    /// Response to flow: change of the factor for a doubling of flow about its mean.
    pub flow: f64,
    /// Its standard error.
    pub flow_se: f64,
    /// Drift of the gain a load.
    pub drift: f64,
    /// Its standard error.
    pub drift_se: f64,
    /// Scatter of the loads' own gain, as a share.
    pub gain_sd: f64,
    /// Mean flow about which the response bends, kg/s.
    pub flow_mean: f64,
    /// Each weighing beside the monitor.
    pub fitted: Vec<Fitted>,
    /// For each load, its gain over the common factor.
    pub gains: Vec<f64>,
}

const FLOW_PRIOR: f64 = 0.08;
/// Scatter of gains from load to load where too few are weighed to say: a guess.
const GAIN_SD: f64 = 0.02;
const UNLOGGED: f64 = 0.01;

impl Calibration {
    /// No weighing: the monitor as it is.
    pub fn none(loads: usize) -> Self {
        Self {
            factor: 1.0,
            factor_se: f64::NAN,
            flow: 0.0,
            flow_se: FLOW_PRIOR,
            drift: 0.0,
            drift_se: f64::NAN,
            gain_sd: GAIN_SD,
            flow_mean: f64::NAN,
            fitted: Vec::new(),
            gains: vec![1.0; loads],
        }
    }

    /// How far a flow lies from the mean, in means; beyond twice the mean the line is not known to go on.
    pub(super) fn bend(flow_kg_s: f64, mean: f64) -> f64 {
        (flow_kg_s / mean - 1.0).clamp(-1.0, 1.0)
    }

    /// Mass by the scale of what the monitor read at a flow.
    pub fn set(&self, load: Option<u32>, mass_kg: f64, flow_kg_s: f64) -> f64 {
        let gain = load
            .and_then(|l| self.gains.get(l as usize))
            .copied()
            .unwrap_or(1.0);
        let bend = if self.flow_mean > 0.0 {
            1.0 + self.flow * Self::bend(flow_kg_s, self.flow_mean)
        } else {
            1.0
        };
        self.factor * gain * bend * mass_kg
    }
}

/// Fits the calibration.
pub(super) fn calibrate(reads: &[Read], flow_mean: f64, weighings: &[Weighing]) -> Calibration {
    let mut out = Calibration::none(reads.len());
    out.flow_mean = flow_mean;
    let sums: Vec<(f64, f64, bool)> = weighings
        .iter()
        .map(|one| {
            let of = || one.loads.iter().filter_map(|l| reads.get(*l as usize));
            let mass: f64 = of().map(|r| r.mass_kg).sum();
            let bend: f64 = of().map(|r| r.bend_kg).sum();
            let silent = of().any(|r| r.unlogged > UNLOGGED);
            (mass, bend, !silent && mass > 0.0 && one.wet_kg > 0.0)
        })
        .collect();
    // loads far off the middle ratio are not what their tickets say
    let mut ratios: Vec<f64> = weighings
        .iter()
        .zip(&sums)
        .filter(|(_, s)| s.2)
        .map(|(w, s)| w.wet_kg / s.0)
        .collect();
    let Some(middle) = super::median(&mut ratios) else {
        return out;
    };
    let used: Vec<bool> = weighings
        .iter()
        .zip(&sums)
        .map(|(w, s)| s.2 && (w.wet_kg / s.0 / middle - 1.0).abs() < 0.25)
        .collect();
    let n = used.iter().filter(|u| **u).count();
    // ridge on the bend, in shares of each load: ratio = b0 (1 + b1 bend/mass)
    let rows: Vec<(f64, f64, f64)> = weighings
        .iter()
        .zip(&sums)
        .zip(&used)
        .filter(|(_, u)| **u)
        .map(|((w, s), _)| (w.wet_kg / s.0, s.1 / s.0, w.error.hypot(GAIN_SD)))
        .collect();
    let (mut a, mut b, mut c, mut d, mut e) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (ratio, bend, sd) in &rows {
        let w = (sd * middle).powi(-2);
        a += w;
        b += w * bend;
        c += w * bend * bend;
        d += w * ratio;
        e += w * ratio * bend;
    }
    c += (FLOW_PRIOR * middle).powi(-2);
    let det = a * c - b * b;
    let (b0, b1) = ((c * d - b * e) / det, (a * e - b * d) / det);
    out.factor = b0;
    out.flow = b1 / b0;
    out.factor_se = (c / det).sqrt();
    out.flow_se = (a / det).sqrt() / b0;
    // what is left of each: drift along the loads, then its own gain
    let order = |w: &Weighing| {
        w.loads.iter().map(|l| f64::from(*l)).sum::<f64>() / w.loads.len().max(1) as f64
    };
    let left: Vec<(f64, f64, f64)> = weighings
        .iter()
        .zip(&sums)
        .zip(&used)
        .filter(|(_, u)| **u)
        .map(|((w, s), _)| (order(w), w.wet_kg / (s.0 * b0 + s.1 * b1) - 1.0, w.error))
        .collect();
    let (mut drift, mut drift_se, mut centre) = (0.0, f64::NAN, 0.0);
    if n >= 5 {
        centre = left.iter().map(|l| l.0).sum::<f64>() / n as f64;
        let mean = left.iter().map(|l| l.1).sum::<f64>() / n as f64;
        let sxx: f64 = left.iter().map(|l| (l.0 - centre).powi(2)).sum();
        let slope = left
            .iter()
            .map(|l| (l.0 - centre) * (l.1 - mean))
            .sum::<f64>()
            / sxx;
        let rss: f64 = left
            .iter()
            .map(|l| (l.1 - mean - slope * (l.0 - centre)).powi(2))
            .sum();
        drift_se = (rss / (n as f64 - 2.0) / sxx).sqrt();
        // drawn towards none: half a per cent over the whole harvest is nothing to be told from noise
        let keep = slope * slope / (slope * slope + drift_se * drift_se);
        drift = slope * keep;
        let spread = rss / (n as f64 - 2.0);
        let own: f64 = left.iter().map(|l| l.2 * l.2).sum::<f64>() / n as f64;
        out.gain_sd = (spread - own).max(0.0).sqrt();
    }
    out.drift = drift;
    out.drift_se = drift_se;
    let trend = |at: f64| drift * (at - centre);
    for (l, gain) in out.gains.iter_mut().enumerate() {
        *gain = 1.0 + trend(l as f64);
    }
    for ((w, s), u) in weighings.iter().zip(&sums).zip(&used) {
        let shrink = out.gain_sd.powi(2) / (out.gain_sd.powi(2) + w.error.powi(2)).max(1e-12);
        let residual = w.wet_kg / (s.0 * b0 + s.1 * b1) - 1.0 - trend(order(w));
        let own = if *u { shrink * residual } else { 0.0 };
        for l in &w.loads {
            if let Some(gain) = out.gains.get_mut(*l as usize) {
                *gain += own;
            }
        }
        out.fitted.push(Fitted {
            loads: w.loads.clone(),
            scale_kg: w.wet_kg,
            monitor_kg: s.0,
            ratio: w.wet_kg / s.0,
            used: *u,
            gain: 1.0 + trend(order(w)) + own,
            gain_se: if *u {
                (shrink * w.error * w.error).sqrt()
            } else {
                out.gain_sd
            },
        });
    }
    out
}
