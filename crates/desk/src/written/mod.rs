//! What can be written down: one definition of every figure of every kind of entry.
//!
//! The command line's flags, a spreadsheet's columns, the figures of a correction and (later) a
//! page's fields are all made from [`FORMS`], and all go through [`read`]: one way in.

mod back;
mod care;
mod cautions;
mod counts;
mod figures;
mod form;
mod forms;
mod land;
mod odd;
mod people;
#[cfg(test)]
mod round_trip;
mod settings;
mod slips;
mod stock;
mod stops;
mod trade;

pub use back::figures_of;
pub use cautions::{acts_of, cautions_of};
pub(crate) use counts::{found as found_in_frame, frame as frame_size};
pub use figures::Figures;
use form::words;
pub use form::{Figure, Form, Given, Shape};
pub use forms::FORMS;
pub use odd::odd;
pub(crate) use settings::change_text;

use crate::{DeskError, Farm};
use book::Sha256Key;
use book::kinds::{Day, Payload};
use rust_decimal::Decimal;

/// The form of a kind.
///
/// # Errors
/// No such kind.
pub fn form(kind: &str) -> Result<&'static Form, DeskError> {
    FORMS
        .iter()
        .find(|form| form.kind == kind)
        .ok_or_else(|| DeskError::NoSuchKind {
            found: kind.chars().take(40).collect(),
            known: FORMS
                .iter()
                .map(|form| form.kind)
                .collect::<Vec<_>>()
                .join(", "),
        })
}

/// Reads the figures of a kind into a payload that the book accepts. `year` is the season where
/// none is written.
///
/// # Errors
/// A figure that is missing, unknown, unreadable or out of range, or names what is not in the book.
pub fn read(kind: &str, figures: &Figures, farm: &Farm, year: u16) -> Result<Payload, DeskError> {
    let form = form(kind)?;
    for (name, texts) in figures.iter() {
        let Some(known) = form.figures.iter().find(|figure| figure.name == name) else {
            return Err(DeskError::NoSuchFigure {
                kind: kind.to_owned(),
                figure: name.chars().take(40).collect(),
                known: form
                    .figures
                    .iter()
                    .map(|f| f.name)
                    .collect::<Vec<_>>()
                    .join(", "),
            });
        };
        let once = matches!(
            known.given,
            Given::Must | Given::May | Given::Flag | Given::File
        );
        if once && texts.len() > 1 {
            return Err(DeskError::figure(
                name,
                format!("found {} values, expected one", texts.len()),
            ));
        }
    }
    for known in form.figures {
        if matches!(known.given, Given::Must | Given::MustMany) && figures.one(known.name).is_none()
        {
            return Err(DeskError::Missing {
                kind: kind.to_owned(),
                figure: known.name.to_owned(),
                help: known.help.to_owned(),
            });
        }
    }
    let payload = match kind {
        "field" => land::field(figures)?.into(),
        "planting" => land::planting(figures, farm, year)?.into(),
        "season" => land::season(figures)?.into(),
        "machine" => people::machine(figures)?.into(),
        "meter" => people::meter(figures)?.into(),
        "place" => people::place(figures)?.into(),
        "buyer" => people::buyer(figures, year)?.into(),
        "person" => people::person(figures)?.into(),
        "opening" => stock::opening(figures, farm, year)?.into(),
        "dump" => slips::dump(figures, farm, year)?.into(),
        "weighed" => slips::weighed(figures, farm, year)?.into(),
        "move" => slips::moved(figures, farm, year)?.into(),
        "measure" => stock::measure(figures, farm, year)?.into(),
        "sample" => stock::sample(figures, farm, year)?.into(),
        "note" => stock::note(figures, farm)?.into(),
        "file" => stock::file(figures, farm)?.into(),
        "count" => counts::count(figures, farm, year)?.into(),
        "setting" => settings::setting(figures, farm, year)?.into(),
        "stop" => stops::stop(figures, farm)?.into(),
        "go" => stops::go(figures, farm)?.into(),
        "call_at" => trade::call_at(figures, year)?.into(),
        "contract" => trade::contract(figures, farm, year)?.into(),
        "arranged" => trade::arranged(figures, farm, year)?.into(),
        "ready" => care::ready(figures)?.into(),
        "ticked" => care::ticked(figures, farm)?.into(),
        "cover" => care::cover(figures, farm)?.into(),
        "copied" => care::copied(figures)?.into(),
        _ => unreachable!("every form has a reader, tested"),
    };
    let payload: Payload = payload;
    payload.check()?;
    Ok(payload)
}

/// A name as written.
fn name(text: &str) -> Result<book::kinds::Name, book::BookError> {
    book::kinds::Name::new(text)
}

/// The figure of a season, or the year.
fn season(figures: &Figures, year: u16) -> Result<u16, DeskError> {
    let read = |text: &str| {
        text.trim()
            .parse()
            .map_err(|_| format!("found '{text}', expected a year like 2026"))
    };
    Ok(figures.parsed("season", read)?.unwrap_or(year))
}

/// A choice between words.
fn choice<T: Copy>(
    figures: &Figures,
    name: &str,
    words: &[(&str, T)],
) -> Result<Option<T>, DeskError> {
    figures.parsed(name, |text| {
        let word = text.trim().to_lowercase().replace([' ', '_'], "-");
        words
            .iter()
            .find(|(known, _)| *known == word)
            .map(|(_, value)| *value)
            .ok_or_else(|| {
                let known: Vec<&str> = words.iter().map(|(known, _)| *known).collect();
                format!("found '{text}', expected {}", known.join(", "))
            })
    })
}

/// An answer of yes or no.
fn yes_no(text: &str) -> Result<bool, String> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "true" | "1" | "x" | "sí" | "si" => Ok(true),
        "no" | "false" | "0" => Ok(false),
        _ => Err(format!("found '{text}', expected yes or no")),
    }
}

/// A day such as `2026-10-06`, or any date that people write.
fn day(text: &str) -> Result<Day, String> {
    let date = quantity::parse_date(text).map_err(|why| why.to_string())?;
    Day::parse(&date.to_string()).map_err(|why| why.to_string())
}

/// A whole number, with or without commas between thousands.
fn whole<T: std::str::FromStr>(text: &str) -> Result<T, String> {
    ungrouped(text)
        .and_then(|digits| digits.parse().ok())
        .ok_or_else(|| format!("found '{text}', expected a whole number like 12"))
}

/// A decimal number, with or without commas between thousands.
fn decimal(text: &str) -> Result<Decimal, String> {
    ungrouped(text)
        .and_then(|digits| digits.parse().ok())
        .ok_or_else(|| format!("found '{text}', expected a number like 131.5"))
}

/// Takes the commas out of `5,000`; `4,5` may mean something else and is not read.
fn ungrouped(text: &str) -> Option<String> {
    let text = text.trim();
    let (whole, _) = text.split_once('.').unwrap_or((text, ""));
    let mut groups = whole.split(',');
    let first = groups.next()?;
    let even = groups.clone().all(|group| group.len() == 3);
    let bare = !whole.contains(',') || (even && (1..=3).contains(&first.len()));
    bare.then(|| text.replace(',', ""))
}

/// The SHA-256 of something attached.
fn sha(text: &str) -> Result<Sha256Key, String> {
    Sha256Key::parse(&text.trim().to_lowercase()).map_err(|why| why.to_string())
}

/// Splits `NAME=VALUE`.
fn pair<'t>(figure: &str, text: &'t str) -> Result<(&'t str, &'t str), DeskError> {
    match text.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim(), value.trim()))
        }
        _ => Err(DeskError::figure(
            figure,
            format!("found '{text}', expected NAME=VALUE"),
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_has_a_reader_and_distinct_figures() {
        let farm = Farm::default();
        for form in FORMS {
            // an empty form is refused for what it lacks, never for want of a reader
            let refused = read(form.kind, &Figures::default(), &farm, 2026);
            assert!(
                matches!(refused, Err(DeskError::Missing { .. })),
                "{}: {refused:?}",
                form.kind
            );
            let mut names: Vec<&str> = form.figures.iter().map(|figure| figure.name).collect();
            names.sort_unstable();
            let count = names.len();
            names.dedup();
            assert_eq!(count, names.len(), "{}", form.kind);
        }
    }
}
