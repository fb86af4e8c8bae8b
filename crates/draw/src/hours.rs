//! The hour ruler: what will be fit, and how the day went.

use crate::{Finding, Tick, Width};

/// What an hour is, was or may be; told by height, texture and word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HourState {
    /// Too wet: low, dots.
    Wet,
    /// Tough: half high, slant hatch.
    Tough,
    /// Fit: high, solid, its word reversed.
    Fit,
    /// Too dry: high, an outline with upright lines.
    TooDry,
    /// Held by a date or not known: a dashed line under the words.
    NotBefore,
    /// Past: the machine cut; drawn as fit.
    Cutting,
    /// Past: stopped or held; a dashed line.
    Stopped,
}

/// A stretch of hours in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct HourSpan {
    /// Hours since the midnight before the day, e.g. 12.67 for 12:40 pm.
    pub from: f64,
    /// Where it ends, in the same hours.
    pub to: f64,
    /// What it is.
    pub state: HourState,
    /// Its word, translated; empty for none.
    pub word: String,
    /// What a hand wrote, set after the word in violet with a rule; mostly empty.
    pub hand: String,
}

/// A mark at one time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HourMark {
    /// A load or a ticket.
    Plain,
    /// One that looks wrong: a hollow box.
    Odd,
    /// One that is not typed yet: raised.
    Untyped,
}

/// A tick with its number.
#[derive(Debug, Clone, PartialEq)]
pub struct HourTick {
    /// Hours since the midnight before the day.
    pub at: f64,
    /// Its number or word.
    pub text: String,
    /// What it is.
    pub mark: HourMark,
}

/// A figure at the right of a row: bold, its unit, its range soft.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RowFigure {
    /// The figure, e.g. "12.9".
    pub figure: String,
    /// Its unit, e.g. "%".
    pub unit: String,
    /// Its range, e.g. "±0.7".
    pub range: String,
}

/// One row under the ruler. A row with nothing in it is a blank to draw in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HourRow {
    /// A field, or what the row shows.
    pub name: String,
    /// Below the name, softer.
    pub detail: String,
    /// Stretches of hours.
    pub spans: Vec<HourSpan>,
    /// When a change falls 8 days in 10, from and to; a bracket above.
    pub changes: Vec<(f64, f64)>,
    /// Reasons in italics below, each at the hour where it starts; the first are the most wanted,
    /// for what finds no room is left out.
    pub reasons: Vec<Tick>,
    /// Marks with numbers.
    pub ticks: Vec<HourTick>,
    /// The figure at the right.
    pub figure: Option<RowFigure>,
}

/// A row of figures above the ruler, e.g. temperature by the hour.
#[derive(Debug, Clone, PartialEq)]
pub struct HourFigures {
    /// What they are, with the unit.
    pub label: String,
    /// The figures.
    pub figures: Vec<Tick>,
}

/// Rows under one hour ruler.
#[derive(Debug, Clone, PartialEq)]
pub struct Hours {
    /// What it says.
    pub finding: Finding,
    /// First and last hour of the ruler; [`DAY`] for the usual one.
    pub span: (f64, f64),
    /// The hours with their words, e.g. "6 am", "8", "10", "noon".
    pub marks: Vec<Tick>,
    /// Rows of figures above the ruler; mostly weather, and empty for the past.
    pub figures: Vec<HourFigures>,
    /// At the left of the ruler, e.g. "Sun up 7:08, down 6:47".
    pub corner: String,
    /// Above the figures at the right, e.g. "moisture at noon".
    pub right: String,
    /// The rows.
    pub rows: Vec<HourRow>,
    /// Now, with its word; a violet line through all rows.
    pub now: Option<Tick>,
}

/// The hours of the usual ruler: 6 am to 10 pm.
pub const DAY: (f64, f64) = (6.0, 22.0);

/// The ruler and its rows.
pub fn hours(hours: &Hours, width: Width) -> String {
    let _ = (hours, width);
    String::new()
}
