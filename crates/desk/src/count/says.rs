//! The answer as a sentence, and what else there is to know, in English.

use super::asked::Facts;
use super::{CountAnswer, MoreFrames, Most, Told};
use crate::reader;
use machine::loss::Standing;
use quantity::Units;

fn ranged(told: Told, show: impl Fn(f64) -> String) -> String {
    match told.range {
        Some(range) => format!(
            "{} ({} to {})",
            show(told.value.max(0.0)),
            show(range.low),
            show(range.high)
        ),
        None => show(told.value.max(0.0)),
    }
}

fn dollars(value: f64) -> String {
    if value < 10.0 {
        format!("${value:.1}0")
    } else {
        format!("${value:.0}")
    }
}

/// The answer in one sentence, US units.
pub fn sentence(answer: &CountAnswer) -> String {
    sentence_in(answer, Units::Us)
}

/// The answer in one sentence.
pub fn sentence_in(answer: &CountAnswer, units: Units) -> String {
    let Some(part) = answer.loss.answer() else {
        return "No frame was looked at.".to_owned();
    };
    let one = crate::Ranged::of(1.0, 0.0);
    let unit = reader::per_acre(&answer.crop, one, units);
    let (places, acre) = match units {
        Units::Us => (1, "an acre"),
        Units::Metric => (2, "a hectare"),
    };
    let bushels = |told: Told| {
        let told = told.times(unit.figure.value);
        let shown = ranged(told, |value| format!("{value:.places$}"));
        format!("{shown} {}", unit.unit)
    };
    if let Some(other) = answer.or_windrow.as_ref().and_then(|loss| loss.answer()) {
        return format!(
            "You are leaving {} if the tail spreads over the whole cut, {} if it lies in a windrow of a sixth of it: \
             look at the tail, and there is one answer and money.",
            bushels(part.bu_per_ac),
            bushels(other.bu_per_ac)
        );
    }
    let whole = answer.loss.total.is_some();
    let what = match (whole, answer.loss.head.is_some()) {
        (true, _) => "You are leaving",
        (false, true) => "The head is leaving",
        (false, false) => "Before the machine came there lay",
    };
    let most = match answer.most {
        Some(Most::Head) if whole => ", most of it at the head",
        Some(Most::Machine) if whole => ", most of it behind the machine",
        _ => "",
    };
    match part.money_per_ac {
        Some(money) => {
            let money = money.times(reader::acres(one, units).figure.value.recip());
            format!(
                "{what} {} {acre}, {}{most}.",
                ranged(money, dollars),
                bushels(part.bu_per_ac)
            )
        }
        None => format!("{what} {}{most}.", bushels(part.bu_per_ac)),
    }
}

/// What else there is to know.
pub(super) fn notes(answer: &CountAnswer, asked: &Facts) -> Vec<String> {
    let mut out = Vec::new();
    if answer
        .loss
        .answer()
        .is_some_and(|part| part.bu_per_ac.range.is_none())
    {
        out.push(
            "Fewer than three frames in one place: too few to say how sure this is.".to_owned(),
        );
    } else {
        out.push("Ranges hold 8 cases in 10.".to_owned());
    }
    if answer.head_holds_standing && answer.loss.head.is_some() {
        out.push(
            "Nobody counted in the standing crop: what lay there is counted with the head."
                .to_owned(),
        );
    }
    if fewer_behind(answer) {
        out.push(
            "Less was found behind the machine than the head alone had left: chance, or frames mixed up; its loss is shown as 0."
                .to_owned(),
        );
    }
    if answer.seeds_are_default && !asked.frames_weighed {
        out.push(format!(
            "1,000 seeds are taken to weigh {:.0} g, our default for {}; weigh 300 from the ground and give --seed-weight.",
            answer.thousand_seeds_g,
            answer.crop_name.to_lowercase()
        ));
    }
    if answer.price_per_bu.is_none() && answer.or_windrow.is_none() {
        out.push("Give --price for money, such as --price 11.".to_owned());
    }
    if let Some(more) = &answer.more {
        out.extend(frames(more));
    }
    out
}

/// Whether some part fell below nothing, and is shown as nothing.
fn fewer_behind(answer: &CountAnswer) -> bool {
    answer
        .loss
        .machine
        .is_some_and(|part| part.bu_per_ac.value < 0.0)
}

fn frames(more: &MoreFrames) -> Option<String> {
    let places = [
        (more.in_standing, "in the standing crop"),
        (more.behind_head, "behind the head"),
        (more.behind_machine, "behind the machine"),
    ];
    let list: Vec<String> = places
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, place)| format!("{count} {place}"))
        .collect();
    let worth = format!(
        "{} bu/ac{}",
        more.worth_bu_per_ac,
        if more.worth_is_default {
            " (our default, a guess)"
        } else {
            ""
        }
    );
    Some(match more.standing {
        Standing::Above => format!("It is above {worth}, what an adjustment is worth: try one."),
        Standing::Below => format!("It is below {worth}, what an adjustment is worth: leave it."),
        Standing::TooNear => format!("It is too near {worth} to matter."),
        Standing::TooFew | Standing::Open if !list.is_empty() => format!(
            "{} more frames would settle whether it is above {worth}: {}; about {:.0} minutes.",
            more.in_standing + more.behind_head + more.behind_machine,
            list.join(", "),
            more.minutes
        ),
        Standing::Stuck => format!(
            "No number of frames would settle whether it is above {worth}: weigh 1,000 seeds and measure the tail."
        ),
        _ => return None,
    })
}
