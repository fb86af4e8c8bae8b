//! Load cards: a leaf of numbered lines to write in, with combs for digits.

use crate::Finding;

/// A column of the pad.
#[derive(Debug, Clone, PartialEq)]
pub struct PadColumn {
    /// Its head.
    pub head: String,
    /// What a hand puts there.
    pub kind: PadBlank,
    /// Its share of the leaf against the other columns.
    pub share: f64,
}

/// What a hand puts into a column.
#[derive(Debug, Clone, PartialEq)]
pub enum PadBlank {
    /// Words.
    Words,
    /// So many digits, in a comb.
    Digits(u8),
    /// One of these, to be ringed.
    Ring(Vec<String>),
}

/// One letter page of the pad.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadPad {
    /// What it is.
    pub finding: Finding,
    /// Running head: the mark, the page, the numbers.
    pub head: [String; 3],
    /// Title, e.g. "Willow Bench, soybeans", or empty for a rule to write it on.
    pub title: String,
    /// A sentence or two under it.
    pub sub: String,
    /// Blanks above the table, e.g. date, driver, combine.
    pub blanks: Vec<String>,
    /// Over the numbers.
    pub number: String,
    /// The columns.
    pub columns: Vec<PadColumn>,
    /// The first number.
    pub first: u32,
    /// How many lines; at most 20.
    pub lines: u32,
    /// The caution: its bold clause and the rest.
    pub caution: (String, String),
    /// Left and right of the foot.
    pub foot: [String; 2],
}

/// A leaf of letter size, holes at the left, to be printed without margins.
pub fn load_pad(pad: &LoadPad) -> String {
    let _ = pad;
    String::new()
}
