//! The account of a crop as two bars at one scale.

use crate::svg::{Anchor, Svg, short};

/// How a part is filled; the same textures mean the same everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Texture {
    /// Certain or sold.
    Solid,
    /// On wheels or in a bin.
    Hatch,
    /// A claim on somebody's storage.
    Dots,
    /// Used: fed, kept for seed, spilt; or what came off as a whole.
    Plain,
    /// Missing or over: dashed.
    Gap,
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

const LEFT: f64 = 8.0;
const DASHED: &str = "fill:none;stroke:var(--ink);stroke-width:2;stroke-dasharray:6 4";
const GAP: &str = "fill:none;stroke:var(--ink);stroke-width:1.5;stroke-dasharray:4 3";
const LABEL: &str = "fill:var(--ink);font-size:14px;font-weight:650";
const SOFT: &str = "fill:var(--soft);font-size:13px";

/// Two bars, *came off* and *went to*, with a key. The gap is dashed, at the end of whichever bar is
/// short, and a bracket shows its doubt.
///
/// ```
/// use draw::{AccountBars, BarPart, Texture, account_bars};
/// let drawn = account_bars(&AccountBars {
///     crop: "soybeans".into(),
///     unit: "bushels dry at 13 %".into(),
///     came_off: 1_245.0,
///     went_to: vec![BarPart { label: "sold".into(), value: 1_079.0, texture: Texture::Solid }],
///     gap: 166.0,
///     gap_range: 26.0,
///     finding: "166 bushels are short, and the weights explain 26.".into(),
/// });
/// assert!(drawn.starts_with("<svg") && drawn.contains("1,245"));
/// ```
pub fn account_bars(account: &AccountBars) -> String {
    let mut svg = Svg::new(760.0, 0.0, &account.finding, &words(account));
    let shows = format!("{}, in {}", account.crop, account.unit);
    let top = svg.heading(&account.finding, &shows) + 8.0;
    let mut y = bars(&mut svg, account, 760.0, top) + 30.0;
    for line in key(account) {
        svg.rect((LEFT, y - 11.0), (28.0, 13.0), &line.style);
        let ink = "fill:var(--ink);font-size:14px";
        svg.text((46.0, y), Anchor::Start, ink, &short(&line.label, 40));
        svg.text((420.0, y), Anchor::End, LABEL, &line.value);
        svg.text((428.0, y), Anchor::Start, SOFT, &line.range);
        y += 22.0;
    }
    y = svg.lines((LEFT, y + 4.0), 17.0, 96, SOFT, BRACKET);
    svg.set_high(y);
    svg.finish()
}

/// The bars alone for a page of a width, whose table is the key.
pub(crate) fn bars_inside(account: &AccountBars, wide: f64, class: &str) -> String {
    let mut svg = Svg::new(wide, 0.0, &account.finding, &words(account));
    let foot = bars(&mut svg, account, wide, 0.0);
    svg.set_high(foot + 6.0);
    svg.finish_inside(class)
}

/// How to read the bracket.
pub(crate) const BRACKET: &str = "The bracket holds the true end of the lower bar 8 times in 10; where it reaches the end of the upper bar, the gap may be nothing.";

/// A line of the key.
pub(crate) struct KeyLine {
    /// Style of its sample.
    pub(crate) style: String,
    /// What it is.
    pub(crate) label: String,
    /// How much.
    pub(crate) value: String,
    /// Its range, or empty.
    pub(crate) range: String,
}

/// What each texture is, from what came off to what is short or over.
pub(crate) fn key(account: &AccountBars) -> Vec<KeyLine> {
    let line = |style: String, label: &str, value: f64| KeyLine {
        style,
        label: label.to_owned(),
        value: figure(value),
        range: String::new(),
    };
    let came_off = line(fill(Texture::Plain), "came off", account.came_off);
    let mut lines = vec![came_off];
    for part in &account.went_to {
        lines.push(line(fill(part.texture), &part.label, part.value));
    }
    let mut gap = line(GAP.to_owned(), over_or_short(account), account.gap.abs());
    gap.range = format!("\u{b1}{}", figure(account.gap_range));
    lines.push(gap);
    lines
}

fn over_or_short(account: &AccountBars) -> &'static str {
    if account.gap < 0.0 { "over" } else { "short" }
}

fn words(account: &AccountBars) -> String {
    let parts: Vec<String> = account
        .went_to
        .iter()
        .map(|part| format!("{} {}", part.label, figure(part.value)))
        .collect();
    format!(
        "Came off {} {}. Went to: {}. {} {}, 8 times in 10 within {} either way.",
        figure(account.came_off),
        account.unit,
        parts.join(", "),
        over_or_short(account),
        figure(account.gap.abs()),
        figure(account.gap_range)
    )
}

/// Both bars from `top` down; returns where they end.
fn bars(svg: &mut Svg, account: &AccountBars, wide: f64, top: f64) -> f64 {
    let parts: f64 = account.went_to.iter().map(|part| part.value.max(0.0)).sum();
    // the bracket must fit as a whole: one cut at the edge would claim less doubt
    let most = account
        .came_off
        .max(parts + account.gap.max(0.0))
        .max(parts + account.gap_range.max(0.0))
        .max(1e-9);
    let scale = |value: f64| LEFT + value.max(0.0) / most * (wide - 2.0 * LEFT);
    svg.text((LEFT, top + 18.0), Anchor::Start, LABEL, "Came off");
    let upper = top + 26.0;
    svg.rect(
        (LEFT, upper),
        (scale(account.came_off) - LEFT, 26.0),
        "fill:none;stroke:var(--ink);stroke-width:2",
    );
    svg.text((LEFT, top + 78.0), Anchor::Start, LABEL, "Went to");
    let lower = top + 88.0;
    let mut x = 0.0;
    for part in account.went_to.iter().filter(|part| part.value > 0.0) {
        let (from, to) = (scale(x), scale(x + part.value));
        svg.rect((from, lower), (to - from, 26.0), &fill(part.texture));
        x += part.value;
    }
    let (from, y) = if account.gap > 0.0 {
        (parts, lower)
    } else {
        (account.came_off, upper)
    };
    let wide_gap = scale(from + account.gap.abs()) - scale(from);
    if wide_gap > 1.0 {
        svg.rect((scale(from), y), (wide_gap, 26.0), DASHED);
    }
    if account.gap_range > 0.0 {
        let thin = "stroke:var(--ink);stroke-width:1.5";
        let (low, high) = (
            scale(parts - account.gap_range),
            scale(parts + account.gap_range),
        );
        let y = lower + 36.0;
        svg.line((low, y), (high, y), thin);
        svg.line((low, y - 5.0), (low, y + 5.0), thin);
        svg.line((high, y - 5.0), (high, y + 5.0), thin);
    }
    lower + 42.0
}

fn fill(texture: Texture) -> String {
    let fill = match texture {
        Texture::Gap => return GAP.to_owned(),
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
