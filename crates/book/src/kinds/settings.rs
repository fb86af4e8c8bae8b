//! Settings: what was changed on the combine, and what the grain in its tank looked like.

use super::Name;
use super::check::{odd, season, within, words};
use crate::BookError;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What can be set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SettingOf {
    /// Speed of the cleaning fan.
    Fan,
    /// Opening of the upper sieve.
    Chaffer,
    /// Opening of the lower sieve.
    Sieve,
    /// Speed of the rotor or cylinder.
    Rotor,
    /// Clearance of the concave.
    Concave,
    /// Height of the head.
    HeadHeight,
    /// Speed or place of the reel.
    Reel,
    /// Speed of a stripper's rotor.
    Stripper,
    /// How fast the machine drives.
    GroundSpeed,
    /// Gap of a corn head's deck plates.
    DeckPlates,
    /// Something else; its words say what.
    Other,
}

impl SettingOf {
    /// Whether it works at the head, so that the head's loss may change with it.
    pub const fn at_head(self) -> bool {
        matches!(
            self,
            Self::HeadHeight | Self::Reel | Self::Stripper | Self::DeckPlates | Self::GroundSpeed
        )
    }
}

/// One thing that was set otherwise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettingChange {
    /// What.
    pub what: SettingOf,
    /// What it was, as the machine shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Name>,
    /// What it is now.
    pub to: Name,
    /// The unit, as the machine shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<Name>,
}

/// How much of something was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// Looked for and not found.
    None,
    /// Some.
    Some,
    /// Much.
    Much,
}

/// What a handful from the tank looked like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TankSeen {
    /// Splits or cracked kernels, per cent of weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cracked_pct: Option<Decimal>,
    /// Foreign matter, per cent of weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foreign_pct: Option<Decimal>,
    /// Grain still in its pod, hull or on its cob.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unthreshed: Option<Seen>,
    /// Chaff, dust and dirt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dirt: Option<Seen>,
}

impl TankSeen {
    /// Whether nothing was said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    fn check(&self, which: &str) -> Result<(), BookError> {
        for (field, value) in [
            ("cracked_pct", self.cracked_pct),
            ("foreign_pct", self.foreign_pct),
        ] {
            within("setting", &format!("{which} {field}"), value, (0, 100), "%")?;
        }
        Ok(())
    }
}

/// The combine was set otherwise: from this moment on it runs as written here.
///
/// One change at a time can be judged; several at once are kept, and judged as one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Setting {
    /// Which machine.
    pub machine: Name,
    /// In which field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<Name>,
    /// In which crop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crop: Option<Name>,
    /// Of which season.
    pub season: u16,
    /// What was changed, one or more.
    pub changes: Vec<SettingChange>,
    /// The tank's grain before it.
    #[serde(default, skip_serializing_if = "TankSeen::is_empty")]
    pub tank_before: TankSeen,
    /// The tank's grain after it.
    #[serde(default, skip_serializing_if = "TankSeen::is_empty")]
    pub tank_after: TankSeen,
    /// Why, and anything that explains it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl Setting {
    /// Most changes in one entry.
    const MOST: usize = 12;

    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("setting", self.season)?;
        if !(1..=Self::MOST).contains(&self.changes.len()) {
            let found = format!("{} changes", self.changes.len());
            return Err(odd("setting", "changes", &found, "1 to 12 changes"));
        }
        for change in &self.changes {
            if change.from.as_ref() == Some(&change.to) {
                let found = format!("from {0} to {0}", change.to);
                return Err(odd("setting", "changes", &found, "two different settings"));
            }
        }
        self.tank_before.check("tank_before")?;
        self.tank_after.check("tank_after")?;
        words("setting", "remark", &self.remark, false)
    }
}
