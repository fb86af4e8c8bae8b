//! When to stop counting: is the loss above what an adjustment is worth, and how many more frames
//! would tell.

use super::class::Summary;
use super::convert::Loss;
use super::partition::{FrameAt, Weighted};
use crate::MachineError;
use crate::error::above_zero;
use numeric::distribution::{normal_ln_density, normal_quantile, normal_upper, t_quantile};
use serde::{Deserialize, Serialize};

/// What hangs on the answer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Stakes {
    /// A loss worth an adjustment, in the unit of the estimate that is judged (kilograms a hectare).
    pub worth: f64,
    /// Minutes that one frame takes; 3 is our default, common practice.
    pub minutes_a_frame: f64,
    /// What an hour of the machine and its crew costs, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub money_per_h: Option<f64>,
    /// Money in one unit of the loss over all ground still to be cut: price x hectares left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub money_per_unit: Option<f64>,
}

/// How the question stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Fewer than three frames in some place: nothing can be said yet.
    TooFew,
    /// The loss is above what an adjustment is worth, 9 chances in 10 or better.
    Above,
    /// It is below, 9 chances in 10 or better.
    Below,
    /// The 90 % interval is narrower than what an adjustment is worth: too near to matter.
    TooNear,
    /// More frames would tell.
    Open,
    /// No number of frames up to the cap would: the doubt is in the seed's weight, the widths or the scatter.
    Stuck,
}

/// How many more frames, and whether they are worth their minutes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct More {
    /// How the question stands.
    pub standing: Standing,
    /// The probability that the loss is above what an adjustment is worth.
    pub chance_above: Option<f64>,
    /// More frames in the standing crop.
    pub in_standing: usize,
    /// More frames behind the head.
    pub behind_head: usize,
    /// More frames behind the machine.
    pub behind_machine: usize,
    /// Minutes that they take.
    pub minutes: f64,
    /// What those minutes cost.
    pub cost: Option<f64>,
    /// The most that knowing could be worth: what a wrong guess now would cost on average.
    pub at_stake: Option<f64>,
    /// Whether the minutes cost less than that.
    pub worth_it: Option<bool>,
}

impl More {
    /// All frames together.
    pub fn frames(&self) -> usize {
        self.in_standing + self.behind_head + self.behind_machine
    }
}

/// No more than this many frames a place are ever asked for.
const CAP: usize = 12;
/// A question is settled at this chance.
const SETTLED: f64 = 0.9;

/// Whether the loss of the pass is above what an adjustment is worth, and what would tell.
///
/// Settled when P(loss > T) is 0.9 or more, or 0.1 or less, or when the 90 % interval is narrower
/// than T. Else the standard error must shrink to the greater of |d - T| / 1.28 and T / 3.29; the frames that
/// do it cheapest stand in proportion to weight x standard deviation of each class (Neyman 1934,
/// from memory), which sends a windrowed tail's next frames behind the *head*. No more than 12 more a
/// class. The most that knowing can be worth is the money that a decision taken now loses on average,
/// se x (phi(z) - |z| (1 - Phi(|z|))) with z = (d - T) / se.
///
/// # Errors
/// A threshold that is not above zero, or minutes below nothing.
pub fn settle(loss: &Loss, stakes: &Stakes) -> Result<More, MachineError> {
    let worth = above_zero("what an adjustment is worth", stakes.worth, "a hectare")?;
    if !(stakes.minutes_a_frame.is_finite() && stakes.minutes_a_frame >= 0.0) {
        return Err(MachineError::odd(
            "minutes a frame",
            stakes.minutes_a_frame,
            "0 or more",
        ));
    }
    let mut more = More {
        standing: Standing::TooFew,
        chance_above: None,
        in_standing: 0,
        behind_head: 0,
        behind_machine: 0,
        minutes: 0.0,
        cost: None,
        at_stake: None,
        worth_it: None,
    };
    let (split, kg) = match (&loss.seeds, &loss.ears) {
        (Some(seeds), _) => (seeds, loss.kg_per_ha_of_one_seed),
        (None, Some(ears)) => (ears, loss.kg_per_ha_of_one_ear.unwrap_or(0.0)),
        (None, None) => return Ok(more),
    };
    let Some(judged) = loss.parts.total.or(loss.parts.head) else {
        return Ok(more);
    };
    let Some(doubt) = judged.kg_per_ha.doubt else {
        for class in &split.classes {
            *slot(&mut more, class.at) = Summary::FEWEST.saturating_sub(class.summary.frames);
        }
        count_minutes(&mut more, stakes);
        return Ok(more);
    };
    let value = judged.kg_per_ha.value;
    let chance = judged.kg_per_ha.chance_above(worth).unwrap_or(0.5);
    more.chance_above = Some(chance);
    let z = (value - worth).abs() / doubt.se;
    let lost_by_guessing = doubt.se * (normal_ln_density(z).exp() - z * normal_upper(z));
    more.at_stake = stakes.money_per_unit.map(|money| money * lost_by_guessing);
    let width = 2.0 * t_quantile(0.95, doubt.df) * doubt.se;
    if chance >= SETTLED {
        more.standing = Standing::Above;
    } else if chance <= 1.0 - SETTLED {
        more.standing = Standing::Below;
    } else if width < worth {
        more.standing = Standing::TooNear;
    }
    if more.standing != Standing::TooFew {
        return Ok(more);
    }
    let needed = ((value - worth).abs() / normal_quantile(SETTLED))
        .max(worth / (2.0 * normal_quantile(0.95)));
    // what no frame makes smaller: the doubt of the seed's weight and of the widths
    let counted = kg * kg * split.classes.iter().map(Weighted::variance).sum::<f64>();
    let fixed = (doubt.se * doubt.se - counted).max(0.0);
    let target = (needed * needed - fixed) / (kg * kg);
    let wanted = allocate(&split.classes, target);
    more.standing = Standing::Open;
    for (class, wanted) in split.classes.iter().zip(wanted) {
        let extra = (wanted - class.summary.frames as f64).ceil().max(0.0);
        if extra > CAP as f64 {
            more.standing = Standing::Stuck;
        }
        *slot(&mut more, class.at) = extra.min(CAP as f64) as usize;
    }
    count_minutes(&mut more, stakes);
    Ok(more)
}

/// Frames by class, those there are included, that bring the variance of the total down to `target`
/// with the fewest: in proportion to weight x standard deviation, never fewer than there are.
fn allocate(classes: &[Weighted], target: f64) -> Vec<f64> {
    let pull = |class: &Weighted| {
        (class.weight / class.summary.frame_m2).abs() * class.summary.variance.sqrt()
    };
    let now = |class: &Weighted| class.summary.frames as f64;
    let mut kept = vec![false; classes.len()];
    loop {
        let held: f64 = classes
            .iter()
            .zip(&kept)
            .filter(|(_, kept)| **kept)
            .map(|(class, _)| class.variance())
            .sum();
        let sum: f64 = classes
            .iter()
            .zip(&kept)
            .filter(|(_, kept)| !**kept)
            .map(|(class, _)| pull(class))
            .sum();
        let left = target - held;
        let wanted: Vec<f64> = classes
            .iter()
            .zip(&kept)
            .map(|(class, kept)| {
                if *kept || pull(class) == 0.0 {
                    now(class)
                } else if left > 0.0 {
                    pull(class) * sum / left
                } else {
                    f64::INFINITY
                }
            })
            .collect();
        // a class that would shrink keeps what it has, and the others are asked again
        let shrinks: Vec<usize> = (0..classes.len())
            .filter(|&at| !kept[at] && wanted[at] < now(&classes[at]))
            .collect();
        if shrinks.is_empty() {
            return wanted;
        }
        for at in shrinks {
            kept[at] = true;
        }
    }
}

fn slot(more: &mut More, at: FrameAt) -> &mut usize {
    match at {
        FrameAt::Standing => &mut more.in_standing,
        FrameAt::BehindHead => &mut more.behind_head,
        FrameAt::BehindMachine => &mut more.behind_machine,
    }
}

fn count_minutes(more: &mut More, stakes: &Stakes) {
    more.minutes = more.frames() as f64 * stakes.minutes_a_frame;
    more.cost = stakes.money_per_h.map(|money| money * more.minutes / 60.0);
    more.worth_it = more
        .at_stake
        .zip(more.cost)
        .map(|(stake, cost)| stake > cost);
}

/// Frames that a relative half width takes, and the number that no larger frame gets under.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Floor {
    /// Frames of this mean.
    pub frames: f64,
    /// Frames of any size: patches scatter as much in a large frame as in a small one.
    pub floor: f64,
}

/// Frames that bring the half width of a 90 % interval down to a share r of the mean:
/// 2.706 (1/mean + alpha) / r^2, with a floor of 2.706 alpha / r^2.
///
/// ```
/// let ten = machine::loss::frames_for(10.0, 0.25, 0.3)?;
/// assert!((ten.frames - 10.52).abs() < 5e-3 && (ten.floor - 7.52).abs() < 5e-3);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// A mean or a half width that is not above zero, or a dispersion below nothing.
pub fn frames_for(mean: f64, alpha: f64, half_width: f64) -> Result<Floor, MachineError> {
    let mean = above_zero("seeds in a frame", mean, "seeds")?;
    let r = above_zero("half width", half_width, "of the mean")?;
    if !(alpha.is_finite() && alpha >= 0.0) {
        return Err(MachineError::odd("dispersion", alpha, "0 or more"));
    }
    let z2 = normal_quantile(0.95).powi(2);
    Ok(Floor {
        frames: z2 * (1.0 / mean + alpha) / (r * r),
        floor: z2 * alpha / (r * r),
    })
}

#[cfg(test)]
mod tests {
    use super::super::{Class, Counts, Prior, Relative, Seed, Settings, lost};
    use super::*;
    use crate::frame::M2_PER_FT2;

    fn loss(p: &[f64], h: &[f64], b: &[f64], c: f64, cv: f64) -> Loss {
        let class = |found: &[f64]| Some(Class::new(M2_PER_FT2, found.to_vec()).unwrap());
        let counts = Counts {
            standing: class(p),
            behind_head: class(h),
            behind_machine: class(b),
        };
        let settings = Settings {
            confidence: 0.9,
            concentration: c,
            concentration_doubt: Relative::NONE,
            prior: Prior::default(),
            seed: Seed {
                thousand_g: 156.2,
                doubt: Relative::guess(cv),
                frames_weighed: false,
            },
            harvested_kg_per_ha: None,
            money: None,
        };
        lost(Some(&counts), None, &settings).unwrap()
    }

    fn stakes(worth: f64) -> Stakes {
        Stakes {
            worth,
            minutes_a_frame: 3.0,
            money_per_h: Some(180.0),
            money_per_unit: Some(10.0),
        }
    }

    const P: [f64; 4] = [2.0, 1.0, 2.0, 2.0];
    const H: [f64; 4] = [10.0, 9.0, 11.0, 11.0];
    const B: [f64; 4] = [28.0, 19.0, 41.0, 24.0];

    #[test]
    fn a_clear_loss_needs_no_more_frames() {
        let out = loss(&P, &H, &B, 6.0, 0.0);
        let value = out.parts.total.unwrap().kg_per_ha.value;
        for (worth, standing) in [
            (value / 2.0, Standing::Above),
            (value * 2.0, Standing::Below),
        ] {
            let more = settle(&out, &stakes(worth)).unwrap();
            assert_eq!((more.standing, more.frames()), (standing, 0));
        }
    }

    /// At the very threshold the interval has to become narrower than the threshold.
    #[test]
    fn a_windrow_sends_the_next_frames_behind_the_head() {
        let near = loss(
            &[2.0, 7.0, 0.0],
            &[4.0, 30.0, 12.0],
            &[60.0, 80.0, 40.0],
            6.0,
            0.0,
        );
        let value = near.parts.total.unwrap().kg_per_ha.value;
        let more = settle(&near, &stakes(value * 0.9)).unwrap();
        assert!(more.behind_head > more.behind_machine, "{more:?}");
        assert!((more.minutes - 3.0 * more.frames() as f64).abs() < 1e-12);
        assert!(more.worth_it.is_some());
    }

    #[test]
    fn two_frames_ask_for_a_third() {
        let few = loss(&P, &H[..2], &B[..1], 6.0, 0.0);
        let more = settle(&few, &stakes(30.0)).unwrap();
        assert_eq!(more.standing, Standing::TooFew);
        assert_eq!(
            (more.in_standing, more.behind_head, more.behind_machine),
            (0, 1, 2)
        );
    }

    /// With a seed's weight known to one part in two, no number of frames tells.
    #[test]
    fn a_doubtful_seed_weight_cannot_be_counted_away() {
        let out = loss(&P, &H, &B, 6.0, 0.5);
        let value = out.parts.total.unwrap().kg_per_ha.value;
        let more = settle(&out, &stakes(value * 1.05)).unwrap();
        assert_eq!(more.standing, Standing::Stuck);
        assert!(more.behind_head <= CAP);
    }

    #[test]
    fn allocation_reaches_its_target_and_never_shrinks() {
        let out = loss(&P, &[4.0, 30.0, 12.0], &B, 6.0, 0.0);
        let classes = &out.seeds.as_ref().unwrap().classes;
        let now: f64 = classes.iter().map(Weighted::variance).sum();
        let wanted = allocate(classes, now / 3.0);
        let then: f64 = classes
            .iter()
            .zip(&wanted)
            .map(|(class, n)| class.variance() * class.summary.frames as f64 / n)
            .sum();
        assert!((then - now / 3.0).abs() < 1e-9 * now, "{then} {now}");
        for (class, n) in classes.iter().zip(&wanted) {
            assert!(*n >= class.summary.frames as f64);
        }
    }

    /// Hand-worked with 2.7055: (1/2 + .25) / .25 x 2.7055 = 8.12.
    #[test]
    fn frames_for_half_of_a_mean_of_two() {
        let two = frames_for(2.0, 0.25, 0.5).unwrap();
        assert!((two.frames - 8.12).abs() < 5e-3);
        assert!(frames_for(0.0, 0.25, 0.5).is_err());
    }
}
