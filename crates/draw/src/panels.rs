//! One small map a cause, so that no color and no shape has to be learnt.

use crate::svg::{Anchor, Svg, at};
use crate::{Finding, Tick, Width};
use std::fmt::Write as _;

/// One small map.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// What is marked.
    pub name: String,
    /// How much of it, under the name.
    pub note: String,
    /// Places, meters east and north.
    pub places: Vec<(f64, f64)>,
}

/// Small maps of one field.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Panels {
    /// What they say.
    pub finding: Finding,
    /// The ground of all of them, drawn thin: places in lines, meters.
    pub ground: Vec<Vec<(f64, f64)>>,
    /// The maps.
    pub panels: Vec<Panel>,
    /// The scale bar: meters, and what it says.
    pub bar: Option<Tick>,
    /// The letter of north.
    pub north: String,
}

const SOFT: &str = "fill:var(--soft);font-size:13px";
const INK: &str = "fill:var(--ink);font-size:14px;font-weight:650";
/// Places drawn of one cause; more would only swell the page.
const MOST: usize = 3_000;

/// The picture for a page, which has the colors.
pub fn panels(all: &Panels, width: Width) -> String {
    let (wide, columns) = match width {
        Width::Phone => (340.0, 2),
        Width::Page => (760.0, 4),
    };
    let each = all
        .panels
        .iter()
        .flat_map(|one| one.places.iter())
        .chain(all.ground.iter().flatten())
        .filter(|p| p.0.is_finite() && p.1.is_finite());
    let (mut low, mut high) = (
        (f64::INFINITY, f64::INFINITY),
        (f64::NEG_INFINITY, f64::NEG_INFINITY),
    );
    for one in each {
        low = (low.0.min(one.0), low.1.min(one.1));
        high = (high.0.max(one.0), high.1.max(one.1));
    }
    if low.0 > high.0 {
        (low, high) = ((0.0, 0.0), (1.0, 1.0));
    }
    let cell = wide / f64::from(columns);
    let (across, tall) = ((high.0 - low.0).max(1.0), (high.1 - low.1).max(1.0));
    let scale = ((cell - 20.0) / across).min(1.6 * (cell - 20.0) / tall);
    let step = tall * scale + 56.0;
    let mut svg = Svg::new(wide, 0.0, &all.finding.title, &all.finding.desc);
    for (nth, panel) in all.panels.iter().enumerate() {
        let (column, row) = (nth % columns as usize, nth / columns as usize);
        let left = column as f64 * cell + 8.0;
        let top = row as f64 * step;
        svg.text((left, top + 16.0), Anchor::Start, INK, &panel.name);
        svg.text((left, top + 33.0), Anchor::Start, SOFT, &panel.note);
        let place = |p: &(f64, f64)| {
            (
                left + (p.0 - low.0) * scale,
                top + 42.0 + (high.1 - p.1) * scale,
            )
        };
        let mut ground = String::new();
        for line in &all.ground {
            let mut letter = 'M';
            for p in line {
                let (x, y) = place(p);
                let _ = write!(ground, "{letter}{} {}", at(x), at(y));
                letter = 'L';
            }
        }
        svg.path(&ground, "fill:none;stroke:var(--hair);stroke-width:1");
        let every = panel.places.len().div_ceil(MOST).max(1);
        let mut marks = String::new();
        for p in panel.places.iter().step_by(every) {
            let (x, y) = place(p);
            let _ = write!(marks, "M{} {}h0", at(x), at(y));
        }
        svg.path(
            &marks,
            "fill:none;stroke:var(--ink);stroke-width:3;stroke-linecap:round",
        );
    }
    let rows = all.panels.len().div_ceil(columns as usize).max(1);
    let foot = rows as f64 * step + 10.0;
    if let Some(bar) = &all.bar {
        let long = (bar.at * scale).clamp(1.0, wide - 120.0);
        let frame = format!("M8 {}v6h{}v-6", at(foot), at(long));
        svg.path(&frame, "fill:none;stroke:var(--ink);stroke-width:1.5");
        svg.text((16.0 + long, foot + 8.0), Anchor::Start, SOFT, &bar.text);
    }
    svg.text((wide - 30.0, foot + 8.0), Anchor::End, INK, &all.north);
    let arrow = format!("M{} {}v-20m-4 6l4 -7l4 7", at(wide - 20.0), at(foot + 8.0));
    svg.path(&arrow, "fill:none;stroke:var(--ink);stroke-width:1.5");
    svg.set_high(foot + 20.0);
    svg.finish_page(width)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cause_has_a_map_with_its_words() {
        let all = Panels {
            ground: vec![
                vec![(0.0, 0.0), (100.0, 0.0)],
                vec![(100.0, 9.0), (0.0, 9.0)],
            ],
            panels: vec![
                Panel {
                    name: "stopped".to_owned(),
                    note: "12 records".to_owned(),
                    places: vec![(50.0, 0.0); 12],
                },
                Panel {
                    name: "<odd>".to_owned(),
                    note: String::new(),
                    places: Vec::new(),
                },
            ],
            bar: Some(Tick {
                at: 50.0,
                text: "50 m".to_owned(),
            }),
            north: "N".to_owned(),
            ..Panels::default()
        };
        for width in [Width::Page, Width::Phone] {
            let drawn = panels(&all, width);
            assert!(drawn.contains("stopped") && drawn.contains("&lt;odd&gt;"));
            assert!(drawn.contains("12 records") && !drawn.contains("NaN"));
        }
        assert!(panels(&Panels::default(), Width::Page).contains("<svg"));
    }
}
