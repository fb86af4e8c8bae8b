//! Records to a map that says how sure it is.
//!
//! The variogram is that of pairs from different passes, for what two records of one pass share (a lag, a gain, the
//! receiver's drift) is not the ground's. Errors so shared are larger than the nugget fitted to distances: a few
//! larger nuggets are tried, and so are the records as shifted and as unmixed. What foretells whole passes that were
//! left out best is taken, and the standard errors are widened to what those passes bear out.
//!
//! Last the map is closed: its sum over the field is what the scale says came off.

use super::cells::{Cells, share};
use super::chain::{Cleaned, Known, Record};
use super::flag::Flag;
use super::lag::remix;
use crate::TrackError;
use serde::Serialize;
use spatial::{
    Bin, Block, Cross, Estimate, Estimator, Held, Kind, Kriging, Model, Near, Pairs, Place, Shared,
    Weights, Without, fit, variogram,
};
use std::collections::BTreeMap;

/// Lags of the variogram: bins of about a swath, not farther than tells the map.
const BIN_M: f64 = 10.0;
const CUTOFF_M: f64 = 100.0;
const NEIGHBORS: usize = 64;
/// Shares of the sill tried as more nugget, until passes left out are foretold no better.
const MORE_NUGGET: [f64; 7] = [0.0, 0.03, 0.1, 0.2, 0.35, 0.55, 0.8];
/// Records that are foretold to choose by; more add nothing but time.
const FORETOLD: usize = 12_000;
/// An unmixed record is used while its doubt is below this share of the ground's own scatter.
const KNOWN: f64 = 0.6;

/// A cell's yield.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Told {
    /// Dry at the base, kg/m2.
    pub dry_kg_m2: f64,
    /// Its standard error, as borne out by passes left out.
    pub error_kg_m2: f64,
}

/// How far off one pass was foretold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PassOff {
    /// The pass, from 0.
    pub pass: u32,
    /// Records that were foretold.
    pub records: usize,
    /// Mean of foretold less the records' own, kg/m2.
    pub mean_kg_m2: f64,
    /// Standard deviation of that.
    pub sd_kg_m2: f64,
}

/// How well whole passes were foretold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassOut {
    /// Records that were foretold.
    pub records: usize,
    /// Passes.
    pub passes: usize,
    /// Root of the mean squared difference to what the sensor read, from records as shifted, kg/m2.
    pub rmse_shifted_kg_m2: f64,
    /// The same from unmixed records, what was foretold mixed again as the machine mixes.
    pub rmse_unmixed_kg_m2: Option<f64>,
    /// By what standard errors of the model were multiplied.
    pub inflation: f64,
    /// Pass by pass, of the records used.
    pub each: Vec<PassOff>,
}

/// A map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Map {
    /// The grid.
    pub cells: Cells,
    /// Each cell from the south-west, row by row; none where nothing is near, or outside the field.
    pub told: Vec<Option<Told>>,
    /// Share of each cell in the field; 1 everywhere where no boundary is known.
    pub share: Vec<f64>,
    /// The variogram and its curve, (kg/m2)^2.
    pub bins: Vec<Bin>,
    /// Curve fitted to them.
    pub fitted: Model,
    /// Curve used: its nugget as passes left out are foretold best.
    pub model: Model,
    /// The range ran away: sill and range are not known apart.
    pub runaway: bool,
    /// Whether unmixed records foretold better than shifted ones, and were used.
    pub unmixed: bool,
    /// How well whole passes were foretold; none with fewer than three.
    pub pass_out: Option<PassOut>,
    /// What every cell was multiplied by so that the field's sum is the scale's; none without a scale.
    pub closed_by: Option<f64>,
}

pub(super) struct Source {
    places: Vec<Place>,
    pub(super) values: Vec<f64>,
    passes: Vec<u32>,
    /// Half the line that each was cut across, m.
    across: Vec<Place>,
    /// Record of each.
    pub(super) records: Vec<usize>,
}

pub(super) fn source(cleaned: &Cleaned, unmixed: bool) -> Source {
    let mut out = Source {
        places: Vec::new(),
        values: Vec::new(),
        passes: Vec::new(),
        across: Vec::new(),
        records: Vec::new(),
    };
    for (i, r) in cleaned.records.iter().enumerate() {
        let value = if unmixed {
            let fits = matches!(
                r.flag,
                None | Some(Flag::Start | Flag::End | Flag::Unlogged)
            );
            r.unmixed
                .filter(|one| fits && r.area_m2 > 0.0 && one.sd < KNOWN * cleaned.mixing.sd)
                .map(|one| one.dry_kg_m2)
        } else {
            r.dry_kg_m2.filter(|_| r.flag.is_none())
        };
        if let Some(value) = value {
            out.places.push([r.at.0, r.at.1]);
            out.values.push(value);
            out.passes.push(r.pass);
            out.across.push(across(r));
            out.records.push(i);
        }
    }
    out
}

/// Half the line that a record was cut across.
fn across(record: &Record) -> Place {
    let half = 0.5 * record.width_m;
    [-half * record.ahead.1, half * record.ahead.0]
}

impl Source {
    fn curve(&self) -> Result<(Vec<Bin>, spatial::Fit), TrackError> {
        let odd = |why: spatial::SpatialError| TrackError::Map {
            what: why.to_string(),
        };
        let of = |pairs: Pairs<'_>| {
            variogram(
                &self.places,
                &self.values,
                BIN_M,
                CUTOFF_M,
                Estimator::Classical,
                pairs,
            )
        };
        let mut bins = of(Pairs::Between(&self.passes)).map_err(odd)?;
        if bins.len() < 4 {
            bins = of(Pairs::All).map_err(odd)?;
        }
        let found = fit(&bins, Kind::Exponential, Weights::PairsOverDistance2).map_err(odd)?;
        Ok((bins, found))
    }

    pub(super) fn kriging(&self, model: Model) -> Result<Kriging<'_>, TrackError> {
        Kriging::new(&self.places, &self.values, model, Near::nearest(NEIGHBORS))
            .and_then(|one| one.in_groups(&self.passes, Shared::none()))
            .and_then(|one| one.spread(&self.across))
            .map_err(|why| TrackError::Map {
                what: why.to_string(),
            })
    }

    /// Foretells whole passes from all others: what the sensor read of each kept record, kg/m2 of its ground.
    fn pass_out(
        &self,
        model: Model,
        cleaned: &Cleaned,
        asked: &[Vec<usize>],
        unmixed: bool,
    ) -> Result<Foretold, TrackError> {
        let kriging = self.kriging(model)?;
        let records = &cleaned.records;
        let targets: Vec<Without> = asked
            .iter()
            .flatten()
            .map(|i| Without {
                at: [records[*i].at.0, records[*i].at.1],
                half: across(&records[*i]),
                group: records[*i].pass,
            })
            .collect();
        let told = kriging.at_without(&targets);
        let (mut held, mut sum, mut n, mut at) = (Vec::new(), 0.0, 0, 0);
        for pass in asked {
            let of = &told[at..at + pass.len()];
            at += pass.len();
            let dry = |i: usize| records[i].dry_share(cleaned);
            let ground = pass.iter().zip(of).map(|(i, one)| {
                let r = &records[*i];
                (r.dt, one.map_or(0.0, |one| one.value * r.area_m2))
            });
            let lag_s = if unmixed { cleaned.mixing.lag_s } else { 0.0 };
            let reads = remix(ground, lag_s);
            for ((i, one), read) in pass.iter().zip(of).zip(reads) {
                let r = &records[*i];
                let mass = if unmixed { r.mixed_kg } else { r.cut_kg };
                let (Some(one), Some(mass), None) = (one, mass, r.flag) else {
                    continue;
                };
                let off = (read - mass * dry(*i)) / r.area_m2;
                sum += off * off;
                n += 1;
                let own = if unmixed {
                    r.unmixed.map(|u| u.dry_kg_m2)
                } else {
                    r.dry_kg_m2
                };
                if let Some(own) = own {
                    held.push(Held {
                        point: *i as u32,
                        off: one.value - own,
                        variance: one.variance,
                    });
                }
            }
        }
        Ok(Foretold {
            rmse: f64::sqrt(sum / f64::from(n.max(1))),
            cross: Cross::of(held),
        })
    }
}

/// Passes that were left out, foretold.
struct Foretold {
    /// Against what the sensor read, kg/m2.
    rmse: f64,
    /// Against the records' own yields.
    cross: Cross,
}

struct Choice {
    unmixed: bool,
    model: Model,
    bins: Vec<Bin>,
    fitted: Model,
    runaway: bool,
    out: Option<Foretold>,
}

/// The best of the nuggets for one kind of records.
fn choose(
    cleaned: &Cleaned,
    source: &Source,
    unmixed: bool,
    asked: &[Vec<usize>],
) -> Result<Choice, TrackError> {
    let (bins, found) = source.curve()?;
    let base = found.model;
    let mut best = Choice {
        unmixed,
        model: base,
        bins,
        fitted: base,
        runaway: found.runaway,
        out: None,
    };
    for more in MORE_NUGGET {
        if asked.len() < 2 {
            break;
        }
        let model = Model {
            nugget: base.nugget + more * base.sill,
            ..base
        };
        let out = source.pass_out(model, cleaned, asked, unmixed)?;
        if best.out.as_ref().is_some_and(|one| out.rmse >= one.rmse) {
            break;
        }
        (best.model, best.out) = (model, Some(out));
    }
    Ok(best)
}

fn by_pass(held: &[Held], cleaned: &Cleaned) -> Vec<PassOff> {
    let mut all: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for one in held {
        let pass = cleaned.records[one.point as usize].pass;
        all.entry(pass).or_default().push(one.off);
    }
    let off = |(pass, offs): (u32, Vec<f64>)| {
        let n = offs.len() as f64;
        let mean = offs.iter().sum::<f64>() / n;
        let squares: f64 = offs.iter().map(|off| (off - mean).powi(2)).sum();
        PassOff {
            pass,
            records: offs.len(),
            mean_kg_m2: mean,
            sd_kg_m2: (squares / (n - 1.0).max(1.0)).sqrt(),
        }
    };
    all.into_iter().map(off).collect()
}

/// A lag shorter than a record is not told from none.
fn lag_is_told(cleaned: &Cleaned) -> bool {
    let mut lengths: Vec<f64> = cleaned.records.iter().map(|r| r.dt).collect();
    super::median(&mut lengths).is_some_and(|usual| cleaned.mixing.lag_s > usual)
}

/// Records with ground of whole passes, evenly chosen, in the order of the log.
fn left_out(cleaned: &Cleaned, passes: &[u32]) -> Vec<Vec<usize>> {
    let kept = cleaned.records.iter().filter(|r| r.flag.is_none()).count();
    // an odd step, or all of them were driven the same way
    let every = kept.div_ceil(FORETOLD).max(1) | 1;
    let mut out: Vec<Vec<usize>> = passes.iter().step_by(every).map(|_| Vec::new()).collect();
    for (i, r) in cleaned.records.iter().enumerate() {
        let Ok(at) = passes.binary_search(&r.pass) else {
            continue;
        };
        if at % every == 0 && r.area_m2 > 0.0 {
            out[at / every].push(i);
        }
    }
    out
}

/// Maps what was cleaned.
///
/// # Errors
/// No record fit to be mapped, or too few for a variogram.
pub fn map(cleaned: &Cleaned, known: &Known, cells: Cells) -> Result<Map, TrackError> {
    let shifted = source(cleaned, false);
    if shifted.values.is_empty() {
        return Err(TrackError::Map {
            what: "no record is fit to be mapped".to_owned(),
        });
    }
    let mut passes = shifted.passes.clone();
    passes.sort_unstable();
    passes.dedup();
    let asked = left_out(cleaned, &passes);
    let plain = choose(cleaned, &shifted, false, &asked)?;
    let plain_rmse = plain.out.as_ref().map(|one| one.rmse);
    let unmixed = source(cleaned, true);
    let mut mixed_out = None;
    let (chosen, from) =
        match (plain.out.is_some() && lag_is_told(cleaned) && !unmixed.values.is_empty())
            .then(|| choose(cleaned, &unmixed, true, &asked))
            .transpose()?
        {
            Some(other) => {
                mixed_out = other.out.as_ref().map(|one| one.rmse);
                if mixed_out < plain_rmse {
                    (other, &unmixed)
                } else {
                    (plain, &shifted)
                }
            }
            None => (plain, &shifted),
        };
    let inflation = chosen.out.as_ref().map_or(1.0, |one| one.cross.inflation());
    let kriging = from.kriging(chosen.model)?;
    let ground = cleaned.ground(known);
    let share: Vec<f64> = (0..cells.len())
        .map(|c| ground.as_ref().map_or(1.0, |g| share(g, &cells, c)))
        .collect();
    let wanted: Vec<usize> = (0..cells.len()).filter(|c| share[*c] > 0.0).collect();
    let blocks: Vec<Block> = wanted
        .iter()
        .map(|c| {
            let at = cells.middle(*c);
            Block {
                at: [at.0, at.1],
                size: [cells.side_m; 2],
            }
        })
        .collect();
    let mut told: Vec<Option<Told>> = vec![None; cells.len()];
    for (c, one) in wanted.iter().zip(kriging.over(&blocks)) {
        told[*c] = one.map(|one: Estimate| Told {
            dry_kg_m2: one.value.max(0.0),
            error_kg_m2: one.variance.sqrt() * inflation,
        });
    }
    let closed_by = close(&mut told, &share, &cells, cleaned, ground.is_some());
    Ok(Map {
        cells,
        told,
        share,
        bins: chosen.bins,
        fitted: chosen.fitted,
        model: chosen.model,
        runaway: chosen.runaway,
        unmixed: chosen.unmixed,
        pass_out: chosen.out.zip(plain_rmse).map(|(out, shifted)| PassOut {
            records: out.cross.held.len(),
            passes: asked.len(),
            rmse_shifted_kg_m2: shifted,
            rmse_unmixed_kg_m2: mixed_out,
            inflation,
            each: by_pass(&out.cross.held, cleaned),
        }),
        closed_by,
    })
}

/// Makes the map's sum what the scale says came off: over the field where its boundary is known, else over the
/// ground that was cut.
fn close(
    told: &mut [Option<Told>],
    share: &[f64],
    cells: &Cells,
    cleaned: &Cleaned,
    bounded: bool,
) -> Option<f64> {
    let scale = cleaned.scale_dry_kg?;
    let sum: f64 = if bounded {
        let cell = cells.side_m * cells.side_m;
        told.iter()
            .zip(share)
            .filter_map(|(one, share)| one.map(|one| one.dry_kg_m2 * share * cell))
            .sum()
    } else {
        cleaned
            .records
            .iter()
            .filter(|r| r.area_m2 > 0.0)
            .filter_map(|r| told[cells.cell_of(r.at)?].map(|one| one.dry_kg_m2 * r.area_m2))
            .sum()
    };
    let by = scale / sum;
    if !by.is_finite() || by <= 0.0 {
        return None;
    }
    for one in told.iter_mut().flatten() {
        one.dry_kg_m2 *= by;
        one.error_kg_m2 *= by;
    }
    Some(by)
}
