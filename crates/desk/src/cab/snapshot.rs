//! Making the snapshot.

use super::{
    Cautions, CropName, FarmName, FieldChoice, Heard, Holds, InTwo, MachineName, Named,
    PlaceChoice, Running, Snapshot, Standstill, Today, TryFirst, card,
};
use crate::held::{self, Held, crop_name, shares};
use crate::moment::{day_begin_ms, day_end_ms, harvest_day, season_at};
use crate::stops::{minutes_between, why_word};
use crate::sync::CLOCK_OFF_MS;
use crate::{DeskError, Farm};
use book::kinds::{Dump, MonitorBasis, Name, PlaceKind};
use facts::Act;
use std::collections::BTreeMap;

/// The farm as a phone needs it at `now_ms`; `device` is the phone's own, `names` what people call
/// devices. It reads one season and posts it (and the one before, for what is carried over); it
/// squares nothing.
///
/// # Errors
/// A bin measure whose bin is not known.
pub fn snapshot(
    farm: &Farm,
    now_ms: i64,
    device: &str,
    names: &BTreeMap<String, String>,
) -> Result<Snapshot, DeskError> {
    let year = season_at(farm, now_ms);
    let season = crate::season(farm, year)?;
    let ledger = crate::night::post(&season);
    // a phone whose clock is a little ahead wrote of what has happened all the same
    let end_ms = now_ms + CLOCK_OFF_MS;
    let held = held::held(farm, &season, &ledger, end_ms)?;
    let day = harvest_day(farm, year, now_ms);
    let within = (day_begin_ms(farm, year, day)?, day_end_ms(farm, year, day)?);
    let last = farm
        .dumps
        .iter()
        .filter(|one| one.says.season == year && one.happened.at_ms() <= end_ms)
        .max_by_key(|one| one.happened.at_ms());
    Ok(Snapshot {
        farm: FarmName {
            name: farm.name.clone(),
            zone: farm.zone.clone(),
        },
        season: year,
        day_begins_hour: farm.day_begins(year),
        day: day.to_string(),
        now_ms,
        entries: farm.entries,
        machines: machines(farm),
        fields: fields(farm, year),
        places: places(farm, &held),
        buyers: named(farm.buyers.keys()),
        meters: named(farm.meters.keys()),
        arranged: card::cards(farm, year),
        running: last.map(|one| Running {
            field: one.says.field.to_string(),
            machine: one.says.machine.to_string(),
            into: one.says.into.to_string(),
            crop: one.says.crop.to_string(),
            at_ms: one.happened.at_ms(),
        }),
        stop: standstill(farm, end_ms),
        today: today(farm, within, now_ms),
        next_load: next_load(farm, year, last.map(|one| &one.says)),
        heard: heard(farm, device, names),
        counting: super::counting::counting(farm, year, within)?,
        cautions: cautions(),
        tries: tries(farm, year),
    })
}

/// What the trade tries first, for the crops planted this season.
fn tries(farm: &Farm, year: u16) -> Vec<TryFirst> {
    let planted = farm.plantings.iter().filter(|one| one.says.season == year);
    let crops: std::collections::BTreeSet<&str> =
        planted.map(|one| one.says.crop.as_str()).collect();
    let known = crops
        .into_iter()
        .filter_map(|key| Some((key, key.parse::<facts::Crop>().ok()?)));
    known
        .flat_map(|(key, crop)| {
            facts::tries(Some(crop)).into_iter().map(|one| TryFirst {
                crop: key.to_owned(),
                sign: one.sign.name(),
                lost_at: one.sign.lost_at(),
                text: InTwo {
                    en: one.text.clone(),
                    es: one.es.clone(),
                },
            })
        })
        .collect()
}

fn named<'n>(names: impl Iterator<Item = &'n Name>) -> Vec<Named> {
    names
        .map(|name| Named {
            name: name.to_string(),
        })
        .collect()
}

fn machines(farm: &Farm) -> Vec<MachineName> {
    farm.machines
        .iter()
        .map(|(name, machine)| MachineName {
            name: name.to_string(),
            monitor: machine.says.monitor.map(|basis| match basis {
                MonitorBasis::Wet => "wet",
                MonitorBasis::Dry => "dry",
            }),
        })
        .collect()
}

fn fields(farm: &Farm, year: u16) -> Vec<FieldChoice> {
    let mut out: Vec<FieldChoice> = farm
        .fields
        .iter()
        .map(|(name, field)| {
            let mut crops: Vec<CropName> = Vec::new();
            let mut owners = Vec::new();
            for planting in farm
                .plantings
                .iter()
                .filter(|one| one.says.season == year && one.says.field == *name)
            {
                let crop = planting.says.crop.as_str();
                if crops.iter().all(|one| one.crop != crop) {
                    crops.push(CropName {
                        crop: crop.to_owned(),
                        name: crop_name(crop),
                    });
                    owners = shares(farm, name, crop, year);
                }
            }
            FieldChoice {
                name: name.to_string(),
                crops,
                unit: field.says.unit_number.as_ref().map(ToString::to_string),
                owners,
            }
        })
        .collect();
    out.sort_by_key(|field| field.crops.is_empty());
    out
}

/// A place's kind, by key.
pub(crate) fn kind_word(kind: PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Cart => "cart",
        PlaceKind::Wagon => "wagon",
        PlaceKind::Truck => "truck",
        PlaceKind::Bin => "bin",
        PlaceKind::Pile => "pile",
        PlaceKind::Dryer => "dryer",
        PlaceKind::Pit => "pit",
        PlaceKind::Feed => "feed",
        PlaceKind::Seed => "seed",
        PlaceKind::Spill => "spill",
    }
}

fn places(farm: &Farm, held: &[Held]) -> Vec<PlaceChoice> {
    farm.places
        .iter()
        .map(|(name, place)| PlaceChoice {
            name: name.to_string(),
            kind: kind_word(place.says.kind),
            tared: place.says.tare.is_some(),
            holds: holds(held, name),
        })
        .collect()
}

/// What a place holds, all its crops together: the crop that came in last leads.
fn holds(held: &[Held], place: &Name) -> Option<Holds> {
    let mut here: Vec<&Held> = held
        .iter()
        .filter(|one| one.place == place.as_str() && !one.ticket_waits)
        .collect();
    here.sort_by_key(|one| std::cmp::Reverse(one.last_ms));
    let first = here.first()?;
    let all = |of: fn(&Held) -> &Vec<String>| {
        let mut all: Vec<String> = here.iter().flat_map(|one| of(one).clone()).collect();
        all.sort();
        all.dedup();
        all
    };
    let mut other_crops: Vec<String> = here.iter().skip(1).map(|one| one.crop.clone()).collect();
    other_crops.retain(|crop| *crop != first.crop);
    Some(Holds {
        crop: first.crop.clone(),
        crop_name: first.crop_name.clone(),
        other_crops,
        units: all(|one| &one.units),
        owners: all(|one| &one.owners),
        fields: all(|one| &one.fields),
        unknown_field: here.iter().any(|one| one.unknown_field),
        full: first.full_percent,
        since_ms: here.iter().filter_map(|one| one.first_ms).min(),
        last_ms: here.iter().filter_map(|one| one.last_ms).max(),
        covered: first.covered,
        carried_from: first.carried_from,
    })
}

fn standstill(farm: &Farm, end_ms: i64) -> Option<Standstill> {
    let running = farm
        .running_stops()
        .filter(|one| one.happened.at_ms() <= end_ms)
        .max_by_key(|one| one.happened.at_ms())?;
    let name = |name: &Option<Name>| name.as_ref().map(ToString::to_string);
    Some(Standstill {
        id: running.id.to_string(),
        since_ms: running.happened.at_ms(),
        why: why_word(running.says.why),
        machine: name(&running.says.machine),
        field: name(&running.says.field),
    })
}

fn today(farm: &Farm, within: (i64, i64), now_ms: i64) -> Today {
    fn those<T>(all: &[crate::Stands<T>], within: (i64, i64)) -> (usize, Option<i64>) {
        let times = all.iter().map(|one| one.happened.at_ms());
        let today = times.filter(|at_ms| (within.0..within.1).contains(at_ms));
        (today.clone().count(), today.max())
    }
    let (dumps, last_dump_ms) = those(&farm.dumps, within);
    let (counts, last_count_ms) = those(&farm.counts, within);
    let (samples, last_sample_ms) = those(&farm.samples, within);
    Today {
        dumps,
        last_dump_ms,
        counts,
        last_count_ms,
        samples,
        last_sample_ms,
        stop_minutes: minutes_between(farm, within, now_ms),
        stops: those(&farm.stops, within).0,
        notes: those(&farm.notes, within).0,
        tickets: those(&farm.tickets, within).0,
    }
}

/// The number after the last card's, where it has one; else the dumps of the season count.
fn next_load(farm: &Farm, year: u16, last: Option<&Dump>) -> u32 {
    let of_last = last
        .and_then(|dump| dump.number.as_ref())
        .and_then(|number| number.as_str().trim().parse::<u32>().ok());
    of_last.map_or_else(
        || {
            let count = farm.dumps.iter().filter(|one| one.says.season == year);
            u32::try_from(count.count())
                .unwrap_or(u32::MAX)
                .saturating_add(1)
        },
        |number| number.saturating_add(1),
    )
}

fn heard(farm: &Farm, device: &str, names: &BTreeMap<String, String>) -> Vec<Heard> {
    let mut out: Vec<Heard> = farm
        .devices
        .iter()
        .filter(|(id, _)| id.as_str() != device)
        .map(|(id, last_ms)| Heard {
            device: id.to_string(),
            name: names
                .get(id.as_str())
                .cloned()
                .unwrap_or_else(|| id.to_string()),
            last_ms: *last_ms,
        })
        .collect();
    out.sort_by_key(|one| std::cmp::Reverse(one.last_ms));
    out
}

fn cautions() -> Cautions {
    let both = |act: Act| {
        let caution = facts::caution(act);
        InTwo {
            en: caution.text.clone(),
            es: caution.es.clone(),
        }
    };
    Cautions {
        load: both(Act::CabLoad),
        count: both(Act::CabCount),
        stop: both(Act::CabStop),
        bin: both(Act::CabBin),
        setting: both(Act::CabSetting),
    }
}
