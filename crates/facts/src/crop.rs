//! The crops, and the facts that hang on a crop.

use crate::{Fact, FactsError};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::LazyLock;

macro_rules! crops {
    ($($(#[$doc:meta])* $variant:ident = $key:literal, $name:literal;)*) => {
        /// A crop that has its own grade table, bushel weight or trade rules.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[non_exhaustive]
        pub enum Crop {
            $($(#[$doc])* #[serde(rename = $key)] $variant,)*
        }
        impl Crop {
            /// Every crop, in the order of the data file.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// The key used in files ("corn", "wheat-hrw").
            pub const fn key(self) -> &'static str {
                match self { $(Self::$variant => $key),* }
            }
            /// The name in print ("hard red winter wheat").
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),* }
            }
        }
    };
}
crops! {
    /// Shelled corn.
    Corn = "corn", "corn";
    /// Soybeans.
    Soybean = "soybean", "soybeans";
    /// Hard red winter wheat.
    WheatHrw = "wheat-hrw", "hard red winter wheat";
    /// Hard red spring wheat.
    WheatHrs = "wheat-hrs", "hard red spring wheat";
    /// Soft red winter wheat.
    WheatSrw = "wheat-srw", "soft red winter wheat";
    /// Soft white wheat.
    WheatSww = "wheat-sww", "soft white wheat";
    /// White club wheat (its test weight limits are those of hard red spring).
    WheatClub = "wheat-club", "white club wheat";
    /// Hard white wheat.
    WheatHdw = "wheat-hdw", "hard white wheat";
    /// Durum wheat.
    WheatDurum = "wheat-durum", "durum wheat";
    /// Grain sorghum.
    Sorghum = "sorghum", "grain sorghum";
    /// Oats.
    Oats = "oats", "oats";
    /// Barley.
    Barley = "barley", "barley";
    /// Canola.
    Canola = "canola", "canola";
    /// Oil-type sunflower: sold by weight, no single bushel weight.
    SunflowerOil = "sunflower-oil", "oil-type sunflower";
    /// Confection sunflower: sold by weight, no single bushel weight.
    SunflowerConfection = "sunflower-confection", "confection sunflower";
}

impl Crop {
    /// Whether it is wheat of any class.
    pub const fn is_wheat(self) -> bool {
        matches!(
            self,
            Self::WheatHrw
                | Self::WheatHrs
                | Self::WheatSrw
                | Self::WheatSww
                | Self::WheatClub
                | Self::WheatHdw
                | Self::WheatDurum
        )
    }

    /// Whether it is sunflower of either type.
    pub const fn is_sunflower(self) -> bool {
        matches!(self, Self::SunflowerOil | Self::SunflowerConfection)
    }
}

impl std::fmt::Display for Crop {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.key())
    }
}

impl std::str::FromStr for Crop {
    type Err = FactsError;

    /// Reads a key or a common name; a bare "wheat" is refused, since its grade depends on the class.
    ///
    /// ```
    /// use facts::Crop;
    /// assert_eq!("Soybeans".parse(), Ok(Crop::Soybean));
    /// assert_eq!("durum".parse(), Ok(Crop::WheatDurum));
    /// assert!("wheat".parse::<Crop>().is_err());
    /// ```
    fn from_str(text: &str) -> Result<Self, FactsError> {
        let word = text.trim().to_lowercase().replace(['_', ' '], "-");
        Self::ALL
            .iter()
            .copied()
            .find(|crop| {
                crop.key() == word
                    || crop.name().replace(' ', "-") == word
                    || row(*crop).words.contains(&word)
            })
            .ok_or_else(|| FactsError::UnknownCrop {
                found: text.chars().take(40).collect(),
                expected: Self::ALL
                    .iter()
                    .map(|crop| crop.key())
                    .collect::<Vec<_>>()
                    .join(", "),
            })
    }
}

/// A base moisture that some buyers use: a fact about buyers, never a default for a settlement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CustomaryBase {
    /// Who uses it ("extension tables", "most elevators").
    pub who: String,
    /// The base, per cent wet basis, with its source.
    pub base: Fact,
}

/// How crop insurance reduces mature production for moisture (7 CFR 457.113, section 11(d)).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InsuranceRule {
    /// Per cent moisture above which production is reduced.
    pub base: Fact,
    /// Reduction, per cent for each tenth of a point above the base.
    pub per_tenth: Fact,
    /// Per cent moisture above which the steeper reduction applies, if the rule has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub steep_from: Option<Fact>,
    /// Reduction, per cent for each tenth of a point above `steep_from`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub steep_per_tenth: Option<Fact>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    #[serde(default)]
    pub(crate) words: Vec<String>,
    pub(crate) legal_bushel: Option<Fact>,
    pub(crate) dockage: bool,
    pub(crate) dockage_source: String,
    #[serde(default)]
    pub(crate) base: Vec<CustomaryBase>,
    pub(crate) insurance: Option<InsuranceRule>,
    pub(crate) repose: Option<Fact>,
    pub(crate) heap: Option<Fact>,
}

static CROPS: LazyLock<BTreeMap<Crop, Row>> = LazyLock::new(|| {
    toml::from_str(include_str!("../data/crops.toml")).expect("the embedded crops file is tested")
});

pub(crate) fn row(crop: Crop) -> &'static Row {
    CROPS
        .get(&crop)
        .expect("the embedded crops file has every crop, tested")
}

/// Legal or customary weight of a bushel, lb/bu; `None` for sunflower, which has no single one:
/// there a bushel is the user's own lb/bu or nothing, and the trade is by pound or hundredweight.
pub fn legal_bushel(crop: Crop) -> Option<&'static Fact> {
    row(crop).legal_bushel.as_ref()
}

/// Base moistures that buyers are known to use for a crop. Facts about buyers: the base of a
/// settlement comes from that buyer's schedule alone.
pub fn customary_bases(crop: Crop) -> &'static [CustomaryBase] {
    &row(crop).base
}

/// The crop insurance moisture rule; `None` where nobody here could read the clause.
pub fn insurance_rule(crop: Crop) -> Option<&'static InsuranceRule> {
    row(crop).insurance.as_ref()
}

/// Whether the official standards of this crop have a dockage factor (corn and soybeans have none:
/// they have broken corn and foreign material, and foreign material).
pub fn uses_dockage(crop: Crop) -> bool {
    row(crop).dockage
}

/// What [`uses_dockage`] rests on, for `--why`.
pub fn dockage_source(crop: Crop) -> &'static str {
    &row(crop).dockage_source
}
