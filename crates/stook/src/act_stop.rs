//! `stook stop`: begins a stop, ends it, or says what the season's stops took.

use crate::args::Typed;
use crate::args_field::StopTyped;
use crate::clock::{self, MachineClock};
use crate::print::Out;
use anyhow::Result;
use desk::stops::{SpareAsked, StopsAsked, StopsReport, report};
use desk::written::Figures;
use desk::{Clock, Farm, Pen};

/// Writes a stop or its end through the same forms as `stook write`, or prints the season's.
pub(crate) fn stop(asked: &StopTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let Some(word) = &asked.word else {
        return season(asked, typed, out);
    };
    let mut book = desk::books::open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let mut figures = Figures::default();
    let kind = if word == "end" { "go" } else { "stop" };
    let given: &[(&str, &Option<String>)] = if kind == "go" {
        &[
            ("stop", &asked.which),
            ("why", &asked.because),
            ("part", &asked.part),
            ("cost", &asked.cost),
            ("remark", &asked.remark),
        ]
    } else {
        &[
            ("part", &asked.part),
            ("machine", &asked.machine),
            ("field", &asked.field),
            ("cost", &asked.cost),
            ("minutes", &asked.minutes),
            ("remark", &asked.remark),
        ]
    };
    for (name, text) in given {
        if let Some(text) = text {
            figures.add(name, text.as_str());
        }
    }
    if kind == "stop" {
        figures.add("why", word.as_str());
    }
    let mut machine = MachineClock;
    let mut pen = Pen::new(&asked.by, asked.at.as_deref(), &farm.zone, &mut machine)?
        .on(clock::device(&typed.book)?);
    let entry = desk::write(&mut book, &farm, &mut pen, kind, &figures)?;
    crate::act::print_entry(&entry, out)?;
    if !out.json {
        out.cautions(&desk::written::cautions_of([entry.kind.as_str()]));
    }
    Ok(0)
}

fn season(asked: &StopTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let book = desk::books::open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let told = report(
        &farm,
        &StopsAsked {
            season: asked
                .season
                .or_else(|| desk::stops::latest_season(&farm))
                .unwrap_or(0),
            machine: asked.machine.clone(),
            hour_usd: asked.an_hour,
            acres_cut: asked.acres_cut,
            acres_left: asked.acres_left,
            spare: asked.spare.map(|price_usd| SpareAsked {
                price_usd,
                share_pct: asked.share.unwrap_or_default(),
                saves_h: asked.saves.unwrap_or_default(),
                rush_usd: asked.rush.unwrap_or_default(),
                holding_pct: asked.holding,
            }),
        },
        MachineClock.now_ms(),
    )?;
    if out.json {
        out.json(&told)?;
        return Ok(0);
    }
    print(&told, out);
    Ok(0)
}

fn print(told: &StopsReport, out: &mut Out) {
    out.line(&told.sentence);
    if !told.stops.is_empty() {
        out.line("");
        let rows: Vec<Vec<String>> = told
            .stops
            .iter()
            .map(|one| {
                vec![
                    one.at.clone(),
                    one.why.replace('_', "-"),
                    one.part.clone().unwrap_or_default(),
                    match one.minutes {
                        Some(minutes) if one.running => format!("{minutes} so far"),
                        Some(minutes) => minutes.to_string(),
                        None => "when did it end?".to_owned(),
                    },
                    one.cost_usd
                        .map_or_else(String::new, |usd| format!("${usd:.0}")),
                ]
            })
            .collect();
        out.table(&["began", "why", "part", "minutes", "cost"], &[3, 4], &rows);
        out.line("");
        let rows: Vec<Vec<String>> = told
            .causes
            .iter()
            .map(|one| {
                vec![
                    one.why.replace('_', "-"),
                    one.stops.to_string(),
                    format!("{:.1}", one.hours),
                    format!("{:.0}", 100.0 * one.cumulative),
                ]
            })
            .collect();
        out.table(&["cause", "stops", "hours", "% so far"], &[1, 2, 3], &rows);
    }
    if let Some(one) = &told.breakdowns {
        out.line("");
        out.line(format!(
            "Breakdowns: {} on {:.0} acres, {:.2} on 100 acres ({:.2} to {:.2}); the next repair takes {:.1} hours ({:.1} to {:.1}).",
            one.seen, one.acres_cut, one.on_100_ac.value, one.on_100_ac.low, one.on_100_ac.high,
            one.repair_h.value, one.repair_h.low, one.repair_h.high
        ));
        if let Some(ahead) = &one.ahead {
            let money = ahead.mean_usd.map_or_else(String::new, |usd| {
                format!(", ${usd:.0} on average with each repair counted up to 24 hours")
            });
            out.line(format!(
                "The {:.0} acres left bring {:.1} more, none {} in 10; they take {:.1} hours ({:.1} to {:.1}){money}.",
                ahead.acres_left, ahead.stops, desk::reader::of_ten(ahead.p_none),
                ahead.hours.value, ahead.hours.low, ahead.hours.high
            ));
        }
    }
    for one in &told.spares {
        out.line(format!(
            "Spare {}: used {} in 10, worth ${:.0} with holding taken off; it pays from a use of {:.0} in 100.",
            one.nth,
            desk::reader::of_ten(one.p_used),
            one.net_usd,
            100.0 * one.break_even
        ));
    }
    out.line("");
    for note in &told.notes {
        out.line(note);
    }
    out.cautions(&told.cautions);
    out.whys(&told.why);
}
