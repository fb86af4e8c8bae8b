//! What cleaning did, in the units of a farm.

use super::{Worked, words};
use crate::Why;
use serde::Serialize;
use track::clean::{Flag, tally};
use track::{KG_PER_LB, M2_PER_AC};

/// What carries one cause.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cause {
    /// The cause; none for what is mapped.
    pub cause: Option<Flag>,
    /// In words.
    pub words: &'static str,
    /// Records.
    pub records: usize,
    /// Wet pounds by the scale that came over the sensor in them.
    pub wet_lb: f64,
    /// The same, dry bushels at the base.
    pub dry_bu: f64,
    /// Ground cut in them.
    pub area_ac: f64,
}

/// The delay.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DelayTold {
    /// Residual delay, s; none where nothing tells it.
    pub seconds: Option<f64>,
    /// Ends between which it lies 9 times in 10.
    pub range: Option<[f64; 2]>,
    /// Why nothing tells it.
    pub why_not: Option<String>,
    /// What was taken out, s.
    pub taken_s: f64,
    /// Whether that was asked for.
    pub asked_for: bool,
    /// Pairs of neighboring passes driven opposite ways.
    pub pass_pairs: usize,
}

/// One weighing beside the monitor.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoadSet {
    /// Loads weighed together, as the log names them.
    pub loads: Vec<String>,
    /// By the scale.
    pub scale_lb: f64,
    /// By the monitor.
    pub monitor_lb: f64,
    /// Scale over monitor.
    pub ratio: f64,
    /// What its loads were multiplied by besides the common factor.
    pub gain: f64,
    /// Standard error of that.
    pub gain_se: f64,
    /// Whether it took part; not where the log has gaps in the crop.
    pub used: bool,
}

/// What cleaning did.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CleanAnswer {
    /// The file.
    pub file: String,
    /// The crop's key.
    pub crop: String,
    /// The bushels' base, per cent.
    pub base_moisture_pct: f64,
    /// Pounds in a bushel.
    pub lb_per_bu: f64,
    /// Working width, m.
    pub swath_m: f64,
    /// Records.
    pub records: usize,
    /// Passes.
    pub passes: usize,
    /// Wet pounds as the monitor logged them.
    pub logged_wet_lb: f64,
    /// All causes together.
    pub all: Cause,
    /// What is mapped, then each cause; they add up to all.
    pub by_cause: Vec<Cause>,
    /// Share of records that are not mapped, per cent.
    pub set_aside_pct: f64,
    /// The delay.
    pub delay: DelayTold,
    /// Time constant of the machine's mixing, s.
    pub lag_s: f64,
    /// Seconds left off at starts and ends of passes.
    pub ends_s: [f64; 2],
    /// Scale over monitor for all loads; none without a weighing.
    pub factor: Option<f64>,
    /// Its standard error.
    pub factor_se: Option<f64>,
    /// Change of the factor for a doubling of flow, and its standard error.
    pub flow: Option<[f64; 2]>,
    /// Change of the factor a load, and its standard error.
    pub drift: Option<[f64; 2]>,
    /// Weighings.
    pub loads: Vec<LoadSet>,
    /// Ticket's moisture less the monitor's, points of per cent.
    pub moisture_offset_points: Option<f64>,
    /// Ground of all records over the boundary's, which every area was divided by.
    pub area_closed_by: Option<f64>,
    /// Wet pounds that belong to no ground in the log.
    pub unplaced_lb: f64,
    /// What it says, a sentence each.
    pub says: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// What the file says of delays; nothing of it was applied.
    pub told: Vec<String>,
    /// What could not be used.
    pub left_out: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

pub(super) fn answer(worked: &Worked) -> CleanAnswer {
    let cleaned = &worked.cleaned;
    let by_cause: Vec<Cause> = tally(cleaned)
        .into_iter()
        .map(|one| Cause {
            cause: one.flag,
            words: words::cause(one.flag),
            records: one.records,
            wet_lb: one.arrived_kg / KG_PER_LB,
            dry_bu: one.dry_kg * worked.bu_per_kg(),
            area_ac: one.area_m2 / M2_PER_AC,
        })
        .collect();
    let sum = |of: &dyn Fn(&Cause) -> f64| by_cause.iter().map(of).sum();
    let records = cleaned.records.len();
    let all = Cause {
        cause: None,
        words: "all",
        records,
        wet_lb: sum(&|one| one.wet_lb),
        dry_bu: sum(&|one| one.dry_bu),
        area_ac: sum(&|one| one.area_ac),
    };
    let mapped = by_cause
        .iter()
        .find(|one| one.cause.is_none())
        .map_or(0, |one| one.records);
    let set = &cleaned.calibration;
    let weighed = !set.fitted.is_empty();
    let name = |load: &u32| {
        let names = &worked.held.track.loads;
        names.get(*load as usize).cloned().unwrap_or_default()
    };
    let mut out = CleanAnswer {
        file: worked.file.clone(),
        crop: worked.held.basis.crop.clone(),
        base_moisture_pct: worked.held.basis.base_moisture.percent(),
        lb_per_bu: worked.held.basis.lb_per_bu,
        swath_m: worked.known.swath_m,
        records,
        passes: cleaned.passes.len(),
        logged_wet_lb: worked
            .held
            .track
            .points
            .iter()
            .map(|point| point.mass_kg)
            .collect::<track::Sum>()
            .value()
            / KG_PER_LB,
        all,
        by_cause,
        set_aside_pct: 100.0 * (records - mapped) as f64 / records.max(1) as f64,
        delay: DelayTold {
            seconds: cleaned.delay.seconds,
            range: cleaned
                .delay
                .seconds
                .map(|_| [cleaned.delay.low, cleaned.delay.high]),
            why_not: cleaned.delay.why_not.clone(),
            taken_s: cleaned.taken_s,
            asked_for: worked.known.delay_s.is_some(),
            pass_pairs: cleaned.delay.pass_pairs,
        },
        lag_s: cleaned.mixing.lag_s,
        ends_s: [cleaned.ends.start_s, cleaned.ends.end_s],
        factor: weighed.then_some(set.factor),
        factor_se: weighed.then_some(set.factor_se),
        flow: weighed.then_some([set.flow, set.flow_se]),
        drift: weighed.then_some([set.drift, set.drift_se]),
        loads: set
            .fitted
            .iter()
            .map(|one| LoadSet {
                loads: one.loads.iter().map(name).collect(),
                scale_lb: one.scale_kg / KG_PER_LB,
                monitor_lb: one.monitor_kg / KG_PER_LB,
                ratio: one.ratio,
                gain: one.gain,
                gain_se: one.gain_se,
                used: one.used,
            })
            .collect(),
        moisture_offset_points: cleaned.moisture_offset.map(|one| 100.0 * one),
        area_closed_by: cleaned.area_closed_by,
        unplaced_lb: cleaned.unplaced_kg / KG_PER_LB,
        says: Vec::new(),
        assumed: worked.held.assumed.clone(),
        told: worked.held.told.clone(),
        left_out: worked.left_out.clone(),
        why: Vec::new(),
    };
    out.says = sentences(&out);
    out.why = whys(&out);
    out
}

fn sentences(one: &CleanAnswer) -> Vec<String> {
    let mut out = Vec::new();
    let delay = &one.delay;
    out.push(match (delay.seconds, delay.range) {
        (Some(s), Some([low, high])) => {
            let (late, low, high) = if s >= 0.0 {
                ("late", low, high)
            } else {
                ("early", -high, -low)
            };
            format!(
                "Grain is written {:.1} s {late} in this log (9 in 10: {low:.1} to {high:.1} s), by {} pairs of neighboring passes driven opposite ways.",
                s.abs(),
                delay.pass_pairs
            )
        }
        _ => format!(
            "The log does not tell how late grain is written: {}.",
            delay.why_not.as_deref().unwrap_or("nothing tells it")
        ),
    });
    if delay.asked_for {
        out.push(format!("{:.1} s were taken out, as asked.", delay.taken_s));
    } else if delay.seconds.is_none() {
        out.push(
            "No delay was taken out; give one with --delay if the maker's manual or a test names it."
                .to_owned(),
        );
    }
    out.push(format!(
        "{:.1} % of {} records are not mapped; their grain stays in every total.",
        one.set_aside_pct, one.records
    ));
    match (one.factor, one.factor_se) {
        (Some(factor), Some(se)) => out.push(format!(
            "By {} weighings the scale reads {:.3} (± {:.3}, 8 in 10) of the monitor.",
            one.loads.len(),
            factor,
            crate::Ranged::half(se)
        )),
        _ => out.push(
            "Nothing was weighed, so the monitor's pounds stand as they are; a yield map's level is then the monitor's."
                .to_owned(),
        ),
    }
    if let Some(by) = one.area_closed_by {
        out.push(format!(
            "Ground by the log was {:.2} % {} the boundary's and was set to it.",
            100.0 * (by - 1.0).abs(),
            if by >= 1.0 { "over" } else { "under" }
        ));
    }
    out
}

fn whys(one: &CleanAnswer) -> Vec<Why> {
    vec![
        Why::new(
            "delay",
            one.delay
                .seconds
                .map_or("not told".to_owned(), |s| format!("{s:.2} s")),
            "the shift at which records side by side on opposite passes disagree least; 9 in 10 by drawing passes anew 400 times",
            "crates/track/src/clean/delay.rs; held to a simulator whose true delay is known (BENCHMARKS.md)",
        )
        .with("pairs of passes", one.delay.pass_pairs.to_string()),
        Why::new(
            "set aside",
            format!("{:.1} %", one.set_aside_pct),
            "each record carries the first cause that holds; none is deleted, and a record that its neighbors or its own pass bear out is kept",
            "crates/track/src/clean/flag.rs",
        ),
        Why::new(
            "scale over monitor",
            one.factor.map_or("not weighed".to_owned(), |f| format!("{f:.4}")),
            "least squares over weighings, with a response to flow drawn towards none and a gain a load drawn towards its drift",
            "crates/track/src/clean/scale.rs",
        )
        .with("weighings", one.loads.len().to_string()),
    ]
}
