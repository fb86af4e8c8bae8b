//! A map of cells made ready to be looked at: shades and dots worked out, so that no page reckons.

use super::cells::rings;
use super::{Cells, plan};
use crate::Ranged;
use draw::{FieldMap, Finding, MapCell, Tick};
use serde::Serialize;

/// Cells with their shade, their doubt and the outline, for a map that is moved about.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LiveMap {
    /// The cells.
    pub cells: Cells,
    /// Place of each cell's mean on the ramp, 0 to 255: the 2nd per cent of means to the 98th.
    pub shade: Vec<u8>,
    /// Half of each mean's range, 8 in 10; none for one point.
    pub half: Vec<Option<f64>>,
    /// Radius of each cell's dot of doubt as a part of half a cell, 0 to 1; none is a whole dot.
    pub dot: Vec<f64>,
    /// The half range that makes a whole dot.
    pub whole_dot: f64,
    /// Outline rings, [latitude, longitude] degrees.
    pub outline: Vec<Vec<[f64; 2]>>,
    /// Values named under the ramp, dark to light.
    pub key: Vec<KeyTick>,
    /// Half ranges named beside their dots, small to large.
    pub dot_key: Vec<KeyTick>,
}

/// A value named in a map's key.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeyTick {
    /// Where on the ramp, or how large its dot is, 0 to 1.
    pub share: f64,
    /// What it says.
    pub text: String,
}

/// Values at even steps of the ramp.
fn key((low, high): (f64, f64)) -> Vec<KeyTick> {
    [0.0, 0.25, 0.5, 0.75, 1.0]
        .iter()
        .map(|share| KeyTick {
            share: *share,
            text: format!("{:.0}", low + share * (high - low)),
        })
        .collect()
}

/// Half ranges whose dots grow by steps that the eye tells apart; a dot's area is its doubt.
fn dot_key(whole_dot: f64) -> Vec<KeyTick> {
    [0.25_f64, 0.5, 1.0]
        .iter()
        .map(|part| KeyTick {
            share: part.sqrt(),
            text: format!("\u{b1}{:.0}", part * whole_dot),
        })
        .collect()
}

/// Where a value lies between two ends, 0 to 1.
fn share(value: f64, (low, high): (f64, f64)) -> f64 {
    if high > low {
        ((value - low) / (high - low)).clamp(0.0, 1.0)
    } else {
        0.5
    }
}

/// The half range that makes a whole dot: one cell in ten is less sure.
fn whole(halves: &[Option<f64>]) -> f64 {
    let mut known: Vec<f64> = halves.iter().flatten().copied().collect();
    known.sort_by(f64::total_cmp);
    known
        .get(known.len() * 9 / 10)
        .copied()
        .filter(|half| *half > 0.0)
        .unwrap_or(1.0)
}

fn halves(cells: &Cells) -> Vec<Option<f64>> {
    let half = |se: &Option<f64>| se.map(|se| (Ranged::half(se) * 1e3).round() / 1e3);
    cells.se.iter().map(half).collect()
}

/// Makes cells ready.
pub fn live(cells: Cells, outline: Option<&str>) -> LiveMap {
    let ends = (cells.quantiles[0], cells.quantiles[4]);
    let half = halves(&cells);
    let whole_dot = whole(&half);
    LiveMap {
        shade: cells
            .mean
            .iter()
            .map(|mean| (share(*mean, ends) * 255.0).round() as u8)
            .collect(),
        dot: half
            .iter()
            .map(|half| {
                half.map_or(1.0, |half| {
                    (share(half, (0.0, whole_dot)).sqrt() * 1e3).round() / 1e3
                })
            })
            .collect(),
        half,
        whole_dot,
        key: key(ends),
        dot_key: dot_key(whole_dot),
        outline: outline
            .map(rings)
            .unwrap_or_default()
            .into_iter()
            .map(|ring| ring.into_iter().map(|(lon, lat)| [lat, lon]).collect())
            .collect(),
        cells,
    }
}

/// What a page says on the maps, in its reader's language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MapWords {
    /// What the map of values says.
    pub finding: String,
    /// What the map of doubt says.
    pub doubt: String,
    /// What is drawn.
    pub desc: String,
    /// The letter of north.
    pub north: String,
    /// The scale bar, metric or not.
    pub metric: bool,
}

/// The same map as a picture for paper, and for pages without scripts.
pub fn picture(map: &LiveMap, outline: Option<&str>, words: MapWords) -> FieldMap {
    let cells = &map.cells;
    let plan = plan(cells, outline);
    let ticks = |values: &[f64]| {
        values
            .iter()
            .map(|value| Tick {
                at: *value,
                text: format!("{value:.0}"),
            })
            .collect::<Vec<_>>()
    };
    let bar = if words.metric {
        Tick {
            at: 100.0,
            text: "100 m".to_owned(),
        }
    } else {
        Tick {
            at: 60.96,
            text: "200 ft".to_owned(),
        }
    };
    FieldMap {
        finding: Finding {
            title: words.finding,
            desc: words.desc.clone(),
        },
        doubt_finding: Finding {
            title: words.doubt,
            desc: words.desc,
        },
        cells: plan
            .cells
            .iter()
            .zip(&map.half)
            .map(|((east_m, north_m, value, _), half)| MapCell {
                east_m: *east_m,
                north_m: *north_m,
                value: *value,
                doubt: half.unwrap_or(map.whole_dot),
            })
            .collect(),
        cell_m: cells.cell_m,
        outline: plan.rings,
        range: (cells.quantiles[0], cells.quantiles[4]),
        ticks: ticks(&cells.quantiles),
        doubt_ticks: [0.25, 0.5, 1.0]
            .iter()
            .map(|part| Tick {
                at: part * map.whole_dot,
                text: format!("±{:.0}", part * map.whole_dot),
            })
            .collect(),
        ring: None,
        bar,
        north: words.north,
    }
}
