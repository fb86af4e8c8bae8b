//! A slip: one movement of grain from places to a place, with what was written about it.
//!
//! This is the account's own view of an entry; `desk` makes it from the book.

use quantity::{Mass, MassUnit, Moisture};

macro_rules! key {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);
        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
    )*};
}
key!(
    /// Names a slip (the book uses the entry's id).
    SlipId,
    /// Names a place: a field's standing crop, tank, cart, wagon, truck, bin, pit, pile, spill.
    PlaceId,
    /// Names a crop of one season ("corn", "wheat-hrw"); grain of two crops never balances together.
    CropId,
    /// Names a combine; with the crop it has one monitor factor a season.
    MachineId,
    /// Names a moisture meter (a hand meter, the combine's sensor, a buyer's bench meter).
    MeterId,
    /// Names a person who may have a share.
    PersonId,
    /// Names a field.
    FieldId,
);

/// What a place is; decides how its balance closes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKind {
    /// Standing crop of a field: a source of unknown size.
    Standing,
    /// The machine's tank.
    Tank,
    /// Grain cart.
    Cart,
    /// Gravity wagon or wagon on which grain stands overnight.
    Wagon,
    /// Road truck or trailer.
    Truck,
    /// Farm bin.
    Bin,
    /// Pile on the ground.
    Pile,
    /// Own dryer.
    Dryer,
    /// A buyer's pit: grain ends here as sold, or as a claim.
    Pit,
    /// Fed.
    Feed,
    /// Kept for seed.
    Seed,
    /// Spilt, blown or thrown away.
    Spill,
}

/// One place.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Place {
    /// Its name in slips.
    pub id: PlaceId,
    /// What it is.
    pub kind: PlaceKind,
    /// What it holds of this farm's grain, wet, when level full.
    pub capacity_lb: Option<f64>,
}

/// Which scale weighed, and therefore how much it is believed (see `square::defaults`).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScaleClass {
    /// A buyer's or other certified truck scale.
    Certified,
    /// Weigh wagon or cart scale.
    Cart,
    /// Farm platform or axle pads.
    Farm,
}

/// What is known of how much moved.
#[derive(Debug, Clone, PartialEq)]
pub enum Weight {
    /// Weighed: gross and tare where both were taken, and the net as printed.
    Scale {
        /// Loaded.
        gross: Option<Mass>,
        /// Empty.
        tare: Option<Mass>,
        /// Names a tare that several slips share (one weighing, one error), if it is not this slip's own.
        shared_tare: Option<String>,
        /// Net as printed or worked out.
        net: Mass,
        /// The step that the scale prints, e.g. 20 lb.
        step: Mass,
        /// The unit that the digits were written in.
        unit: MassUnit,
        /// Which kind of scale.
        class: ScaleClass,
    },
    /// The combine's own reading for this tank.
    Monitor {
        /// Which combine.
        machine: MachineId,
        /// As read: wet mass, or dry where the monitor shows dry.
        reading: Mass,
        /// The unit that the digits were written in.
        unit: MassUnit,
    },
    /// A guess by eye: "about two thirds of a wagon", a dump count, a known wagon full.
    Eye {
        /// Wet mass guessed.
        mass: Mass,
        /// What it was guessed from.
        from: EyeKind,
    },
    /// Nobody said how much.
    Unknown,
}

/// What a guess by eye rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EyeKind {
    /// A share of a wagon's or tank's capacity.
    Fill,
    /// A count of tank dumps.
    Dumps,
    /// The same, but of a wagon level full.
    Full,
}

/// One moisture reading on a slip.
#[derive(Debug, Clone, PartialEq)]
pub struct MoistureReading {
    /// As read.
    pub value: Moisture,
    /// By which meter.
    pub meter: MeterId,
}

/// One movement of grain.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// Its entry.
    pub id: SlipId,
    /// When it happened, UTC milliseconds.
    pub at_ms: i64,
    /// Where from; several wagons may be emptied over one ticket.
    pub from: Vec<PlaceId>,
    /// Where to.
    pub to: PlaceId,
    /// Which crop of which season.
    pub crop: CropId,
    /// How much.
    pub weight: Weight,
    /// How wet, if anybody measured.
    pub moisture: Option<MoistureReading>,
    /// The sources are empty afterwards (always so when a wagon is tared).
    pub empties: bool,
    /// The number printed on the ticket or load card.
    pub number: Option<String>,
}

/// A measured stock: a bin or wagon measured, or known empty, at a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Its entry.
    pub id: SlipId,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Where.
    pub place: PlaceId,
    /// Of which crop.
    pub crop: CropId,
    /// How much, wet.
    pub wet: Mass,
    /// How wet.
    pub moisture: Option<MoistureReading>,
    /// Relative standard error of the mass; `None` takes the default for a bin measure; 0 is exact (empty).
    pub relative_sd: Option<f64>,
}
