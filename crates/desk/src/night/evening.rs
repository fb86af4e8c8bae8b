//! Making the evening: everything that the Night page holds, as things stood at the end of a day.

use super::agreed::{contracts, units};
use super::cards::{missing_cards, twice};
use super::crops::{accounts, fields};
use super::ruler::ruler;
use super::suspects::suspicions;
use super::tonight::{
    Evening, EveningSays, HeldTonight, LastCopy, LookAt, StopCause, Stops, UnreadEntry,
    UntypedTicket,
};
use super::{HELD_SD, post};
use crate::held::{self, by_urgency, untyped_tickets};
use crate::moment::{day_begin_ms, day_end_ms, harvest_day, season_at};
use crate::morning::{authors, notes, questions};
use crate::square::Squaring;
use crate::stops::{minutes_between, stood, together, why_word, worth};
use crate::sync::{CLOCK_OFF_MS, clock_note};
use crate::{DeskError, Farm, Ranged, Season, Why, square};
use account::ledger::Ledger;
use book::EntryId;
use facts::Act;
use quantity::Money;
use std::collections::{BTreeMap, BTreeSet};

/// The evening of a harvest day (`2026-10-06`; that of `now_ms` if none is given). The account is that
/// of the day's season, squared with everything written so far; balances are as of the day's end.
///
/// # Errors
/// A day that cannot be read, or evidence that cannot be squared.
pub fn evening(farm: &Farm, now_ms: i64, day: Option<&str>) -> Result<Evening, DeskError> {
    let asked = day
        .map(|text| quantity::parse_date(text).map_err(|why| DeskError::figure("day", why)))
        .transpose()?;
    let year = match asked {
        Some(day) => season_at(farm, day_begin_ms(farm, season_at(farm, now_ms), day)?),
        None => season_at(farm, now_ms),
    };
    let day = asked.unwrap_or_else(|| harvest_day(farm, year, now_ms));
    let begins_ms = day_begin_ms(farm, year, day)?;
    let ends_ms = day_end_ms(farm, year, day)?;
    // a phone whose clock is a little ahead wrote of what has happened all the same
    let end_ms = ends_ms.min((now_ms + CLOCK_OFF_MS).max(begins_ms + 1));
    let seen_ms = now_ms.min(ends_ms);
    let season = crate::season(farm, year)?;
    let squaring = square(&season, crate::LEVEL)?;
    let ledger = post(&season);
    let crops = accounts(&season, &ledger, &squaring, end_ms);
    let suspects = suspicions(farm, &season, &squaring);
    let within = (begins_ms, end_ms);
    let stops = stops(farm, year, within, seen_ms);
    let mut why = squaring.why.clone();
    if let (Some(hour), Some(worth)) = (&stops.hour, &stops.broke_worth) {
        why.push(
            Why::new(
                "broken or plugged",
                worth,
                "minutes broken or plugged / 60 x cost of an hour",
                "the season's settings in this book",
            )
            .with("minutes", stops.broke_minutes.to_string())
            .with("cost of an hour", hour),
        );
    }
    let (units, unit_whys) = units(farm, &season, &ledger, end_ms);
    why.extend(unit_whys);
    why.extend(crops.iter().flat_map(super::crops::whys));
    Ok(Evening {
        farm: farm.name.clone(),
        zone: farm.zone.clone(),
        season: year,
        day: day.to_string(),
        day_ends_ms: ends_ms,
        now_ms,
        says: says(&squaring, &crops, &suspects),
        untyped: untyped(farm, end_ms),
        missing_cards: missing_cards(farm, year, end_ms),
        unread: unread(farm, end_ms),
        held: held_tonight(farm, &season, &ledger, end_ms, seen_ms)?,
        counts: crate::count::counts(farm, year, Some(within)),
        stops,
        fields: fields(farm, &season, &ledger, &squaring, within),
        units,
        contracts: contracts(farm, year, end_ms),
        copy: last_copy(farm, now_ms),
        ruler: ruler(farm, &season, day, within, seen_ms, &suspects),
        notes: notes(farm, within),
        questions: questions(farm, end_ms),
        look_at: look_at(farm, &season, &ledger, within),
        cautions: vec![
            Act::WagonFlow.key(),
            Act::BinMeasure.key(),
            Act::Fatigue.key(),
            Act::Money.key(),
        ],
        crops,
        suspects,
        why,
    })
}

fn says(
    squaring: &Squaring,
    crops: &[super::CropAccount],
    suspects: &[super::Suspicion],
) -> EveningSays {
    let squared = &squaring.squared;
    let names = |all: &[super::Suspicion]| all.iter().map(|one| one.slip.clone()).collect();
    if squaring.slips == 0 {
        return EveningSays::Empty {};
    }
    let checked = squaring.slips.saturating_sub(squared.unchecked.len());
    if squared.square {
        return if checked == 0 {
            EveningSays::Unchecked {
                slips: squaring.slips,
            }
        } else {
            EveningSays::Square {
                checked,
                slips: squaring.slips,
                odd: names(suspects),
            }
        };
    }
    let Some(first) = suspects.first() else {
        let worst = squared
            .slips
            .iter()
            .filter(|one| one.z.is_some())
            .max_by(|a, b| {
                a.z.unwrap_or(0.0)
                    .abs()
                    .total_cmp(&b.z.unwrap_or(0.0).abs())
            });
        return EveningSays::NotSquare {
            worst: worst.map(|one| one.slip.0.clone()),
            worst_z: squared.worst_z,
            by_chance_in_100: squared.level * 100.0,
        };
    };
    let crop = first.crop.clone().unwrap_or_default();
    let account = crops.iter().find(|one| one.crop == crop);
    let per_lb = account
        .and_then(|one| one.base_moisture_pct)
        .and_then(|_| super::basis(&crop.as_str().into()));
    let off = squaring
        .suspects
        .first()
        .map_or(Ranged::of(0.0, 0.0), |one| {
            Ranged::of(one.off_by_dry_lb, one.se_dry_lb)
        });
    // the account of the crop says by how much it is out; a slip that cancels another says its own
    let gap_lb = account.map_or(off, |one| match per_lb {
        Some((_, per)) => one.unexplained.times(1.0 / per),
        None => one.unexplained,
    });
    let gap_lb = if gap_lb.value == 0.0 { off } else { gap_lb };
    let short = gap_lb.value > 0.0;
    let size = if short { gap_lb } else { gap_lb.times(-1.0) };
    let likely = first
        .likely
        .first()
        .filter(|one| one.chance > first.noise && one.chance > first.something_else)
        .cloned();
    EveningSays::Suspect {
        short,
        off_by_dry_bu: per_lb.map(|(_, per)| size.times(per)),
        off_by_dry_lb: size,
        crop,
        field: account.and_then(|one| match one.fields.as_slice() {
            [only] => Some(only.clone()),
            _ => None,
        }),
        slip: first.slip.clone(),
        likely,
        others: names(&suspects[1..]),
    }
}

fn author(farm: &Farm, id: EntryId) -> String {
    authors(farm, &BTreeSet::from([id]))
        .remove(&id)
        .unwrap_or_default()
}

fn untyped(farm: &Farm, end_ms: i64) -> Vec<UntypedTicket> {
    let mut all: Vec<UntypedTicket> = untyped_tickets(farm)
        .into_iter()
        .filter(|one| one.happened.at_ms() < end_ms)
        .map(|one| UntypedTicket {
            entry: one.id.to_string(),
            sha256: one.says.sha256.to_string(),
            of: one.says.of.iter().map(ToString::to_string).collect(),
            author: author(farm, one.id),
            at_ms: one.happened.at_ms(),
            there: None,
        })
        .collect();
    all.sort_by(|a, b| (a.at_ms, &a.entry).cmp(&(b.at_ms, &b.entry)));
    all
}

fn unread(farm: &Farm, end_ms: i64) -> Vec<UnreadEntry> {
    farm.unread
        .iter()
        .filter(|one| one.happened.at_ms() < end_ms)
        .map(|one| UnreadEntry {
            entry: one.id.to_string(),
            sent_as: one.says.sent_as.clone(),
            figures: one
                .says
                .figures
                .iter()
                .map(|(name, texts)| (name.clone(), texts.clone()))
                .collect(),
            why: one.says.why.clone(),
            author: author(farm, one.id),
            at_ms: one.happened.at_ms(),
        })
        .collect()
}

fn held_tonight(
    farm: &Farm,
    season: &Season,
    ledger: &Ledger,
    end_ms: i64,
    seen_ms: i64,
) -> Result<Vec<HeldTonight>, DeskError> {
    let mut all: Vec<HeldTonight> = held::held(farm, season, ledger, end_ms)?
        .into_iter()
        .map(|held| HeldTonight {
            dry_bu: held.dry_bu.map(|bu| Ranged::of(bu, bu * HELD_SD)),
            hours: held.hours(seen_ms),
            why: held.why_move(seen_ms),
            move_first: false,
            held,
        })
        .collect();
    by_urgency(&mut all, |one| &one.held, seen_ms);
    if let Some(first) = all.first_mut() {
        first.move_first = first.held.on_wheels && !first.why.is_empty();
    }
    Ok(all)
}

fn stops(farm: &Farm, year: u16, within: (i64, i64), seen_ms: i64) -> Stops {
    let mut by_why: BTreeMap<&'static str, (i64, usize)> = BTreeMap::new();
    let mut cost = Money::ZERO;
    let mut any_cost = false;
    let mut out = Stops::default();
    let mut broke: Vec<(i64, i64)> = Vec::new();
    for one in stood(farm, within, seen_ms) {
        let (from, to) = one.inside(within);
        let sum = by_why.entry(why_word(one.told.why)).or_default();
        sum.0 += (to - from) / 60_000;
        sum.1 += 1;
        if one.told.broke() {
            broke.push((from, to));
        }
        if let Some(paid) = one.told.cost {
            cost += paid;
            any_cost = true;
        }
        if one.running {
            out.running = Some(one.stop.id.to_string());
            out.running_since_ms = Some(one.from_ms);
        }
    }
    out.broke_minutes = together(broke);
    let hour = farm.seasons.get(&year).and_then(|one| one.hour);
    let priced = hour.filter(|_| out.broke_minutes > 0);
    out.hour = priced.map(Money::show);
    out.broke_worth = priced
        .and_then(|hour| worth(hour, out.broke_minutes))
        .map(Money::show);
    out.minutes = minutes_between(farm, within, seen_ms);
    out.by_why = by_why
        .into_iter()
        .map(|(why, (minutes, stops))| StopCause {
            why,
            minutes,
            stops,
        })
        .collect();
    out.by_why
        .sort_by_key(|one| (std::cmp::Reverse(one.minutes), one.why));
    out.cost = any_cost.then(|| cost.show());
    out
}

fn last_copy(farm: &Farm, now_ms: i64) -> Option<LastCopy> {
    const DAY_MS: i64 = 86_400_000;
    let last = farm
        .copied
        .iter()
        .filter(|one| one.happened.at_ms() <= now_ms + CLOCK_OFF_MS)
        .max_by_key(|one| one.happened.at_ms())?;
    Some(LastCopy {
        entry: last.id.to_string(),
        kept_at: last.says.kept_at.to_string(),
        entries: last.says.entries,
        at_ms: last.happened.at_ms(),
        days: (now_ms - last.happened.at_ms()).max(0) / DAY_MS,
    })
}

fn look_at(farm: &Farm, season: &Season, ledger: &Ledger, within: (i64, i64)) -> Vec<LookAt> {
    let mut out = Vec::new();
    for one in &farm.effective.conflicts {
        out.push(LookAt::Conflict {
            entry: one.id.to_string(),
            wordings: one.survivors.len(),
        });
    }
    for one in &farm.effective.needs_newer {
        out.push(LookAt::NeedsNewer {
            entry: one.id.to_string(),
            kind: one.kind.clone(),
        });
    }
    // an odd clock cannot be mended, so it is told on the day it was written, and not ever after
    let written_today = |id: EntryId| (within.0..within.1).contains(&id.clock_ms());
    for one in farm
        .effective
        .clock_odd
        .iter()
        .filter(|one| written_today(one.id))
    {
        out.push(LookAt::ClockOdd {
            entry: one.id.to_string(),
            minutes: one.by_ms as f64 / 60_000.0,
        });
    }
    for one in &farm.notes {
        if (within.0..within.1).contains(&one.happened.at_ms())
            && let Some((device, minutes)) = clock_note(&one.says.text)
        {
            out.push(LookAt::ClockOff {
                device,
                minutes,
                entries: one.says.about.len(),
            });
        }
    }
    let day = |slip: &account::slip::SlipId| {
        let at_ms = season.happened.get(slip).map(book::Happened::at_ms);
        at_ms.is_none_or(|at_ms| (within.0..within.1).contains(&at_ms))
    };
    for one in ledger.set_aside.iter().filter(|one| day(&one.slip)) {
        out.push(LookAt::SetAside {
            slip: one.slip.0.clone(),
            why: one.why.to_string(),
        });
    }
    for one in ledger
        .no_weight
        .iter()
        .filter(|one| one.weighed_by.is_none() && day(&one.slip))
    {
        out.push(LookAt::NoWeight {
            slip: one.slip.0.clone(),
            entry: season.entries.get(&one.slip).map(ToString::to_string),
        });
    }
    for one in ledger.findings.iter().filter(|one| day(&one.slip)) {
        out.push(LookAt::Slip {
            slip: one.slip.0.clone(),
            what: one.what.to_string(),
        });
    }
    for one in farm
        .tickets
        .iter()
        .filter(|one| one.says.season == season.year)
    {
        // grain weighed into one's own bin has no terms
        let sold = one.says.buyer.is_some() || farm.buyers.contains_key(&one.says.to);
        if sold
            && one.says.contract.is_none()
            && (within.0..within.1).contains(&one.happened.at_ms())
        {
            out.push(LookAt::TermsBlank {
                number: one.says.number.as_ref().map(ToString::to_string),
                entry: one.id.to_string(),
            });
        }
    }
    out.extend(twice(farm, season.year, within.1));
    out.extend(
        season
            .notes
            .iter()
            .map(|note| LookAt::Assumed { what: note.clone() }),
    );
    out
}
