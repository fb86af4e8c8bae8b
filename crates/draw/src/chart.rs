//! One figure over another: curves, a band of doubt, measured places with their whiskers.

use crate::svg::{Anchor, Svg, at, ticks};
use crate::{Finding, Tick, Width};
use std::fmt::Write as _;

/// A curve.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartLine {
    /// What it is, written at its end; empty for none.
    pub name: String,
    /// Its places, left to right.
    pub at: Vec<(f64, f64)>,
    /// Drawn in dashes.
    pub dashed: bool,
}

/// Something measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartMark {
    /// Across.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Half its range, 8 in 10.
    pub half: Option<f64>,
    /// An open ring: measured, but not used.
    pub open: bool,
}

/// One figure over another.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chart {
    /// What it says.
    pub finding: Finding,
    /// The axis across, with its unit.
    pub across: String,
    /// The axis up, with its unit.
    pub up: String,
    /// Curves.
    pub lines: Vec<ChartLine>,
    /// A band of doubt: across, low, high.
    pub band: Vec<(f64, f64, f64)>,
    /// What was measured.
    pub marks: Vec<ChartMark>,
    /// Places across that are named, with a line up.
    pub named: Vec<Tick>,
    /// A range across, hatched.
    pub between: Option<(f64, f64)>,
    /// Whether the axis up begins at nothing.
    pub from_nothing: bool,
}

const SOFT: &str = "fill:var(--soft);font-size:13px";
const INK: &str = "fill:var(--ink);font-size:14px";
const HAIR: &str = "stroke:var(--hair);stroke-width:1";
const RULE: &str = "stroke:var(--rule);stroke-width:1";
const LINE: &str = "fill:none;stroke:var(--ink);stroke-width:2";
const DASHED: &str = "fill:none;stroke:var(--ink);stroke-width:1.5;stroke-dasharray:6 4";
const LEFT: f64 = 58.0;

/// Where figures stand on the paper.
struct Scale {
    x: (f64, f64),
    y: (f64, f64),
    right: f64,
    top: f64,
    foot: f64,
}

impl Scale {
    fn of(chart: &Chart, wide: f64) -> Self {
        let lines = chart.lines.iter().flat_map(|line| line.at.iter().copied());
        let marks = chart.marks.iter().flat_map(|m| {
            let half = m.half.unwrap_or(0.0);
            [(m.x, m.y - half), (m.x, m.y + half)]
        });
        let band = chart.band.iter().flat_map(|b| [(b.0, b.1), (b.0, b.2)]);
        let (mut x, mut y) = (
            (f64::INFINITY, f64::NEG_INFINITY),
            (f64::INFINITY, f64::NEG_INFINITY),
        );
        for one in lines.chain(marks).chain(band) {
            if one.0.is_finite() && one.1.is_finite() {
                x = (x.0.min(one.0), x.1.max(one.0));
                y = (y.0.min(one.1), y.1.max(one.1));
            }
        }
        if x.0 > x.1 {
            (x, y) = ((0.0, 1.0), (0.0, 1.0));
        }
        if chart.from_nothing {
            y.0 = y.0.min(0.0);
        }
        let room = |(low, high): (f64, f64), by: f64| {
            let span = if high > low { high - low } else { 1.0 };
            (low - by * span, high + by * span)
        };
        let bottom = if chart.from_nothing && y.0 >= 0.0 {
            y.0
        } else {
            room(y, 0.06).0
        };
        Self {
            x: room(x, 0.02),
            y: (bottom, room(y, 0.06).1),
            right: wide - 14.0,
            top: 30.0,
            foot: 280.0,
        }
    }

    fn place(&self, x: f64, y: f64) -> (f64, f64) {
        let share = |v: f64, (low, high): (f64, f64)| ((v - low) / (high - low)).clamp(0.0, 1.0);
        (
            LEFT + share(x, self.x) * (self.right - LEFT),
            self.foot - share(y, self.y) * (self.foot - self.top),
        )
    }
}

/// A figure with no more decimals than its axis needs.
fn short(value: f64, all: &[f64]) -> String {
    let step = all
        .windows(2)
        .map(|two| (two[1] - two[0]).abs())
        .fold(f64::INFINITY, f64::min);
    let places = match step {
        step if step >= 1.0 || !step.is_finite() => 0,
        step if step >= 0.1 => 1,
        step if step >= 0.01 => 2,
        _ => 3,
    };
    format!("{value:.places$}").replace('-', "\u{2212}")
}

/// The picture for a page, which has the colors.
pub fn chart(chart: &Chart, width: Width) -> String {
    let wide = match width {
        Width::Phone => 340.0,
        Width::Page => 760.0,
    };
    let scale = Scale::of(chart, wide);
    let mut svg = Svg::new(wide, 0.0, &chart.finding.title, &chart.finding.desc);
    svg.text((8.0, 14.0), Anchor::Start, SOFT, &chart.up);
    let up = ticks(scale.y.0, scale.y.1, 5);
    for tick in &up {
        let (_, y) = scale.place(scale.x.0, *tick);
        svg.line((LEFT, y), (scale.right, y), HAIR);
        svg.text((LEFT - 8.0, y + 4.0), Anchor::End, SOFT, &short(*tick, &up));
    }
    svg.line((LEFT, scale.foot), (scale.right, scale.foot), RULE);
    let across = ticks(
        scale.x.0,
        scale.x.1,
        if width == Width::Phone { 4 } else { 8 },
    );
    for tick in &across {
        let (x, _) = scale.place(*tick, scale.y.0);
        svg.line((x, scale.foot), (x, scale.foot + 6.0), RULE);
        svg.text(
            (x, scale.foot + 20.0),
            Anchor::Middle,
            SOFT,
            &short(*tick, &across),
        );
    }
    svg.text(
        (scale.right, scale.foot + 38.0),
        Anchor::End,
        SOFT,
        &chart.across,
    );
    body(&mut svg, chart, &scale);
    svg.set_high(scale.foot + 46.0);
    svg.finish_page(width)
}

fn path(scale: &Scale, places: &[(f64, f64)]) -> String {
    let mut out = String::new();
    let mut letter = 'M';
    for one in places {
        if !(one.0.is_finite() && one.1.is_finite()) {
            letter = 'M';
            continue;
        }
        let (x, y) = scale.place(one.0, one.1);
        let _ = write!(out, "{letter}{} {}", at(x), at(y));
        letter = 'L';
    }
    out
}

fn body(svg: &mut Svg, chart: &Chart, scale: &Scale) {
    if chart.band.len() > 1 {
        // the band's edges and its rungs: no tint, so that it prints and shows in the sun
        for edge in [
            chart.band.iter().map(|b| (b.0, b.1)).collect::<Vec<_>>(),
            chart.band.iter().map(|b| (b.0, b.2)).collect(),
        ] {
            svg.path(&path(scale, &edge), &format!("fill:none;{RULE}"));
        }
        let every = chart.band.len().div_ceil(40);
        for one in chart.band.iter().step_by(every) {
            svg.line(scale.place(one.0, one.1), scale.place(one.0, one.2), RULE);
        }
    }
    if let Some((low, high)) = chart.between {
        let (from, to) = (
            scale.place(low, scale.y.0).0,
            scale.place(high, scale.y.0).0,
        );
        let mut x = from;
        while x <= to {
            svg.line((x, scale.foot - 10.0), (x, scale.foot), RULE);
            x += 4.0;
        }
        svg.line((from, scale.foot - 10.0), (to, scale.foot - 10.0), RULE);
    }
    for line in &chart.lines {
        let style = if line.dashed { DASHED } else { LINE };
        svg.path(&path(scale, &line.at), style);
        if let (Some(last), false) = (line.at.last(), line.name.is_empty()) {
            let (x, y) = scale.place(last.0, last.1);
            svg.text((x - 4.0, y - 8.0), Anchor::End, INK, &line.name);
        }
    }
    for mark in &chart.marks {
        let (x, y) = scale.place(mark.x, mark.y);
        if let Some(half) = mark.half {
            let (low, high) = (
                scale.place(mark.x, mark.y - half).1,
                scale.place(mark.x, mark.y + half).1,
            );
            svg.line((x, low), (x, high), "stroke:var(--ink);stroke-width:1.5");
        }
        if mark.open {
            svg.disc(
                (x, y),
                4.0,
                "fill:var(--paper);stroke:var(--ink);stroke-width:1.5",
            );
        } else {
            svg.disc((x, y), 3.2, "fill:var(--ink)");
        }
    }
    for (nth, name) in chart.named.iter().enumerate() {
        let (x, _) = scale.place(name.at, scale.y.0);
        svg.line((x, scale.top), (x, scale.foot), DASHED);
        let left = x > 0.6 * scale.right;
        let (anchor, by) = if left {
            (Anchor::End, -6.0)
        } else {
            (Anchor::Start, 6.0)
        };
        svg.text(
            (x + by, scale.top + 12.0 + 18.0 * nth as f64),
            anchor,
            INK,
            &name.text,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some() -> Chart {
        Chart {
            finding: Finding {
                title: "Least at 4 s".to_owned(),
                desc: "a curve".to_owned(),
            },
            across: "s".to_owned(),
            up: "bu/ac".to_owned(),
            lines: vec![ChartLine {
                name: "fitted".to_owned(),
                at: vec![(0.0, 1.0), (f64::NAN, 2.0), (10.0, 3.0)],
                dashed: false,
            }],
            band: vec![(0.0, 0.5, 1.5), (10.0, 2.0, 4.0)],
            marks: vec![ChartMark {
                x: 5.0,
                y: -2.0,
                half: Some(1.0),
                open: true,
            }],
            named: vec![Tick {
                at: 4.0,
                text: "<4 s>".to_owned(),
            }],
            between: Some((3.0, 5.0)),
            from_nothing: true,
        }
    }

    #[test]
    fn a_chart_keeps_its_places_on_the_paper_and_escapes_its_words() {
        for width in [Width::Page, Width::Phone] {
            let drawn = chart(&some(), width);
            assert!(drawn.contains("&lt;4 s&gt;") && !drawn.contains("NaN"));
            assert!(drawn.contains("<title>Least at 4 s</title>"));
            assert!(!drawn.contains(" style="), "pages allow no style inside");
        }
        // higher is higher: the mark at -2 stands below the curve's first place at 1
        let scale = Scale::of(&some(), 760.0);
        assert!(scale.place(5.0, -2.0).1 > scale.place(0.0, 1.0).1);
        assert!(scale.place(10.0, 0.0).0 > scale.place(0.0, 0.0).0);
    }

    #[test]
    fn nothing_to_draw_is_an_empty_frame() {
        assert!(chart(&Chart::default(), Width::Page).contains("<svg"));
    }
}
