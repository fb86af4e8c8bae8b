//! Moisture, wet basis.

use crate::QuantityError;

/// Moisture content, wet basis, in parts per million of the wet mass (14.3 % = 143,000).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moisture(u32);

impl Moisture {
    /// From parts per million; at most 99 %.
    pub fn from_ppm(ppm: u32) -> Result<Self, QuantityError> {
        if ppm <= 990_000 {
            Ok(Self(ppm))
        } else {
            Err(Self::out(f64::from(ppm) / 1e4))
        }
    }

    /// From per cent wet basis, 0 to 99, rounded to 0.0001 of a point.
    pub fn from_percent(percent: f64) -> Result<Self, QuantityError> {
        if (0.0..=99.0).contains(&percent) {
            Ok(Self((percent * 1e4).round_ties_even() as u32))
        } else {
            Err(Self::out(percent))
        }
    }

    fn out(percent: f64) -> QuantityError {
        QuantityError::OutOfRange {
            what: "a moisture (wet basis)",
            found: format!("{percent} %"),
            low: "0 %",
            high: "99 %",
        }
    }

    /// Parts per million of the wet mass.
    pub const fn ppm(self) -> u32 {
        self.0
    }
    /// Per cent, wet basis.
    pub fn percent(self) -> f64 {
        f64::from(self.0) / 1e4
    }
    /// Fraction of the wet mass.
    pub fn fraction(self) -> f64 {
        f64::from(self.0) / 1e6
    }
}
