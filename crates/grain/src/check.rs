//! Whether a schedule can be applied at all.

use crate::charge::past;
use crate::{Charge, Factor, GrainError, Line, Schedule, When};
use rust_decimal::Decimal;

/// Past these no sheet goes; they keep the decimal arithmetic far from its own limits, where it
/// would panic.
const MOST: Decimal = Decimal::from_parts(1_000_000, 0, 0, false, 0);
const LEAST_STEP: Decimal = Decimal::from_parts(1, 0, 0, false, 4);

impl Schedule {
    /// Whether this schedule can be applied; [`crate::settle()`] asks first.
    ///
    /// # Errors
    /// The first line that cannot be worked: a step that is not more than 0, bands or points out of
    /// order, a weight rule on money, a unit without pounds.
    pub fn check(&self) -> Result<(), GrainError> {
        let wrong = |line: &str, what: String| GrainError::Schedule {
            schedule: self.name.clone(),
            line: line.to_owned(),
            what,
        };
        if self.unit_lb < Decimal::ONE || self.unit_lb > Decimal::from(10_000) {
            let what = format!(
                "found {}, expected pounds a unit from 1 to 10,000",
                self.unit_lb
            );
            return Err(wrong("unit_lb", what));
        }
        if self.base_moisture_pct < Decimal::ZERO || self.base_moisture_pct > Decimal::from(50) {
            let what = format!("found {}, expected 0 to 50 %", self.base_moisture_pct);
            return Err(wrong("base_moisture_pct", what));
        }
        for line in &self.lines {
            check_line(line).map_err(|what| wrong(&line.label(), what))?;
        }
        for assessment in &self.assessments {
            if assessment.rate.abs() > MOST {
                let what = format!("found rate {}, expected a smaller one", assessment.rate);
                return Err(wrong(&assessment.name, what));
            }
        }
        for average in &self.averages {
            if let (Some(least), Some(most)) = (average.least, average.most)
                && least > most
            {
                let what = format!("least {least} is more than most {most}; swap them");
                return Err(wrong(average.factor.key(), what));
            }
        }
        Ok(())
    }
}

impl Line {
    /// What the sheet calls this line.
    pub fn label(&self) -> String {
        if self.name.is_empty() {
            self.factor.words()
        } else {
            self.name.clone()
        }
    }
}

pub(crate) fn check_line(line: &Line) -> Result<(), String> {
    if line.step < LEAST_STEP || line.step > MOST {
        return Err(format!(
            "found step {}, expected 0.0001 to 1,000,000",
            line.step
        ));
    }
    let rates: Vec<Decimal> = match &line.charge {
        Charge::None | Charge::WholeExcess => vec![],
        Charge::Flat(rate) | Charge::PerStep(rate) | Charge::WaterShrink { handling_pct: rate } => {
            vec![*rate]
        }
        Charge::Banded { bands, .. } => bands.iter().map(|band| band.rate).collect(),
        Charge::Piecewise(points) => points.iter().map(|point| point.1).collect(),
    };
    if let Some(rate) = rates.iter().find(|rate| rate.abs() > MOST) {
        return Err(format!("found rate {rate}, expected a smaller one"));
    }
    let mut limits = vec![line.from];
    limits.extend(line.to);
    limits.extend(line.reject_past);
    match &line.charge {
        Charge::Banded { bands, .. } => limits.extend(bands.iter().filter_map(|band| band.to)),
        Charge::Piecewise(points) => limits.extend(points.iter().map(|point| point.0)),
        _ => {}
    }
    if let Some(limit) = limits.iter().find(|limit| limit.abs() > MOST) {
        return Err(format!("found limit {limit}, expected a smaller one"));
    }
    if line.when == When::Flagged {
        return match line.charge {
            Charge::Flat(_) | Charge::None => Ok(()),
            _ => Err("a flag is there or not: expected charge = { flat = ... } or none".to_owned()),
        };
    }
    if line.to.is_some_and(|to| past(line, to) <= Decimal::ZERO) {
        return Err("'to' lies on the free side of 'from'; swap them or turn 'when'".to_owned());
    }
    match &line.charge {
        Charge::Banded { bands, .. } => {
            let mut start = Decimal::ZERO;
            for (index, band) in bands.iter().enumerate() {
                match band.to.map(|to| past(line, to)) {
                    Some(end) if end > start => start = end,
                    Some(_) => {
                        return Err(format!(
                            "band {} does not go past the one before",
                            index + 1
                        ));
                    }
                    None if index + 1 == bands.len() => {}
                    None => return Err(format!("band {} has no 'to' but is not last", index + 1)),
                }
            }
            if bands.is_empty() {
                return Err("found no bands, expected at least one".to_owned());
            }
        }
        Charge::Piecewise(points) => {
            let mut start = Decimal::ZERO;
            for (factor, _) in points {
                let at = past(line, *factor);
                if at <= start {
                    return Err(format!(
                        "table entry {factor} does not go past the one before"
                    ));
                }
                start = at;
            }
            if points.is_empty() {
                return Err("found an empty table, expected at least one entry".to_owned());
            }
        }
        Charge::WaterShrink { .. } => {
            let fits = line.factor == Factor::Moisture
                && line.kind.takes_weight()
                && line.when == When::Above
                && line.from < Decimal::from(99);
            if !fits {
                return Err(
                    "water shrink works on moisture above a limit, in per cent of weight"
                        .to_owned(),
                );
            }
        }
        Charge::WholeExcess if !line.kind.takes_weight() => {
            return Err("the whole excess can only be taken from the weight".to_owned());
        }
        _ => {}
    }
    Ok(())
}
