//! The account as two bars for a page, whose table is the key.

use crate::{BarPart, Finding, Width};

/// What came off, and where it went, with the words of the page.
#[derive(Debug, Clone, PartialEq)]
pub struct Account {
    /// What it says.
    pub finding: Finding,
    /// Over the upper bar: "Came off".
    pub upper_word: String,
    /// What came off, in order; mostly one part, [`crate::Texture::Plain`].
    pub upper: Vec<BarPart>,
    /// Over the lower bar: "Went to".
    pub lower_word: String,
    /// Where it went, in order.
    pub lower: Vec<BarPart>,
    /// What is missing (positive) or over (negative), in the unit of the parts.
    pub gap: f64,
    /// Half of the range that holds the true gap 8 times in 10.
    pub gap_range: f64,
    /// At the end of the bar with the gap, e.g. "166 ±26 short"; empty for none.
    pub gap_word: String,
}

/// Two bars at one scale.
pub fn account(account: &Account, width: Width) -> String {
    let _ = (account, width);
    String::new()
}
