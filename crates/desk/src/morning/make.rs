//! Making the morning.

use super::fields::fields;
use super::{Morning, MorningSays, MoveFirst, NoteLine, OnWheels, ReadyLine};
use crate::held::{self, by_urgency};
use crate::moment::{day_begin_ms, harvest_day, season_at};
use crate::sync::{CLOCK_OFF_MS, clock_note};
use crate::{DeskError, Farm, Stands, Why};
use book::EntryId;
use book::kinds::{Day, Note, Often};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// The morning at `now_ms`. It reads one season and posts it (and the one before, for what is carried
/// over); it squares nothing.
///
/// # Errors
/// A bin measure whose bin is not known.
pub fn morning(farm: &Farm, now_ms: i64) -> Result<Morning, DeskError> {
    let year = season_at(farm, now_ms);
    let season = crate::season(farm, year)?;
    let ledger = crate::night::post(&season);
    let day = harvest_day(farm, year, now_ms);
    let end_ms = now_ms + CLOCK_OFF_MS;
    let mut wheels: Vec<OnWheels> = held::held(farm, &season, &ledger, end_ms)?
        .into_iter()
        .filter(|held| held.on_wheels)
        .map(|held| OnWheels {
            hours: held.hours(now_ms),
            why: held.why_move(now_ms),
            held,
        })
        .collect();
    by_urgency(&mut wheels, |one| &one.held, now_ms);
    let fields = fields(farm, year, now_ms, end_ms);
    let day_of_harvest = day_of_harvest(farm, year, day, end_ms);
    let planted: BTreeSet<&str> = fields.iter().map(|one| one.field.as_str()).collect();
    let unplanted = farm.fields.keys().map(ToString::to_string);
    let unplanted = unplanted
        .filter(|name| !planted.contains(name.as_str()))
        .collect();
    let before = day
        .yesterday()
        .map_err(|why| DeskError::figure("day", why))?;
    let since_ms = day_begin_ms(farm, year, before)?;
    let says = says(farm, &fields, &wheels, day_of_harvest);
    let mut why = whys(&wheels, &fields);
    let under_way = recent(farm, year, now_ms);
    let (foretold, more) = (super::stops::foretold(farm, year, now_ms)?)
        .filter(|_| under_way)
        .unzip();
    why.extend(more.unwrap_or_default());
    Ok(Morning {
        farm: farm.name.clone(),
        zone: farm.zone.clone(),
        now_ms,
        season: year,
        day: day.to_string(),
        // weeks without a load: the harvest is over, and its days are not counted on
        day_of_harvest: day_of_harvest.filter(|_| under_way),
        says,
        fields,
        unplanted,
        wheels,
        open_stops: super::stops::open_stops(farm, now_ms, end_ms),
        foretold,
        ready: ready(farm, day),
        notes: notes(farm, (since_ms, end_ms)),
        counts: crate::count::counts(farm, year, Some((since_ms, end_ms))),
        questions: questions(farm, end_ms),
        fit_hours: None,
        field_order: None,
        haul: None,
        why,
    })
}

/// Three weeks without a load or ticket is a harvest that is over (a guess).
const OVER_MS: i64 = 21 * 86_400_000;

fn recent(farm: &Farm, year: u16, now_ms: i64) -> bool {
    let dumps = farm.dumps.iter().filter(|one| one.says.season == year);
    let tickets = farm.tickets.iter().filter(|one| one.says.season == year);
    let mut times = dumps
        .map(|one| one.happened.at_ms())
        .chain(tickets.map(|one| one.happened.at_ms()));
    times.any(|at_ms| at_ms > now_ms - OVER_MS)
}

/// Which day of harvest a day is: the first slip's is 1.
pub(crate) fn day_of_harvest(farm: &Farm, year: u16, day: Date, end_ms: i64) -> Option<u32> {
    let dumps = farm.dumps.iter().filter(|one| one.says.season == year);
    let tickets = farm.tickets.iter().filter(|one| one.says.season == year);
    let times = dumps
        .map(|one| one.happened.at_ms())
        .chain(tickets.map(|one| one.happened.at_ms()));
    let first = times.filter(|at_ms| *at_ms <= end_ms).min()?;
    let days = harvest_day(farm, year, first).until(day).ok()?.get_days();
    u32::try_from(days + 1).ok().filter(|day| *day > 0)
}

fn says(
    farm: &Farm,
    fields: &[super::FieldNow],
    wheels: &[OnWheels],
    day_of_harvest: Option<u32>,
) -> MorningSays {
    if farm.fields.is_empty() {
        return MorningSays::NoField;
    }
    let sum = |of: fn(&super::FieldNow) -> Option<f64>| {
        let all: Option<Vec<f64>> = fields.iter().map(of).collect();
        all.filter(|all| !all.is_empty())
            .map(|all| all.iter().sum::<f64>())
    };
    let planted_ac = sum(|one| one.planted_ac);
    let last = fields.iter().find(|one| one.last_dump_ms.is_some());
    if let (Some(day_of_harvest), Some(last)) = (day_of_harvest, last) {
        let first = wheels.iter().find(|one| !one.why.is_empty());
        return MorningSays::Underway {
            day_of_harvest,
            field: last.field.clone(),
            crop: last.crop.clone(),
            last_dump_ms: last.last_dump_ms.unwrap_or_default(),
            cut_ac: sum(|one| one.cut_ac),
            planted_ac,
            on_wheels: wheels.len(),
            move_first: first.map(|one| MoveFirst {
                place: one.held.place.clone(),
                crop: one.held.crop.clone(),
                why: one.why.clone(),
            }),
        };
    }
    if fields.is_empty() {
        return MorningSays::NothingPlanted {
            fields: farm.fields.len(),
        };
    }
    MorningSays::NotBegun {
        fields: fields.len(),
        planted_ac,
    }
}

/// Lines of the ready list; a line that is done for good drops out the day after.
fn ready(farm: &Farm, day: Date) -> Vec<ReadyLine> {
    let today = calendar(day);
    let mut wanted: BTreeSet<EntryId> = BTreeSet::new();
    let mut lines: Vec<(ReadyLine, Option<EntryId>)> = Vec::new();
    for line in &farm.ready {
        let daily = line.says.every_engine_h.is_none() && line.says.often == Often::Daily;
        let held = crate::ready::holding(farm, line, today);
        let due = crate::ready::due(farm, line, today);
        let earlier = held.is_some_and(|tick| Some(tick.says.day) < today);
        if !daily && earlier && !due {
            continue;
        }
        let outside = held
            .and_then(|tick| tick.says.value)
            .and_then(|value| crate::ready::outside(&line.says, value));
        // what is due again by the engine's hours, or was read outside its limits, is open again
        let tick = held.filter(|_| !due);
        wanted.extend(tick.map(|tick| tick.id));
        let shown = ReadyLine {
            id: line.id.to_string(),
            text: line.says.text.clone(),
            list: line.says.list.to_string(),
            daily,
            reading: line.says.reading.as_ref().map(crate::ready::reading_words),
            by_hours: line.says.every_engine_h.is_some(),
            outside,
            ticked: tick.map(|tick| tick.id.to_string()),
            ticked_by: None,
            ticked_ms: tick.map(|tick| tick.happened.at_ms()),
        };
        lines.push((shown, tick.map(|tick| tick.id)));
    }
    let authors = authors(farm, &wanted);
    lines
        .into_iter()
        .map(|(mut line, tick)| {
            line.ticked_by = tick.and_then(|id| authors.get(&id).cloned());
            line
        })
        .collect()
}

/// A day as entries write it.
pub(crate) fn calendar(day: Date) -> Option<Day> {
    let year = u16::try_from(day.year()).ok()?;
    let (month, of_month) = (
        u8::try_from(day.month()).ok()?,
        u8::try_from(day.day()).ok()?,
    );
    Day::new(year, month, of_month).ok()
}

/// Who wrote each of some entries, as they stand.
pub(crate) fn authors(farm: &Farm, wanted: &BTreeSet<EntryId>) -> BTreeMap<EntryId, String> {
    if wanted.is_empty() {
        return BTreeMap::new();
    }
    let all = farm.effective.entries.iter();
    all.filter(|one| wanted.contains(&one.id))
        .map(|one| (one.id, one.author.to_string()))
        .collect()
}

/// Notes of a span of time, the latest first; questions and notes about clocks have their own place.
pub(crate) fn notes(farm: &Farm, within: (i64, i64)) -> Vec<NoteLine> {
    let mut lines = lines(farm, |one| {
        let at_ms = one.happened.at_ms();
        !one.says.question
            && (within.0..within.1).contains(&at_ms)
            && clock_note(&one.says.text).is_none()
    });
    lines.reverse();
    lines
}

/// Questions that no later note is about, the oldest first.
pub(crate) fn questions(farm: &Farm, end_ms: i64) -> Vec<NoteLine> {
    let answered: BTreeSet<EntryId> = farm
        .notes
        .iter()
        .filter(|one| !one.says.question && one.happened.at_ms() < end_ms)
        .flat_map(|one| one.says.about.iter().copied())
        .collect();
    lines(farm, |one| {
        one.says.question && one.happened.at_ms() < end_ms && !answered.contains(&one.id)
    })
}

fn lines(farm: &Farm, wanted: impl Fn(&Stands<Note>) -> bool) -> Vec<NoteLine> {
    let mut those: Vec<&Stands<Note>> = farm.notes.iter().filter(|one| wanted(one)).collect();
    those.sort_by_key(|one| (one.happened.at_ms(), one.id));
    let authors = authors(farm, &those.iter().map(|one| one.id).collect());
    those
        .into_iter()
        .map(|one| NoteLine {
            id: one.id.to_string(),
            text: one.says.text.clone(),
            of: one.says.of.iter().map(ToString::to_string).collect(),
            author: authors.get(&one.id).cloned().unwrap_or_default(),
            at_ms: one.happened.at_ms(),
            question: one.says.question,
        })
        .collect()
}

fn whys(wheels: &[OnWheels], fields: &[super::FieldNow]) -> Vec<Why> {
    let mut out = Vec::new();
    for one in wheels {
        let held = &one.held;
        let value = held
            .wet_lb
            .map_or_else(|| "not weighed".to_owned(), |lb| format!("{lb:.0} lb wet"));
        let mut why = Why::new(
            &held.place,
            value,
            "what went in since it was last empty, less what came out, as dry matter on record",
            "the ledger of this book",
        );
        if let Some(percent) = held.moisture_pct {
            why = why.with("moisture", format!("{percent:.1} %"));
        }
        for entry in &held.entries {
            why = why.from_entry(entry.clone());
        }
        out.push(why);
    }
    for one in fields {
        if let Some(sample) = &one.sample {
            out.push(
                Why::new(
                    &one.field,
                    format!("{:.1} %", sample.moisture_pct),
                    "mean of the latest readings",
                    "a sample in this book",
                )
                .with("readings", sample.readings.to_string())
                .from_entry(sample.entry.clone()),
            );
        }
    }
    out
}
