//! Splitting a whole by shares so that the parts sum to it exactly.

use crate::rounding::MoneyRounding;
use crate::{DryMass, Mass, Money, QuantityError};
use rust_decimal::Decimal;

const SHARES: &str = "shares of zero or more, at least one above zero, at most 12 digits each, such as 2 and 1 or 0.6 and 0.4";

/// Who gets the odd cent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SplitRule {
    /// Everybody is rounded down to the step; the steps left over go one each to those whose
    /// rounding lost most (the earlier in the list where two lost alike). What the whole holds
    /// beyond whole steps goes to the largest share.
    LargestRemainder,
    /// Everybody else is rounded to the step by a rule; the named one takes what is left. With few
    /// steps to share, rounding up can leave the named one less than nothing.
    RemainderTo {
        /// Place in the list of shares, from 0.
        party: usize,
        /// How the others are rounded.
        rule: MoneyRounding,
    },
}

/// Splits an amount by shares, to a step such as [`Money::CENT`].
///
/// Shares are weights: 2 and 1 split as 66.67 % and 33.33 %.
///
/// ```
/// use quantity::{Money, SplitRule, split_money};
/// let parts = split_money(
///     Money::parse("$100.00")?, &[2.into(), 1.into()], Money::CENT, SplitRule::LargestRemainder)?;
/// assert_eq!(parts, [Money::parse("$66.67")?, Money::parse("$33.33")?]);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
///
/// # Errors
/// Refuses no shares, a negative share, all zero, a step of zero, a party not in the list.
pub fn split_money(
    whole: Money,
    shares: &[Decimal],
    step: Money,
    rule: SplitRule,
) -> Result<Vec<Money>, QuantityError> {
    let parts = split(whole.units(), shares, step.units(), rule)?;
    Ok(parts.into_iter().map(Money::from_units).collect())
}

/// Splits a mass by shares, to a step such as one pound or one unit of 10 micrograms.
///
/// # Errors
/// As [`split_money`].
pub fn split_mass(
    whole: Mass,
    shares: &[Decimal],
    step: Mass,
    rule: SplitRule,
) -> Result<Vec<Mass>, QuantityError> {
    let parts = split(whole.units(), shares, step.units(), rule)?;
    Ok(parts.into_iter().map(Mass::from_units).collect())
}

/// Splits dry matter by shares, to 10 micrograms.
///
/// ```
/// use quantity::{DryMass, SplitRule, split_dry};
/// let whole = DryMass::from_units(100);
/// let parts = split_dry(whole, &[1.into(), 1.into(), 1.into()], SplitRule::LargestRemainder)?;
/// assert_eq!(parts.iter().map(|part| part.units()).collect::<Vec<_>>(), [34, 33, 33]);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
///
/// # Errors
/// As [`split_money`].
pub fn split_dry(
    whole: DryMass,
    shares: &[Decimal],
    rule: SplitRule,
) -> Result<Vec<DryMass>, QuantityError> {
    let parts = split(whole.units(), shares, 1, rule)?;
    Ok(parts.into_iter().map(DryMass::from_units).collect())
}

fn split(
    whole: i64,
    shares: &[Decimal],
    step: i64,
    rule: SplitRule,
) -> Result<Vec<i64>, QuantityError> {
    let refuse = |found: String| QuantityError::Shares {
        found,
        expected: SHARES,
    };
    if step <= 0 {
        return Err(refuse("a step of zero or less".to_owned()));
    }
    let weights = weights(shares).map_err(refuse)?;
    let total: i128 = weights.iter().sum();
    let size = i128::from(whole).abs();
    let step = i128::from(step);
    let mut parts: Vec<i128> = match rule {
        SplitRule::LargestRemainder => largest_remainder(size, &weights, total, step),
        SplitRule::RemainderTo { party, rule } => {
            if party >= weights.len() {
                return Err(refuse(format!(
                    "the remainder to share number {}",
                    party + 1
                )));
            }
            remainder_to(size, &weights, total, step, party, rule)
        }
    };
    if whole < 0 {
        for part in &mut parts {
            *part = -*part;
        }
    }
    // a part can only exceed an i64 where rounding up passes its end
    let narrow =
        |part: i128| i64::try_from(part).map_err(|_| refuse("parts past counting".to_owned()));
    parts.into_iter().map(narrow).collect()
}

fn largest_remainder(size: i128, weights: &[i128], total: i128, step: i128) -> Vec<i128> {
    let steps = size / step;
    let mut parts: Vec<i128> = weights.iter().map(|w| steps * w / total).collect();
    let left = steps - parts.iter().sum::<i128>();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    // stable: of two that lost alike the earlier comes first
    order.sort_by_key(|&at| std::cmp::Reverse(steps * weights[at] % total));
    for &at in order.iter().take(left as usize) {
        parts[at] += 1;
    }
    for part in &mut parts {
        *part *= step;
    }
    let largest = (0..weights.len())
        .rev()
        .max_by_key(|&at| weights[at])
        .unwrap_or(0);
    parts[largest] += size % step;
    parts
}

fn remainder_to(
    size: i128,
    weights: &[i128],
    total: i128,
    step: i128,
    party: usize,
    rule: MoneyRounding,
) -> Vec<i128> {
    let one = total * step;
    let rounded = |weight: i128| {
        let (whole, twice) = (size * weight / one, 2 * (size * weight % one));
        (whole + i128::from(rule.goes_up(whole, twice, one))) * step
    };
    let mut parts: Vec<i128> = weights.iter().map(|&weight| rounded(weight)).collect();
    parts[party] = 0;
    parts[party] = size - parts.iter().sum::<i128>();
    parts
}

/// Shares as integers on one scale, small enough that every product fits an `i128`.
fn weights(shares: &[Decimal]) -> Result<Vec<i128>, String> {
    let scale = shares
        .iter()
        .map(|share| share.normalize().scale())
        .max()
        .ok_or("no shares")?;
    let mut weights = Vec::with_capacity(shares.len());
    for share in shares {
        let share = share.normalize();
        let weight = 10_i128
            .checked_pow(scale - share.scale())
            .and_then(|by| share.mantissa().checked_mul(by));
        match weight {
            Some(weight) if (0..=1_000_000_000_000).contains(&weight) => weights.push(weight),
            _ => return Err(format!("a share of {share}")),
        }
    }
    if weights.iter().all(|&weight| weight == 0) {
        return Err(format!("{} shares that are all zero", weights.len()));
    }
    if weights.len() > 10_000 {
        return Err(format!("{} shares", weights.len()));
    }
    Ok(weights)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shares(texts: &[&str]) -> Vec<Decimal> {
        texts.iter().map(|text| text.parse().unwrap()).collect()
    }

    fn cents(whole: &str, by: &[&str], rule: SplitRule) -> Vec<String> {
        let whole = Money::parse(whole).unwrap();
        let parts = split_money(whole, &shares(by), Money::CENT, rule).unwrap();
        parts.into_iter().map(Money::show).collect()
    }

    #[test]
    fn the_odd_cents_go_where_the_rule_says() {
        let thirds = ["1", "1", "1"];
        // 33.333 each: the first of equals takes the odd cent
        let largest = cents("$100", &thirds, SplitRule::LargestRemainder);
        assert_eq!(largest, ["$33.34", "$33.33", "$33.33"]);
        let last = |rule| SplitRule::RemainderTo { party: 2, rule };
        let down = cents("$100", &thirds, last(MoneyRounding::Down));
        assert_eq!(down, ["$33.33", "$33.33", "$33.34"]);
        let up = cents("$100", &thirds, last(MoneyRounding::Up));
        assert_eq!(up, ["$33.34", "$33.34", "$33.32"]);
        // 7 cents by 50, 30, 20 %: 3.5, 2.1, 1.4 cents; the half loses most
        let seven = cents("$0.07", &["0.5", "0.3", "0.2"], SplitRule::LargestRemainder);
        assert_eq!(seven, ["$0.04", "$0.02", "$0.01"]);
    }

    #[test]
    fn a_debt_splits_as_its_amount_does() {
        let owed = cents("-$100", &["2", "1"], SplitRule::LargestRemainder);
        assert_eq!(owed, ["-$66.67", "-$33.33"]);
    }

    #[test]
    fn what_is_beyond_whole_steps_goes_to_the_largest_share() {
        let parts = cents("$10.0050", &["0.4", "0.6"], SplitRule::LargestRemainder);
        assert_eq!(parts, ["$4.00", "$6.0050"]);
        let halves = cents("$10.0050", &["1", "1"], SplitRule::LargestRemainder);
        assert_eq!(halves, ["$5.0050", "$5.00"]);
    }

    #[test]
    fn a_share_of_nothing_gets_nothing() {
        let parts = cents("$100", &["1", "0", "2"], SplitRule::LargestRemainder);
        assert_eq!(parts, ["$33.33", "$0.00", "$66.67"]);
    }

    #[test]
    fn shares_that_split_nothing_are_refused() {
        let refused = |by: &[&str], rule| {
            split_money(Money::CENT, &shares(by), Money::CENT, rule)
                .unwrap_err()
                .to_string()
        };
        let largest = SplitRule::LargestRemainder;
        assert!(
            refused(&[], largest).starts_with("found no shares, expected shares of zero or more")
        );
        assert!(refused(&["1", "-1"], largest).starts_with("found a share of -1"));
        assert!(refused(&["0", "0"], largest).starts_with("found 2 shares that are all zero"));
        assert!(
            refused(&["0.3333333333333333", "1"], largest).starts_with("found a share of 0.333")
        );
        let party = SplitRule::RemainderTo {
            party: 2,
            rule: MoneyRounding::Down,
        };
        assert!(refused(&["1", "1"], party).starts_with("found the remainder to share number 3"));
        assert!(split_money(Money::CENT, &shares(&["1"]), Money::ZERO, largest).is_err());
    }

    #[test]
    fn the_ends_of_an_integer_split_too() {
        let by = shares(&["999999999999", "1"]);
        for whole in [i64::MAX, i64::MIN + 1] {
            let parts = split_dry(DryMass::from_units(whole), &by, SplitRule::LargestRemainder);
            assert_eq!(
                parts.unwrap().iter().map(|part| part.units()).sum::<i64>(),
                whole
            );
        }
    }
}
