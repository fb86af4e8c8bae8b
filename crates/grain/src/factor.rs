//! What a buyer's bench measures on a load, by name.

use serde::{Deserialize, Serialize};

macro_rules! factors {
    ($($(#[$doc:meta])* $variant:ident = $key:literal, $words:literal, $unit:literal;)*) => {
        /// A graded or charged factor of a load, in the unit that the trade prints it in.
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(from = "String", into = "String")]
        pub enum Factor {
            $($(#[$doc])* $variant,)*
            /// Anything else that a buyer's sheet names; also the name of a yes-or-no flag.
            Other(String),
        }
        impl Factor {
            /// The key used in files ("moisture", "test_weight").
            pub fn key(&self) -> &str {
                match self { $(Self::$variant => $key,)* Self::Other(key) => key }
            }
            /// The factor in words for a reader.
            pub fn words(&self) -> String {
                match self { $(Self::$variant => $words.to_owned(),)* Self::Other(key) => key.replace('_', " ") }
            }
            /// The unit it is measured in ("%", "lb/bu"); empty for a factor of the user's own.
            pub fn unit(&self) -> &'static str {
                match self { $(Self::$variant => $unit,)* Self::Other(_) => "" }
            }
        }
        impl From<String> for Factor {
            fn from(key: String) -> Self {
                match key.as_str() { $($key => Self::$variant,)* _ => Self::Other(key) }
            }
        }
    };
}
factors! {
    /// Moisture, per cent wet basis.
    Moisture = "moisture", "moisture", "%";
    /// Test weight, lb per Winchester bushel.
    TestWeight = "test_weight", "test weight", "lb/bu";
    /// Dockage, per cent of weight.
    Dockage = "dockage", "dockage", "%";
    /// Foreign material, per cent.
    ForeignMaterial = "foreign_material", "foreign material", "%";
    /// Broken corn (or broken kernels) and foreign material, per cent.
    BrokenAndForeign = "broken_and_foreign", "broken kernels and foreign material", "%";
    /// Damaged kernels in all, per cent.
    TotalDamage = "total_damage", "total damage", "%";
    /// Heat-damaged kernels, per cent.
    HeatDamage = "heat_damage", "heat damage", "%";
    /// Splits, per cent.
    Splits = "splits", "splits", "%";
    /// Shrunken and broken kernels, per cent.
    ShrunkenAndBroken = "shrunken_and_broken", "shrunken and broken kernels", "%";
    /// Damage, foreign material and shrunken and broken together, per cent.
    TotalDefects = "total_defects", "total defects", "%";
    /// Wheat of contrasting classes, per cent.
    ContrastingClasses = "contrasting_classes", "contrasting classes", "%";
    /// Wheat of other classes, per cent.
    OtherClasses = "other_classes", "wheat of other classes", "%";
    /// Insect-damaged kernels in 100 grams.
    InsectDamagedKernels = "insect_damaged_kernels", "insect-damaged kernels", "in 100 g";
    /// Stones, per cent.
    Stones = "stones", "stones", "%";
    /// Protein, per cent.
    Protein = "protein", "protein", "%";
    /// Oil, per cent.
    Oil = "oil", "oil", "%";
    /// Days in the buyer's storage.
    StorageDays = "storage_days", "days in storage", "days";
}

impl From<&str> for Factor {
    fn from(key: &str) -> Self {
        Self::from(key.to_owned())
    }
}

impl From<Factor> for String {
    fn from(factor: Factor) -> Self {
        factor.key().to_owned()
    }
}
