//! Slips that look wrong by themselves, whatever the balances say: a test weight where the moisture
//! belongs, a gross without a tare, the same slip twice, a tare that is another wagon's.
//!
//! The answer is log odds, for each slip, that one of these happened rather than chance. They break
//! ties between slips that no test tells apart, and a slip that is odd enough is named even where
//! another mistake hides it from the tests.

use super::figures::PRIOR;
use super::habit::Habits;
use crate::slip::{Slip, Weight};
use crate::square::season::build::Layout;

/// Log odds that each slip has a mistake that shows in its own figures.
pub(crate) fn oddities(layout: &Layout<'_>) -> Vec<f64> {
    let habits = Habits::of(layout, &layout.record_kg);
    let bare = |slip: &&Slip| matches!(&slip.weight, Weight::Scale { gross: Some(g), tare: None, net, .. } if g == net);
    let scales = layout
        .slips
        .iter()
        .filter(|s| matches!(s.weight, Weight::Scale { gross: Some(_), .. }))
        .count();
    let bares = layout.slips.iter().copied().filter(bare).count();
    (0..layout.slips.len())
        .map(|index| {
            let slip = layout.slips[index];
            let mut worst = f64::NEG_INFINITY;
            worst = worst.max(moisture(layout, &habits, slip));
            worst = worst.max(tare(&habits, slip));
            if bare(&slip) {
                // how often a gross without a tare is nothing unusual here
                let usual = (bares as f64 - 0.95) / (scales as f64 + 1.0);
                worst = worst.max((PRIOR / usual).ln());
            }
            if habits.twins.contains_key(&slip.id) {
                let accident = if slip.moisture.is_some() {
                    0.0005
                } else {
                    0.01
                };
                worst = worst.max((PRIOR / accident).ln());
            }
            let unit = habits.other_unit(layout, index);
            let mut metric = PRIOR.ln() + unit;
            if let Weight::Scale {
                tare: Some(tare),
                unit,
                ..
            } = &slip.weight
                && let Some(ratio) = super::figures::other_unit(*unit)
                && let Some(usual) = habits.tare(&slip.from)
            {
                let ln = |kg: f64| usual.ln_density(kg, 0.02, 3_000.0);
                metric += ln(tare.kg() * ratio.0) - ln(tare.kg());
            }
            worst.max(metric)
        })
        .collect()
}

fn moisture(layout: &Layout<'_>, habits: &Habits, slip: &Slip) -> f64 {
    let (Some(reading), Some(usual)) = (&slip.moisture, habits.moisture(&slip.crop)) else {
        return f64::NEG_INFINITY;
    };
    let written = reading.value.fraction();
    let habit = |m: f64| usual.ln_density(m, 0.001, 0.6);
    let mut worst = f64::NEG_INFINITY;
    for other in [written * 10.0, written / 10.0] {
        if (0.04..=0.45).contains(&other) {
            worst = worst.max(PRIOR.ln() + habit(other) - habit(written) + (other / written).ln());
        }
    }
    let printed = layout.season.test_weights_lb_bu.get(&slip.id);
    if printed.is_some_and(|t| (t - 100.0 * written).abs() < 0.051) {
        worst = worst.max(PRIOR.ln() + 1_000.0_f64.ln() - habit(written));
    }
    worst
}

fn tare(habits: &Habits, slip: &Slip) -> f64 {
    let Weight::Scale {
        gross: Some(_),
        tare: Some(tare),
        ..
    } = &slip.weight
    else {
        return f64::NEG_INFINITY;
    };
    let Some(usual) = habits.tare(&slip.from) else {
        return f64::NEG_INFINITY;
    };
    let others = habits.other_tares(&slip.from);
    let near = others.iter().any(|(_, kg)| (kg - tare.kg()).abs() <= 25.0);
    let strange = usual.ln_density(tare.kg(), 0.02, 3_000.0);
    if near {
        PRIOR.ln() - (others.len() as f64 * 25.0).ln() - strange
    } else {
        f64::NEG_INFINITY
    }
}
