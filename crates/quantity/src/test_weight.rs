//! Test weight: how dense this load's grain is, apart from what a trade bushel weighs.

use crate::bushel::HECTOLITERS_PER_BUSHEL;
use crate::units::{Units, by_text, unit_names};
use crate::{QuantityError, text};
use rust_decimal::Decimal;

const TEST_WEIGHT: &str = "a test weight with its unit, such as 57.5 lb/bu or 74.2 kg/hL";

unit_names! {
    /// Units of test weight.
    TestWeightUnit ("a unit of test weight, such as lb/bu or kg/hL") {
        /// Pounds a US bushel.
        LbPerBu = "lb/bu" ["lb/bu", "lbs/bu", "lb per bu", "lb per bushel", "#/bu"],
        /// Kilograms a hectoliter.
        KgPerHl = "kg/hL" ["kg/hl", "kg per hl"],
        /// Grams a liter.
        GPerL = "g/L" ["g/l"],
    }
}

/// Test weight: how heavy a measured bushel of this load is, in millionths of a pound a US bushel.
///
/// Metric values convert by volume, 1 lb/bu = 1.287 kg/hL. Limitation: wheat graders use a regression
/// instead of the volume when they print kg/hL; it differs by about a kilogram.
///
/// ```
/// use quantity::{TestWeight, Units};
/// let sorghum = TestWeight::parse("57 lb/bu")?;
/// assert_eq!(sorghum.show(Units::Us), "57.0 lb/bu");
/// assert_eq!(sorghum.show(Units::Metric), "73.4 kg/hL");
/// # Ok::<(), quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TestWeight(u32);

impl TestWeight {
    /// From pounds a US bushel, 5 to 120.
    pub fn from_lb_per_bu(pounds: f64) -> Result<Self, QuantityError> {
        Self::from_millionths((pounds * 1e6).round_ties_even(), || {
            format!("{pounds} lb/bu")
        })
    }

    /// From kilograms a hectoliter, by volume.
    pub fn from_kg_per_hl(kg: f64) -> Result<Self, QuantityError> {
        let pounds = kg * HECTOLITERS_PER_BUSHEL / 0.453_592_37;
        Self::from_millionths((pounds * 1e6).round_ties_even(), || format!("{kg} kg/hL"))
    }

    /// From an exact number of pounds a US bushel.
    pub fn from_decimal(pounds: Decimal) -> Result<Self, QuantityError> {
        let shown = || format!("{} lb/bu", text::grouped_shortest(pounds, 6));
        let millionths = pounds
            .checked_mul(Decimal::from(1_000_000))
            .map(|m| m.round_dp(0));
        match millionths.and_then(|m| u32::try_from(m).ok()) {
            Some(millionths) => Self::from_millionths(f64::from(millionths), shown),
            None => Self::from_millionths(f64::NAN, shown),
        }
    }

    fn from_millionths(millionths: f64, shown: impl Fn() -> String) -> Result<Self, QuantityError> {
        if (5e6..=120e6).contains(&millionths) {
            Ok(Self(millionths as u32))
        } else {
            Err(QuantityError::OutOfRange {
                what: "a test weight",
                found: crate::error::shortened(&shown()),
                low: "5 lb/bu",
                high: "120 lb/bu",
            })
        }
    }

    /// Pounds a US bushel.
    pub fn lb_per_bu(self) -> f64 {
        f64::from(self.0) / 1e6
    }

    /// Pounds a US bushel as an exact decimal, for looking up in a schedule.
    pub fn decimal(self) -> Decimal {
        Decimal::new(i64::from(self.0), 6).normalize()
    }

    /// Kilograms a hectoliter, by volume.
    pub fn kg_per_hl(self) -> f64 {
        self.lb_per_bu() * 0.453_592_37 / HECTOLITERS_PER_BUSHEL
    }

    /// Reads a test weight with its unit.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        Self::read(text, None)
    }

    /// As `parse`, taking a bare number in the unit that the caller names.
    pub fn parse_or(text: &str, default: TestWeightUnit) -> Result<Self, QuantityError> {
        Self::read(text, Some(default))
    }

    fn read(text: &str, default: Option<TestWeightUnit>) -> Result<Self, QuantityError> {
        let written = text::number(text, TEST_WEIGHT)?;
        let unit = text::unit_of(
            text,
            written.rest,
            default,
            TestWeightUnit::named,
            TEST_WEIGHT,
        )?;
        let bad = || QuantityError::unreadable(text, TEST_WEIGHT);
        match unit {
            TestWeightUnit::LbPerBu => Self::from_decimal(written.exact().ok_or_else(bad)?),
            TestWeightUnit::KgPerHl => Self::from_kg_per_hl(written.float().ok_or_else(bad)?),
            TestWeightUnit::GPerL => Self::from_kg_per_hl(written.float().ok_or_else(bad)? / 10.0),
        }
    }

    /// Shown in pounds a bushel or kilograms a hectoliter, to a tenth.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} lb/bu", text::grouped(self.decimal(), 1)),
            Units::Metric => format!("{} kg/hL", text::grouped_f64(self.kg_per_hl(), 1)),
        }
    }

    /// The text it is stored as: exact pounds a bushel.
    pub fn canonical(self) -> String {
        format!("{} lb/bu", self.decimal())
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

by_text!(TestWeight, TEST_WEIGHT);
