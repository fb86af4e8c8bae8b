//! `stook ready`, `stook settings`, `stook calc cost` and `stook calc tires`.

use crate::args::Typed;
use crate::args_account::SignedTyped;
use crate::args_ready::{CostTyped, ReadyAct, ReadyTyped, SettingsTyped, TiresTyped};
use crate::clock::{self, MachineClock};
use crate::print::Out;
use anyhow::Result;
use desk::calc::{self, Answer};
use desk::ready::{ReadyList, harvest_day_at, ready, starter_figures};
use desk::settings::{Worth, change_words, next_turns, sentences, settings};
use desk::written::Figures;
use desk::{Clock, DeskError, Farm, Pen};
use facts::Act;

/// What running a machine costs.
pub(crate) fn cost(t: &CostTyped) -> Result<Answer> {
    Ok(calc::cost(&calc::CostAsked {
        class: t.machine.clone(),
        list: t.list.clone(),
        worth: t.worth.clone(),
        age: t.age.clone(),
        hours: t.hours.clone(),
        per_year: t.per_year.clone(),
        years: t.years.clone(),
        interest: t.interest.clone(),
        power: t.power.clone(),
        load: t.load.clone(),
        fuel: t.fuel.clone(),
        labor: t.labor.clone(),
        rate: t.acres_per_hour.clone(),
    })?)
}

/// What to do with a tire.
pub(crate) fn tires(t: &TiresTyped) -> Result<Answer> {
    Ok(calc::tires(&calc::TireAsked {
        tire: t.tire.clone(),
        rim: t.rim.clone(),
        wanted: t.wanted.clone(),
        load: t.load.clone(),
        table: t.table.clone(),
        read: t.read.clone(),
        warm: t.warm,
    })?)
}

/// The ready lists: shown, ticked, and lines of the starter set taken in.
pub(crate) fn lists(asked: &ReadyTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let mut book = desk::books::open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let now_ms = MachineClock.now_ms();
    let today = |farm: &Farm| {
        harvest_day_at(farm, now_ms)
            .ok_or_else(|| DeskError::Refused("this machine's clock shows no day".to_owned()))
    };
    let list = ready(&farm, today(&farm)?);
    match &asked.what {
        None => {
            print_list(&list, asked.due, out)?;
            Ok(0)
        }
        Some(ReadyAct::Tick {
            number,
            value,
            engine_hours,
            signed,
        }) => {
            let line = list.lines.iter().find(|line| line.number == *number);
            let line = line.ok_or_else(|| {
                DeskError::Refused(format!(
                    "line {number} is not on the ready lists, which have {}; stook ready shows them",
                    list.lines.len()
                ))
            })?;
            if value.is_some() && line.unit.is_none() {
                return Err(DeskError::Refused(format!(
                    "line {number} ({}) asks for no reading; leave the value out, or give the line one with stook mend",
                    line.text
                ))
                .into());
            }
            let mut figures = Figures::default();
            figures.add("item", line.id.as_str());
            figures.add("day", list.day.as_str());
            for (name, text) in [("value", value), ("engine-hours", engine_hours)] {
                if let Some(text) = text {
                    figures.add(name, text.as_str());
                }
            }
            write(&mut book, &farm, typed, signed, &[("ticked", figures)])?;
            let farm = Farm::read(&book)?;
            let list = ready(&farm, today(&farm)?);
            let line = list.lines.iter().find(|line| line.number == *number);
            let Some(line) = line else { return Ok(0) };
            if out.json {
                out.json(line)?;
            } else {
                out.line(format!("done: {}", line.text));
                if let Some(outside) = &line.outside {
                    out.line(format!("outside its limits: {outside}"));
                }
                caution(&[Act::WalkRound], out);
            }
            Ok(u8::from(line.outside.is_some()))
        }
        Some(ReadyAct::Starter {
            numbers,
            all,
            spanish,
            signed,
        }) => {
            let known = facts::starter_lines().len();
            if let Some(odd) = numbers.iter().find(|one| !(1..=known).contains(*one)) {
                return Err(DeskError::Refused(format!(
                    "the starter set has no line {odd}; its lines are 1 to {known}"
                ))
                .into());
            }
            let wanted: Vec<(&str, Figures)> = list
                .offered
                .iter()
                .filter(|one| *all || numbers.contains(&one.number))
                .map(|one| ("ready", starter_figures(&one.line, *spanish)))
                .collect();
            if !*all && numbers.is_empty() {
                if out.json {
                    out.json(&list.offered)?;
                    return Ok(0);
                }
                for one in &list.offered {
                    let text = if *spanish {
                        &one.line.es
                    } else {
                        &one.line.text
                    };
                    out.line(format!("{:>3}  {}: {text}", one.number, one.line.list));
                }
                out.line("Take lines in by number, or --all. Limits and intervals are the maker's manual's: mend each line to them.");
                caution(&[Act::WalkRound], out);
                return Ok(0);
            }
            write(&mut book, &farm, typed, signed, &wanted)?;
            if out.json {
                out.json(&ready(&Farm::read(&book)?, today(&farm)?))?;
            } else {
                out.line(format!("{} lines taken in", wanted.len()));
                caution(&[Act::WalkRound], out);
            }
            Ok(0)
        }
    }
}

fn write(
    book: &mut book::Book,
    farm: &Farm,
    typed: &Typed,
    signed: &SignedTyped,
    entries: &[(&str, Figures)],
) -> Result<()> {
    let mut clock = MachineClock;
    let mut pen = Pen::new(&signed.by, signed.at.as_deref(), &farm.zone, &mut clock)?
        .on(clock::device(&typed.book)?);
    for (kind, figures) in entries {
        desk::write(book, farm, &mut pen, kind, figures)?;
    }
    Ok(())
}

fn print_list(list: &ReadyList, due_only: bool, out: &mut Out) -> Result<()> {
    if out.json {
        return out.json(list);
    }
    if list.lines.is_empty() {
        out.line("The ready lists are empty: write lines (stook write ready), or look at the starter set (stook ready starter).");
        return Ok(());
    }
    let due = list.lines.iter().filter(|line| line.due).count();
    out.line(format!(
        "{due} of {} lines are due on {}.",
        list.lines.len(),
        list.day
    ));
    let rows: Vec<Vec<String>> = list
        .lines
        .iter()
        .filter(|line| line.due || !due_only)
        .map(|line| {
            let mut says = if line.due {
                "due".to_owned()
            } else {
                "done".to_owned()
            };
            if let Some(left) = line.engine_h_left {
                says = if left > 0.0 {
                    format!("{says}, {left:.0} engine hours left")
                } else {
                    format!("{says}, {:.0} engine hours over", -left)
                };
            }
            vec![
                line.number.to_string(),
                line.list.clone(),
                line.text.clone(),
                line.reading.clone().unwrap_or_default(),
                says,
            ]
        })
        .collect();
    out.table(&["no", "list", "line", "reading", "now"], &[0], &rows);
    for outside in list.lines.iter().filter_map(|line| line.outside.as_ref()) {
        out.line(format!("outside its limits: {outside}"));
    }
    caution(&[Act::WalkRound, Act::Tires, Act::Pto, Act::Fire], out);
    Ok(())
}

fn caution(acts: &[Act], out: &mut Out) {
    for act in acts {
        out.line(format!("Caution: {}", facts::caution(*act).text));
    }
}

/// The settings log with its verdicts, or what the trade tries first.
pub(crate) fn log(asked: &SettingsTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    if let Some(crop) = &asked.tries {
        let crop: facts::Crop = crop
            .parse()
            .map_err(|why| DeskError::figure("tries", why))?;
        let tries = facts::tries(Some(crop));
        if out.json {
            out.json(&tries)?;
            return Ok(0);
        }
        for one in &tries {
            out.line(format!("{}: {}", one.sign.name(), one.text));
            if out.why {
                out.line(format!("  source: {}", one.source));
            }
        }
        out.line(facts::MANUAL_FIRST);
        caution(&[Act::Setting], out);
        return Ok(0);
    }
    let worth = Worth::read(
        asked.price.as_deref(),
        asked.acres_per_hour.as_deref(),
        asked.thousand_seeds.as_deref(),
    )?;
    let farm = Farm::read(&desk::books::open(&typed.book)?)?;
    let latest = farm.settings.iter().map(|one| one.says.season).max();
    let season = asked.season.or(latest).or(farm.latest_season());
    let Some(season) = season else {
        out.line("No setting is in the book yet: stook write setting.");
        caution(&[Act::Setting], out);
        return Ok(0);
    };
    let log = settings(&farm, season, worth, MachineClock.now_ms())?;
    if out.json {
        out.json(&log)?;
        return Ok(0);
    }
    if log.lines.is_empty() {
        out.line(format!(
            "No setting of {season} is in the book yet: stook write setting."
        ));
    }
    for line in &log.lines {
        let place = line.field.as_deref().unwrap_or("no field");
        out.line(format!(
            "{}  {}  {}  ({place})",
            line.at,
            line.machine,
            change_words(line)
        ));
        for says in sentences(line, out.units) {
            out.line(format!("    {says}"));
        }
        if !line.remark.is_empty() {
            out.line(format!("    {}", line.remark));
        }
    }
    if let Some(turns) = next_turns(&log) {
        out.line(format!("Next, in turn: {turns}"));
    }
    out.line(facts::MANUAL_FIRST);
    caution(&[Act::Setting], out);
    out.whys(&log.why);
    Ok(0)
}
