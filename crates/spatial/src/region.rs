//! Polygons with holes, and which of them hold a place.

use crate::{Block, Place, SpatialError};
use serde::Serialize;

/// A named part of the plane: inside is what an odd number of its rings holds, so that holes, and parts that do not
/// touch, are rings like any other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Region {
    name: String,
    rings: Vec<Vec<Place>>,
    #[serde(skip)]
    index: Bands,
}

/// Edges by band of northing: a ray to the east meets only edges of its band.
#[derive(Debug, Clone, PartialEq, Default)]
struct Bands {
    low: Place,
    high: Place,
    edges: Vec<Vec<(Place, Place)>>,
}

impl Region {
    /// A region of rings, closed or not.
    ///
    /// ```
    /// use spatial::Region;
    /// let square = |from: f64, to: f64| vec![[from, from], [to, from], [to, to], [from, to]];
    /// let one = Region::new("A", vec![square(0.0, 10.0), square(4.0, 6.0)])?;
    /// assert!(one.holds([1.0, 1.0]) && !one.holds([5.0, 5.0]));
    /// assert_eq!(one.area_m2(), 96.0);
    /// # Ok::<(), spatial::SpatialError>(())
    /// ```
    ///
    /// # Errors
    /// No ring, a ring of fewer than three corners, or a corner that is not a number.
    pub fn new(name: impl Into<String>, rings: Vec<Vec<Place>>) -> Result<Self, SpatialError> {
        const CORNERS: usize = 3;
        let least = rings.iter().map(Vec::len).min().unwrap_or(0);
        if least < CORNERS {
            return Err(SpatialError::TooFew {
                what: "corners of a polygon's ring",
                found: least,
                wanted: CORNERS,
            });
        }
        if let Some(bad) = rings.iter().flatten().flatten().find(|x| !x.is_finite()) {
            return Err(SpatialError::odd("a polygon's corner", bad, "a number"));
        }
        let index = Bands::of(&rings);
        Ok(Self {
            name: name.into(),
            rings,
            index,
        })
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its rings, as given.
    pub fn rings(&self) -> &[Vec<Place>] {
        &self.rings
    }

    /// Whether a place is inside. A place on the border is inside for one of the two that share it.
    pub fn holds(&self, at: Place) -> bool {
        self.index.holds(at)
    }

    /// Square meters. Rings may lie within each other, but may not cross.
    pub fn area_m2(&self) -> f64 {
        let rings = || self.rings.iter().enumerate();
        rings()
            .map(|(nth, ring)| {
                let holds = |other: &Vec<Place>| {
                    Bands::of(std::slice::from_ref(other)).holds(ring_place(ring))
                };
                let around = rings().filter(|(other, one)| *other != nth && holds(one));
                let sign = if around.count() % 2 == 0 { 1.0 } else { -1.0 };
                sign * ring_area(ring)
            })
            .sum()
    }

    /// Of 1, what of a block lies inside, from 64 places in it.
    pub fn share(&self, block: &Block) -> f64 {
        block.share_of(|at| self.holds(at))
    }
}

impl Block {
    /// Of 1, what of it is so, from 64 places in it.
    pub fn share_of(&self, is_so: impl Fn(Place) -> bool) -> f64 {
        const SIDE: usize = 8;
        let step = |axis: usize, k: usize| {
            self.at[axis] + ((k as f64 + 0.5) / SIDE as f64 - 0.5) * self.size[axis]
        };
        let places = (0..SIDE * SIDE).map(|k| [step(0, k % SIDE), step(1, k / SIDE)]);
        places.filter(|at| is_so(*at)).count() as f64 / (SIDE * SIDE) as f64
    }
}

/// Corners of a ring in turn, each with the next.
fn sides(ring: &[Place]) -> impl Iterator<Item = (Place, Place)> {
    let next = ring.iter().cycle().skip(1);
    ring.iter().copied().zip(next.copied())
}

fn ring_area(ring: &[Place]) -> f64 {
    // from the first corner, so that places far from the origin lose no digits
    let from = ring[0];
    let turn = |(a, b): (Place, Place)| {
        (a[0] - from[0]) * (b[1] - from[1]) - (b[0] - from[0]) * (a[1] - from[1])
    };
    0.5 * sides(ring).map(turn).sum::<f64>().abs()
}

/// A place of the ring by which to ask what holds it: the middle of its first side that has a length.
fn ring_place(ring: &[Place]) -> Place {
    sides(ring)
        .find(|(a, b)| a != b)
        .map_or(ring[0], |(a, b)| [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])])
}

impl Bands {
    fn of(rings: &[Vec<Place>]) -> Self {
        const MOST: usize = 1_024;
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for corner in rings.iter().flatten() {
            for axis in 0..2 {
                low[axis] = low[axis].min(corner[axis]);
                high[axis] = high[axis].max(corner[axis]);
            }
        }
        let corners: usize = rings.iter().map(Vec::len).sum();
        let mut out = Self {
            low,
            high,
            edges: vec![Vec::new(); (corners / 4).clamp(1, MOST)],
        };
        for (a, b) in rings.iter().flat_map(|ring| sides(ring)) {
            let (from, to) = (out.band(a[1].min(b[1])), out.band(a[1].max(b[1])));
            for band in &mut out.edges[from..=to] {
                band.push((a, b));
            }
        }
        out
    }

    fn band(&self, y: f64) -> usize {
        let share = (y - self.low[1]) / (self.high[1] - self.low[1]).max(1e-300);
        ((share * self.edges.len() as f64).max(0.0) as usize).min(self.edges.len() - 1)
    }

    fn holds(&self, at: Place) -> bool {
        let off = |axis: usize| !(self.low[axis]..=self.high[axis]).contains(&at[axis]);
        if off(0) || off(1) {
            return false;
        }
        let crossed = self.edges[self.band(at[1])].iter().filter(|(a, b)| {
            (a[1] > at[1]) != (b[1] > at[1])
                && at[0] < a[0] + (at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        });
        crossed.count() % 2 == 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use numeric::stream::Stream;
    use std::f64::consts::TAU;

    fn star(middle: Place, far: f64, corners: u32) -> Vec<Place> {
        (0..corners)
            .map(|k| {
                let turn = TAU * f64::from(k) / f64::from(corners);
                let out = far * (0.6 + 0.4 * (5.0 * turn).sin());
                [middle[0] + out * turn.cos(), middle[1] + out * turn.sin()]
            })
            .collect()
    }

    #[test]
    fn bands_find_what_a_count_of_every_edge_finds() {
        let rings = vec![
            star([0.0, 0.0], 50.0, 400),
            star([3.0, 2.0], 12.0, 37),
            star([90.0, 10.0], 20.0, 5),
        ];
        let region = Region::new("a star", rings.clone()).unwrap();
        let mut stream = Stream::new(1, "region", 0);
        let mut inside = 0;
        for _ in 0..20_000 {
            let at = [stream.between(-60.0, 115.0), stream.between(-60.0, 60.0)];
            let odd = rings.iter().flat_map(|ring| sides(ring)).filter(|(a, b)| {
                (a[1] > at[1]) != (b[1] > at[1])
                    && at[0] < a[0] + (at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
            });
            assert_eq!(region.holds(at), odd.count() % 2 == 1, "{at:?}");
            inside += u32::from(region.holds(at));
        }
        let area = f64::from(inside) / 20_000.0 * 175.0 * 120.0;
        assert!(
            (area / region.area_m2() - 1.0).abs() < 0.05,
            "{area} {}",
            region.area_m2()
        );
    }

    #[test]
    fn a_triangle_far_off_has_its_area_and_bad_rings_are_refused() {
        let at = 4.9e6;
        let ring = vec![[at, at], [at + 30.0, at], [at, at + 40.0], [at, at]];
        let region = Region::new("t", vec![ring]).unwrap();
        assert!((region.area_m2() - 600.0).abs() < 1e-6);
        let block = Block {
            at: [at + 1.0, at + 1.0],
            size: [2.0, 4.0],
        };
        assert_eq!(region.share(&block), 0.75);
        assert!(Region::new("n", Vec::new()).is_err());
        assert!(Region::new("n", vec![vec![[0.0, 0.0], [1.0, 1.0]]]).is_err());
        assert!(Region::new("n", vec![vec![[0.0, 0.0], [1.0, f64::NAN], [2.0, 0.0]]]).is_err());
    }
}
