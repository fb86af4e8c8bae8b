//! `stook speed`.

use crate::args::Typed;
use crate::args_speed::SpeedTyped;
use crate::print::Out;
use anyhow::Result;
use desk::Farm;
use desk::speed::{SpeedAnswer, cap_words, counted, show_money, show_speed};
use quantity::Units;

/// From typed losses, or from the book's counts where none is typed.
pub(crate) fn speed(asked: &SpeedTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let counts = if asked.loss.is_empty() && typed.book.exists() {
        let farm = Farm::read(&desk::books::open(&typed.book)?)?;
        counted(&farm, asked.crop.as_deref())?
    } else {
        None
    };
    let crop = counts.as_ref().map(|one| one.crop.as_str());
    let answer = desk::speed::speed(&asked.asked(crop), counts.as_ref())?;
    if out.json {
        out.json(&answer)?;
    } else {
        print(&answer, out);
    }
    Ok(0)
}

fn print(answer: &SpeedAnswer, out: &mut Out) {
    let units = out.units;
    out.line(match units {
        Units::Us => &answer.says,
        Units::Metric => &answer.says_metric,
    });
    let speed = |m_s: f64| show_speed(m_s, units);
    let range = answer.least_cost_m_s;
    let two = |low: f64, high: f64| format!("{} to {}", speed(low), speed(high));
    let best = &answer.best;
    let mut pairs = vec![
        (
            "least cost at".to_owned(),
            if answer.taken_as_exact {
                speed(range.value)
            } else {
                format!(
                    "{} (8 in 10: {})",
                    speed(range.value),
                    two(range.low, range.high)
                )
            },
        ),
        (
            "within 2 %".to_owned(),
            two(best.within_2_pct.low_m_s, best.within_2_pct.high_m_s),
        ),
        (
            "within $0.50 an acre".to_owned(),
            two(best.within_money.low_m_s, best.within_money.high_m_s),
        ),
        (
            "loss".to_owned(),
            show_money(best.cost.loss_money_per_ha, units),
        ),
        (
            "time on the move".to_owned(),
            show_money(best.cost.moving_money_per_ha, units),
        ),
        (
            "turning, unloading".to_owned(),
            show_money(best.cost.standing_money_per_ha, units),
        ),
    ];
    if let Some(now) = best.present {
        pairs.push((
            format!("more at {}", speed(now.cost.speed_m_s)),
            format!(
                "{}, ${:.0} an hour",
                show_money(now.more_money_per_ha, units),
                now.more_money_per_h
            ),
        ));
    }
    if let Some(cap) = best.binds {
        pairs.push((
            "what binds".to_owned(),
            format!("{} at {}", cap_words(cap.kind), speed(cap.speed_m_s)),
        ));
    }
    out.pairs(&pairs);
    for note in &answer.notes {
        out.line(note);
    }
    for caution in &answer.cautions {
        out.line(format!("Caution: {caution}"));
    }
    out.whys(&answer.why);
}
