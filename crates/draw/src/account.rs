//! The account as two bars for a page, whose table is the key.

use crate::strip::Strip;
use crate::texture::{bracket, filled};
use crate::{BarPart, Finding, Texture, Width};

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

/// How high a bar stands.
const HIGH: f64 = 30.0;

/// Two bars at one scale: the gap dashed, at the end of whichever bar is short of the other, and
/// above the lower bar a bracket that holds its true end 8 times in 10.
///
/// ```
/// use draw::{Account, BarPart, Finding, Texture, Width, account};
/// let part = |value, texture| BarPart { label: String::new(), value, texture };
/// let drawn = account(
///     &Account {
///         finding: Finding { title: "166 bushels are short.".into(), desc: String::new() },
///         upper_word: "Came off".into(),
///         upper: vec![part(1_245.0, Texture::Plain)],
///         lower_word: "Went to".into(),
///         lower: vec![part(1_079.0, Texture::Solid)],
///         gap: 166.0,
///         gap_range: 26.0,
///         gap_word: "166 ±26 short".into(),
///     },
///     Width::Page,
/// );
/// assert!(drawn.contains("166 ±26 short"));
/// ```
pub fn account(account: &Account, width: Width) -> String {
    let mut strip = Strip::new();
    let (came, went) = (total(&account.upper), total(&account.lower));
    let gap = clean(account.gap);
    let range = clean(account.gap_range).max(0.0);
    // the bracket must fit as a whole: one cut at the edge would claim less doubt
    let most = came
        .max(went)
        .max(went + gap.max(0.0))
        .max(came + (-gap).max(0.0))
        .max(went + range)
        .max(1e-9);
    let scale = |value: f64| value.max(0.0) / most * 100.0;
    strip.text((0.0, 14.0), 0.0, "b", &account.upper_word);
    bar(&mut strip, &account.upper, 22.0, &scale);
    let second = 22.0 + HIGH + 24.0;
    strip.text((0.0, second), 0.0, "b", &account.lower_word);
    let low = second + 22.0;
    if range > 0.0 {
        let ends = (scale(went - range), scale(went + range));
        bracket(&mut strip, ends, second + 12.0);
    }
    bar(&mut strip, &account.lower, low, &scale);
    let (start, y, word) = if gap > 0.0 {
        (went, low, second)
    } else {
        (came, 22.0, 14.0)
    };
    let (from, to) = (scale(start), scale(start + gap.abs()));
    if to - from > 0.05 {
        dashed(&mut strip, (from, to), y);
        strip.text((100.0, word), 0.0, "b end", &account.gap_word);
    }
    strip.finish("account", low + HIGH + 4.0, &account.finding, width)
}

fn clean(value: f64) -> f64 {
    if value.is_finite() {
        value.clamp(-1e15, 1e15)
    } else {
        0.0
    }
}

fn total(parts: &[BarPart]) -> f64 {
    parts.iter().map(|part| clean(part.value).max(0.0)).sum()
}

/// The parts one after the other, each from where the last ends.
fn bar(strip: &mut Strip, parts: &[BarPart], y: f64, scale: &impl Fn(f64) -> f64) {
    let mut sum = 0.0;
    let mut before: Option<Texture> = None;
    for part in parts {
        let value = clean(part.value).max(0.0);
        if value > 0.0 {
            let (from, to) = (scale(sum), scale(sum + value));
            filled(strip, (from, y), (to - from, HIGH), part.texture);
            if before == Some(Texture::Solid) && part.texture == Texture::Solid {
                strip.line((from, y), (from, y + HIGH), "parting");
            }
            before = Some(part.texture);
            sum += value;
        }
    }
}

/// The dashed end of a bar: open where the bar ends, so that no line claims that end.
fn dashed(strip: &mut Strip, (from, to): (f64, f64), y: f64) {
    strip.line((from, y), (to, y), "gap");
    strip.line((to, y), (to, y + HIGH), "gap");
    strip.line((from, y + HIGH), (to, y + HIGH), "gap");
}
