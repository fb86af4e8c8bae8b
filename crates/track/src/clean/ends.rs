//! First and last seconds of each pass, while the machine fills and empties.
//!
//! Four seconds at least; then as long as the profile over all passes, seconds in the crop against yield over the
//! pass's own inside, is not level, or scatters more than it does farther in.

use super::chain::Record;
use super::flag::Flag;
use crate::Pass;
use serde::Serialize;

const LEAST_S: f64 = 4.0;
const MOST_S: f64 = 25.0;
/// Not level: off by more than this share.
const OFF: f64 = 0.06;
/// Scatters: more than this many times as farther in.
const WIDER: f64 = 1.6;
/// Farthest that a trim may reach, s.
const FARTHEST_S: f64 = 16.0;
/// Records behind a step of the profile.
const LEAST: usize = 8;
/// A pass shorter than this tells nothing of its ends, s.
const LONG_S: f64 = 90.0;
/// The pass's own inside: so far from its end, s.
const INSIDE_S: (f64, f64) = (20.0, 50.0);

/// What was found of the passes' ends.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ends {
    /// Seconds left off at starts.
    pub start_s: f64,
    /// Seconds left off at ends.
    pub end_s: f64,
    /// Seconds in the crop, and yield over the inside's, at starts and at ends; none where too few passes tell.
    pub profile: Vec<(f64, Option<f64>, Option<f64>)>,
}

/// Records of a pass with new ground, in order.
fn in_crop(records: &[Record], pass: Pass) -> Vec<usize> {
    (pass.start..pass.end)
        .filter(|i| {
            let off = matches!(
                records[*i].flag,
                Some(Flag::HeadUp | Flag::Jump | Flag::OldGround)
            );
            records[*i].area_m2 > 0.0 && !off
        })
        .collect()
}

pub(super) fn flag(records: &mut [Record], passes: &[Pass]) -> Ends {
    let runs: Vec<Vec<usize>> = passes.iter().map(|pass| in_crop(records, *pass)).collect();
    let mut steps: Vec<f64> = records
        .windows(2)
        .map(|r| r[1].t - r[0].t)
        .filter(|s| *s > 0.0)
        .collect();
    let step = super::median(&mut steps).unwrap_or(1.0).max(1.0);
    let bins = (MOST_S / step).ceil() as usize + 1;
    let mut starts: Vec<Vec<f64>> = vec![Vec::new(); bins];
    let mut tails: Vec<Vec<f64>> = vec![Vec::new(); bins];
    for run in &runs {
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            continue;
        };
        let (begin, end) = (records[*first].t, records[*last].t);
        if end - begin < LONG_S {
            continue;
        }
        let level = |from: f64, to: f64| {
            let inside = run.iter().map(|i| &records[*i]);
            let mut all: Vec<f64> = inside
                .filter(|r| (from..to).contains(&r.t))
                .filter_map(|r| r.dry_kg_m2)
                .collect();
            super::median(&mut all).filter(|level| *level > 0.0)
        };
        let head = level(begin + INSIDE_S.0, begin + INSIDE_S.1);
        let tail = level(end - INSIDE_S.1, end - INSIDE_S.0);
        for r in run.iter().map(|i| &records[*i]) {
            let Some(y) = r.dry_kg_m2 else { continue };
            for (bin, level, into) in [
                ((r.t - begin) / step, head, &mut starts),
                ((end - r.t) / step, tail, &mut tails),
            ] {
                if let (Some(level), Some(one)) = (level, into.get_mut(bin.round() as usize)) {
                    one.push(y / level);
                }
            }
        }
    }
    let (start_s, heads) = settle(&mut starts, step);
    let (end_s, lasts) = settle(&mut tails, step);
    for run in &runs {
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            continue;
        };
        let (begin, end) = (records[*first].t, records[*last].t);
        for i in run {
            let r = &mut records[*i];
            if r.t - begin < start_s {
                r.flag.get_or_insert(Flag::Start);
            } else if end - r.t < end_s {
                r.flag.get_or_insert(Flag::End);
            }
        }
    }
    let profile = heads
        .into_iter()
        .zip(lasts)
        .enumerate()
        .map(|(s, (head, last))| (s as f64 * step, head, last))
        .collect();
    Ends {
        start_s,
        end_s,
        profile,
    }
}

/// Seconds until a profile is level and quiet, and its middles.
fn settle(profile: &mut [Vec<f64>], step: f64) -> (f64, Vec<Option<f64>>) {
    let found: Vec<Option<(f64, f64)>> = profile
        .iter_mut()
        .map(|one| {
            if one.len() < LEAST {
                return None;
            }
            let middle = super::median(one)?;
            let mut off: Vec<f64> = one.iter().map(|y| (y - middle).abs()).collect();
            Some((middle, super::median(&mut off)?))
        })
        .collect();
    let middles = found.iter().map(|one| one.map(|one| one.0)).collect();
    // a headland may differ from the inside: level is what the profile itself comes to
    let rest = |pick: fn(&(f64, f64)) -> f64| {
        let mut all: Vec<f64> = found[found.len() / 2..]
            .iter()
            .flatten()
            .map(pick)
            .collect();
        super::median(&mut all)
    };
    let (Some(level), Some(spread)) = (rest(|one| one.0), rest(|one| one.1)) else {
        return (LEAST_S, middles);
    };
    let mut trim = LEAST_S;
    for (s, one) in found.iter().enumerate() {
        let at = s as f64 * step;
        let unsettled = one.is_some_and(|(middle, off)| {
            (middle / level - 1.0).abs() > OFF || off > WIDER * spread
        });
        if at <= FARTHEST_S && unsettled {
            trim = trim.max(at + step);
        }
    }
    (trim, middles)
}
