//! The same figure in the units of its reader: bushels, pounds and acres, or tonnes and hectares.

use crate::ranged::Ranged;
use facts::Crop;
use quantity::{Area, AreaUnit, BushelWeight, MassUnit, Units};
use serde::Serialize;

/// A figure as its reader counts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Read {
    /// The figure with its range.
    pub figure: Ranged,
    /// Its unit, an English word or symbol.
    pub unit: &'static str,
    /// Decimals that its doubt leaves meaning to; those of a figure without doubt are the unit's own.
    pub places: usize,
}

/// Half a range under which decimals still mean something, the finest first.
const DOUBTS: [(f64, usize); 2] = [(0.095, 2), (0.95, 1)];

/// Decimals for a figure: as its doubt allows, and never more than `most`; those of a figure without
/// doubt are `exact`.
fn places(figure: Ranged, exact: usize, most: usize) -> usize {
    let half = figure.half_width();
    if half <= 0.0 || !half.is_finite() {
        return exact;
    }
    let fine = DOUBTS.iter().find(|(below, _)| half < *below);
    fine.map_or(0, |(_, places)| (*places).min(most))
}

fn bushel(crop: &str) -> Option<BushelWeight> {
    let known: Crop = crop.parse().ok()?;
    grain::legal_bushel(known).ok()
}

/// Bushels of a crop; in metric units the tonnes that those bushels weigh at their own moisture.
///
/// ```
/// use desk::{Ranged, reader};
/// use quantity::Units;
/// let corn = reader::bushels("corn", Ranged::of(1_000.0, 0.0), Units::Metric);
/// assert!((corn.figure.value - 25.401).abs() < 1e-3); // 56,000 lb
/// assert_eq!(corn.unit, "t");
/// ```
pub fn bushels(crop: &str, bu: Ranged, units: Units) -> Read {
    match (units, bushel(crop)) {
        (Units::Metric, Some(weight)) => {
            let tonnes = weight.mass().to(MassUnit::Tonne);
            let figure = bu.times(tonnes);
            Read {
                figure,
                unit: "t",
                places: places(figure, 2, 2),
            }
        }
        _ => Read {
            figure: bu,
            unit: "bu",
            places: places(bu, 0, 1),
        },
    }
}

/// Pounds; in metric units kilograms.
pub fn pounds(lb: Ranged, units: Units) -> Read {
    let figure = match units {
        Units::Us => lb,
        Units::Metric => lb.times(MassUnit::Lb.per() as f64 / MassUnit::Kg.per() as f64),
    };
    Read {
        figure,
        unit: match units {
            Units::Us => "lb",
            Units::Metric => "kg",
        },
        places: 0,
    }
}

/// Acres; in metric units hectares.
pub fn acres(ac: Ranged, units: Units) -> Read {
    let hectare = Area::new(1.0, AreaUnit::Ac).map_or(f64::NAN, |acre| acre.to(AreaUnit::Ha));
    let figure = match units {
        Units::Us => ac,
        Units::Metric => ac.times(hectare),
    };
    Read {
        figure,
        unit: match units {
            Units::Us => "ac",
            Units::Metric => "ha",
        },
        places: places(figure, 1, 1),
    }
}

/// Bushels an acre; in metric units tonnes a hectare of what those bushels weigh.
///
/// ```
/// use desk::{Ranged, reader};
/// use quantity::Units;
/// // 60 bu/ac of soybeans are 4.04 t/ha, as extension tables print it
/// let beans = reader::per_acre("soybeans", Ranged::of(60.0, 0.0), Units::Metric);
/// assert!((beans.figure.value - 4.035).abs() < 1e-3);
/// ```
pub fn per_acre(crop: &str, bu_ac: Ranged, units: Units) -> Read {
    match (units, bushel(crop)) {
        (Units::Metric, Some(weight)) => {
            let figure = bu_ac.times(weight.kg_per_ha() / 1_000.0);
            Read {
                figure,
                unit: "t/ha",
                places: places(figure, 2, 2),
            }
        }
        _ => Read {
            figure: bu_ac,
            unit: "bu/ac",
            places: places(bu_ac, 1, 1),
        },
    }
}

/// A level in per cent as a share of level full: 75 % is 0.75.
pub fn level(percent: f64) -> f64 {
    percent / 100.0
}

/// A chance as so many of ten.
///
/// ```
/// assert_eq!(desk::reader::of_ten(0.83), 8);
/// ```
pub fn of_ten(chance: f64) -> u8 {
    (chance.clamp(0.0, 1.0) * 10.0).round() as u8
}

/// The ends of an axis that holds all of these and some air, at whole steps of 1, 2 or 5 and tens of them;
/// none for no figure at all.
///
/// ```
/// assert_eq!(desk::reader::axis([41.0, 43.2, 58.0, 34.0]), Some((30.0, 60.0)));
/// ```
pub fn axis(values: impl IntoIterator<Item = f64>) -> Option<(f64, f64)> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values.into_iter().filter(|value| value.is_finite()) {
        low = low.min(value);
        high = high.max(value);
    }
    if low > high {
        return None;
    }
    let span = (high - low).max(0.1 * high.abs()).max(1e-9);
    let ten = 10_f64.powf((span / 4.0).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|times| times * ten)
        .find(|step| span / step <= 6.0)
        .unwrap_or(10.0 * ten);
    let first = (low / step).floor() * step;
    let last = (high / step).ceil() * step;
    Some(if first < last {
        (first, last)
    } else {
        (first - step, last + step)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_those_that_the_doubt_leaves() {
        let read = |value, half| {
            let range = Ranged {
                value,
                low: value - half,
                high: value + half,
            };
            per_acre("soybeans", range, Units::Us).places
        };
        assert_eq!(read(41.2, 0.8), 1);
        assert_eq!(read(83.0, 4.0), 0);
        assert_eq!(read(41.2, 0.0), 1);
        let one = Ranged::of(1_451.0, 3.0);
        assert_eq!(bushels("soybeans", one, Units::Us).places, 0);
    }

    #[test]
    fn a_crop_without_a_bushel_keeps_its_unit() {
        let none = bushels("nothing", Ranged::of(5.0, 1.0), Units::Metric);
        assert_eq!(none.unit, "bu");
    }

    #[test]
    fn an_acre_is_the_international_one() {
        let acre = acres(Ranged::of(1.0, 0.0), Units::Metric);
        assert!((acre.figure.value - 0.404_685_642_24).abs() < 1e-12);
    }
}
