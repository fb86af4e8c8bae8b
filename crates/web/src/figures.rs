//! A figure as pages set it: bold, its unit, its soft range, never broken over a line, and its why.

use crate::look::{Look, Units};
use crate::text::{Markup, Text, escape};
use desk::reader::{self, Read};
use desk::{Ranged, Why};
use std::fmt::Write as _;

impl Look {
    /// The units as the quantities know them.
    pub(crate) fn system(self) -> quantity::Units {
        match self.units {
            Units::Us => quantity::Units::Us,
            Units::Metric => quantity::Units::Metric,
        }
    }
}

/// A number with its thousands grouped and a true minus.
pub(crate) fn number(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let plain = format!("{value:.places$}");
    let (minus, body) = match plain.strip_prefix('-') {
        // "-0" is a rounding's leaving, no quantity
        Some(body) if body.bytes().any(|b| (b'1'..=b'9').contains(&b)) => ("\u{2212}", body),
        Some(body) => ("", body),
        None => ("", plain.as_str()),
    };
    let (whole, fraction) = body.split_once('.').unwrap_or((body, ""));
    let mut out = String::from(minus);
    let groups: Vec<&str> = whole
        .as_bytes()
        .rchunks(3)
        .rev()
        .map(|group| std::str::from_utf8(group).unwrap_or(""))
        .collect();
    out.push_str(&groups.join(","));
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// A range as it stands behind its figure: "±25", "1.4 to 3.0", or nothing where there is no doubt.
pub(crate) fn range(text: Text, figure: Ranged, places: usize) -> String {
    let half = figure.half_width();
    if !(half.is_finite() && half > 0.0) {
        return String::new();
    }
    match figure.even() {
        Some(half) => format!("\u{b1}{}", number(half, places)),
        None => text.fill(
            "{0} to {1}",
            &[&number(figure.low, places), &number(figure.high, places)],
        ),
    }
}

/// A figure in its reader's units, in the pieces that a table sets apart.
#[derive(Debug, Clone, Default)]
pub(crate) struct Set {
    /// The figure.
    pub(crate) figure: String,
    /// Its unit, said.
    pub(crate) unit: String,
    /// Its range; empty without doubt.
    pub(crate) range: String,
}

impl Set {
    /// From what the desk read.
    pub(crate) fn of(text: Text, read: Read) -> Self {
        Self {
            figure: number(read.figure.value, read.places),
            unit: text.say(read.unit).into_owned(),
            range: range(text, read.figure, read.places),
        }
    }

    /// In a sentence: bold figure, unit, soft range.
    pub(crate) fn markup(&self) -> Markup {
        let mut out = format!("<span class=\"fig\"><b>{}</b>", escape(&self.figure));
        if !self.unit.is_empty() {
            let _ = write!(out, " {}", escape(&self.unit));
        }
        if !self.range.is_empty() {
            let _ = write!(out, " <i class=\"pm\">{}</i>", escape(&self.range));
        }
        out.push_str("</span>");
        Markup(out)
    }

    /// The same without markup, for titles of pictures.
    pub(crate) fn plain(&self) -> String {
        [&self.figure, &self.unit, &self.range]
            .into_iter()
            .filter(|part| !part.is_empty())
            .cloned()
            .collect::<Vec<_>>()
            .join(" ")
    }
}

/// A figure that is known as it is, without doubt of its own.
pub(crate) fn exact(value: f64) -> Ranged {
    Ranged {
        value,
        low: value,
        high: value,
    }
}

/// A crop's grain: bushels where it has a bushel, else pounds; tonnes or kilograms to who reads metric.
pub(crate) fn grain(look: Look, crop: &str, in_bushels: bool, figure: Ranged) -> Set {
    let read = if in_bushels {
        reader::bushels(crop, figure, look.system())
    } else {
        reader::pounds(figure, look.system())
    };
    Set::of(look.text, read)
}

/// Pounds of dry matter or as weighed.
pub(crate) fn pounds(look: Look, figure: Ranged) -> Set {
    Set::of(look.text, reader::pounds(figure, look.system()))
}

/// Acres without doubt.
pub(crate) fn acres(look: Look, acres: f64) -> Set {
    Set::of(look.text, reader::acres(exact(acres), look.system()))
}

/// Bushels an acre.
pub(crate) fn per_acre(look: Look, crop: &str, figure: Ranged) -> Set {
    Set::of(look.text, reader::per_acre(crop, figure, look.system()))
}

/// A percentage as written, e.g. a moisture.
pub(crate) fn percent(value: f64) -> Set {
    Set {
        figure: number(value, 1),
        unit: "%".to_owned(),
        range: String::new(),
    }
}

/// A name that somebody wrote, in bold; escaped.
pub(crate) fn bold(text: impl std::fmt::Display) -> Markup {
    Markup(format!("<b>{}</b>", escape(&text.to_string())))
}

/// What a hand wrote: violet with a rule beneath; escaped.
pub(crate) fn hand(text: impl std::fmt::Display) -> Markup {
    Markup(format!(
        "<span class=\"hand\">{}</span>",
        escape(&text.to_string())
    ))
}

/// The explanations behind one line, which open in place under it and need no script; nothing where
/// there is none.
pub(crate) fn whys(text: Text, all: &[&Why]) -> Markup {
    if all.is_empty() {
        return Markup::default();
    }
    let label = all
        .iter()
        .map(|one| text.say(&one.figure).into_owned())
        .collect::<Vec<_>>()
        .join(", ");
    let mut out = format!(
        "<details class=\"why\"><summary aria-label=\"{}: {}\">{}</summary>",
        escape(&text.say("why")),
        escape(&label),
        escape(&text.say("why"))
    );
    for one in all {
        let mut row = |term: &str, says: &str| {
            let _ = write!(out, "<dt>{}</dt><dd>{says}</dd>", escape(&text.say(term)));
        };
        let head = format!(
            "{}: {}",
            escape(&text.say(&one.figure)),
            escape(&text.say(&one.value))
        );
        row("figure", &head);
        let inputs: Vec<String> = one
            .inputs
            .iter()
            .map(|(name, value)| {
                format!("{} {}", escape(&text.say(name)), escape(&text.say(value)))
            })
            .collect();
        if !inputs.is_empty() {
            row("worked from", &inputs.join("; "));
        }
        row("formula", &escape(&text.say(&one.formula)));
        row("source", &escape(&text.say(&one.source)));
        if !one.entries.is_empty() {
            row("entries", &entry_links(&one.entries));
        }
    }
    // the list opens with its first term: one list an explanation
    out = out.replacen("</summary>", "</summary><dl>", 1);
    out.push_str("</dl></details>");
    Markup(out)
}

/// How many entries are linked by name; the rest are counted.
const LINKED: usize = 12;

fn entry_links(ids: &[String]) -> String {
    let mut links: Vec<String> = ids
        .iter()
        .take(LINKED)
        .map(|id| {
            let id = escape(id);
            let tail = id.get(id.len().saturating_sub(6)..).unwrap_or(&id);
            format!("<a href=\"/entry/{id}\">{tail}</a>")
        })
        .collect();
    if ids.len() > LINKED {
        links.push(format!("({} \u{2026})", ids.len()));
    }
    links.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Language;

    const EN: Text = Text(Language::En);

    fn even(value: f64, half: f64) -> Ranged {
        Ranged {
            value,
            low: value - half,
            high: value + half,
        }
    }

    #[test]
    fn numbers_are_grouped_and_signed() {
        assert_eq!(number(1_234_567.4, 0), "1,234,567");
        assert_eq!(number(-540.0, 0), "\u{2212}540");
        assert_eq!(number(-0.2, 0), "0");
        assert_eq!(number(12.94, 1), "12.9");
        assert_eq!(number(999.96, 1), "1,000.0");
        assert_eq!(number(f64::NAN, 1), "");
    }

    #[test]
    fn a_range_is_even_or_says_its_ends() {
        assert_eq!(range(EN, even(83.0, 4.0), 0), "\u{b1}4");
        let uneven = Ranged {
            value: 2.1,
            low: 1.4,
            high: 3.0,
        };
        assert_eq!(range(EN, uneven, 1), "1.4 to 3.0");
        assert_eq!(range(EN, exact(5.0), 1), "");
    }

    #[test]
    fn a_figure_never_lets_markup_in() {
        let set = Set {
            figure: "<1".to_owned(),
            unit: "bu & pk".to_owned(),
            range: String::new(),
        };
        assert_eq!(
            set.markup().0,
            "<span class=\"fig\"><b>&lt;1</b> bu &amp; pk</span>"
        );
        let odd = Why::new("<b>", "<i>", "a<b", "\"x\"").from_entry("1\"><script>");
        let said = whys(EN, &[&odd]).0;
        assert!(!said.contains("<script") && !said.contains("<i>"), "{said}");
        assert!(said.contains("<summary aria-label=\"why: &lt;b&gt;\">why</summary><dl><dt>"));
    }
}
