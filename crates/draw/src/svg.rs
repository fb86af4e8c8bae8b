//! A small SVG writer: the same input gives the same bytes.

use crate::look::picture_style;
use std::fmt::Write as _;

/// Text made safe between and inside tags; what no XML may hold is dropped.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

/// A coordinate with at most two decimals.
pub(crate) fn at(value: f64) -> String {
    let value = if value.is_finite() {
        value.clamp(-1e6, 1e6)
    } else {
        0.0
    };
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Where text is anchored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A picture under way.
#[derive(Debug)]
pub(crate) struct Svg {
    body: String,
    wide: f64,
    high: f64,
    title: String,
    desc: String,
}

impl Svg {
    /// A picture of a size, with what it says and what is in it.
    pub(crate) fn new(wide: f64, high: f64, title: &str, desc: &str) -> Self {
        Self {
            body: String::new(),
            wide,
            high,
            title: escape(title),
            desc: escape(desc),
        }
    }
    /// A straight line; `style` is CSS.
    pub(crate) fn line(&mut self, (x1, y1): (f64, f64), (x2, y2): (f64, f64), style: &str) {
        let _ = write!(
            self.body,
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" style=\"{style}\"/>",
            at(x1),
            at(y1),
            at(x2),
            at(y2)
        );
    }
    /// A box by its left upper corner and size.
    pub(crate) fn rect(&mut self, (x, y): (f64, f64), (wide, high): (f64, f64), style: &str) {
        let _ = write!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" style=\"{style}\"/>",
            at(x),
            at(y),
            at(wide.max(0.0)),
            at(high.max(0.0))
        );
    }
    /// A disc.
    pub(crate) fn disc(&mut self, (x, y): (f64, f64), radius: f64, style: &str) {
        let _ = write!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" style=\"{style}\"/>",
            at(x),
            at(y),
            at(radius)
        );
    }
    /// A path from ready commands.
    pub(crate) fn path(&mut self, commands: &str, style: &str) {
        let _ = write!(self.body, "<path d=\"{commands}\" style=\"{style}\"/>");
    }
    /// Text, escaped here.
    pub(crate) fn text(&mut self, (x, y): (f64, f64), anchor: Anchor, style: &str, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\" style=\"{style}\">{}</text>",
            at(x),
            at(y),
            escape(text)
        );
    }
    /// The whole picture.
    pub(crate) fn finish(self) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" role=\"img\"><title>{}</title><desc>{}</desc><style>{}</style><defs>{PATTERNS}</defs>{}</svg>\n",
            self.title,
            self.desc,
            picture_style(),
            self.body,
            w = at(self.wide),
            h = at(self.high)
        )
    }
}

/// Slant hatch (on wheels, or a band of doubt) and dots (used).
const PATTERNS: &str = "<pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"6\" style=\"stroke:var(--ink);stroke-width:1.6\"/></pattern><pattern id=\"dots\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\"><circle cx=\"1.5\" cy=\"1.5\" r=\"1.1\" style=\"fill:var(--ink)\"/></pattern>";

/// Round steps for an axis: 1, 2 or 5 times a power of ten, about `wanted` of them.
pub(crate) fn ticks(low: f64, high: f64, wanted: usize) -> Vec<f64> {
    let span = high - low;
    if !(span.is_finite() && span > 0.0) {
        return vec![low];
    }
    let raw = span / wanted.max(1) as f64;
    let power = 10.0_f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|by| by * power)
        .find(|step| *step >= raw)
        .unwrap_or(power);
    let first = (low / step).ceil();
    let last = (high / step).floor();
    (0..=((last - first).max(0.0) as usize).min(100))
        .map(|i| (first + i as f64) * step)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coordinates_are_short() {
        assert_eq!(at(1.0), "1");
        assert_eq!(at(-0.001), "0");
        assert_eq!(at(12.345), "12.35");
        assert_eq!(at(f64::NAN), "0");
    }

    #[test]
    fn ticks_are_round() {
        assert_eq!(ticks(0.0, 10.0, 5), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
        assert_eq!(ticks(0.0, 0.0, 5), [0.0]);
    }
}
