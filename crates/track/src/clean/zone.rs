//! Yields of a field's parts, and of one part against another.
//!
//! A zone's yield is the mean of the map's own cells, each by what of it lies in the zone and the field, so that zones and
//! map agree. Its standard error is that of this mean and not of so many independent cells: [`spatial::Kriging::means`]
//! gives the covariances that kriging's errors have with each other, widened like the map's to what passes left out
//! bear out. Where the map is closed to the scale, the error of the whole field's mean is taken out of each zone's: what
//! the monitor reads too high everywhere is no error of a part. The scale's own error is not in it.
//!
//! What the gain of a load, and the response to flow, are not known to is an error that a load's records have in common;
//! it goes into each zone by what the load weighs there. Without a scale the level of the whole is the monitor's, and
//! no error tells how far that is off; differences are then as sure as monitors are even from load to load.
//!
//! Limitations: what a pass errs in common (drift of the receiver) is in it only as far as passes left out show it.
//! A map is smoother than the ground: of a sharp step along a zone's border some of each side's yield is counted to the
//! other, which no error tells.

use super::chain::{Cleaned, Known};
use super::map::{Map, source};
use super::scale::Calibration;
use crate::{Track, TrackError};
use serde::{Deserialize, Serialize};
use spatial::{Block, Region, SpatialError};

/// A part of the field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Zone {
    /// Its name.
    pub name: String,
    /// Ground of it in the field, m2; on the map, where no boundary is known.
    pub area_m2: f64,
    /// Of that, the share that the map tells: the rest counts as if it yielded the same.
    pub told: f64,
    /// Kept records in it.
    pub records: usize,
    /// Mean dry yield at the base, kg/m2.
    pub dry_kg_m2: f64,
    /// Its standard error.
    pub error_kg_m2: f64,
    /// All of it, dry kg: mean times ground.
    pub dry_kg: f64,
    /// Its standard error, but for the ground's.
    pub error_kg: f64,
}

/// One zone less another, with the standard error that counts what both err in common.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ZoneDifference {
    /// Index of the one.
    pub of: usize,
    /// Index of the other.
    pub less: usize,
    /// Dry yield, kg/m2.
    pub dry_kg_m2: f64,
    /// Its standard error.
    pub error_kg_m2: f64,
}

/// What came of the zones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Zones {
    /// In the order asked.
    pub each: Vec<Zone>,
    /// Every pair, the earlier less the later.
    pub differences: Vec<ZoneDifference>,
}

impl Cleaned {
    /// A region of rings in degrees east and north, in the frame's meters.
    ///
    /// # Errors
    /// A ring that is none.
    pub fn region(&self, name: &str, rings: &[Vec<(f64, f64)>]) -> Result<Region, SpatialError> {
        let meters = |ring: &Vec<(f64, f64)>| {
            let each = ring.iter().map(|p| self.frame.xy(p.0, p.1));
            each.map(|p| [p.0, p.1]).collect()
        };
        Region::new(name, rings.iter().map(meters).collect())
    }
}

/// Tells zones apart on a map of the records of a track.
///
/// # Errors
/// A zone of which the map tells nothing.
pub fn zones(
    track: &Track,
    cleaned: &Cleaned,
    known: &Known,
    map: &Map,
    regions: &[Region],
) -> Result<Zones, TrackError> {
    let odd = |why: SpatialError| TrackError::Map {
        what: why.to_string(),
    };
    let ground = cleaned.ground(known);
    let cells = &map.cells;
    let count = map.told.len();
    let blocks: Vec<Block> = (0..count)
        .map(|c| Block {
            at: cells.middle(c).into(),
            size: [cells.side_m; 2],
        })
        .collect();
    let cell_m2 = cells.side_m * cells.side_m;
    let (mut lists, mut each) = (Vec::new(), Vec::new());
    for region in regions {
        let held = |block: &Block| {
            block.share_of(|at| {
                region.holds(at) && ground.as_ref().is_none_or(|g| g.holds(at.into()))
            })
        };
        let all: Vec<(usize, f64)> = (0..count)
            .filter(|c| map.share[*c] > 0.0)
            .map(|c| (c, held(&blocks[c])))
            .filter(|one| one.1 > 0.0)
            .collect();
        let told: Vec<(usize, f64)> = (all.iter().copied())
            .filter(|one| map.told[one.0].is_some())
            .collect();
        let sum = |of: &[(usize, f64)]| of.iter().map(|one| one.1).sum::<f64>();
        if told.is_empty() {
            return Err(TrackError::Map {
                what: format!(
                    "zone {} holds no cell of the map: does it lie in this field?",
                    region.name()
                ),
            });
        }
        let mass: f64 = (told.iter())
            .filter_map(|(c, share)| map.told[*c].map(|one| share * one.dry_kg_m2))
            .sum();
        let area_m2 = match &ground {
            Some(_) => area(region, cells.side_m, held),
            None => cell_m2 * sum(&all),
        };
        let mean = mass / sum(&told);
        let kept = cleaned.records.iter().filter(|r| r.flag.is_none());
        each.push(Zone {
            name: region.name().to_owned(),
            area_m2,
            told: (cell_m2 * sum(&told) / area_m2).min(1.0),
            records: kept.filter(|r| region.holds(r.at.into())).count(),
            dry_kg_m2: mean,
            error_kg_m2: 0.0,
            dry_kg: mean * area_m2,
            error_kg: 0.0,
        });
        lists.push(told);
    }
    let closed = map.closed_by.filter(|_| ground.is_some());
    if closed.is_some() {
        let whole = (0..count).filter(|c| map.told[*c].is_some());
        lists.push(whole.map(|c| (c, map.share[c])).collect());
    }
    let from = source(cleaned, map.unmixed);
    let kriging = from.kriging(map.model)?;
    let mut means = kriging.means(&blocks, &lists).map_err(odd)?;
    let load_of = |nth: usize| {
        let point = cleaned.records[from.records[nth]].point;
        track.points.get(point).and_then(|point| point.load)
    };
    for (loads, error) in gains(cleaned, track.loads.len()) {
        means.add_common(error * error, |nth| {
            let own = load_of(nth).is_some_and(|load| loads.contains(&load));
            if own { from.values[nth] } else { 0.0 }
        });
    }
    let flow = &cleaned.calibration;
    if flow.flow_mean.is_finite() && flow.flow_se.is_finite() {
        means.add_common(flow.flow_se * flow.flow_se, |nth| {
            let r = &cleaned.records[from.records[nth]];
            from.values[nth] * Calibration::bend(r.arrived_kg / r.dt, flow.flow_mean)
        });
    }
    let widened =
        map.pass_out.as_ref().map_or(1.0, |out| out.inflation) * map.closed_by.unwrap_or(1.0);
    let n = each.len();
    let covariance = |a: usize, b: usize| {
        let of = |a: usize, b: usize| means.covariance[a][b];
        let own = if closed.is_some() {
            // of e_a - r_a e_whole and e_b - r_b e_whole, r a zone's mean over the whole's
            let ratio = |z: usize| means.values[z] / means.values[n];
            of(a, b) - ratio(a) * of(n, b) - ratio(b) * of(a, n) + ratio(a) * ratio(b) * of(n, n)
        } else {
            of(a, b)
        };
        widened * widened * own
    };
    for (z, zone) in each.iter_mut().enumerate() {
        zone.error_kg_m2 = covariance(z, z).max(0.0).sqrt();
        zone.error_kg = zone.error_kg_m2 * zone.area_m2;
    }
    let pairs = (0..n).flat_map(|a| (a + 1..n).map(move |b| (a, b)));
    Ok(Zones {
        differences: pairs
            .map(|(a, b)| ZoneDifference {
                of: a,
                less: b,
                dry_kg_m2: each[a].dry_kg_m2 - each[b].dry_kg_m2,
                error_kg_m2: (covariance(a, a) + covariance(b, b) - 2.0 * covariance(a, b))
                    .max(0.0)
                    .sqrt(),
            })
            .collect(),
        each,
    })
}

/// Square meters of a region that are so, from blocks over all of it, of the map or not.
fn area(region: &Region, side_m: f64, share: impl Fn(&Block) -> f64) -> f64 {
    /// Blocks along a side at most, for a region far larger than the field.
    const MOST: f64 = 1_000.0;
    let along = |axis: usize| {
        let of = || region.rings().iter().flatten().map(|p| p[axis]);
        let low = of().fold(f64::INFINITY, f64::min);
        (low, of().fold(f64::NEG_INFINITY, f64::max) - low)
    };
    let (x, y) = (along(0), along(1));
    let side = side_m.max(x.1.max(y.1) / MOST);
    let count = |long: f64| (long / side).ceil() as usize;
    let middle = |low: f64, nth: usize| low + (nth as f64 + 0.5) * side;
    let blocks = (0..count(x.1) * count(y.1)).map(|k| Block {
        at: [middle(x.0, k % count(x.1)), middle(y.0, k / count(x.1))],
        size: [side; 2],
    });
    blocks.map(|block| share(&block)).sum::<f64>() * side * side
}

/// Loads whose gain is one, and what it is not known to, as a share. Loads of no weighing have gains of their own.
fn gains(cleaned: &Cleaned, loads: usize) -> Vec<(Vec<u32>, f64)> {
    let calibration = &cleaned.calibration;
    let used = calibration.fitted.iter().filter(|one| one.used);
    let mut out: Vec<(Vec<u32>, f64)> = used.map(|one| (one.loads.clone(), one.gain_se)).collect();
    for load in 0..u32::try_from(loads).unwrap_or(u32::MAX) {
        if !out.iter().any(|one| one.0.contains(&load)) {
            out.push((vec![load], calibration.gain_sd));
        }
    }
    out
}
