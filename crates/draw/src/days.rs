//! Samples over days, as they were read.

use crate::strip::Strip;
use crate::{Finding, Tick, Width};

/// One sample, read from a meter or a paper.
#[derive(Debug, Clone, PartialEq)]
pub struct DaySample {
    /// Days since the start of the first day.
    pub at: f64,
    /// Lower end of what the meter may mean.
    pub low: f64,
    /// The figure.
    pub middle: f64,
    /// Upper end.
    pub high: f64,
}

/// Samples over days.
#[derive(Debug, Clone, PartialEq)]
pub struct Days {
    /// What it says.
    pub finding: Finding,
    /// First and last day shown, in days.
    pub span: (f64, f64),
    /// Names of days, each at its middle.
    pub days: Vec<Tick>,
    /// First and last value of the axis.
    pub axis: (f64, f64),
    /// Values named at the left.
    pub ticks: Vec<Tick>,
    /// The samples.
    pub samples: Vec<DaySample>,
    /// A dashed line across, e.g. the base moisture, with its word.
    pub line: Option<Tick>,
    /// Now; a violet line.
    pub now: Option<Tick>,
}

/// Violet rings with their whiskers; nothing is drawn between them, for nothing was read there.
pub fn days(days: &Days, width: Width) -> String {
    let mut strip = Strip::new();
    let phone = width == Width::Phone;
    let (left, right) = if phone { (10.0, 81.0) } else { (8.0, 86.0) };
    let (top, foot) = (10.0, 200.0);
    let x = |at: f64| left + share(at, days.span) * (right - left);
    let y = |value: f64| foot - share(value, days.axis) * (foot - top);
    for tick in &days.ticks {
        strip.line((left, y(tick.at)), (right, y(tick.at)), "hair dotty");
        strip.text((left, y(tick.at) + 5.0), -8.0, "soft end", &tick.text);
    }
    for day in &days.days {
        strip.text((x(day.at), foot + 22.0), 0.0, "mid", &day.text);
    }
    if let Some(line) = &days.line {
        strip.line((left, y(line.at)), (right, y(line.at)), "line dashed");
        strip.text((right, y(line.at) + 5.0), 6.0, "", &line.text);
    }
    let mut high = foot + 30.0;
    if let Some(now) = &days.now {
        strip.line((x(now.at), top), (x(now.at), foot), "now-line");
        strip.text((x(now.at), foot + 40.0), 0.0, "t13 b hand mid", &now.text);
        high += 16.0;
    }
    for one in &days.samples {
        let at = x(one.at);
        strip.line((at, y(one.low)), (at, y(one.high)), "pen");
        strip.disc((at, y(one.middle)), 5.0, "pen ring");
    }
    strip.finish("days", high, &days.finding, width)
}

/// Where a value stands between the ends of its axis, 0 to 1.
fn share(value: f64, (first, last): (f64, f64)) -> f64 {
    let share = (value - first) / (last - first);
    if share.is_finite() {
        share.clamp(0.0, 1.0)
    } else {
        0.0
    }
}
