//! Several loads settled together, with the schedule's own averaging.

use crate::settle::{check_ticket, reject_reasons};
use crate::{Average, GrainError, Outcome, Schedule, SettleFinding, Settlement, Ticket, settle};
use quantity::{Money, Price};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Loads settled together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Lot {
    /// Load by load, in the order given.
    pub loads: Vec<Settlement>,
    /// How many were rejected.
    pub rejected: usize,
    /// Weight over the scale of the loads that were taken, lb.
    pub wet_lb: Decimal,
    /// Units as weighed of the loads that were taken.
    pub gross_units: Decimal,
    /// Units paid for.
    pub net_units: Decimal,
    /// What is paid; none when the loads are not priced or none was taken.
    pub net: Option<Money>,
}

/// Settles loads under one schedule, averaging the factors that the schedule averages.
///
/// An average is weighted by net pounds over the loads whose own value lies within the schedule's
/// limits; the others stand alone (a buyer who averages corn up to 15.0 % keeps 15.1 % as a separate
/// lot). Rejection looks at a load's own value, before any averaging. Each averaged load says so
/// among its findings, with its own value beside the one used.
///
/// # Errors
/// As [`settle()`], for the first load that cannot be worked.
pub fn settle_many(
    tickets: &[Ticket],
    schedule: &Schedule,
    price: Option<Price>,
) -> Result<Lot, GrainError> {
    schedule.check()?;
    for ticket in tickets {
        check_ticket(ticket, schedule)?;
    }
    let mut used: Vec<Ticket> = tickets.to_vec();
    let mut notes: Vec<Vec<SettleFinding>> = vec![Vec::new(); tickets.len()];
    let taken: Vec<bool> = tickets
        .iter()
        .map(|ticket| reject_reasons(ticket, schedule).is_empty())
        .collect();
    for average in &schedule.averages {
        let within: Vec<(usize, Decimal)> = tickets
            .iter()
            .enumerate()
            .filter(|(at, _)| taken[*at])
            .filter_map(|(at, ticket)| Some((at, *ticket.factors.get(&average.factor)?)))
            .filter(|(_, value)| inside(average, *value))
            .collect();
        let Some(mean) = weighted_mean(tickets, &within) else {
            continue;
        };
        let mean = average.round.map_or(mean, |round| round.apply(mean));
        for (at, own) in &within {
            used[*at].factors.insert(average.factor.clone(), mean);
            notes[*at].push(SettleFinding::Averaged {
                factor: average.factor.clone(),
                loads: within.len(),
                own: *own,
                used: mean,
            });
        }
    }
    let mut loads = Vec::with_capacity(tickets.len());
    for (ticket, note) in used.iter().zip(notes) {
        let mut settled = settle(ticket, schedule, price)?;
        settled.findings.extend(note);
        loads.push(settled);
    }
    Ok(sum(loads))
}

fn inside(average: &Average, value: Decimal) -> bool {
    average.least.is_none_or(|least| value >= least)
        && average.most.is_none_or(|most| value <= most)
}

/// Mean weighted by net mass; `None` under two loads, where there is nothing to average.
fn weighted_mean(tickets: &[Ticket], within: &[(usize, Decimal)]) -> Option<Decimal> {
    if within.len() < 2 {
        return None;
    }
    // kilograms, so that a season of loads stays far from the decimal's 28 digits
    let weight = |at: usize| tickets[at].net.decimal(quantity::MassUnit::Kg);
    let whole: Decimal = within.iter().map(|(at, _)| weight(*at)).sum();
    let sum: Decimal = within.iter().map(|(at, value)| weight(*at) * value).sum();
    sum.checked_div(whole)
}

fn sum(loads: Vec<Settlement>) -> Lot {
    let taken = || {
        loads
            .iter()
            .filter(|load| !matches!(load.outcome, Outcome::Rejected { .. }))
    };
    let net: Option<Money> = taken().map(|load| load.net).sum();
    Lot {
        rejected: loads.len() - taken().count(),
        wet_lb: taken().map(|load| load.wet_lb).sum(),
        gross_units: taken().map(|load| load.gross_units).sum(),
        net_units: taken().map(|load| load.net_units).sum(),
        net: net.filter(|_| taken().count() > 0),
        loads,
    }
}
