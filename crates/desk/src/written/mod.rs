//! What can be written down: one definition of every figure of every kind of entry.
//!
//! The command line's flags, a spreadsheet's columns, the figures of a correction and (later) a
//! page's fields are all made from [`FORMS`], and all go through [`read`]: one way in.

mod back;
mod land;
mod people;
mod slips;
mod stock;

pub use back::figures_of;

use crate::{DeskError, Farm};
use book::kinds::Payload;
use std::collections::BTreeMap;

/// How a figure is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Given {
    /// Once, and it must be.
    Must,
    /// Once or more, and it must be.
    MustMany,
    /// At most once.
    May,
    /// Any number of times.
    Many,
    /// Yes or no.
    Flag,
    /// At most once; a face may hand over a file's text.
    File,
    /// Any number of times; a face may hand over a file's text.
    Files,
}

/// One figure of a form.
#[derive(Debug, Clone, Copy)]
pub struct Figure {
    /// Its name: a flag, a column, a figure of a correction.
    pub name: &'static str,
    /// What it is, with an example.
    pub help: &'static str,
    /// How it is given.
    pub given: Given,
}

/// One kind of entry that people write.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// The kind.
    pub kind: &'static str,
    /// What it is for.
    pub help: &'static str,
    /// Its figures.
    pub figures: &'static [Figure],
}

const fn figure(name: &'static str, given: Given, help: &'static str) -> Figure {
    Figure { name, help, given }
}

/// Every kind of entry that people write, in the order of a season.
pub const FORMS: &[Form] = &[
    land::FIELD,
    land::PLANTING,
    land::SEASON,
    people::MACHINE,
    people::METER,
    people::PLACE,
    people::BUYER,
    people::PERSON,
    stock::OPENING,
    slips::DUMP,
    slips::WEIGHED,
    slips::MOVE,
    stock::MEASURE,
    stock::SAMPLE,
    stock::NOTE,
];

/// Figures as typed: names, and one or more texts each.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Figures(BTreeMap<String, Vec<String>>);

impl Figures {
    /// Adds one text; an empty one counts as not given.
    pub fn add(&mut self, name: &str, text: impl Into<String>) {
        let text = text.into();
        if !text.trim().is_empty() {
            self.0.entry(name.to_owned()).or_default().push(text);
        }
    }
    /// Replaces whatever a figure said.
    pub fn set(&mut self, name: &str, texts: Vec<String>) {
        if texts.iter().all(|text| text.trim().is_empty()) {
            self.0.remove(name);
        } else {
            self.0.insert(name.to_owned(), texts);
        }
    }
    /// Replaces whatever a figure said, an empty text too: a correction may take a figure away.
    pub fn set_given(&mut self, name: &str, texts: Vec<String>) {
        self.0.insert(name.to_owned(), texts);
    }
    /// All figures by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &[String])> {
        self.0
            .iter()
            .map(|(name, texts)| (name.as_str(), texts.as_slice()))
    }
    /// The first text of a figure.
    pub fn one(&self, name: &str) -> Option<&str> {
        self.0.get(name)?.first().map(String::as_str)
    }
    /// All texts of a figure.
    pub fn many(&self, name: &str) -> &[String] {
        self.0.get(name).map_or(&[], Vec::as_slice)
    }
    /// Whether a yes-or-no figure says yes.
    pub fn flag(&self, name: &str) -> bool {
        self.one(name)
            .is_some_and(|text| matches!(text.trim(), "yes" | "true" | "1" | "x"))
    }
    /// A figure read by a parser; its error names the figure.
    ///
    /// # Errors
    /// Whatever the parser says.
    pub fn parsed<T, E: std::fmt::Display>(
        &self,
        name: &str,
        parse: impl Fn(&str) -> Result<T, E>,
    ) -> Result<Option<T>, DeskError> {
        self.one(name)
            .map(|text| parse(text).map_err(|why| DeskError::figure(name, why)))
            .transpose()
    }
    fn must(&self, name: &str) -> &str {
        self.one(name)
            .expect("required figures are checked before they are read")
    }
}

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
        "note" => stock::note(figures).into(),
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
