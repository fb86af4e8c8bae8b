//! Stops as they lasted.

mod report;
mod says;
mod told;

pub use report::{
    Ahead, Breakdowns, CauseLine, SpareAsked, StopLine, StopsAsked, StopsReport, caution, report,
};

use crate::moment::{day_begin_ms, harvest_day, zoned};
use crate::{Farm, Stands};
use book::kinds::{Stop, StopWhy};
use quantity::{Money, MoneyRounding};
use rust_decimal::Decimal;
use told::{Told, told};

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

/// The last season that has a slip or a stop, if any: the stops of a season are those of its calendar year.
pub fn latest_season(farm: &Farm) -> Option<u16> {
    let years = farm
        .stops
        .iter()
        .filter_map(|stop| u16::try_from(zoned(farm, stop.happened.at_ms()).year()).ok());
    years.chain(farm.latest_season()).max()
}

/// One stop, from when until when.
pub(crate) struct Stood<'a> {
    /// The stop.
    pub stop: &'a Stands<Stop>,
    /// What counts of it, its ends' figures beside its own.
    pub told: Told,
    /// It began, UTC milliseconds.
    pub from_ms: i64,
    /// It ended; a running one ends now.
    pub to_ms: i64,
    /// Whether nobody ended it, and the day that it began on still runs.
    pub running: bool,
    /// Whether nobody can know from it how long it stood: left open past its harvest day, ended on another one
    /// or before it began. It counts nothing until somebody writes its minutes.
    pub asks: bool,
    /// Ends written for it; of several the earliest stands.
    pub ends: usize,
}

/// How long a stop lasted, by its own minutes or by its end.
fn lasted<'a>(farm: &'a Farm, stop: &'a Stands<Stop>, now_ms: i64) -> Stood<'a> {
    let began = stop.happened.at_ms();
    let ends = farm
        .goes
        .iter()
        .filter(|go| go.says.stop == stop.id)
        .count();
    let (ended, open) = match (stop.says.minutes, farm.stop_end(stop.id)) {
        (Some(minutes), _) => (Some(began + i64::from(minutes) * 60_000), false),
        (None, Some(go)) => (Some(go.happened.at_ms()), false),
        (None, None) => (None, true),
    };
    // the night is nobody's stop: past the day that it began on, only written minutes count
    let year = u16::try_from(zoned(farm, began).year()).unwrap_or(0);
    let night = harvest_day(farm, year, began)
        .tomorrow()
        .ok()
        .and_then(|next| day_begin_ms(farm, year, next).ok())
        .unwrap_or(i64::MAX);
    let until = ended.unwrap_or(now_ms.max(began));
    let asks = stop.says.minutes.is_none() && (until > night || until < began);
    Stood {
        stop,
        told: told(farm, stop),
        from_ms: began,
        to_ms: if asks { began } else { until },
        running: open && !asks,
        asks,
        ends,
    }
}

/// Stops that touch a span of time, in order; each whole, not cut at the span's ends.
pub(crate) fn stood(farm: &Farm, (from_ms, to_ms): (i64, i64), now_ms: i64) -> Vec<Stood<'_>> {
    let mut out: Vec<Stood<'_>> = farm
        .stops
        .iter()
        .filter_map(|stop| {
            let one = lasted(farm, stop, now_ms);
            let (began, ended) = (one.from_ms, one.to_ms);
            let touches = began < to_ms && (ended > from_ms || began >= from_ms);
            touches.then_some(one)
        })
        .collect();
    out.sort_by_key(|one| (one.from_ms, one.stop.id));
    out
}

/// Whole minutes in which at least one of these spans of time ran; two at once count once.
pub(crate) fn together(mut spans: Vec<(i64, i64)>) -> i64 {
    spans.sort_unstable();
    let (mut until, mut sum) = (i64::MIN, 0);
    for (from, to) in spans {
        let from = from.max(until);
        if to > from {
            sum += to - from;
            until = to;
        }
    }
    sum / 60_000
}

/// Whole minutes of a span of time in which something stood as written, a running stop up to now;
/// two stops at once count once.
pub(crate) fn minutes_between(farm: &Farm, within: (i64, i64), now_ms: i64) -> i64 {
    let spans = stood(farm, within, now_ms)
        .iter()
        .map(|one| one.inside(within))
        .collect();
    together(spans)
}

impl Stood<'_> {
    /// Its part of a span of time, from when until when.
    pub(crate) fn inside(&self, within: (i64, i64)) -> (i64, i64) {
        let from = self.from_ms.max(within.0);
        (from, self.to_ms.min(within.1).max(from))
    }
}

/// What hours cost at so much an hour, to the cent, halves up; none past what money holds.
pub(crate) fn worth(hour: Money, minutes: i64) -> Option<Money> {
    let exact = hour.decimal() * Decimal::from(minutes) / Decimal::from(60);
    Money::cents_of(exact, MoneyRounding::HalfUp).ok()
}
