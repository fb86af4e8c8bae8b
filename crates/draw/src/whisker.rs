//! Small pictures that stand in a row: a range on the axis of its column, and odds as strokes.

use crate::Tick;
use crate::strip::Strip;
use crate::svg::at;
use std::fmt::Write as _;

/// A figure with its range, on the axis that its column shares.
#[derive(Debug, Clone, PartialEq)]
pub struct Whisker {
    /// What it says, e.g. "−310, −540 to −90".
    pub title: String,
    /// Lower end of the range, 8 in 10.
    pub low: f64,
    /// The figure.
    pub middle: f64,
    /// Upper end.
    pub high: f64,
    /// First and last value of the axis.
    pub axis: (f64, f64),
    /// The value of a line through the whole column, e.g. 0.
    pub line: Option<f64>,
}

/// The range as a line with end ticks, the figure as a round dot. A range of no width, the best that
/// the others are set against, is a square.
pub fn whisker(whisker: &Whisker) -> String {
    let mut strip = Strip::new();
    let along = |value: f64| along(value, whisker.axis);
    if let Some(line) = whisker.line {
        let x = along(line);
        strip.line((x, -10.0), (x, 34.0), "rule");
    }
    let (low, middle, high) = (
        along(whisker.low),
        along(whisker.middle),
        along(whisker.high),
    );
    if high > low {
        ranged(&mut strip, (low, middle, high), 12.0);
    } else {
        let best = "<rect class=\"ink\" x=\"-6\" y=\"-6\" width=\"12\" height=\"12\"/>";
        strip.spot((middle, 12.0), best);
    }
    strip.finish_small("whisker", (180.0, 24.0), &whisker.title)
}

/// Ten strokes: tall and solid for, short and hollow against, a gap after five.
pub fn tally(of_ten: u8, title: &str) -> String {
    let mut body = String::new();
    for stroke in 0..10_u8 {
        let x = f64::from(stroke) * 8.0 + if stroke > 4 { 6.0 } else { 0.0 };
        let (class, left, y, wide, high) = if stroke < of_ten {
            ("ink", x + 1.0, "0", "4", "18")
        } else {
            ("edge", x + 1.6, "11.25", "2.8", "6")
        };
        let _ = write!(
            body,
            "<rect class=\"{class}\" x=\"{}\" y=\"{y}\" width=\"{wide}\" height=\"{high}\"/>",
            at(left)
        );
    }
    let mut strip = Strip::new();
    strip.raw(&body);
    strip.finish_small("tally", (86.0, 18.0), title)
}

/// A yield against the yield at which the agent is called.
#[derive(Debug, Clone, PartialEq)]
pub struct CallAt {
    /// What it says.
    pub title: String,
    /// Range and figure: low, middle, high.
    pub made: Option<(f64, f64, f64)>,
    /// The call-at yield; a violet flag, since a hand wrote it.
    pub call_at: Option<f64>,
    /// First and last value of the axis.
    pub axis: (f64, f64),
    /// Ticks of the axis; texts are shown below if there are any.
    pub ticks: Vec<Tick>,
}

/// A whisker and a flag on an axis.
pub fn call_at(one: &CallAt) -> String {
    let mut strip = Strip::new();
    let along = |value: f64| along(value, one.axis);
    let foot = 26.0;
    strip.line((0.0, foot), (100.0, foot), "rule");
    for tick in &one.ticks {
        let x = along(tick.at);
        strip.line((x, foot), (x, foot + 5.0), "rule");
        strip.text((x, foot + 19.0), 0.0, "t13 soft mid", &tick.text);
    }
    if let Some((low, middle, high)) = one.made {
        ranged(&mut strip, (along(low), along(middle), along(high)), 17.0);
    }
    if let Some(call_at) = one.call_at {
        let flag = "<path class=\"pen\" d=\"M0 0v-26h14v9h-14\"/>";
        strip.spot((along(call_at), foot), flag);
    }
    let named = one.ticks.iter().any(|tick| !tick.text.is_empty());
    let high = if named { 48.0 } else { 34.0 };
    strip.finish_small("call-at", (300.0, high), &one.title)
}

/// A value as a share of its axis, in 100; past an end it stands at the end.
fn along(value: f64, (first, last): (f64, f64)) -> f64 {
    let share = (value - first) / (last - first);
    if share.is_finite() {
        share.clamp(0.0, 1.0) * 100.0
    } else {
        0.0
    }
}

/// A line with end ticks and a dot.
fn ranged(strip: &mut Strip, (low, middle, high): (f64, f64, f64), y: f64) {
    strip.line((low, y), (high, y), "line");
    strip.line((low, y - 5.0), (low, y + 5.0), "line");
    strip.line((high, y - 5.0), (high, y + 5.0), "line");
    strip.disc((middle, y), 5.0, "ink");
}
