//! A ticket under a schedule: the settlement recomputed line by line.

use crate::charge::{charge_checked, rejects};
use crate::{
    Assessment, AssessmentBase, Charged, GrainError, Kind, Line, Outcome, Round, Schedule,
    SettleFinding, SettledLine, Settlement, Ticket, When,
};
use quantity::{Mass, MassUnit, Money, MoneyRounding, Price};
use rust_decimal::Decimal;

/// Settles one ticket under one schedule.
///
/// The order is fixed and shown: gross units from the scale; weight lines as listed; net units;
/// gross value; money lines as listed; assessments as listed; net. Each rounding is one that
/// [`crate::Rounding`] names. With no price (price later) the units are settled and the money is
/// left open. A factor that the ticket does not print is a finding and is never assumed; the outcome
/// is then [`Outcome::Incomplete`]. A rejected load has reasons and no money.
///
/// ```
/// use grain::{Factor, Ticket, settle};
/// use quantity::{Mass, Price};
/// use rust_decimal::Decimal;
/// let schedule: grain::Schedule = toml::from_str(r#"
///     name = "example"
///     buyer = "river pit"
///     contract = "cash"
///     crop = "corn"
///     base_moisture_pct = 15
///     unit_lb = 56
///     [[line]]
///     factor = "moisture"
///     when = "above"
///     from = 15
///     kind = "percent_of_gross_weight"
///     charge = { per_step = 1.4 }
/// "#)?;
/// let ticket = Ticket::of_gross_and_tare(
///     facts::Crop::Corn,
///     Mass::from_lb(78_460.0)?,
///     Mass::from_lb(26_240.0)?,
/// )
/// .with(Factor::Moisture, "18.2".parse()?);
/// let settled = settle(&ticket, &schedule, Some(Price("4.00".parse()?)))?;
/// assert_eq!(settled.gross_units.to_string(), "932.50");
/// assert_eq!(settled.net_units.to_string(), "890.72");
/// assert_eq!(settled.net.map(|net| net.decimal()), Some("3562.88".parse()?));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// A schedule that cannot be applied, a ticket for another crop, a weight that is not more than
/// nothing, a factor outside its range, or amounts past what an account can hold.
pub fn settle(
    ticket: &Ticket,
    schedule: &Schedule,
    price: Option<Price>,
) -> Result<Settlement, GrainError> {
    schedule.check()?;
    check_ticket(ticket, schedule)?;
    let price = price.map(|price| price.0);
    if let Some(price) = price
        && (price < Decimal::ZERO || price > Decimal::from(100_000))
    {
        return Err(GrainError::OutOfRange {
            what: "a price",
            found: price.to_string(),
            expected: "0 to 100,000 a unit",
        });
    }
    let wet_lb = pounds(ticket.net);
    let rounding = &schedule.rounding;
    let gross_units = rounded(wet_lb / schedule.unit_lb, rounding.gross_units);
    let mut done = Settlement {
        ticket: ticket.number.clone(),
        schedule: schedule.name.clone(),
        outcome: Outcome::Settled,
        unit: schedule.unit,
        unit_lb: schedule.unit_lb,
        wet_lb,
        gross_units,
        net_units: gross_units,
        price,
        gross_value: None,
        discounts: Money::ZERO,
        assessments: Money::ZERO,
        net: None,
        lines: Vec::new(),
        findings: ticket_findings(ticket, schedule),
    };
    let reasons = reject_reasons(ticket, schedule);
    if !reasons.is_empty() {
        done.outcome = Outcome::Rejected { reasons };
        done.net_units = Decimal::ZERO;
        return Ok(done);
    }
    let (weight, money): (Vec<&Line>, Vec<&Line>) = schedule
        .lines
        .iter()
        .partition(|line| line.kind.takes_weight());
    for line in weight {
        if let Some(settled) = weight_line(line, ticket, schedule, &mut done) {
            done.lines.push(settled);
        }
    }
    done.net_units = rounded(done.net_units, rounding.net_units);
    if done.net_units < Decimal::ZERO {
        return Err(GrainError::Schedule {
            schedule: schedule.name.clone(),
            line: "weight lines".to_owned(),
            what: "they take more than the whole load; read the rates again".to_owned(),
        });
    }
    let gross_value = price.map(|price| rounding.total_money.apply(done.net_units * price));
    let mut running = gross_value;
    let mut discounts = Decimal::ZERO;
    for line in money {
        if let Some(settled) = money_line(line, ticket, schedule, &mut done, &mut running) {
            discounts += settled.money;
            done.lines.push(settled);
        }
    }
    let after_discounts = running;
    let mut assessed = Decimal::ZERO;
    for assessment in &schedule.assessments {
        let values = [gross_value, after_discounts, running];
        if let Some(settled) = assessment_line(assessment, schedule, &mut done, values) {
            assessed += settled.money;
            running = settled.running_money;
            done.lines.push(settled);
        }
    }
    done.gross_value = gross_value.map(money_of).transpose()?;
    done.discounts = money_of(discounts)?;
    done.assessments = money_of(assessed)?;
    done.net = running
        .map(|net| money_of(rounding.total_money.apply(net)))
        .transpose()?;
    Ok(done)
}

/// Units (bushels) that a load counts for under a schedule, water and weight lines taken off; no
/// price and no money. What a claim on a buyer's storage is reckoned in.
///
/// # Errors
/// As [`settle()`].
pub fn buyer_units(ticket: &Ticket, schedule: &Schedule) -> Result<Decimal, GrainError> {
    settle(ticket, schedule, None).map(|settled| settled.net_units)
}

/// Why the buyer refuses this load, from the ticket's own values.
pub(crate) fn reject_reasons(ticket: &Ticket, schedule: &Schedule) -> Vec<String> {
    let mut reasons = Vec::new();
    for line in &schedule.lines {
        let Some(value) = value_for(line, ticket) else {
            continue;
        };
        if rejects(line, value) {
            reasons.push(match (line.when, line.reject_past) {
                (When::Flagged, _) | (_, None) => format!("{} noted", line.factor.words()),
                (when, Some(limit)) => format!(
                    "{} {} {} is {} {}",
                    line.factor.words(),
                    value.normalize(),
                    line.factor.unit(),
                    if when == When::Above {
                        "above"
                    } else {
                        "below"
                    },
                    limit.normalize(),
                ),
            });
        }
    }
    reasons.dedup();
    reasons
}

pub(crate) fn check_ticket(ticket: &Ticket, schedule: &Schedule) -> Result<(), GrainError> {
    if ticket.crop != schedule.crop {
        return Err(GrainError::OtherCrop {
            ticket: ticket.crop,
            schedule: schedule.crop,
        });
    }
    if ticket.net <= Mass::ZERO {
        return Err(GrainError::NoWeight {
            found: format!("{} lb", pounds(ticket.net).round_dp(2).normalize()),
        });
    }
    for (factor, value) in &ticket.factors {
        let (least, most, expected) = match factor.unit() {
            "%" => (0, 100, "0 to 100 %"),
            "lb/bu" => (1, 120, "1 to 120 lb/bu"),
            _ => (-100_000, 100_000, "-100,000 to 100,000"),
        };
        if *value < Decimal::from(least) || *value > Decimal::from(most) {
            return Err(GrainError::Factor {
                factor: factor.clone(),
                found: value.to_string(),
                expected,
            });
        }
    }
    Ok(())
}

fn ticket_findings(ticket: &Ticket, schedule: &Schedule) -> Vec<SettleFinding> {
    let mut findings = Vec::new();
    if let (Some(gross), Some(tare)) = (ticket.gross, ticket.tare)
        && gross - tare != ticket.net
    {
        findings.push(SettleFinding::NetDiffers {
            gross_less_tare_lb: pounds(gross - tare),
            net_lb: pounds(ticket.net),
        });
    }
    for flag in &ticket.flags {
        if !schedule.lines.iter().any(|line| line.factor == *flag) {
            findings.push(SettleFinding::NoLine {
                factor: flag.clone(),
            });
        }
    }
    findings
}

/// The value that a line looks at: the ticket's factor, or 1 for a flag that is noted.
fn value_for(line: &Line, ticket: &Ticket) -> Option<Decimal> {
    match line.when {
        When::Flagged => ticket.flags.contains(&line.factor).then_some(Decimal::ONE),
        _ => ticket.factors.get(&line.factor).copied(),
    }
}

/// What a line charges on this ticket; `None`, with a finding, when there is no answer.
fn charged(
    line: &Line,
    ticket: &Ticket,
    schedule: &Schedule,
    done: &mut Settlement,
) -> Option<(Option<Decimal>, Decimal, String)> {
    let Some(value) = value_for(line, ticket) else {
        if line.when != When::Flagged {
            done.outcome = Outcome::Incomplete;
            done.findings.push(SettleFinding::NotOnTicket {
                line: line.label(),
                factor: line.factor.clone(),
            });
        }
        return None;
    };
    match charge_checked(line, value) {
        Charged::Rate { rate, rule } => {
            let rate = rounded(rate, schedule.rounding.line_rate);
            let shown = (line.when != When::Flagged).then_some(value);
            Some((shown, rate, rule))
        }
        Charged::PastTable { last } => {
            done.outcome = Outcome::Incomplete;
            done.findings.push(SettleFinding::PastTable {
                line: line.label(),
                value,
                last,
            });
            None
        }
    }
}

fn weight_line(
    line: &Line,
    ticket: &Ticket,
    schedule: &Schedule,
    done: &mut Settlement,
) -> Option<SettledLine> {
    let (value, rate, rule) = charged(line, ticket, schedule, done)?;
    let of = match line.kind {
        Kind::PercentOfRemainingWeight => done.net_units,
        _ => done.gross_units,
    };
    let units = -rounded(
        of * rate / Decimal::ONE_HUNDRED,
        schedule.rounding.line_units,
    );
    done.net_units += units;
    Some(SettledLine {
        name: line.label(),
        factor: Some(line.factor.clone()),
        rule,
        value,
        rate,
        units,
        money: Decimal::ZERO,
        running_units: done.net_units,
        running_money: None,
    })
}

fn money_line(
    line: &Line,
    ticket: &Ticket,
    schedule: &Schedule,
    done: &mut Settlement,
    running: &mut Option<Decimal>,
) -> Option<SettledLine> {
    let (value, rate, rule) = charged(line, ticket, schedule, done)?;
    let part = rate / Decimal::ONE_HUNDRED;
    let money = match (line.kind, done.price) {
        (Kind::CentsPerGrossBushel, _) => part * done.gross_units,
        (Kind::PercentOfPrice, Some(price)) => part * price * done.net_units,
        (Kind::PercentOfPrice, None) => {
            done.findings
                .push(SettleFinding::NoPrice { line: line.label() });
            return None;
        }
        (Kind::FlatCents, _) => part,
        _ => part * done.net_units,
    };
    let money = -rounded(money, schedule.rounding.line_money);
    *running = running.map(|left| left + money);
    Some(SettledLine {
        name: line.label(),
        factor: Some(line.factor.clone()),
        rule,
        value,
        rate,
        units: Decimal::ZERO,
        money,
        running_units: done.net_units,
        running_money: *running,
    })
}

/// `values` are the gross value, the value after discounts, and what is left now.
fn assessment_line(
    assessment: &Assessment,
    schedule: &Schedule,
    done: &mut Settlement,
    values: [Option<Decimal>; 3],
) -> Option<SettledLine> {
    let part = assessment.rate / Decimal::ONE_HUNDRED;
    let rate = assessment.rate.normalize();
    let unit = done.unit.word();
    let (base, rule) = match assessment.base {
        AssessmentBase::GrossValue => (values[0], format!("{rate} % of the gross value")),
        AssessmentBase::NetValue => (values[1], format!("{rate} % of the value after discounts")),
        AssessmentBase::Remaining => (values[2], format!("{rate} % of what the lines above leave")),
        AssessmentBase::PerNetBushel => (
            Some(done.net_units),
            format!("{rate} cents each net {unit}"),
        ),
        AssessmentBase::PerGrossBushel => (
            Some(done.gross_units),
            format!("{rate} cents each gross {unit}"),
        ),
    };
    let Some(base) = base else {
        done.findings.push(SettleFinding::NoPrice {
            line: assessment.name.clone(),
        });
        return None;
    };
    let money = -rounded(part * base, schedule.rounding.line_money);
    Some(SettledLine {
        name: assessment.name.clone(),
        factor: None,
        rule,
        value: None,
        rate: assessment.rate,
        units: Decimal::ZERO,
        money,
        running_units: done.net_units,
        running_money: values[2].map(|left| left + money),
    })
}

/// A mass in pounds, exact for anything weighed in pounds.
pub(crate) fn pounds(mass: Mass) -> Decimal {
    mass.decimal(MassUnit::Lb).normalize()
}

pub(crate) fn rounded(value: Decimal, round: Option<Round>) -> Decimal {
    round.map_or(value, |round| round.apply(value))
}

/// A decimal amount as ledger money, half-even at its ten-thousandth.
pub(crate) fn money_of(value: Decimal) -> Result<Money, GrainError> {
    Ok(Money::from_decimal(value, MoneyRounding::HalfEven)?)
}
