//! Grain through the machine: delayed, smeared, held by plugs, never lost; into loads.

use super::drive::{Driven, STEP_S};
use super::{KG_PER_LB, Options, Preset, Ticket};
use numeric::stream::Stream;

/// Dead time and lag, s; together 12.
const DEAD_S: f64 = 8.5;
const LAG_S: f64 = 3.5;
/// The easy machine hardly mixes.
const EASY_DEAD_S: f64 = 11.6;
const EASY_LAG_S: f64 = 0.4;
const TAILINGS: f64 = 0.03;
const TAILINGS_S: f64 = 12.0;
/// Drift of the dead time over the day, hard preset only, s.
const DRIFT_S: f64 = 3.0;
const TANK_LB: f64 = 16_000.0;
const STEP_LB: f64 = 20.0;

pub(super) struct Arrived {
    /// Wet grain over the sensor, each step, kg.
    pub wet_kg: Vec<f64>,
    /// Its dry part at base, kg.
    pub dry_kg: Vec<f64>,
    /// Its moisture as a share: water of what passes, for the moisture sensor.
    pub water_kg: Vec<f64>,
    pub load: Vec<u32>,
    base: f64,
}

/// Seconds that an exporter took out already.
pub(super) fn taken_out_s(preset: Preset) -> f64 {
    match preset {
        Preset::Export => 9.0,
        Preset::Hard => 15.0,
        _ => 0.0,
    }
}

pub(super) fn arrive(options: &Options, driven: &Driven) -> Arrived {
    let n = driven.steps.len();
    let base = super::Crop::of(options.preset).base;
    let mut fed: Vec<[f64; 2]> = driven
        .steps
        .iter()
        .map(|one| [one.wet_kg, one.dry_kg])
        .collect();
    for (from, to) in &driven.plugs {
        // what was cut in the last five seconds before comes over eight seconds after
        let held = (5.0 / STEP_S) as usize;
        let over = (8.0 / STEP_S) as usize;
        let mut sum = [0.0; 2];
        for one in &mut fed[from.saturating_sub(held)..*from] {
            for k in 0..2 {
                sum[k] += one[k];
                one[k] = 0.0;
            }
        }
        let end = (to + over).min(n);
        for one in &mut fed[*to..end] {
            for k in 0..2 {
                one[k] += sum[k] / (end - to) as f64;
            }
        }
    }
    let easy = options.preset == Preset::Easy;
    let (dead, lag) = if easy {
        (EASY_DEAD_S, EASY_LAG_S)
    } else {
        (DEAD_S, LAG_S)
    };
    let tailings = if easy { 0.0 } else { TAILINGS };
    let steps = |s: f64| (s / STEP_S).round() as usize;
    let mut queued = vec![[0.0; 2]; n];
    for (i, one) in fed.iter().enumerate() {
        let drift = if options.preset == Preset::Hard {
            DRIFT_S * (i as f64 / n as f64 - 0.5)
        } else {
            0.0
        };
        for (share, extra) in [(1.0 - tailings, 0.0), (tailings, TAILINGS_S)] {
            let at = (i + steps(dead + drift + extra)).min(n - 1);
            for k in 0..2 {
                queued[at][k] += share * one[k];
            }
        }
    }
    let keep = (-STEP_S / lag).exp();
    let mut inside = [0.0; 2];
    let mut out = Arrived {
        wet_kg: Vec::with_capacity(n),
        dry_kg: Vec::with_capacity(n),
        water_kg: Vec::with_capacity(n),
        load: Vec::with_capacity(n),
        base,
    };
    let (mut load, mut in_tank) = (0, 0.0);
    for (i, one) in queued.iter().enumerate() {
        let mut passes = [0.0; 2];
        for k in 0..2 {
            inside[k] += one[k];
            passes[k] = if i + 1 == n {
                inside[k]
            } else {
                inside[k] * (1.0 - keep)
            };
            inside[k] -= passes[k];
        }
        if in_tank >= TANK_LB * KG_PER_LB {
            load += 1;
            in_tank = 0.0;
        }
        in_tank += passes[0];
        out.wet_kg.push(passes[0]);
        out.dry_kg.push(passes[1]);
        out.water_kg.push(passes[0] - passes[1] * (1.0 - base));
        out.load.push(load);
    }
    out
}

pub(super) fn tickets(arrived: &Arrived, stream: &mut Stream) -> Vec<Ticket> {
    let loads = arrived.load.last().map_or(0, |last| last + 1);
    let mut out: Vec<Ticket> = (0..loads)
        .map(|load| Ticket {
            load,
            wet_lb: 0.0,
            moisture: 0.0,
            true_wet_kg: 0.0,
            true_dry_kg: 0.0,
        })
        .collect();
    for i in 0..arrived.wet_kg.len() {
        let one = &mut out[arrived.load[i] as usize];
        one.true_wet_kg += arrived.wet_kg[i];
        one.true_dry_kg += arrived.dry_kg[i];
    }
    for one in &mut out {
        let read = one.true_wet_kg / KG_PER_LB * (1.0 + 0.001 * stream.normal());
        one.wet_lb = (read / STEP_LB).round() * STEP_LB;
        let wet = 1.0 - one.true_dry_kg * (1.0 - arrived.base) / one.true_wet_kg.max(1e-9);
        one.moisture = ((wet + 0.0015 * stream.normal()) * 1_000.0).round() / 1_000.0;
    }
    out
}

/// The shift that best lays the stream over the sensor on the flow at the head, in eight parts of the day, averaged.
pub(super) fn true_delay(options: &Options, driven: &Driven, arrived: &Arrived) -> f64 {
    const PARTS: usize = 8;
    let n = driven.steps.len();
    let cut: Vec<f64> = driven.steps.iter().map(|one| one.wet_kg).collect();
    let mut sum = 0.0;
    for part in 0..PARTS {
        let range = part * n / PARTS..(part + 1) * n / PARTS;
        let at = |k: usize| -> f64 {
            range
                .clone()
                .map(|i| {
                    let passed = arrived.wet_kg.get(i + k).copied().unwrap_or(0.0);
                    (passed - cut[i]).powi(2)
                })
                .sum()
        };
        let most = (20.0 / STEP_S) as usize;
        let errors: Vec<f64> = (0..=most).map(at).collect();
        let best = (1..most)
            .min_by(|a, b| errors[*a].total_cmp(&errors[*b]))
            .unwrap_or(1);
        let (low, mid, high) = (errors[best - 1], errors[best], errors[best + 1]);
        let bend = low - 2.0 * mid + high;
        let part_s = if bend > 0.0 {
            0.5 * (low - high) / bend
        } else {
            0.0
        };
        sum += (best as f64 + part_s) * STEP_S;
    }
    sum / PARTS as f64 - taken_out_s(options.preset)
}
