//! Small pictures that stand in a row: a range on the axis of its column, and odds as strokes.

use crate::Tick;

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
    let _ = whisker;
    String::new()
}

/// Ten strokes: tall and solid for, short and hollow against, a gap after five.
pub fn tally(of_ten: u8, title: &str) -> String {
    let _ = (of_ten, title);
    String::new()
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
    let _ = one;
    String::new()
}
