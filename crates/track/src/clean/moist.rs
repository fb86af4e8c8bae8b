//! How wet the grain of each record was.
//!
//! A moisture cell fills slowly and lags more than the mass does; within a field the grain's moisture changes
//! slowly. So each record takes the middle of what was read within ten seconds about the time its grain passed, and
//! the tickets say by how much the cell is off.

use super::scale::Weighing;
use super::stream::Stream;
use crate::RawPoint;

const SIDE_S: f64 = 10.0;
/// A cell that reads less than this is empty.
const EMPTY: f64 = 0.01;

/// Moisture of the grain that passed `delay_s` after each record, fraction wet basis.
pub(super) fn passing(
    points: &[RawPoint],
    stream: &Stream,
    delay_s: f64,
    otherwise: Option<f64>,
) -> Vec<Option<f64>> {
    let n = points.len();
    let mut around = Vec::new();
    let (mut from, mut to) = (0, 0);
    (0..n)
        .map(|i| {
            let at = stream.t[i] + delay_s;
            while from < n && at - stream.t[from] > SIDE_S {
                from += 1;
            }
            while to < n && stream.t[to] - at <= SIDE_S {
                to += 1;
            }
            around.clear();
            let near = &points[from.min(to)..to];
            around.extend(
                near.iter()
                    .filter_map(|p| p.moisture)
                    .filter(|m| *m > EMPTY),
            );
            super::median(&mut around)
                .or(points[i].moisture.filter(|m| *m > EMPTY))
                .or(otherwise)
        })
        .collect()
}

/// Ticket less the monitor's mass-weighted mean, the middle over weighings; none without a ticket's moisture.
pub(super) fn offset(points: &[RawPoint], weighings: &[Weighing]) -> Option<f64> {
    let loads = points.iter().filter_map(|p| p.load).max()? as usize + 1;
    let mut sums = vec![(0.0, 0.0); loads];
    for p in points {
        if let (Some(load), Some(m)) = (p.load, p.moisture.filter(|m| *m > EMPTY)) {
            sums[load as usize].0 += m * p.mass_kg;
            sums[load as usize].1 += p.mass_kg;
        }
    }
    let mut all: Vec<f64> = weighings
        .iter()
        .filter_map(|w| {
            let ticket = w.moisture?;
            let of = || w.loads.iter().filter_map(|l| sums.get(*l as usize));
            let (water, mass): (f64, f64) = (of().map(|s| s.0).sum(), of().map(|s| s.1).sum());
            (mass > 0.0).then(|| ticket - water / mass)
        })
        .collect();
    super::median(&mut all)
}
