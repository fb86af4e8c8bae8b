//! What each slip measures, and how well: dry mass from wet mass and moisture, with both errors.
//!
//! `sd(dry)^2 = (1-M)^2 sd(W)^2 + W^2 sd(M)^2`, M as a fraction. A meter that reads `offset` points high
//! makes `W (1 - M)` too small by `W x offset`; a tare that is written too large makes it too small by
//! `(1 - M)` times as much.

use super::periods::Period;
use crate::slip::{CropId, MeterId, Place, PlaceId, ScaleClass, Slip, Stock, Weight};
use crate::square::{MeterKind, MoistureSource, Season, Settings};
use std::collections::BTreeMap;

/// Milliseconds in a day.
const DAY_MS: i64 = 86_400_000;

/// A moisture to dry a slip with.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Wetness {
    /// Share of the wet mass.
    pub(crate) fraction: f64,
    /// Its standard error, as a share.
    pub(crate) sd: f64,
    /// Whose offset it carries.
    pub(crate) meter: Option<MeterId>,
    pub(crate) source: MoistureSource,
}

/// The settings' view of one meter.
pub(crate) fn meter_sd(season: &Season, settings: &Settings, meter: &MeterId) -> f64 {
    let kind = season.meters.get(meter).copied().unwrap_or(MeterKind::Hand);
    settings.meter(meter, kind) / 100.0
}

fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    Some(if values.len() % 2 == 1 {
        values[half]
    } else {
        0.5 * (values[half - 1] + values[half])
    })
}

/// The moisture of every slip: its own, or the best that is near.
pub(crate) fn moistures(
    season: &Season,
    settings: &Settings,
    slips: &[&Slip],
    periods: &[Period],
) -> Vec<Wetness> {
    let own = |slip: &Slip| {
        slip.moisture.as_ref().map(|m| Wetness {
            fraction: m.value.fraction(),
            sd: meter_sd(season, settings, &m.meter),
            meter: Some(m.meter.clone()),
            source: MoistureSource::Own,
        })
    };
    let mut filling: Vec<Option<f64>> = vec![None; slips.len()];
    for period in periods {
        let read = |weighed: bool| {
            let mut values: Vec<f64> = period
                .slips()
                .map(|s| slips[s])
                .filter(|s| !weighed || matches!(s.weight, Weight::Scale { .. }))
                .filter_map(|s| s.moisture.as_ref().map(|m| m.value.fraction()))
                .collect();
            median(&mut values)
        };
        if let Some(value) = read(true).or_else(|| read(false)) {
            for slip in period.slips() {
                filling[slip].get_or_insert(value);
            }
        }
    }
    let mut by_day: BTreeMap<(&CropId, i64), Vec<f64>> = BTreeMap::new();
    let mut by_crop: BTreeMap<&CropId, Vec<f64>> = BTreeMap::new();
    for slip in slips {
        if let Some(m) = &slip.moisture {
            let day = slip.at_ms.div_euclid(DAY_MS);
            by_day
                .entry((&slip.crop, day))
                .or_default()
                .push(m.value.fraction());
            by_crop
                .entry(&slip.crop)
                .or_default()
                .push(m.value.fraction());
        }
    }
    let mut of_day = BTreeMap::new();
    for (key, mut values) in by_day {
        of_day.insert(key, median(&mut values));
    }
    let mut of_crop = BTreeMap::new();
    for (key, mut values) in by_crop {
        of_crop.insert(key, median(&mut values));
    }
    let borrowed = |fraction: f64, points: f64, source| Wetness {
        fraction,
        sd: points / 100.0,
        meter: None,
        source,
    };
    slips
        .iter()
        .enumerate()
        .map(|(index, slip)| {
            if let Some(found) = own(slip) {
                return found;
            }
            match slip.weight {
                Weight::Monitor { .. } => borrowed(0.0, 0.0, MoistureSource::Dry),
                Weight::Unknown => borrowed(0.15, 3.0, MoistureSource::None),
                _ => filling[index]
                    .map(|f| borrowed(f, settings.borrowed_points, MoistureSource::Filling))
                    .or_else(|| {
                        let day = slip.at_ms.div_euclid(DAY_MS);
                        let value = of_day.get(&(&slip.crop, day)).copied().flatten();
                        value.map(|f| borrowed(f, settings.day_points, MoistureSource::Day))
                    })
                    .or_else(|| {
                        let value = of_crop.get(&slip.crop).copied().flatten();
                        value
                            .map(|f| borrowed(f, 2.0 * settings.day_points, MoistureSource::Season))
                    })
                    .unwrap_or_else(|| borrowed(0.15, 3.0, MoistureSource::Guess)),
            }
        })
        .collect()
}

/// The moisture of a measured stock: its own, or the crop's median of the season.
pub(crate) fn stock_moisture(
    season: &Season,
    settings: &Settings,
    slips: &[&Slip],
    stock: &Stock,
) -> Wetness {
    if let Some(m) = &stock.moisture {
        return Wetness {
            fraction: m.value.fraction(),
            sd: meter_sd(season, settings, &m.meter),
            meter: Some(m.meter.clone()),
            source: MoistureSource::Own,
        };
    }
    let mut values: Vec<f64> = slips
        .iter()
        .filter(|s| s.crop == stock.crop)
        .filter_map(|s| s.moisture.as_ref().map(|m| m.value.fraction()))
        .collect();
    let (fraction, source) = match median(&mut values) {
        Some(value) => (value, MoistureSource::Season),
        None => (0.15, MoistureSource::Guess),
    };
    Wetness {
        fraction,
        sd: 2.0 * settings.day_points / 100.0,
        meter: None,
        source,
    }
}

/// What a slip's weight says, wet (or dry where a monitor shows dry), kg.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Weighed {
    pub(crate) kg: f64,
    /// Part of its standard error that does not grow with the true mass, kg.
    pub(crate) sd_kg: f64,
    /// Relative part, of the mean of the true and the written mass.
    pub(crate) relative: f64,
}

/// A guess of what a wagon weighs empty, kg: the farm's list, or two fifths of its load.
pub(crate) fn empty_kg(season: &Season, from: &[PlaceId], net_kg: f64) -> f64 {
    let listed: Option<f64> = from
        .iter()
        .map(|place| season.tares.get(place).map(|m| m.kg()))
        .sum();
    listed.unwrap_or(0.4 * net_kg.abs())
}

/// What this slip's weight is believed to be worth.
pub(crate) fn weighed(season: &Season, settings: &Settings, slip: &Slip) -> Option<Weighed> {
    let override_sd = settings.slip_relative_sd.get(&slip.id).copied();
    match &slip.weight {
        Weight::Scale {
            gross,
            tare,
            shared_tare,
            net,
            step,
            class,
            ..
        } => {
            let net_kg = net.kg();
            let relative = settings.scale(*class);
            let step_kg = step.kg() / 12.0_f64.sqrt();
            let on_scale = |kg: f64| (relative * kg).powi(2) + step_kg * step_kg;
            let variance = match (gross, tare) {
                // the tare's error is an unknown of its own, shared with others
                (Some(gross), _) if shared_tare.is_some() => on_scale(gross.kg()),
                (Some(gross), Some(tare)) => on_scale(gross.kg()) + on_scale(tare.kg()),
                _ if *class == ScaleClass::Certified => {
                    let tare = empty_kg(season, &slip.from, net_kg);
                    on_scale(net_kg.abs() + tare) + on_scale(tare)
                }
                _ => on_scale(net_kg),
            };
            Some(Weighed {
                kg: net_kg,
                sd_kg: override_sd.map_or(variance.sqrt(), |r| r * net_kg.abs()),
                relative: 0.0,
            })
        }
        Weight::Monitor { reading, .. } => Some(Weighed {
            kg: reading.kg(),
            sd_kg: 0.0,
            relative: override_sd.unwrap_or(settings.monitor_set),
        }),
        Weight::Eye { mass, .. } => Some(Weighed {
            kg: mass.kg(),
            sd_kg: 0.0,
            relative: override_sd.unwrap_or(settings.eye),
        }),
        Weight::Unknown => None,
    }
}

/// The meter that the others are counted from: the one named, or the buyer's read most often, or the
/// one read most often.
pub(crate) fn reference(season: &Season) -> Option<MeterId> {
    if season.reference_meter.is_some() {
        return season.reference_meter.clone();
    }
    let mut count: BTreeMap<&MeterId, usize> = BTreeMap::new();
    for slip in &season.slips {
        if let Some(m) = &slip.moisture {
            *count.entry(&m.meter).or_default() += 1;
        }
    }
    let buyers = |meter: &MeterId| season.meters.get(meter) == Some(&MeterKind::Buyer);
    count
        .into_iter()
        .max_by_key(|(meter, n)| (buyers(meter), *n, std::cmp::Reverse((*meter).clone())))
        .map(|(meter, _)| meter.clone())
}

/// Places by name.
pub(crate) fn by_name(season: &Season) -> BTreeMap<PlaceId, Place> {
    season
        .places
        .iter()
        .map(|p| (p.id.clone(), p.clone()))
        .collect()
}
