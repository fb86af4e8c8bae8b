//! What the trade usually tries first for a loss or a fault in the tank. The maker's manual goes before it.

use crate::{Crop, Provenance};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Who lost it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LostAt {
    /// Nobody: it lay there before the machine came.
    Standing,
    /// The head.
    Head,
    /// The machine behind the head.
    Machine,
}

/// What is seen: where grain is lost, or what is wrong with the tank's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sign {
    /// Lost in the standing crop.
    Standing,
    /// The head shatters it.
    HeadShatter,
    /// The head leaves it uncut or unstripped.
    HeadUncut,
    /// The head loses whole heads or ears.
    HeadEars,
    /// Loose grain goes out with the straw.
    MachineSeparation,
    /// Clean grain goes out over the sieves.
    MachineCleaning,
    /// Grain goes out in its hull.
    MachineUnthreshed,
    /// Cracked or split in the tank.
    TankCracked,
    /// Chaff and dirt in the tank.
    TankDirty,
    /// Unthreshed grain in the tank.
    TankUnthreshed,
    /// Pieces of straw or cob in the tank.
    TankPieces,
    /// White caps in the tank.
    TankWhiteCaps,
}

impl Sign {
    /// Every sign with what it is called, in the order in which grain passes.
    pub const ALL: &'static [(Self, &'static str)] = &[
        (Self::Standing, "On the ground before the machine came"),
        (Self::HeadShatter, "Shattered at the head"),
        (Self::HeadUncut, "Left uncut or unstripped"),
        (Self::HeadEars, "Whole heads or ears lost at the head"),
        (Self::MachineSeparation, "Loose grain in the straw"),
        (Self::MachineCleaning, "Clean grain over the sieves"),
        (Self::MachineUnthreshed, "Unthreshed behind the machine"),
        (Self::TankCracked, "Cracked or split in the tank"),
        (Self::TankDirty, "Chaff and dirt in the tank"),
        (Self::TankUnthreshed, "Unthreshed in the tank"),
        (Self::TankPieces, "Pieces of straw or cob in the tank"),
        (Self::TankWhiteCaps, "White caps in the tank"),
    ];

    /// Whose loss it is; none for what is seen in the tank.
    pub const fn lost_at(self) -> Option<LostAt> {
        match self {
            Self::Standing => Some(LostAt::Standing),
            Self::HeadShatter | Self::HeadUncut | Self::HeadEars => Some(LostAt::Head),
            Self::MachineSeparation | Self::MachineCleaning | Self::MachineUnthreshed => {
                Some(LostAt::Machine)
            }
            Self::TankCracked
            | Self::TankDirty
            | Self::TankUnthreshed
            | Self::TankPieces
            | Self::TankWhiteCaps => None,
        }
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(sign, _)| *sign == self)
            .map_or("", |(_, name)| name)
    }
}

/// The usual first nudge.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Try {
    /// For what is seen.
    pub sign: Sign,
    /// Groups of crops that it is for; `any` is all.
    pub groups: Vec<String>,
    /// Which setting first, by its word in entries; none where no setting helps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub what: Option<String>,
    /// Which way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way: Option<String>,
    /// In a sentence.
    pub text: String,
    /// The same in Spanish.
    pub es: String,
    /// Where it comes from.
    pub source: String,
    /// How it was come by.
    pub tag: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(rename = "try")]
    tries: Vec<Try>,
}

static TRIES: LazyLock<Vec<Try>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../data/tries.toml"))
        .expect("the embedded file of tries is tested");
    file.tries
});

/// The line that ends every list of tries.
pub const MANUAL_FIRST: &str =
    "One change at a time, small, and count again; the maker's manual goes before all of this.";

/// The group that a crop's tries are listed under.
pub fn crop_group(crop: Crop) -> &'static str {
    match crop.key() {
        "corn" => "corn",
        "soybean" => "beans",
        key if key.starts_with("canola") || key.starts_with("sunflower") || key == "flax" => {
            "small_seed"
        }
        _ => "small_grain",
    }
}

/// The usual first nudges for a crop, in the order in which grain passes; all crops' for `None`.
///
/// ```
/// use facts::{Crop, Sign, tries};
/// let corn = tries(Some(Crop::Corn));
/// let ears = corn.iter().find(|one| one.sign == Sign::HeadEars).expect("listed");
/// assert_eq!(ears.what.as_deref(), Some("ground_speed"));
/// assert!(corn.iter().all(|one| one.sign != Sign::TankWhiteCaps));
/// ```
pub fn tries(crop: Option<Crop>) -> Vec<&'static Try> {
    let group = crop.map(crop_group);
    TRIES
        .iter()
        .filter(|one| {
            group.is_none_or(|group| one.groups.iter().any(|of| of == group || of == "any"))
        })
        .collect()
}

/// The usual first nudges for a crop's loss at one place, in the order in which grain passes.
///
/// ```
/// use facts::{Crop, LostAt, tries_at};
/// let behind = tries_at(Crop::Soybean, LostAt::Machine);
/// assert_eq!(behind.len(), 3);
/// assert!(behind[0].text.starts_with("Loose grain in the straw: drive slower first"));
/// ```
pub fn tries_at(crop: Crop, at: LostAt) -> Vec<&'static Try> {
    let mut tries = tries(Some(crop));
    tries.retain(|one| one.sign.lost_at() == Some(at));
    tries
}

/// The Spanish of a try, by its English line.
pub fn try_in_spanish(english: &str) -> Option<&'static str> {
    TRIES
        .iter()
        .find(|one| one.text == english)
        .map(|one| one.es.as_str())
}
