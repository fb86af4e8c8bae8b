//! Samples over days, as they were read.

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
    let _ = (days, width);
    String::new()
}
