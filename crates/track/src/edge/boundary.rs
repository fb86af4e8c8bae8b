//! What lies along the field's boundary, and how far a place is from it.

use crate::LocalFrame;
use serde::{Deserialize, Serialize};
use spatial::Grid;

/// What lies beyond an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Class {
    /// A tree line or a wood.
    Trees,
    /// A fence, or another field.
    Fence,
    /// A road or a lane.
    Road,
    /// A waterway, ditch or stream.
    Waterway,
    /// Ground on which machines turn.
    TurningEnds,
    /// Anything else.
    Other,
}

/// A line drawn along an edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EdgeLine {
    /// What lies there.
    pub class: Class,
    /// How high trees stand, m; none where nobody said.
    pub tree_height_m: Option<f64>,
    /// Its places, degrees east and north.
    pub places: Vec<(f64, f64)>,
}

/// How the passes of the inside meet an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Meets {
    /// They run along it.
    Along,
    /// They end at it: what is lost there holds what turning does.
    Ending,
}

/// A short straight part of an edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    pub from: (f64, f64),
    pub to: (f64, f64),
    pub class: Class,
    /// Height of the trees, m.
    pub height_m: Option<f64>,
    pub meets: Meets,
    /// Parts of one class that follow each other without a corner are one side.
    pub side: usize,
}

/// Parts are not longer, m.
const PART_M: f64 = 10.0;
/// A line drawn farther than this from the boundary is an edge of its own, m.
const SNAP_M: f64 = 30.0;
/// Cosine of the turn from which there is a corner: 30 degrees.
const STRAIGHT: f64 = 0.866;

impl Part {
    pub(super) fn length_m(&self) -> f64 {
        (self.to.0 - self.from.0).hypot(self.to.1 - self.from.1)
    }

    fn middle(&self) -> (f64, f64) {
        (
            0.5 * (self.from.0 + self.to.0),
            0.5 * (self.from.1 + self.to.1),
        )
    }

    /// Unit vector along it.
    pub(super) fn along(&self) -> (f64, f64) {
        let length = self.length_m().max(1e-9);
        (
            (self.to.0 - self.from.0) / length,
            (self.to.1 - self.from.1) / length,
        )
    }

    pub(super) fn distance_m(&self, at: (f64, f64)) -> f64 {
        let (u, length) = (self.along(), self.length_m());
        let d = (at.0 - self.from.0, at.1 - self.from.1);
        let s = (d.0 * u.0 + d.1 * u.1).clamp(0.0, length);
        (d.0 - s * u.0).hypot(d.1 - s * u.1)
    }
}

/// All parts, indexed.
pub(super) struct Boundary {
    pub parts: Vec<Part>,
    grid: Grid,
}

fn cut(line: &[(f64, f64)], mut call: impl FnMut((f64, f64), (f64, f64))) {
    for ends in line.windows(2) {
        let step = (ends[1].0 - ends[0].0, ends[1].1 - ends[0].1);
        let count = (step.0.hypot(step.1) / PART_M).ceil();
        let at = |k: f64| {
            (
                ends[0].0 + k / count * step.0,
                ends[0].1 + k / count * step.1,
            )
        };
        for k in 0..count as u32 {
            call(at(f64::from(k)), at(f64::from(k + 1)));
        }
    }
}

impl Boundary {
    /// The boundary's rings, each part of the class of the line drawn nearest; a line that is drawn where no boundary
    /// is, is an edge of its own.
    pub(super) fn new(frame: &LocalFrame, rings: &[Vec<(f64, f64)>], lines: &[EdgeLine]) -> Self {
        let part = |from, to, class, height_m| Part {
            from,
            to,
            class,
            height_m,
            meets: Meets::Along,
            side: 0,
        };
        let meters = |places: &[(f64, f64)]| -> Vec<(f64, f64)> {
            places.iter().map(|p| frame.xy(p.0, p.1)).collect()
        };
        let mut drawn: Vec<Part> = Vec::new();
        for line in lines {
            let height = line.tree_height_m.filter(|_| line.class == Class::Trees);
            cut(&meters(&line.places), |from, to| {
                drawn.push(part(from, to, line.class, height));
            });
        }
        let mut parts: Vec<Part> = Vec::new();
        for ring in rings {
            let mut ring = meters(ring);
            ring.extend(ring.first().copied());
            cut(&ring, |from, to| {
                parts.push(part(from, to, Class::Other, None));
            });
        }
        let (on_drawn, on_rings) = (index(&drawn), index(&parts));
        for one in &mut parts {
            if let Some((nth, _)) = nearest(&drawn, &on_drawn, one.middle(), SNAP_M) {
                (one.class, one.height_m) = (drawn[nth].class, drawn[nth].height_m);
            }
        }
        let apart = |one: &Part| nearest(&parts, &on_rings, one.middle(), SNAP_M).is_none();
        let own: Vec<Part> = drawn.iter().copied().filter(apart).collect();
        parts.extend(own);
        for nth in 1..parts.len() {
            let (before, one) = (parts[nth - 1], parts[nth]);
            let (u, v) = (before.along(), one.along());
            let goes_on = before.class == one.class
                && before.to == one.from
                && u.0 * v.0 + u.1 * v.1 > STRAIGHT;
            parts[nth].side = before.side + usize::from(!goes_on);
        }
        let grid = index(&parts);
        Self { parts, grid }
    }

    /// The nearest part within a distance, and how far it is.
    pub(super) fn nearest(&self, at: (f64, f64), within_m: f64) -> Option<(usize, f64)> {
        nearest(&self.parts, &self.grid, at, within_m)
    }
}

fn index(parts: &[Part]) -> Grid {
    let middles = parts.iter().map(Part::middle).map(|p| [p.0, p.1]).collect();
    Grid::new(middles, 2.0 * PART_M)
}

fn nearest(parts: &[Part], grid: &Grid, at: (f64, f64), within_m: f64) -> Option<(usize, f64)> {
    let mut best: Option<(usize, f64)> = None;
    grid.about([at.0, at.1], within_m + 0.5 * PART_M, |nth| {
        let far = parts[nth].distance_m(at);
        // the earlier of two as far
        let nearer = best.is_none_or(|(other, d)| far < d || far == d && nth < other);
        if far <= within_m && nearer {
            best = Some((nth, far));
        }
    });
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_boundary_takes_its_class_from_what_is_drawn_near() {
        let frame = LocalFrame::at(-93.5, 42.0);
        let degree = 1e-5; // about a meter
        let ring = [(0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)];
        let shift = |x: f64, y: f64| (-93.5 + x * degree, 42.0 + y * degree);
        let rings = vec![ring.map(|p| shift(p.0, p.1)).to_vec()];
        let line = |class, height, places: &[(f64, f64)]| EdgeLine {
            class,
            tree_height_m: height,
            places: places.iter().map(|p| shift(p.0, p.1)).collect(),
        };
        let lines = [
            line(Class::Trees, Some(12.0), &[(-9.0, 0.0), (-9.0, 80.0)]),
            line(Class::Waterway, Some(3.0), &[(50.0, 35.0), (50.0, 45.0)]),
        ];
        let boundary = Boundary::new(&frame, &rings, &lines);
        let at = |x: f64, y: f64| {
            let p = shift(x, y);
            let (nth, far) = boundary.nearest(frame.xy(p.0, p.1), 60.0).unwrap();
            (boundary.parts[nth].class, boundary.parts[nth].height_m, far)
        };
        let (class, height, far) = at(5.0, 40.0);
        assert_eq!((class, height), (Class::Trees, Some(12.0)));
        // a hundred thousandth of a degree of longitude at 42 degrees is 0.829 m
        assert!((far - 5.0 * 0.829).abs() < 0.02, "{far}");
        assert_eq!(at(95.0, 40.0).0, Class::Other);
        // drawn in the middle of the field: an edge of its own, and no trees
        assert_eq!(
            (at(55.0, 40.0).0, at(55.0, 40.0).1),
            (Class::Waterway, None)
        );
        assert!(boundary.nearest((1e5, 1e5), 60.0).is_none());
    }
}
