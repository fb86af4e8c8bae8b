//! The account of a crop as two bars at one scale.

use crate::svg::{Anchor, Svg};

/// How a part is filled; the same textures mean the same everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Texture {
    /// Certain or sold.
    Solid,
    /// On wheels or in a bin.
    Hatch,
    /// A claim on somebody's storage.
    Dots,
    /// Used: fed, kept for seed, spilt.
    Plain,
}

/// One part of a bar.
#[derive(Debug, Clone, PartialEq)]
pub struct BarPart {
    /// What it is.
    pub label: String,
    /// How much, in the unit of the picture.
    pub value: f64,
    /// How it is filled.
    pub texture: Texture,
}

/// What came off, and where it went.
#[derive(Debug, Clone, PartialEq)]
pub struct AccountBars {
    /// Which crop.
    pub crop: String,
    /// The unit with its basis, e.g. "bushels dry at 13 %".
    pub unit: String,
    /// Came off the fields, with opening stock.
    pub came_off: f64,
    /// Where it went, in order.
    pub went_to: Vec<BarPart>,
    /// What is missing (positive) or over (negative).
    pub gap: f64,
    /// Half of the range that holds the true gap 8 times in 10.
    pub gap_range: f64,
    /// The finding in one sentence.
    pub finding: String,
}

const WIDE: f64 = 760.0;
const LEFT: f64 = 8.0;

/// Two bars, *came off* and *went to*; the gap is a dashed end and a bracket shows its doubt.
pub fn account_bars(account: &AccountBars) -> String {
    let parts: f64 = account.went_to.iter().map(|part| part.value.max(0.0)).sum();
    let most = account.came_off.max(parts + account.gap.max(0.0)).max(1e-9) * 1.02;
    let scale = |value: f64| LEFT + value.max(0.0) / most * (WIDE - 2.0 * LEFT);
    let words: Vec<String> = account
        .went_to
        .iter()
        .map(|part| format!("{} {}", part.label, figure(part.value)))
        .collect();
    let desc = format!(
        "Came off {} {}. Went to: {}. Gap {}, 8 times in 10 within {} either way.",
        figure(account.came_off),
        account.unit,
        words.join(", "),
        figure(account.gap),
        figure(account.gap_range)
    );
    let rows = account.went_to.len() as f64;
    let mut svg = Svg::new(WIDE, 182.0 + 22.0 * (rows + 1.0), &account.finding, &desc);
    let label = "fill:var(--ink);font-size:14px;font-weight:650";
    let soft = "fill:var(--soft);font-size:13px";
    svg.text(
        (LEFT, 18.0),
        Anchor::Start,
        label,
        &format!("Came off, {}", account.crop),
    );
    svg.text((WIDE - LEFT, 18.0), Anchor::End, soft, &account.unit);
    svg.rect(
        (LEFT, 26.0),
        (scale(account.came_off) - LEFT, 26.0),
        "fill:none;stroke:var(--ink);stroke-width:2",
    );
    svg.text((LEFT, 86.0), Anchor::Start, label, "Went to");
    let mut x = 0.0;
    for part in account.went_to.iter().filter(|part| part.value > 0.0) {
        let (from, to) = (scale(x), scale(x + part.value));
        svg.rect((from, 96.0), (to - from, 26.0), &fill(part.texture));
        x += part.value;
    }
    if account.gap > 0.0 {
        let (from, to) = (scale(x), scale(x + account.gap));
        svg.rect(
            (from, 96.0),
            (to - from, 26.0),
            "fill:none;stroke:var(--ink);stroke-width:2;stroke-dasharray:6 4",
        );
    }
    // the bracket stands where the account would close, as wide as its doubt
    let end = parts + account.gap;
    let (low, high) = (
        scale(end - account.gap_range),
        scale(end + account.gap_range).min(WIDE - 2.0),
    );
    let thin = "stroke:var(--ink);stroke-width:1.5";
    svg.line((low, 88.0), (high, 88.0), thin);
    svg.line((low, 83.0), (low, 93.0), thin);
    svg.line((high, 83.0), (high, 93.0), thin);
    let mut y = 152.0;
    for part in &account.went_to {
        svg.rect((LEFT, y - 11.0), (28.0, 13.0), &fill(part.texture));
        row(&mut svg, y, &part.label, &figure(part.value), "");
        y += 22.0;
    }
    svg.rect(
        (LEFT, y - 11.0),
        (28.0, 13.0),
        "fill:none;stroke:var(--ink);stroke-width:1.5;stroke-dasharray:4 3",
    );
    let word = if account.gap < 0.0 { "over" } else { "short" };
    let range = format!("\u{b1}{}", figure(account.gap_range));
    row(&mut svg, y, word, &figure(account.gap.abs()), &range);
    svg.text(
        (LEFT, y + 26.0),
        Anchor::Start,
        soft,
        "The bracket holds the true end 8 times in 10.",
    );
    svg.finish()
}

fn row(svg: &mut Svg, y: f64, label: &str, value: &str, range: &str) {
    svg.text(
        (46.0, y),
        Anchor::Start,
        "fill:var(--ink);font-size:14px",
        label,
    );
    svg.text(
        (330.0, y),
        Anchor::End,
        "fill:var(--ink);font-size:14px;font-weight:650",
        value,
    );
    svg.text(
        (338.0, y),
        Anchor::Start,
        "fill:var(--soft);font-size:13px",
        range,
    );
}

fn fill(texture: Texture) -> String {
    let fill = match texture {
        Texture::Solid => "var(--ink)",
        Texture::Hatch => "url(#hatch)",
        Texture::Dots => "url(#dots)",
        Texture::Plain => "none",
    };
    format!("fill:{fill};stroke:var(--ink);stroke-width:1.5")
}

/// A figure rounded to what a reader wants of it.
pub(crate) fn figure(value: f64) -> String {
    let text = format!("{:.0}", value.abs());
    let mut grouped = String::new();
    for (index, digit) in text.chars().enumerate() {
        if index > 0 && (text.len() - index).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    if value < -0.5 {
        format!("\u{2212}{grouped}")
    } else {
        grouped
    }
}

#[cfg(test)]
mod tests {
    use super::figure;

    #[test]
    fn figures_are_grouped() {
        assert_eq!(figure(1_234_567.4), "1,234,567");
        assert_eq!(figure(-12.0), "\u{2212}12");
        assert_eq!(figure(-0.2), "0");
    }
}
