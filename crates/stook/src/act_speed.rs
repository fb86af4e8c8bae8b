//! `stook speed` and `stook wagons`.

use crate::args::Typed;
use crate::args_speed::{SpeedTyped, WagonsTyped};
use crate::print::Out;
use anyhow::Result;
use desk::Farm;
use desk::speed::{SpeedAnswer, alike_per_ha, cap_words, counted, show_money, show_speed};
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
            format!("within {}", show_money(alike_per_ha(), units)),
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
    let notes = match units {
        Units::Us => &answer.notes,
        Units::Metric => &answer.notes_metric,
    };
    for note in notes {
        out.line(note);
    }
    out.cautions(&answer.cautions);
    out.whys(&answer.why);
}

/// What is left in a field, and whether it fits.
pub(crate) fn wagons(asked: &WagonsTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let farm = Farm::read(&desk::books::open(&typed.book)?)?;
    let told = desk::wagons(&farm, &asked.asked())?;
    if out.json {
        out.json(&told)?;
        return Ok(0);
    }
    let units = out.units;
    out.line(match units {
        Units::Us => &told.says,
        Units::Metric => &told.says_metric,
    });
    out.line("");
    let rows: Vec<Vec<String>> = told
        .wagons
        .iter()
        .map(|one| {
            let mass = |lb: f64| desk::show_grain(lb, told.bushel_lb, units);
            vec![
                one.place.clone(),
                mass(one.holds_lb),
                mass(one.in_it_lb),
                mass(one.room_lb),
            ]
        })
        .collect();
    out.table(&["wagon", "holds", "in it", "room"], &[1, 2, 3], &rows);
    let mut pairs = Vec::new();
    if let Some(full) = told.full_min {
        pairs.push((
            "wagons full in".to_owned(),
            format!(
                "{:.0} min ({:.0} to {:.0})",
                full.value, full.low, full.high
            ),
        ));
    }
    if let Some(hours) = told.left_h {
        pairs.push(("hours left".to_owned(), format!("{hours:.1} h")));
    }
    out.pairs(&pairs);
    for note in &told.notes {
        out.line(note);
    }
    out.cautions(&told.cautions);
    out.whys(&told.why);
    Ok(0)
}
