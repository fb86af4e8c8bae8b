//! Stops, and speeds unlike the rest.

use super::alone::TO_SD;
use super::flag::Flag;
use super::stream::Stream;
use crate::{Pass, RawPoint};

/// Below this share of the usual speed it stands.
const STANDS: f64 = 0.2;
/// Grain about a stop is not that of the ground, s on each side.
const STOP_S: f64 = 8.0;
/// A change of speed from one record to the next by more than this share says that one of them is wrong; of
/// records of two seconds or more it says nothing.
const SUDDEN: f64 = 0.35;
const SHORT_S: f64 = 2.0;
/// No combine cuts slower or faster, m/s.
const CUTS: std::ops::RangeInclusive<f64> = 0.3..=4.5;

pub(super) fn flag(
    points: &[RawPoint],
    passes: &[Pass],
    stream: &Stream,
    cuts: &[bool],
    flags: &mut [Option<Flag>],
) {
    let speed = |i: usize| points[i].distance_m / stream.dt[i];
    let mut all: Vec<f64> = (0..points.len()).filter(|i| cuts[*i]).map(speed).collect();
    let Some(usual) = super::median(&mut all) else {
        return;
    };
    let mut off: Vec<f64> = all.iter().map(|v| (v - usual).abs()).collect();
    let sd = TO_SD * super::median(&mut off).unwrap_or(0.0);
    let wide = (4.0 * sd).max(SUDDEN * usual);
    for pass in passes {
        let up = |flags: &[Option<Flag>], i: usize| flags[i] == Some(Flag::HeadUp);
        for i in pass.start..pass.end {
            if up(flags, i) || speed(i) >= STANDS * usual {
                continue;
            }
            let about = |j: &usize| (stream.t[*j] - stream.t[i]).abs() <= STOP_S;
            let before = (pass.start..i).rev().take_while(about);
            let after = (i..pass.end).take_while(about);
            for j in before.chain(after) {
                flags[j].get_or_insert(Flag::Stop);
            }
        }
        for i in pass.start..pass.end {
            if flags[i].is_some() {
                continue;
            }
            let v = speed(i);
            let sudden = i > pass.start
                && flags[i - 1].is_none()
                && (v / speed(i - 1) - 1.0).abs() > SUDDEN
                && stream.dt[i] < SHORT_S;
            if sudden || (v - usual).abs() > wide || !CUTS.contains(&v) {
                flags[i] = Some(Flag::Speed);
            }
        }
    }
}
