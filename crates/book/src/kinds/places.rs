//! Machines, places that hold grain, and meters.

use super::Name;
use super::check::{load, odd, stock, within};
use super::stored;
use crate::BookError;
use quantity::Mass;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What a monitor shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MonitorBasis {
    /// Mass as it runs.
    Wet,
    /// Mass already reduced to a base moisture.
    Dry,
}

/// A combine. A later entry of the same name holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Machine {
    /// What people call it.
    pub name: Name,
    /// What its tank holds of the usual crop, level full, wet.
    #[serde(
        default,
        with = "stored::some_mass",
        skip_serializing_if = "Option::is_none"
    )]
    pub tank: Option<Mass>,
    /// What its monitor shows; `None` without a monitor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub monitor: Option<MonitorBasis>,
}

impl Machine {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        load("machine", "tank", self.tank)
    }
}

/// What a place is; the words are the account's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKind {
    /// Grain cart.
    Cart,
    /// Wagon, on which grain may stand overnight.
    Wagon,
    /// Road truck or trailer.
    Truck,
    /// Farm bin.
    Bin,
    /// Pile on the ground.
    Pile,
    /// Own dryer.
    Dryer,
    /// A buyer's pit.
    Pit,
    /// Fed.
    Feed,
    /// Kept for seed.
    Seed,
    /// Spilt, blown or thrown away.
    Spill,
}

/// Anything that can hold grain (a field's standing crop and a machine's tank are places by
/// themselves). A later entry of the same name holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// What people call it; for an insured bin, the structure's id.
    pub name: Name,
    /// What it is.
    pub kind: PlaceKind,
    /// What it holds of the usual crop, level full, wet.
    #[serde(
        default,
        with = "stored::some_mass",
        skip_serializing_if = "Option::is_none"
    )]
    pub capacity: Option<Mass>,
    /// Its weight empty, on wheels only.
    #[serde(
        default,
        with = "stored::some_mass",
        skip_serializing_if = "Option::is_none"
    )]
    pub tare: Option<Mass>,
    /// Inside diameter of a round bin, metres (18 ft is exactly 5.4864).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter_m: Option<Decimal>,
    /// Height of a bin's wall to the eave, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_m: Option<Decimal>,
    /// Where it stands, or whose it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub location: Option<Name>,
}

impl Place {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        if let Some(capacity) = self.capacity {
            stock("place", "capacity", capacity)?;
        }
        load("place", "tare", self.tare)?;
        let wheels = matches!(
            self.kind,
            PlaceKind::Cart | PlaceKind::Wagon | PlaceKind::Truck
        );
        if self.tare.is_some() && !wheels {
            return Err(odd(
                "place",
                "tare",
                "a weight",
                "none, as only what is on wheels has a tare",
            ));
        }
        within("place", "diameter_m", self.diameter_m, (1, 60), "m")?;
        within("place", "wall_m", self.wall_m, (1, 60), "m")
    }
}

/// What kind of meter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MeterKind {
    /// A buyer's bench meter.
    Buyer,
    /// A hand meter.
    Hand,
    /// The combine's own sensor.
    Machine,
}

/// A moisture meter. A later entry of the same name holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Meter {
    /// What people call it.
    pub name: Name,
    /// What kind.
    pub kind: MeterKind,
    /// Whose, where it is a buyer's or a machine's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<Name>,
}

impl Meter {
    #[expect(
        clippy::unnecessary_wraps,
        clippy::unused_self,
        reason = "every payload has a check"
    )]
    pub(crate) fn check(&self) -> Result<(), BookError> {
        Ok(())
    }
}
