//! From raw points to records that say where each kilogram was cut.

mod alone;
mod area;
mod cells;
mod chain;
mod close;
mod delay;
mod ends;
mod flag;
mod lag;
mod map;
mod moist;
mod place;
mod scale;
mod speed;
mod stream;
mod tally;
mod zone;

pub use area::Ground;
pub use cells::Cells;
pub use chain::{Cleaned, Known, Record, Unmixed, clean};
pub use delay::Delay;
pub use ends::Ends;
pub use flag::Flag;
pub use lag::Mixing;
pub use map::{Map, PassOff, PassOut, Told, map};
pub use scale::{Calibration, Fitted, Weighing};
pub use tally::{Tallied, tally};
pub use zone::{Zone, ZoneDifference, Zones, zones};

/// The pass of each of `count` points, from 0.
pub(crate) fn pass_of_each(passes: &[crate::Pass], count: usize) -> Vec<u32> {
    let mut out = vec![0; count];
    for (number, pass) in (0..).zip(passes) {
        out[pass.start..pass.end].fill(number);
    }
    out
}

/// The median; sorts what it is given.
pub(crate) fn median(all: &mut [f64]) -> Option<f64> {
    if all.is_empty() {
        return None;
    }
    let middle = all.len() / 2;
    let (_, high, _) = all.select_nth_unstable_by(middle, f64::total_cmp);
    let high = *high;
    if all.len() % 2 == 1 {
        return Some(high);
    }
    let low = all[..middle]
        .iter()
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    Some(0.5 * (low + high))
}
