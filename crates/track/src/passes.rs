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
    let Some(first) = points.first() else {
        return Vec::new();
    };
    let frame = LocalFrame::at(first.longitude_deg, first.latitude_deg);
    let place = |i: usize| {
        let p: &RawPoint = &points[i];
        frame.xy(p.longitude_deg, p.latitude_deg)
    };
    let mut passes = Vec::new();
    let (mut start, mut anchor) = (0, 0);
    let mut last = place(0);
    for i in 1..points.len() {
        let here = place(i);
        // the line: from the latest point of this pass at least 20 m back (else its start)
        while anchor + 1 < i && length(minus(last, place(anchor + 1))) >= LINE_M {
            anchor += 1;
        }
        let line = minus(last, place(anchor));
        if breaks(&points[i - 1], &points[i], line, minus(here, last), swath_m) {
            passes.push(Pass { start, end: i });
            start = i;
            anchor = i;
        }
        last = here;
    }
    passes.push(Pass {
        start,
        end: points.len(),
    });
    passes
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
    let (along, step_m) = (length(line), length(step));
    if silent || step_m > GAP_M {
        return true;
    }
    // with the head up the machine goes where it likes; the next cutting record is judged instead
    if after.head == Head::Up || along < STEADY_M || step_m < STEADY_M {
        return false;
    }
    let forward = (line.0 * step.0 + line.1 * step.1) / along;
    let sideways = (line.0 * step.1 - line.1 * step.0).abs() / along;
    forward < TURN_COS * step_m || sideways > swath_m / 2.0
}

fn minus(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (a.0 - b.0, a.1 - b.1)
}

fn length(v: (f64, f64)) -> f64 {
    (v.0 * v.0 + v.1 * v.1).sqrt()
}
