//! Records along an edge, put together to pieces of some meters, and how pieces err together.

use super::boundary::{Boundary, Class, Meets};
use crate::clean::{Cleaned, Flag, Record, median};
use spatial::{Estimator, Kind, Model, Pairs, Place, Weights, fit, variogram};
use std::collections::BTreeMap;

/// A piece is so long along its pass, m.
pub(super) const PIECE_M: f64 = 12.0;
/// Kept records this close to where their pass enters or leaves the crop still fill and empty the machine, s.
const CLEAR_S: f64 = 6.0;
/// Of its pass's usual line, what a record must have in the field: in point rows the receiver's drift is a large part
/// of what the fence leaves of a line.
const FULL: f64 = 0.97;
/// A pass that closes in on an edge at more than this (sine of 2.5 degrees) is not along it: within some meters of the
/// edge nobody knows what of its line was crop.
const CLOSING: f64 = 0.0436;
const CLOSED_M: f64 = 2.0;
/// Of that, what it must cut of new ground.
const NEW: f64 = 0.85;
/// Ground this far from every edge shows how the field scatters, m.
const INSIDE_M: f64 = 25.0;

/// A record's ground against the nearest edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    pub part: usize,
    /// From and to which distance its line reaches, m.
    pub low_m: f64,
    pub high_m: f64,
}

/// A piece of a pass.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub at: Place,
    pub pass: u32,
    pub area_m2: f64,
    pub dry_kg_m2: f64,
    /// Class, how met, distances in its own edge's terms; none far from all.
    pub near: Option<(Class, Meets, f64, f64)>,
}

/// Distances of every record with ground within the depth of an edge.
pub(super) fn near_edges(
    cleaned: &Cleaned,
    boundary: &Boundary,
    depth_m: f64,
) -> Vec<Option<Near>> {
    let one = |r: &Record| {
        if r.area_m2 <= 0.0 {
            return None;
        }
        let (part, far) = boundary.nearest(r.at, depth_m)?;
        let along = boundary.parts[part].along();
        let level = (along.0 * r.ahead.0 + along.1 * r.ahead.1).abs();
        let reach = 0.5 * level * r.width_m.max(r.inside_m);
        Some(Near {
            part,
            low_m: (far - reach).max(0.0),
            high_m: (far + reach).max(0.1),
        })
    };
    cleaned.records.iter().map(one).collect()
}

/// Says of each side how the passes of the inside meet it, from records farther than the rounds of a headland reach.
pub(super) fn meet(
    cleaned: &Cleaned,
    boundary: &mut Boundary,
    near: &[Option<Near>],
    swath_m: f64,
) {
    const ROUNDS: f64 = 3.0;
    let sides = boundary.parts.last().map_or(0, |last| last.side + 1);
    let mut sums = vec![(0.0, 0.0); sides];
    for (r, near) in cleaned.records.iter().zip(near) {
        let Some(near) = near.filter(|near| near.low_m > ROUNDS * swath_m) else {
            continue;
        };
        let part = &boundary.parts[near.part];
        let along = part.along();
        let sum = &mut sums[part.side];
        sum.0 += r.area_m2 * (along.0 * r.ahead.0 + along.1 * r.ahead.1).abs();
        sum.1 += r.area_m2;
    }
    for part in &mut boundary.parts {
        let (sum, n) = sums[part.side];
        if n > 0.0 && sum / n < std::f64::consts::FRAC_1_SQRT_2 {
            part.meets = Meets::Ending;
        }
    }
}

/// What half of each pass's records have in the field at least, m.
fn usual_lines(cleaned: &Cleaned) -> BTreeMap<u32, f64> {
    let mut lines: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for r in cleaned.records.iter().filter(|r| r.area_m2 > 0.0) {
        lines.entry(r.pass).or_default().push(r.inside_m);
    }
    let middle = |(pass, mut all): (u32, Vec<f64>)| (pass, median(&mut all).unwrap_or(0.0));
    lines.into_iter().map(middle).collect()
}

/// Whether each record may tell of an edge: kept, of a full line, and clear of where its pass enters or leaves the crop.
pub(super) fn fit_to_tell(
    cleaned: &Cleaned,
    boundary: &Boundary,
    near: &[Option<Near>],
    swath_m: f64,
) -> Vec<bool> {
    let closing = |r: &Record, near: &Near| {
        let along = boundary.parts[near.part].along();
        let angle = along.0 * r.ahead.1 - along.1 * r.ahead.0;
        near.low_m < CLOSED_M && angle.abs() > CLOSING
    };
    let records = &cleaned.records;
    let in_crop = |r: &Record| {
        let off = matches!(
            r.flag,
            Some(Flag::HeadUp | Flag::OldGround | Flag::Jump | Flag::Repeated)
        );
        r.area_m2 > 0.0 && !off
    };
    let usual = usual_lines(cleaned);
    let mut out = vec![false; records.len()];
    let mut start = 0;
    while start < records.len() {
        let mut end = start + 1;
        if in_crop(&records[start]) {
            let goes_on = |a: &Record, b: &Record| {
                a.pass == b.pass && in_crop(b) && b.t - a.t <= 2.0 * b.dt.max(1.0)
            };
            while end < records.len() && goes_on(&records[end - 1], &records[end]) {
                end += 1;
            }
            let (first, last) = (records[start].t, records[end - 1].t);
            for i in start..end {
                let r = &records[i];
                let clear = cleaned.ends.start_s.min(CLEAR_S) + CLEAR_S;
                let line = usual.get(&r.pass).copied().unwrap_or(swath_m);
                let full = r.inside_m >= FULL * line && r.width_m >= NEW * swath_m;
                let clear = r.t - first > clear && last - r.t > clear;
                let apart = !near[i].is_some_and(|near| closing(r, &near));
                out[i] = r.flag.is_none() && full && clear && apart;
            }
        }
        start = end;
    }
    out
}

/// Pieces of the records that may tell.
pub(super) fn pieces(
    cleaned: &Cleaned,
    boundary: &Boundary,
    near: &[Option<Near>],
    tells: &[bool],
    scale: impl Fn(usize) -> f64,
) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    let mut last: Option<(usize, f64)> = None;
    for (i, r) in cleaned.records.iter().enumerate() {
        let (Some(dry), true) = (r.dry_kg_m2, tells[i]) else {
            continue;
        };
        let of = near[i].map(|near| {
            let part = &boundary.parts[near.part];
            let by = scale(near.part);
            (part.class, part.meets, by * near.low_m, by * near.high_m)
        });
        let group = |of: &Option<(Class, Meets, f64, f64)>| of.map(|one| (one.0, one.1));
        let moved = r.area_m2 / r.width_m.max(0.1);
        let goes_on = out.last().zip(last).is_some_and(|(piece, (before, gone))| {
            i - before <= 3
                && piece.pass == r.pass
                && gone + moved <= PIECE_M
                && group(&piece.near) == group(&of)
        });
        if let (true, Some(piece), Some((_, gone))) = (goes_on, out.last_mut(), last) {
            let share = r.area_m2 / (piece.area_m2 + r.area_m2);
            piece.at[0] += share * (r.at.0 - piece.at[0]);
            piece.at[1] += share * (r.at.1 - piece.at[1]);
            piece.dry_kg_m2 += share * (dry - piece.dry_kg_m2);
            piece.area_m2 += r.area_m2;
            if let (Some(near), Some(of)) = (&mut piece.near, of) {
                near.2 = near.2.min(of.2);
                near.3 = near.3.max(of.3);
            }
            last = Some((i, gone + moved));
        } else {
            out.push(Piece {
                at: [r.at.0, r.at.1],
                pass: r.pass,
                area_m2: r.area_m2,
                dry_kg_m2: dry,
                near: of,
            });
            last = Some((i, moved));
        }
    }
    // half a piece or less says little and counts as much
    out.retain(|piece| piece.area_m2 > 0.0);
    out
}

/// How pieces err together: a curve, and what those of one pass share.
#[derive(Debug, Clone, Copy)]
pub(super) struct Errors {
    pub model: Model,
    pub shared: f64,
}

/// From pieces of the inside: pairs of different passes give the curve, and what pairs of one pass differ less at the
/// same distance is what a pass shares.
///
/// Where passes overlap by a little, nobody can tell the receiver's drift from true overlap: the cleaning divides it out
/// as drift. A pass that lies along an edge overlaps nothing on that side, so its yield may differ from the inside's by
/// that much for no reason of the ground; a third of its square, the variance of anything from none of it to all, is
/// taken as shared by a pass too.
pub(super) fn errors(pieces: &[Piece], overlap: f64) -> Result<Errors, String> {
    const CUTOFF_M: f64 = 120.0;
    const SHARED_WITHIN_M: f64 = 36.0;
    const LEAST: usize = 60;
    let inside = |piece: &&Piece| piece.near.is_none_or(|near| near.2 > INSIDE_M);
    let of: Vec<&Piece> = pieces.iter().filter(inside).collect();
    if of.len() < LEAST {
        return Err(format!(
            "{} stretches of {PIECE_M:.0} m lie farther than {INSIDE_M:.0} m from every edge, and it takes {LEAST} to tell how the field scatters",
            of.len()
        ));
    }
    let places: Vec<Place> = of.iter().map(|piece| piece.at).collect();
    let mut values: Vec<f64> = of.iter().map(|piece| piece.dry_kg_m2).collect();
    let level = clip(&mut values);
    let passes: Vec<u32> = of.iter().map(|piece| piece.pass).collect();
    let bins = |pairs: Pairs<'_>| {
        variogram(
            &places,
            &values,
            PIECE_M,
            CUTOFF_M,
            Estimator::CressieHawkins,
            pairs,
        )
        .map_err(|why| why.to_string())
    };
    let (between, within) = (
        bins(Pairs::Between(&passes))?,
        bins(Pairs::Within(&passes))?,
    );
    let model = fit(&between, Kind::Exponential, Weights::PairsOverDistance2)
        .map_err(|why| why.to_string())?
        .model;
    let near = |bins: &[spatial::Bin]| {
        let (sum, n) = bins
            .iter()
            .filter(|bin| bin.distance_m <= SHARED_WITHIN_M)
            .fold((0.0, 0.0), |sum, bin| (sum.0 + bin.gamma, sum.1 + 1.0));
        if n > 0.0 { sum / n } else { 0.0 }
    };
    // what a pass shares is in the curve's nugget, since only pairs of different passes made it
    let shared = (near(&between) - near(&within)).clamp(0.0, model.nugget);
    Ok(Errors {
        model: Model {
            nugget: model.nugget - shared,
            ..model
        },
        shared: shared + (overlap * level).powi(2) / 3.0,
    })
}

/// Brings values that lie far out, drowned ground among them, to three robust standard deviations of the middle one,
/// which it tells: they are no part of how other ground scatters.
fn clip(values: &mut [f64]) -> f64 {
    const FAR: f64 = 3.0 * 1.482_602_218_505_602;
    let middle = median(&mut values.to_vec()).unwrap_or(0.0);
    let mut off: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    let far = FAR * median(&mut off).unwrap_or(0.0);
    for value in values {
        *value = value.clamp(middle - far, middle + far);
    }
    middle
}

/// Share of its line in the field that the middle record finds cut before.
pub(super) fn overlap(cleaned: &Cleaned) -> f64 {
    let cut = cleaned
        .records
        .iter()
        .filter(|r| r.flag.is_none() && r.inside_m > 0.0);
    let mut shares: Vec<f64> = cut.map(|r| 1.0 - r.fresh_m / r.inside_m).collect();
    median(&mut shares).unwrap_or(0.0).clamp(0.0, 1.0)
}
