//! Ordinary kriging: values where nothing was measured, at places and over blocks.
//!
//! For n neighbors with covariances K (nugget on the diagonal), covariances k to the target and values z:
//! `estimate = k'K⁻¹z + (1 - 1'K⁻¹k) / (1'K⁻¹1) · 1'K⁻¹z`,
//! `variance = C0 - k'K⁻¹k + (1 - 1'K⁻¹k)² / (1'K⁻¹1)`.
//! A block's covariances are means over 4 x 4 Gauss-Legendre nodes; the covariance within a block leaves the nugget
//! out, so that a block's variance is that of its mean without it. At a place the variance counts the nugget.
//!
//! A value may be the mean over a stretch of line and not of a point (a swath is cut across its width): its
//! covariances are then means over 2 Gauss-Legendre nodes along that line. The curve is that of points.
//!
//! Where points come in groups that err together (passes, loads), points of one group `d` apart share the error
//! variance [`Shared`]: `variance · exp(-d / reach)`, the same at every distance where the reach has no end.
//!
//! Limitations: one mean in each neighborhood; no drift; the curve is taken as known, so that the variance leaves
//! out what is not known of it ([`crate::Cross`] says by how much it is short).

use crate::ask::{Block, Estimate, Near, Shared, Without};
use crate::grid::square;
use crate::solve::{factor, forward};
use crate::{Grid, Model, Place, SpatialError};
use rayon::prelude::*;

mod means;
#[cfg(test)]
mod tests;

pub use means::Means;

/// Points, a curve, and a neighborhood.
#[derive(Debug)]
pub struct Kriging<'a> {
    grid: Grid,
    values: &'a [f64],
    groups: Option<&'a [u32]>,
    noise: Option<&'a [f64]>,
    spread: Option<&'a [Place]>,
    model: Model,
    shared: Shared,
    near: Near,
    /// The nugget used: not below a thousandth of the sill, for points at one place.
    nugget: f64,
}

/// Buffers of one worker.
#[derive(Default)]
struct Work {
    near: Vec<(f64, u32)>,
    counts: Vec<(u32, usize)>,
    places: Vec<Place>,
    /// Nodes of each neighbor, where it is spread.
    nodes: Vec<[Place; 2]>,
    a: Vec<f64>,
    k: Vec<f64>,
    one: Vec<f64>,
    z: Vec<f64>,
}

const NODES: [(f64, f64); 4] = [
    (-0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
    (-0.339_981_043_584_856_3, 0.652_145_154_862_546_1),
    (0.339_981_043_584_856_3, 0.652_145_154_862_546_1),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];

/// Targets in a piece of the work.
const PIECE: usize = 64;

impl<'a> Kriging<'a> {
    /// Kriging of values at places.
    ///
    /// # Errors
    /// No point, lists of different lengths, values that are not finite, or a curve that cannot be meant.
    pub fn new(
        places: &[Place],
        values: &'a [f64],
        model: Model,
        near: Near,
    ) -> Result<Self, SpatialError> {
        if places.is_empty() || near.most == 0 {
            return Err(SpatialError::TooFew {
                what: "points to krige from",
                found: places.len().min(near.most),
                wanted: 1,
            });
        }
        if places.len() != values.len() {
            return Err(SpatialError::odd("values", values.len(), "one a place"));
        }
        if let Some(bad) = values.iter().find(|v| !v.is_finite()) {
            return Err(SpatialError::odd("a value", bad, "a number"));
        }
        let fine = model.nugget >= 0.0
            && model.sill >= 0.0
            && model.nugget + model.sill > 0.0
            && model.range_m > 0.0
            && (model.nugget + model.sill + model.range_m).is_finite();
        if !fine {
            return Err(SpatialError::odd(
                "a variogram's curve",
                format!("{model:?}"),
                "nugget and sill of 0 or more, a range above 0",
            ));
        }
        let span = |axis: usize| {
            let of = || places.iter().map(|p| p[axis]);
            of().fold(f64::NEG_INFINITY, f64::max) - of().fold(f64::INFINITY, f64::min)
        };
        let each = (span(0) * span(1) / places.len() as f64).sqrt();
        let cell = 2.0
            * if each.is_finite() && each > 0.0 {
                each
            } else {
                1.0
            };
        Ok(Self {
            grid: Grid::new(places.to_vec(), cell),
            values,
            groups: None,
            noise: None,
            spread: None,
            model,
            shared: Shared::none(),
            near,
            nugget: model.nugget.max(1e-3 * model.sill),
        })
    }

    /// Groups of the points, and the error that those of one share.
    ///
    /// # Errors
    /// Not one group a point, a variance below 0, or a reach of nothing.
    pub fn in_groups(mut self, groups: &'a [u32], shared: Shared) -> Result<Self, SpatialError> {
        if groups.len() != self.values.len() {
            return Err(SpatialError::odd("groups", groups.len(), "one a point"));
        }
        if !(shared.variance >= 0.0 && shared.variance.is_finite() && shared.reach_m > 0.0) {
            return Err(SpatialError::odd(
                "shared variance",
                format!("{shared:?}"),
                "0 or more over a reach above 0",
            ));
        }
        (self.groups, self.shared) = (Some(groups), shared);
        Ok(self)
    }

    /// Variance of the error of each point, besides the nugget.
    ///
    /// # Errors
    /// Not one a point, or one below 0.
    pub fn with_noise(mut self, noise: &'a [f64]) -> Result<Self, SpatialError> {
        if noise.len() != self.values.len() {
            return Err(SpatialError::odd("noise", noise.len(), "one a point"));
        }
        if let Some(bad) = noise.iter().find(|v| !(**v >= 0.0 && v.is_finite())) {
            return Err(SpatialError::odd("noise", bad, "0 or more"));
        }
        self.noise = Some(noise);
        Ok(self)
    }

    /// What each value is the mean over: the line from its place less this to its place and this, m.
    ///
    /// # Errors
    /// Not one a point, or one that is not finite.
    pub fn spread(mut self, half: &'a [Place]) -> Result<Self, SpatialError> {
        if half.len() != self.values.len() {
            return Err(SpatialError::odd("spreads", half.len(), "one a point"));
        }
        if let Some(bad) = half.iter().find(|h| !(h[0] + h[1]).is_finite()) {
            return Err(SpatialError::odd("a spread", format!("{bad:?}"), "numbers"));
        }
        self.spread = Some(half);
        Ok(self)
    }

    /// The nugget used; not the model's where that is below a thousandth of the sill.
    pub fn nugget(&self) -> f64 {
        self.nugget
    }

    /// Values at places, as new measurements there would read; `None` where no neighbor is near enough.
    pub fn at(&self, places: &[Place]) -> Vec<Option<Estimate>> {
        each(places, |work, place| {
            self.neighbors(work, *place, |_| true);
            self.solve(work, self.model.sill + self.nugget, |at| {
                self.to_place(*place, at)
            })
        })
    }

    /// Means over blocks.
    pub fn over(&self, blocks: &[Block]) -> Vec<Option<Estimate>> {
        let Some(first) = blocks.first() else {
            return Vec::new();
        };
        // blocks of one size share what lies within them
        let within = self.within(first.size);
        each(blocks, |work, block| {
            self.neighbors(work, block.at, |_| true);
            let within = if block.size == first.size {
                within
            } else {
                self.within(block.size)
            };
            self.solve(work, within, |at| self.to_block(block, at))
        })
    }

    /// What measurements spread over lines would read, from points of other groups than the one named with each.
    pub fn at_without(&self, targets: &[Without]) -> Vec<Option<Estimate>> {
        each(targets, |work, target| {
            self.neighbors(work, target.at, |other| {
                self.groups.is_none_or(|of| of[other] != target.group)
            });
            let own = nodes(target.at, target.half);
            let c0 = self.between(&own, &own) + self.nugget;
            self.solve(work, c0, |at| 0.5 * (self.line(&own, at)))
        })
    }

    /// A value at a point's own place from those that are wanted; for cross-validation.
    pub(crate) fn without(
        &self,
        points: &[u32],
        wanted: impl Fn(u32, u32) -> bool + Sync,
    ) -> Vec<Option<Estimate>> {
        each(points, |work, point| {
            let nth = *point as usize;
            let place = self.grid.places()[nth];
            self.neighbors(work, place, |other| wanted(*point, other as u32));
            let noise = self.noise.map_or(0.0, |noise| noise[nth]);
            let group = self.groups.map(|of| (of[nth], place));
            let rest = self.nugget + self.shared.variance + noise;
            match self.spread {
                None => self.solve_in(work, self.model.sill + rest, group, |at| {
                    self.to_place(place, at)
                }),
                Some(half) => {
                    let own = nodes(place, half[nth]);
                    let c0 = self.between(&own, &own) + rest;
                    self.solve_in(work, c0, group, |at| 0.5 * self.line(&own, at))
                }
            }
        })
    }

    pub(crate) fn value(&self, point: usize) -> f64 {
        self.values[point]
    }

    pub(crate) fn group(&self, point: usize) -> Option<u32> {
        self.groups.map(|of| of[point])
    }

    fn neighbors(&self, work: &mut Work, at: Place, wanted: impl Fn(usize) -> bool) {
        match (self.near.of_a_group, self.groups) {
            (Some(most), Some(groups)) => {
                // more than enough, then the nearest so many of each group
                let mut ask = 2 * self.near.most;
                loop {
                    self.grid.nearest(at, ask, &wanted, &mut work.near);
                    let found = work.near.len();
                    work.counts.clear();
                    let counts = &mut work.counts;
                    work.near.retain(|(_, point)| {
                        let group = groups[*point as usize];
                        let seen = if let Some(one) = counts.iter_mut().find(|one| one.0 == group) {
                            one.1 += 1;
                            one.1
                        } else {
                            counts.push((group, 1));
                            1
                        };
                        seen <= most
                    });
                    if work.near.len() >= self.near.most || found < ask || ask > 16 * self.near.most
                    {
                        break;
                    }
                    ask *= 2;
                }
                work.near.truncate(self.near.most);
            }
            _ => self
                .grid
                .nearest(at, self.near.most, wanted, &mut work.near),
        }
        if let Some(within) = self.near.within_m {
            work.near.retain(|(d2, _)| *d2 <= within * within);
        }
    }

    #[inline]
    fn to_place(&self, place: Place, at: Place) -> f64 {
        let d2 = square(place, at);
        // a measurement at the very place is that measurement, nugget and all
        let nugget = if d2 == 0.0 { self.nugget } else { 0.0 };
        nugget + self.model.covariance(d2.sqrt())
    }

    fn to_block(&self, block: &Block, at: Place) -> f64 {
        let mut sum = 0.0;
        for (u, wu) in NODES {
            let x = block.at[0] + 0.5 * u * block.size[0] - at[0];
            for (v, wv) in NODES {
                let y = block.at[1] + 0.5 * v * block.size[1] - at[1];
                sum += wu * wv * self.model.covariance((x * x + y * y).sqrt());
            }
        }
        0.25 * sum
    }

    /// Sum of the covariances of a line's nodes to a place.
    #[inline]
    fn line(&self, own: &[Place; 2], at: Place) -> f64 {
        self.model.covariance(square(own[0], at).sqrt())
            + self.model.covariance(square(own[1], at).sqrt())
    }

    /// Covariance of the means over two lines.
    #[inline]
    fn between(&self, own: &[Place; 2], other: &[Place; 2]) -> f64 {
        0.25 * (self.line(own, other[0]) + self.line(own, other[1]))
    }

    fn within(&self, size: [f64; 2]) -> f64 {
        let block = Block {
            at: [0.0, 0.0],
            size,
        };
        let mut sum = 0.0;
        for (u, wu) in NODES {
            for (v, wv) in NODES {
                let at = [0.5 * u * size[0], 0.5 * v * size[1]];
                sum += wu * wv * self.to_block(&block, at);
            }
        }
        0.25 * sum
    }

    fn solve(&self, work: &mut Work, c0: f64, to: impl Fn(Place) -> f64) -> Option<Estimate> {
        self.solve_in(work, c0, None, to)
    }

    fn solve_in(
        &self,
        work: &mut Work,
        c0: f64,
        group: Option<(u32, Place)>,
        to: impl Fn(Place) -> f64,
    ) -> Option<Estimate> {
        let n = work.near.len();
        if n == 0 {
            return None;
        }
        work.places.clear();
        work.places.extend(
            work.near
                .iter()
                .map(|(_, point)| self.grid.places()[*point as usize]),
        );
        work.nodes.clear();
        if let Some(half) = self.spread {
            let each = work.near.iter().zip(&work.places);
            work.nodes
                .extend(each.map(|((_, point), at)| nodes(*at, half[*point as usize])));
        }
        work.a.resize(n * n, 0.0);
        for j in 0..n {
            let point = work.near[j].1 as usize;
            let at = work.places[j];
            let column = &mut work.a[j * n..j * n + n];
            let own = if let Some(own) = work.nodes.get(j) {
                for (value, other) in column[j + 1..].iter_mut().zip(&work.nodes[j + 1..]) {
                    *value = self.between(own, other);
                }
                self.between(own, own)
            } else {
                for (value, other) in column[j + 1..].iter_mut().zip(&work.places[j + 1..]) {
                    *value = self.model.covariance(square(at, *other).sqrt());
                }
                self.model.sill
            };
            column[j] = own + self.nugget + self.noise.map_or(0.0, |of| of[point]);
            if self.shared.variance > 0.0
                && let Some(groups) = self.groups
            {
                let others = work.near[j..].iter().zip(&work.places[j..]);
                for (value, ((_, other), place)) in column[j..].iter_mut().zip(others) {
                    if groups[*other as usize] == groups[point] {
                        *value += self.shared.at(square(at, *place));
                    }
                }
            }
        }
        work.k.clear();
        if self.spread.is_some() {
            work.k
                .extend(work.nodes.iter().map(|at| 0.5 * (to(at[0]) + to(at[1]))));
        } else {
            work.k.extend(work.places.iter().map(|at| to(*at)));
        }
        if let (Some((group, from)), Some(groups)) = (group, self.groups)
            && self.shared.variance > 0.0
        {
            let others = work.near.iter().zip(&work.places);
            for (value, ((_, other), place)) in work.k.iter_mut().zip(others) {
                if groups[*other as usize] == group {
                    *value += self.shared.at(square(from, *place));
                }
            }
        }
        factor(&mut work.a, n)?;
        work.one.clear();
        work.one.resize(n, 1.0);
        work.z.clear();
        work.z.extend(
            work.near
                .iter()
                .map(|(_, point)| self.values[*point as usize]),
        );
        for side in [&mut work.k, &mut work.one, &mut work.z] {
            forward(&work.a, n, side);
        }
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let (kk, k1, kz) = (
            dot(&work.k, &work.k),
            dot(&work.k, &work.one),
            dot(&work.k, &work.z),
        );
        let (ones, one_z) = (dot(&work.one, &work.one), dot(&work.one, &work.z));
        let short = (1.0 - k1) / ones;
        Some(Estimate {
            value: kz + short * one_z,
            variance: (c0 - kk + short * (1.0 - k1)).max(0.0),
            used: n,
        })
    }
}

/// Gauss-Legendre nodes of a line.
fn nodes(at: Place, half: Place) -> [Place; 2] {
    const NODE: f64 = 0.577_350_269_189_625_8;
    let by = [NODE * half[0], NODE * half[1]];
    [
        [at[0] - by[0], at[1] - by[1]],
        [at[0] + by[0], at[1] + by[1]],
    ]
}

/// Each target by one worker's buffers, in pieces, put together in order.
fn each<T: Sync>(
    targets: &[T],
    one: impl Fn(&mut Work, &T) -> Option<Estimate> + Sync,
) -> Vec<Option<Estimate>> {
    let pieces: Vec<Vec<Option<Estimate>>> = targets
        .par_chunks(PIECE)
        .map_init(Work::default, |work, chunk| {
            chunk.iter().map(|target| one(work, target)).collect()
        })
        .collect();
    pieces.into_iter().flatten().collect()
}
