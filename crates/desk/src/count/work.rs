//! From frames to the answer.

use super::asked::Facts;
use super::{CountAnswer, LossPart, Losses, MoreFrames, Most, Told, sentence};
use crate::{DeskError, Ranged, Why};
use facts::LostAt;
use machine::frame::{Concentration, M2_PER_FT2, concentration};
use machine::loss::{
    Class, Counts, Ears, Estimate, Loss, Money, Part, Prior, Relative, Seed, Settings, Stakes,
    lost, settle,
};
use track::{KG_PER_LB, M2_PER_AC};

pub(super) const HA_PER_AC: f64 = M2_PER_AC / 10_000.0;
/// Faces show ranges that hold 8 in 10.
pub(crate) const CONFIDENCE: f64 = 0.8;

/// Shelled grain on an ear of corn, kilograms: 56 of 70 parts of its weight.
pub(crate) fn ear_grain_kg(ear_lb: f64) -> f64 {
    let ear_corn = facts::ears("ear_corn_lb_per_bu").map_or(f64::NAN, |fact| fact.value);
    ear_lb * 56.0 / ear_corn * KG_PER_LB
}

fn guess(id: &str) -> f64 {
    facts::counting(id).map_or(f64::NAN, |fact| fact.value)
}

/// Works a count out.
///
/// # Errors
/// What the frames, widths or weights make impossible, in one sentence.
pub fn work(asked: &Facts) -> Result<CountAnswer, DeskError> {
    let refused = |why: machine::MachineError| DeskError::Entry(why.to_string());
    let bushel_lb = asked.bushel_lb;
    let frame_m2 = asked.frame.area_m2().map_err(refused)?;
    if let Some(cut_m) = asked.cut_m {
        asked.frame.within_cut(cut_m).map_err(refused)?;
    }
    let known = concentration(asked.tail, asked.frame).map_err(refused)?;
    let seeds = counts(frame_m2, &asked.seeds).map_err(refused)?;
    let ears = counts(frame_m2, &asked.ears).map_err(refused)?;
    let ears = ears.map(|counts| Ears {
        counts,
        grain_kg: ear_grain_kg(asked.ear_lb),
        doubt: Relative::guess(guess("ear_weight_cv")),
    });
    let thousand_g = asked.thousand_g.unwrap_or(asked.default_thousand_g);
    let settings = |factor: f64, money: bool| Settings {
        confidence: CONFIDENCE,
        concentration: factor,
        concentration_doubt: if (factor - 1.0).abs() < 1e-9 {
            Relative::NONE
        } else {
            Relative::guess(guess("tail_width_cv"))
        },
        prior: Prior {
            alpha: guess("dispersion"),
            ..Prior::default()
        },
        seed: Seed {
            thousand_g,
            doubt: Relative::guess(guess(if asked.thousand_g.is_some() {
                "weighed_seed_cv"
            } else {
                "seed_weight_cv"
            })),
            frames_weighed: asked.frames_weighed,
        },
        harvested_kg_per_ha: asked
            .yield_bu_per_ac
            .map(|bu| bu * machine::frame::kg_per_ha_of_one_bu_per_ac(bushel_lb)),
        money: asked.price_per_bu.filter(|_| money).map(|price| Money {
            per_kg: price / (bushel_lb * KG_PER_LB),
            ha_per_h: asked.ac_per_h.map(|acres| acres * HA_PER_AC),
        }),
    };
    let one = |factor, money| lost(seeds.as_ref(), ears.as_ref(), &settings(factor, money));
    let (loss, or_windrow, factor) = match known {
        Concentration::Yes { factor } => (one(factor, true).map_err(refused)?, None, Some(factor)),
        Concentration::No { spread, windrow } => {
            let behind = seeds
                .as_ref()
                .is_some_and(|seeds| seeds.behind_machine.is_some());
            let other = if behind {
                one(windrow, false).ok()
            } else {
                None
            };
            // with no frame behind the machine the tail is no matter
            let loss = one(spread, !behind).map_err(refused)?;
            (loss, other, (!behind).then_some(spread))
        }
    };
    let more = factor
        .map(|_| more(&loss, asked).map_err(refused))
        .transpose()?;
    let losses = losses(&loss, bushel_lb);
    let most = most(&losses);
    let try_for = if or_windrow.is_none() {
        try_for(&losses, most)
    } else {
        Vec::new()
    };
    let mut answer = CountAnswer {
        sentence: String::new(),
        crop: asked.crop.key().to_owned(),
        crop_name: asked.crop.name().to_owned(),
        concentration: factor,
        loss: losses,
        or_windrow: or_windrow.map(|loss| self::losses(&loss, bushel_lb)),
        most,
        try_for,
        head_holds_standing: loss.head_holds_standing,
        thousand_seeds_g: thousand_g,
        seeds_are_default: asked.thousand_g.is_none(),
        price_per_bu: asked.price_per_bu.filter(|_| factor.is_some()),
        more,
        notes: Vec::new(),
        cautions: vec![facts::caution(facts::Act::LossCount).text.clone()],
        why: Vec::new(),
    };
    answer.notes = super::says::notes(&answer, asked);
    answer.why = whys(&answer, asked, frame_m2);
    answer.sentence = sentence(&answer);
    Ok(answer)
}

fn counts(frame_m2: f64, found: &[Vec<f64>; 3]) -> Result<Option<Counts>, machine::MachineError> {
    let class = |found: &Vec<f64>| -> Result<Option<Class>, machine::MachineError> {
        if found.is_empty() {
            return Ok(None);
        }
        Class::new(frame_m2, found.clone()).map(Some)
    };
    let [standing, head, behind] = found;
    let counts = Counts {
        standing: class(standing)?,
        behind_head: class(head)?,
        behind_machine: class(behind)?,
    };
    Ok((counts != Counts::default()).then_some(counts))
}

fn told(estimate: Estimate) -> Told {
    Told {
        value: estimate.value,
        range: estimate.doubt.map(|doubt| Ranged {
            value: estimate.value.max(0.0),
            low: doubt.low,
            high: doubt.high.max(0.0),
        }),
    }
}

fn part(part: &Part, bushel_lb: f64) -> LossPart {
    LossPart {
        seeds_per_ft2: part.seeds_per_m2.map(|one| told(one).times(M2_PER_FT2)),
        bu_per_ac: told(part.kg_per_ha)
            .times(1.0 / machine::frame::kg_per_ha_of_one_bu_per_ac(bushel_lb)),
        pct_of_total_yield: part.pct_of_total_yield.map(told),
        money_per_ac: part.money_per_ha.map(|one| told(one).times(HA_PER_AC)),
        money_per_h: part.money_per_h.map(told),
    }
}

fn losses(loss: &Loss, bushel_lb: f64) -> Losses {
    let of = |one: &Option<Part>| one.as_ref().map(|one| part(one, bushel_lb));
    Losses {
        standing: of(&loss.parts.standing),
        head: of(&loss.parts.head),
        machine: of(&loss.parts.machine),
        total: of(&loss.parts.total),
    }
}

/// Which of head and machine is more than six tenths of both.
fn most(losses: &Losses) -> Option<Most> {
    let (head, machine) = (
        losses.head?.bu_per_ac.value.max(0.0),
        losses.machine?.bu_per_ac.value.max(0.0),
    );
    let line = 0.6 * (head + machine);
    if head > line {
        Some(Most::Head)
    } else if machine > line {
        Some(Most::Machine)
    } else {
        None
    }
}

/// Whose loss to look at: the crop's own where more lay there than the pass lost, and what lost most of the pass.
fn try_for(losses: &Losses, most: Option<Most>) -> Vec<LostAt> {
    let standing = losses.standing.zip(losses.total);
    let before = standing.filter(|(own, pass)| own.bu_per_ac.value > pass.bu_per_ac.value);
    let pass = most.map(|most| match most {
        Most::Head => LostAt::Head,
        Most::Machine => LostAt::Machine,
    });
    before
        .map(|_| LostAt::Standing)
        .into_iter()
        .chain(pass)
        .collect()
}

fn more(loss: &Loss, asked: &Facts) -> Result<MoreFrames, machine::MachineError> {
    let bu = asked
        .worth_bu_per_ac
        .unwrap_or_else(|| guess("worth_adjusting_bu_per_ac"));
    let more = settle(
        loss,
        &Stakes {
            worth: bu * machine::frame::kg_per_ha_of_one_bu_per_ac(asked.bushel_lb),
            minutes_a_frame: guess("minutes_a_frame"),
            money_per_h: None,
            money_per_unit: None,
        },
    )?;
    Ok(MoreFrames {
        standing: more.standing,
        worth_bu_per_ac: bu,
        worth_is_default: asked.worth_bu_per_ac.is_none(),
        chance_above: more.chance_above,
        in_standing: more.in_standing,
        behind_head: more.behind_head,
        behind_machine: more.behind_machine,
        minutes: more.minutes,
    })
}

fn whys(answer: &CountAnswer, asked: &Facts, frame_m2: f64) -> Vec<Why> {
    let Some(part) = answer.loss.answer() else {
        return Vec::new();
    };
    let frames: usize = asked.seeds.iter().chain(&asked.ears).map(Vec::len).sum();
    let seed_source = if answer.seeds_are_default {
        facts::thousand_seeds_g(asked.crop).source.clone()
    } else {
        "as weighed".to_owned()
    };
    let mut why = Why::new(
        "loss",
        format!("{:.2} bu/ac", part.bu_per_ac.value),
        "head = behind the head - standing; machine = (behind the machine - behind the head) / gathered; bu/ac = \
         seeds/ft2 x 43,560 x weight of 1,000 seeds / (453,592 g x lb a bushel)",
        "MU Extension G1280; NDSU small grains loss method",
    )
    .with("frames", frames.to_string())
    .with("frame", format!("{:.2} ft2", frame_m2 / M2_PER_FT2))
    .with(
        "1,000 seeds",
        format!("{:.1} g: {seed_source}", answer.thousand_seeds_g),
    )
    .with("bushel", format!("{} lb", asked.bushel_lb));
    if let Some(factor) = answer.concentration {
        why = why.with("gathered by the tail", format!("{factor:.2} times"));
    }
    for entry in &asked.entries {
        why = why.from_entry(entry.clone());
    }
    let range = Why::new(
        "range, 8 in 10",
        part.bu_per_ac.range.map_or_else(
            || "too few frames to say".to_owned(),
            |range| format!("{:.2} to {:.2} bu/ac", range.low, range.high),
        ),
        "Welch's t on the frames, their variance steadied by half a frame of prior variance m + 0.3 m^2, with the \
         doubt of the seed's weight and of the tail's width",
        "our choice of six methods; the dispersion of 0.3 is our default, a guess",
    );
    vec![why, range]
}

#[cfg(test)]
mod tests {
    use super::super::{CountAnswer, CountAsked, count};
    use facts::{LostAt, Sign};

    fn beans(standing: &str, head: &str, behind: Option<&str>, tail: Option<&str>) -> CountAnswer {
        count(&CountAsked {
            crop: "soybeans".into(),
            standing: Some(standing.into()),
            head: Some(head.into()),
            behind: behind.map(Into::into),
            tail: tail.map(Into::into),
            ..CountAsked::default()
        })
        .unwrap()
    }

    #[test]
    fn tries_are_for_whoever_lost_most() {
        let head = beans("1,1,1", "9,9,9", Some("10,10,10"), Some("spread"));
        assert_eq!(head.try_for, [LostAt::Head]);
        let signs: Vec<Sign> = head.tries().iter().map(|one| one.sign).collect();
        assert_eq!(signs, [Sign::HeadShatter, Sign::HeadUncut, Sign::HeadEars]);
        assert!(head.tries()[0].text.starts_with("Reel slower"));
        let machine = beans("1,1,1", "2,2,2", Some("10,10,10"), Some("spread"));
        assert_eq!(machine.try_for, [LostAt::Machine]);
        assert!(
            machine
                .tries()
                .iter()
                .all(|one| one.sign.lost_at() == Some(LostAt::Machine))
        );
        // 8 lay there before, 4 the pass lost: 3 of them the head
        let before = beans("8,8,8", "11,11,11", Some("12,12,12"), Some("spread"));
        assert_eq!(before.try_for, [LostAt::Standing, LostAt::Head]);
    }

    #[test]
    fn where_the_largest_part_is_not_known_nothing_is_tried() {
        let alike = beans("0,0,0", "5,5,5", Some("10,10,10"), Some("spread"));
        let head_only = beans("1,1,1", "9,9,9", None, None);
        let nobody_looked = beans("1,1,1", "9,9,9", Some("30,30,30"), None);
        let nothing = beans("0,0,0", "0,0,0", Some("0,0,0"), Some("spread"));
        for one in [alike, head_only, nobody_looked, nothing] {
            assert_eq!(one.try_for, [], "{}", one.sentence);
            assert!(one.tries().is_empty());
        }
    }
}
