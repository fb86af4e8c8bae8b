//! Mass as it arrived, cumulated over time, so that a shift moves it and loses none.

use crate::RawPoint;
use std::ops::Range;

/// A silence of this many intervals ends a run.
const SILENT: f64 = 1.6;

/// Mass over time, in runs with no silence between their records.
///
/// Times are seconds from the first record, at the end of each record. Within a run mass arrives evenly over each
/// record; between runs nothing is known.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stream {
    /// End of each record, s.
    pub t: Vec<f64>,
    /// Length of each record, s.
    pub dt: Vec<f64>,
    /// Mass up to the end of each record, from the start of its run, kg.
    cumulated: Vec<f64>,
    /// Runs, as ranges of records.
    pub runs: Vec<Range<usize>>,
    /// Run of each record.
    run_of: Vec<u32>,
}

/// Mass moved to the ground that it came from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shifted {
    /// Mass of each record, kg; `None` where the log does not reach.
    pub mass_kg: Vec<Option<f64>>,
    /// Mass that arrived before or after any ground of its run, kg: cut where nothing is logged.
    pub unplaced_kg: f64,
}

/// The usual length of a record, s: the median of those above 0, else 1.
pub(crate) fn usual_interval(points: &[RawPoint]) -> f64 {
    let mut all: Vec<f64> = points
        .iter()
        .map(|one| one.interval_s)
        .filter(|dt| *dt > 0.0)
        .collect();
    super::median(&mut all).unwrap_or(1.0)
}

impl Stream {
    /// From records in the order of the log. A clock that is missing or runs backwards is taken to go on by the
    /// record's own interval.
    pub(super) fn of(points: &[RawPoint]) -> Self {
        let usual = usual_interval(points);
        let mut out = Self {
            t: Vec::with_capacity(points.len()),
            dt: Vec::with_capacity(points.len()),
            cumulated: Vec::with_capacity(points.len()),
            runs: Vec::new(),
            run_of: Vec::with_capacity(points.len()),
        };
        let (mut now, mut sum, mut start) = (0.0, 0.0, 0);
        for (i, point) in points.iter().enumerate() {
            let dt = if point.interval_s > 0.0 {
                point.interval_s
            } else {
                usual
            };
            let step = i
                .checked_sub(1)
                .and_then(|before| Some(point.time_s? - points[before].time_s?))
                .filter(|step| *step > 0.0);
            let silent = step.is_some_and(|step| step > SILENT * dt.max(usual));
            if silent && i > start {
                out.runs.push(start..i);
                start = i;
                sum = 0.0;
            }
            now += match step {
                Some(step) if silent => step,
                _ => dt,
            };
            sum += point.mass_kg;
            out.t.push(now);
            out.dt.push(dt);
            out.cumulated.push(sum);
            out.run_of
                .push(u32::try_from(out.runs.len()).unwrap_or(u32::MAX));
        }
        if start < points.len() {
            out.runs.push(start..points.len());
        }
        out
    }

    /// The run of a record.
    pub(super) fn run_of(&self, record: usize) -> usize {
        self.run_of[record] as usize
    }

    /// Mass that arrived in a run up to a time; `None` outside it.
    fn upto(&self, run: &Range<usize>, at: f64, near: usize) -> Option<f64> {
        // a hair of rounding at the ends is inside
        const HAIR: f64 = 1e-6;
        let first = self.t[run.start] - self.dt[run.start];
        let last = self.t[run.end - 1];
        if at < first - HAIR || at > last + HAIR {
            return None;
        }
        let mut i = near.clamp(run.start, run.end - 1);
        while i > run.start && self.t[i - 1] >= at {
            i -= 1;
        }
        while i + 1 < run.end && self.t[i] < at {
            i += 1;
        }
        let before = if i == run.start {
            0.0
        } else {
            self.cumulated[i - 1]
        };
        let begins = self.t[i] - self.dt[i];
        let share = ((at - begins) / self.dt[i]).clamp(0.0, 1.0);
        Some(before + share * (self.cumulated[i] - before))
    }

    /// Mass of one record when all of it came `delay` seconds late.
    pub(crate) fn shifted_one(&self, i: usize, delay: f64, usual: f64) -> Option<f64> {
        let run = &self.runs[self.run_of(i)];
        let near = (i as f64 + delay / usual).round().max(0.0) as usize;
        let (from, to) = (self.t[i] - self.dt[i] + delay, self.t[i] + delay);
        Some(self.upto(run, to, near)? - self.upto(run, from, near)?)
    }

    /// Mass of each record when all of it came `delay` seconds late (early below 0); placed and unplaced
    /// mass together are what was logged, to rounding.
    pub(super) fn shifted(&self, delay: impl Fn(usize) -> f64) -> Shifted {
        let mut mass_kg = Vec::with_capacity(self.t.len());
        let mut unplaced_kg = 0.0;
        for run in &self.runs {
            let usual = self.dt[run.start];
            let mut placed = 0.0;
            for i in run.clone() {
                let mass = self.shifted_one(i, delay(i), usual);
                placed += mass.unwrap_or(0.0);
                mass_kg.push(mass);
            }
            unplaced_kg += self.cumulated[run.end - 1] - placed;
        }
        Shifted {
            mass_kg,
            unplaced_kg,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(masses: &[f64], times: &[f64]) -> Vec<RawPoint> {
        masses
            .iter()
            .zip(times)
            .zip(1..)
            .map(|((mass, time), row)| RawPoint {
                time_s: Some(*time),
                ..RawPoint::new(row, -93.9, 43.9, *mass, 1.0, 2.0)
            })
            .collect()
    }

    #[test]
    fn whole_shifts_move_records_and_halves_split_them() {
        let log = points(&[1.0, 2.0, 4.0, 8.0], &[1.0, 2.0, 3.0, 4.0]);
        let stream = Stream::of(&log);
        let by = |delay: f64| stream.shifted(|_| delay);
        assert_eq!(by(0.0).mass_kg, [1.0, 2.0, 4.0, 8.0].map(Some));
        assert_eq!(by(1.0).mass_kg, [Some(2.0), Some(4.0), Some(8.0), None]);
        assert_eq!(by(-1.0).mass_kg, [None, Some(1.0), Some(2.0), Some(4.0)]);
        assert_eq!(by(0.5).mass_kg, [Some(1.5), Some(3.0), Some(6.0), None]);
        for delay in [-2.3, -1.0, 0.0, 0.7, 3.9, 9.0] {
            let all = by(delay);
            let placed: f64 = all.mass_kg.iter().flatten().sum();
            assert!((placed + all.unplaced_kg - 15.0).abs() < 1e-12, "{delay}");
        }
    }

    #[test]
    fn a_silence_ends_a_run_and_a_clock_that_runs_backwards_does_not() {
        let log = points(&[1.0; 5], &[1.0, 2.0, 30.0, 31.0, 29.0]);
        let stream = Stream::of(&log);
        assert_eq!(stream.runs, [0..2, 2..5]);
        assert_eq!(stream.t, [1.0, 2.0, 30.0, 31.0, 32.0]);
        let late = stream.shifted(|_| 1.0);
        assert_eq!(late.mass_kg, [Some(1.0), None, Some(1.0), Some(1.0), None]);
        assert!((late.unplaced_kg - 2.0).abs() < 1e-12);
    }
}
