//! A writer of pictures for pages: shares of the room across, pixels down, colors by class.
//!
//! Letters keep their size at every width, since nothing is scaled. No names (`id`) are given, for
//! a page holds many pictures and names must differ in all of it.

use crate::svg::{at, escape};
use crate::{Finding, Width};
use std::fmt::Write as _;

/// A place: a share across in 100, and pixels down.
pub(crate) type Place = (f64, f64);

/// A picture under way.
#[derive(Debug)]
pub(crate) struct Strip {
    body: String,
}

/// A share as an attribute.
pub(crate) fn share(value: f64) -> String {
    at(value) + "%"
}

impl Strip {
    pub(crate) fn new() -> Self {
        Self {
            body: String::new(),
        }
    }
    /// A straight line.
    pub(crate) fn line(&mut self, (x1, y1): Place, (x2, y2): Place, class: &str) {
        let _ = write!(
            self.body,
            "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
            share(x1),
            at(y1),
            share(x2),
            at(y2)
        );
    }
    /// A box by its left upper corner; wide in shares, high in pixels.
    pub(crate) fn rect(&mut self, (x, y): Place, (wide, high): Place, class: &str) {
        let _ = write!(
            self.body,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            share(x),
            at(y),
            share(wide.max(0.0)),
            at(high.max(0.0))
        );
    }
    /// A disc.
    pub(crate) fn disc(&mut self, (x, y): Place, radius: f64, class: &str) {
        let _ = write!(
            self.body,
            "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            share(x),
            at(y),
            at(radius)
        );
    }
    /// Text, `dx` pixels right of its place; its classes say how it is set and anchored.
    pub(crate) fn text(&mut self, place: Place, dx: f64, class: &str, text: &str) {
        self.parts(place, dx, class, &[("", text)]);
    }
    /// Text in parts, each with a class of its own.
    pub(crate) fn parts(&mut self, (x, y): Place, dx: f64, class: &str, parts: &[(&str, &str)]) {
        let _ = write!(
            self.body,
            "<text class=\"{class}\" x=\"{}\" y=\"{}\"",
            share(x),
            at(y)
        );
        if dx != 0.0 {
            let _ = write!(self.body, " dx=\"{}\"", at(dx));
        }
        self.body.push('>');
        for (class, text) in parts {
            if class.is_empty() {
                self.body.push_str(&escape(text));
            } else {
                let _ = write!(
                    self.body,
                    "<tspan class=\"{class}\">{}</tspan>",
                    escape(text)
                );
            }
        }
        self.body.push_str("</text>");
    }
    /// A drawing in pixels whose origin stands at a place.
    pub(crate) fn spot(&mut self, (x, y): Place, drawing: &str) {
        let _ = write!(
            self.body,
            "<svg class=\"spot\" x=\"{}\" y=\"{}\">{drawing}</svg>",
            share(x),
            at(y)
        );
    }
    /// A window: a drawing in pixels, cut off at its edges.
    pub(crate) fn window(&mut self, (x, y): Place, (wide, high): Place, drawing: &str) {
        let _ = write!(
            self.body,
            "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\">{drawing}</svg>",
            share(x),
            at(y),
            share(wide.max(0.0)),
            at(high)
        );
    }
    /// Ready markup of this room's own.
    pub(crate) fn raw(&mut self, markup: &str) {
        self.body.push_str(markup);
    }
    /// The picture as wide as its room.
    pub(crate) fn finish(self, class: &str, high: f64, finding: &Finding, width: Width) -> String {
        let size = format!("width=\"100%\" height=\"{}\"", at(high));
        let class = format!("{class} {}", width.class());
        framed(&class, &size, finding, &self.body)
    }
    /// The picture of a size of its own, one for all widths.
    pub(crate) fn finish_small(self, class: &str, (wide, high): (f64, f64), title: &str) -> String {
        let size = format!("width=\"{}\" height=\"{}\"", at(wide), at(high));
        let finding = Finding {
            title: title.to_owned(),
            desc: String::new(),
        };
        framed(class, &size, &finding, &self.body)
    }
}

/// A picture with its words. One without a title is decoration beside words that say it already.
pub(crate) fn framed(class: &str, size: &str, finding: &Finding, body: &str) -> String {
    let mut words = String::new();
    let role = if finding.title.is_empty() {
        "aria-hidden=\"true\""
    } else {
        let _ = write!(words, "<title>{}</title>", escape(&finding.title));
        if !finding.desc.is_empty() {
            let _ = write!(words, "<desc>{}</desc>", escape(&finding.desc));
        }
        "role=\"img\""
    };
    format!("<svg class=\"draw {class}\" {size} {role}>{words}{body}</svg>")
}

/// Labels along one line of a picture, so that none is written over another.
#[derive(Debug)]
pub(crate) struct Labels {
    /// Room across in pixels: the least that the layout has, and what the class `roomy` waits for.
    rooms: [f64; 2],
    taken: Vec<(Label, bool)>,
}

/// A label that wants a place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Label {
    /// Share of the room across, 0 to 1.
    pub(crate) at: f64,
    /// Pixels from there to the left end of the text.
    pub(crate) from: f64,
    /// Pixels that the text is long.
    pub(crate) long: f64,
    /// Which line of text.
    pub(crate) level: u8,
}

impl Labels {
    pub(crate) fn new(rooms: [f64; 2]) -> Self {
        Self {
            rooms,
            taken: Vec::new(),
        }
    }
    /// The class that shows the label where there is room: none where there always is, `roomy`
    /// where a wide window has it; nothing where none has.
    pub(crate) fn seen(&self, label: Label) -> Option<&'static str> {
        let clear = |room: f64, roomy: bool| {
            let (from, to) = ends(&label, room);
            // in a narrow window the roomy ones are not there
            let others = self.taken.iter().filter(|(_, always)| roomy || *always);
            from >= -16.0
                && to <= room + 16.0
                && others
                    .filter(|(other, _)| other.level == label.level)
                    .map(|(other, _)| ends(other, room))
                    .all(|(left, right)| to + 5.0 <= left || right + 5.0 <= from)
        };
        if clear(self.rooms[0], false) && clear(self.rooms[1], true) {
            Some("")
        } else if clear(self.rooms[1], true) {
            Some(" roomy")
        } else {
            None
        }
    }
    /// As [`Labels::seen`], and the place is taken.
    pub(crate) fn place(&mut self, label: Label) -> Option<&'static str> {
        let seen = self.seen(label)?;
        self.taken.push((label, seen.is_empty()));
        Some(seen)
    }
}

fn ends(label: &Label, room: f64) -> (f64, f64) {
    let from = label.at * room + label.from;
    (from, from + label.long)
}

/// About how long a text is, in pixels, in a wide face: sans at a size.
pub(crate) fn long(text: &str, size: f64) -> f64 {
    text.chars()
        .map(|c| match c {
            'f' | 't' | 'r' | '(' | ')' | '-' => 0.44,
            'i' | 'j' | 'l' | ' ' | '.' | ',' | ':' | ';' | '\'' | '|' => 0.36,
            'm' | 'w' | 'M' | 'W' | '%' | '¼' | '½' | '¾' => 0.95,
            c if c.is_uppercase() => 0.7,
            _ => 0.6,
        })
        .sum::<f64>()
        * size
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_keep_off_each_other() {
        let label = |at, long| Label {
            at,
            from: 0.0,
            long,
            level: 0,
        };
        let mut line = Labels::new([200.0, 400.0]);
        assert_eq!(line.place(label(0.0, 90.0)), Some(""));
        // 100 to 150 is free of 0 to 90
        assert_eq!(line.place(label(0.5, 50.0)), Some(""));
        // at 200 px it would stand from 40 on, at 400 px it does from 90 to 110 no longer
        assert_eq!(line.place(label(0.24, 20.0)), Some(" roomy"));
        assert_eq!(line.place(label(0.5, 50.0)), None);
        // past the end of the room
        assert_eq!(line.place(label(1.0, 50.0)), None);
    }
}
