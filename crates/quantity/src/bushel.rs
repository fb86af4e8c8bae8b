//! Bushels: how heavy one is, and the several honest counts of one load.

use crate::units::{Units, by_text, unit_names};
use crate::{DryMass, Mass, MassUnit, Moisture, QuantityError, text};
use rust_decimal::Decimal;

/// Cubic inches in a US (Winchester) bushel, by definition.
pub const CUBIC_INCHES_PER_BUSHEL: f64 = 2_150.42;
/// Cubic feet in a US bushel: 1.244456.
pub const CUBIC_FEET_PER_BUSHEL: f64 = CUBIC_INCHES_PER_BUSHEL / 1_728.0;
/// Hectoliters in a US bushel: 0.3523907016688, since an inch is 0.0254 m.
pub const HECTOLITERS_PER_BUSHEL: f64 = 0.352_390_701_668_8;

const WEIGHT: &str = "a bushel weight in pounds, such as 56 lb/bu";
const BUSHELS: &str = "bushels that say which, such as 932.5 bu as weighed, 56 lb/bu or 890.7 bu dry at 15.5 %, 56 lb/bu";

unit_names! {
    /// Units in which the weight of a trade bushel is written.
    BushelWeightUnit ("a unit of bushel weight, such as lb/bu") {
        /// Pounds a bushel.
        LbPerBu = "lb/bu" ["lb/bu", "lbs/bu", "lb per bu", "lb per bushel", "#/bu"],
        /// Kilograms a bushel.
        KgPerBu = "kg/bu" ["kg/bu", "kg per bu"],
    }
}

/// What one trade bushel weighs (corn 56 lb, wheat and soybeans 60 lb): a count's divisor, by law or contract.
///
/// It is not a [`crate::TestWeight`], which says how heavy a measured bushel of this load is.
///
/// ```
/// use quantity::{BushelWeight, Mass};
/// let corn = BushelWeight::pounds(56)?;
/// assert_eq!(corn.bushels(Mass::parse("52,220 lb")?).to_string(), "932.5");
/// assert!((corn.bushels_per_tonne() - 39.3683).abs() < 1e-4);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BushelWeight(Mass);

impl BushelWeight {
    /// From whole pounds.
    pub fn pounds(pounds: u32) -> Result<Self, QuantityError> {
        Self::from_decimal_lb(Decimal::from(pounds))
    }

    /// From an exact number of pounds, 5 to 120.
    pub fn from_decimal_lb(pounds: Decimal) -> Result<Self, QuantityError> {
        Self::from_mass(Mass::from_decimal(pounds, MassUnit::Lb)?)
    }

    /// From pounds, 5 to 120.
    pub fn from_lb(pounds: f64) -> Result<Self, QuantityError> {
        Self::from_mass(Mass::from_lb(pounds)?)
    }

    /// From the mass of one bushel, 5 to 120 lb.
    pub fn from_mass(mass: Mass) -> Result<Self, QuantityError> {
        if (5.0..=120.0).contains(&mass.lb()) {
            Ok(Self(mass))
        } else {
            Err(QuantityError::OutOfRange {
                what: "a bushel weight",
                found: format!(
                    "{} lb/bu",
                    text::grouped_shortest(mass.decimal(MassUnit::Lb), 6)
                ),
                low: "5 lb/bu",
                high: "120 lb/bu",
            })
        }
    }

    /// The mass of one bushel.
    pub fn mass(self) -> Mass {
        self.0
    }

    /// In pounds.
    pub fn lb(self) -> f64 {
        self.0.lb()
    }

    /// How many bushels a mass is: the exact quotient, to 28 digits.
    pub fn bushels(self, mass: Mass) -> Decimal {
        (Decimal::from(mass.units()) / Decimal::from(self.0.units())).normalize()
    }

    /// The mass of a count of bushels, rounded half-even to 10 micrograms.
    pub fn mass_of(self, bushels: Decimal) -> Result<Mass, QuantityError> {
        let out = || QuantityError::OutOfRange {
            what: "a count of bushels",
            found: format!("{} bu", text::grouped_shortest(bushels, 4)),
            low: "-100,000 t",
            high: "100,000 t",
        };
        let units = bushels
            .checked_mul(Decimal::from(self.0.units()))
            .ok_or_else(out)?;
        let units = i64::try_from(units.round_dp(0)).map_err(|_| out())?;
        if units.abs() <= crate::mass::LIMIT {
            Ok(Mass::from_units(units))
        } else {
            Err(out())
        }
    }

    /// Bushels in a metric tonne.
    pub fn bushels_per_tonne(self) -> f64 {
        1_000.0 / self.0.kg()
    }

    /// Kilograms a hectare for one bushel an acre.
    pub fn kg_per_ha(self) -> f64 {
        self.0.kg() / 0.404_685_642_24
    }

    /// Reads pounds a bushel, exactly.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        Self::read(text, None)
    }

    /// As `parse`, taking a bare number in the unit that the caller names.
    pub fn parse_or(text: &str, default: BushelWeightUnit) -> Result<Self, QuantityError> {
        Self::read(text, Some(default))
    }

    fn read(text: &str, default: Option<BushelWeightUnit>) -> Result<Self, QuantityError> {
        let written = text::number(text, WEIGHT)?;
        let unit = text::unit_of(text, written.rest, default, BushelWeightUnit::named, WEIGHT)?;
        let value = written
            .exact()
            .ok_or_else(|| QuantityError::unreadable(text, WEIGHT))?;
        let unit = match unit {
            BushelWeightUnit::LbPerBu => MassUnit::Lb,
            BushelWeightUnit::KgPerBu => MassUnit::Kg,
        };
        Self::from_mass(Mass::from_decimal(value, unit)?)
    }

    /// Shown in pounds or kilograms a bushel.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!(
                "{} lb/bu",
                text::grouped_shortest(self.0.decimal(MassUnit::Lb), 3)
            ),
            Units::Metric => format!("{} kg/bu", text::grouped(self.0.decimal(MassUnit::Kg), 4)),
        }
    }

    /// The text it is stored as: pounds where six decimals are exact, else kilograms.
    pub fn canonical(self) -> String {
        let pounds = self.0.decimal(MassUnit::Lb).round_dp(6).normalize();
        match Mass::from_decimal(pounds, MassUnit::Lb) {
            Ok(same) if same == self.0 => format!("{pounds} lb/bu"),
            _ => format!("{}/bu", self.0.canonical()),
        }
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

by_text!(BushelWeight, WEIGHT);

/// Which of the honest counts of one load it is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum BushelKind {
    /// Scale weight over the bushel weight, water and all.
    AsWeighed,
    /// What the buyer pays on, after his shrink and deductions.
    Buyers,
    /// What the crop insurance counts.
    Insurance,
    /// Dry matter only, at the weight it would have at this base moisture.
    DryAt(Moisture),
}

impl BushelKind {
    /// As printed after the count.
    pub fn words(self) -> String {
        match self {
            Self::AsWeighed => "as weighed".to_owned(),
            Self::Buyers => "buyer's".to_owned(),
            Self::Insurance => "insurance".to_owned(),
            Self::DryAt(base) => format!("dry at {}", base.show()),
        }
    }

    pub(crate) fn named(words: &str) -> Option<Self> {
        match words {
            "as weighed" => Some(Self::AsWeighed),
            "buyer's" => Some(Self::Buyers),
            "insurance" => Some(Self::Insurance),
            _ => Moisture::parse(words.strip_prefix("dry at ")?)
                .ok()
                .map(Self::DryAt),
        }
    }
}

/// An exact count of bushels that always says which bushels, and what one weighs.
///
/// ```
/// use quantity::{BushelWeight, Bushels, DryMass, Mass, Moisture, Units};
/// let (net, corn) = (Mass::parse("52,220 lb")?, BushelWeight::pounds(56)?);
/// let weighed = Bushels::as_weighed(net, corn);
/// let dry = DryMass::of(net, Moisture::parse("18.2 %")?);
/// let dry = Bushels::dry_at(dry, Moisture::parse("15 %")?, corn);
/// assert_eq!(weighed.show(Units::Us), "932.50 bu as weighed (56 lb)");
/// assert_eq!(dry.show(Units::Us), "897.39 bu dry at 15.0 % (56 lb)");
/// assert!(weighed.checked_add(dry).is_err());
/// # Ok::<(), quantity::QuantityError>(())
/// ```
///
/// Counts add only through [`Bushels::checked_add`], which refuses two kinds:
///
/// ```compile_fail,E0369
/// # use quantity::{BushelWeight, Bushels, Mass};
/// # let some = Bushels::as_weighed(Mass::ZERO, BushelWeight::pounds(56).unwrap());
/// let _ = some + some;
/// ```
///
/// and a bare count cannot be printed as bushels:
///
/// ```compile_fail,E0277
/// use rust_decimal::Decimal;
/// let count: quantity::Bushels = Decimal::from(932).into();
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Bushels {
    /// How many.
    pub count: Decimal,
    /// Which.
    pub kind: BushelKind,
    /// What one weighs.
    pub weight: BushelWeight,
}

impl Bushels {
    /// As weighed, water and all.
    pub fn as_weighed(net: Mass, weight: BushelWeight) -> Self {
        Self {
            count: weight.bushels(net),
            kind: BushelKind::AsWeighed,
            weight,
        }
    }

    /// Dry matter at the weight it would have at a base moisture:
    /// `dry / (1 - base) / bushel weight`.
    pub fn dry_at(dry: DryMass, base: Moisture, weight: BushelWeight) -> Self {
        // one quotient of integers, so that the mass at base is not rounded first
        let whole = Decimal::from(dry.units()) * Decimal::from(1_000_000);
        let one = Decimal::from(weight.0.units()) * Decimal::from(1_000_000 - base.ppm());
        Self {
            count: (whole / one).normalize(),
            kind: BushelKind::DryAt(base),
            weight,
        }
    }

    /// A buyer's count, as a settlement works it out.
    pub fn buyers(count: Decimal, weight: BushelWeight) -> Self {
        Self {
            count,
            kind: BushelKind::Buyers,
            weight,
        }
    }

    /// A crop insurance count.
    pub fn insurance(count: Decimal, weight: BushelWeight) -> Self {
        Self {
            count,
            kind: BushelKind::Insurance,
            weight,
        }
    }

    /// The count as a float, for kernels.
    pub fn float(self) -> f64 {
        f64::try_from(self.count).unwrap_or(f64::NAN)
    }

    /// The mass of that many bushels (as weighed: the scale's; dry at a base: at that base).
    pub fn mass(self) -> Result<Mass, QuantityError> {
        self.weight.mass_of(self.count)
    }

    /// Sum of two counts of the same kind and bushel weight.
    ///
    /// # Errors
    /// Refuses two kinds, or two bushel weights: such a sum counts nothing.
    pub fn checked_add(self, other: Self) -> Result<Self, QuantityError> {
        let unlike = || QuantityError::Unlike {
            found: self.show(Units::Us),
            other: other.show(Units::Us),
        };
        if (self.kind, self.weight) != (other.kind, other.weight) {
            return Err(unlike());
        }
        let count = self.count.checked_add(other.count).ok_or_else(unlike)?;
        Ok(Self { count, ..self })
    }

    /// Shown to a hundredth of a bushel, or in metric as the tonnes that those bushels weigh.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => self.show_places(2),
            Units::Metric => {
                let tonnes = self.float() * self.weight.0.kg() / 1_000.0;
                format!("{} t {}", text::grouped_f64(tonnes, 3), self.kind.words())
            }
        }
    }

    /// Shown in bushels with a number of decimals, such as the three of a worked settlement.
    pub fn show_places(self, places: u32) -> String {
        let pounds = text::grouped_shortest(self.weight.0.decimal(MassUnit::Lb), 3);
        format!(
            "{} bu {} ({pounds} lb)",
            text::grouped(self.count, places),
            self.kind.words()
        )
    }

    /// The text it is stored as: `932.5 bu as weighed, 56 lb/bu`.
    pub fn canonical(self) -> String {
        format!(
            "{} bu {}, {}",
            self.count.normalize(),
            self.kind.words(),
            self.weight.canonical()
        )
    }

    /// Reads the canonical text; a count that does not say which bushels is refused.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let bad = || QuantityError::unreadable(text, BUSHELS);
        let (count, weight) = text.rsplit_once(", ").ok_or_else(bad)?;
        let (count, kind) = count.split_once(" bu ").ok_or_else(bad)?;
        let count = if count.contains(',') {
            text::written(count)
                .filter(|w| w.rest.is_empty())
                .and_then(|w| w.exact())
        } else {
            Decimal::from_str_exact(count.trim()).ok()
        };
        let count = count
            .filter(|c| c.abs() < Decimal::from(1_000_000_000))
            .ok_or_else(bad)?;
        let kind = BushelKind::named(kind.trim()).ok_or_else(bad)?;
        Ok(Self {
            count,
            kind,
            weight: BushelWeight::parse(weight)?,
        })
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

by_text!(Bushels, BUSHELS);
