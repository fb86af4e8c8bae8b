//! Dockage: what the official device takes out before the grain is graded and paid.

use crate::GrainError;
use facts::Crop;
use quantity::{Mass, MoneyRounding};
use rust_decimal::Decimal;

/// A load parted into grain and dockage; the two sum to the load exactly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Docked {
    /// What is graded and paid.
    pub clean: Mass,
    /// What is not.
    pub dockage: Mass,
}

/// Takes dockage out of a net weight: `clean = net (1 - dockage %)`, half-even to 10 micrograms.
///
/// ```
/// use quantity::Mass;
/// let parts = grain::take_dockage(facts::Crop::WheatHrw, Mass::parse("40,000 lb")?, "1.3".parse()?)?;
/// assert_eq!(parts.clean, Mass::parse("39,480 lb")?);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// A crop whose standards have no dockage factor (corn and soybeans have broken corn and foreign
/// material instead), or a percentage outside 0 to 100.
pub fn take_dockage(crop: Crop, net: Mass, percent: Decimal) -> Result<Docked, GrainError> {
    if !facts::uses_dockage(crop) {
        return Err(GrainError::NotKnown {
            what: "dockage factor (its standards grade foreign material instead)",
            crop,
        });
    }
    if percent < Decimal::ZERO || percent > Decimal::ONE_HUNDRED {
        return Err(GrainError::OutOfRange {
            what: "dockage",
            found: format!("{percent} %"),
            expected: "0 to 100 %",
        });
    }
    let taken = Decimal::from(net.units()) * percent / Decimal::ONE_HUNDRED;
    let taken = MoneyRounding::HalfEven.round(taken, 0);
    let dockage = Mass::from_units(i64::try_from(taken).unwrap_or(0));
    Ok(Docked {
        clean: net - dockage,
        dockage,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn grain_and_dockage_are_the_load(units in 1_i64..10_000_000_000_000, tenths in 0_i64..=1_000) {
            let net = Mass::from_units(units);
            let parts = take_dockage(Crop::Barley, net, Decimal::new(tenths, 1)).unwrap();
            prop_assert_eq!(parts.clean + parts.dockage, net);
            prop_assert!(parts.dockage >= Mass::ZERO && parts.clean >= Mass::ZERO);
        }
    }

    #[test]
    fn corn_and_soybeans_have_no_dockage() {
        for crop in [Crop::Corn, Crop::Soybean] {
            assert!(take_dockage(crop, Mass::from_units(1), Decimal::ONE).is_err());
        }
    }
}
