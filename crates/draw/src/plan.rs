//! Combine points of a field in plan.

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

/// The cividis ramp at 17 even steps, dark to light: Nunez, Anderton and Renslow 2018, "Optimizing
/// colormaps with consideration for color vision deficiency" (values from memory of the published
/// table, rounded; monotone in lightness, which a test checks).
const RAMP: [[u8; 3]; 17] = [
    [0, 34, 78],
    [0, 44, 102],
    [19, 54, 111],
    [42, 64, 109],
    [59, 73, 108],
    [74, 83, 109],
    [88, 93, 111],
    [101, 103, 114],
    [113, 113, 118],
    [125, 124, 120],
    [139, 134, 120],
    [153, 145, 117],
    [168, 156, 113],
    [184, 168, 106],
    [201, 180, 96],
    [219, 193, 82],
    [254, 232, 56],
];

/// A color of the ramp for a share from 0 to 1.
fn ramp(share: f64) -> String {
    let share = if share.is_finite() {
        share.clamp(0.0, 1.0)
    } else {
        0.0
    };
    let along = share * 16.0;
    let (index, part) = (
        (along.floor() as usize).min(15),
        along - along.floor().min(15.0),
    );
    let channel = |c: usize| {
        let (a, b) = (f64::from(RAMP[index][c]), f64::from(RAMP[index + 1][c]));
        (a + (b - a) * part).round() as u8
    };
    format!("#{:02x}{:02x}{:02x}", channel(0), channel(1), channel(2))
}

const WIDE: f64 = 760.0;
const HIGH: f64 = 620.0;
/// Colors told apart on the map; more would only swell the file.
const SHADES: usize = 24;

/// Points as dots, drawn shade by shade, with a legend, a scale bar and north. The legend spans the
/// middle 96 of 100 points, so that a few wild ones do not flatten the rest; they are drawn at its ends.
pub fn points_plan(plan: &PointsPlan) -> String {
    let mut values: Vec<f64> = plan
        .points
        .iter()
        .map(|point| point.value)
        .filter(|v| v.is_finite())
        .collect();
    values.sort_by(f64::total_cmp);
    let quantile = |share: f64| {
        values
            .get(((values.len().max(1) - 1) as f64 * share).round() as usize)
            .copied()
            .unwrap_or(0.0)
    };
    let (low, high) = (quantile(0.02), quantile(0.98));
    let span = if high > low { high - low } else { 1.0 };
    let bound = |pick: fn(f64, f64) -> f64, get: fn(&PlanPoint) -> f64, start: f64| {
        plan.points
            .iter()
            .map(get)
            .filter(|v| v.is_finite())
            .fold(start, pick)
    };
    let (west, east) = (
        bound(f64::min, |p| p.east_m, f64::INFINITY),
        bound(f64::max, |p| p.east_m, f64::NEG_INFINITY),
    );
    let (south, north) = (
        bound(f64::min, |p| p.north_m, f64::INFINITY),
        bound(f64::max, |p| p.north_m, f64::NEG_INFINITY),
    );
    let desc = format!(
        "{} points over {:.0} by {:.0} metres; {} from {low:.0} to {high:.0} {} for 96 points in 100.",
        plan.points.len(),
        (east - west).max(0.0),
        (north - south).max(0.0),
        plan.shows,
        plan.unit
    );
    let mut svg = Svg::new(WIDE, HIGH, &plan.finding, &desc);
    let soft = "fill:var(--soft);font-size:13px";
    svg.text(
        (8.0, 20.0),
        Anchor::Start,
        "fill:var(--ink);font-size:15px;font-weight:650",
        &plan.finding,
    );
    let (map_wide, map_high) = (WIDE - 150.0, HIGH - 96.0);
    let scale = (map_wide / (east - west).max(1.0)).min(map_high / (north - south).max(1.0));
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let place = |point: &PlanPoint| {
        (
            12.0 + (point.east_m - west) * scale,
            38.0 + (north - point.north_m) * scale,
        )
    };
    let mut shades: Vec<String> = vec![String::new(); SHADES];
    for point in &plan.points {
        let shade =
            (((point.value - low) / span).clamp(0.0, 1.0) * (SHADES - 1) as f64).round() as usize;
        let (x, y) = place(point);
        let _ = write!(shades[shade.min(SHADES - 1)], "M{} {}h0", at(x), at(y));
    }
    let dot = (scale * 4.0).clamp(1.6, 7.0);
    for (index, commands) in shades
        .iter()
        .enumerate()
        .filter(|(_, commands)| !commands.is_empty())
    {
        let color = ramp(index as f64 / (SHADES - 1) as f64);
        svg.path(
            commands,
            &format!(
                "stroke:{color};stroke-width:{};stroke-linecap:round;fill:none",
                at(dot)
            ),
        );
    }
    let beside = (12.0 + (east - west).max(0.0) * scale + 44.0).min(WIDE - 118.0);
    legend(&mut svg, beside, (low, high), plan);
    let metres = round_length((east - west).max(1.0) / 3.0);
    let (x, y) = (12.0, HIGH - 34.0);
    svg.line(
        (x, y),
        (x + metres * scale, y),
        "stroke:var(--ink);stroke-width:3",
    );
    svg.text(
        (x, y - 8.0),
        Anchor::Start,
        soft,
        &format!("{metres:.0} m ({:.0} ft)", metres / 0.3048),
    );
    svg.text((12.0, HIGH - 10.0), Anchor::Start, soft, &plan.source);
    svg.path(
        &format!("M{} 76l7 18l-7 -5l-7 5z", at(beside + 11.0)),
        "fill:var(--ink)",
    );
    svg.text(
        (beside + 11.0, 70.0),
        Anchor::Middle,
        "fill:var(--ink);font-size:13px;font-weight:650",
        "N",
    );
    svg.finish()
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

fn legend(svg: &mut Svg, x: f64, (low, high): (f64, f64), plan: &PointsPlan) {
    let (top, tall) = (150.0, 240.0);
    let style = "fill:var(--ink);font-size:13px";
    svg.text(
        (x, top - 30.0),
        Anchor::Start,
        "fill:var(--ink);font-size:13px;font-weight:650",
        &plan.shows,
    );
    for (row, part) in plan.unit.split(", ").enumerate() {
        svg.text(
            (x, top + tall + 24.0 + 16.0 * row as f64),
            Anchor::Start,
            "fill:var(--soft);font-size:13px",
            part,
        );
    }
    for step in 0..SHADES {
        let y = top + tall - tall * (step as f64 + 1.0) / SHADES as f64;
        let color = ramp(step as f64 / (SHADES - 1) as f64);
        svg.rect(
            (x, y),
            (22.0, tall / SHADES as f64 + 0.5),
            &format!("fill:{color}"),
        );
    }
    svg.rect(
        (x, top),
        (22.0, tall),
        "fill:none;stroke:var(--ink);stroke-width:1",
    );
    for tick in ticks(low, high, 5) {
        let y = top + tall - (tick - low) / (high - low).max(1e-9) * tall;
        svg.line(
            (x + 22.0, y),
            (x + 27.0, y),
            "stroke:var(--ink);stroke-width:1",
        );
        svg.text(
            (x + 31.0, y + 4.0),
            Anchor::Start,
            style,
            &format!("{tick:.0}"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ramp_grows_lighter_all_the_way() {
        let light: Vec<f64> = (0..=40)
            .map(|i| crate::contrast(&ramp(f64::from(i) / 40.0), "#000000"))
            .collect();
        assert!(light.windows(2).all(|pair| pair[1] > pair[0]), "{light:?}");
    }

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
