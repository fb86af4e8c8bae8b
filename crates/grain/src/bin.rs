//! How much grain stands in a bin: volume, then volume-bushels, then weight.
//!
//! A measure of volume gives unpacked bushels of 2150.42 cubic inches. What they weigh takes the
//! grain's own test weight and a packing factor, which the user brings with its source: grain packs
//! with depth, and published tables (RMA and FSA pack factors) were not readable here.

use crate::GrainError;
use facts::Crop;
use quantity::{Length, Mass, TestWeight};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Cubic feet in a cubic meter.
const FT3_PER_M3: f64 = 1.0 / (0.3048 * 0.3048 * 0.3048);

/// Which constant turns cubic feet into bushels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BushelVolume {
    /// 1728 / 2150.42 = 0.803564, by definition.
    #[default]
    Exact,
    /// 0.80385, as Iowa's grain warehouse examiners use; 0.036 % more.
    Iowa,
    /// 0.8, the quick rule; 0.44 % less.
    Quick,
}

impl BushelVolume {
    /// Bushels in a cubic foot.
    pub fn bu_per_ft3(self) -> f64 {
        let listed = |id| facts::constant(id).map(|fact| fact.value);
        let exact = 1.0 / facts::ft3_per_bu();
        match self {
            Self::Exact => exact,
            Self::Iowa => listed("bu_per_ft3_iowa").unwrap_or(exact),
            Self::Quick => listed("bu_per_ft3_quick").unwrap_or(exact),
        }
    }
}

/// How the grain lies at the top of a round bin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RoundTop {
    /// Leveled.
    Level,
    /// A cone above the wall depth, so high.
    Peak(Length),
    /// A cone above the wall depth, not measured: the crop's share of the radius (corn 0.4,
    /// soybeans 0.5; Iowa Department of Agriculture).
    PeakUnmeasured(Crop),
    /// Drawn down in the middle, so deep below the wall depth.
    InvertedCone(Length),
}

/// A round bin as measured. Wall depth is where the grain meets the wall; average several.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RoundBin {
    /// Inside diameter.
    pub diameter: Length,
    /// Depth of grain at the wall, from the floor or the top of the hopper.
    pub wall_depth: Length,
    /// The top.
    pub top: RoundTop,
    /// Height of a full conical hopper below the wall, if the bin has one.
    pub hopper: Option<Length>,
}

/// A flat (rectangular) store as measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FlatBin {
    /// Inside length.
    pub length: Length,
    /// Inside width.
    pub width: Length,
    /// Depth of grain at the wall.
    pub wall_depth: Length,
    /// Height of a ridge along the whole length above the wall depth; zero for a level top.
    pub ridge: Length,
}

/// Space filled with grain.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Filled {
    /// Cubic meters.
    pub volume_m3: f64,
}

impl Filled {
    /// Cubic feet.
    pub fn ft3(self) -> f64 {
        self.volume_m3 * FT3_PER_M3
    }

    /// Unpacked bushels *by volume*: neither as weighed nor anybody's to be paid on.
    pub fn volume_bu(self, volume: BushelVolume) -> f64 {
        self.ft3() * volume.bu_per_ft3()
    }

    /// What it weighs: volume-bushels times test weight times packing, half-even to 10 micrograms.
    ///
    /// # Errors
    /// A weight past what an account can hold.
    pub fn weight(self, test_weight: TestWeight, packing: &Packing) -> Result<Mass, GrainError> {
        let pounds = self.volume_bu(BushelVolume::Exact) * test_weight.lb_per_bu() * packing.factor;
        Ok(Mass::from_lb(pounds)?)
    }
}

/// How much denser grain stands in a bin than in the test kettle, and who says so.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Packing {
    /// Stored density over kettle density, 1 for none.
    pub factor: f64,
    /// Where the factor comes from ("county pack table, 30 ft bin"), for `--why`.
    pub source: String,
}

impl Packing {
    /// No packing: an honest lower bound of what a deep bin holds.
    pub fn none() -> Self {
        Self {
            factor: 1.0,
            source: "not packed: a lower bound in a deep bin".to_owned(),
        }
    }

    /// A factor from a named source.
    ///
    /// # Errors
    /// A factor outside 0.9 to 1.3.
    pub fn of(factor: f64, source: &str) -> Result<Self, GrainError> {
        if !(0.9..=1.3).contains(&factor) {
            return Err(GrainError::OutOfRange {
                what: "a packing factor",
                found: factor.to_string(),
                expected: "0.9 to 1.3 (1 is no packing)",
            });
        }
        Ok(Self {
            factor,
            source: source.to_owned(),
        })
    }
}

/// Grain in a round bin: wall cylinder, with a peak added as a third of its height or a drawn-down
/// cone taken off as a third of its depth, and a hopper as a cone.
///
/// Source: Iowa Department of Agriculture, Grain Warehouse Bureau, Measuring grain.
///
/// ```
/// use grain::{BushelVolume, RoundBin, RoundTop, round_bin};
/// use quantity::Length;
/// let bin = RoundBin {
///     diameter: Length::from_ft(30.0)?,
///     wall_depth: Length::from_ft(16.0)?,
///     top: RoundTop::Level,
///     hopper: None,
/// };
/// let filled = round_bin(&bin)?;
/// assert!((filled.volume_bu(BushelVolume::Iowa) - 9_091.33).abs() < 0.05);
/// assert!((filled.volume_bu(BushelVolume::Exact) - 9_088.1).abs() < 0.05);
/// # Ok::<(), grain::GrainError>(())
/// ```
///
/// # Errors
/// Sizes that are not a bin, a drawn-down cone deeper than the grain at the wall, or an unmeasured
/// peak of a crop with no published share.
pub fn round_bin(bin: &RoundBin) -> Result<Filled, GrainError> {
    let radius = size("a bin's diameter", bin.diameter, 100.0, "0 to 100 m")? / 2.0;
    let wall = size("a wall depth", bin.wall_depth, 100.0, "0 to 100 m")?;
    let third = match bin.top {
        RoundTop::Level => 0.0,
        RoundTop::Peak(height) => size("a peak's height", height, 50.0, "0 to 50 m")? / 3.0,
        RoundTop::PeakUnmeasured(crop) => {
            let share = facts::peak_share(crop).ok_or(GrainError::NotKnown {
                what: "share of the radius for an unmeasured peak",
                crop,
            })?;
            share.value * radius / 3.0
        }
        RoundTop::InvertedCone(depth) => {
            let depth = size("a cone's depth", depth, 100.0, "0 to 100 m")?;
            if depth > wall {
                return Err(GrainError::OutOfRange {
                    what: "a drawn-down cone of",
                    found: format!("{:.2} ft", depth / 0.3048),
                    expected: "no deeper than the grain at the wall; measure the grain that is left as a ring",
                });
            }
            -depth / 3.0
        }
    };
    let hopper = match bin.hopper {
        Some(height) => size("a hopper's height", height, 50.0, "0 to 50 m")? / 3.0,
        None => 0.0,
    };
    let volume_m3 = PI * radius * radius * (wall + third + hopper);
    Ok(Filled { volume_m3 })
}

/// Grain in a flat store: box, and a ridge along its whole length as half of its height.
///
/// # Errors
/// Sizes that are not a store.
pub fn flat_bin(bin: &FlatBin) -> Result<Filled, GrainError> {
    let length = size("a store's length", bin.length, 1_000.0, "0 to 1,000 m")?;
    let width = size("a store's width", bin.width, 1_000.0, "0 to 1,000 m")?;
    let wall = size("a wall depth", bin.wall_depth, 100.0, "0 to 100 m")?;
    let ridge = size("a ridge's height", bin.ridge, 50.0, "0 to 50 m")?;
    Ok(Filled {
        volume_m3: length * width * (wall + ridge / 2.0),
    })
}

/// Mean of several wall depths, as the measuring instructions ask for.
///
/// # Errors
/// No depths at all.
pub fn mean_depth(depths: &[Length]) -> Result<Length, GrainError> {
    if depths.is_empty() {
        return Err(GrainError::OutOfRange {
            what: "wall depths",
            found: "none".to_owned(),
            expected: "at least one",
        });
    }
    let sum: f64 = depths.iter().map(|depth| depth.m()).sum();
    Ok(Length::from_m(sum / depths.len() as f64)?)
}

pub(crate) fn size(
    what: &'static str,
    length: Length,
    most_m: f64,
    expected: &'static str,
) -> Result<f64, GrainError> {
    let meters = length.m();
    if (0.0..=most_m).contains(&meters) {
        return Ok(meters);
    }
    Err(GrainError::OutOfRange {
        what,
        found: format!("{:.2} ft", meters / 0.3048),
        expected,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ft(feet: f64) -> Length {
        Length::from_ft(feet).unwrap()
    }

    #[test]
    fn a_cone_deeper_than_the_wall_is_refused() {
        let bin = RoundBin {
            diameter: ft(30.0),
            wall_depth: ft(4.0),
            top: RoundTop::InvertedCone(ft(6.0)),
            hopper: None,
        };
        let text = round_bin(&bin).unwrap_err().to_string();
        assert!(text.contains("6.00 ft"), "{text}");
    }

    #[test]
    fn a_hopper_is_a_third_of_its_cylinder() {
        let bin = |hopper| RoundBin {
            diameter: ft(18.0),
            wall_depth: ft(10.0),
            top: RoundTop::Level,
            hopper,
        };
        let extra =
            round_bin(&bin(Some(ft(9.0)))).unwrap().ft3() - round_bin(&bin(None)).unwrap().ft3();
        assert!((extra - PI * 81.0 * 3.0).abs() < 1e-6);
    }

    #[test]
    fn packing_says_who_says_so_and_is_refused_out_of_range() {
        assert!(Packing::of(1.06, "county table").is_ok());
        assert!(Packing::of(f64::NAN, "nobody").is_err());
        assert!(Packing::of(2.0, "nobody").is_err());
        let filled = Filled { volume_m3: 100.0 };
        let kettle = TestWeight::from_lb_per_bu(56.0).unwrap();
        let loose = filled.weight(kettle, &Packing::none()).unwrap();
        let packed = filled
            .weight(kettle, &Packing::of(1.06, "county table").unwrap())
            .unwrap();
        assert!((packed.lb() / loose.lb() - 1.06).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn volume_grows_with_every_size(d in 1.0..100.0_f64, h in 0.0..100.0_f64, peak in 0.0..20.0_f64, more in 0.01..5.0_f64) {
            let at = |d, h, peak| {
                let bin = RoundBin { diameter: ft(d), wall_depth: ft(h), top: RoundTop::Peak(ft(peak)), hopper: None };
                round_bin(&bin).unwrap().volume_m3
            };
            let base = at(d, h, peak);
            prop_assert!(at(d, h + more, peak) > base);
            prop_assert!(at(d, h, peak + more) > base);
            prop_assert!(at(d + more, h, peak) >= base);
            let dip = RoundBin { diameter: ft(d), wall_depth: ft(h), top: RoundTop::InvertedCone(ft(h * 0.9)), hopper: None };
            prop_assert!(round_bin(&dip).unwrap().volume_m3 <= at(d, h, 0.0));
        }

        #[test]
        fn a_ridge_and_depth_add(l in 1.0..300.0_f64, w in 1.0..100.0_f64, h in 0.0..30.0_f64, r in 0.0..20.0_f64) {
            let at = |h, r| flat_bin(&FlatBin { length: ft(l), width: ft(w), wall_depth: ft(h), ridge: ft(r) }).unwrap().ft3();
            prop_assert!((at(h, r) - l * w * (h + r / 2.0)).abs() < 1e-6 * (1.0 + at(h, r)));
        }
    }
}
