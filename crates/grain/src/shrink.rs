//! Water, and what is taken or given away for it.
//!
//! Dry matter does not change when grain dries: `W1 (1 - M1) = W2 (1 - M2)`. Everything here is that
//! identity seen from the buyer's or the seller's side. Buyers' flat factors are not here but in the
//! [`crate::Schedule`]; [`flat_shrink_pct`] only shows what one hides.

use crate::GrainError;
use quantity::{
    BushelKind, BushelWeight, Bushels, DryMass, Mass, Moisture, Money, MoneyRounding, Price,
};
use rust_decimal::Decimal;

/// Water lost in drying, per cent of the wet weight: `100 (from - to) / (100 - to)`.
///
/// Negative when the grain takes water up. Source: SDSU Extension, Understanding corn shrink.
///
/// ```
/// use quantity::Moisture;
/// let shrink = grain::water_shrink_pct(Moisture::from_percent(25.0)?, Moisture::from_percent(15.5)?);
/// assert!((shrink - 11.2426).abs() < 1e-4);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn water_shrink_pct(from: Moisture, to: Moisture) -> f64 {
    (from.percent() - to.percent()) / (1.0 - to.fraction())
}

/// Water shrink for one point above a base, per cent a point: `100 / (100 - base)`.
///
/// Printed tables round or cut this to three decimals (1.183 at 15.5), so expect a thousandth.
pub fn point_factor(base: Moisture) -> f64 {
    1.0 / (1.0 - base.fraction())
}

/// A flat ("pencil") shrink: so many per cent a point above the base, nothing below.
pub fn flat_shrink_pct(from: Moisture, base: Moisture, pct_a_point: f64) -> f64 {
    (from.percent() - base.percent()).max(0.0) * pct_a_point
}

/// What a flat shrink takes beyond the water, per cent of the wet weight: a handling charge in all
/// but name. Negative when the flat factor takes less than the water.
///
/// ```
/// use quantity::Moisture;
/// let (at, base) = (Moisture::from_percent(20.0)?, Moisture::from_percent(15.0)?);
/// assert!((grain::hidden_in_flat_shrink_pct(at, base, 1.4) - 1.1176).abs() < 1e-4);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn hidden_in_flat_shrink_pct(from: Moisture, base: Moisture, pct_a_point: f64) -> f64 {
    let water = water_shrink_pct(from, base).max(0.0);
    flat_shrink_pct(from, base, pct_a_point) - water
}

/// Weight left after a shrink of so many per cent, half-even to 10 micrograms.
///
/// # Errors
/// A shrink outside 0 to 100 %.
pub fn after_shrink(wet: Mass, shrink_pct: f64) -> Result<Mass, GrainError> {
    if !(0.0..=100.0).contains(&shrink_pct) {
        return Err(GrainError::OutOfRange {
            what: "a shrink",
            found: format!("{shrink_pct} %"),
            expected: "0 to 100 %",
        });
    }
    Ok(Mass::from_kg(wet.kg() * (1.0 - shrink_pct / 100.0))?)
}

/// Weight after drying, and after a handling loss of so many per cent of the *wet* weight (the way
/// in which buyers add it to the water).
///
/// # Errors
/// A handling loss outside 0 to 100 %, or one that with the water leaves nothing.
pub fn dried(
    wet: Mass,
    from: Moisture,
    to: Moisture,
    handling_pct: f64,
) -> Result<Mass, GrainError> {
    if handling_pct == 0.0 {
        return Ok(DryMass::of(wet, from).at(to));
    }
    after_shrink(wet, water_shrink_pct(from, to) + handling_pct)
}

/// Dry matter in one bushel at its base moisture: soybeans 60 lb at 13 % carry 52.2 lb.
pub fn dry_in_bushel(bushel: BushelWeight, base: Moisture) -> DryMass {
    DryMass::of(bushel.mass(), base)
}

/// Weight at a moisture that carries the dry matter of one bushel at its base.
///
/// ```
/// use quantity::{BushelWeight, Moisture};
/// let at = grain::weight_of_a_dry_bushel(
///     BushelWeight::pounds(60)?, Moisture::from_percent(13.0)?, Moisture::from_percent(11.0)?);
/// assert!((at.lb() - 58.652).abs() < 1e-3);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn weight_of_a_dry_bushel(bushel: BushelWeight, base: Moisture, at: Moisture) -> Mass {
    dry_in_bushel(bushel, base).at(at)
}

/// Saleable weight lost by delivering below the base where nobody pays for dryness, per cent of the
/// weight at base: `100 (base - at) / (100 - at)`; nothing at or above the base.
///
/// Source: University of Nebraska CropWatch (soybeans at 13 %: 9 % loses 4.4 %).
pub fn over_dry_loss_pct(base: Moisture, at: Moisture) -> f64 {
    (base.percent() - at.percent()).max(0.0) / (1.0 - at.fraction())
}

/// What delivering too dry gives away.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct GiveAway {
    /// Per cent of the weight at base.
    pub loss_pct: f64,
    /// Bushels not paid for, at the base (buyer's count, since that is what is not paid).
    pub lost: Bushels,
    /// Their weight: water that would have been sold as grain.
    pub lost_water: Mass,
    /// Their money, rounded once to the cent.
    pub lost_money: Money,
}

/// What a crop, counted in dry-matter bushels at the buyer's base, gives away when it is delivered
/// at a lower moisture and nobody pays for dryness.
///
/// ```
/// use grain::give_away;
/// use quantity::{BushelWeight, Bushels, BushelKind, Moisture, MoneyRounding, Price};
/// let base = Moisture::from_percent(13.0)?;
/// let crop = Bushels { count: 75.into(), kind: BushelKind::DryAt(base), weight: BushelWeight::pounds(60)? };
/// let lost = give_away(crop, Moisture::from_percent(9.0)?, Price(9.into()), MoneyRounding::HalfUp)?;
/// assert_eq!(lost.lost_money.show(), "$29.67");
/// # Ok::<(), grain::GrainError>(())
/// ```
///
/// # Errors
/// Bushels that are not counted dry at a base, or amounts past what an account can hold.
pub fn give_away(
    crop: Bushels,
    at: Moisture,
    price: Price,
    rule: MoneyRounding,
) -> Result<GiveAway, GrainError> {
    let BushelKind::DryAt(base) = crop.kind else {
        return Err(GrainError::OutOfRange {
            what: "bushels",
            found: crop.kind.words(),
            expected: "bushels dry at the buyer's base, so that the base is known",
        });
    };
    let short = (Decimal::from(base.ppm()) - Decimal::from(at.ppm())).max(Decimal::ZERO);
    let share = short / Decimal::from(1_000_000 - at.ppm());
    let lost = Bushels::buyers(crop.count * share, crop.weight);
    Ok(GiveAway {
        loss_pct: over_dry_loss_pct(base, at),
        lost,
        lost_water: lost.mass()?,
        lost_money: price.times(&lost, rule)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn drying_keeps_dry_matter(lb in 1.0..200_000.0_f64, from in 0_u32..400_000, to in 0_u32..400_000) {
            let wet = Mass::from_lb(lb).unwrap();
            let (from, to) = (Moisture::from_ppm(from).unwrap(), Moisture::from_ppm(to).unwrap());
            let after = dried(wet, from, to, 0.0).unwrap();
            // each of the two roundings is half a unit of 10 micrograms at most
            prop_assert!((DryMass::of(after, to) - DryMass::of(wet, from)).units().abs() <= 2);
            let by_factor = wet.kg() * (1.0 - water_shrink_pct(from, to) / 100.0);
            prop_assert!((by_factor - after.kg()).abs() < 1e-6 * wet.kg() + 1e-4);
        }

        #[test]
        fn shrink_in_two_steps_is_shrink_in_one(a in 200_000_u32..400_000, b in 100_000_u32..200_000, c in 50_000_u32..100_000) {
            let [a, b, c] = [a, b, c].map(|ppm| Moisture::from_ppm(ppm).unwrap());
            let left = |from, to| 1.0 - water_shrink_pct(from, to) / 100.0;
            prop_assert!((left(a, b) * left(b, c) - left(a, c)).abs() < 1e-12);
        }

        #[test]
        fn the_point_factor_is_the_slope(base in 50_000_u32..200_000, over in 1_u32..200_000) {
            let (base, at) = (Moisture::from_ppm(base).unwrap(), Moisture::from_ppm(base + over).unwrap());
            let points = at.percent() - base.percent();
            prop_assert!((points * point_factor(base) - water_shrink_pct(at, base)).abs() < 1e-9);
        }

        #[test]
        fn over_dry_costs_more_the_drier(base in 100_000_u32..200_000, a in 0_u32..100_000, b in 0_u32..100_000) {
            let [base, a, b] = [base, a.min(b), a.max(b)].map(|ppm| Moisture::from_ppm(ppm).unwrap());
            prop_assert!(over_dry_loss_pct(base, a) >= over_dry_loss_pct(base, b));
            prop_assert_eq!(over_dry_loss_pct(base, base), 0.0);
        }
    }
}
