//! `stook count`: what lies on the ground.

use crate::args::Typed;
use crate::args_field::CountTyped;
use crate::print::Out;
use anyhow::Result;
use desk::count::{CountAnswer, CountAsked, LossPart, Losses, Told};
use desk::reader;
use quantity::Units;

/// One count as typed, or the counts of the book.
pub(crate) fn count(asked: &CountTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let Some(crop) = &asked.crop else {
        return listed(asked, typed, out);
    };
    let answer = desk::count::count(&CountAsked {
        crop: crop.clone(),
        standing: asked.standing.clone(),
        head: asked.head.clone(),
        behind: asked.behind.clone(),
        tail: asked.tail.clone(),
        frame: asked.frame.clone(),
        seed_weight: asked.seed_weight.clone(),
        price: asked.price.clone(),
        acres_an_hour: asked.acres_an_hour,
        bu_per_ac: asked.bu_per_ac,
        worth: asked.worth,
        weighed: asked.weighed,
    })?;
    if out.json {
        out.json(&answer)?;
        return Ok(0);
    }
    print(&answer, out);
    Ok(0)
}

fn print(answer: &CountAnswer, out: &mut Out) {
    out.line(desk::count::sentence_in(answer, out.units));
    out.line("");
    table(answer, &answer.loss, out);
    if let Some(other) = &answer.or_windrow {
        out.line("");
        out.line("If it lies in a windrow of a sixth of the cut:");
        table(answer, other, out);
    }
    out.line("");
    for note in &answer.notes {
        out.line(note);
    }
    out.cautions(&answer.cautions);
    out.whys(&answer.why);
}

fn table(answer: &CountAnswer, losses: &Losses, out: &mut Out) {
    let money = losses
        .answer()
        .is_some_and(|part| part.money_per_ac.is_some());
    let hourly = losses
        .answer()
        .is_some_and(|part| part.money_per_h.is_some());
    let share = losses
        .answer()
        .is_some_and(|part| part.pct_of_total_yield.is_some());
    let one = desk::Ranged::of(1.0, 0.0);
    let unit = reader::per_acre(&answer.crop, one, out.units);
    let (acre, factor) = match out.units {
        Units::Us => ("$/ac", 1.0),
        Units::Metric => ("$/ha", reader::acres(one, out.units).figure.value.recip()),
    };
    let mut heads = vec!["loss", unit.unit, "8 in 10"];
    if share {
        heads.extend(["% of yield"]);
    }
    if money {
        heads.extend([acre, "8 in 10"]);
    }
    if hourly {
        heads.extend(["$/h"]);
    }
    let row = |name: &str, part: &LossPart| {
        let grain = part.bu_per_ac.times(unit.figure.value);
        let mut cells = vec![
            name.to_owned(),
            figure(grain, unit.places + 1),
            range(grain, unit.places + 1),
        ];
        if share {
            cells.push(
                part.pct_of_total_yield
                    .map_or_else(String::new, |one| figure(one, 1)),
            );
        }
        if money {
            let told = part.money_per_ac.map(|told| told.times(factor));
            cells.push(told.map_or_else(String::new, |told| figure(told, 2)));
            cells.push(told.map_or_else(String::new, |told| range(told, 2)));
        }
        if hourly {
            cells.push(
                part.money_per_h
                    .map_or_else(String::new, |told| figure(told, 0)),
            );
        }
        cells
    };
    let head = if answer.head_holds_standing {
        "head, and before it"
    } else {
        "head"
    };
    let rows: Vec<Vec<String>> = [
        ("standing (not in the sum)", &losses.standing),
        (head, &losses.head),
        ("machine", &losses.machine),
        ("all", &losses.total),
    ]
    .into_iter()
    .filter_map(|(name, part)| part.as_ref().map(|part| row(name, part)))
    .collect();
    let right: Vec<usize> = (1..heads.len()).collect();
    out.table(&heads, &right, &rows);
}

fn figure(told: Told, places: usize) -> String {
    format!("{:.places$}", told.shown())
}

fn range(told: Told, places: usize) -> String {
    told.range.map_or_else(
        || "too few".to_owned(),
        |range| format!("{:.places$} to {:.places$}", range.low, range.high),
    )
}

fn listed(asked: &CountTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let book = desk::books::open(&typed.book)?;
    let farm = desk::Farm::read(&book)?;
    let latest = || desk::count::latest_season(&farm);
    let season = asked.season.or_else(latest).unwrap_or(0);
    let counts = desk::count::counts(&farm, season, None);
    if out.json {
        out.json(&counts)?;
        return Ok(0);
    }
    if counts.is_empty() {
        out.line("No counts in the book yet; write one with: stook write count, or work one out with: stook count soybeans --head 10,9,11,11");
    }
    for one in &counts {
        let says = match (&one.answer, &one.refused) {
            (Some(answer), _) => desk::count::sentence_in(answer, out.units),
            (None, Some(why)) => why.clone(),
            (None, None) => String::new(),
        };
        out.line(format!("{}  {}: {says}", one.at, one.field));
        if let Some(answer) = &one.answer {
            out.whys(&answer.why);
        }
    }
    if counts.iter().any(|one| one.answer.is_some()) {
        out.line("Ranges hold 8 cases in 10.");
    }
    out.line(format!(
        "Caution: {}",
        facts::caution(facts::Act::LossCount).text
    ));
    Ok(0)
}
