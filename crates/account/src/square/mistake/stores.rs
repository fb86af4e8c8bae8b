//! A load missing at a bin: its balance is short, or over, by about what a load usually is.

use super::figures::{PRIOR, Predicted, Scored, ln_normal};
use super::habit::Usual;
use super::kind::{Field, MistakeKind};
use super::nearby::{Whole, moves};
use crate::square::season::build::Subject;
use crate::square::season::periods::Edge;

/// A load nobody wrote down, into or out of a place that does not move, judged by one measurement of
/// that balance.
pub(super) fn missing(
    whole: &Whole<'_>,
    at: usize,
    measurement: usize,
    predicted: &Predicted,
) -> Vec<Scored> {
    let layout = whole.layout;
    let period = &layout.periods[at];
    if moves(period.kind) {
        return Vec::new();
    }
    // which way a load more in this balance would move the measurement's residual
    let side = match layout.subject[measurement] {
        Subject::Slip(slip) if period.ins.contains(&slip) => -1.0,
        Subject::Stock(stock) if period.opening == Edge::Stock(stock) => -1.0,
        _ => 1.0,
    };
    let usual = |slips: &mut dyn Iterator<Item = usize>| {
        let mut loads: Vec<f64> = slips.filter_map(|s| whole.squared[s]).collect();
        let usual = Usual::of(&mut loads, 0.0)?;
        Some((usual.value, usual.sd.max(0.15 * usual.value), loads.len()))
    };
    let inward = usual(&mut period.ins.iter().copied());
    let outward = usual(&mut period.outs.iter().map(|o| o.0));
    let anchor = match layout.subject[measurement] {
        Subject::Slip(slip) => Some(slip),
        _ => period.slips().next(),
    };
    let Some(anchor) = anchor else {
        return Vec::new();
    };
    let mut made = Vec::new();
    for (usual, sign, way) in [(inward, 1.0, "into"), (outward, -1.0, "out of")] {
        let Some((load, sd, count)) = usual else {
            continue;
        };
        let variance = predicted.others + predicted.own + sd * sd;
        let fits = ln_normal(predicted.off - side * sign * load, variance) - predicted.ln_blunder;
        // any of the loads there were, and one more, may be the one
        let prior = (PRIOR * (count + 1) as f64).min(0.1);
        made.push(Scored {
            kind: MistakeKind::Missing,
            slip: anchor,
            field: Field::Slip,
            written: "nothing".to_owned(),
            perhaps: format!("one more load {way} {}", period.place),
            other: None,
            change_kg: load,
            ln_score: prior.ln() + fits,
        });
    }
    made
}
