//! From seeds on the ground to kilograms a hectare, per cent of the yield and money.

use super::class::{Counts, Prior};
use super::estimate::{Estimate, Relative, Share};
use super::partition::{Partition, partition};
use crate::MachineError;
use crate::error::above_zero;
use crate::frame::kg_per_ha_of_one_seed_per_m2;
use serde::{Deserialize, Serialize};

/// What one seed weighs, and how well that is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Seed {
    /// Weight of 1,000 seeds, grams: best of seeds picked up from the ground, which may be lighter
    /// than those in the tank.
    pub thousand_g: f64,
    /// Its doubt: of three lots of 100 seeds weighed, their standard error on 2 degrees of freedom; of a
    /// crop's usual weight, our guess.
    pub doubt: Relative,
    /// Whether frames were weighed and not counted: [`super::Class::found`] is then grams, and the seed's
    /// weight serves only to judge how much such a weight scatters.
    #[serde(default)]
    pub frames_weighed: bool,
}

/// Ears (or heads) with grain on them, counted in plots of their own, over the full cut.
///
/// Kernels of an ear that was counted are not among the loose ones. Ears found after the machine and
/// not between head and tail are taken to be the head's, less those that lay before (common practice, no source).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ears {
    /// Ears by place; the tail does not gather them.
    pub counts: Counts,
    /// Shelled grain on one ear, kilograms: 56/70 of the ear's weight for corn.
    pub grain_kg: f64,
    /// Its doubt.
    pub doubt: Relative,
}

/// How to work a loss out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Share of cases that an interval is to hold: 0.8 for a farmer's "8 in 10", 0.9 in the tests.
    pub confidence: f64,
    /// Width of cut / width of what the tail laid down ([`crate::frame::concentration`]).
    pub concentration: f64,
    /// Doubt of that factor.
    pub concentration_doubt: Relative,
    /// What is believed of the scatter beforehand.
    pub prior: Prior,
    /// What a seed weighs.
    pub seed: Seed,
    /// Harvested yield, kilograms a hectare cut; for the share of the TOTAL yield that was lost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub harvested_kg_per_ha: Option<f64>,
    /// What it would have been sold for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub money: Option<Money>,
}

/// What the grain is worth, and how fast ground is cut.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Money {
    /// Price of a kilogram.
    pub per_kg: f64,
    /// Hectares cut an hour, for money an hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ha_per_h: Option<f64>,
}

/// One part of the loss in every unit that was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Loose seeds a square meter; `None` where only ears were looked for.
    pub seeds_per_m2: Option<Estimate>,
    /// Kilograms a hectare cut, ears too.
    pub kg_per_ha: Estimate,
    /// Per cent of the total yield, harvested and lost.
    pub pct_of_total_yield: Option<Estimate>,
    /// Money a hectare cut.
    pub money_per_ha: Option<Estimate>,
    /// Money an hour of cutting.
    pub money_per_h: Option<Estimate>,
}

/// Standing, head, machine, and the pass as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Parts<T> {
    /// Lost before the machine came; not in the total.
    pub standing: Option<T>,
    /// Lost by the head.
    pub head: Option<T>,
    /// Lost by the machine behind the head.
    pub machine: Option<T>,
    /// Head and machine.
    pub total: Option<T>,
}

/// A loss, split and converted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Loss {
    /// Share of cases that each interval is to hold.
    pub confidence: f64,
    /// The parts.
    pub parts: Parts<Part>,
    /// The loose seeds split, with every class; `None` where only ears were looked for.
    pub seeds: Option<Partition>,
    /// Kilograms a hectare in one seed a square meter.
    pub kg_per_ha_of_one_seed: f64,
    /// The ears split, if they were looked for.
    pub ears: Option<Partition>,
    /// Kilograms a hectare in one ear a square meter.
    pub kg_per_ha_of_one_ear: Option<f64>,
    /// Nobody counted in the standing crop: what lay there is counted with the head.
    pub head_holds_standing: bool,
}

/// Works a loss out: counts (or ears, or both) to kilograms a hectare, per cent and money.
///
/// kg/ha = seeds per m2 x weight of 1,000 seeds in grams / 100; relative variances of the seed's weight
/// add to those of the counts. Per cent is of TOTAL yield: part / (harvested + everything lost), since
/// per cent of the grain in the bin overstates it.
///
/// ```
/// use machine::loss::{lost, Class, Counts, Prior, Relative, Seed, Settings};
/// use machine::frame::M2_PER_FT2;
/// let class = |found: &[f64]| Class::new(M2_PER_FT2, found.to_vec()).map(Some);
/// let counts = Counts {
///     standing: class(&[2.0, 1.0, 2.0, 2.0])?,
///     behind_head: class(&[10.0, 9.0, 11.0, 11.0])?,
///     behind_machine: None,
/// };
/// let settings = Settings {
///     confidence: 0.9,
///     concentration: 1.0,
///     concentration_doubt: Relative::NONE,
///     prior: Prior::default(),
///     // four seeds a square foot to the bushel
///     seed: Seed { thousand_g: 156.2, doubt: Relative::NONE, frames_weighed: false },
///     harvested_kg_per_ha: None,
///     money: None,
/// };
/// let head = lost(Some(&counts), None, &settings)?.parts.head.expect("counted");
/// let bu_per_ac = head.kg_per_ha.value / machine::frame::kg_per_ha_of_one_bu_per_ac(60.0);
/// assert!((bu_per_ac - 2.125).abs() < 1e-3); // an article prints 2.2
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// Neither seeds nor ears, and whatever [`partition`] refuses.
pub fn lost(
    counts: Option<&Counts>,
    ears: Option<&Ears>,
    settings: &Settings,
) -> Result<Loss, MachineError> {
    if counts.is_none() && ears.is_none() {
        return Err(MachineError::Refused(
            "no frames; give what was found in each, behind the head at least".to_owned(),
        ));
    }
    let seeds = counts.map(|counts| seeds(counts, settings)).transpose()?;
    let ears = ears
        .map(|ears| ears_split(ears, settings).map(|split| (split, ears)))
        .transpose()?;
    let kg_of_seed = kg_per_ha_of_one_seed_per_m2(settings.seed.thousand_g);
    let seed_doubt = if settings.seed.frames_weighed {
        Relative::NONE
    } else {
        settings.seed.doubt
    };
    let kg = |pick: fn(&Partition) -> Option<Estimate>| {
        let loose = seeds
            .as_ref()
            .and_then(pick)
            .map(|one| weighed(one, kg_of_seed, seed_doubt, settings.confidence));
        let on_ears = ears.as_ref().and_then(|(split, ears)| {
            pick(split).map(|one| {
                weighed(
                    one,
                    ears.grain_kg * 10_000.0,
                    ears.doubt,
                    settings.confidence,
                )
            })
        });
        match (loose, on_ears) {
            (Some(a), Some(b)) => Some(added(a, b, settings.confidence)),
            (one, other) => one.or(other),
        }
    };
    let amounts = Parts {
        standing: kg(|split| split.standing),
        head: kg(|split| split.head),
        machine: kg(|split| split.machine),
        total: kg(|split| split.total),
    };
    let everything = [amounts.standing, amounts.total.or(amounts.head)]
        .into_iter()
        .flatten()
        .map(|one| one.value)
        .sum::<f64>();
    let part = |amount: Option<Estimate>, pick: fn(&Partition) -> Option<Estimate>| {
        amount
            .map(|kg_per_ha| {
                let money_per_ha = settings.money.map(|money| kg_per_ha.times(money.per_kg));
                Ok(Part {
                    seeds_per_m2: seeds.as_ref().and_then(pick),
                    kg_per_ha,
                    pct_of_total_yield: settings
                        .harvested_kg_per_ha
                        .map(|harvested| share(kg_per_ha, harvested, everything))
                        .transpose()?,
                    money_per_ha,
                    money_per_h: money_per_ha
                        .zip(settings.money.and_then(|money| money.ha_per_h))
                        .map(|(per_ha, ha_per_h)| per_ha.times(ha_per_h)),
                })
            })
            .transpose()
    };
    Ok(Loss {
        confidence: settings.confidence,
        parts: Parts {
            standing: part(amounts.standing, |split| split.standing)?,
            head: part(amounts.head, |split| split.head)?,
            machine: part(amounts.machine, |split| split.machine)?,
            total: part(amounts.total, |split| split.total)?,
        },
        head_holds_standing: seeds
            .as_ref()
            .or(ears.as_ref().map(|(split, _)| split))
            .is_some_and(|split| split.head_holds_standing),
        seeds,
        kg_per_ha_of_one_seed: kg_of_seed,
        kg_per_ha_of_one_ear: ears.as_ref().map(|(_, ears)| ears.grain_kg * 10_000.0),
        ears: ears.map(|(split, _)| split),
    })
}

fn seeds(counts: &Counts, settings: &Settings) -> Result<Partition, MachineError> {
    let thousand = above_zero("weight of 1,000 seeds", settings.seed.thousand_g, "g")?;
    let by_weight = settings.seed.frames_weighed;
    let counts = if by_weight {
        let class = |class: &Option<super::Class>| {
            class.as_ref().map(|class| class.times(1_000.0 / thousand))
        };
        &Counts {
            standing: class(&counts.standing),
            behind_head: class(&counts.behind_head),
            behind_machine: class(&counts.behind_machine),
        }
    } else {
        counts
    };
    partition(
        counts,
        (settings.concentration, settings.concentration_doubt),
        settings.prior,
        settings.confidence,
    )
}

/// Ears lie over the full cut; those behind the machine alone are the head's.
fn ears_split(ears: &Ears, settings: &Settings) -> Result<Partition, MachineError> {
    above_zero("grain on one ear", ears.grain_kg, "kg")?;
    let mut counts = ears.counts.clone();
    let heads_only = counts.behind_head.is_none();
    if heads_only {
        counts.behind_head = counts.behind_machine.take();
    }
    let mut split = partition(
        &counts,
        (1.0, Relative::NONE),
        settings.prior,
        settings.confidence,
    )?;
    if heads_only {
        split.total = split.head;
    }
    Ok(split)
}

fn weighed(one: Estimate, kg: f64, relative: Relative, confidence: f64) -> Estimate {
    let shares = one
        .share()
        .map(|share| [share, Share::relative(one.value, relative)]);
    Estimate::of_amount(
        one.value,
        shares.as_ref().map(|shares| &shares[..]),
        confidence,
    )
    .times(kg)
}

fn added(a: Estimate, b: Estimate, confidence: f64) -> Estimate {
    let shares = a.share().zip(b.share()).map(|(a, b)| [a, b]);
    Estimate::of_amount(
        a.value + b.value,
        shares.as_ref().map(|shares| &shares[..]),
        confidence,
    )
}

/// part / (harvested + everything lost), per cent; the ends go through the same curve.
fn share(part: Estimate, harvested: f64, everything: f64) -> Result<Estimate, MachineError> {
    above_zero("harvested yield", harvested, "kg/ha")?;
    let others = harvested + everything - part.value;
    if others <= 0.0 {
        return Err(MachineError::Refused(
            "more was lost than was grown; check the counts, the tail and the yield".to_owned(),
        ));
    }
    let slope = 100.0 * others / (others + part.value).powi(2);
    Ok(part.through(|x| 100.0 * x / (others + x).max(1e-9), slope))
}
