//! Load cards: a leaf of numbered lines to write in, with combs for digits.

use crate::Finding;
use crate::strip::{framed, long};
use crate::svg::{at, escape, wrap};
use std::fmt::Write as _;

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

/// A letter page in pixels of 1/96 inch, and the room that is written on; the holes of a binder are
/// left of it.
const LETTER: (f64, f64) = (816.0, 1_056.0);
const LEFT: f64 = 77.0;
const RIGHT: f64 = 763.0;
/// The lowest line, with room for a printer that cannot reach the edge.
const FOOT: f64 = 1_016.0;

/// A leaf of letter size, holes at the left, to be printed without margins: a line a load under its
/// number, combs for digits, words to ring, and nothing filled in.
pub fn load_pad(pad: &LoadPad) -> String {
    let mut leaf = Leaf::default();
    for inch in [1.2, 5.36, 9.5] {
        let _ = write!(
            leaf.body,
            "<circle class=\"hole\" cx=\"39\" cy=\"{}\" r=\"13\"/>",
            at(inch * 96.0 + 13.0)
        );
    }
    let [mark, page, numbers] = &pad.head;
    leaf.text((LEFT, 62.0), "name", mark);
    leaf.text((LEFT + 76.0, 62.0), "", page);
    leaf.text((RIGHT, 62.0), "end", numbers);
    leaf.rule(72.0, "line");
    leaf.rule(76.0, "line");
    if pad.title.is_empty() {
        leaf.rule(122.0, "line");
    } else {
        leaf.text((LEFT, 118.0), "title", &pad.title);
    }
    let mut y = 146.0;
    for line in wrap(&pad.sub, 84) {
        leaf.text((LEFT, y), "serif", &line);
        y += 20.0;
    }
    let step = (RIGHT - LEFT + 24.0) / pad.blanks.len().max(1) as f64;
    for (index, blank) in pad.blanks.iter().enumerate() {
        let x = LEFT + index as f64 * step;
        leaf.text((x, y + 20.0), "t13", blank);
        leaf.line((x, y + 28.0), (x + step - 24.0, y + 28.0), "line");
    }
    let top = y + 72.0;
    let end = caution(&mut leaf, pad);
    table(&mut leaf, pad, (top, end));
    let finding = &pad.finding;
    let size = format!(
        "viewBox=\"0 0 {} {}\" width=\"{0}\" height=\"{1}\"",
        at(LETTER.0),
        at(LETTER.1)
    );
    let drawn = framed("leaf", &size, finding, &leaf.body);
    format!("<div class=\"leaf\">{drawn}</div>")
}

/// The caution and the foot, from the bottom up; returns where the table must have ended.
fn caution(leaf: &mut Leaf, pad: &LoadPad) -> f64 {
    let [left, right] = &pad.foot;
    leaf.text((LEFT, FOOT), "t12", left);
    leaf.text((RIGHT, FOOT), "t12 end", right);
    let lines = wrap(&format!("{} {}", pad.caution.0, pad.caution.1), 98);
    let top = FOOT - 30.0 - 18.0 * lines.len() as f64;
    leaf.rule(FOOT - 20.0, "line");
    let _ = write!(
        leaf.body,
        "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"8\"><line class=\"stripe\" x1=\"0\" y1=\"4\" x2=\"800\" y2=\"4\" transform=\"skewX(-45)\"/></svg>",
        at(LEFT),
        at(top - 24.0),
        at(RIGHT - LEFT)
    );
    // the bold clause ends where it ends, on whichever line
    let mut bold = wrap(&pad.caution.0, usize::MAX).concat().chars().count();
    for (index, line) in lines.iter().enumerate() {
        let place = (LEFT, top + 4.0 + 18.0 * index as f64);
        let cut: usize = line.chars().take(bold).map(char::len_utf8).sum();
        leaf.parts(place, &line[..cut], &line[cut..]);
        bold = bold.saturating_sub(line.chars().count() + 1);
    }
    top - 32.0
}

/// Heads, then a row a number, every fifth with a stronger rule.
fn table(leaf: &mut Leaf, pad: &LoadPad, (top, end): (f64, f64)) {
    let lines = pad.lines.clamp(1, 20);
    let high = ((end - top) / f64::from(lines)).clamp(24.0, 39.0);
    let foot = top + high * f64::from(lines);
    let first = LEFT + 38.0;
    let shares: f64 = pad.columns.iter().map(share).sum();
    let mut x = first;
    let mut edges = Vec::new();
    for column in &pad.columns {
        let wide = share(column) / shares.max(1e-9) * (RIGHT - first);
        edges.push((x, x + wide));
        x += wide;
    }
    leaf.text((first - 8.0, top - 6.0), "t12 end", &pad.number);
    for (column, &(from, to)) in pad.columns.iter().zip(&edges) {
        let heads = wrap(&column.head, (((to - from) / 6.6) as usize).max(4));
        for (index, line) in heads.iter().rev().take(2).enumerate() {
            leaf.text((from + 5.0, top - 6.0 - 14.0 * index as f64), "t12", line);
        }
        leaf.line((from, top - 30.0), (from, foot), "pad-hair");
    }
    leaf.rule(top, "line");
    for index in 0..lines {
        let y = top + high * f64::from(index + 1);
        let number = pad.first.saturating_add(index).to_string();
        leaf.text((first - 8.0, y - 7.0), "t18 b end", &number);
        for (column, &edge) in pad.columns.iter().zip(&edges) {
            blank(leaf, &column.kind, edge, y);
        }
        let class = if (index + 1).is_multiple_of(5) || index + 1 == lines {
            "line thick"
        } else {
            "pad-rule"
        };
        leaf.rule(y, class);
    }
}

fn share(column: &PadColumn) -> f64 {
    if column.share.is_finite() {
        column.share.clamp(0.1, 1e6)
    } else {
        1.0
    }
}

/// What a hand fills, at the foot of a cell.
fn blank(leaf: &mut Leaf, kind: &PadBlank, (from, to): (f64, f64), foot: f64) {
    match kind {
        PadBlank::Words => {}
        PadBlank::Digits(count) => {
            let count = (*count).clamp(1, 12);
            let step = (to - from - 8.0) / f64::from(count);
            let mut path = String::new();
            // a column's own rule is not a tooth of the comb
            for tooth in 0..=count {
                let x = from + 4.0 + step * f64::from(tooth);
                let _ = write!(path, "M{} {}v-15", at(x), at(foot));
            }
            let _ = write!(leaf.body, "<path class=\"pad-comb\" d=\"{path}\"/>");
        }
        PadBlank::Ring(words) => {
            // each word has the room of its letters, and what is left is shared
            let letters: f64 = words.iter().map(|word| long(word, 12.0)).sum();
            let free = (to - from - 8.0 - letters) / words.len().max(1) as f64;
            let mut x = from + 4.0;
            for word in words {
                let wide = long(word, 12.0) + free;
                leaf.text((x + wide / 2.0, foot - 8.0), "t12 mid", word);
                x += wide;
            }
        }
    }
}

/// A leaf under way.
#[derive(Default)]
struct Leaf {
    body: String,
}

impl Leaf {
    fn text(&mut self, (x, y): (f64, f64), class: &str, text: &str) {
        let _ = write!(
            self.body,
            "<text class=\"{class}\" x=\"{}\" y=\"{}\">{}</text>",
            at(x),
            at(y),
            escape(text)
        );
    }
    fn parts(&mut self, (x, y): (f64, f64), bold: &str, plain: &str) {
        let _ = write!(
            self.body,
            "<text class=\"t13\" x=\"{}\" y=\"{}\"><tspan class=\"b\">{}</tspan>{}</text>",
            at(x),
            at(y),
            escape(bold),
            escape(plain)
        );
    }
    fn line(&mut self, (x1, y1): (f64, f64), (x2, y2): (f64, f64), class: &str) {
        let _ = write!(
            self.body,
            "<path class=\"{class}\" d=\"M{} {}L{} {}\"/>",
            at(x1),
            at(y1),
            at(x2),
            at(y2)
        );
    }
    fn rule(&mut self, y: f64, class: &str) {
        self.line((LEFT, y), (RIGHT, y), class);
    }
}
