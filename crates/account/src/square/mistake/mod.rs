//! Which mistake a suspect looks like.
//!
//! For every slip that may be the one, hypotheses are formed and scored: how likely the figures would
//! be if it were so, against nothing but noise, times a prior by kind. `figures` changes one slip's
//! own figures; `moves` changes balances (twice, missing, wrong wagon, wrong field) and compares
//! fits of the few fillings concerned; `habit` knows what is usual on the farm. Beside them stand
//! "noise" and "a blunder of no kind with a name", so that the chances mean something.
//!
//! Nothing here corrects: a correction is typed from the paper, with a reason.
//!
//! Limitations: a wrong field within one crop changes no balance and cannot be found; two mistakes in
//! one filling are judged one at a time; priors are guesses of the trade.

mod digits;
mod figures;
mod habit;
mod kind;
mod moves;
mod nearby;
mod oddity;
mod stores;

use super::network::Aside;
use super::season::build::Subject;
use super::season::report::Read;
use crate::slip::SlipId;
use figures::{Predicted, Scored, ln_normal};
use habit::Habits;
use nearby::{LN_BLUNDER, Whole};
use std::collections::{BTreeMap, BTreeSet};

pub(super) use oddity::oddities;

pub use kind::{Field, Hypothesis, MistakeKind};

/// A neighbor whose setting aside would explain less than this much as well (log odds) is left out.
const FAR: f64 = 12.0;
/// Standard error of a prediction that says nothing, kg.
const ANYTHING_KG: f64 = 4_000.0;
/// A neighbor within these log odds of the suspect may as well be the one.
const PLAUSIBLE: f64 = 5.0;
/// Hypotheses shown for one suspect.
const SHOWN: usize = 5;

/// What a suspect looks like.
pub(super) struct Weighed {
    /// The most likely first.
    pub(super) hypotheses: Vec<Hypothesis>,
    /// Chance of a blunder of no named kind.
    pub(super) something_else: f64,
    /// Chance of nothing but noise.
    pub(super) noise: f64,
    /// Measurements of the same balances that may as well be the one.
    pub(super) plausible: Vec<usize>,
}

/// What all suspects of a season have in common.
pub(super) struct Bench<'a> {
    read: &'a Read<'a>,
    whole: Whole<'a>,
    habits: Habits,
    all_suspects: BTreeSet<usize>,
}

fn slip_of(read: &Read<'_>, measurement: usize) -> Option<usize> {
    match read.layout.subject[measurement] {
        Subject::Slip(index) => Some(index),
        _ => None,
    }
}

/// What everything but one measurement says of it, the suspect of its set being believed instead.
fn predict(read: &Read<'_>, aside: &Aside, with: &[f64], measurement: usize) -> Option<Predicted> {
    let last = &read.verdict.last;
    let first = aside.measurement;
    let full = last.variances[first] + last.fitted_variances[first];
    let own = last.variances[measurement];
    let (off, others) = if measurement == first {
        (last.residuals[first], last.fitted_variances[first])
    } else {
        let shared = with[measurement];
        let residual = last.residuals[measurement] - shared * last.residuals[first] / full;
        let rest = own - (last.fitted_variances[measurement] - shared * shared / full);
        if !last.active[measurement] || rest <= 1e-9 * own {
            return None;
        }
        (residual * own / rest, own * (own / rest - 1.0))
    };
    Some(Predicted {
        off,
        others: others.max(0.0),
        own: read.verdict.first.variances[measurement],
        relative: read.relative(measurement),
        ln_blunder: LN_BLUNDER,
        scale: read.scale(measurement),
    })
}

impl<'a> Bench<'a> {
    pub(super) fn of(read: &'a Read<'a>) -> Self {
        let dry: Vec<Option<f64>> = read
            .layout
            .mass
            .iter()
            .map(|&m| read.errors[m].map(|_| read.verdict.last.values[m]))
            .collect();
        let all_suspects = read
            .verdict
            .aside
            .iter()
            .flat_map(|a| std::iter::once(a.measurement).chain(a.alike.iter().map(|x| x.0)))
            .filter_map(|m| slip_of(read, m))
            .collect();
        Self {
            read,
            whole: Whole::of(read),
            habits: Habits::of(read.layout, &dry),
            all_suspects,
        }
    }

    /// What one suspect looks like.
    pub(super) fn weigh(&self, aside: &Aside) -> Weighed {
        let read = self.read;
        let members: Vec<usize> = std::iter::once(aside.measurement)
            .chain(aside.alike.iter().map(|a| a.0))
            .collect();
        let last = &read.verdict.last;
        let (_, with) = last.against_all(&last.rows[aside.measurement]);
        let mut scored: Vec<Scored> = Vec::new();
        // everything is held against a blunder of no named kind, noise too
        let mut ln_noise = 0.0;
        let mut plausible = Vec::new();
        if last.determines_reduced(&last.rows[aside.measurement]) {
            let Some(chosen) = predict(read, aside, &with, aside.measurement) else {
                unreachable!("the suspect itself is always predicted");
            };
            let variance = chosen.others + chosen.own;
            ln_noise = ln_normal(chosen.off, variance) - chosen.ln_blunder;
            let fit_variance = chosen.others + last.variances[aside.measurement];
            let taken_off = -ln_normal(chosen.off, fit_variance);
            let mut around = members.clone();
            around.extend(self.neighbors(&members));
            for measurement in around {
                let Some(mut predicted) = predict(read, aside, &with, measurement) else {
                    continue;
                };
                if !members.contains(&measurement) {
                    // what setting this one aside would leave of the misfit, against the suspect's
                    let fit_variance = predicted.others + last.variances[measurement];
                    let here = -ln_normal(predicted.off, fit_variance) - taken_off;
                    if here < -FAR {
                        continue;
                    }
                    predicted.ln_blunder -= here.min(1.0);
                    if here > -PLAUSIBLE {
                        plausible.push(measurement);
                    }
                }
                if let Some(slip) = slip_of(read, measurement) {
                    scored.extend(figures::of_slip(read.layout, &self.habits, slip, predicted));
                }
                for period in self.periods_of(measurement) {
                    scored.extend(stores::missing(
                        &self.whole,
                        period,
                        measurement,
                        &predicted,
                    ));
                }
            }
        }
        if scored.is_empty()
            && let Some(slip) = slip_of(read, aside.measurement)
        {
            // nothing else says anything of it: only what it looks like counts
            let own = read.verdict.first.variances[aside.measurement];
            let predicted = Predicted {
                off: 0.0,
                others: ANYTHING_KG * ANYTHING_KG,
                own,
                relative: read.relative(aside.measurement),
                ln_blunder: LN_BLUNDER,
                scale: read.scale(aside.measurement),
            };
            ln_noise = ln_normal(0.0, predicted.others + own) - LN_BLUNDER;
            scored.extend(figures::of_slip(read.layout, &self.habits, slip, predicted));
        }
        let slips: Vec<usize> = members.iter().filter_map(|&m| slip_of(read, m)).collect();
        let mut near: BTreeSet<usize> = slips.iter().copied().collect();
        for &period in slips.iter().flat_map(|&s| &self.whole.of_slip[s]) {
            if nearby::moves(read.layout.periods[period].kind) {
                near.extend(read.layout.periods[period].slips());
            }
        }
        let search = moves::Search {
            whole: &self.whole,
            habits: &self.habits,
            members: slips,
            near,
            all_suspects: &self.all_suspects,
            ln_noise,
        };
        scored.extend(search.run());
        self.rank(&scored, ln_noise, plausible)
    }

    /// Periods that a measurement stands in.
    fn periods_of(&self, measurement: usize) -> Vec<usize> {
        match self.read.layout.subject[measurement] {
            Subject::Slip(slip) => self.whole.of_slip[slip].clone(),
            Subject::Stock(stock) => self.whole.of_stock[stock].clone(),
            Subject::Prior => Vec::new(),
        }
    }

    /// Slips of the fillings that a measurement stands in.
    pub(super) fn filling(&self, measurement: usize) -> Vec<SlipId> {
        let layout = self.read.layout;
        self.periods_of(measurement)
            .into_iter()
            .filter(|&p| nearby::moves(layout.periods[p].kind))
            .flat_map(|p| layout.periods[p].slips())
            .map(|s| layout.slips[s].id.clone())
            .collect()
    }

    /// Other measurements in the balances that the members stand in.
    fn neighbors(&self, members: &[usize]) -> Vec<usize> {
        let layout = self.read.layout;
        let mut found: BTreeSet<usize> = BTreeSet::new();
        for &member in members {
            for period in self.periods_of(member) {
                found.extend(
                    layout.periods[period]
                        .slips()
                        .filter_map(|s| layout.of_slip[s]),
                );
            }
        }
        found.into_iter().filter(|m| !members.contains(m)).collect()
    }

    /// One hypothesis for each kind, its chance being that of all its candidates together.
    fn rank(&self, scored: &[Scored], ln_noise: f64, plausible: Vec<usize>) -> Weighed {
        let mut kinds: BTreeMap<MistakeKind, (f64, &Scored)> = BTreeMap::new();
        // the blunder of no named kind stands at 0
        let mut total = ln_sum(0.0, ln_noise);
        for candidate in scored {
            total = ln_sum(total, candidate.ln_score);
            kinds
                .entry(candidate.kind)
                .and_modify(|(sum, best)| {
                    *sum = ln_sum(*sum, candidate.ln_score);
                    if candidate.ln_score > best.ln_score {
                        *best = candidate;
                    }
                })
                .or_insert((candidate.ln_score, candidate));
        }
        let mut ranked: Vec<(f64, &Scored)> = kinds.into_values().collect();
        ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
        let made = ranked
            .into_iter()
            .take(SHOWN)
            .map(|(sum, best)| self.hypothesis(sum, total, ln_noise, best))
            .collect();
        Weighed {
            hypotheses: made,
            something_else: (-total).exp(),
            noise: (ln_noise - total).exp(),
            plausible,
        }
    }

    fn hypothesis(&self, sum: f64, total: f64, ln_noise: f64, best: &Scored) -> Hypothesis {
        let layout = self.read.layout;
        let slip = layout.slips[best.slip].id.clone();
        let other = best.other.map(|o| layout.slips[o].id.clone());
        let words = match best.kind {
            MistakeKind::EnteredTwice => format!(
                "Slip {slip} says the same as slip {}: it may have been entered twice.",
                other.as_ref().map_or("another", |o| o.0.as_str())
            ),
            MistakeKind::Missing => format!(
                "A slip may be missing near {slip}: {} would close the balance.",
                best.perhaps
            ),
            MistakeKind::WrongWagon | MistakeKind::WrongField => format!(
                "Slip {slip} says {}; {} may have been meant ({}).",
                best.written,
                best.perhaps,
                best.kind.name()
            ),
            _ => format!(
                "The {} of slip {slip} says {}; the paper may say {} ({}).",
                best.field.name(),
                best.written,
                best.perhaps,
                best.kind.name()
            ),
        };
        Hypothesis {
            kind: best.kind,
            slip,
            field: best.field,
            written: best.written.clone(),
            perhaps: best.perhaps.clone(),
            other,
            change_dry_kg: best.change_kg,
            chance: (sum - total).exp(),
            ln_odds_against_noise: sum - ln_noise,
            words,
        }
    }
}

/// One sentence on a suspect.
pub(super) fn say(slip: &SlipId, set: &[SlipId], off_by_kg: f64, best: &[Hypothesis]) -> String {
    let lb = off_by_kg / 0.453_592_37;
    let who = if set.len() > 1 {
        let names: Vec<&str> = set.iter().map(|s| s.0.as_str()).collect();
        format!("One of {} does not fit", names.join(", "))
    } else {
        format!("Slip {slip} does not fit")
    };
    let side = if lb > 0.0 { "more" } else { "less" };
    let mut text = format!(
        "{who}: {slip} says {:.0} lb dry {side} than the rest of the account.",
        lb.abs()
    );
    if let Some(first) = best.first() {
        text.push(' ');
        text.push_str(&first.words);
    }
    text
}

fn ln_sum(a: f64, b: f64) -> f64 {
    let high = a.max(b);
    if high == f64::NEG_INFINITY {
        high
    } else {
        high + ((a - high).exp() + (b - high).exp()).ln()
    }
}
