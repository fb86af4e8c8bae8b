//! How fast to drive: the speed of least cost an acre, from typed values or from the book's counts.

mod asked;
mod book;
mod says;

pub(crate) use asked::{area_ha, bushel_kg, number, on_area, share, speed as read_speed, width};
pub use book::{Counted, counted};

pub use machine::speed::{CapKind, Cost};
pub use says::{cap_words, money_in, show_money, show_speed, speed_in};
use says::{notes, says, whys};

use crate::{DeskError, Ranged, Why};
pub(crate) use asked::AC;
use asked::read;
use machine::speed::{
    Best, Cap, Costs, Curve, HeadLoss, HourLimited, MachineLoss, Pooled, Prior, Time, at, best,
    hour_limited, second_speed,
};
use quantity::Units;
use serde::{Deserialize, Serialize};

/// What is asked, as typed; every text may carry its unit.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct SpeedAsked {
    /// Machine losses with their speeds, e.g. "0.5 bu/ac at 3 mph"; none where the book's counts are meant.
    pub loss: Vec<String>,
    /// Crop, for bushels.
    pub crop: String,
    /// Price, e.g. "$11/bu".
    pub price: String,
    /// Width cut, e.g. "20ft"; from the book's counts where left out.
    pub width: String,
    /// Cost of an hour of the machine and its people, e.g. "$180".
    pub hour: String,
    /// Value of an hour finished sooner.
    pub sooner: String,
    /// Field efficiency at the speed driven now, e.g. "70 %".
    pub efficiency: String,
    /// Speed driven now.
    pub now: String,
    /// Head loss, e.g. "1 bu/ac at 3 mph".
    pub head: String,
    /// Growth of the head loss in per cent for each mile an hour.
    pub head_growth: String,
    /// Speeds not to be passed, e.g. "rough ground=4 mph".
    pub caps: Vec<String>,
    /// Acres an hour that the wagons take away.
    pub haul: String,
    /// Yield, where uncut acres will truly be lost.
    pub uncut_lost_yield: String,
}

/// Where the growth of the loss with speed comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum GrowthFrom {
    /// Our default, a guess: only one speed was counted.
    Guess,
    /// Losses typed for two speeds, taken as known.
    TwoLosses,
    /// Frames at two speeds or more, pulled towards our default.
    Frames,
}

/// The answer, in SI; money in the book's.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpeedAnswer {
    /// The answer as one sentence, US units.
    pub says: String,
    /// The same in metric.
    pub says_metric: String,
    /// The speed of least cost with no cap; its range holds 8 times in 10 if the loss curve is the only doubt.
    pub least_cost_m_s: Ranged,
    /// Losses were typed at two speeds with no frames behind them: taken as exact, so that no range can be told.
    pub taken_as_exact: bool,
    /// The speed to drive, its bands, its cost, the cap that binds, the present speed.
    #[serde(flatten)]
    pub best: Best,
    /// Power of speed with which the machine loses more.
    pub exponent: Ranged,
    /// Where that comes from.
    pub growth_from: GrowthFrom,
    /// A second speed worth counting at.
    pub count_next_at_m_s: Option<f64>,
    /// The speed of most money an hour; only where uncut acres will truly be lost.
    pub hour_limited: Option<HourLimited>,
    /// The cost at speeds across the picture.
    pub curve: Vec<Cost>,
    /// What to know, US units.
    pub notes: Vec<String>,
    /// The same in metric.
    pub notes_metric: Vec<String>,
    /// Cautions for the act.
    pub cautions: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// What the loss is known from.
struct Known {
    machine: MachineLoss,
    exponent: Ranged,
    growth: GrowthFrom,
    speeds: usize,
    fastest_m_s: f64,
    pooled: Option<Pooled>,
}

/// Curves of the guessed exponent through one loss, each holding the same share of the belief.
const GUESSED: usize = 81;
/// One in ten lies below the first and above the last.
const SHARES: [f64; 3] = [0.1, 0.5, 0.9];

#[expect(clippy::needless_pass_by_value, reason = "handed to map_err")]
fn refused(why: machine::MachineError) -> DeskError {
    DeskError::Refused(why.to_string())
}

fn guess(id: &str) -> f64 {
    facts::counting(id).map_or(f64::NAN, |fact| fact.value)
}

/// What is believed of loss and speed before anything is counted.
fn before() -> Prior {
    Prior {
        exponent: guess("speed_power"),
        exponent_log_sd: guess("speed_power_log_sd"),
        kg_per_ha: guess("speed_loss_kg_per_ha"),
        log_sd: guess("speed_loss_log_sd"),
    }
}

/// Money a hectare within which two speeds are as good as one another.
pub fn alike_per_ha() -> f64 {
    guess("speed_alike_usd_per_ac") / AC
}

fn from_losses(losses: &[(f64, f64)]) -> Result<Known, DeskError> {
    let mut losses = losses.to_vec();
    losses.sort_by(|a, b| a.0.total_cmp(&b.0));
    let fastest_m_s = losses.last().map_or(0.0, |last| last.0);
    match losses.as_slice() {
        [(speed, loss)] => {
            let Prior {
                exponent: middle,
                exponent_log_sd: log_sd,
                ..
            } = before();
            let at_share = |share: f64| {
                middle * (log_sd * numeric::distribution::normal_quantile(share)).exp()
            };
            let curves = (0..GUESSED)
                .map(|i| Curve {
                    weight: 1.0 / GUESSED as f64,
                    kg_per_ha: *loss,
                    exponent: at_share((i as f64 + 0.5) / GUESSED as f64),
                })
                .collect();
            Ok(Known {
                machine: MachineLoss {
                    at_m_s: *speed,
                    curves,
                },
                exponent: Ranged {
                    value: middle,
                    low: at_share(0.1),
                    high: at_share(0.9),
                },
                growth: GrowthFrom::Guess,
                speeds: 1,
                fastest_m_s,
                pooled: None,
            })
        }
        [slow, fast] => {
            let machine = MachineLoss::through(*slow, *fast).map_err(refused)?;
            let b = machine.curves[0].exponent;
            Ok(Known {
                machine,
                exponent: Ranged {
                    value: b,
                    low: b,
                    high: b,
                },
                growth: GrowthFrom::TwoLosses,
                speeds: 2,
                fastest_m_s,
                pooled: None,
            })
        }
        _ => Err(DeskError::figure(
            "loss",
            format!(
                "{} losses; give one or two, each with its speed, or write the counts into the book",
                losses.len()
            ),
        )),
    }
}

fn from_pooled(pooled: Pooled) -> Known {
    let mut each: Vec<(f64, f64)> = pooled
        .machine
        .curves
        .iter()
        .map(|one| (one.exponent, one.weight))
        .collect();
    each.sort_by(|a, b| a.0.total_cmp(&b.0));
    let quantile = |share: f64| {
        let mut sum = 0.0;
        each.iter()
            .find(|(_, weight)| {
                sum += weight;
                sum >= share
            })
            .map_or(f64::NAN, |one| one.0)
    };
    Known {
        machine: pooled.machine.clone(),
        exponent: Ranged {
            value: pooled.exponent,
            low: quantile(0.1),
            high: quantile(0.9),
        },
        growth: if pooled.speeds > 1 {
            GrowthFrom::Frames
        } else {
            GrowthFrom::Guess
        },
        speeds: pooled.speeds,
        fastest_m_s: pooled.fastest_m_s,
        pooled: Some(pooled),
    }
}

/// The speed of least cost, from what was typed and, where no loss was, from counts in the book.
///
/// # Errors
/// A figure that is missing or cannot be read or meant.
pub fn speed(asked: &SpeedAsked, counted: Option<&Counted>) -> Result<SpeedAnswer, DeskError> {
    let typed = read(asked, counted)?;
    let known = match counted {
        Some(counted) if typed.losses.is_empty() => {
            from_pooled(machine::speed::pool(&counted.pooling).map_err(refused)?)
        }
        _ => from_losses(&typed.losses)?,
    };
    let mut time = Time {
        cut_m: typed.cut_m,
        money_per_h: typed.hour,
        sooner_money_per_h: typed.sooner,
        standing_h_per_ha: 0.0,
    };
    if let Some(share) = typed.efficiency {
        let stated_at = typed.now_m_s.unwrap_or(known.machine.at_m_s);
        time.standing_h_per_ha =
            machine::capacity::standing_from_efficiency(stated_at, time.cut_m, share)
                .map_err(|why| DeskError::figure("efficiency", why))?;
    }
    let head = typed.head.unwrap_or_else(|| {
        counted
            .filter(|_| typed.losses.is_empty())
            .map_or(HeadLoss::NONE, |one| one.head)
    });
    let costs = Costs {
        price_per_kg: typed.price_per_kg,
        machine: known.machine.clone(),
        head,
        time,
    };
    let mut caps = typed.caps.clone();
    if let Some(takes) = typed.haul_ha_per_h {
        caps.extend(machine::speed::haul_cap(time, takes).map_err(refused)?);
    }
    caps.push(Cap {
        kind: CapKind::Counted,
        speed_m_s: guess("speed_beyond") * known.fastest_m_s,
    });
    let found = best(&costs, &caps, alike_per_ha(), typed.now_m_s).map_err(refused)?;
    let range = range(&known, &costs, found.free_m_s);
    let hour = typed
        .lost_yield_kg_per_ha
        .map(|kg| hour_limited(&costs, kg).map_err(refused))
        .transpose()?;
    let next = (known.speeds < 2).then(|| second_speed(known.fastest_m_s, found.free_m_s));
    let curve = curve(&costs, &found, range);
    let mut answer = SpeedAnswer {
        says: says(&found, Units::Us),
        says_metric: says(&found, Units::Metric),
        least_cost_m_s: range,
        taken_as_exact: range.high - range.low < 1e-9 * range.value,
        exponent: known.exponent,
        growth_from: known.growth,
        count_next_at_m_s: next,
        hour_limited: hour,
        curve,
        notes: Vec::new(),
        notes_metric: Vec::new(),
        cautions: [facts::Act::Speed, facts::Act::LossCount]
            .map(|act| facts::caution(act).text.clone())
            .to_vec(),
        why: Vec::new(),
        best: found,
    };
    let used = counted.filter(|_| typed.losses.is_empty());
    answer.notes = notes(&answer, used, Units::Us);
    answer.notes_metric = notes(&answer, used, Units::Metric);
    answer.why = whys(&answer, &costs, used);
    Ok(answer)
}

fn range(known: &Known, costs: &Costs, value: f64) -> Ranged {
    let pooled = known.pooled.clone().unwrap_or_else(|| Pooled {
        machine: known.machine.clone(),
        exponent: known.exponent.value,
        exponent_sd: 0.0,
        kg_per_ha: 0.0,
        speeds: known.speeds,
        fastest_m_s: known.fastest_m_s,
    });
    let ends = pooled.speeds_at(costs, &SHARES);
    Ranged {
        value,
        low: ends[0].min(value),
        high: ends[2].max(value),
    }
}

/// Costs at even steps from well below the slow end to past all that is marked.
fn curve(costs: &Costs, best: &Best, range: Ranged) -> Vec<Cost> {
    let now = best.present.map_or(0.0, |one| one.cost.speed_m_s);
    let low = best
        .within_2_pct
        .low_m_s
        .min(range.low)
        .min(best.cost.speed_m_s);
    let low = if now > 0.0 { low.min(now) } else { low } * 0.75;
    let high = best
        .within_2_pct
        .high_m_s
        .max(range.high)
        .max(best.free_m_s)
        .max(now)
        * 1.15;
    (0..=48)
        .map(|i| at(costs, low + (high - low) * f64::from(i) / 48.0))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked() -> SpeedAsked {
        SpeedAsked {
            loss: vec!["1 bu/ac at 3 mph".into(), "3 bu/ac at 4 mph".into()],
            crop: "corn".into(),
            price: "$10".into(),
            width: "40ft".into(),
            hour: "$300".into(),
            now: "4 mph".into(),
            ..SpeedAsked::default()
        }
    }

    #[test]
    fn two_losses_give_the_printed_example() {
        let found = speed(&asked(), None).unwrap();
        assert!((found.best.free_m_s / asked::MPH - 2.639_99).abs() < 1e-5);
        let more = found.best.present.unwrap().more_money_per_ha * AC;
        assert!((more - (45.469 - 29.575)).abs() < 1e-3, "{more}");
        assert!(
            found.says.contains("at 4.0 mph an acre costs $16 more"),
            "{}",
            found.says
        );
        assert!(
            found.says_metric.contains("a hectare costs $39 more"),
            "{}",
            found.says_metric
        );
        assert_eq!(found.growth_from, GrowthFrom::TwoLosses);
    }

    #[test]
    fn one_loss_says_that_growth_is_a_guess() {
        let mut asked = asked();
        asked.loss.truncate(1);
        let found = speed(&asked, None).unwrap();
        assert_eq!(found.growth_from, GrowthFrom::Guess);
        assert!(found.notes[0].contains("a guess"), "{:?}", found.notes);
        assert!(found.count_next_at_m_s.is_some());
        assert!(found.least_cost_m_s.low < found.least_cost_m_s.high);
    }

    #[test]
    fn nothing_is_advised_far_past_what_was_counted() {
        let mut asked = asked();
        asked.loss = vec!["0.01 bu/ac at 2 mph".into()];
        let found = speed(&asked, None).unwrap();
        assert_eq!(found.best.binds.unwrap().kind, CapKind::Counted);
        assert!((found.best.cost.speed_m_s / asked::MPH - 2.6).abs() < 1e-9);
        asked.caps = vec!["rough ground=2.2 mph".into()];
        let found = speed(&asked, None).unwrap();
        assert_eq!(found.best.binds.unwrap().kind, CapKind::RoughGround);
    }

    #[test]
    fn what_cannot_be_read_names_its_figure() {
        for (spoil, name) in [
            (
                (|a: &mut SpeedAsked| a.price = "dear".into()) as fn(&mut SpeedAsked),
                "price",
            ),
            (|a| a.loss = vec!["1 bu/ac".into()], "loss"),
            (|a| a.loss = vec!["-1 bu/ac at 3 mph".into()], "loss"),
            (|a| a.width = String::new(), "width"),
            (|a| a.caps = vec!["moon=3 mph".into()], "cap"),
            (|a| a.efficiency = "170".into(), "efficiency"),
        ] {
            let mut bad = asked();
            spoil(&mut bad);
            let why = speed(&bad, None).unwrap_err().to_string();
            assert!(why.contains(name), "{name}: {why}");
        }
    }
}
