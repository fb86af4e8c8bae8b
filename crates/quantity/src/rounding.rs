//! The named rules by which a sheet rounds: once, and never by a float.

use crate::{Mass, MassUnit, QuantityError, text};
use rust_decimal::{Decimal, RoundingStrategy};

/// How a sheet rounds; every rounding names one of these.
///
/// ```
/// use quantity::MoneyRounding;
/// use rust_decimal::Decimal;
/// let value: Decimal = "2.345".parse().unwrap();
/// assert_eq!(MoneyRounding::HalfUp.round(value, 2).to_string(), "2.35");
/// assert_eq!(MoneyRounding::HalfEven.round(value, 2).to_string(), "2.34");
/// assert_eq!(MoneyRounding::Up.round(value, 1).to_string(), "2.4");
/// assert_eq!(MoneyRounding::Down.round(value, 0).to_string(), "2");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MoneyRounding {
    /// Halves away from zero.
    HalfUp,
    /// Halves to the even neighbour.
    HalfEven,
    /// Towards zero.
    Down,
    /// Away from zero.
    Up,
}

impl MoneyRounding {
    /// Rounds a decimal to a number of places by this rule.
    pub fn round(self, value: Decimal, places: u32) -> Decimal {
        let strategy = match self {
            Self::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            Self::HalfEven => RoundingStrategy::MidpointNearestEven,
            Self::Down => RoundingStrategy::ToZero,
            Self::Up => RoundingStrategy::AwayFromZero,
        };
        value.round_dp_with_strategy(places, strategy)
    }

    /// Whether a magnitude of `whole` steps and half of `twice` more rounds up.
    pub(crate) fn goes_up(self, whole: i128, twice: i128, step: i128) -> bool {
        match self {
            Self::HalfUp => twice >= step,
            Self::HalfEven => twice > step || (twice == step && whole % 2 == 1),
            Self::Down => false,
            Self::Up => twice > 0,
        }
    }

    /// Rounds an integer to a multiple of a step by this rule; `None` past an `i64` or for no step.
    pub(crate) fn round_units(self, value: i64, step: i64) -> Option<i64> {
        if step <= 0 {
            return None;
        }
        let (size, step) = (i128::from(value).abs(), i128::from(step));
        let (whole, twice) = (size / step, 2 * (size % step));
        let up = self.goes_up(whole, twice, step);
        let rounded = (whole + i128::from(up)) * step * i128::from(value.signum());
        i64::try_from(rounded).ok()
    }
}

/// Rounding to a step that is not a power of ten: 0.1 bu, 0.5 of a point, 0.25 lb of test weight.
///
/// ```
/// use quantity::{MoneyRounding, Step};
/// let half_points = Step { step: "0.5".parse().unwrap(), rule: MoneyRounding::Up };
/// assert_eq!(half_points.round("3.1".parse().unwrap()), Some("3.5".parse().unwrap()));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub struct Step {
    /// The step, above zero.
    pub step: Decimal,
    /// The rule between two steps.
    pub rule: MoneyRounding,
}

impl Step {
    /// The multiple of the step that the rule chooses; `None` where the step is not above zero, or
    /// the value is too many steps to count.
    pub fn round(self, value: Decimal) -> Option<Decimal> {
        if self.step <= Decimal::ZERO {
            return None;
        }
        // whole steps and what is left over are exact; the quotient alone need not be
        let left = value.checked_rem(self.step)?;
        let whole = (value - left).checked_div(self.step)?.round_dp(0);
        let nearer = match (left.abs() * Decimal::TWO).cmp(&self.step) {
            std::cmp::Ordering::Less => Decimal::new(1, 1),
            std::cmp::Ordering::Equal => Decimal::new(5, 1),
            std::cmp::Ordering::Greater => Decimal::new(9, 1),
        };
        let part = if left.is_zero() {
            Decimal::ZERO
        } else {
            nearer
        };
        let signed = if value.is_sign_negative() {
            whole - part
        } else {
            whole + part
        };
        self.rule.round(signed, 0).checked_mul(self.step)
    }
}

/// Rounding a mass to the step of a scale, such as 20 lb.
///
/// ```
/// use quantity::{Mass, MassStep, MoneyRounding};
/// let scale = MassStep { step: Mass::parse("20 lb")?, rule: MoneyRounding::HalfUp };
/// assert_eq!(scale.round(Mass::parse("52,213 lb")?)?, Mass::parse("52,220 lb")?);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub struct MassStep {
    /// The step, above zero.
    pub step: Mass,
    /// The rule between two steps.
    pub rule: MoneyRounding,
}

impl MassStep {
    /// The multiple of the step that the rule chooses.
    ///
    /// # Errors
    /// Refuses a step of zero or less.
    pub fn round(self, mass: Mass) -> Result<Mass, QuantityError> {
        let rounded = self.rule.round_units(mass.units(), self.step.units());
        rounded
            .map(Mass::from_units)
            .ok_or_else(|| QuantityError::OutOfRange {
                what: "a step to round a mass to",
                found: format!(
                    "{} lb",
                    text::grouped_shortest(self.step.decimal(MassUnit::Lb), 4)
                ),
                low: "0.01 mg",
                high: "100,000 t",
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RULES: [MoneyRounding; 4] = [
        MoneyRounding::HalfUp,
        MoneyRounding::HalfEven,
        MoneyRounding::Down,
        MoneyRounding::Up,
    ];

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn each_rule_on_each_side_of_a_half() {
        for (value, rounded) in [
            ("2.4", ["2", "2", "2", "3"]),
            ("2.5", ["3", "2", "2", "3"]),
            ("3.5", ["4", "4", "3", "4"]),
            ("2.6", ["3", "3", "2", "3"]),
            ("-2.5", ["-3", "-2", "-2", "-3"]),
            ("-2.1", ["-2", "-2", "-2", "-3"]),
            ("2", ["2", "2", "2", "2"]),
        ] {
            for (rule, expected) in RULES.into_iter().zip(rounded) {
                assert_eq!(rule.round(d(value), 0), d(expected), "{value} by {rule:?}");
                let tenths = i64::try_from(d(value) * Decimal::TEN).unwrap();
                let units = i64::try_from(d(expected) * Decimal::TEN).unwrap();
                assert_eq!(
                    rule.round_units(tenths, 10),
                    Some(units),
                    "{value} by {rule:?}"
                );
            }
        }
    }

    #[test]
    fn steps_of_a_tenth_of_a_bushel_and_a_half_point() {
        let to = |step: &str, rule, value: &str| {
            Step {
                step: d(step),
                rule,
            }
            .round(d(value))
        };
        assert_eq!(to("0.1", MoneyRounding::HalfUp, "890.75"), Some(d("890.8")));
        assert_eq!(
            to("0.1", MoneyRounding::HalfEven, "890.85"),
            Some(d("890.8"))
        );
        assert_eq!(to("0.25", MoneyRounding::Down, "53.99"), Some(d("53.75")));
        assert_eq!(to("0.3", MoneyRounding::HalfUp, "1"), Some(d("0.9")));
        assert_eq!(to("0.5", MoneyRounding::Up, "3.0"), Some(d("3")));
        assert_eq!(to("0.5", MoneyRounding::Up, "-0.1"), Some(d("-0.5")));
        assert_eq!(to("0", MoneyRounding::Up, "3.1"), None);
        assert_eq!(
            to(
                "0.0000000001",
                MoneyRounding::Up,
                "79228162514264337593543950335"
            ),
            None
        );
    }

    #[test]
    fn a_step_of_nothing_is_refused() {
        let none = MassStep {
            step: Mass::ZERO,
            rule: MoneyRounding::Up,
        };
        assert!(none.round(Mass::from_units(5)).is_err());
        assert_eq!(MoneyRounding::Up.round_units(i64::MAX, 10), None);
        assert_eq!(MoneyRounding::Down.round_units(i64::MIN, 1), Some(i64::MIN));
    }
}
