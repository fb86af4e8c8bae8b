//! A map of cells made ready to be looked at: shades and dots worked out, so that no page reckons.

use super::cells::rings;
use super::{Cells, plan};
use crate::{Ranged, reader};
use draw::{FieldMap, Finding, MapCell, Tick};
use quantity::Units;
use serde::Serialize;

/// Cells with their shade, their doubt and the outline, for a map that is moved about.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LiveMap {
    /// The cells, their figures in `unit`.
    pub cells: Cells,
    /// The unit of every figure, an English word: the reader's own.
    pub unit: &'static str,
    /// Decimals that the figures are shown with.
    pub places: usize,
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
fn key((low, high): (f64, f64), places: usize) -> Vec<KeyTick> {
    [0.0, 0.25, 0.5, 0.75, 1.0]
        .iter()
        .map(|share| KeyTick {
            share: *share,
            text: format!("{:.places$}", low + share * (high - low)),
        })
        .collect()
}

/// Half ranges whose dots grow by steps that the eye tells apart; a dot's area is its doubt.
fn dot_key(whole_dot: f64, places: usize) -> Vec<KeyTick> {
    [0.25_f64, 0.5, 1.0]
        .iter()
        .map(|part| KeyTick {
            share: part.sqrt(),
            text: format!("\u{b1}{:.places$}", part * whole_dot),
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

/// The same cells in the units of their reader, with the unit's word and its decimals.
fn in_units(mut cells: Cells, units: Units) -> (Cells, &'static str, usize) {
    let one = Ranged::of(1.0, 0.0);
    let (factor, unit, places) = if cells.base_moisture_pct.is_some() {
        let read = reader::per_acre(&cells.crop, one, units);
        // a monitor's cell is not known to the digit that a field's yield is
        (read.figure.value, read.unit, read.places.saturating_sub(1))
    } else {
        match units {
            Units::Us => (1.0, "lb/ac wet", 0),
            Units::Metric => (track::KG_PER_LB / track::M2_PER_AC * 10.0, "t/ha wet", 1),
        }
    };
    if units == Units::Metric {
        cells.unit = if cells.base_moisture_pct.is_some() {
            "dry_t_per_ha"
        } else {
            "wet_t_per_ha"
        };
    }
    for value in cells.mean.iter_mut().chain(cells.se.iter_mut().flatten()) {
        *value *= factor;
    }
    for value in cells.quantiles.iter_mut().chain(&mut cells.range) {
        *value *= factor;
    }
    (cells, unit, places)
}

/// Makes cells ready for a reader who counts in these units.
pub fn live(cells: Cells, outline: Option<&str>, units: Units) -> LiveMap {
    let (cells, unit, places) = in_units(cells, units);
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
        key: key(ends, places),
        dot_key: dot_key(whole_dot, places),
        unit,
        places,
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
                text: format!("{value:.0$}", map.places),
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
                text: format!("±{:.1$}", part * map.whole_dot, map.places),
            })
            .collect(),
        ring: None,
        bar,
        north: words.north,
    }
}

#[cfg(test)]
mod tests {
    use super::{Units, in_units};
    use crate::winter::Cells;

    fn one(base: Option<f64>) -> Cells {
        Cells {
            crop: "corn".to_owned(),
            cell_m: 10.0,
            enlarged: false,
            unit: if base.is_some() {
                "dry_bu_per_ac"
            } else {
                "wet_lb_per_ac"
            },
            base_moisture_pct: base,
            lon_edges: vec![0.0, 1.0],
            lat_edges: vec![0.0, 1.0],
            column: vec![0],
            row: vec![0],
            mean: vec![100.0],
            se: vec![Some(10.0)],
            n: vec![4],
            quantiles: [100.0; 5],
            range: [100.0; 2],
            bounds: [0.0, 0.0, 1.0, 1.0],
            points: 4,
            rows: 4,
            set_aside: 0,
            no_ground: 0,
            flagged: 0,
            assumed: Vec::new(),
        }
    }

    #[test]
    fn a_map_is_in_the_units_of_its_reader() {
        let (us, unit, _) = in_units(one(Some(15.5)), Units::Us);
        assert_eq!((us.mean[0], unit), (100.0, "bu/ac"));
        // 100 bu of 56 lb an acre: 5,600 x 0.45359237 kg over 0.40468564224 ha
        let (metric, unit, places) = in_units(one(Some(15.5)), Units::Metric);
        assert_eq!((unit, metric.unit, places), ("t/ha", "dry_t_per_ha", 1));
        assert!(
            (metric.mean[0] - 6.276_76).abs() < 1e-4,
            "{}",
            metric.mean[0]
        );
        assert!((metric.se[0].unwrap_or_default() - 0.627_676).abs() < 1e-5);
        let (wet, unit, _) = in_units(one(None), Units::Metric);
        assert_eq!((unit, wet.unit), ("t/ha wet", "wet_t_per_ha"));
        assert!((wet.mean[0] - 0.112_085).abs() < 1e-5, "{}", wet.mean[0]);
    }
}
