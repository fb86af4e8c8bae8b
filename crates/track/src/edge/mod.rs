//! What edges cost: yield against distance from the trees, the road, the ditch.
//!
//! Each part of the boundary takes the class of the line drawn nearest ([`EdgeLine`]), and each record belongs to the
//! nearest part. Parts along which the passes of the inside run, and parts at which they end, are told apart
//! ([`Meets`]): at the latter the yield holds what turning does to soil and crop as well, and no figure can say
//! which is which. Where a pass enters or leaves the crop the machine fills and empties; records of those seconds are
//! left out, so that a field's ends are told by the rounds that run along them, if there are any.
//!
//! The fit is of `level (1 - a exp(-d/L))` by class, a mean over each record's whole line and not its middle, since a
//! swath may be wider than L; beside it stand means by swath with no curve between them. Distances from trees are
//! scaled to one height, the mean of the class's own. Intervals are 90 %, and count that neighbors and the records of one
//! pass err together ([`spatial::Correlated`]); a resampling of blocks was left aside, for a side of a field has a
//! dozen blocks of which a dozen draws say little, and soil goes together farther than a block is long.
//!
//! What is lost is the area integral of the fall below the level, over all ground near the class, mapped or not.
//!
//! Limitations: one level along an edge but for what the covariance allows: an edge along which soil changes as the
//! edge does is told as the edge's. A gain behind trees is not fitted and lowers or lifts the level a little. Ground
//! at a corner belongs to the nearer side. What is lost is what the year lost.

mod boundary;
mod curve;
mod strip;

pub use boundary::{Class, EdgeLine, Meets};

use crate::clean::{Cleaned, Known};
use boundary::Boundary;
use curve::{Asked, Fitted, curve};
use numeric::stream::Stream;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use strip::{Near, Piece, errors, fit_to_tell, meet, near_edges, overlap, pieces};

/// 90 % of a normal lies within so many standard deviations.
const Z90: f64 = 1.644_853_626_951_472_2;

/// A figure and its 90 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Range {
    /// The figure.
    pub value: f64,
    /// One in twenty below.
    pub low: f64,
    /// One in twenty above.
    pub high: f64,
}

impl Range {
    /// Median and 5 and 95 parts of 100 of draws.
    fn of(mut draws: Vec<f64>) -> Self {
        draws.sort_by(f64::total_cmp);
        let at = |p: f64| {
            let nth = (p * draws.len() as f64) as usize;
            draws.get(nth.min(draws.len() - 1)).copied()
        };
        let pick = |p| {
            if draws.is_empty() {
                f64::NAN
            } else {
                at(p).unwrap_or(f64::NAN)
            }
        };
        Self {
            value: pick(0.5),
            low: pick(0.05),
            high: pick(0.95),
        }
    }

    fn times(self, by: f64) -> Self {
        Self {
            value: self.value * by,
            low: self.low * by,
            high: self.high * by,
        }
    }
}

/// What is asked besides the field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EdgeSettings {
    /// Pounds in a bushel of the crop, at the base moisture of the cleaned records.
    pub lb_per_bu: f64,
    /// Price, dollars a bushel; none says no money.
    pub price_usd_bu: Option<f64>,
    /// How far into the field edges are looked at, m; four tree heights where that is more.
    pub depth_m: f64,
    /// Seed of the draws.
    pub seed: u64,
}

impl Default for EdgeSettings {
    fn default() -> Self {
        Self {
            lb_per_bu: 56.0,
            price_usd_bu: None,
            depth_m: 60.0,
            seed: 0,
        }
    }
}

/// Whether an edge's yield differs from the inside's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The whole interval is a loss.
    Loses,
    /// The whole interval is a gain.
    Gains,
    /// The interval holds nothing lost: no loss is shown, nor its absence beyond the interval.
    NotToldApart,
    /// It is less or more than the inside, but a steady slope of the soil would explain it as well.
    NotToldFromSoil,
}

/// Yield at a distance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// From the edge, m.
    pub distance_m: f64,
    /// Dry yield by the curve, kg/m2.
    pub dry_kg_m2: Range,
}

/// Mean yield of a swath from the edge, with no curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FreeBin {
    /// From, m.
    pub from_m: f64,
    /// To, m.
    pub to_m: f64,
    /// Pieces of passes that tell it.
    pub pieces: usize,
    /// Of the level beyond half the depth, as a fraction.
    pub of_level: Range,
}

/// The curve of a class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// Dry yield that the curve comes to, kg/m2.
    pub level_kg_m2: Range,
    /// Share lost at the very edge: `a`; below 0 where it gains.
    pub share_lost_at_edge: Range,
    /// Distance over which the loss falls to 37 parts in 100: `L`, m.
    pub length_m: Range,
    /// Distance at which 95 parts in 100 of the loss are gone, m; only where it loses.
    pub recovered_m: Option<Range>,
    /// The same in tree heights, where they are known.
    pub recovered_heights: Option<Range>,
    /// The curve.
    pub bands: Vec<Band>,
    /// The same without a curve.
    pub free: Vec<FreeBin>,
    /// Lost, dry kg at the base; below 0 gained.
    pub lost_dry_kg: Range,
    /// Lost, dry bushels at the base.
    pub lost_bu: Range,
    /// Lost, dollars at the price given.
    pub lost_usd: Option<Range>,
    /// Whether that is anything.
    pub verdict: Verdict,
}

/// What came of a class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EdgeFound {
    /// A curve.
    Curve(Box<Curve>),
    /// Its records do not tell, and why.
    NotTold(String),
}

/// A class of edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Edge {
    /// What lies there.
    pub class: Class,
    /// How the passes of the inside meet it.
    pub meets: Meets,
    /// Mean height of its trees, m.
    pub tree_height_m: Option<f64>,
    /// Its length, m.
    pub length_m: f64,
    /// Ground nearest to it, within the depth, m2.
    pub area_m2: f64,
    /// Records that tell.
    pub records: usize,
    /// Passes that those are of.
    pub passes: usize,
    /// What came of it.
    pub found: EdgeFound,
}

/// What a field's edges cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Edges {
    /// By class, and by how passes meet it.
    pub each: Vec<Edge>,
    /// Dry yield of all records that tell, by area, kg/m2.
    pub with_edges_kg_m2: f64,
    /// Its standard error as a sample of such ground, from blocks of 60 m drawn anew.
    pub with_edges_error: f64,
    /// The same of those deeper than any edge is seen to reach.
    pub inside_kg_m2: f64,
    /// Its standard error, likewise.
    pub inside_error: f64,
    /// What the whole field lost to classes that are told, dry kg at the base; none where none is.
    pub lost_dry_kg: Option<Range>,
    /// The same, dry bushels.
    pub lost_bu: Option<Range>,
    /// The same, dollars.
    pub lost_usd: Option<Range>,
    /// What the field would average more without them, kg/m2: that over all ground cut.
    pub lost_kg_m2: Option<Range>,
}

/// Tells what edges cost. Lines are laid on the boundary of `known`; without one they are the edges themselves.
///
/// A field of which nothing can be told has edges that each say why.
pub fn edges(
    cleaned: &Cleaned,
    known: &Known,
    lines: &[EdgeLine],
    settings: &EdgeSettings,
) -> Edges {
    const HEIGHTS: f64 = 4.0;
    let mut boundary = Boundary::new(&cleaned.frame, &known.boundary, lines);
    let (weighed, length) = boundary.parts.iter().fold((0.0, 0.0), |sum, part| {
        let long = part.length_m();
        part.height_m
            .map_or(sum, |height| (sum.0 + long * height, sum.1 + long))
    });
    let height = (length > 0.0).then(|| weighed / length);
    let depth_m = height.map_or(settings.depth_m, |h| settings.depth_m.max(HEIGHTS * h));
    let near = near_edges(cleaned, &boundary, depth_m);
    meet(cleaned, &mut boundary, &near, known.swath_m);
    let tells = fit_to_tell(cleaned, &boundary, &near, known.swath_m);
    // distances from trees in terms of the mean height
    let scale = |part: usize| match (height, boundary.parts[part].height_m) {
        (Some(mean), Some(own)) if own > 0.0 => mean / own,
        _ => 1.0,
    };
    let all = pieces(cleaned, &boundary, &near, &tells, scale);
    let overlap = overlap(cleaned);
    let field = errors(&all, overlap);
    let mut groups: BTreeMap<(Class, Meets), f64> = BTreeMap::new();
    for part in &boundary.parts {
        *groups.entry((part.class, part.meets)).or_default() += part.length_m();
    }
    let mut each = Vec::with_capacity(groups.len());
    let mut lost: Vec<f64> = Vec::new();
    for ((class, meets), length_m) in groups {
        let of = |near: &Near| {
            let part = &boundary.parts[near.part];
            (part.class, part.meets) == (class, meets)
        };
        let in_group =
            || (0..near.len()).filter_map(|i| near[i].filter(|one| of(one)).map(|one| (i, one)));
        let ground: Vec<(f64, f64, f64)> = in_group()
            .map(|(i, near)| {
                let by = scale(near.part);
                (
                    by * near.low_m,
                    by * near.high_m,
                    cleaned.records[i].area_m2,
                )
            })
            .collect();
        let telling: Vec<usize> = in_group().map(|one| one.0).filter(|i| tells[*i]).collect();
        let mut passes: Vec<u32> = telling.iter().map(|i| cleaned.records[*i].pass).collect();
        passes.sort_unstable();
        passes.dedup();
        let strip: Vec<Piece> = all
            .iter()
            .copied()
            .filter(|piece| {
                piece
                    .near
                    .is_some_and(|near| (near.0, near.1) == (class, meets))
            })
            .collect();
        let asked = Asked {
            pieces: &strip,
            swath_m: known.swath_m,
            depth_m,
            ground: &ground,
            seed: settings.seed,
        };
        let found = enough(&asked, length_m, passes.len()).and_then(|()| {
            // its own ground where that tells, for a poor side scatters otherwise than the field
            let errors = errors(&strip, overlap).or_else(|_| field.clone())?;
            curve(&asked, &errors)
        });
        let tree_height_m = height.filter(|_| class == Class::Trees);
        each.push(Edge {
            class,
            meets,
            tree_height_m,
            length_m,
            area_m2: ground.iter().map(|one| one.2).sum(),
            records: telling.len(),
            passes: passes.len(),
            found: match found {
                Ok(fitted) => {
                    if lost.is_empty() {
                        lost = vec![0.0; fitted.lost_kg.len()];
                    }
                    for (sum, one) in lost.iter_mut().zip(&fitted.lost_kg) {
                        *sum += one;
                    }
                    EdgeFound::Curve(Box::new(priced(fitted, settings, tree_height_m)))
                }
                Err(why) => EdgeFound::NotTold(why),
            },
        });
    }
    summed(cleaned, &all, each, lost, settings)
}

/// Whether there is enough to fit.
fn enough(asked: &Asked<'_>, length_m: f64, passes: usize) -> Result<(), String> {
    const LENGTH_M: f64 = 60.0;
    const PIECES: usize = 30;
    const PASSES: usize = 3;
    const NEAR: usize = 6;
    const MOST: usize = 4_000;
    let low = |piece: &&Piece| piece.near.map_or(f64::INFINITY, |near| near.2);
    let of = asked.pieces.iter();
    let close = of.clone().filter(|piece| low(piece) < 0.5 * asked.swath_m);
    let close = close.count();
    let deep = of.filter(|piece| low(piece) > 0.4 * asked.depth_m).count();
    if length_m < LENGTH_M {
        return Err(format!(
            "it is {length_m:.0} m long, and less than {LENGTH_M:.0} m tell nothing"
        ));
    }
    if close < NEAR {
        return Err(format!(
            "{close} stretches of {:.0} m of passes run along it within half a swath, clear of where passes begin and end, and it takes {NEAR}",
            strip::PIECE_M
        ));
    }
    if passes < PASSES {
        return Err(format!("{passes} passes tell of it, and it takes {PASSES}"));
    }
    if deep < PIECES / 2 || asked.pieces.len() < PIECES {
        return Err(format!(
            "{} stretches of {:.0} m tell of it, {deep} of them deep in the field, and it takes {PIECES} and {}",
            asked.pieces.len(),
            strip::PIECE_M,
            PIECES / 2
        ));
    }
    if asked.pieces.len() > MOST {
        return Err(format!(
            "{} stretches of {:.0} m are more than can be fitted at once: give the field in parts",
            asked.pieces.len(),
            strip::PIECE_M
        ));
    }
    Ok(())
}

fn priced(fitted: Fitted, settings: &EdgeSettings, height_m: Option<f64>) -> Curve {
    let mut out = fitted.curve;
    out.lost_bu = out.lost_dry_kg.times(bushels(settings));
    out.lost_usd = settings.price_usd_bu.map(|price| out.lost_bu.times(price));
    out.recovered_heights = out
        .recovered_m
        .zip(height_m)
        .map(|(far, height)| far.times(1.0 / height));
    out
}

fn bushels(settings: &EdgeSettings) -> f64 {
    1.0 / (settings.lb_per_bu * crate::KG_PER_LB)
}

fn summed(
    cleaned: &Cleaned,
    all: &[Piece],
    each: Vec<Edge>,
    lost: Vec<f64>,
    settings: &EdgeSettings,
) -> Edges {
    let reach = |edge: &Edge| match &edge.found {
        EdgeFound::Curve(curve) => curve
            .recovered_m
            .map(|far| ((edge.class, edge.meets), far.value)),
        EdgeFound::NotTold(_) => None,
    };
    let reaches: BTreeMap<(Class, Meets), f64> = each.iter().filter_map(reach).collect();
    let inside = |piece: &Piece| {
        piece.near.is_none_or(|near| {
            reaches
                .get(&(near.0, near.1))
                .is_none_or(|reach| near.2 > *reach)
        })
    };
    let (with, deep) = blocks(all, inside, settings.seed);
    let area: f64 = cleaned.records.iter().map(|r| r.area_m2).sum();
    let lost = (!lost.is_empty()).then(|| Range::of(lost));
    let lost_bu = lost.map(|lost| lost.times(bushels(settings)));
    Edges {
        each,
        with_edges_kg_m2: with.0,
        with_edges_error: with.1,
        inside_kg_m2: deep.0,
        inside_error: deep.1,
        lost_dry_kg: lost,
        lost_bu,
        lost_usd: lost_bu
            .zip(settings.price_usd_bu)
            .map(|(bu, price)| bu.times(price)),
        lost_kg_m2: lost.map(|lost| lost.times(1.0 / area.max(1e-9))),
    }
}

/// Means by area, of all pieces and of those inside, each with the standard deviation over fields made of the same
/// blocks of 60 m drawn anew.
fn blocks(all: &[Piece], inside: impl Fn(&Piece) -> bool, seed: u64) -> ((f64, f64), (f64, f64)) {
    const BLOCK_M: f64 = 60.0;
    const DRAWS: usize = 400;
    let mut sums: BTreeMap<[i64; 2], [f64; 4]> = BTreeMap::new();
    for piece in all {
        let into = sums
            .entry(piece.at.map(|x| (x / BLOCK_M).floor() as i64))
            .or_default();
        let deep = f64::from(u8::from(inside(piece)));
        let mass = piece.area_m2 * piece.dry_kg_m2;
        for (sum, one) in
            into.iter_mut()
                .zip([mass, piece.area_m2, deep * mass, deep * piece.area_m2])
        {
            *sum += one;
        }
    }
    let blocks: Vec<[f64; 4]> = sums.into_values().collect();
    let means = |of: &mut dyn Iterator<Item = [f64; 4]>| {
        let sum = of.fold([0.0; 4], |sum, one| [0, 1, 2, 3].map(|k| sum[k] + one[k]));
        [sum[0] / sum[1], sum[2] / sum[3]]
    };
    let found = means(&mut blocks.iter().copied());
    let mut stream = Stream::new(seed, "edge blocks", 0);
    let mut moments = [(0.0, 0.0); 2];
    for _ in 0..DRAWS {
        let mut anew = (0..blocks.len()).map(|_| blocks[stream.below(blocks.len())]);
        for ((sum, square), mean) in moments.iter_mut().zip(means(&mut anew)) {
            *sum += mean / DRAWS as f64;
            *square += mean * mean / DRAWS as f64;
        }
    }
    let error = |k: usize| (moments[k].1 - moments[k].0 * moments[k].0).max(0.0).sqrt();
    ((found[0], error(0)), (found[1], error(1)))
}
