//! Exact mass: as weighed, and of dry matter.

use crate::text;
use crate::units::{Units, by_text, unit_names};
use crate::{Moisture, QuantityError};
use rust_decimal::Decimal;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// Units of 10 micrograms in one international pound (0.45359237 kg exactly).
const PER_LB: i64 = 45_359_237;
const MASS: &str = "a mass with its unit, such as 52,220 lb, 23.7 t or 26 short tons";
const DRY: &str = "a mass of dry matter with its unit, such as 44,126 lb dry or 20.0 t";

/// Units of 10 micrograms in one kilogram.
const PER_KG: i64 = 100_000_000;
/// Largest magnitude a constructor accepts: 100,000 t, so that 900 of them still add in an `i64`.
pub(crate) const LIMIT: i64 = 100_000_000 * PER_KG;

unit_names! {
    /// The unit a weight was written in; digits are only meaningful with it.
    ///
    /// `ton` and `T` are refused: they are 2,000 lb to one reader and 1,000 kg to another.
    MassUnit ("a unit of mass, such as lb, kg, t, short ton or cwt") {
        /// International avoirdupois pound, 0.45359237 kg.
        Lb = "lb" ["lb", "lbs", "#", "pound", "pounds"],
        /// Kilogram.
        Kg = "kg" ["kg", "kgs", "kilogram", "kilograms"],
        /// Metric tonne, 1,000 kg.
        Tonne = "t" ["tonne", "tonnes", "metric ton", "metric tons", "mt"],
        /// US short ton, 2,000 lb.
        ShortTon = "short ton" ["short ton", "short tons", "us ton", "us tons"],
        /// Hundredweight, 100 lb.
        Cwt = "cwt" ["cwt", "hundredweight"],
    }
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
///
/// ```
/// use quantity::{Mass, MassUnit, Units};
/// let net = Mass::parse("52,220 lb")?;
/// assert_eq!(net.canonical(), "23686.59356140 kg");
/// assert_eq!(net.show(Units::Us), "52,220 lb");
/// assert_eq!(net.show(Units::Metric), "23.687 t");
/// assert_eq!(net - Mass::parse("52220#")?, Mass::ZERO);
/// assert!(Mass::parse("26 tons").is_err()); // short or metric? it must be said
/// assert_eq!(Mass::parse_or("78,460", MassUnit::Lb)?, Mass::from_lb(78_460.0)?);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
///
/// Mass as weighed and mass of dry matter do not mix:
///
/// ```compile_fail,E0308
/// use quantity::{DryMass, Mass};
/// let _ = Mass::ZERO + DryMass::ZERO;
/// ```
///
/// ```compile_fail,E0308
/// use quantity::{DryMass, Mass};
/// let dry: DryMass = Mass::ZERO;
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Mass(i64);

/// Mass of dry matter, the currency of the account; may be negative in a difference.
///
/// ```
/// use quantity::{DryMass, Units};
/// let dry = DryMass::parse("47.32 lb dry")?;
/// assert_eq!(dry.canonical(), "21.46399095 kg"); // 21.4639909484, to 10 micrograms
/// assert_eq!(dry.show(Units::Us), "47.3 lb dry");
/// # Ok::<(), quantity::QuantityError>(())
/// ```
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
            /// In any unit as a decimal (28 digits), for exact arithmetic on tickets.
            pub fn decimal(self, unit: MassUnit) -> Decimal {
                Decimal::from(self.0) / Decimal::from(unit.per())
            }
            /// From an exact decimal of a unit, rounded half-even to 10 micrograms.
            pub fn from_decimal(value: Decimal, unit: MassUnit) -> Result<Self, QuantityError> {
                from_exact(value, unit).map(Self)
            }
            /// The text it is stored as: kilograms with eight decimals, exact.
            pub fn canonical(self) -> String {
                let sign = if self.0 < 0 { "-" } else { "" };
                let (kg, units) = (
                    self.0.unsigned_abs() / PER_KG.unsigned_abs(),
                    self.0.unsigned_abs() % PER_KG.unsigned_abs(),
                );
                format!("{sign}{kg}.{units:08} kg")
            }
            /// Reads a mass with its unit, exactly (half-even beyond 10 micrograms).
            ///
            /// # Errors
            /// Refuses a bare number (see `parse_or`), an unknown or ambiguous unit, more than 24
            /// digits, and more than 100,000 t.
            pub fn parse(text: &str) -> Result<Self, QuantityError> {
                Self::read(text, None).map(Self)
            }
            /// As `parse`, taking a bare number in the unit that the caller names.
            pub fn parse_or(text: &str, default: MassUnit) -> Result<Self, QuantityError> {
                Self::read(text, Some(default)).map(Self)
            }
            fn from_canonical(text: &str) -> Result<Self, QuantityError> {
                Self::parse(text)
            }
            /// Sum, or `None` past 92 million tonnes.
            pub fn checked_add(self, other: Self) -> Option<Self> {
                self.0.checked_add(other.0).map(Self)
            }
            /// Magnitude.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.saturating_abs())
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
by_text!(Mass, MASS);
by_text!(DryMass, DRY);

impl Mass {
    fn read(text: &str, default: Option<MassUnit>) -> Result<i64, QuantityError> {
        read(text, default, MassUnit::named, MASS)
    }

    /// Shown in pounds, or in kilograms and (from 1,000 kg) tonnes.
    pub fn show(self, units: Units) -> String {
        show(self.0, units)
    }

    /// Shown in a named unit with a number of decimals, thousands grouped.
    pub fn show_in(self, unit: MassUnit, places: u32) -> String {
        format!(
            "{} {}",
            text::grouped(self.decimal(unit), places),
            unit.symbol()
        )
    }
}

impl DryMass {
    fn read(text: &str, default: Option<MassUnit>) -> Result<i64, QuantityError> {
        // "44,126 lb dry"; the word is optional because the type already says it
        let bare = text.trim_end();
        let bare = bare
            .strip_suffix(" dry matter")
            .or_else(|| bare.strip_suffix(" dry"))
            .unwrap_or(bare);
        read(bare, default, MassUnit::named, DRY)
    }

    /// Shown in pounds, or in kilograms and (from 1,000 kg) tonnes, and called dry.
    pub fn show(self, units: Units) -> String {
        format!("{} dry", show(self.0, units))
    }

    /// Shown in a named unit with a number of decimals, and called dry.
    pub fn show_in(self, unit: MassUnit, places: u32) -> String {
        format!(
            "{} {} dry",
            text::grouped(self.decimal(unit), places),
            unit.symbol()
        )
    }
}

/// Whole pounds from 100 lb as a scale prints them, tenths below; kilograms to a tenth, tonnes to a kilogram.
fn show(size: i64, units: Units) -> String {
    let (unit, places) = match units {
        Units::Us if size.unsigned_abs() < 100 * PER_LB.unsigned_abs() => (MassUnit::Lb, 1),
        Units::Us => (MassUnit::Lb, 0),
        Units::Metric if size.unsigned_abs() < 1_000 * PER_KG.unsigned_abs() => (MassUnit::Kg, 1),
        Units::Metric => (MassUnit::Tonne, 3),
    };
    Mass(size).show_in(unit, places)
}

fn read(
    text: &str,
    default: Option<MassUnit>,
    named: fn(&str) -> Option<MassUnit>,
    expected: &'static str,
) -> Result<i64, QuantityError> {
    let written = text::number(text, expected)?;
    let unit = text::unit_of(text, written.rest, default, named, expected)?;
    let value = written
        .exact()
        .ok_or_else(|| QuantityError::unreadable(text, expected))?;
    from_exact(value, unit)
}

/// Decimal to 10 micrograms, in integers all the way.
fn from_exact(value: Decimal, unit: MassUnit) -> Result<i64, QuantityError> {
    let out = || out_of_range(format!("{value} {}", unit.symbol()));
    // 100,000 t is 2.2e8 lb, so this bound is beyond the range in every unit
    if value.abs() > Decimal::from(LIMIT / PER_KG * 1_000) {
        return Err(out());
    }
    // past 20 decimals the product would overflow: cut there, leaving a trace so that a tie stays no tie
    let cut = value.trunc_with_scale(value.scale().min(20));
    let trace = Decimal::new(if value > cut { 1 } else { -1 }, 21);
    let value = if cut == value { cut } else { cut + trace };
    let by = 10_i128.pow(value.scale());
    let units = value
        .mantissa()
        .checked_mul(i128::from(unit.per()))
        .ok_or_else(out)?;
    let units = div_half_even(units, by);
    if units.abs() <= LIMIT {
        Ok(units)
    } else {
        Err(out())
    }
}

fn out_of_range(found: String) -> QuantityError {
    QuantityError::OutOfRange {
        what: "a mass",
        found,
        low: "-100,000 t",
        high: "100,000 t",
    }
}

fn from_f64(value: f64, per: i64) -> Result<i64, QuantityError> {
    let units = (value * per as f64).round_ties_even();
    if units.is_finite() && units.abs() <= LIMIT as f64 {
        Ok(units as i64)
    } else {
        Err(out_of_range(format!("{value}")))
    }
}

impl DryMass {
    /// Dry matter in a wet mass: `wet x (1 - moisture)`, rounded once, half-even, to 10 micrograms.
    ///
    /// ```
    /// use quantity::{DryMass, Mass, Moisture};
    /// let dry = DryMass::of(Mass::from_lb(56.0)?, Moisture::from_percent(15.5)?);
    /// assert_eq!(dry, DryMass::parse("47.32 lb")?);
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
