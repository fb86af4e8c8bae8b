//! Random seasons with known truth: who cut what into which wagon, and what got written down.
//!
//! ```
//! use worlds::season::{Planting, grow};
//! let season = grow(7, 0, Planting::One);
//! assert_eq!(season.truth.mistakes.len(), 1);
//! assert_eq!(season, grow(7, 0, Planting::One)); // same seed, same season
//! ```
//!
//! Limitations: errors are normal and independent but for the shared tares, meter offsets and
//! monitor factors; a real season has worse habits than that, and its own.

mod harvest;
mod layout;

use crate::mistake::Truth;
use crate::paper::Record;
use crate::plant;
use numeric::stream::Stream;
use serde::{Deserialize, Serialize};

/// How many mistakes to plant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Planting {
    /// None.
    None,
    /// Exactly one.
    One,
    /// In 3 to 5 % of slips, at least one.
    Usual,
    /// One to eight in every 60 slips.
    Many,
}

/// One season: what was typed, what the paper says, and what happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Season {
    /// The seed it came from.
    pub seed: u64,
    /// Which of that seed's seasons.
    pub index: u64,
    /// As typed, mistakes included.
    pub typed: Record,
    /// As the paper says: the same slips with no mistake, the missing there, the doubled once.
    pub paper: Record,
    /// What really happened.
    pub truth: Truth,
}

/// Grows season `index` of `seed`: 60 to 300 slips, two or three crops, errors drawn from the
/// default [`crate::scribe::Sureness`], and mistakes planted.
pub fn grow(seed: u64, index: u64, planting: Planting) -> Season {
    let mut chance = Stream::new(seed, "season size", index);
    let size = chance.whole(60, 300) as usize;
    let (paper, truth) = harvest::run(seed, index, size);
    let slips = paper.slips.len();
    let wanted = match planting {
        Planting::None => 0,
        Planting::One => 1,
        Planting::Usual => {
            let share = chance.between(0.03, 0.05);
            ((slips as f64 * share).round() as usize).max(1)
        }
        Planting::Many => (1..=slips.div_ceil(60))
            .map(|_| chance.whole(1, 8) as usize)
            .sum(),
    };
    let mut stream = Stream::new(seed, "mistakes", index);
    let (typed, mistakes) = plant::plant(&paper, &truth, wanted, &mut stream);
    Season {
        seed,
        index,
        typed,
        paper,
        truth: Truth { mistakes, ..truth },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mistake::MistakeKind;
    use crate::paper::PlaceKind;
    use std::collections::{BTreeMap, BTreeSet};

    /// Every wagon's true dry mass in equals its dry mass out, over each filling that it emptied.
    #[test]
    fn true_dry_mass_is_conserved_in_every_wagon() {
        for index in 0..20 {
            let season = grow(11, index, Planting::None);
            let wheels: BTreeSet<&str> = season
                .paper
                .places
                .iter()
                .filter(|p| matches!(p.kind, PlaceKind::Wagon | PlaceKind::Truck))
                .map(|p| p.id.as_str())
                .collect();
            let mut held: BTreeMap<&str, f64> = BTreeMap::new();
            for slip in &season.paper.slips {
                let dry = season.truth.dry_lb[&slip.id];
                if slip.from.len() > 1 {
                    let sum: f64 = slip.from.iter().filter_map(|f| held.get(f.as_str())).sum();
                    assert!((sum - dry).abs() < 1e-6, "{}", slip.id);
                    for from in &slip.from {
                        held.insert(from, 0.0);
                    }
                } else {
                    *held.entry(&slip.from[0]).or_default() -= dry;
                }
                *held.entry(&slip.to).or_default() += dry;
                if slip.empties {
                    for from in &slip.from {
                        assert!(held[from.as_str()].abs() < 1e-6, "{}: {held:?}", slip.id);
                    }
                }
            }
            for wagon in wheels {
                assert!(held.get(wagon).copied().unwrap_or(0.0).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn sizes_mistakes_and_kinds_are_as_asked() {
        let mut kinds: BTreeMap<MistakeKind, u32> = BTreeMap::new();
        for index in 0..60 {
            let season = grow(12, index, Planting::Usual);
            let slips = season.paper.slips.len();
            assert!((60..=420).contains(&slips), "{slips} slips");
            let share = season.truth.mistakes.len() as f64 / slips as f64;
            assert!((0.025..0.06).contains(&share), "{share}");
            for mistake in &season.truth.mistakes {
                *kinds.entry(mistake.kind).or_default() += 1;
                let there = season.typed.slip(&mistake.slip).is_some();
                assert_eq!(there, mistake.kind != MistakeKind::Missing);
                assert!(
                    mistake
                        .concerned
                        .iter()
                        .all(|id| season.typed.slip(id).is_some())
                );
            }
        }
        for kind in MistakeKind::ALL {
            assert!(
                kinds.get(&kind).copied().unwrap_or(0) > 5,
                "{kind:?}: {kinds:?}"
            );
        }
        assert_eq!(grow(12, 3, Planting::One).truth.mistakes.len(), 1);
        let clean = grow(12, 3, Planting::None);
        assert_eq!(clean.typed, clean.paper);
    }

    /// Written dry mass of certified tickets is off by what was stated: z has spread 1.
    #[test]
    fn ticket_errors_have_their_stated_spread() {
        let (mut sum, mut n) = (0.0, 0_u32);
        for index in 0..40 {
            let season = grow(13, index, Planting::None);
            for slip in &season.paper.slips {
                if let crate::paper::Weight::Scale {
                    gross: Some(gross),
                    tare: Some(tare),
                    net,
                    unit,
                    scale: crate::paper::Scale::Certified,
                    step,
                    ..
                } = &slip.weight
                {
                    let lb = unit.per() as f64 / quantity::MassUnit::Lb.per() as f64;
                    let Some(reading) = &slip.moisture else {
                        continue;
                    };
                    let offset = season.truth.offsets[&reading.meter];
                    let dry = *net as f64 * lb * (1.0 - (reading.percent - offset) / 100.0);
                    let m = season.truth.moisture_pct[&slip.id] / 100.0;
                    let scale = (0.001 * lb).powi(2)
                        * ((*gross as f64).powi(2) + (*tare as f64).powi(2))
                        + 2.0 * (*step as f64 * lb).powi(2) / 12.0;
                    let wet = *net as f64 * lb * 0.003;
                    let sd = ((1.0 - m).powi(2) * scale + wet * wet).sqrt();
                    let z = (dry - season.truth.dry_lb[&slip.id]) / sd;
                    sum += z * z;
                    n += 1;
                }
            }
        }
        let spread = sum / f64::from(n);
        assert!(
            n > 500 && (0.85..1.15).contains(&spread),
            "{spread} over {n}"
        );
    }
}
