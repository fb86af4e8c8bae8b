//! What an acre costs at each speed: loss, time, and both together.

use crate::Width;
use crate::svg::{Anchor, Svg, at, ticks};
use std::fmt::Write as _;

/// One place on the curves, in the units of the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedPoint {
    /// Speed.
    pub speed: f64,
    /// Money of what is left on the ground.
    pub loss: f64,
    /// Money of the time.
    pub time: f64,
}

/// Cost against speed.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedCost {
    /// What it says; the page has it as its first sentence.
    pub finding: String,
    /// What is drawn, with its figures.
    pub desc: String,
    /// Places on the curves, slow to fast.
    pub points: Vec<SpeedPoint>,
    /// Speeds as good as one another.
    pub band: (f64, f64),
    /// Range of the speed of least cost, and that speed: low, middle, high.
    pub range: (f64, f64, f64),
    /// Speed driven now, with its words.
    pub now: Option<(f64, String)>,
    /// Speed that a cap allows, with its words.
    pub cap: Option<(f64, String)>,
}

/// Words of the picture, translated by the caller.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedCostWords {
    /// The axis up: "$ an acre".
    pub money: String,
    /// The axis across: "mph".
    pub speed: String,
    /// The rising curve.
    pub loss: String,
    /// The falling curve.
    pub time: String,
    /// Their sum.
    pub both: String,
    /// The hatched bar.
    pub band: String,
    /// The whisker.
    pub range: String,
}

const SOFT: &str = "fill:var(--soft);font-size:13px";
const INK: &str = "fill:var(--ink);font-size:14px";
const BOLD: &str = "fill:var(--ink);font-size:14px;font-weight:650";
const LEFT: f64 = 44.0;

/// The picture for a page that allows no style of its own.
pub fn speed_cost(cost: &SpeedCost, words: &SpeedCostWords, width: Width) -> String {
    let wide = match width {
        Width::Phone => 340.0,
        Width::Page => 800.0,
    };
    let mut svg = Svg::new(wide, 0.0, &cost.finding, &cost.desc);
    let (top, foot) = (44.0, 290.0);
    let right = wide - 14.0;
    let first = cost.points.first().map_or(0.0, |one| one.speed);
    let last = cost.points.last().map_or(1.0, |one| one.speed);
    let most = cost
        .points
        .iter()
        .map(|one| one.loss + one.time)
        .fold(1e-9, f64::max)
        * 1.04;
    let x = |speed: f64| {
        LEFT + ((speed - first) / (last - first).max(1e-9)).clamp(0.0, 1.0) * (right - LEFT)
    };
    let y = |money: f64| foot - (money / most).clamp(0.0, 1.0) * (foot - top);
    svg.text((8.0, 16.0), Anchor::Start, SOFT, &words.money);
    for tick in ticks(0.0, most, 5) {
        svg.line(
            (LEFT, y(tick)),
            (right, y(tick)),
            "stroke:var(--hair);stroke-width:1",
        );
        svg.text(
            (LEFT - 8.0, y(tick) + 4.0),
            Anchor::End,
            SOFT,
            &format!("{tick:.0}"),
        );
    }
    svg.line(
        (LEFT, foot),
        (right, foot),
        "stroke:var(--rule);stroke-width:1",
    );
    let wanted = if width == Width::Phone { 4 } else { 8 };
    for tick in ticks(first, last, wanted) {
        svg.line(
            (x(tick), foot),
            (x(tick), foot + 6.0),
            "stroke:var(--rule);stroke-width:1",
        );
        let places = usize::from((tick - tick.round()).abs() > 0.01);
        svg.text(
            (x(tick), foot + 20.0),
            Anchor::Middle,
            SOFT,
            &format!("{tick:.places$}"),
        );
    }
    svg.text((right, foot + 36.0), Anchor::End, SOFT, &words.speed);
    curves(&mut svg, cost, &x, &y);
    names(&mut svg, cost, words, &x, &y);
    marks(&mut svg, cost, (top, foot), right, &x);
    let mut down = foot + 56.0;
    hatched(&mut svg, (x(cost.band.0), x(cost.band.1)), down);
    svg.text((LEFT, down + 30.0), Anchor::Start, INK, &words.band);
    down += 54.0;
    let (low, middle, high) = cost.range;
    let thin = "stroke:var(--ink);stroke-width:1.5";
    svg.line((x(low), down), (x(high), down), thin);
    svg.line((x(low), down - 5.0), (x(low), down + 5.0), thin);
    svg.line((x(high), down - 5.0), (x(high), down + 5.0), thin);
    svg.disc((x(middle), down), 4.5, "fill:var(--ink)");
    let room = ((wide - LEFT - 8.0) / 7.4) as usize;
    let end = svg.lines((LEFT, down + 24.0), 18.0, room, INK, &words.range);
    svg.set_high(end - 4.0);
    svg.finish_page(width)
}

fn curves(svg: &mut Svg, cost: &SpeedCost, x: &impl Fn(f64) -> f64, y: &impl Fn(f64) -> f64) {
    let path = |of: &dyn Fn(&SpeedPoint) -> f64| {
        let mut d = String::new();
        for (index, one) in cost.points.iter().enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            let _ = write!(d, "{letter}{} {}", at(x(one.speed)), at(y(of(one))));
        }
        d
    };
    let line = "fill:none;stroke:var(--ink);stroke-width:1.5";
    svg.path(
        &path(&|one| one.loss),
        &format!("{line};stroke-dasharray:7 4"),
    );
    svg.path(
        &path(&|one| one.time),
        &format!("{line};stroke-dasharray:1.5 4"),
    );
    svg.path(
        &path(&|one| one.loss + one.time),
        "fill:none;stroke:var(--ink);stroke-width:3",
    );
}

fn names(
    svg: &mut Svg,
    cost: &SpeedCost,
    words: &SpeedCostWords,
    x: &impl Fn(f64) -> f64,
    y: &impl Fn(f64) -> f64,
) {
    let halo = "paint-order:stroke;stroke:var(--paper);stroke-width:4px";
    let count = cost.points.len();
    let place = |share: f64| {
        cost.points
            .get((share * (count - 1) as f64) as usize)
            .copied()
    };
    if count == 0 {
        return;
    }
    // each name stands where its curve is far from the other two
    if let Some(one) = place(0.04) {
        svg.text(
            (x(one.speed), y(one.loss) - 8.0),
            Anchor::Start,
            &format!("{INK};{halo}"),
            &words.loss,
        );
    }
    if let Some(one) = place(0.99) {
        svg.text(
            (x(one.speed), y(one.time) - 8.0),
            Anchor::End,
            &format!("{INK};{halo}"),
            &words.time,
        );
    }
    if let Some(one) = place(0.5) {
        svg.text(
            (x(one.speed), y(one.loss + one.time) - 12.0),
            Anchor::Middle,
            &format!("{BOLD};{halo}"),
            &words.both,
        );
    }
}

/// The speed driven now in the ink of a hand, and the cap that binds.
fn marks(
    svg: &mut Svg,
    cost: &SpeedCost,
    (top, foot): (f64, f64),
    right: f64,
    x: &impl Fn(f64) -> f64,
) {
    let side = |at: f64| {
        if at > f64::midpoint(LEFT, right) {
            (at - 6.0, Anchor::End)
        } else {
            (at + 6.0, Anchor::Start)
        }
    };
    if let Some((speed, words)) = &cost.now {
        let (at, anchor) = side(x(*speed));
        svg.line(
            (x(*speed), top - 10.0),
            (x(*speed), foot),
            "stroke:var(--pencil)",
        );
        svg.text(
            (at, top - 2.0),
            anchor,
            "fill:var(--pencil);font-size:13px;font-weight:650",
            words,
        );
    }
    if let Some((speed, words)) = &cost.cap {
        let (at, anchor) = side(x(*speed));
        svg.line(
            (x(*speed), top - 10.0),
            (x(*speed), foot),
            "stroke:var(--ink);stroke-width:2;stroke-dasharray:5 4",
        );
        let halo = "paint-order:stroke;stroke:var(--paper);stroke-width:4px";
        svg.text(
            (at, foot - 10.0),
            anchor,
            &format!("fill:var(--ink);font-size:13px;{halo}"),
            words,
        );
    }
}

/// A bar 12 px high of slant strokes, cut off at its ends.
fn hatched(svg: &mut Svg, (low, high): (f64, f64), y: f64) {
    const HIGH: f64 = 12.0;
    let mut d = String::new();
    let mut from = low - HIGH;
    while from < high {
        let (start, end) = (from.max(low), (from + HIGH).min(high));
        let _ = write!(
            d,
            "M{} {}L{} {}",
            at(start),
            at(y + HIGH - (start - from)),
            at(end),
            at(y + HIGH - (end - from))
        );
        from += 6.0;
    }
    svg.path(&d, "fill:none;stroke:var(--ink);stroke-width:1.5");
    svg.rect(
        (low, y),
        (high - low, HIGH),
        "fill:none;stroke:var(--ink);stroke-width:1.5",
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_marks_what_it_was_given() {
        let point = |speed: f64| SpeedPoint {
            speed,
            loss: speed * speed,
            time: 60.0 / speed,
        };
        let cost = SpeedCost {
            finding: "Drive 2.8 to 3.6".into(),
            desc: String::new(),
            points: (0..=20).map(|i| point(2.0 + 0.2 * f64::from(i))).collect(),
            band: (2.8, 3.6),
            range: (2.5, 3.1, 4.0),
            now: Some((5.0, "now".into())),
            cap: Some((4.0, "power".into())),
        };
        let words = SpeedCostWords {
            money: "$".into(),
            speed: "mph".into(),
            loss: "loss".into(),
            time: "time".into(),
            both: "both".into(),
            band: "band".into(),
            range: "range".into(),
        };
        let drawn = speed_cost(&cost, &words, Width::Page);
        for says in [
            "now</text>",
            "power</text>",
            "now-line",
            "Drive 2.8 to 3.6</title>",
        ] {
            assert!(drawn.contains(says), "{says}: {drawn}");
        }
        assert!(!drawn.contains("style="), "a page allows no style");
        let without = SpeedCost {
            now: None,
            cap: None,
            ..cost
        };
        assert!(!speed_cost(&without, &words, Width::Phone).contains("now-line"));
    }
}
