//! One row under the hour ruler.

use super::{HourMark, HourRow, HourSpan, HourState, HourTick, few_lines};
use crate::Width;
use crate::strip::{Label, Labels, Strip, long};
use crate::svg::short;
use crate::texture::{bracket, height, stretch};

/// Where the hours stand across.
pub(super) struct Plot {
    span: (f64, f64),
    /// The layout.
    pub(super) width: Width,
}

impl Plot {
    pub(super) fn new((from, to): (f64, f64), width: Width) -> Self {
        let span = if from.is_finite() && to.is_finite() && to > from {
            (from, to)
        } else {
            super::DAY
        };
        Self { span, width }
    }
    /// Left and right end, in shares.
    fn ends(&self) -> (f64, f64) {
        match self.width {
            Width::Phone => (4.5, 95.5),
            Width::Page => (21.0, 83.0),
        }
    }
    /// Where the figures at the right begin.
    pub(super) fn right(&self) -> f64 {
        self.ends().1 + 3.3
    }
    /// The hours as a share of the plot, 0 to 1.
    fn along(&self, hour: f64) -> f64 {
        if hour.is_finite() {
            ((hour - self.span.0) / (self.span.1 - self.span.0)).clamp(0.0, 1.0)
        } else {
            0.0
        }
    }
    /// The hours as a share of the picture.
    pub(super) fn x(&self, hour: f64) -> f64 {
        let (left, right) = self.ends();
        left + self.along(hour) * (right - left)
    }
    /// Whether the ruler has the hour.
    pub(super) fn holds(&self, hour: f64) -> bool {
        (self.span.0..=self.span.1).contains(&hour)
    }
    /// Pixels of the plot: the least that the layout is shown at, and what `roomy` waits for.
    fn rooms(&self) -> [f64; 2] {
        match self.width {
            Width::Phone => [275.0, 545.0],
            Width::Page => [500.0, 710.0],
        }
    }
    /// Name and detail in the lines that the column at the left holds.
    fn who(&self, row: &HourRow) -> (Vec<String>, Vec<String>) {
        match self.width {
            Width::Page => (few_lines(&row.name, 20, 2), few_lines(&row.detail, 25, 3)),
            Width::Phone => (vec![short(&row.name, 24)], few_lines(&row.detail, 42, 2)),
        }
    }
    /// How high a row stands.
    pub(super) fn high(&self, row: &HourRow) -> f64 {
        let (names, details) = self.who(row);
        let words = 23.0 * names.len() as f64 + 19.0 * details.len() as f64;
        match self.width {
            Width::Page => strip_high(row).max(words + 14.0),
            Width::Phone => strip_high(row) + words + 4.0,
        }
    }
    /// Where the strip of a row begins: on a phone below its words.
    pub(super) fn top(&self, row: &HourRow, (top, foot): (f64, f64)) -> f64 {
        match self.width {
            Width::Page => top,
            Width::Phone => foot - strip_high(row),
        }
    }
}

/// How high a strip is, without the words above it on a phone.
fn strip_high(row: &HourRow) -> f64 {
    if tall(row) { 86.0 } else { 68.0 }
}

/// Forecasts stand high, for the bracket above them.
fn tall(row: &HourRow) -> bool {
    let past = |span: &HourSpan| matches!(span.state, HourState::Cutting | HourState::Stopped);
    !row.changes.is_empty() || !row.spans.iter().all(past)
}

/// A row between two heights.
pub(super) fn row(
    strip: &mut Strip,
    plot: &Plot,
    row: &HourRow,
    (top, foot): (f64, f64),
    now: Option<f64>,
) {
    who(strip, plot, row, (top, foot));
    let base = foot - if tall(row) { 26.0 } else { 22.0 };
    let spans: Vec<&HourSpan> = row
        .spans
        .iter()
        .filter(|span| span.to > plot.span.0 && span.from < plot.span.1 && span.to > span.from)
        .collect();
    for span in &spans {
        let (from, to) = (plot.x(span.from), plot.x(span.to));
        stretch(
            strip,
            (from, base),
            (to - from, height(span.state)),
            span.state,
        );
    }
    for &(low, high) in &row.changes {
        if low <= high && high >= plot.span.0 && low <= plot.span.1 {
            bracket(strip, (plot.x(low), plot.x(high)), base - 42.0);
        }
    }
    let mut words = Labels::new(plot.rooms());
    for span in spans {
        word(strip, plot, &mut words, span, (base, now));
    }
    let mut marks = Labels::new(plot.rooms());
    for tick in row.ticks.iter().filter(|tick| plot.holds(tick.at)) {
        mark(strip, plot, &mut marks, tick, base);
    }
    let mut says = Labels::new(plot.rooms());
    for reason in row.reasons.iter().filter(|one| plot.holds(one.at)) {
        let size = long(&reason.text, 12.8);
        let along = plot.along(reason.at);
        // a reason near the end of the day ends where it would begin
        let (from, anchor) = if along * plot.rooms()[0] + size > plot.rooms()[0] + 16.0 {
            (-size, " end")
        } else {
            (3.0, "")
        };
        let label = Label {
            at: along,
            from,
            long: size,
            level: 0,
        };
        if let Some(seen) = says.place(label) {
            let class = format!("reason halo{anchor}{seen}");
            let dx = if anchor.is_empty() { 3.0 } else { 0.0 };
            strip.text((plot.x(reason.at), base + 19.0), dx, &class, &reason.text);
        }
    }
}

/// Name, detail and figure.
fn who(strip: &mut Strip, plot: &Plot, row: &HourRow, (top, foot): (f64, f64)) {
    let (at, anchor) = match plot.width {
        Width::Page => {
            let (names, details) = plot.who(row);
            let high = 24.0 * names.len() as f64 + 19.0 * details.len() as f64;
            let mut y = ((top + foot - high) / 2.0).max(top + 2.0) + 17.0;
            for line in names {
                strip.text((0.0, y), 0.0, "name", &line);
                y += 22.0;
            }
            for line in details {
                strip.text((0.0, y - 2.0), 0.0, "soft", &line);
                y += 19.0;
            }
            ((plot.right(), f64::midpoint(top, foot) + 5.0), "t15")
        }
        Width::Phone => {
            let (names, details) = plot.who(row);
            strip.text((0.0, top + 23.0), 0.0, "name", &names.concat());
            for (line, y) in details.iter().zip([42.0, 61.0]) {
                strip.text((0.0, top + y), 0.0, "soft", line);
            }
            ((100.0, top + 23.0), "t15 end")
        }
    };
    if let Some(one) = &row.figure {
        let unit = format!(" {} ", one.unit);
        let parts = [
            ("b", one.figure.as_str()),
            ("", unit.as_str()),
            ("soft", one.range.as_str()),
        ];
        strip.parts(at, 0.0, anchor, &parts);
    }
}

/// The word of a stretch, in it or above it.
fn word(
    strip: &mut Strip,
    plot: &Plot,
    words: &mut Labels,
    span: &HourSpan,
    (base, now): (f64, Option<f64>),
) {
    if span.word.is_empty() && span.hand.is_empty() {
        return;
    }
    let (sizes, dx, up): (&[Setting], f64, f64) = match span.state {
        HourState::Fit => (&[("t15 b rev", 15.5), ("t13 b rev", 13.4)], 9.0, 12.0),
        HourState::Cutting => (&[("b rev", 14.4), ("t13 b rev", 13.4)], 7.0, 12.5),
        HourState::TooDry => (&[("t13 halo", 13.0)], 7.0, 12.5),
        HourState::NotBefore => (&[("t15 halo", 15.0), ("t13 halo", 13.0)], 8.0, 8.0),
        HourState::Stopped => (&[("t13 halo", 13.0)], 4.0, 5.0),
        HourState::Wet | HourState::Tough => (&[("t13 halo", 13.0)], 3.0, height(span.state) + 5.0),
    };
    let mut start = span.from.max(plot.span.0);
    // the now-line would run through words that begin just before it
    let dashed = span.state == HourState::NotBefore;
    if let Some(now) = now.filter(|now| dashed && (start..start + 6.0).contains(now)) {
        start = now;
    }
    let room = plot.along(span.to) - plot.along(start);
    let [narrow, wide] = plot.rooms();
    // large where it always fits, else small where that does, else where the window is wide
    for (room_px, roomy) in [(narrow, ""), (wide, " roomy")] {
        for &(class, size) in sizes {
            let text = long(&span.word, size) + long(&span.hand, size);
            if room * room_px < text + dx + 4.0 {
                continue;
            }
            let label = Label {
                at: plot.along(start),
                from: dx,
                long: text,
                level: 0,
            };
            let Some(seen) = words.place(label) else {
                continue;
            };
            let seen = if roomy.is_empty() { seen } else { roomy };
            let gap = if span.word.is_empty() { "" } else { " " };
            let parts = [
                ("", span.word.as_str()),
                ("", gap),
                ("hand ruled", span.hand.as_str()),
            ];
            let parts = if span.hand.is_empty() {
                &parts[..1]
            } else {
                &parts[..]
            };
            let place = (plot.x(start), base - up);
            strip.parts(place, dx, &format!("{class}{seen}"), parts);
            return;
        }
    }
}

/// Classes of a text, and the size to reckon its length with.
type Setting = (&'static str, f64);

/// A tick with its number above it, a line higher where the first is taken.
fn mark(strip: &mut Strip, plot: &Plot, marks: &mut Labels, tick: &HourTick, base: f64) {
    let x = plot.x(tick.at);
    let levels: &[u8] = match tick.mark {
        HourMark::Untyped => &[1],
        HourMark::Plain | HourMark::Odd => &[0, 1],
    };
    let size = long(&tick.text, 13.5);
    let label = |level| Label {
        at: plot.along(tick.at),
        from: -size / 2.0,
        long: size,
        level,
    };
    let always = levels
        .iter()
        .copied()
        .find(|&level| marks.seen(label(level)) == Some(""));
    let level = always.unwrap_or(levels[0]);
    if let Some(seen) = marks.place(label(level)) {
        let y = base - 20.0 - 14.0 * f64::from(level);
        let class = format!("t13 b halo mid{seen}");
        strip.text((x, y), 0.0, &class, &tick.text);
    }
    match tick.mark {
        HourMark::Plain => strip.line((x, base - 14.0), (x, base), "line thick"),
        HourMark::Untyped => strip.line((x, base - 29.0), (x, base), "line thick"),
        HourMark::Odd => strip.spot(
            (x, base - 14.0),
            "<rect class=\"paper edge thick\" x=\"-6\" y=\"0\" width=\"12\" height=\"14\"/>",
        ),
    }
}
