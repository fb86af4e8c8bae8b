//! Stops and their ends, as written.

use super::{Figures, choice, name, words};
use crate::{DeskError, Farm};
use book::EntryId;
use book::kinds::{Go, Stop, StopWhy};
use quantity::{Money, MoneyUnit};

words! {
    WHYS, WHY_WORDS: StopWhy {
        "wagon" => StopWhy::Wagon,
        "plug" => StopWhy::Plug,
        "breakdown" => StopWhy::Breakdown,
        "moving" => StopWhy::Moving,
        "fuel-grease" => StopWhy::FuelGrease,
        "weather" => StopWhy::Weather,
        "setting" => StopWhy::Setting,
        "rest" => StopWhy::Rest,
        "other" => StopWhy::Other,
    }
}

pub(super) fn stop(figures: &Figures, farm: &Farm) -> Result<Stop, DeskError> {
    Ok(Stop {
        machine: figures
            .one("machine")
            .map(|name| farm.machine(name).map(|machine| machine.name.clone()))
            .transpose()?,
        field: figures
            .one("field")
            .map(|name| farm.field(name))
            .transpose()?,
        why: choice(figures, "why", WHYS)?.expect("checked to be there"),
        part: figures.parsed("part", name)?,
        cost: figures.parsed("cost", |text| Money::parse_or(text, MoneyUnit::Dollar))?,
        minutes: figures.parsed("minutes", minutes)?,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

/// Whole minutes: `25`, `25 min`, `1:10`, `2 h`, `1 h 10 min`.
fn minutes(text: &str) -> Result<u32, String> {
    let odd = || format!("found '{text}', expected minutes, like 25 or 1:10");
    let plain = text.trim().to_lowercase();
    let plain = plain
        .replace("minutes", "min")
        .replace("hours", "h")
        .replace("hour", "h");
    let number = |text: &str| text.trim().parse::<u32>().map_err(|_| odd());
    let (hours, rest) = match plain.split_once([':', 'h']) {
        Some((hours, rest)) => (number(hours)?, rest),
        None => (0, plain.as_str()),
    };
    let rest = rest.trim().trim_end_matches("min").trim();
    let over = if rest.is_empty() && plain.contains('h') {
        0
    } else {
        number(rest)?
    };
    if hours > 0 && over >= 60 {
        return Err(odd());
    }
    hours
        .checked_mul(60)
        .and_then(|minutes| minutes.checked_add(over))
        .ok_or_else(odd)
}

pub(super) fn go(figures: &Figures, farm: &Farm) -> Result<Go, DeskError> {
    Ok(Go {
        stop: figures
            .parsed("stop", |text| EntryId::parse(text.trim()))?
            .map_or_else(|| the_running(farm), Ok)?,
        why: choice(figures, "why", WHYS)?,
        part: figures.parsed("part", name)?,
        cost: figures.parsed("cost", |text| Money::parse_or(text, MoneyUnit::Dollar))?,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

/// The one stop that runs.
fn the_running(farm: &Farm) -> Result<EntryId, DeskError> {
    let mut running = farm.running_stops();
    let (first, second) = (running.next(), running.next());
    match (first, second) {
        (Some(one), None) => Ok(one.id),
        _ => Err(DeskError::Missing {
            kind: "go".to_owned(),
            figure: "stop".to_owned(),
            help: if first.is_some() {
                "the id of one, as several run".to_owned()
            } else {
                "the id of the stop that it ends; none runs".to_owned()
            },
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_read_as_people_say_them() {
        for (text, expected) in [
            ("25", 25),
            ("25 min", 25),
            ("1:10", 70),
            ("2 h", 120),
            ("1 hour 5 minutes", 65),
            ("0", 0),
        ] {
            assert_eq!(minutes(text), Ok(expected), "{text}");
        }
        for odd in ["", "h", "min", "1:75", "-5", "1.5", "soon", "99999999 h"] {
            assert!(minutes(odd).is_err(), "{odd}");
        }
    }
}
