//! The day as it went, on the hour ruler.

use super::tonight::{Did, Ruler, Span, Suspicion, Tick, TickState};
use crate::Stands;
use crate::held::untyped_tickets;
use crate::moment::hours_of_day;
use crate::stops::{minutes_between, stood, why_word};
use crate::{Farm, Season};
use book::kinds::Dump;
use jiff::civil::Date;

/// Where the ruler begins and ends, hours.
const FROM_H: f64 = 6.0;
const TO_H: f64 = 22.0;
/// How long before its dump a tank is taken to have been filling, at most: an hour. A first tank has no
/// dump before it to tell.
const TANK_MS: i64 = 3_600_000;

pub(super) fn ruler(
    farm: &Farm,
    season: &Season,
    day: Date,
    within: (i64, i64),
    seen_ms: i64,
    suspects: &[Suspicion],
) -> Ruler {
    let hours = |at_ms: i64| hours_of_day(farm, day, at_ms);
    let on = |at_ms: i64| {
        let at = hours(at_ms);
        (at.clamp(FROM_H, TO_H), !(FROM_H..=TO_H).contains(&at))
    };
    let span = |from_ms: i64, to_ms: i64, machine: Option<String>, did: Did| {
        let (from, to) = (hours(from_ms), hours(to_ms));
        Span {
            machine,
            from_h: from.clamp(FROM_H, TO_H),
            to_h: to.clamp(FROM_H, TO_H),
            beyond: from < FROM_H || to > TO_H,
            did,
            minutes: (to_ms - from_ms) / 60_000,
        }
    };
    let mut dumps: Vec<&Stands<Dump>> = farm
        .dumps
        .iter()
        .filter(|one| (within.0..within.1).contains(&one.happened.at_ms()))
        .collect();
    dumps.sort_by_key(|one| (one.happened.at_ms(), one.id));
    let stops = stood(farm, within, seen_ms);
    let mut spans: Vec<Span> = Vec::new();
    let mut cutting_ms = 0;
    let mut machines: Vec<&str> = dumps.iter().map(|one| one.says.machine.as_str()).collect();
    machines.sort_unstable();
    machines.dedup();
    for machine in machines {
        let mine: Vec<&&Stands<Dump>> = dumps
            .iter()
            .filter(|one| one.says.machine.as_str() == machine)
            .collect();
        let mut last: Option<(i64, &str)> = None;
        for dump in mine {
            let at = dump.happened.at_ms();
            let field = dump.says.field.as_str();
            let mut from = last.map_or(at - TANK_MS, |(before, _)| before.max(at - TANK_MS));
            let began = from;
            // what it stood in between is no cutting; the last stop before the dump begins the tank anew
            // (another machine's stop is no matter of this one's)
            for stop in stops.iter().filter(|stop| {
                let of = stop.stop.says.machine.as_ref();
                of.is_none_or(|of| of.as_str() == machine)
                    && !stop.running
                    && stop.to_ms > began
                    && stop.from_ms < at
            }) {
                if stop.from_ms > from {
                    cutting_ms += stop.from_ms - from;
                    spans.push(span(
                        from,
                        stop.from_ms,
                        Some(machine.to_owned()),
                        cut(dump),
                    ));
                }
                from = stop.to_ms.min(at);
            }
            if let Some((before, other)) = last
                && other != field
                && from > before
            {
                spans.push(span(
                    before,
                    from,
                    Some(machine.to_owned()),
                    Did::Moved {
                        to: field.to_owned(),
                    },
                ));
            }
            if at > from {
                cutting_ms += at - from;
                spans.push(span(from, at, Some(machine.to_owned()), cut(dump)));
            }
            last = Some((at, field));
        }
    }
    for stop in &stops {
        let (from, to) = (stop.from_ms.max(within.0), stop.to_ms.min(within.1));
        if to > from {
            let did = Did::Stood {
                why: why_word(stop.told.why),
                running: stop.running,
            };
            spans.push(span(
                from,
                to,
                stop.stop.says.machine.as_ref().map(ToString::to_string),
                did,
            ));
        }
    }
    spans.sort_by(|a, b| {
        (&a.machine, a.from_h)
            .partial_cmp(&(&b.machine, b.from_h))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let suspect = |entry: &str| {
        suspects
            .iter()
            .any(|one| one.entry.as_deref() == Some(entry))
    };
    let tick = |at_ms: i64, number: Option<String>, entry: String, state: TickState| {
        let (at_h, beyond) = on(at_ms);
        Tick {
            at_h,
            beyond,
            number,
            state,
            entry,
            at_ms,
        }
    };
    let state = |entry: &str| {
        if suspect(entry) {
            TickState::Suspect
        } else {
            TickState::Typed
        }
    };
    let dump_ticks = dumps
        .iter()
        .map(|one| {
            let entry = one.id.to_string();
            let state = state(&entry);
            tick(
                one.happened.at_ms(),
                one.says.number.as_ref().map(ToString::to_string),
                entry,
                state,
            )
        })
        .collect();
    let mut tickets: Vec<Tick> = farm
        .tickets
        .iter()
        .filter(|one| {
            one.says.season == season.year && (within.0..within.1).contains(&one.happened.at_ms())
        })
        .map(|one| {
            let entry = one.id.to_string();
            let state = state(&entry);
            tick(
                one.happened.at_ms(),
                one.says.number.as_ref().map(ToString::to_string),
                entry,
                state,
            )
        })
        .collect();
    tickets.extend(
        untyped_tickets(farm)
            .into_iter()
            .filter(|one| (within.0..within.1).contains(&one.happened.at_ms()))
            .map(|one| {
                tick(
                    one.happened.at_ms(),
                    None,
                    one.id.to_string(),
                    TickState::Untyped,
                )
            }),
    );
    tickets.sort_by_key(|one| one.at_ms);
    Ruler {
        from_h: FROM_H,
        to_h: TO_H,
        spans,
        dumps: dump_ticks,
        tickets,
        cutting_minutes: cutting_ms / 60_000,
        stopped_minutes: minutes_between(farm, within, seen_ms),
    }
}

fn cut(dump: &Stands<Dump>) -> Did {
    Did::Cut {
        field: dump.says.field.to_string(),
        crop: dump.says.crop.to_string(),
    }
}
