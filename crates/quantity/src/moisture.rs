//! Moisture, wet basis.

use crate::QuantityError;
use crate::text;
use crate::units::{by_text, unit_names};
use rust_decimal::{Decimal, RoundingStrategy};

const MOISTURE: &str = "a moisture, wet basis, in per cent, such as 14.3 %";

unit_names! {
    /// How a bare moisture is meant.
    MoistureUnit ("per cent or a fraction, such as % or fraction") {
        /// Per cent of the wet mass.
        Percent = "%" ["%", "percent", "per cent", "pct", "% wb", "% w.b"],
        /// Fraction of the wet mass.
        Fraction = "fraction" ["fraction"],
    }
}

/// Moisture content, wet basis, in parts per million of the wet mass (14.3 % = 143,000).
///
/// ```
/// use quantity::{Moisture, MoistureUnit};
/// let corn = Moisture::parse("14.3%")?;
/// assert_eq!(corn.ppm(), 143_000);
/// assert_eq!(corn.show(), "14.3 %");
/// assert!(Moisture::parse("14.3").is_err());
/// assert_eq!(Moisture::parse_or("14.3", MoistureUnit::Percent)?, corn);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
///
/// A moisture is not a bare number, and a dry-basis moisture is another type:
///
/// ```compile_fail,E0308
/// let wet: quantity::Moisture = 14.3;
/// ```
///
/// ```compile_fail,E0308
/// use quantity::{DryBasis, DryMass, Mass};
/// let _ = DryMass::of(Mass::ZERO, DryBasis::from_percent(16.7).unwrap());
/// ```
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
        Self::out_text(&percent.to_string())
    }

    fn out_text(percent: &str) -> QuantityError {
        QuantityError::OutOfRange {
            what: "a moisture (wet basis)",
            found: crate::error::shortened(&format!("{percent} %")),
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

    /// Per cent as an exact decimal.
    pub fn decimal_percent(self) -> Decimal {
        Decimal::new(i64::from(self.0), 4)
    }

    /// From an exact per cent, 0 to 99, rounded half-even to 0.0001 of a point.
    pub fn from_decimal_percent(percent: Decimal) -> Result<Self, QuantityError> {
        let shown = || Self::out_text(&text::grouped_shortest(percent, 6));
        if percent < Decimal::ZERO || percent > Decimal::from(99) {
            return Err(shown());
        }
        let ppm = percent.round_dp_with_strategy(4, RoundingStrategy::MidpointNearestEven);
        (ppm * Decimal::from(10_000))
            .try_into()
            .map(Self)
            .map_err(|_| shown())
    }

    /// Reads a moisture in per cent of the wet mass, exactly.
    ///
    /// # Errors
    /// Refuses a bare number (see `parse_or`), dry basis, and what is outside 0 to 99 %.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        Self::read(text, None)
    }

    /// As `parse`, taking a bare number as the caller says.
    pub fn parse_or(text: &str, default: MoistureUnit) -> Result<Self, QuantityError> {
        Self::read(text, Some(default))
    }

    fn read(text: &str, default: Option<MoistureUnit>) -> Result<Self, QuantityError> {
        let written = text::number(text, MOISTURE)?;
        let unit = text::unit_of(text, written.rest, default, MoistureUnit::named, MOISTURE)?;
        let value = written
            .exact()
            .ok_or_else(|| QuantityError::unreadable(text, MOISTURE))?;
        let percent = match unit {
            MoistureUnit::Percent => Some(value),
            MoistureUnit::Fraction => value.checked_mul(Decimal::ONE_HUNDRED),
        };
        Self::from_decimal_percent(
            percent.ok_or_else(|| QuantityError::unreadable(text, MOISTURE))?,
        )
    }

    /// Shown in per cent with at least one decimal: `14.3 %`, `15.0 %`, `16.8213 %`.
    pub fn show(self) -> String {
        let places = if self.0.is_multiple_of(1_000) { 1 } else { 4 };
        let shown = format!("{:.places$}", self.decimal_percent());
        format!(
            "{} %",
            if places == 1 {
                &shown
            } else {
                shown.trim_end_matches('0')
            }
        )
    }

    /// Shown in per cent to a tenth, as meters and tickets print it.
    pub fn show_tenths(self) -> String {
        format!("{} %", text::grouped(self.decimal_percent(), 1))
    }

    /// The text it is stored as: shortest exact per cent.
    pub fn canonical(self) -> String {
        format!("{} %", self.decimal_percent().normalize())
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }

    /// The same water per dry matter: `dry basis = wet / (1 - wet)`.
    pub fn dry_basis(self) -> DryBasis {
        DryBasis(self.fraction() / (1.0 - self.fraction()))
    }
}

by_text!(Moisture, MOISTURE);

/// Moisture on dry basis, water per dry matter, as the drying and equilibrium equations want it.
///
/// ```
/// use quantity::{DryBasis, Moisture};
/// let dry_basis = Moisture::from_percent(20.0)?.dry_basis();
/// assert!((dry_basis.percent() - 25.0).abs() < 1e-12);
/// assert_eq!(DryBasis::from_percent(25.0)?.wet_basis(), Moisture::from_percent(20.0)?);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct DryBasis(f64);

impl DryBasis {
    /// From per cent of the dry matter, 0 to 9,900 (99 % wet basis).
    pub fn from_percent(percent: f64) -> Result<Self, QuantityError> {
        if (0.0..=9_900.0).contains(&percent) {
            Ok(Self(percent / 100.0))
        } else {
            Err(QuantityError::OutOfRange {
                what: "a moisture (dry basis)",
                found: crate::error::shortened(&format!("{percent} %")),
                low: "0 %",
                high: "9,900 %",
            })
        }
    }

    /// Per cent of the dry matter.
    pub fn percent(self) -> f64 {
        self.0 * 100.0
    }

    /// Fraction of the dry matter.
    pub fn fraction(self) -> f64 {
        self.0
    }

    /// On wet basis, `dry basis / (1 + dry basis)`, rounded to 0.0001 of a point.
    pub fn wet_basis(self) -> Moisture {
        // the constructors keep it within 99 % wet
        Moisture((1e6 * self.0 / (1.0 + self.0)).round_ties_even() as u32)
    }
}
