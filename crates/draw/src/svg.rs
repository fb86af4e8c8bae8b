//! A small SVG writer: the same input gives the same bytes.

use crate::Width;
use crate::look::picture_style;
use std::fmt::Write as _;

/// Text made safe between and inside tags; what no XML may hold, and what turns the direction of
/// writing, is dropped.
///
/// ```
/// assert_eq!(draw::escape("<b> & \u{202e}\"x\""), "&lt;b&gt; &amp; &quot;x&quot;");
/// ```
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
            // marks that turn the direction of what follows could make a figure read backwards
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {}
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

/// A text of at most so many characters, with an ellipsis where it is cut.
pub(crate) fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars()
        .take(most.saturating_sub(1))
        .chain(['\u{2026}'])
        .collect()
}

/// A figure stays on the line of its per cent sign, and a range on the line of its figure.
pub(crate) fn hold(text: &str) -> String {
    text.replace(" %", "\u{a0}%")
        .replace(" \u{b1}", "\u{a0}\u{b1}")
}

/// Text broken at blanks into lines of at most so many characters; a longer word is cut.
pub(crate) fn wrap(text: &str, most: usize) -> Vec<String> {
    let most = most.max(4);
    let mut lines = vec![String::new()];
    let text = hold(text);
    let words = text
        .split([' ', '\t', '\n'])
        .filter(|word| !word.is_empty());
    for word in words {
        let word = short(word, most);
        let line = lines.last_mut().expect("never empty");
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > most {
            lines.push(word);
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(&word);
        }
    }
    lines.retain(|line| !line.is_empty());
    lines
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
    /// Ready markup of this room's own.
    pub(crate) fn raw(&mut self, markup: &str) {
        self.body.push_str(markup);
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
    /// Lines of text broken at blanks to the width from `x` on, at most `most` characters each;
    /// returns where the next line would stand.
    pub(crate) fn lines(
        &mut self,
        (x, y): (f64, f64),
        step: f64,
        most: usize,
        style: &str,
        text: &str,
    ) -> f64 {
        let mut y = y;
        for line in wrap(text, most) {
            self.text((x, y), Anchor::Start, style, &line);
            y += step;
        }
        y
    }
    /// The finding in bold and what the picture shows under it; returns the height they take.
    pub(crate) fn heading(&mut self, finding: &str, shows: &str) -> f64 {
        // 9.4 and 7.6 px a character is the widest face in the list, so no line is cut
        let room = self.wide - 16.0;
        let bold = "fill:var(--ink);font-size:15px;font-weight:650";
        let soft = "fill:var(--soft);font-size:13px";
        let y = self.lines((8.0, 20.0), 20.0, (room / 9.4) as usize, bold, finding);
        self.lines((8.0, y), 17.0, (room / 7.6) as usize, soft, shows) - 10.0
    }
    /// The height, where it is known only once all is drawn.
    pub(crate) fn set_high(&mut self, high: f64) {
        self.high = high;
    }
    /// The whole picture, to stand alone.
    pub(crate) fn finish(self) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" role=\"img\"><title>{}</title><desc>{}</desc><style>{}</style><defs>{PATTERNS}</defs><rect width=\"{w}\" height=\"{h}\" style=\"fill:var(--paper)\"/>{}</svg>\n",
            self.title,
            self.desc,
            picture_style(),
            self.body,
            w = at(self.wide),
            h = at(self.high)
        )
    }
    /// The picture inside a page that allows no style of its own.
    pub(crate) fn finish_page(self, width: Width) -> String {
        let mut words = format!("<title>{}</title>", self.title);
        if !self.desc.is_empty() {
            let _ = write!(words, "<desc>{}</desc>", self.desc);
        }
        format!(
            "<svg class=\"draw chart {}\" viewBox=\"0 0 {} {}\" role=\"img\">{words}{}</svg>",
            width.class(),
            at(self.wide),
            at(self.high),
            classed(&self.body)
        )
    }
    /// The picture inside a page, which has the colors and textures.
    pub(crate) fn finish_inside(self, class: &str) -> String {
        format!(
            "<svg class=\"{class}\" viewBox=\"0 0 {} {}\" role=\"img\"><title>{}</title><desc>{}</desc>{}</svg>",
            at(self.wide),
            at(self.high),
            self.title,
            self.desc,
            self.body
        )
    }
}

/// Markup of this room's own with each `style` told in classes and attributes instead, for pages
/// that allow no style inside. No text can hold a `style="`, for its quotes are escaped.
fn classed(body: &str) -> String {
    let mut out = String::with_capacity(body.len());
    let mut rest = body;
    while let Some((before, after)) = rest.split_once(" style=\"") {
        out.push_str(before);
        let (style, after) = after.split_once('"').unwrap_or((after, ""));
        let mut classes: Vec<&str> = Vec::new();
        let mut attributes = String::new();
        for declaration in style.split(';').filter(|one| !one.is_empty()) {
            match declaration {
                "fill:var(--ink)" => classes.push("ink"),
                "fill:var(--soft)" => classes.push("soft"),
                "fill:var(--paper)" => classes.push("paper"),
                "stroke:var(--ink)" => classes.push("on-ink"),
                "stroke:var(--rule)" => classes.push("on-rule"),
                "stroke:var(--hair)" => classes.push("on-hair"),
                "stroke:var(--paper)" => classes.push("on-paper"),
                "stroke:var(--pencil)" => classes.push("now-line"),
                "fill:var(--pencil)" => classes.push("hand"),
                "font-size:13px" => classes.push("t13"),
                "font-size:15px" => classes.push("t15"),
                "font-weight:650" => classes.push("b"),
                // what a page's texts have anyway
                "font-size:14px" | "font-weight:400" => {}
                other => {
                    let (name, value) = other.split_once(':').unwrap_or((other, ""));
                    let _ = write!(attributes, " {name}=\"{value}\"");
                }
            }
        }
        if !classes.is_empty() {
            let _ = write!(out, " class=\"{}\"", classes.join(" "));
        }
        out.push_str(&attributes);
        rest = after;
    }
    out.push_str(rest);
    out
}

/// Slant hatch (on wheels, or a band of doubt) and dots (used).
pub(crate) const PATTERNS: &str = "<pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"6\" style=\"stroke:var(--ink);stroke-width:1.6\"/></pattern><pattern id=\"dots\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\"><circle cx=\"1.5\" cy=\"1.5\" r=\"1.1\" style=\"fill:var(--ink)\"/></pattern>";

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
    fn lines_hold_what_they_may() {
        assert_eq!(wrap("a bb ccc", 4), ["a bb", "ccc"]);
        assert_eq!(wrap("", 9), [""; 0]);
        assert_eq!(wrap("dry at 15.5 %", 12), ["dry at", "15.5\u{a0}%"]);
        assert!(
            wrap(&"x".repeat(90), 10)
                .iter()
                .all(|line| line.chars().count() <= 10)
        );
    }

    #[test]
    fn styles_become_classes_and_attributes() {
        assert_eq!(
            classed("<path d=\"M0 0\" style=\"stroke:#123456;stroke-width:2;fill:none\"/>"),
            "<path d=\"M0 0\" stroke=\"#123456\" stroke-width=\"2\" fill=\"none\"/>"
        );
        assert_eq!(
            classed("<text style=\"fill:var(--ink);font-size:13px\">a</text><g/>"),
            "<text class=\"ink t13\">a</text><g/>"
        );
    }

    #[test]
    fn ticks_are_round() {
        assert_eq!(ticks(0.0, 10.0, 5), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
        assert_eq!(ticks(0.0, 0.0, 5), [0.0]);
    }
}
