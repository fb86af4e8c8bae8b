//! When a wagon is full, and whether the rest of a field fits.

use crate::MachineError;
use crate::error::above_zero;
use numeric::distribution::{normal_cdf, normal_quantile};
use serde::{Deserialize, Serialize};

/// What keeps a wagon from taking more.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Room {
    /// Room, kilograms.
    pub kg: f64,
    /// Whether weight, not volume, is what ends it.
    pub by_weight: bool,
}

/// Room of a wagon: the lesser of what its volume holds at this test weight and what it may still carry.
///
/// # Errors
/// Figures that cannot be meant.
pub fn room_kg(
    volume_m3: f64,
    kg_per_m3: f64,
    may_carry_kg: Option<f64>,
) -> Result<Room, MachineError> {
    let by_volume = above_zero("volume left", volume_m3, "m3")?
        * above_zero("test weight", kg_per_m3, "kg/m3")?;
    let carry = may_carry_kg
        .map(|kg| above_zero("weight left", kg, "kg"))
        .transpose()?;
    Ok(match carry {
        Some(kg) if kg < by_volume => Room {
            kg,
            by_weight: true,
        },
        _ => Room {
            kg: by_volume,
            by_weight: false,
        },
    })
}

fn spread(a: f64, b: f64) -> Result<f64, MachineError> {
    above_zero("scatter", a.hypot(b), "")
}

/// A wagon under a machine: log-normal time until it is full.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Filling {
    /// Room left, kilograms.
    pub room_kg: f64,
    /// Grain an hour, kilograms.
    pub kg_per_h: f64,
    /// Scatter of the yield ahead, as a share.
    pub yield_cv: f64,
    /// Scatter of hectares an hour, as a share.
    pub rate_cv: f64,
}

impl Filling {
    /// Minutes until it is full, as likely later as sooner.
    ///
    /// # Errors
    /// Figures that cannot be meant.
    pub fn median_min(self) -> Result<f64, MachineError> {
        Ok(60.0 * above_zero("room", self.room_kg, "kg")?
            / above_zero("grain an hour", self.kg_per_h, "kg/h")?)
    }
    /// Minutes by which it is full in this share of cases.
    ///
    /// # Errors
    /// Figures that cannot be meant.
    pub fn quantile_min(self, share: f64) -> Result<f64, MachineError> {
        let s = spread(self.yield_cv, self.rate_cv)?;
        Ok(self.median_min()? * (s * normal_quantile(share)).exp())
    }
    /// Chance that it is full within so many minutes.
    ///
    /// # Errors
    /// Figures that cannot be meant.
    pub fn full_by(self, minutes: f64) -> Result<f64, MachineError> {
        let s = spread(self.yield_cv, self.rate_cv)?;
        Ok(normal_cdf(
            (above_zero("minutes", minutes, "min")? / self.median_min()?).ln() / s,
        ))
    }
}

/// The rest of a field: log-normal mass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rest {
    /// Yield, kilograms a hectare.
    pub kg_per_ha: f64,
    /// Its scatter, as a share.
    pub yield_cv: f64,
    /// Area left, hectares.
    pub left_ha: f64,
    /// Its standard deviation, hectares.
    pub left_sd_ha: f64,
}

impl Rest {
    /// Grain in it, kilograms, as likely more as less.
    ///
    /// # Errors
    /// Figures that cannot be meant.
    pub fn median_kg(self) -> Result<f64, MachineError> {
        Ok(above_zero("yield", self.kg_per_ha, "kg/ha")?
            * above_zero("area left", self.left_ha, "ha")?)
    }
    fn s(self) -> Result<f64, MachineError> {
        spread(
            self.yield_cv,
            self.left_sd_ha / above_zero("area left", self.left_ha, "ha")?,
        )
    }
    /// Chance that it fits into this room.
    ///
    /// # Errors
    /// Figures that cannot be meant.
    pub fn fits(self, room_kg: f64) -> Result<f64, MachineError> {
        let over = above_zero("room", room_kg, "kg")? / self.median_kg()?;
        Ok(normal_cdf(over.ln() / self.s()?))
    }
    /// Room that holds it in this share of cases, kilograms.
    ///
    /// # Errors
    /// Figures that cannot be meant.
    pub fn room_for_kg(self, share: f64) -> Result<f64, MachineError> {
        Ok(self.median_kg()? * (self.s()? * normal_quantile(share)).exp())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wagon_of_180_at_420_an_hour() {
        // any unit of grain does: bushels here
        let wagon = Filling {
            room_kg: 180.0,
            kg_per_h: 420.0,
            yield_cv: 0.15,
            rate_cv: 0.10,
        };
        assert!((wagon.median_min().unwrap() - 25.714).abs() < 5e-4);
        assert!((wagon.quantile_min(0.1).unwrap() - 20.410).abs() < 5e-4);
        assert!((wagon.quantile_min(0.9).unwrap() - 32.398).abs() < 5e-4);
        assert!((wagon.full_by(20.0).unwrap() - 0.081_653).abs() < 5e-7);
    }

    #[test]
    fn the_lesser_of_volume_and_weight() {
        // 10 m3 of soybeans at 772 kg/m3 are 7,720 kg
        assert!(!room_kg(10.0, 772.0, None).unwrap().by_weight);
        let light = room_kg(10.0, 772.0, Some(7_000.0)).unwrap();
        assert!(light.by_weight && (light.kg - 7_000.0).abs() < 1e-9);
        assert!(!room_kg(10.0, 772.0, Some(9_000.0)).unwrap().by_weight);
        assert!(room_kg(0.0, 772.0, None).is_err());
    }

    #[test]
    fn room_for_nine_in_ten_fits_nine_in_ten() {
        let rest = Rest {
            kg_per_ha: 3_000.0,
            yield_cv: 0.15,
            left_ha: 4.0,
            left_sd_ha: 0.2,
        };
        let room = rest.room_for_kg(0.9).unwrap();
        assert!((rest.fits(room).unwrap() - 0.9).abs() < 1e-9);
        assert!((rest.fits(12_000.0).unwrap() - 0.5).abs() < 1e-9);
        assert!(rest.fits(-1.0).is_err());
    }
}
