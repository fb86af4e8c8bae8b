//! One line's charge: from a factor's value to a rate and the rule in words.

use crate::check::check_line;
use crate::{Band, Charge, ExcessRounding, GrainError, Kind, Line, Reading, When};
use quantity::MoneyRounding;
use rust_decimal::Decimal;

/// What a line charges for a value.
#[derive(Debug, Clone, PartialEq)]
pub enum Charged {
    /// This much, in the unit of the line's kind, and why.
    Rate {
        /// Cents a unit, per cent, or cents.
        rate: Decimal,
        /// The rule in words, with its numbers.
        rule: String,
    },
    /// The value is past the table's last entry: there is no answer.
    PastTable {
        /// The table's last value.
        last: Decimal,
    },
}

/// How far a value is past the line's limit; zero or less when it is not.
pub(crate) fn past(line: &Line, value: Decimal) -> Decimal {
    match line.when {
        When::Above => value - line.from,
        When::Below => line.from - value,
        When::Flagged => Decimal::ONE,
    }
}

/// Whether this value makes the load one that the buyer refuses.
pub(crate) fn rejects(line: &Line, value: Decimal) -> bool {
    line.reject_past.is_some_and(|limit| match line.when {
        When::Above => value > limit,
        When::Below => value < limit,
        When::Flagged => true,
    })
}

/// What a line charges for a factor's value, in the unit of its [`Kind`].
///
/// One printed list, three readings (limit 54 lb, 1 cent a lb to 52, 2 cents to 48):
///
/// ```
/// use grain::{Band, Charge, Charged, Factor, Kind, Line, Reading, When, charge};
/// use rust_decimal::Decimal;
/// let line = |reading| Line {
///     name: String::new(),
///     factor: Factor::TestWeight,
///     when: When::Below,
///     from: Decimal::from(54),
///     to: None,
///     step: Decimal::ONE,
///     excess: Default::default(),
///     kind: Kind::CentsPerNetBushel,
///     charge: Charge::Banded {
///         reading,
///         bands: vec![
///             Band { to: Some(Decimal::from(52)), rate: Decimal::from(1) },
///             Band { to: Some(Decimal::from(48)), rate: Decimal::from(2) },
///             Band { to: None, rate: Decimal::from(4) },
///         ],
///     },
///     reject_past: None,
/// };
/// let cents = |reading| match charge(&line(reading), Decimal::from(51)) {
///     Ok(Charged::Rate { rate, .. }) => rate,
///     other => panic!("{other:?}"),
/// };
/// assert_eq!(cents(Reading::WholeShortfall), Decimal::from(6));
/// assert_eq!(cents(Reading::Marginal), Decimal::from(4));
/// assert_eq!(cents(Reading::BandValue), Decimal::from(2));
/// ```
///
/// # Errors
/// A line that [`crate::Schedule::check`] would refuse, or a value past 100,000.
pub fn charge(line: &Line, value: Decimal) -> Result<Charged, GrainError> {
    check_line(line).map_err(|what| GrainError::Line {
        line: line.label(),
        what,
    })?;
    if value.abs() > Decimal::from(100_000) {
        return Err(GrainError::Factor {
            factor: line.factor.clone(),
            found: value.to_string(),
            expected: "-100,000 to 100,000",
        });
    }
    Ok(charge_checked(line, value))
}

/// As [`charge`], of a line and value that were checked.
pub(crate) fn charge_checked(line: &Line, value: Decimal) -> Charged {
    let read = match line.excess {
        ExcessRounding::Tenth => MoneyRounding::HalfUp.round(value, 1),
        _ => value,
    };
    let depth = past(line, read);
    if line.when == When::Flagged {
        let rate = match line.charge {
            Charge::Flat(flat) => flat,
            _ => Decimal::ZERO,
        };
        let rule = format!("noted on the ticket: {}", in_kind(rate, line.kind));
        return Charged::Rate { rate, rule };
    }
    let (words, unit) = (line.factor.words(), line.factor.unit());
    let side = if line.when == When::Above {
        "above"
    } else {
        "below"
    };
    if depth <= Decimal::ZERO {
        let rule = format!(
            "{words} {} is not {side} {} {unit}: nothing",
            value.normalize(),
            line.from.normalize()
        );
        return Charged::Rate {
            rate: Decimal::ZERO,
            rule,
        };
    }
    let capped = line.to.map_or(depth, |to| depth.min(past(line, to)));
    let steps = steps(capped, line.step, line.excess);
    let counted = steps * line.step;
    let lead = format!(
        "{words} {} {unit} is {} {side} {}",
        value.normalize(),
        depth.normalize(),
        line.from.normalize()
    );
    let (rate, how) = match &line.charge {
        Charge::None => (Decimal::ZERO, "nothing taken".to_owned()),
        Charge::Flat(flat) => (*flat, "once".to_owned()),
        Charge::PerStep(per) => (
            steps * per,
            format!(
                "{} {} of {} ({}) at {}",
                steps.normalize(),
                if steps == Decimal::ONE {
                    "step"
                } else {
                    "steps"
                },
                line.step.normalize(),
                excess_words(line.excess),
                per.normalize()
            ),
        ),
        Charge::WholeExcess => (counted, "all of the excess".to_owned()),
        Charge::WaterShrink { handling_pct } => (
            Decimal::ONE_HUNDRED * counted / (Decimal::ONE_HUNDRED - line.from) + handling_pct,
            format!("water to {} % and {handling_pct} % handling", line.from),
        ),
        Charge::Piecewise(points) => match piecewise(line, points, depth) {
            Ok(rate) => (rate, "straight between the table's entries".to_owned()),
            Err(last) => return Charged::PastTable { last },
        },
        Charge::Banded { reading, bands } => match banded(line, *reading, bands, depth, counted) {
            Ok(rate) => (rate, format!("table read as {}", reading.words())),
            Err(last) => return Charged::PastTable { last },
        },
    };
    let rule = format!("{lead}; {how} = {}", in_kind(rate, line.kind));
    Charged::Rate { rate, rule }
}

/// A rate with its unit in words.
fn in_kind(rate: Decimal, kind: Kind) -> String {
    let shown = rate.round_dp(6).normalize();
    match kind {
        Kind::CentsPerGrossBushel => format!("{shown} cents each gross unit"),
        Kind::CentsPerNetBushel => format!("{shown} cents each net unit"),
        Kind::PercentOfGrossWeight => format!("{shown} % of the gross weight"),
        Kind::PercentOfRemainingWeight => format!("{shown} % of the weight left"),
        Kind::PercentOfPrice => format!("{shown} % of the price"),
        Kind::FlatCents => format!("{shown} cents for the load"),
    }
}

fn excess_words(excess: ExcessRounding) -> &'static str {
    match excess {
        ExcessRounding::Exact => "in proportion",
        ExcessRounding::Tenth => "in proportion to a tenth",
        ExcessRounding::StepUp => "a begun step counts whole",
        ExcessRounding::StepNearest => "nearest step",
        ExcessRounding::StepDown => "whole steps only",
    }
}

fn steps(depth: Decimal, step: Decimal, excess: ExcessRounding) -> Decimal {
    let steps = depth / step;
    match excess {
        ExcessRounding::Exact | ExcessRounding::Tenth => steps,
        ExcessRounding::StepUp => steps.ceil(),
        ExcessRounding::StepNearest => MoneyRounding::HalfUp.round(steps, 0),
        ExcessRounding::StepDown => steps.floor(),
    }
}

/// Value of a printed table at a depth past the limit, or the table's last entry when past it.
fn piecewise(
    line: &Line,
    points: &[(Decimal, Decimal)],
    depth: Decimal,
) -> Result<Decimal, Decimal> {
    let mut before = (Decimal::ZERO, Decimal::ZERO);
    for (factor, value) in points {
        let at = past(line, *factor);
        if depth <= at {
            let share = (depth - before.0) / (at - before.0);
            return Ok(before.1 + share * (value - before.1));
        }
        before = (at, *value);
    }
    Err(points.last().map_or(line.from, |(factor, _)| *factor))
}

/// Value of a table of bands; `depth` says which band, `counted` how much of it counts.
fn banded(
    line: &Line,
    reading: Reading,
    bands: &[Band],
    depth: Decimal,
    counted: Decimal,
) -> Result<Decimal, Decimal> {
    let end = |band: &Band| band.to.map(|to| past(line, to));
    let Some(here) = bands
        .iter()
        .position(|band| end(band).is_none_or(|end| depth <= end))
    else {
        return Err(bands.last().and_then(|band| band.to).unwrap_or(line.from));
    };
    Ok(match reading {
        Reading::WholeShortfall => counted / line.step * bands[here].rate,
        Reading::BandValue => bands[here].rate,
        Reading::BandValuesSummed => bands[..=here].iter().map(|band| band.rate).sum(),
        Reading::Marginal => {
            let mut start = Decimal::ZERO;
            let mut cost = Decimal::ZERO;
            for (index, band) in bands[..=here].iter().enumerate() {
                // whatever rounding up has pushed past the band's end stays in the value's own band
                let stop = end(band).filter(|_| index < here).unwrap_or(counted);
                let part = (stop.min(counted) - start).max(Decimal::ZERO);
                cost += part / line.step * band.rate;
                start = stop;
            }
            cost
        }
    })
}
