//! Stops as they lasted.

use crate::{Farm, Stands};
use book::kinds::{Stop, StopWhy};

/// Why the combine stood, by key.
pub(crate) fn why_word(why: StopWhy) -> &'static str {
    match why {
        StopWhy::Wagon => "wagon",
        StopWhy::Plug => "plug",
        StopWhy::Breakdown => "breakdown",
        StopWhy::Moving => "moving",
        StopWhy::FuelGrease => "fuel_grease",
        StopWhy::Weather => "weather",
        StopWhy::Setting => "setting",
        StopWhy::Rest => "rest",
        StopWhy::Other => "other",
    }
}

/// One stop, from when until when.
pub(crate) struct Stood<'a> {
    /// The stop.
    pub stop: &'a Stands<Stop>,
    /// It began, UTC milliseconds.
    pub from_ms: i64,
    /// It ended; a running one ends now.
    pub to_ms: i64,
    /// Whether nobody ended it.
    pub running: bool,
}

/// Stops that touch a span of time, in order; each whole, not cut at the span's ends.
pub(crate) fn stood(farm: &Farm, (from_ms, to_ms): (i64, i64), now_ms: i64) -> Vec<Stood<'_>> {
    let mut out: Vec<Stood<'_>> = farm
        .stops
        .iter()
        .filter_map(|stop| {
            let began = stop.happened.at_ms();
            let (ended, running) = match (stop.says.minutes, farm.stop_end(stop.id)) {
                (Some(minutes), _) => (began + i64::from(minutes) * 60_000, false),
                (None, Some(go)) => (go.happened.at_ms().max(began), false),
                (None, None) => (now_ms.max(began), true),
            };
            let touches = began < to_ms && (ended > from_ms || began >= from_ms);
            touches.then_some(Stood {
                stop,
                from_ms: began,
                to_ms: ended,
                running,
            })
        })
        .collect();
    out.sort_by_key(|one| (one.from_ms, one.stop.id));
    out
}

/// Whole minutes of a span of time in which something stood as written, a running stop up to now;
/// two stops at once count once.
pub(crate) fn minutes_between(farm: &Farm, within: (i64, i64), now_ms: i64) -> i64 {
    let mut until = within.0;
    let mut sum = 0;
    for one in stood(farm, within, now_ms) {
        let from = one.from_ms.max(until);
        let to = one.to_ms.min(within.1);
        if to > from {
            sum += to - from;
            until = to;
        }
    }
    sum / 60_000
}
