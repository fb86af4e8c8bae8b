//! Which extra weighing would check what nothing checks now, worked out from the structure.
//!
//! A slip that nothing checks has a residual of exactly nothing. A further measurement of some other
//! flow or stock checks it exactly when the fitted value of that one leans on the slip, that is, when
//! their covariance is not nothing.

use super::build::Layout;
use super::periods::Edge;
use super::report::Read;
use crate::slip::{PlaceId, PlaceKind, SlipId, Weight};
use crate::square::squared::{Advice, Weighing};
use std::collections::{BTreeMap, BTreeSet};

/// Correlation above which one leans on the other.
const LEANS: f64 = 1e-6;

/// A flow or stock that could be measured.
struct Candidate {
    unknown: usize,
    weighing: Weighing,
    place: Option<PlaceId>,
}

fn candidates(layout: &Layout<'_>, near: &BTreeSet<usize>) -> Vec<Candidate> {
    let mut made = Vec::new();
    for (at, period) in layout.periods.iter().enumerate() {
        if !period.slips().any(|s| near.contains(&s)) {
            continue;
        }
        if let (Edge::Open, Some(&left)) = (period.closing, layout.left.get(&at)) {
            let place = period.place.clone();
            made.push(Candidate {
                unknown: left,
                weighing: match period.kind {
                    PlaceKind::Bin | PlaceKind::Pile => Weighing::Measure(place.clone()),
                    _ => Weighing::Tare(place.clone()),
                },
                place: Some(place),
            });
        }
        for &(slip, source) in &period.outs {
            if layout.of_slip[slip].is_none() {
                made.push(Candidate {
                    unknown: layout.flow[slip][source],
                    weighing: Weighing::Ticket(period.place.clone()),
                    place: Some(period.place.clone()),
                });
            }
        }
    }
    made
}

/// The advice, the weighing that checks most first.
pub(crate) fn advise(read: &Read<'_>) -> Vec<Advice> {
    let layout = read.layout;
    let fit = &read.verdict.first;
    // slips with a measurement that nothing checks, and slips that nothing determines
    let unchecked: BTreeSet<usize> = (0..layout.slips.len())
        .filter(|&s| layout.of_slip[s].is_none_or(|m| read.verdict.tests.z[m].is_none()))
        .collect();
    let measured: Vec<(usize, usize)> = unchecked
        .iter()
        .filter_map(|&s| Some((s, layout.of_slip[s]?)))
        .collect();
    let mut by_weighing: BTreeMap<String, (Weighing, BTreeSet<usize>)> = BTreeMap::new();
    for candidate in candidates(layout, &unchecked) {
        if !fit.determines(&[(candidate.unknown, 1.0)]) {
            continue;
        }
        let with = fit.leaning(candidate.unknown);
        let own = fit.error_of(&[(candidate.unknown, 1.0)]).unwrap_or(0.0);
        let checks = measured
            .iter()
            .filter(|(_, m)| with[*m].abs() > LEANS * own * fit.variances[*m].sqrt() && own > 0.0)
            .map(|(s, _)| *s);
        let key = format!("{:?}", candidate.weighing);
        let entry = by_weighing
            .entry(key)
            .or_insert_with(|| (candidate.weighing.clone(), BTreeSet::new()));
        entry.1.extend(checks);
        // a flow that nobody weighed is itself checked once it is weighed, if it leans on anything
        if own > 0.0 {
            for slip in unchecked.iter().filter(|&&s| layout.of_slip[s].is_none()) {
                if layout.flow[*slip].contains(&candidate.unknown) {
                    entry.1.insert(*slip);
                }
            }
        }
        let _ = &candidate.place;
    }
    let mut left = unchecked;
    let mut made = Vec::new();
    loop {
        let best = by_weighing
            .values()
            .map(|(weighing, checks)| (checks.intersection(&left).count(), weighing, checks))
            .filter(|(count, ..)| *count > 0)
            .max_by_key(|(count, ..)| *count);
        let Some((_, weighing, checks)) = best else {
            break;
        };
        let now: Vec<usize> = checks.intersection(&left).copied().collect();
        left.retain(|s| !now.contains(s));
        made.push(word(layout, weighing.clone(), &now));
    }
    // the rest can only be checked by a second look at the same grain
    let mut same: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for slip in left {
        let key = match &layout.slips[slip].weight {
            Weight::Monitor { machine, .. } => format!("monitor {machine}"),
            Weight::Unknown => format!("into {}", layout.slips[slip].to),
            _ => format!("from {}", layout.slips[slip].from[0]),
        };
        same.entry(key).or_default().push(slip);
    }
    for slips in same.into_values() {
        let weighing = Weighing::Second(layout.slips[slips[0]].id.clone());
        made.push(word(layout, weighing, &slips));
    }
    made
}

fn word(layout: &Layout<'_>, weighing: Weighing, slips: &[usize]) -> Advice {
    let checks: Vec<SlipId> = slips.iter().map(|&s| layout.slips[s].id.clone()).collect();
    let count = if checks.len() == 1 {
        format!("slip {}", checks[0])
    } else {
        format!("{} slips", checks.len())
    };
    let words = match &weighing {
        Weighing::Ticket(place) => {
            format!("A scale ticket for what left {place} would check {count}.")
        }
        Weighing::Measure(place) => format!("A measure of {place} would check {count}."),
        Weighing::Tare(place) => {
            format!("Weighing {place}, or saying that it was empty, would check {count}.")
        }
        Weighing::SetMonitor(machine, crop) => {
            format!("A weighed load of {crop} from {machine} would check {count}.")
        }
        Weighing::Second(_) => format!(
            "Nothing else moved with {count}: only a second figure for the same grain (a monitor \
             reading, a fill by eye, another scale) would check it."
        ),
    };
    Advice {
        weighing,
        checks,
        words,
    }
}
