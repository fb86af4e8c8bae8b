//! Runs of the combine through the crop, cut at the turns.
//!
//! A pass ends where the step to the next record leaves the line of the last 20 m by more than
//! 45 degrees, jumps sideways by more than half a swath, or is longer than 60 m; where the log
//! was silent for half an hour; or where the log's own pass number changes. A waterway crossed in line
//! with the head up does not end a pass, and neither does a clock that runs backwards.
//!
//! Limitations: the distances are common practice, no source. Without a head flag or pass number, a log that
//! keeps writing round the turns leaves a few short passes in every turn (see
//! [`crate::Summary::short_passes`]); they are reported, not hidden.

use crate::{Head, LocalFrame, RawPoint};
use std::collections::VecDeque;

/// Distance over which the line of a pass is taken, m.
const LINE_M: f64 = 20.0;
/// Cosine of the turn that ends a pass, 45 degrees.
const TURN_COS: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// A step longer than this ends a pass, m.
const GAP_M: f64 = 60.0;
/// A silence longer than this ends a pass, s.
const GAP_S: f64 = 1_800.0;
/// Steps and lines shorter than this say nothing about direction, m.
const STEADY_M: f64 = 1.0;

/// One run: a range of point indices, first included, last not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pass {
    /// First point.
    pub start: usize,
    /// One past the last point.
    pub end: usize,
}

impl Pass {
    /// How many points.
    pub fn len(self) -> usize {
        self.end - self.start
    }

    /// Never true of a pass that [`cut`] made.
    pub fn is_empty(self) -> bool {
        self.end == self.start
    }
}

/// Cuts points, in the order of the log, into passes; every point is in exactly one.
///
/// ```
/// use track::{RawPoint, passes};
/// // 50 records north, over one swath, 50 records south
/// let point = |i: u32, east: f64, north: f64| {
///     RawPoint::new(u64::from(i), -93.9 + east / 80_311.0, 43.9 + north / 111_107.0, 10.0, 3.0, 6.0)
/// };
/// let mut points: Vec<_> = (0..50).map(|i| point(i, 0.0, 6.0 * f64::from(i))).collect();
/// points.extend((0..50).map(|i| point(50 + i, 9.1, 294.0 - 6.0 * f64::from(i))));
/// let lengths: Vec<_> = passes::cut(&points, 9.144).iter().map(|p| p.len()).collect();
/// assert_eq!(lengths, [50, 50]);
/// ```
pub fn cut(points: &[RawPoint], swath_m: f64) -> Vec<Pass> {
    let mut cutter = Cutter::new(swath_m);
    let mut starts: Vec<usize> = (0..points.len())
        .filter(|i| cutter.begins(&points[*i]))
        .collect();
    starts.push(points.len());
    starts
        .windows(2)
        .map(|pair| Pass {
            start: pair[0],
            end: pair[1],
        })
        .collect()
}

/// Cuts points as they come, without holding them.
#[derive(Debug)]
pub(crate) struct Cutter {
    swath_m: f64,
    frame: Option<LocalFrame>,
    before: Option<RawPoint>,
    /// The line runs from the latest cutting point of this pass at least 20 m back (else its first)
    /// to the last one; those between wait in order.
    back: (f64, f64),
    last: (f64, f64),
    between: VecDeque<(f64, f64)>,
}

impl Cutter {
    pub(crate) fn new(swath_m: f64) -> Self {
        Self {
            swath_m,
            frame: None,
            before: None,
            back: (0.0, 0.0),
            last: (0.0, 0.0),
            between: VecDeque::new(),
        }
    }

    /// Whether a pass begins with this point.
    pub(crate) fn begins(&mut self, point: &RawPoint) -> bool {
        let frame = *self
            .frame
            .get_or_insert_with(|| LocalFrame::at(point.longitude_deg, point.latitude_deg));
        let Some(before) = self.before.replace(*point) else {
            return true;
        };
        // with the head up the machine goes where it likes: the next cutting record is judged, from
        // the last cutting one, and what was logged between stays with the pass before
        if point.head == Head::Up {
            return false;
        }
        let here = frame.xy(point.longitude_deg, point.latitude_deg);
        while let Some(&nearer) = self.between.front()
            && square(minus(self.last, nearer)) >= LINE_M * LINE_M
        {
            self.back = nearer;
            self.between.pop_front();
        }
        let (line, step) = (minus(self.last, self.back), minus(here, self.last));
        let begins = breaks(&before, point, line, step, self.swath_m);
        if begins {
            self.back = here;
            self.between.clear();
        } else {
            self.between.push_back(here);
        }
        self.last = here;
        begins
    }
}

fn breaks(
    before: &RawPoint,
    after: &RawPoint,
    line: (f64, f64),
    step: (f64, f64),
    swath_m: f64,
) -> bool {
    if let (Some(a), Some(b)) = (before.pass, after.pass) {
        return a != b;
    }
    let silent = match (before.time_s, after.time_s) {
        (Some(a), Some(b)) => b - a > GAP_S,
        _ => false,
    };
    let (along2, step2) = (square(line), square(step));
    if silent || step2 > GAP_M * GAP_M {
        return true;
    }
    if along2 < STEADY_M * STEADY_M || step2 < STEADY_M * STEADY_M {
        return false;
    }
    let along = along2.sqrt();
    let forward = line.0 * step.0 + line.1 * step.1;
    let sideways = (line.0 * step.1 - line.1 * step.0).abs();
    forward < TURN_COS * along * step2.sqrt() || sideways > swath_m / 2.0 * along
}

fn minus(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (a.0 - b.0, a.1 - b.1)
}

fn square(v: (f64, f64)) -> f64 {
    v.0 * v.0 + v.1 * v.1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points along a path given as (east, north, head), m.
    fn path(places: impl IntoIterator<Item = (f64, f64, Head)>) -> Vec<RawPoint> {
        let points = places
            .into_iter()
            .zip(1..)
            .map(|((east, north, head), row)| {
                let (longitude, latitude) = (-93.9 + east / 80_311.0, 43.9 + north / 111_107.0);
                RawPoint {
                    head,
                    ..RawPoint::new(row, longitude, latitude, 10.0, 1.0, 2.0)
                }
            });
        points.collect()
    }

    fn lengths(points: &[RawPoint]) -> Vec<usize> {
        cut(points, 9.144).into_iter().map(Pass::len).collect()
    }

    #[test]
    fn a_turn_with_the_head_up_belongs_to_the_pass_before() {
        let north = (0..60).map(|i| (0.0, 2.0 * f64::from(i), Head::Down));
        // half a circle of 9.144 m across, a record every 9 degrees
        let turn = (0..=20).map(|i| {
            let angle = f64::from(i) * 9_f64.to_radians();
            (
                4.572 * (1.0 - angle.cos()),
                120.0 + 4.572 * angle.sin(),
                Head::Up,
            )
        });
        let south = (0..60).map(|i| (9.144, 118.0 - 2.0 * f64::from(i), Head::Down));
        let points = path(north.chain(turn).chain(south));
        assert_eq!(lengths(&points), [81, 60]);
    }

    #[test]
    fn a_waterway_crossed_in_line_does_not_end_a_pass() {
        let place = |i: i32, head| (0.0, 2.0 * f64::from(i), head);
        let points = path((0..100).map(|i| {
            place(
                i,
                if (40..55).contains(&i) {
                    Head::Up
                } else {
                    Head::Down
                },
            )
        }));
        assert_eq!(lengths(&points), [100]);
        let silent = path(
            (0..100)
                .filter(|i| !(40..55).contains(i))
                .map(|i| place(i, Head::Unsaid)),
        );
        assert_eq!(lengths(&silent), [85]);
    }

    #[test]
    fn a_pass_number_decides_alone_and_a_long_silence_ends_a_pass() {
        let mut points = path((0..30).map(|i| (0.0, 2.0 * f64::from(i), Head::Unsaid)));
        for (point, i) in points.iter_mut().zip(0_u32..) {
            point.pass = Some(i / 10);
        }
        assert_eq!(lengths(&points), [10, 10, 10]);
        for (point, i) in points.iter_mut().zip(0_u32..) {
            point.pass = None;
            point.time_s = Some(f64::from(i) + if i < 12 { 0.0 } else { 2_000.0 });
        }
        assert_eq!(lengths(&points), [12, 18]);
        assert_eq!(lengths(&[]), [0; 0]);
    }
}
