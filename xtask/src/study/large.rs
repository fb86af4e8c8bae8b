//! Squaring a very large season, by the clock: 5,000 slips, clean and with mistakes.
//!
//! No study holds or fails by the clock, so this has no line in the register; `cargo xtask bench` prints
//! it. The season is grown as many smaller ones, each with its own fields, wagons, bins, combines and
//! moisture meters: factors and offsets are drawn anew for each, so sharing one would be a mistake.

use super::squaring::convert;
use account::square::{Settings, square};
use anyhow::Context as _;
use std::fmt::Write as _;
use std::time::Instant;
use worlds::paper::{Record, Weight};
use worlds::season::{Planting, grow};

/// Slips in the season.
const SLIPS: usize = 5_000;

/// How often each is squared; the middle time counts.
const RUNS: usize = 5;

/// Days between the beginnings of two parts.
const PART_DAYS: i64 = 120;

/// The table of times.
pub(crate) fn table(seed: u64) -> anyhow::Result<String> {
    let mut text = "| season | slips | tests | suspects | seconds, middle of 5 | quickest |\n| --- | --- | --- | --- | --- | --- |\n".to_owned();
    for (title, planting) in [("clean", Planting::None), ("mistakes in", Planting::Usual)] {
        let (record, mistakes) = season(seed, planting, SLIPS)?;
        let written = convert::season(&record);
        let mut times = Vec::new();
        let mut squared = None;
        for _ in 0..RUNS {
            let started = Instant::now();
            squared = Some(square(&written, &Settings::default())?);
            times.push(started.elapsed().as_secs_f64());
        }
        times.sort_by(f64::total_cmp);
        let squared = squared.context("it was squared")?;
        let slips = record.slips.len();
        let title = match mistakes {
            0 => title.to_owned(),
            some => format!("{title} {:.1} %", 100.0 * some as f64 / slips as f64),
        };
        let (tests, suspects) = (squared.tests, squared.suspects.len());
        let (middle, quickest) = (times[RUNS / 2], times[0]);
        writeln!(
            text,
            "| {title} | {slips} | {tests} | {suspects} | {middle:.2} | {quickest:.2} |"
        )?;
    }
    Ok(text)
}

/// A season of at least so many slips, and how many of them are mistaken.
fn season(seed: u64, planting: Planting, slips: usize) -> anyhow::Result<(Record, usize)> {
    let mut whole = Record::default();
    let mut mistakes = 0;
    let mut part = 0;
    while whole.slips.len() < slips {
        let grown = grow(seed, part, planting);
        mistakes += grown.truth.mistakes.len();
        join(&mut whole, grown.typed, i64::try_from(part)?);
        part += 1;
    }
    Ok((whole, mistakes))
}

/// Adds a part under names and times of its own; only crops keep theirs. The first part's reference
/// meter is the reference of all.
fn join(whole: &mut Record, mut part: Record, number: i64) {
    let name = |text: &mut String| *text = format!("{number}/{text}");
    let later = |at_ms: &mut i64| *at_ms += number * PART_DAYS * 86_400_000;
    for place in &mut part.places {
        name(&mut place.id);
    }
    for slip in &mut part.slips {
        name(&mut slip.id);
        later(&mut slip.at_ms);
        slip.from.iter_mut().for_each(name);
        name(&mut slip.to);
        match &mut slip.weight {
            Weight::Scale {
                shared_tare: Some(tare),
                ..
            } => name(tare),
            Weight::Monitor { machine, .. } => name(machine),
            _ => {}
        }
        if let Some(reading) = &mut slip.moisture {
            name(&mut reading.meter);
        }
        if let Some(ticket) = slip
            .number
            .as_deref()
            .and_then(|text| text.parse::<i64>().ok())
        {
            slip.number = Some((ticket + number * 1_000_000).to_string());
        }
    }
    for stock in &mut part.stocks {
        name(&mut stock.id);
        name(&mut stock.place);
        later(&mut stock.at_ms);
        if let Some(reading) = &mut stock.moisture {
            name(&mut reading.meter);
        }
    }
    let first = whole.meters.is_empty();
    for meter in &mut part.meters {
        name(&mut meter.id);
        meter.reference &= first;
    }
    part.machines.iter_mut().for_each(name);
    whole.meters.append(&mut part.meters);
    whole.machines.append(&mut part.machines);
    whole.places.append(&mut part.places);
    whole.slips.append(&mut part.slips);
    whole.stocks.append(&mut part.stocks);
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn parts_keep_apart_what_is_theirs_and_share_the_rest() {
        let (record, mistakes) = season(5, Planting::None, 400).unwrap();
        assert!(record.slips.len() >= 400);
        assert_eq!(mistakes, 0);
        let ids: BTreeSet<_> = record.slips.iter().map(|slip| &slip.id).collect();
        assert_eq!(ids.len(), record.slips.len());
        let places: BTreeSet<_> = record.places.iter().map(|place| &place.id).collect();
        assert_eq!(places.len(), record.places.len());
        assert!(
            record
                .slips
                .iter()
                .flat_map(|slip| &slip.from)
                .all(|place| places.contains(place))
        );
        assert!(record.slips.is_sorted_by_key(|slip| slip.at_ms));
    }
}
