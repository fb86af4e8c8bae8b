//! The ready lists: what is due, what was read, and whether it is within the line's limits.

use crate::{Farm, Stands};
use book::kinds::{Day, Often, Ready, ReadyReading, Ticked};
use rust_decimal::Decimal;
use serde::Serialize;

/// The ready lists on a harvest day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadyList {
    /// The harvest day.
    pub day: String,
    /// The latest engine hours that a tick says.
    pub engine_h: Option<f64>,
    /// Every line, by list, in the order written.
    pub lines: Vec<ReadyNow>,
    /// Lines of the starter set that are not on the lists.
    pub offered: Vec<Offered>,
}

/// A line as it stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadyNow {
    /// Its number on the printed list, from 1.
    pub number: usize,
    /// Its entry.
    pub id: String,
    /// What to look at, do or bring.
    pub text: String,
    /// On which list.
    pub list: String,
    /// Whether it is due now.
    pub due: bool,
    /// Due every harvest day; else once, or by engine hours.
    pub daily: bool,
    /// Due again after so many engine hours.
    pub every_engine_h: Option<f64>,
    /// Engine hours until it is due again; below 0 where it is over.
    pub engine_h_left: Option<f64>,
    /// What is read, with its unit and limits: `torque, 430 to 470 lb ft`.
    pub reading: Option<String>,
    /// Unit of the reading.
    pub unit: Option<String>,
    /// The day it was last done.
    pub done: Option<String>,
    /// What was read then.
    pub value: Option<f64>,
    /// A value outside the limits, in a sentence.
    pub outside: Option<String>,
}

/// A line of the starter set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Offered {
    /// Its place in the set, from 1.
    pub number: usize,
    /// The line.
    pub line: facts::StarterLine,
}

/// A reading with its limits, in words: `torque, 430 to 470 lb ft`.
pub fn reading_words(reading: &ReadyReading) -> String {
    let unit = &reading.unit;
    let range = match (reading.least, reading.most) {
        (Some(least), Some(most)) => {
            format!(", {} to {} {unit}", least.normalize(), most.normalize())
        }
        (Some(least), None) => format!(", at least {} {unit}", least.normalize()),
        (None, Some(most)) => format!(", at most {} {unit}", most.normalize()),
        (None, None) => format!(" in {unit}"),
    };
    format!("{}{range}", reading.what)
}

/// A sentence about a value outside a line's limits; nothing for one that will do.
pub fn outside(line: &Ready, value: Decimal) -> Option<String> {
    let reading = line.reading.as_ref()?;
    let (below, limit) = match (reading.least, reading.most) {
        (Some(least), _) if value < least => (true, least),
        (_, Some(most)) if value > most => (false, most),
        _ => return None,
    };
    let (value, limit) = (value.normalize(), limit.normalize());
    let (what, unit) = (&reading.what, &reading.unit);
    Some(if below {
        format!(
            "{what} is {value} {unit}, below the least of {limit} {unit}: see to it before the first pass"
        )
    } else {
        format!(
            "{what} is {value} {unit}, above the most of {limit} {unit}: see to it before the first pass"
        )
    })
}

/// The latest engine hours that any tick says.
pub fn engine_hours(farm: &Farm) -> Option<Decimal> {
    let ticks = farm.ticked.iter();
    ticks.filter_map(|tick| tick.says.engine_h).max()
}

/// The tick that holds for a line on a day: of a daily line that day's last, of any other the last.
pub(crate) fn holding<'f>(
    farm: &'f Farm,
    line: &Stands<Ready>,
    day: Option<Day>,
) -> Option<&'f Stands<Ticked>> {
    let by_day = line.says.every_engine_h.is_none() && line.says.often == Often::Daily;
    farm.ticked
        .iter()
        .filter(|tick| tick.says.item == line.id)
        .filter(|tick| !by_day || Some(tick.says.day) == day)
        .max_by_key(|tick| (tick.says.day, tick.happened.at_ms(), tick.id))
}

/// Engine hours that are left until a line is due again; `None` where hours do not decide or are not known.
pub(crate) fn hours_left(farm: &Farm, line: &Stands<Ready>, tick: &Ticked) -> Option<Decimal> {
    let every = line.says.every_engine_h?;
    Some(tick.engine_h? + every - engine_hours(farm)?)
}

/// Whether a line is due on a day: never ticked, out of engine hours, or a reading outside its limits.
pub(crate) fn due(farm: &Farm, line: &Stands<Ready>, day: Option<Day>) -> bool {
    let Some(tick) = holding(farm, line, day) else {
        return true;
    };
    let bad = tick
        .says
        .value
        .is_some_and(|value| outside(&line.says, value).is_some());
    let hours = match line.says.every_engine_h {
        // done with no hours written: it holds for that day only, since nobody knows when it is due
        Some(_) if tick.says.engine_h.is_none() => Some(tick.says.day) != day,
        Some(_) => hours_left(farm, line, &tick.says).is_some_and(|left| left <= Decimal::ZERO),
        None => false,
    };
    bad || hours
}

/// The ready lists on a day.
pub fn ready(farm: &Farm, day: Day) -> ReadyList {
    let float = |value: Decimal| f64::try_from(value).unwrap_or(f64::NAN);
    let mut order: Vec<&Stands<Ready>> = farm.ready.iter().collect();
    // the walk round comes before what is brought and changed
    let rank = |line: &Stands<Ready>| match line.says.list.as_str() {
        "walk-round" => 0,
        "head-change" => 1,
        _ => 2,
    };
    order.sort_by(|a, b| {
        rank(a)
            .cmp(&rank(b))
            .then_with(|| a.says.list.cmp(&b.says.list))
    });
    let lines = order
        .iter()
        .enumerate()
        .map(|(at, line)| {
            let tick = holding(farm, line, Some(day)).map(|tick| &tick.says);
            ReadyNow {
                number: at + 1,
                id: line.id.to_string(),
                text: line.says.text.clone(),
                list: line.says.list.to_string(),
                due: due(farm, line, Some(day)),
                daily: line.says.every_engine_h.is_none() && line.says.often == Often::Daily,
                every_engine_h: line.says.every_engine_h.map(float),
                engine_h_left: tick
                    .and_then(|tick| hours_left(farm, line, tick))
                    .map(float),
                reading: line.says.reading.as_ref().map(reading_words),
                unit: line.says.reading.as_ref().map(|one| one.unit.to_string()),
                done: tick.map(|tick| tick.day.to_string()),
                value: tick.and_then(|tick| tick.value).map(float),
                outside: tick
                    .and_then(|tick| tick.value)
                    .and_then(|value| outside(&line.says, value)),
            }
        })
        .collect();
    let offered = facts::starter_lines()
        .iter()
        .enumerate()
        .filter(|(_, line)| {
            !farm.ready.iter().any(|one| {
                let text = one.says.text.as_str();
                text == line.text || text == line.es
            })
        })
        .map(|(at, line)| Offered {
            number: at + 1,
            line: line.clone(),
        })
        .collect();
    ReadyList {
        day: day.to_string(),
        engine_h: engine_hours(farm).map(float),
        lines,
        offered,
    }
}

/// The figures that write a line of the starter set, in English or Spanish.
pub fn starter_figures(line: &facts::StarterLine, spanish: bool) -> crate::written::Figures {
    let mut figures = crate::written::Figures::default();
    figures.add("text", if spanish { &line.es } else { &line.text });
    figures.add("list", line.list.as_str());
    figures.add("often", line.often.as_str());
    for (name, text) in [("reading", &line.reading), ("unit", &line.unit)] {
        if let Some(text) = text {
            figures.add(name, text.as_str());
        }
    }
    if let Some(every) = line.every {
        figures.add("every", every.to_string());
    }
    figures
}

/// The harvest day that a moment belongs to, as entries write it.
pub fn harvest_day_at(farm: &Farm, now_ms: i64) -> Option<Day> {
    let year = crate::moment::season_at(farm, now_ms);
    crate::morning::calendar(crate::moment::harvest_day(farm, year, now_ms))
}
