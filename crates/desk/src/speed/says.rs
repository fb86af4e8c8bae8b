//! The answer in words, and where its figures came from.

use super::asked::{AC, MPH};
use super::{CapKind, Counted, GrowthFrom, SpeedAnswer};
use crate::Why;
use machine::speed::{Best, Costs};
use quantity::Units;
use std::fmt::Write as _;

/// A speed in miles or kilometers an hour.
pub fn speed_in(m_s: f64, units: Units) -> f64 {
    match units {
        Units::Us => m_s / MPH,
        Units::Metric => m_s * 3.6,
    }
}

/// Money of a hectare for an acre or a hectare.
pub fn money_in(per_ha: f64, units: Units) -> f64 {
    match units {
        Units::Us => per_ha * AC,
        Units::Metric => per_ha,
    }
}

/// Speed as read from a lever: one place.
pub fn show_speed(m_s: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.1} mph", m_s / MPH),
        Units::Metric => format!("{:.1} km/h", m_s * 3.6),
    }
}

/// Money for an area: cents under ten.
pub fn show_money(per_ha: f64, units: Units) -> String {
    let (value, per) = match units {
        Units::Us => (per_ha * AC, "ac"),
        Units::Metric => (per_ha, "ha"),
    };
    if value.abs() < 10.0 {
        format!("${value:.2}/{per}")
    } else {
        format!("${value:.0}/{per}")
    }
}

/// What a cap is, in words.
pub fn cap_words(kind: CapKind) -> &'static str {
    match kind {
        CapKind::RoughGround => "rough ground",
        CapKind::Head => "the head",
        CapKind::Power => "power",
        CapKind::Walkers => "straw walkers or rotor",
        CapKind::Operator => "the operator",
        CapKind::Haul => "hauling",
        CapKind::Counted => "no count near it",
    }
}

pub(super) fn says(best: &Best, units: Units) -> String {
    let band = best.within_2_pct;
    let (low, high) = (
        show_speed(band.low_m_s, units),
        show_speed(band.high_m_s, units),
    );
    let low = low.split(' ').next().unwrap_or_default();
    let mut says = format!("Drive {low} to {high}");
    if let Some(now) = best.present {
        let speed = show_speed(now.cost.speed_m_s, units);
        let inside = (band.low_m_s..=band.high_m_s).contains(&now.cost.speed_m_s);
        if inside {
            let _ = write!(says, "; {speed} is among them");
        } else {
            let more = show_money(now.more_money_per_ha, units);
            let _ = write!(
                says,
                ": at {speed} an {} costs {} more",
                if units == Units::Us {
                    "acre"
                } else {
                    "hectare"
                },
                more.split('/').next().unwrap_or_default()
            );
        }
    }
    if let Some(cap) = best.binds {
        let _ = write!(
            says,
            "; {} keeps it at {}",
            cap_words(cap.kind),
            show_speed(cap.speed_m_s, units)
        );
    }
    says.replace("an hectare", "a hectare") + "."
}

pub(super) fn notes(answer: &SpeedAnswer, counted: Option<&Counted>, units: Units) -> Vec<String> {
    let mut notes = Vec::new();
    if answer.taken_as_exact {
        notes.push("two losses typed are taken as exact, so no range can be told; count frames at both speeds for one".to_owned());
    }
    if answer.growth_from == GrowthFrom::Guess {
        notes.push(format!(
            "how fast loss grows with speed (the power {:.1}, {:.1} to {:.1}) is our default, a guess, for only one speed was counted; count at {} too",
            answer.exponent.value,
            answer.exponent.low,
            answer.exponent.high,
            answer.count_next_at_m_s.map_or_else(String::new, |v| show_speed(v, units)),
        ));
    }
    if answer
        .best
        .binds
        .is_some_and(|cap| cap.kind == CapKind::Counted)
    {
        notes.push(format!("the least cost lies past {} times the fastest speed counted, where losses are not known; count at a faster speed before driving it", super::guess("speed_beyond")));
    }
    if let Some(hour) = &answer.hour_limited {
        notes.push(format!(
            "only if uncut acres will truly be lost: most money an hour at {}, {} an hour, leaving more grain on the ground",
            show_speed(hour.cost.speed_m_s, units),
            format_args!("${:.0}", hour.net_money_per_h),
        ));
    }
    if let Some(counted) = counted {
        notes.push(
            "scatter of the counts is our default, a guess, until more frames replace it".into(),
        );
        if counted.seeds_are_default {
            notes.push(format!(
                "1,000 seeds are taken to weigh {:.0} g, our default; a count may carry the weight of its own",
                counted.thousand_seeds_g
            ));
        }
        notes.extend(counted.left_out.clone());
    }
    notes
}

pub(super) fn whys(answer: &SpeedAnswer, costs: &Costs, counted: Option<&Counted>) -> Vec<Why> {
    let mut why = Why::new(
        "speed of least cost",
        show_speed(answer.best.free_m_s, Units::Us),
        "least of price x (head loss + machine loss) + (cost of an hour + value of an hour sooner) x (1/(acres an hour moving) + hours of turning an acre); machine loss = loss x (speed/speed counted)^power",
        &format!(
            "loss as a power of feed rate: Nyborg 1967; the power {} with a log spread of {} is our default, a guess",
            super::guess("speed_power"),
            super::guess("speed_power_log_sd")
        ),
    )
    .with("width cut", format!("{:.1} ft", costs.time.cut_m / 0.3048))
    .with("an hour", format!("${:.2}", costs.time.money_per_h))
    .with("an hour finished sooner", format!("${:.2}", costs.time.sooner_money_per_h))
    .with("power of speed", format!("{:.2}", answer.exponent.value))
    .with(
        "machine loss at the speed to drive",
        format!("{:.1} kg/ha", answer.best.cost.machine_kg_per_ha),
    )
    .with(
        "speed 8 in 10",
        format!(
            "{} to {}",
            show_speed(answer.least_cost_m_s.low, Units::Us),
            show_speed(answer.least_cost_m_s.high, Units::Us)
        ),
    );
    if let Some(counted) = counted {
        let from = if counted.seeds_are_default {
            "our default"
        } else {
            "as weighed"
        };
        let grams = format!("{:.1} g, {from}", counted.thousand_seeds_g);
        why = why.with("1,000 seeds", grams);
    }
    for id in counted.into_iter().flat_map(|one| &one.entries) {
        why = why.from_entry(id.clone());
    }
    vec![why]
}
