//! Means over many blocks at once, and how their errors go together.
//!
//! A mean of kriged blocks is a sum of measurements with known weights, so its error under the curve is known too:
//! with `W` the weight of each measurement and `s` of each block, the error is that of the signed measure
//! `W - s`, and the covariance of two such means is the double sum of the curve's covariance over their measures,
//! plus the nugget, noise and shared variance of the measurements. Nothing is taken as independent that is not.
//! What is told is the mean of the very blocks that [`Kriging::over`] tells, so that parts and maps agree.
//!
//! The double sum runs over pairs. With more than 3,000 places only pairs close by are counted one by one; those of
//! bins farther apart than three bins as if all of a bin lay at its corners, shared out so that its moments stay.
//! Bins are 8 m, or what makes 2,000 of them.
//!
//! Limitations: those of kriging; the curve is taken as known.

use super::{Block, Kriging, NODES, PIECE, Place, Work, nodes as line_nodes, square};
use crate::SpatialError;
use crate::solve::backward;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// So few places are paired one by one, all of them.
const FEW: usize = 3_000;
/// Bins nearer than this are paired place by place.
const NEAR: f64 = 3.0;

/// Means, and the covariance of their errors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Means {
    /// One a list of weights.
    pub values: Vec<f64>,
    /// Covariances of their errors, one row a mean.
    pub covariance: Vec<Vec<f64>>,
    /// What each point weighs in the means, as (mean, weight): by these an error that the curve does not know of, a gain
    /// of some points in common, goes into the means.
    pub weights: Vec<Vec<(usize, f64)>>,
}

impl Means {
    /// Standard error of a mean.
    pub fn error(&self, nth: usize) -> f64 {
        self.covariance[nth][nth].max(0.0).sqrt()
    }

    /// Adds an error that each point has so many times: one draw of this variance, common to all of them.
    pub fn add_common(&mut self, variance: f64, times: impl Fn(usize) -> f64) {
        let mut has = vec![0.0; self.values.len()];
        for (point, weights) in self.weights.iter().enumerate() {
            for (mean, weight) in weights {
                has[*mean] += weight * times(point);
            }
        }
        for (row, a) in self.covariance.iter_mut().zip(&has) {
            for (value, b) in row.iter_mut().zip(&has) {
                *value += variance * a * b;
            }
        }
    }

    /// One mean less another, and the standard error of that.
    pub fn difference(&self, a: usize, b: usize) -> (f64, f64) {
        let of = |i: usize, j: usize| self.covariance[i][j];
        let variance = of(a, a) + of(b, b) - 2.0 * of(a, b);
        (self.values[a] - self.values[b], variance.max(0.0).sqrt())
    }
}

/// Part of the signed measure at a place: what each mean has there.
struct Atom {
    at: Place,
    has: Vec<(usize, f64)>,
}

/// Atoms near each other, and the same shared out to four corners.
struct Bin {
    corners: [Atom; 4],
    atoms: Vec<Atom>,
}

impl Bin {
    fn of(low: Place, side: f64, atoms: Vec<Atom>) -> Self {
        let mut corners = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]].map(|to| Atom {
            at: [low[0] + to[0] * side, low[1] + to[1] * side],
            has: Vec::new(),
        });
        for atom in &atoms {
            let (u, v) = ((atom.at[0] - low[0]) / side, (atom.at[1] - low[1]) / side);
            let shares = [(1.0 - u) * (1.0 - v), u * (1.0 - v), (1.0 - u) * v, u * v];
            for (corner, share) in corners.iter_mut().zip(shares) {
                for (mean, weight) in &atom.has {
                    add(&mut corner.has, *mean, share * weight);
                }
            }
        }
        Self { corners, atoms }
    }
}

impl Kriging<'_> {
    /// Weighted means over blocks: each list names blocks and their weights, which are made to sum to 1.
    ///
    /// # Errors
    /// A list without weight, a block that does not exist or that no point is near enough to tell.
    pub fn means(
        &self,
        blocks: &[Block],
        lists: &[Vec<(usize, f64)>],
    ) -> Result<Means, SpatialError> {
        self.means_of(blocks, lists, NEAR)
    }

    fn means_of(
        &self,
        blocks: &[Block],
        lists: &[Vec<(usize, f64)>],
        near_bins: f64,
    ) -> Result<Means, SpatialError> {
        let mut wanted: Vec<Vec<(usize, f64)>> = vec![Vec::new(); blocks.len()];
        for (nth, list) in lists.iter().enumerate() {
            let sum: f64 = list.iter().map(|one| one.1).sum();
            if !(sum.is_finite() && sum > 0.0) {
                return Err(SpatialError::odd("weights of a mean", sum, "a sum above 0"));
            }
            for (block, weight) in list {
                let into = wanted
                    .get_mut(*block)
                    .ok_or_else(|| SpatialError::odd("a block", block, "one of those given"))?;
                into.push((nth, weight / sum));
            }
        }
        let used: Vec<usize> = (0..blocks.len())
            .filter(|b| !wanted[*b].is_empty())
            .collect();
        let told: Vec<Option<Vec<(u32, f64)>>> = used
            .par_chunks(PIECE)
            .map_init(Work::default, |work, chunk| {
                let one = |b: &usize| self.weights(work, &blocks[*b]);
                chunk.iter().map(one).collect::<Vec<_>>()
            })
            .flatten_iter()
            .collect();
        let mut on_points: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.values.len()];
        let mut atoms = Vec::new();
        let mut values = vec![0.0; lists.len()];
        for (block, told) in used.iter().zip(told) {
            let Some(told) = told else {
                return Err(SpatialError::odd(
                    "a block",
                    format!("{:?} with no point near", blocks[*block].at),
                    "one that points tell",
                ));
            };
            for (mean, share) in &wanted[*block] {
                for (point, weight) in &told {
                    let point = *point as usize;
                    values[*mean] += share * weight * self.values[point];
                    add(&mut on_points[point], *mean, share * weight);
                }
            }
            for (at, node) in nodes(&blocks[*block]) {
                let has = wanted[*block].iter().map(|(m, s)| (*m, -s * node));
                atoms.push(Atom {
                    at,
                    has: has.collect(),
                });
            }
        }
        let mut covariance = vec![vec![0.0; lists.len()]; lists.len()];
        self.own(&on_points, &mut covariance);
        for (point, has) in on_points.iter().enumerate() {
            if has.is_empty() {
                continue;
            }
            let at = self.grid.places()[point];
            let Some(half) = self.spread else {
                let has = has.clone();
                atoms.push(Atom { at, has });
                continue;
            };
            // a mean over a line is half at each of its nodes
            let halves = has.iter().map(|(mean, weight)| (*mean, 0.5 * weight));
            let has: Vec<(usize, f64)> = halves.collect();
            atoms.extend(line_nodes(at, half[point]).map(|at| Atom {
                at,
                has: has.clone(),
            }));
        }
        let near = if atoms.len() > FEW {
            near_bins
        } else {
            f64::INFINITY
        };
        self.pairs(atoms, near, &mut covariance);
        Ok(Means {
            values,
            covariance,
            weights: on_points,
        })
    }

    /// What each neighbor weighs in a block's value.
    fn weights(&self, work: &mut Work, block: &Block) -> Option<Vec<(u32, f64)>> {
        self.neighbors(work, block.at, |_| true);
        self.solve(work, 0.0, |at| self.to_block(block, at))?;
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let short = (1.0 - dot(&work.k, &work.one)) / dot(&work.one, &work.one);
        for (k, one) in work.k.iter_mut().zip(&work.one) {
            *k += short * one;
        }
        backward(&work.a, work.near.len(), &mut work.k);
        let points = work.near.iter().map(|one| one.1);
        Some(points.zip(work.k.iter().copied()).collect())
    }

    /// Nugget, noise and what groups share.
    fn own(&self, on_points: &[Vec<(usize, f64)>], covariance: &mut [Vec<f64>]) {
        let mut add_all = |has: &[(usize, f64)], variance: f64| {
            for (a, x) in has {
                for (b, y) in has {
                    covariance[*a][*b] += variance * x * y;
                }
            }
        };
        for (point, has) in on_points.iter().enumerate() {
            let noise = self.noise.map_or(0.0, |noise| noise[point]);
            add_all(has, self.nugget + noise);
        }
        if let Some(groups) = self.groups
            && self.shared.variance > 0.0
        {
            let mut of_group = std::collections::BTreeMap::<u32, Vec<usize>>::new();
            for (point, group) in groups.iter().enumerate() {
                if !on_points[point].is_empty() {
                    of_group.entry(*group).or_default().push(point);
                }
            }
            let places = self.grid.places();
            let pairs = of_group.values().flat_map(|all| {
                all.iter()
                    .flat_map(move |a| all.iter().map(move |b| (*a, *b)))
            });
            for (a, b) in pairs {
                let shared = self.shared.at(square(places[a], places[b]));
                for (m, x) in &on_points[a] {
                    for (n, y) in &on_points[b] {
                        covariance[*m][*n] += shared * x * y;
                    }
                }
            }
        }
    }

    /// The curve's covariance over all pairs, those of bins farther apart than so many bins together.
    fn pairs(&self, atoms: Vec<Atom>, near_bins: f64, covariance: &mut [Vec<f64>]) {
        const BIN_M: f64 = 8.0;
        const BINS: f64 = 2_000.0;
        let extreme = |axis: usize, pick: fn(f64, f64) -> f64, from: f64| {
            atoms.iter().map(|one| one.at[axis]).fold(from, pick)
        };
        let low = [0, 1].map(|axis| extreme(axis, f64::min, f64::INFINITY));
        let high = [0, 1].map(|axis| extreme(axis, f64::max, f64::NEG_INFINITY));
        let side = BIN_M.max(((high[0] - low[0]) * (high[1] - low[1]) / BINS).sqrt());
        let mut bins = std::collections::BTreeMap::<[i64; 2], Vec<Atom>>::new();
        for atom in atoms {
            let bin = [1, 0].map(|axis| ((atom.at[axis] - low[axis]) / side) as i64);
            bins.entry(bin).or_default().push(atom);
        }
        let bins: Vec<Bin> = bins
            .into_iter()
            .map(|([row, column], atoms)| {
                let corner = [low[0] + column as f64 * side, low[1] + row as f64 * side];
                Bin::of(corner, side, atoms)
            })
            .collect();
        let near2 = (near_bins * side).powi(2);
        let means = covariance.len();
        let rows: Vec<Vec<f64>> = (0..bins.len())
            .into_par_iter()
            .map(|i| {
                let mut sum = vec![0.0; means * means];
                let mut pair = |a: &Atom, b: &Atom, twice: bool| {
                    let c = self.model.covariance(square(a.at, b.at).sqrt());
                    for (m, x) in &a.has {
                        for (n, y) in &b.has {
                            sum[m * means + n] += c * x * y;
                            if twice {
                                sum[n * means + m] += c * x * y;
                            }
                        }
                    }
                };
                let own = &bins[i];
                for (j, other) in bins.iter().enumerate().take(i + 1) {
                    let far = square(own.corners[0].at, other.corners[0].at) > near2;
                    let (here, there) = if far {
                        (&own.corners[..], &other.corners[..])
                    } else {
                        (&own.atoms[..], &other.atoms[..])
                    };
                    for a in here {
                        for b in there {
                            pair(a, b, i != j);
                        }
                    }
                }
                sum
            })
            .collect();
        for sum in rows {
            for (m, row) in covariance.iter_mut().enumerate() {
                for (n, value) in row.iter_mut().enumerate() {
                    *value += sum[m * means + n];
                }
            }
        }
    }
}

fn add(has: &mut Vec<(usize, f64)>, mean: usize, weight: f64) {
    match has.iter_mut().find(|one| one.0 == mean) {
        Some(one) => one.1 += weight,
        None => has.push((mean, weight)),
    }
}

/// Places of a block's nodes and what each counts of 1.
fn nodes(block: &Block) -> impl Iterator<Item = (Place, f64)> {
    NODES.into_iter().flat_map(move |(u, wu)| {
        NODES.into_iter().map(move |(v, wv)| {
            let at = [
                block.at[0] + 0.5 * u * block.size[0],
                block.at[1] + 0.5 * v * block.size[1],
            ];
            (at, 0.25 * wu * wv)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Kind, Model, Near, Shared};
    use numeric::stream::Stream;

    const MODEL: Model = Model {
        kind: Kind::Exponential,
        nugget: 30.0,
        sill: 100.0,
        range_m: 60.0,
    };

    fn blocks(wide: usize, high: usize) -> Vec<Block> {
        let at = |k: usize| 10.0 * k as f64 + 5.0;
        (0..wide * high)
            .map(|c| Block {
                at: [at(c % wide), at(c / wide)],
                size: [10.0; 2],
            })
            .collect()
    }

    fn points(n: usize, wide: f64, high: f64) -> (Vec<Place>, Vec<f64>) {
        let mut stream = Stream::new(5, "means", 0);
        let places: Vec<Place> = (0..n)
            .map(|_| [stream.between(0.0, wide), stream.between(0.0, high)])
            .collect();
        let values = places.iter().map(|_| 50.0 + 9.0 * stream.normal());
        let values = values.collect();
        (places, values)
    }

    #[test]
    fn one_block_is_as_kriging_tells_it_and_all_are_their_mean() {
        let (places, values) = points(200, 60.0, 60.0);
        let groups: Vec<u32> = (0..200).map(|k| k / 20).collect();
        let noise: Vec<f64> = (0..200).map(|k| f64::from(k % 7)).collect();
        let spread: Vec<Place> = (0..200).map(|k| [f64::from(k % 5), 2.0]).collect();
        let shared = Shared {
            variance: 6.0,
            reach_m: 40.0,
        };
        let kriging = Kriging::new(&places, &values, MODEL, Near::nearest(24))
            .and_then(|one| one.in_groups(&groups, shared))
            .and_then(|one| one.spread(&spread))
            .and_then(|one| one.with_noise(&noise))
            .unwrap();
        let blocks = blocks(6, 6);
        let told = kriging.over(&blocks);
        let mut lists: Vec<Vec<(usize, f64)>> = (0..36).map(|b| vec![(b, 3.0)]).collect();
        lists.push((0..36).map(|b| (b, 0.5)).collect());
        let means = kriging.means(&blocks, &lists).unwrap();
        let mut sum = 0.0;
        for (nth, told) in told.iter().enumerate() {
            let told = told.unwrap();
            sum += told.value / 36.0;
            assert!((means.values[nth] - told.value).abs() < 1e-9);
            assert!((means.covariance[nth][nth] / told.variance - 1.0).abs() < 1e-9);
        }
        assert!((means.values[36] - sum).abs() < 1e-9);
        // the mean's variance is the mean of all covariances
        let all = &means.covariance[..36];
        let both: f64 = all.iter().map(|row| row[..36].iter().sum::<f64>()).sum();
        assert!((means.covariance[36][36] / (both / 1_296.0) - 1.0).abs() < 1e-9);
        // a gain of a tenth on all points is a tenth of each mean, and of no mean less itself
        let mut common = means.clone();
        common.add_common(0.01, |point| values[point]);
        let more = common.covariance[36][36] - means.covariance[36][36];
        assert!((more / (0.1 * means.values[36]).powi(2) - 1.0).abs() < 1e-9);
        let (off, error) = means.difference(3, 3);
        assert!(off == 0.0 && error < 1e-6);
    }

    #[test]
    fn bins_far_apart_may_be_counted_as_one_place() {
        let (places, values) = points(500, 160.0, 160.0);
        let kriging = Kriging::new(&places, &values, MODEL, Near::nearest(16)).unwrap();
        let blocks = blocks(16, 16);
        let left = |b: &usize| b % 16 < 7;
        let all = 0..blocks.len();
        let weigh = |b: usize| (b, 1.0);
        let lists = vec![
            all.clone().filter(left).map(weigh).collect(),
            all.clone().filter(|b| !left(b)).map(weigh).collect(),
            all.map(weigh).collect::<Vec<_>>(),
        ];
        let fast = kriging.means(&blocks, &lists).unwrap();
        let slow = kriging.means_of(&blocks, &lists, f64::INFINITY).unwrap();
        for nth in 0..3 {
            let (a, b) = (fast.error(nth), slow.error(nth));
            assert!(a != b && (a / b - 1.0).abs() < 0.005, "{nth}: {a} {b}");
        }
        let (a, b) = (fast.difference(0, 1).1, slow.difference(0, 1).1);
        assert!((a / b - 1.0).abs() < 0.005, "{a} {b}");
    }

    /// Fields drawn from the curve itself, measured, kriged: how often do 90 % intervals hold the true means?
    #[test]
    fn intervals_hold_the_means_of_drawn_fields() {
        let (places, _) = points(60, 80.0, 50.0);
        let blocks = blocks(8, 5);
        let mut all = places.clone();
        all.extend(blocks.iter().flat_map(|b| nodes(b).map(|one| one.0)));
        let n = all.len();
        let mut root = vec![0.0; n * n];
        for j in 0..n {
            for i in j..n {
                root[j * n + i] = MODEL.covariance(square(all[i], all[j]).sqrt());
            }
            root[j * n + j] += 1e-9;
        }
        crate::solve::factor(&mut root, n).unwrap();
        let lists = vec![
            (0..40)
                .filter(|b| b % 8 < 3)
                .map(|b| (b, 1.0))
                .collect::<Vec<_>>(),
            (0..40).filter(|b| b % 8 >= 3).map(|b| (b, 1.0)).collect(),
        ];
        let mut stream = Stream::new(8, "drawn", 0);
        let (mut held, mut held_difference) = (0, 0);
        for _ in 0..200 {
            let white: Vec<f64> = (0..n).map(|_| stream.normal()).collect();
            let mut field = vec![70.0; n];
            for (j, by) in white.iter().enumerate() {
                for (value, one) in field[j..].iter_mut().zip(&root[j * n + j..j * n + n]) {
                    *value += by * one;
                }
            }
            let values: Vec<f64> = field[..60]
                .iter()
                .map(|v| v + MODEL.nugget.sqrt() * stream.normal())
                .collect();
            let kriging = Kriging::new(&places, &values, MODEL, Near::nearest(12)).unwrap();
            let means = kriging.means(&blocks, &lists).unwrap();
            let truth: Vec<f64> = lists
                .iter()
                .map(|list| {
                    let of = |b: usize| {
                        let of_block = &field[60 + 16 * b..76 + 16 * b];
                        let each = nodes(&blocks[b]).zip(of_block);
                        each.map(|((_, w), v)| w * v).sum::<f64>()
                    };
                    list.iter().map(|one| of(one.0)).sum::<f64>() / list.len() as f64
                })
                .collect();
            for (nth, truth) in truth.iter().enumerate() {
                let off = (means.values[nth] - truth).abs();
                held += u32::from(off <= 1.645 * means.error(nth));
            }
            let (told, error) = means.difference(0, 1);
            held_difference += u32::from((told - truth[0] + truth[1]).abs() <= 1.645 * error);
        }
        // 90 % of 200 is 180, give or take 4; the two parts' are not independent
        assert!((342..=378).contains(&held), "{held} of 400");
        assert!(
            (171..=189).contains(&held_difference),
            "{held_difference} of 200"
        );
    }
}
