//! Settings, as written.

use super::land::crop_in;
use super::{Figures, choice, decimal, name, season, words};
use crate::{DeskError, Farm};
use book::kinds::{Name, Seen, Setting, SettingChange, SettingOf, TankSeen};
use rust_decimal::Decimal;

words! {
    SEEN, SEEN_WORDS: Seen {
        "none" => Seen::None,
        "some" => Seen::Some,
        "much" => Seen::Much,
    }
}

/// What can be set, by the word that is written.
pub(crate) const WHAT: &[(&str, SettingOf)] = &[
    ("fan", SettingOf::Fan),
    ("chaffer", SettingOf::Chaffer),
    ("sieve", SettingOf::Sieve),
    ("rotor", SettingOf::Rotor),
    ("concave", SettingOf::Concave),
    ("head-height", SettingOf::HeadHeight),
    ("reel", SettingOf::Reel),
    ("stripper", SettingOf::Stripper),
    ("ground-speed", SettingOf::GroundSpeed),
    ("deck-plates", SettingOf::DeckPlates),
    ("other", SettingOf::Other),
];

/// Other words for the same, as people say them.
const ALSO: &[(&str, SettingOf)] = &[
    ("cylinder", SettingOf::Rotor),
    ("upper sieve", SettingOf::Chaffer),
    ("lower sieve", SettingOf::Sieve),
    ("head height", SettingOf::HeadHeight),
    ("header height", SettingOf::HeadHeight),
    ("ground speed", SettingOf::GroundSpeed),
    ("speed", SettingOf::GroundSpeed),
    ("deck plates", SettingOf::DeckPlates),
];

pub(super) fn setting(figures: &Figures, farm: &Farm, year: u16) -> Result<Setting, DeskError> {
    let field = figures
        .one("field")
        .map(|name| farm.field(name))
        .transpose()?;
    let season = season(figures, year)?;
    let crop = match crop_in(figures, farm, "setting", (field.as_ref(), season)) {
        Ok(crop) => Some(crop),
        // a crop that is not said and cannot be told is left open; one that is said must be read
        Err(why) if figures.one("crop").is_some() => return Err(why),
        Err(_) => None,
    };
    let changes = figures
        .many("change")
        .iter()
        .map(|text| change(text).map_err(|why| DeskError::figure("change", why)))
        .collect::<Result<_, _>>()?;
    Ok(Setting {
        machine: machine(figures, farm)?,
        field,
        crop,
        season,
        changes,
        tank_before: tank(figures, "")?,
        tank_after: tank(figures, "-after")?,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

/// The machine named, or the only one.
fn machine(figures: &Figures, farm: &Farm) -> Result<Name, DeskError> {
    if let Some(name) = figures.one("machine") {
        return farm.machine(name).map(|machine| machine.name.clone());
    }
    let mut names = farm.machines.keys();
    match (names.next(), names.next()) {
        (Some(one), None) => Ok(one.clone()),
        (first, _) => Err(DeskError::Missing {
            kind: "setting".to_owned(),
            figure: "machine".to_owned(),
            help: if first.is_some() {
                "which combine, as there are several".to_owned()
            } else {
                "which combine; write it first, stook write machine".to_owned()
            },
        }),
    }
}

fn tank(figures: &Figures, after: &str) -> Result<TankSeen, DeskError> {
    let of = |figure: &str| format!("{figure}{after}");
    Ok(TankSeen {
        cracked_pct: figures.parsed(&of("cracked"), percent)?,
        foreign_pct: figures.parsed(&of("foreign"), percent)?,
        unthreshed: choice(figures, &of("unthreshed"), SEEN)?,
        dirt: choice(figures, &of("dirt"), SEEN)?,
    })
}

/// A share in per cent: `2.5%` or `2.5`.
fn percent(text: &str) -> Result<Decimal, String> {
    decimal(text.trim().trim_end_matches('%'))
        .map_err(|_| format!("found '{text}', expected a share in per cent like 2.5%"))
}

/// One change: `fan 900 to 850 rpm`, `concave to 12 mm`, `reel: 28 rpm`.
pub(crate) fn change(text: &str) -> Result<SettingChange, String> {
    let odd = || {
        let known: Vec<&str> = WHAT.iter().map(|(word, _)| *word).collect();
        format!(
            "found '{text}', expected what was changed and to what, like \"fan 900 to 850 rpm\"; known are {}",
            known.join(", ")
        )
    };
    let plain = text
        .trim()
        .replace(" -> ", " to ")
        .replace('\u{2192}', " to ");
    let lower = plain.to_lowercase();
    // the longest word that fits, so that "head height" is not read as something else
    let (word, what) = WHAT
        .iter()
        .chain(ALSO)
        .filter(|(word, _)| {
            lower
                .strip_prefix(word)
                .is_some_and(|rest| rest.starts_with([' ', ':', '=']) || rest.is_empty())
        })
        .max_by_key(|(word, _)| word.len())
        .ok_or_else(odd)?;
    let rest = plain
        .get(word.len()..)
        .unwrap_or_default()
        .trim_start_matches([' ', ':', '='])
        .trim();
    let (from, to) = match rest
        .strip_prefix("to ")
        .or_else(|| rest.strip_prefix("To "))
    {
        Some(to) => (None, to.trim()),
        None => match rest.split_once(" to ") {
            Some((from, to)) => {
                let from = from.trim();
                (Some(from.strip_prefix("from ").unwrap_or(from)), to.trim())
            }
            None => (None, rest),
        },
    };
    let (to, unit) = apart(to);
    // "900 rpm to 850 rpm" says the unit twice, "900 rpm to 850" once
    let (from, unit) = match from.map(apart) {
        Some((from, Some(of_from))) if unit.is_none() || unit == Some(of_from) => {
            (Some(from), Some(of_from))
        }
        Some((from, Some(of_from))) => {
            return Err(format!(
                "found {from} in {of_from} and {to} in {}, expected one unit for both",
                unit.unwrap_or_default()
            ));
        }
        Some((from, None)) => (Some(from), unit),
        None => (None, unit),
    };
    let named = |text: &str| name(text).map_err(|_| odd());
    Ok(SettingChange {
        what: *what,
        from: from.map(named).transpose()?,
        to: named(to)?,
        unit: unit.map(named).transpose()?,
    })
}

/// A figure and its unit: the words after its last digit, where it begins with a digit.
fn apart(text: &str) -> (&str, Option<&str>) {
    let text = text.trim();
    if !text.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '+' || c == '.') {
        return (text, None);
    }
    let end = text
        .rfind(|c: char| c.is_ascii_digit())
        .map_or(0, |at| at + 1);
    let unit = text[end..].trim();
    (text[..end].trim(), (!unit.is_empty()).then_some(unit))
}

/// A change as it is written.
pub(crate) fn change_text(change: &SettingChange) -> String {
    let word = super::back::word(WHAT, change.what);
    let mut out = word.to_owned();
    if let Some(from) = &change.from {
        out.push(' ');
        out.push_str(from.as_str());
    }
    out.push_str(" to ");
    out.push_str(change.to.as_str());
    if let Some(unit) = &change.unit {
        out.push(' ');
        out.push_str(unit.as_str());
    }
    out
}

/// The figures of a setting.
pub(super) fn figures(out: &mut Figures, setting: &Setting) {
    out.add("machine", setting.machine.as_str());
    for (figure, name) in [("field", &setting.field), ("crop", &setting.crop)] {
        if let Some(name) = name {
            out.add(figure, name.as_str());
        }
    }
    out.add("season", setting.season.to_string());
    for change in &setting.changes {
        out.add("change", change_text(change));
    }
    for (after, tank) in [("", &setting.tank_before), ("-after", &setting.tank_after)] {
        for (figure, value) in [("cracked", tank.cracked_pct), ("foreign", tank.foreign_pct)] {
            if let Some(value) = value {
                out.add(
                    &format!("{figure}{after}"),
                    format!("{}%", value.normalize()),
                );
            }
        }
        for (figure, seen) in [("unthreshed", tank.unthreshed), ("dirt", tank.dirt)] {
            if let Some(seen) = seen {
                out.add(&format!("{figure}{after}"), super::back::word(SEEN, seen));
            }
        }
    }
    out.add("remark", setting.remark.as_str());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_read_as_people_say_it() {
        for (text, back) in [
            ("fan 900 to 850 rpm", "fan 900 to 850 rpm"),
            ("Fan 900 rpm to 850 rpm", "fan 900 to 850 rpm"),
            ("fan 900 rpm -> 850", "fan 900 to 850 rpm"),
            ("concave to 12 mm", "concave to 12 mm"),
            ("cylinder: 650 to 600", "rotor 650 to 600"),
            (
                "deck plates 1 1/8 to 1 1/4 in",
                "deck-plates 1 1/8 to 1 1/4 in",
            ),
            ("head height to 3 in", "head-height to 3 in"),
            ("ground speed 3.5 to 3 mph", "ground-speed 3.5 to 3 mph"),
            ("upper sieve 16 mm", "chaffer to 16 mm"),
            (
                "other vanes back to vanes steep",
                "other vanes back to vanes steep",
            ),
        ] {
            let read = change(text).unwrap();
            assert_eq!(change_text(&read), back, "{text}");
            assert_eq!(change(back), Ok(read));
        }
        for odd in ["", "fan", "fanny 3", "900 to 850", "fan 9 rpm to 8 mm"] {
            assert!(change(odd).unwrap_err().contains("expected"), "{odd}");
        }
    }
}
