//! The hour ruler: what will be fit, and how the day went.

mod row;

use crate::strip::Strip;
use crate::svg::wrap;
use crate::{Finding, Tick, Width};
use row::{Plot, row};

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

/// The ruler and its rows. What lies outside the ruler is cut off at its ends; a word that would
/// stand on another is left out, where the room is narrow or everywhere, so a page has the same as
/// a table beside it.
pub fn hours(hours: &Hours, width: Width) -> String {
    let mut strip = Strip::new();
    let plot = Plot::new(hours.span, width);
    let mut y = 0.0;
    for one in &hours.figures {
        y = figures(&mut strip, &plot, one, y);
    }
    let top = ruler(&mut strip, &plot, hours, y);
    let mut feet = vec![top];
    for one in &hours.rows {
        feet.push(feet.last().copied().unwrap_or(top) + plot.high(one));
    }
    for (one, pair) in hours.rows.iter().zip(feet.windows(2)) {
        let from = plot.top(one, (pair[0], pair[1]));
        grid(&mut strip, &plot, &hours.marks, (from, pair[1]));
    }
    let now = hours.now.as_ref().filter(|now| plot.holds(now.at));
    for (one, pair) in hours.rows.iter().zip(feet.windows(2)) {
        row(
            &mut strip,
            &plot,
            one,
            (pair[0], pair[1]),
            now.map(|now| now.at),
        );
    }
    let mut foot = feet.last().copied().unwrap_or(top);
    for between in feet.iter().skip(1).take(hours.rows.len().max(1) - 1) {
        strip.line((0.0, *between), (100.0, *between), "hair");
    }
    strip.line((0.0, foot), (100.0, foot), "head");
    if let Some(now) = now {
        let x = plot.x(now.at);
        for (one, pair) in hours.rows.iter().zip(feet.windows(2)) {
            let from = plot.top(one, (pair[0], pair[1]));
            strip.line((x, from), (x, pair[1]), "now-line");
        }
        let anchor = match x {
            x if x < 12.0 => "",
            x if x > 88.0 => " end",
            _ => " mid",
        };
        let class = format!("t13 b hand{anchor}");
        strip.text((x, foot + 19.0), 0.0, &class, &now.text);
        foot += 24.0;
    }
    strip.finish("hours", foot + 2.0, &hours.finding, width)
}

/// A row of figures; returns its foot.
fn figures(strip: &mut Strip, plot: &Plot, one: &HourFigures, y: f64) -> f64 {
    let mut foot = y + 18.0;
    strip.text((0.0, y + 17.0), 0.0, "soft", &one.label);
    if plot.width == Width::Phone {
        foot += 18.0;
    }
    for figure in one.figures.iter().filter(|one| plot.holds(one.at)) {
        let class = if plot.width == Width::Phone {
            "mid t13"
        } else {
            "mid"
        };
        strip.text((plot.x(figure.at), foot - 1.0), 0.0, class, &figure.text);
    }
    foot + 7.0
}

/// The hours with a tick each, over a rule; returns its foot.
fn ruler(strip: &mut Strip, plot: &Plot, hours: &Hours, y: f64) -> f64 {
    let mut foot = y;
    let phone = plot.width == Width::Phone;
    if phone && !(hours.corner.is_empty() && hours.right.is_empty()) {
        strip.text((0.0, foot + 17.0), 0.0, "soft", &hours.corner);
        strip.text((100.0, foot + 17.0), 0.0, "soft end", &hours.right);
        foot += 22.0;
    } else if !phone {
        strip.text((0.0, foot + 17.0), 0.0, "soft t13", &hours.corner);
        strip.text((plot.right(), foot + 17.0), 0.0, "soft t13", &hours.right);
    }
    let class = if phone { "mid b t13" } else { "mid b" };
    for mark in hours.marks.iter().filter(|mark| plot.holds(mark.at)) {
        strip.text((plot.x(mark.at), foot + 17.0), 0.0, class, &mark.text);
    }
    foot += 31.0;
    let (first, last) = (hours.span.0.ceil(), hours.span.1.floor());
    for step in 0..=((last - first).clamp(0.0, 48.0) as usize) {
        let x = plot.x(first + step as f64);
        strip.line((x, foot - 6.0), (x, foot), "line");
    }
    strip.line((0.0, foot), (100.0, foot), "head");
    foot
}

/// Hairs at the named hours; in the sun only ticks at the head of each row.
fn grid(strip: &mut Strip, plot: &Plot, marks: &[Tick], (top, foot): (f64, f64)) {
    for mark in marks.iter().filter(|mark| plot.holds(mark.at)) {
        let x = plot.x(mark.at);
        strip.line((x, top), (x, foot), "hair grid");
        strip.line((x, top), (x, top + 6.0), "line notch");
    }
}

/// Words of a row in at most so many lines, each as long as its column holds; an ellipsis says
/// that there were more.
fn few_lines(text: &str, most: usize, lines: usize) -> Vec<String> {
    let mut all = wrap(text, most);
    if all.len() > lines {
        all.truncate(lines);
        if let Some(last) = all.last_mut() {
            last.push('\u{2026}');
        }
    }
    all
}
