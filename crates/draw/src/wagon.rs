//! How full a wagon is, and what waits for the book.

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
    let _ = wagon;
    String::new()
}

/// An upright box an entry: filled when the book has it, hollow while it waits. More than 20 are
/// not drawn; the word beside it has the number.
pub fn waiting(kept: usize, waits: usize, title: &str) -> String {
    let _ = (kept, waits, title);
    String::new()
}
