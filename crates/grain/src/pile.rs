//! Free piles on the ground.

use crate::bin::size;
use crate::{BushelVolume, Filled, GrainError};
use facts::Crop;
use quantity::Length;
use std::f64::consts::PI;

/// A cone of grain, measured: `pi/12 D^2 h`.
///
/// # Errors
/// Sizes that are not a pile.
pub fn cone_pile(diameter: Length, height: Length) -> Result<Filled, GrainError> {
    let d = size("a pile's diameter", diameter, 1_000.0, "0 to 1,000 m")?;
    let h = size("a pile's height", height, 200.0, "0 to 200 m")?;
    Ok(Filled {
        volume_m3: PI / 12.0 * d * d * h,
    })
}

/// A cone of grain whose height nobody measured, from the crop's angle of repose.
///
/// # Errors
/// A crop with no published angle, or a size that is not a pile. Wetter or finer grain stands
/// steeper than the table: the answer is then low.
pub fn pile_by_repose(crop: Crop, diameter: Length) -> Result<Filled, GrainError> {
    let angle = angle_of(crop)?;
    let height = Length::from_m(diameter.m() / 2.0 * angle.to_radians().tan())?;
    cone_pile(diameter, height)
}

/// Diameter of the free cone that so many volume-bushels make at an angle of repose:
/// `D = (bu VF)^(1/3)` in feet, see [`pile_factor`].
///
/// ```
/// let across = grain::pile_diameter(10_000.0, 23.0)?;
/// assert!((across.ft() - 60.73).abs() < 0.01);
/// # Ok::<(), grain::GrainError>(())
/// ```
///
/// # Errors
/// Bushels or an angle outside what a pile can be.
pub fn pile_diameter(volume_bu: f64, angle_deg: f64) -> Result<Length, GrainError> {
    if !(0.0..=1e9).contains(&volume_bu) {
        return Err(GrainError::OutOfRange {
            what: "a pile of",
            found: format!("{volume_bu} bu by volume"),
            expected: "0 to 1,000,000,000 bu",
        });
    }
    let feet = (volume_bu * pile_factor(angle_deg)?).cbrt();
    Ok(Length::from_ft(feet)?)
}

/// Cubic feet of `D^3` for each volume-bushel of a free cone: `24 x 1.244456 / (pi tan angle)`.
///
/// Source of the form: University of Nebraska, outside storage; the factors are its arithmetic.
///
/// # Errors
/// An angle outside 5 to 60 degrees.
pub fn pile_factor(angle_deg: f64) -> Result<f64, GrainError> {
    if !(5.0..=60.0).contains(&angle_deg) {
        return Err(GrainError::OutOfRange {
            what: "an angle of repose",
            found: format!("{angle_deg} deg"),
            expected: "5 to 60 deg",
        });
    }
    let ft3_per_bu = 1.0 / BushelVolume::Exact.bu_per_ft3();
    Ok(24.0 * ft3_per_bu / (PI * angle_deg.to_radians().tan()))
}

/// Angle of repose of a crop, degrees.
///
/// # Errors
/// A crop with no published angle here.
pub fn angle_of(crop: Crop) -> Result<f64, GrainError> {
    let fact = facts::repose(crop).ok_or(GrainError::NotKnown {
        what: "angle of repose",
        crop,
    })?;
    Ok(fact.value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_pile_of_that_diameter_holds_that_much(bu in 10.0..1e6_f64) {
            let across = pile_diameter(bu, angle_of(Crop::Corn).unwrap()).unwrap();
            let filled = pile_by_repose(Crop::Corn, across).unwrap();
            prop_assert!((filled.volume_bu(BushelVolume::Exact) / bu - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(pile_diameter(f64::NAN, 23.0).is_err());
        assert!(pile_factor(0.0).is_err());
        assert!(pile_by_repose(Crop::Canola, Length::from_ft(10.0).unwrap()).is_err());
    }
}
