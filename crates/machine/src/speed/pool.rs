//! The loss curve from frames behind the machine at one or more speeds, pulled towards what was believed
//! before: a grid over the logs of loss and exponent.

use super::best::free;
use super::cost::{Costs, Curve, MachineLoss};
use crate::MachineError;
use crate::error::above_zero;
use numeric::distribution::normal_quantile;
use serde::{Deserialize, Serialize};

/// What is believed of the curve before a frame is counted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Prior {
    /// Middle of the exponent b: log-normal.
    pub exponent: f64,
    /// Standard deviation of log b.
    pub exponent_log_sd: f64,
    /// Middle of the loss at the curve's speed, kilograms a hectare: log-normal.
    pub kg_per_ha: f64,
    /// Standard deviation of its log.
    pub log_sd: f64,
}

/// Frames behind the machine at one speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FramesAt {
    /// Speed at which that strip was cut, meters a second.
    pub speed_m_s: f64,
    /// Area of one frame, square meters.
    pub frame_m2: f64,
    /// Seeds in each frame.
    pub seeds: Vec<u32>,
}

/// All that the pooling rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pooling {
    /// Frames by speed, of one crop and day.
    pub frames: Vec<FramesAt>,
    /// Seeds a square meter between head and machine: standing loss and head loss.
    pub head_per_m2: f64,
    /// Standard error of that.
    pub head_se_per_m2: f64,
    /// Width of cut / width of what the tail laid down.
    pub concentration: f64,
    /// Kilograms a hectare in one seed a square meter.
    pub kg_per_ha_of_one_seed: f64,
    /// The curve's own speed v0, meters a second.
    pub at_m_s: f64,
    /// Dispersion alpha of the counts: variance = m + alpha m^2.
    pub dispersion: f64,
    /// What was believed before.
    pub prior: Prior,
}

/// The curve as it is believed now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pooled {
    /// Machine loss, a mixture of curves.
    pub machine: MachineLoss,
    /// Mean of the exponent.
    pub exponent: f64,
    /// Its standard deviation.
    pub exponent_sd: f64,
    /// Mean of the loss at the curve's speed, kilograms a hectare.
    pub kg_per_ha: f64,
    /// How many different speeds were counted; with one, the exponent is all belief.
    pub speeds: usize,
    /// Fastest speed counted, meters a second.
    pub fastest_m_s: f64,
}

/// Steps of the grid, log loss by log exponent.
const STEPS: (usize, usize) = (241, 101);
/// Half the width of the grid, in standard deviations of the prior.
const REACH: f64 = 4.5;
/// Curves of less than this share of the heaviest are left out.
const LIGHT: f64 = 1e-6;
/// Places at which the doubt of the head loss is tried.
const HEADS: usize = 7;

/// The curve from frames and prior: p(m0, b | counts), negative binomial with mean
/// area x (H + CF x m(v) / kg of a seed), over a grid.
///
/// # Errors
/// Figures that cannot be meant, or no frames.
pub fn pool(pooling: &Pooling) -> Result<Pooled, MachineError> {
    check(pooling)?;
    let prior = pooling.prior;
    let heads: Vec<f64> = if pooling.head_se_per_m2 > 0.0 {
        (0..HEADS)
            .map(|i| {
                let z = normal_quantile((i as f64 + 0.5) / HEADS as f64);
                (pooling.head_per_m2 + z * pooling.head_se_per_m2).max(0.0)
            })
            .collect()
    } else {
        vec![pooling.head_per_m2]
    };
    let z = |i: usize, steps: usize| REACH * (2.0 * i as f64 / (steps - 1) as f64 - 1.0);
    let mut curves = Vec::with_capacity(STEPS.0 * STEPS.1);
    for i in 0..STEPS.0 {
        let zm = z(i, STEPS.0);
        let kg_per_ha = prior.kg_per_ha * (prior.log_sd * zm).exp();
        for j in 0..STEPS.1 {
            let zb = z(j, STEPS.1);
            let exponent = prior.exponent * (prior.exponent_log_sd * zb).exp();
            let of = |head: &f64| log_likelihood(pooling, *head, kg_per_ha, exponent);
            let each: Vec<f64> = heads.iter().map(of).collect();
            let top = each.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let mean = each.iter().map(|one| (one - top).exp()).sum::<f64>() / each.len() as f64;
            let weight = top + mean.ln() - f64::midpoint(zm * zm, zb * zb);
            curves.push(Curve {
                weight,
                kg_per_ha,
                exponent,
            });
        }
    }
    let top = curves
        .iter()
        .map(|one| one.weight)
        .fold(f64::NEG_INFINITY, f64::max);
    for one in &mut curves {
        one.weight = (one.weight - top).exp();
    }
    curves.retain(|one| one.weight > LIGHT);
    let sum: f64 = curves.iter().map(|one| one.weight).sum();
    for one in &mut curves {
        one.weight /= sum;
    }
    let mean =
        |of: &dyn Fn(&Curve) -> f64| -> f64 { curves.iter().map(|one| one.weight * of(one)).sum() };
    let exponent = mean(&|one| one.exponent);
    let mut speeds: Vec<f64> = pooling.frames.iter().map(|one| one.speed_m_s).collect();
    speeds.sort_by(f64::total_cmp);
    let fastest_m_s = speeds.last().copied().unwrap_or_default();
    // speeds within 2 % are one speed: a lever does no better
    speeds.dedup_by(|next, kept| *next < *kept * 1.02);
    Ok(Pooled {
        exponent,
        exponent_sd: mean(&|one| (one.exponent - exponent).powi(2)).sqrt(),
        kg_per_ha: mean(&|one| one.kg_per_ha),
        speeds: speeds.len(),
        fastest_m_s,
        machine: MachineLoss {
            at_m_s: pooling.at_m_s,
            curves,
        },
    })
}

fn check(pooling: &Pooling) -> Result<(), MachineError> {
    if pooling.frames.iter().all(|one| one.seeds.is_empty()) {
        return Err(MachineError::odd(
            "frames behind the machine",
            "none",
            "one or more with the speed at which that strip was cut",
        ));
    }
    for one in &pooling.frames {
        above_zero("speed of a count", one.speed_m_s, "m/s")?;
        above_zero("frame", one.frame_m2, "m2")?;
    }
    above_zero("concentration of the tail", pooling.concentration, "")?;
    above_zero("weight of a seed", pooling.kg_per_ha_of_one_seed, "kg/ha")?;
    above_zero("speed of the curve", pooling.at_m_s, "m/s")?;
    above_zero("dispersion", pooling.dispersion, "")?;
    above_zero("loss believed before", pooling.prior.kg_per_ha, "kg/ha")?;
    above_zero("exponent believed before", pooling.prior.exponent, "")?;
    above_zero("doubt of the exponent", pooling.prior.exponent_log_sd, "")?;
    above_zero("doubt of the loss", pooling.prior.log_sd, "")?;
    if pooling.head_per_m2 >= 0.0 && pooling.head_se_per_m2 >= 0.0 {
        return Ok(());
    }
    Err(MachineError::odd(
        "seeds behind the head",
        pooling.head_per_m2,
        "0 or more with a standard error",
    ))
}

/// Log likelihood of the counts up to a constant: S ln m - (S + n k) ln(m + k), k = 1/alpha.
fn log_likelihood(pooling: &Pooling, head: f64, kg_per_ha: f64, exponent: f64) -> f64 {
    let k = 1.0 / pooling.dispersion;
    pooling
        .frames
        .iter()
        .map(|at| {
            let loss = kg_per_ha * (at.speed_m_s / pooling.at_m_s).powf(exponent);
            let seeds = pooling.concentration * loss / pooling.kg_per_ha_of_one_seed;
            let mean = at.frame_m2 * (head + seeds);
            let sum: f64 = at.seeds.iter().map(|seeds| f64::from(*seeds)).sum();
            sum * mean.ln() - (sum + at.seeds.len() as f64 * k) * (mean + k).ln()
        })
        .sum()
}

impl Pooled {
    /// Quantiles of the best speed over the curves, meters a second, with no cap: how well it is known.
    /// `costs` gives all but the machine loss.
    pub fn speeds_at(&self, costs: &Costs, shares: &[f64]) -> Vec<f64> {
        let mut each: Vec<(f64, f64)> = self
            .machine
            .curves
            .iter()
            .map(|curve| {
                let speed = if costs.head.per_m_s > 0.0 {
                    let machine =
                        MachineLoss::known(self.machine.at_m_s, curve.kg_per_ha, curve.exponent);
                    free(&Costs {
                        machine,
                        ..costs.clone()
                    })
                } else {
                    super::closed_form(self.machine.at_m_s, *curve, costs.price_per_kg, costs.time)
                };
                (speed, curve.weight)
            })
            .collect();
        each.sort_by(|a, b| a.0.total_cmp(&b.0));
        shares
            .iter()
            .map(|share| {
                let mut sum = 0.0;
                each.iter()
                    .find(|(_, weight)| {
                        sum += weight;
                        sum >= *share
                    })
                    .or(each.last())
                    .map_or(f64::NAN, |(speed, _)| *speed)
            })
            .collect()
    }
}

/// A second speed worth counting at, a quarter away from the only one: towards the best speed.
pub fn second_speed(counted_m_s: f64, best_m_s: f64) -> f64 {
    counted_m_s * if best_m_s < counted_m_s { 0.75 } else { 1.25 }
}
