//! Why a record is not mapped: one first cause each.

use serde::{Deserialize, Serialize};

/// The first cause for which a record is left off the map. Its mass stays in the account.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// Written twice.
    Repeated,
    /// The receiver jumped.
    Jump,
    /// Head up: grain may arrive, no ground is cut.
    HeadUp,
    /// Standing, or within some seconds of standing or of a plug.
    Stop,
    /// A speed unlike the pass, or a sudden change of it.
    Speed,
    /// Ground that was cut before, or outside the field.
    OldGround,
    /// First seconds of a pass, while the machine fills.
    Start,
    /// Last seconds of a pass, while it empties.
    End,
    /// The log does not reach the time when its grain came over the sensor.
    Unlogged,
    /// Too short a run to tell.
    ShortPass,
    /// Too little or too much to be a crop.
    Beyond,
    /// Unlike what lies around it, and nothing near bears it out.
    Alone,
}

impl Flag {
    /// Every cause, in the order in which they are asked.
    pub const ALL: [Self; 12] = [
        Self::Repeated,
        Self::Jump,
        Self::HeadUp,
        Self::Stop,
        Self::Speed,
        Self::OldGround,
        Self::Start,
        Self::End,
        Self::Unlogged,
        Self::ShortPass,
        Self::Beyond,
        Self::Alone,
    ];
}
