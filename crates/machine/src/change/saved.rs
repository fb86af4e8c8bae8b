//! What a change saves, and the best of several settings less its luck.

use crate::MachineError;
use crate::error::above_zero;
use crate::frame::kg_per_ha_of_one_seed_per_m2;
use crate::loss::{Class, Estimate, Money, Prior, Relative, Seed, Share, Summary};
use serde::{Deserialize, Serialize};

/// What turns a difference of counts into kilograms and money.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Grain {
    /// What a seed weighs.
    pub seed: Seed,
    /// What the grain is worth, if that is known.
    pub money: Option<Money>,
}

/// What a change saves: above 0 where less is lost now.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Saved {
    /// Kilograms a hectare cut.
    pub kg_per_ha: Estimate,
    /// Money a hectare cut.
    pub money_per_ha: Option<Estimate>,
    /// Money an hour of cutting.
    pub money_per_h: Option<Estimate>,
}

/// One class and the weight of its mean a square meter in the loss: 1/C for frames behind the machine,
/// 1 for those behind the head.
pub type Weighing<'a> = &'a [(f64, &'a Class)];

/// The difference of loss, before less after, with the interval of [`crate::loss`]: any classes,
/// each with its weight in the loss of its side. For frames behind the machine alone the weights are
/// 1/C; for the whole pass, (1 - 1/C) on the head's and 1/C on the machine's; for the machine's own loss, -1/C
/// and 1/C.
///
/// ```
/// use machine::change::{saved, Grain};
/// use machine::loss::{Class, Prior, Relative, Seed};
/// let before = Class::new(0.09290304, vec![31.0, 22.0, 48.0, 17.0, 27.0])?;
/// let after = Class::new(0.09290304, vec![14.0, 19.0, 9.0, 22.0, 12.0])?;
/// let seed = Seed { thousand_g: 156.2, doubt: Relative::NONE, frames_weighed: false };
/// let grain = Grain { seed, money: None };
/// let out = saved(&[(1.0, &before)], &[(1.0, &after)], grain, Prior::default(), 0.9)?;
/// let bu_per_ac = out.kg_per_ha.value / machine::frame::kg_per_ha_of_one_bu_per_ac(60.0);
/// assert!((bu_per_ac - 13.8 / 4.0).abs() < 1e-3); // four seeds a square foot to the bushel
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// A side without frames, a weight of a seed that is not above zero.
pub fn saved(
    before: Weighing<'_>,
    after: Weighing<'_>,
    grain: Grain,
    prior: Prior,
    confidence: f64,
) -> Result<Saved, MachineError> {
    let thousand = above_zero("weight of 1,000 seeds", grain.seed.thousand_g, "g")?;
    if before.is_empty() || after.is_empty() {
        return Err(MachineError::Refused(
            "a change needs frames before and after".to_owned(),
        ));
    }
    let (scale, doubt) = if grain.seed.frames_weighed {
        (1_000.0 / thousand, Relative::NONE)
    } else {
        (1.0, grain.seed.doubt)
    };
    let mut value = 0.0;
    let mut shares = Vec::new();
    let mut enough = true;
    for (sign, side) in [(1.0, before), (-1.0, after)] {
        for (weight, class) in side {
            let summary = class.times(scale).summary(prior);
            let weight = weight / summary.frame_m2;
            value += sign * weight * summary.mean;
            shares.push(Share {
                variance: weight * weight * summary.variance_of_mean,
                df: Some(summary.df),
            });
            enough &= summary.frames >= Summary::FEWEST;
        }
    }
    // one seed's weight for both sides: its doubt goes with the difference
    shares.push(Share::relative(value, doubt));
    let kg_per_ha = Estimate::of_difference(value, enough.then_some(&shares[..]), confidence)
        .times(kg_per_ha_of_one_seed_per_m2(thousand));
    let money_per_ha = grain.money.map(|money| kg_per_ha.times(money.per_kg));
    let money_per_h = money_per_ha
        .zip(grain.money.and_then(|money| money.ha_per_h))
        .map(|(per_ha, ha_per_h)| per_ha.times(ha_per_h));
    Ok(Saved {
        kg_per_ha,
        money_per_ha,
        money_per_h,
    })
}

/// The log ratio of the best of several settings to the others, less what luck gave it:
/// d tau^2 / (tau^2 + se^2), tau the scatter of true log ratios between settings. Five equal settings of
/// three frames each make the best look a third better than it is; a fresh count of the winner
/// is better still.
///
/// ```
/// // log ratio -0.5 with a standard error as large as the scatter is half luck
/// assert_eq!(machine::change::shrunk(-0.5, 0.35, 0.35), -0.25);
/// ```
pub fn shrunk(log_ratio: f64, se: f64, tau: f64) -> f64 {
    let (signal, noise) = (tau * tau, se * se);
    if signal + noise > 0.0 {
        log_ratio * signal / (signal + noise)
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_seeds_doubt_goes_with_the_difference_only() {
        let class = |found: &[f64]| Class::new(0.1, found.to_vec()).unwrap();
        let (a, b) = (class(&[40.0, 44.0, 36.0]), class(&[40.0, 44.0, 36.0]));
        let of = |cv| {
            let seed = Seed {
                thousand_g: 180.0,
                doubt: Relative::guess(cv),
                frames_weighed: false,
            };
            let grain = Grain {
                seed,
                money: Some(Money {
                    per_kg: 0.4,
                    ha_per_h: Some(2.0),
                }),
            };
            saved(&[(1.0, &a)], &[(1.0, &b)], grain, Prior::default(), 0.9).unwrap()
        };
        assert_eq!(of(0.0), of(0.5), "no difference, no doubt of its size");
        let out = of(0.1);
        let doubt = out.kg_per_ha.doubt.unwrap();
        assert!(doubt.low < 0.0 && (doubt.low + doubt.high).abs() < 1e-9);
        let hour = out.money_per_h.unwrap().doubt.unwrap();
        assert!((hour.high - doubt.high * 0.8).abs() < 1e-9);
    }

    #[test]
    fn two_frames_have_no_interval() {
        let (a, b) = (
            Class::new(0.1, vec![4.0, 9.0]).unwrap(),
            Class::new(0.1, vec![4.0, 9.0, 1.0]).unwrap(),
        );
        let seed = Seed {
            thousand_g: 30.0,
            doubt: Relative::NONE,
            frames_weighed: false,
        };
        let grain = Grain { seed, money: None };
        let out = saved(&[(0.2, &a)], &[(0.2, &b)], grain, Prior::default(), 0.9).unwrap();
        assert!(out.kg_per_ha.doubt.is_none() && out.money_per_ha.is_none());
        assert!(saved(&[], &[(0.2, &b)], grain, Prior::default(), 0.9).is_err());
    }
}
