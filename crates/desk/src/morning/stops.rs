//! Stops this morning: what still stands or never got an end, and what the acres left may still lose.

use crate::stops::{StopsAsked, report, stood, why_word};
use crate::{DeskError, Farm, Ranged, Why};
use serde::Serialize;

/// A stop whose length nobody knows yet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OpenStop {
    /// Its entry.
    pub entry: String,
    /// Which machine, if written.
    pub machine: Option<String>,
    /// Why, by key.
    pub why: &'static str,
    /// Since when, UTC milliseconds.
    pub since_ms: i64,
    /// Whether an end is written: on another harvest day, so that its minutes are still asked for.
    pub ended: bool,
}

/// What breakdowns may still take of the acres left.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Foretold {
    /// Acres left.
    pub acres_left: f64,
    /// Clock hours: the middle, and 8 in 10.
    pub hours: Ranged,
    /// The chance that none comes.
    pub p_none: f64,
    /// Breakdowns written this season.
    pub seen: u64,
    /// Acres cut beside them.
    pub acres_cut: f64,
}

/// Stops of the season whose length nobody knows at `now_ms`, the latest first.
pub(super) fn open_stops(farm: &Farm, now_ms: i64, end_ms: i64) -> Vec<OpenStop> {
    let year = crate::moment::zoned(farm, now_ms).year();
    let mut out: Vec<OpenStop> = stood(farm, (i64::MIN, end_ms), now_ms)
        .iter()
        .filter(|one| one.running || one.asks)
        .filter(|one| crate::moment::zoned(farm, one.from_ms).year() == year)
        .map(|one| OpenStop {
            entry: one.stop.id.to_string(),
            machine: one.stop.says.machine.as_ref().map(ToString::to_string),
            why: why_word(one.told.why),
            since_ms: one.from_ms,
            ended: one.ends > 0,
        })
        .collect();
    out.reverse();
    out
}

/// What the record foretells of the acres left, with where it came from; none before the season has a stop
/// written and acres cut, since a published rate alone is no record.
///
/// # Errors
/// As the report of the stops.
pub(super) fn foretold(
    farm: &Farm,
    season: u16,
    now_ms: i64,
) -> Result<Option<(Foretold, Vec<Why>)>, DeskError> {
    let asked = StopsAsked {
        season,
        ..StopsAsked::default()
    };
    if farm.stops.is_empty() {
        return Ok(None);
    }
    let told = report(farm, &asked, now_ms)?;
    let kept = !told.stops.is_empty();
    let Some(rate) = told.breakdowns.filter(|one| kept && one.acres_cut > 0.0) else {
        return Ok(None);
    };
    Ok(rate.ahead.map(|ahead| {
        let line = Foretold {
            acres_left: ahead.acres_left,
            hours: ahead.hours,
            p_none: ahead.p_none,
            seen: rate.seen,
            acres_cut: rate.acres_cut,
        };
        (line, told.why)
    }))
}
