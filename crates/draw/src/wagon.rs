//! How full a wagon is, and what waits for the book.

use crate::strip::Strip;
use crate::svg::at;
use std::fmt::Write as _;

/// The level of a wagon, truck or bin.
#[derive(Debug, Clone, PartialEq)]
pub struct Wagon {
    /// What it says, e.g. "Gravity 2, three quarters full of sorghum".
    pub title: String,
    /// 0 empty, 1 level with the top, over 1 heaped; `None` where nobody wrote it.
    pub level: Option<f64>,
    /// Whether a cover is on; `None` where nobody wrote it.
    pub covered: Option<bool>,
}

/// An open-top box with ink up to the level, quarters ticked on its wall, a cover as a lid.
pub fn wagon(wagon: &Wagon) -> String {
    let (wide, top, foot) = (46.0, 11.0, 41.0);
    let mut body = String::new();
    let level = wagon.level.filter(|level| level.is_finite());
    if let Some(level) = level {
        let high = level.clamp(0.0, 1.0) * (foot - top);
        if high > 0.0 {
            let _ = write!(
                body,
                "<rect class=\"ink\" x=\"1\" y=\"{}\" width=\"44\" height=\"{}\"/>",
                at(foot - high),
                at(high)
            );
        }
        if level > 1.0 {
            body.push_str("<path class=\"ink\" d=\"M1 11Q23 -3 45 11z\"/>");
        }
    } else {
        // nobody wrote it: a dashed line and no ink
        body.push_str("<line class=\"line dashed\" x1=\"1\" y1=\"26\" x2=\"45\" y2=\"26\"/>");
    }
    for quarter in 1..4_u8 {
        let share = f64::from(quarter) / 4.0;
        let class = match level {
            Some(level) if level >= share => "cut",
            _ => "line",
        };
        let y = foot - share * (foot - top);
        let _ = write!(
            body,
            "<line class=\"{class}\" x1=\"40\" y1=\"{y}\" x2=\"44\" y2=\"{y}\"/>",
            y = at(y)
        );
    }
    body.push_str("<path class=\"edge thick\" d=\"M1 9V41H45V9\"/>");
    if wagon.covered == Some(true) {
        body.push_str("<path class=\"line thick\" d=\"M-3 7Q23 -9 49 7\"/>");
    }
    let mut strip = Strip::new();
    strip.raw(&body);
    strip.finish_small("wagon", (wide, 43.0), &wagon.title)
}

/// An upright box an entry: filled when the book has it, hollow while it waits. More than 20 are
/// not drawn; the word beside it has the number.
pub fn waiting(kept: usize, waits: usize, title: &str) -> String {
    let kept_drawn = kept.min(20);
    let drawn = (kept_drawn + waits).min(20).max(kept_drawn);
    let mut body = String::new();
    for index in 0..drawn {
        let class = if index < kept_drawn {
            "ink edge"
        } else {
            "edge"
        };
        let _ = write!(
            body,
            "<rect class=\"{class}\" x=\"{}\" y=\"1\" width=\"7\" height=\"15\"/>",
            at(1.0 + 12.0 * index as f64)
        );
    }
    let mut strip = Strip::new();
    strip.raw(&body);
    strip.finish_small("waiting", (12.0 * drawn.max(1) as f64 - 3.0, 17.0), title)
}
