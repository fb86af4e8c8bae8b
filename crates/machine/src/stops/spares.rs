//! What a part on the shelf is worth: the hours it would save, against holding it.
//!
//! The jth spare is used if the part breaks j times or more, with probability `P_j`. Used, it saves
//! hours of waiting and a rush premium, and its own price is no cost: it would have been bought anyway.
//! Not used, it costs its holding share (interest, shelf, the chance that it never fits again).

use crate::MachineError;
use serde::{Deserialize, Serialize};
use stats::rates::Rate;

/// A part that might lie on the shelf.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spare {
    /// Share of breakdowns that are this part, 0 to 1.
    pub share: f64,
    /// Hours that having it saves at each.
    pub saves_h: f64,
    /// What an hour is worth.
    pub hour_usd: f64,
    /// What is paid more for having it rushed.
    pub rush_usd: f64,
    /// Its price.
    pub price_usd: f64,
    /// Share of the price that holding it a season costs, 0 to 1.
    pub holding: f64,
}

/// One spare more.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Worth {
    /// Which: the first, the second.
    pub nth: u64,
    /// Probability that it is used.
    pub p_used: f64,
    /// What it is worth, holding taken off.
    pub net_usd: f64,
    /// Probability of use from which it pays.
    pub break_even: f64,
}

/// The first `many` spares of a part over the exposure ahead, each for itself.
///
/// # Errors
/// [`MachineError::Odd`] for a share outside 0 to 1 or a figure below nothing.
pub fn spares(
    rate: Rate,
    exposure: f64,
    spare: &Spare,
    many: u64,
) -> Result<Vec<Worth>, MachineError> {
    for (what, share) in [
        ("share of stops", spare.share),
        ("holding share", spare.holding),
    ] {
        if !(0.0..=1.0).contains(&share) {
            return Err(MachineError::odd(what, share, "a share from 0 to 1"));
        }
    }
    for (what, figure) in [
        ("hours saved", spare.saves_h),
        ("worth of an hour", spare.hour_usd),
        ("rush premium", spare.rush_usd),
        ("price of the part", spare.price_usd),
        ("exposure ahead", exposure),
    ] {
        if !(figure.is_finite() && figure >= 0.0) {
            return Err(MachineError::odd(what, figure, "0 or more"));
        }
    }
    let value = spare.saves_h * spare.hour_usd + spare.rush_usd;
    let held = spare.holding * spare.price_usd;
    let ahead = rate.ahead(exposure * spare.share);
    let worth = |nth| {
        let p_used = ahead.at_least(nth);
        Worth {
            nth,
            p_used,
            net_usd: p_used * value - (1.0 - p_used) * held,
            break_even: if held > 0.0 {
                held / (value + held)
            } else {
                0.0
            },
        }
    };
    Ok((1..=many).map(worth).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A part in every stop: used with .644029, worth 6 h x $150 + $100 against 20 % of $500.
    #[test]
    fn first_spare_by_hand() {
        let rate = Rate::new(4.5, 542.6048).unwrap();
        let chain = Spare {
            share: 1.0,
            saves_h: 6.0,
            hour_usd: 150.0,
            rush_usd: 100.0,
            price_usd: 500.0,
            holding: 0.2,
        };
        let worth = spares(rate, 140.0, &chain, 3).unwrap();
        assert!((worth[0].p_used - 0.644_029).abs() < 1e-6);
        assert!((worth[0].net_usd - (1000.0 * 0.644_029 - 100.0 * 0.355_971)).abs() < 1e-2);
        assert!((worth[1].p_used - 0.315_491).abs() < 1e-6);
        assert!((worth[0].break_even - 100.0 / 1100.0).abs() < 1e-12);
        assert!(worth[2].net_usd < worth[1].net_usd);
        assert!(
            spares(
                rate,
                140.0,
                &Spare {
                    share: 1.2,
                    ..chain
                },
                1
            )
            .is_err()
        );
    }

    #[test]
    fn at_the_break_even_it_is_worth_nothing() {
        let rate = Rate::new(4.5, 542.6048).unwrap();
        let mut part = Spare {
            share: 0.3,
            saves_h: 2.0,
            hour_usd: 100.0,
            rush_usd: 0.0,
            price_usd: 0.0,
            holding: 1.0,
        };
        let p = spares(rate, 140.0, &part, 1).unwrap()[0].p_used;
        part.price_usd = 200.0 * p / (1.0 - p);
        let worth = spares(rate, 140.0, &part, 1).unwrap()[0];
        assert!(worth.net_usd.abs() < 1e-9 && (worth.break_even - p).abs() < 1e-12);
    }
}
