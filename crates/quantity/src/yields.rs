//! Yield: bushels per acre, and always which bushels on which acres.

use crate::units::{Units, by_text};
use crate::{Area, BushelKind, BushelWeight, Bushels, QuantityError, text};

const YIELD: &str = "a yield that says which bushels and acres, such as 133.465 bu/ac dry at 15.5 %, 56 lb/bu, measured acres";
const PER_AREA: &str = "a yield with its unit, such as 60 bu/ac, 4,035 kg/ha or 4.0 t/ha";

/// Where a number of acres comes from; a figure per acre is empty without it.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum AcreSource {
    /// As reported to an office (the acreage report).
    Reported,
    /// As planted.
    Planted,
    /// Measured on the ground or a map (the boundary).
    Measured,
    /// Cut by the machine, as its passes add up.
    Cut,
}

impl AcreSource {
    /// As printed before "acres".
    pub const fn word(self) -> &'static str {
        match self {
            Self::Reported => "reported",
            Self::Planted => "planted",
            Self::Measured => "measured",
            Self::Cut => "cut",
        }
    }

    fn named(word: &str) -> Option<Self> {
        [Self::Reported, Self::Planted, Self::Measured, Self::Cut]
            .into_iter()
            .find(|s| s.word() == word)
    }
}

/// An area together with where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
pub struct Acres {
    /// How large.
    pub area: Area,
    /// By whose measure.
    pub source: AcreSource,
}

impl Acres {
    /// Shown as `67.64 ac measured`.
    pub fn show(self, units: Units) -> String {
        format!("{} {}", self.area.show(units), self.source.word())
    }
}

/// Bushels per acre that say which bushels, what one weighs, and on which acres.
///
/// ```
/// use quantity::{AcreSource, Acres, Area, BushelWeight, Bushels, Mass, Units, Yield};
/// let acres = Acres { area: Area::parse("80 ac")?, source: AcreSource::Planted };
/// let beans = Bushels::as_weighed(Mass::parse("288,000 lb")?, BushelWeight::pounds(60)?);
/// let made = Yield::of(beans, acres)?;
/// assert_eq!(made.show(Units::Us), "60.0 bu/ac as weighed (60 lb), planted acres");
/// assert_eq!(made.show(Units::Metric), "4.04 t/ha as weighed, planted area");
/// # Ok::<(), quantity::QuantityError>(())
/// ```
///
/// Without saying which acres there is no yield to print:
///
/// ```compile_fail,E0308
/// # use quantity::{Area, BushelWeight, Bushels, Mass, Yield};
/// # let area = Area::parse("80 ac").unwrap();
/// # let beans = Bushels::as_weighed(Mass::ZERO, BushelWeight::pounds(60).unwrap());
/// let made = Yield::of(beans, area); // an `Area` does not say whose acres
/// ```
///
/// ```compile_fail,E0369
/// # use quantity::{Area, BushelWeight, Bushels, Mass};
/// # let area = Area::parse("80 ac").unwrap();
/// # let beans = Bushels::as_weighed(Mass::ZERO, BushelWeight::pounds(60).unwrap());
/// let made = beans / area;
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yield {
    bu_per_ac: f64,
    kind: BushelKind,
    weight: BushelWeight,
    acres: AcreSource,
}

impl Yield {
    /// Bushels over acres.
    ///
    /// # Errors
    /// Refuses no acres, and what is outside 0 to 2,000 bu/ac.
    pub fn of(bushels: Bushels, acres: Acres) -> Result<Self, QuantityError> {
        let basis = (bushels.kind, bushels.weight, acres.source);
        Self::new(bushels.float() / acres.area.ac(), basis, "bu/ac")
    }

    /// From bushels an acre already worked out, by a kernel or by hand.
    pub fn from_bu_per_ac(
        bu_per_ac: f64,
        kind: BushelKind,
        weight: BushelWeight,
        acres: AcreSource,
    ) -> Result<Self, QuantityError> {
        Self::new(bu_per_ac, (kind, weight, acres), "bu/ac")
    }

    fn new(
        bu_per_ac: f64,
        (kind, weight, acres): (BushelKind, BushelWeight, AcreSource),
        unit: &str,
    ) -> Result<Self, QuantityError> {
        if (0.0..=2_000.0).contains(&bu_per_ac) {
            return Ok(Self {
                bu_per_ac: bu_per_ac + 0.0,
                kind,
                weight,
                acres,
            });
        }
        Err(QuantityError::OutOfRange {
            what: "a yield",
            found: crate::error::shortened(&format!("{bu_per_ac} {unit}")),
            low: "0 bu/ac",
            high: "2,000 bu/ac",
        })
    }

    /// Reads `60 bu/ac`, `4,035 kg/ha`, `4.0 t/ha` or `3,600 lb/ac`, told which bushels and acres are meant.
    ///
    /// # Errors
    /// Refuses a bare number: there is no unit a yield could be guessed to have.
    pub fn parse_as(
        text: &str,
        kind: BushelKind,
        weight: BushelWeight,
        acres: AcreSource,
    ) -> Result<Self, QuantityError> {
        let written = text::number(text, PER_AREA)?;
        let value = written
            .float()
            .ok_or_else(|| QuantityError::unreadable(text, PER_AREA))?;
        let factor = match text::plain(written.rest).as_str() {
            "" => {
                let found = crate::error::shortened(text);
                return Err(QuantityError::UnitMissing {
                    found,
                    expected: PER_AREA,
                });
            }
            "bu/ac" | "bu/a" | "bu/acre" => 1.0,
            "lb/ac" | "lbs/ac" | "lb/acre" => 1.0 / weight.lb(),
            "kg/ha" => 1.0 / weight.kg_per_ha(),
            "t/ha" => 1_000.0 / weight.kg_per_ha(),
            _ => return Err(QuantityError::unreadable(text, PER_AREA)),
        };
        Self::new(value * factor, (kind, weight, acres), "bu/ac")
    }

    /// Bushels an acre.
    pub fn bu_per_ac(self) -> f64 {
        self.bu_per_ac
    }

    /// Kilograms a hectare of the mass that those bushels stand for.
    pub fn kg_per_ha(self) -> f64 {
        self.bu_per_ac * self.weight.kg_per_ha()
    }

    /// Which bushels.
    pub fn kind(self) -> BushelKind {
        self.kind
    }

    /// What one bushel weighs.
    pub fn weight(self) -> BushelWeight {
        self.weight
    }

    /// Which acres.
    pub fn acres(self) -> AcreSource {
        self.acres
    }

    /// Shown with which bushels and which acres.
    pub fn show(self, units: Units) -> String {
        let (which, acres) = (self.kind.words(), self.acres.word());
        match units {
            Units::Us => {
                let pounds =
                    text::grouped_shortest(self.weight.mass().decimal(crate::MassUnit::Lb), 3);
                let count = text::grouped_f64(self.bu_per_ac, 1);
                format!("{count} bu/ac {which} ({pounds} lb), {acres} acres")
            }
            Units::Metric => {
                let tonnes = text::grouped_f64(self.kg_per_ha() / 1_000.0, 2);
                format!("{tonnes} t/ha {which}, {acres} area")
            }
        }
    }

    /// The text it is stored as: `133.465 bu/ac dry at 15.5 %, 56 lb/bu, measured acres`.
    pub fn canonical(self) -> String {
        let (which, acres) = (self.kind.words(), self.acres.word());
        format!(
            "{} bu/ac {which}, {}, {acres} acres",
            self.bu_per_ac,
            self.weight.canonical()
        )
    }

    /// Reads the canonical text.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let bad = || QuantityError::unreadable(text, YIELD);
        let (text_of, acres) = text.trim().rsplit_once(", ").ok_or_else(bad)?;
        let (text_of, weight) = text_of.rsplit_once(", ").ok_or_else(bad)?;
        let (count, kind) = text_of.split_once(" bu/ac ").ok_or_else(bad)?;
        let count = text::written(count)
            .filter(|w| w.rest.is_empty())
            .and_then(|w| w.float());
        let source = acres
            .strip_suffix(" acres")
            .and_then(AcreSource::named)
            .ok_or_else(bad)?;
        let kind = BushelKind::named(kind.trim()).ok_or_else(bad)?;
        let weight = BushelWeight::parse(weight)?;
        Self::new(count.ok_or_else(bad)?, (kind, weight, source), "bu/ac")
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

by_text!(Yield, YIELD);
