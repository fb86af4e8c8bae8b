//! Combine points of a field in plan.

use crate::Width;
use crate::ramp::ramp;
use crate::svg::{Anchor, Svg, at, ticks};
use std::fmt::Write as _;

/// One point: metres east and north of anywhere, and what it shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanPoint {
    /// Metres east.
    pub east_m: f64,
    /// Metres north.
    pub north_m: f64,
    /// The figure shown, in the unit of the plan.
    pub value: f64,
}

/// A field's points.
#[derive(Debug, Clone, PartialEq)]
pub struct PointsPlan {
    /// The points.
    pub points: Vec<PlanPoint>,
    /// What the color shows, e.g. "yield as logged".
    pub shows: String,
    /// Its unit, e.g. "bu/ac dry at 15.5 %, acres cut".
    pub unit: String,
    /// The finding in one sentence.
    pub finding: String,
    /// Where the points come from, and what was not done to them.
    pub source: String,
}

/// The words around a plan on a page, translated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanWords {
    /// For those who do not see it: how many points, over what ground, from what to what.
    pub desc: String,
    /// The letter of north.
    pub north: String,
    /// The scale bar with `{feet}` and `{metres}` where its figures go, e.g. "{feet} ft ({metres} m)".
    pub bar: String,
}

const SOFT: &str = "fill:var(--soft);font-size:13px";
const WIDE: f64 = 760.0;
/// The same on a phone.
const NARROW: f64 = 340.0;
/// Room for the map, top to bottom.
const TALL: f64 = 500.0;
/// A map lower than this is lower than the legend beside it.
const LOW: f64 = 400.0;
/// Colors told apart on the map; more would only swell the file.
const SHADES: usize = 24;

/// Points as dots, drawn shade by shade, with a legend, a scale bar and north. The legend spans the
/// middle 96 of 100 points, so that a few wild ones do not flatten the rest; they are drawn at its ends.
pub fn points_plan(plan: &PointsPlan) -> String {
    let ground = Ground::of(plan);
    let (low, high) = ground.range;
    let words = PlanWords {
        desc: format!(
            "{} points over {:.0} by {:.0} metres; {} from {low:.0} to {high:.0} {} for 96 points in 100.",
            ground.points.len(),
            ground.wide_m,
            ground.high_m,
            plan.shows,
            plan.unit
        ),
        north: "N".to_owned(),
        bar: "{feet} ft ({metres} m)".to_owned(),
    };
    let mut svg = Svg::new(WIDE, 0.0, &plan.finding, &words.desc);
    let top = svg.heading(&plan.finding, "") + 16.0;
    beside(&mut svg, plan, &words, &ground, top);
    svg.finish()
}

/// The plan for a page that allows no style of its own, in words of the caller's; on a phone the
/// legend lies below.
pub fn points_plan_page(plan: &PointsPlan, words: &PlanWords, width: Width) -> String {
    let ground = Ground::of(plan);
    match width {
        Width::Page => {
            let mut svg = Svg::new(WIDE, 0.0, &plan.finding, &words.desc);
            beside(&mut svg, plan, words, &ground, 8.0);
            svg.finish_page(width)
        }
        Width::Phone => {
            let mut svg = Svg::new(NARROW, 0.0, &plan.finding, &words.desc);
            below(&mut svg, plan, words, &ground);
            svg.finish_page(width)
        }
    }
}

/// The points that can be drawn, and the ground they cover.
struct Ground {
    points: Vec<PlanPoint>,
    /// Values at the ends of the ramp.
    range: (f64, f64),
    west: f64,
    north: f64,
    wide_m: f64,
    high_m: f64,
}

impl Ground {
    fn of(plan: &PointsPlan) -> Self {
        // a record without a place or a figure cannot be drawn; the words count what is
        let points: Vec<PlanPoint> = plan
            .points
            .iter()
            .copied()
            .filter(|p| p.east_m.is_finite() && p.north_m.is_finite() && p.value.is_finite())
            .collect();
        let (mut west, mut east) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut south, mut north) = (f64::INFINITY, f64::NEG_INFINITY);
        for point in &points {
            (west, east) = (west.min(point.east_m), east.max(point.east_m));
            (south, north) = (south.min(point.north_m), north.max(point.north_m));
        }
        Self {
            range: middle(&points),
            points,
            west,
            north,
            wide_m: (east - west).max(1.0),
            high_m: (north - south).max(1.0),
        }
    }
}

/// The points at a scale, their left upper corner at a place.
fn dots(svg: &mut Svg, ground: &Ground, scale: f64, (left, top): (f64, f64)) {
    let (low, high) = ground.range;
    let span = if high > low { high - low } else { 1.0 };
    let mut shades: Vec<String> = vec![String::new(); SHADES];
    for point in &ground.points {
        let share = ((point.value - low) / span).clamp(0.0, 1.0);
        let shade = (share * (SHADES - 1) as f64).round() as usize;
        let x = left + (point.east_m - ground.west) * scale;
        let y = top + (ground.north - point.north_m) * scale;
        let _ = write!(shades[shade.min(SHADES - 1)], "M{} {}h0", at(x), at(y));
    }
    let dot = at((scale * 4.0).clamp(1.6, 7.0));
    for (index, commands) in shades.iter().enumerate() {
        if !commands.is_empty() {
            let color = ramp(index as f64 / (SHADES - 1) as f64);
            let style = format!("stroke:{color};stroke-width:{dot};stroke-linecap:round;fill:none");
            svg.path(commands, &style);
        }
    }
}

/// The plan with its legend beside it.
fn beside(svg: &mut Svg, plan: &PointsPlan, words: &PlanWords, ground: &Ground, top: f64) {
    let scale = ((WIDE - 180.0) / ground.wide_m).min(TALL / ground.high_m);
    dots(svg, ground, scale, (12.0, top));
    let beside = (12.0 + ground.wide_m * scale + 32.0).min(WIDE - 140.0);
    north_mark(svg, (beside + 11.0, top), &words.north);
    let under = legend(svg, (beside, top + 56.0), ground.range, plan);
    let map = ground.high_m * scale;
    let y = top + map + 44.0;
    bar(svg, words, ground, scale, (12.0, y));
    // under a low map the legend still stands beside these lines
    let room = if map < LOW {
        beside - 24.0
    } else {
        WIDE - 24.0
    };
    let most = (room / 7.6) as usize;
    let foot = svg.lines((12.0, y + 24.0), 17.0, most, SOFT, &plan.source);
    svg.set_high(foot.max(under));
}

/// The plan with its legend below it.
fn below(svg: &mut Svg, plan: &PointsPlan, words: &PlanWords, ground: &Ground) {
    let room = NARROW - 24.0;
    let scale = (room / ground.wide_m).min(1.2 * room / ground.high_m);
    dots(svg, ground, scale, (12.0, 10.0));
    let mut y = 10.0 + ground.high_m * scale + 44.0;
    bar(svg, words, ground, scale, (12.0, y));
    north_mark(svg, (NARROW - 22.0, y - 26.0), &words.north);
    let most = (room / 7.6) as usize;
    let bold = "fill:var(--ink);font-size:13px;font-weight:650";
    y = svg.lines((12.0, y + 34.0), 17.0, most, bold, &plan.shows);
    y = svg.lines((12.0, y), 17.0, most, SOFT, &plan.unit) - 6.0;
    let (low, high) = ground.range;
    for step in 0..SHADES {
        let color = ramp(step as f64 / (SHADES - 1) as f64);
        let wide = room / SHADES as f64;
        let corner = (12.0 + wide * step as f64, y);
        // half a pixel over, so that no seam shows
        let size = (wide + if step + 1 < SHADES { 0.5 } else { 0.0 }, 16.0);
        svg.rect(corner, size, &format!("fill:{color}"));
    }
    let decimals = usize::from(high - low < 5.0);
    for tick in ticks(low, high, 4) {
        let x = 12.0 + (tick - low) / (high - low).max(1e-9) * room;
        let line = "stroke:var(--ink);stroke-width:1";
        svg.line((x, y + 16.0), (x, y + 21.0), line);
        let ink = "fill:var(--ink);font-size:13px";
        svg.text(
            (x, y + 36.0),
            Anchor::Middle,
            ink,
            &format!("{tick:.decimals$}"),
        );
    }
    let foot = svg.lines((12.0, y + 60.0), 17.0, most, SOFT, &plan.source);
    svg.set_high(foot);
}

/// The scale bar, a third of the ground or less.
fn bar(svg: &mut Svg, words: &PlanWords, ground: &Ground, scale: f64, (x, y): (f64, f64)) {
    let feet = round_length(ground.wide_m / 3.0 / 0.3048);
    let metres = feet * 0.3048;
    let thick = "stroke:var(--ink);stroke-width:3";
    svg.line((x, y), (x + metres * scale, y), thick);
    let length = words
        .bar
        .replace("{feet}", &format!("{feet:.0}"))
        .replace("{metres}", &format!("{metres:.0}"));
    svg.text((x, y - 8.0), Anchor::Start, SOFT, &length);
}

/// The 2nd and 98th of 100 values in order.
fn middle(points: &[PlanPoint]) -> (f64, f64) {
    let mut values: Vec<f64> = points.iter().map(|point| point.value).collect();
    values.sort_by(f64::total_cmp);
    let last = (values.len().max(1) - 1) as f64;
    let at = |share: f64| {
        let value = values.get((last * share).round() as usize);
        value.copied().unwrap_or(0.0)
    };
    (at(0.02), at(0.98))
}

fn north_mark(svg: &mut Svg, (x, y): (f64, f64), letter: &str) {
    let bold = "fill:var(--ink);font-size:13px;font-weight:650";
    svg.text((x, y + 8.0), Anchor::Middle, bold, letter);
    let arrow = format!("M{} {}l7 18l-7 -5l-7 5z", at(x), at(y + 13.0));
    svg.path(&arrow, "fill:var(--ink)");
}

/// The longest of 1, 2 or 5 times a power of ten that is no longer than `most`.
fn round_length(most: f64) -> f64 {
    if !(most.is_finite() && most > 0.0) {
        return 1.0;
    }
    let power = 10.0_f64.powf(most.log10().floor());
    [5.0, 2.0, 1.0]
        .into_iter()
        .map(|by| by * power)
        .find(|length| *length <= most)
        .unwrap_or(power)
}

/// The ramp with its ticks; returns where it ends.
fn legend(svg: &mut Svg, (x, y): (f64, f64), (low, high): (f64, f64), plan: &PointsPlan) -> f64 {
    let bold = "fill:var(--ink);font-size:13px;font-weight:650";
    let soft = "fill:var(--soft);font-size:13px";
    let top = svg.lines((x, y), 16.0, 15, bold, &plan.shows);
    let tall = 220.0;
    let mut foot = top + tall + 22.0;
    for part in plan.unit.split(", ") {
        foot = svg.lines((x, foot), 16.0, 17, soft, part);
    }
    for step in 0..SHADES {
        let y = top + tall - tall * (step as f64 + 1.0) / SHADES as f64;
        let color = ramp(step as f64 / (SHADES - 1) as f64);
        let size = (22.0, tall / SHADES as f64 + 0.5);
        svg.rect((x, y), size, &format!("fill:{color}"));
    }
    let frame = "fill:none;stroke:var(--ink);stroke-width:1";
    svg.rect((x, top), (22.0, tall), frame);
    let decimals = usize::from(high - low < 5.0);
    for tick in ticks(low, high, 5) {
        let y = top + tall - (tick - low) / (high - low).max(1e-9) * tall;
        let line = "stroke:var(--ink);stroke-width:1";
        svg.line((x + 22.0, y), (x + 27.0, y), line);
        let ink = "fill:var(--ink);font-size:13px";
        let figure = format!("{tick:.decimals$}");
        svg.text((x + 31.0, y + 4.0), Anchor::Start, ink, &figure);
    }
    foot
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_thousand_points_stay_small() {
        let points = (0..5_000)
            .map(|i| {
                let i = f64::from(i);
                PlanPoint {
                    east_m: (i * 7.31) % 500.0,
                    north_m: i / 10.0,
                    value: 100.0 + (i * 0.37) % 80.0,
                }
            })
            .collect();
        let drawn = points_plan(&PointsPlan {
            points,
            shows: "yield as logged".into(),
            unit: "bu/ac".into(),
            finding: "A test.".into(),
            source: "made here".into(),
        });
        assert!(drawn.len() < 600_000, "{}", drawn.len());
    }
}
