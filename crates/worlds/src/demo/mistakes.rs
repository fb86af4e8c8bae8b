//! Eight mistakes of eight kinds, each where the rest of what was written can show it.

use crate::mistake::{Mistake, MistakeKind, Truth};
use crate::paper::{Record, Scale, Slip, Weight};
use crate::plant::{Typist, make};
use numeric::stream::Stream;
use std::collections::BTreeSet;

/// How many.
const EIGHT: usize = 8;
/// A mistake must change its trip by so many standard deviations of what the trip leaves open.
const PLAIN: f64 = 7.5;
/// Weighed loads of a crop after which its monitor is believed.
const SETTLES: usize = 4;
/// Least share of a crop's slips that stay out of any bad trip.
const CLEAN_SHARE: f64 = 0.58;

/// Plants them; a monitor gap is not among them, since no paper could settle it.
pub(super) fn plant(paper: &Record, truth: &Truth, stream: &mut Stream) -> (Record, Vec<Mistake>) {
    let mut best = place(paper, truth, stream);
    // kinds drawn first can leave no room for the rest: draw again
    for _ in 0..400 {
        if best.count() == EIGHT {
            break;
        }
        let again = place(paper, truth, stream);
        if again.count() > best.count() {
            best = again;
        }
    }
    best.finish()
}

/// Places kinds in random order, each on a slip where it is plain, in trips not yet spoiled.
fn place<'a>(paper: &'a Record, truth: &'a Truth, stream: &mut Stream) -> Typist<'a> {
    let mut typist = Typist::new(paper, truth);
    let mut kinds: Vec<MistakeKind> = MistakeKind::ALL
        .into_iter()
        .filter(|kind| *kind != MistakeKind::MonitorGap)
        .collect();
    stream.shuffle(&mut kinds);
    let mut taken: BTreeSet<String> = BTreeSet::new();
    for kind in kinds {
        if typist.count() == EIGHT {
            break;
        }
        let mut slips: Vec<&Slip> = paper.slips.iter().collect();
        stream.shuffle(&mut slips);
        for slip in slips {
            let Some(slipup) = make(kind, slip, &typist, stream) else {
                continue;
            };
            let concerned = typist.concerned(&slip.id, &slipup);
            let plain = spread_lb(&concerned, paper, truth)
                .is_some_and(|sd| slipup.change_dry_lb.abs() >= PLAIN * sd);
            if plain && concerned.is_disjoint(&taken) && room(&slip.crop, &concerned, &taken, paper)
            {
                taken.extend(concerned);
                typist.accept(kind, &slip.id, slipup);
                break;
            }
        }
    }
    typist
}

/// Whether enough of the crop's slips stay clean to hold its monitor factor.
fn room(crop: &str, more: &BTreeSet<String>, taken: &BTreeSet<String>, paper: &Record) -> bool {
    let of_crop: Vec<&Slip> = paper.slips.iter().filter(|s| s.crop == crop).collect();
    let clean = of_crop
        .iter()
        .filter(|s| !more.contains(&s.id) && !taken.contains(&s.id))
        .count();
    clean as f64 >= CLEAN_SHARE * of_crop.len() as f64
}

/// Loads of a crop over a scale before a slip.
fn weighed_before(slip: &Slip, paper: &Record) -> usize {
    let scale = |other: &&Slip| matches!(other.weight, Weight::Scale { .. });
    let earlier = paper.slips.iter().take_while(|other| other.id != slip.id);
    earlier
        .filter(|other| other.crop == slip.crop)
        .filter(scale)
        .count()
}

/// Standard deviation of what the slips of a trip leave open, dry lb: every member's own, in
/// quadrature. `None` where one says nothing, so that nothing checks the others.
fn spread_lb(concerned: &BTreeSet<String>, paper: &Record, truth: &Truth) -> Option<f64> {
    let mut square = 0.0;
    for id in concerned {
        let slip = paper.slip(id)?;
        let dry = truth.dry_lb.get(id)?;
        square += match &slip.weight {
            // a tank, and the monitor's factor that has to be learned from the others
            Weight::Monitor { .. } => {
                let share = if weighed_before(slip, paper) < SETTLES {
                    0.08
                } else {
                    0.034
                };
                (share * dry).powi(2)
            }
            Weight::Scale { scale, .. } => {
                let relative = match scale {
                    Scale::Certified => 0.005,
                    Scale::Cart | Scale::Farm => 0.016,
                };
                (relative * dry).powi(2)
            }
            Weight::Eye { .. } => (0.10 * dry).powi(2),
            Weight::Unknown => return None,
        };
    }
    Some(square.sqrt())
}
