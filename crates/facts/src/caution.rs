//! The cautions shown where the act is. None replaces the operator's manual, local law or
//! licensed practice.

use crate::{FactsError, Provenance};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::LazyLock;

macro_rules! acts {
    ($($(#[$doc:meta])* $variant:ident = $key:literal;)*) => {
        /// Something done on the farm beside which a caution is shown.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        #[non_exhaustive]
        pub enum Act {
            $($(#[$doc])* $variant,)*
        }
        impl Act {
            /// Every act.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// The key used in the data file.
            pub const fn key(self) -> &'static str {
                match self { $(Self::$variant => $key),* }
            }
        }
    };
}
acts! {
    /// Counting lost seed behind or under the head.
    LossCount = "loss_count";
    /// Clearing a plug, or trying settings.
    Unplug = "unplug";
    /// Setting the machine and trying it.
    Setting = "setting";
    /// Walking round the machine, changing its head.
    WalkRound = "walk_round";
    /// Driving and counting for the best speed.
    Speed = "speed";
    /// Measuring, sampling or entering a bin.
    BinMeasure = "bin_measure";
    /// Grain flowing out of a wagon or cart.
    WagonFlow = "wagon_flow";
    /// Running or moving an auger.
    Auger = "auger";
    /// Anything on a power take-off shaft.
    Pto = "pto";
    /// Moving gear on a road.
    RoadMove = "road_move";
    /// A dry, windy day.
    Fire = "fire";
    /// Tire work.
    Tires = "tires";
    /// Weighing.
    Scale = "scale";
    /// Money, insurance, tax and program records.
    Money = "money";
    /// Long hours, and a phone in the cab.
    Fatigue = "fatigue";
    /// Children and bystanders about.
    Bystanders = "bystanders";
    /// Moldy or hot grain.
    Mold = "mold";
    /// The cab's short line beside Load.
    CabLoad = "cab_load";
    /// The cab's short line beside Count.
    CabCount = "cab_count";
    /// The cab's short line beside Setting.
    CabSetting = "cab_setting";
    /// The cab's short line beside Stop.
    CabStop = "cab_stop";
    /// The cab's short line beside a bin measure.
    CabBin = "cab_bin";
}

impl std::str::FromStr for Act {
    type Err = FactsError;
    fn from_str(text: &str) -> Result<Self, FactsError> {
        Self::ALL
            .iter()
            .copied()
            .find(|act| act.key() == text.trim())
            .ok_or_else(|| FactsError::UnknownAct {
                found: text.chars().take(40).collect(),
                expected: Self::ALL
                    .iter()
                    .map(|act| act.key())
                    .collect::<Vec<_>>()
                    .join(", "),
            })
    }
}

/// One caution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// The line shown.
    pub text: String,
    /// The same in Spanish.
    pub es: String,
    /// What it rests on.
    pub source: String,
    /// How that was come by.
    pub tag: Provenance,
}

static CAUTIONS: LazyLock<BTreeMap<Act, Caution>> = LazyLock::new(|| {
    toml::from_str(include_str!("../data/cautions.toml"))
        .expect("the embedded cautions file is tested")
});

/// The caution to show beside an act.
///
/// ```
/// let line = facts::caution(facts::Act::BinMeasure);
/// assert!(line.text.contains("never enter"));
/// ```
pub fn caution(act: Act) -> &'static Caution {
    CAUTIONS
        .get(&act)
        .expect("the embedded cautions file has every act, tested")
}

/// The Spanish of a caution, by its English line; `None` for any other sentence.
///
/// ```
/// let line = &facts::caution(facts::Act::Scale).text;
/// assert!(facts::caution_in_spanish(line).is_some_and(|es| es.contains("báscula")));
/// assert_eq!(facts::caution_in_spanish("Good morning"), None);
/// ```
pub fn caution_in_spanish(english: &str) -> Option<&'static str> {
    CAUTIONS
        .values()
        .find(|caution| caution.text == english)
        .map(|caution| caution.es.as_str())
}
