//! Exact mass: as weighed, and of dry matter.

use crate::{Moisture, QuantityError};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// Units of 10 micrograms in one international pound (0.45359237 kg exactly).
const PER_LB: i64 = 45_359_237;
/// Units of 10 micrograms in one kilogram.
const PER_KG: i64 = 100_000_000;
/// Largest magnitude a constructor accepts: 100,000 t, so that 900 of them still add in an `i64`.
const LIMIT: i64 = 100_000_000 * PER_KG;

/// The unit a weight was written in; digits are only meaningful with it.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum MassUnit {
    /// International avoirdupois pound, 0.45359237 kg.
    Lb,
    /// Kilogram.
    Kg,
    /// Metric tonne, 1,000 kg.
    Tonne,
    /// US short ton, 2,000 lb.
    ShortTon,
    /// Hundredweight, 100 lb.
    Cwt,
}

impl MassUnit {
    /// Units of 10 micrograms in one of this unit.
    pub const fn per(self) -> i64 {
        match self {
            Self::Lb => PER_LB,
            Self::Kg => PER_KG,
            Self::Tonne => 1_000 * PER_KG,
            Self::ShortTon => 2_000 * PER_LB,
            Self::Cwt => 100 * PER_LB,
        }
    }
}

/// Mass as weighed (water included), an exact count of 10 micrograms; may be negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Mass(i64);

/// Mass of dry matter, the currency of the account; may be negative in a difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct DryMass(i64);

macro_rules! exact_mass {
    ($name:ident) => {
        impl $name {
            /// Nothing.
            pub const ZERO: Self = Self(0);
            /// From a count of 10 micrograms.
            pub const fn from_units(units: i64) -> Self {
                Self(units)
            }
            /// The count of 10 micrograms.
            pub const fn units(self) -> i64 {
                self.0
            }
            /// From kilograms, rounded half-even to 10 micrograms.
            pub fn from_kg(kg: f64) -> Result<Self, QuantityError> {
                from_f64(kg, PER_KG).map(Self)
            }
            /// From pounds, rounded half-even to 10 micrograms.
            pub fn from_lb(lb: f64) -> Result<Self, QuantityError> {
                from_f64(lb, PER_LB).map(Self)
            }
            /// In kilograms, for kernels and printing.
            pub fn kg(self) -> f64 {
                self.0 as f64 / PER_KG as f64
            }
            /// In pounds, for kernels and printing.
            pub fn lb(self) -> f64 {
                self.0 as f64 / PER_LB as f64
            }
            /// In any unit, for kernels and printing.
            pub fn to(self, unit: MassUnit) -> f64 {
                self.0 as f64 / unit.per() as f64
            }
            /// Sum, or `None` past 92 million tonnes.
            pub fn checked_add(self, other: Self) -> Option<Self> {
                self.0.checked_add(other.0).map(Self)
            }
            /// Magnitude.
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }
            /// Whether it is exactly nothing.
            pub const fn is_zero(self) -> bool {
                self.0 == 0
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                iter.fold(Self::ZERO, Add::add)
            }
        }
    };
}
exact_mass!(Mass);
exact_mass!(DryMass);

fn from_f64(value: f64, per: i64) -> Result<i64, QuantityError> {
    let units = (value * per as f64).round_ties_even();
    if units.is_finite() && units.abs() <= LIMIT as f64 {
        Ok(units as i64)
    } else {
        Err(QuantityError::OutOfRange {
            what: "a mass",
            found: format!("{value}"),
            low: "-100,000 t",
            high: "100,000 t",
        })
    }
}

impl DryMass {
    /// Dry matter in a wet mass: `wet x (1 - moisture)`, rounded once, half-even, to 10 micrograms.
    ///
    /// ```
    /// use quantity::{DryMass, Mass, Moisture};
    /// let dry = DryMass::of(Mass::from_lb(56.0)?, Moisture::from_percent(15.5)?);
    /// assert!((dry.lb() - 47.32).abs() < 1e-9);
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    pub fn of(wet: Mass, moisture: Moisture) -> Self {
        let parts = i128::from(1_000_000 - moisture.ppm());
        Self(div_half_even(i128::from(wet.0) * parts, 1_000_000))
    }

    /// The mass that this dry matter has at a moisture: `dry / (1 - moisture)`, half-even.
    pub fn at(self, moisture: Moisture) -> Mass {
        let parts = i128::from(1_000_000 - moisture.ppm());
        Mass(div_half_even(i128::from(self.0) * 1_000_000, parts))
    }
}

/// Integer division rounded half to even; `by` is positive.
pub(crate) fn div_half_even(value: i128, by: i128) -> i64 {
    let (quotient, rest) = (value.div_euclid(by), value.rem_euclid(by));
    let up = match (2 * rest).cmp(&by) {
        std::cmp::Ordering::Less => 0,
        std::cmp::Ordering::Greater => 1,
        std::cmp::Ordering::Equal => quotient & 1,
    };
    (quotient + up) as i64
}
