//! What the ledger says: movements, loads, and what could not be posted.

use crate::slip::{CropId, PlaceId, PlaceKind, SlipId};
use quantity::{DryMass, Mass};
use std::collections::{BTreeMap, BTreeSet};

/// One end of a movement.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "end", content = "place")]
pub enum End {
    /// A place, the standing crop of a field among them.
    Place(PlaceId),
    /// What was there before the season: opening stock of the place named.
    Opening(PlaceId),
    /// What the record of the place named cannot explain.
    Unexplained(PlaceId),
}

/// Where grain grew, as far as the record tells.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "origin", content = "place")]
pub enum Origin {
    /// This season, on the field whose standing crop is named.
    Field(PlaceId),
    /// Carried in from before the season at the place named.
    Opening(PlaceId),
    /// Nothing on record says.
    Unrecorded,
}

/// One origin's part of a movement, a balance or a load.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Part {
    /// Where it grew.
    pub origin: Origin,
    /// Whether it has come to rest in a bin, pile, dryer or buyer's pit before (so that a truckload
    /// out of a bin is not counted as harvest again).
    pub rested: bool,
    /// Its dry matter.
    pub dry: DryMass,
    /// Its mass with water.
    pub wet: Mass,
}

/// What a movement's dry matter rests on.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "basis", content = "slip")]
pub enum Basis {
    /// Weight and moisture on the slip.
    Measured,
    /// Weight on the slip, moisture of what the source held on record.
    HeldMoisture,
    /// Weight on the slip, moisture assumed for the crop.
    AssumedMoisture,
    /// A monitor reading with no moisture beside it: taken as dry matter already.
    DryReading,
    /// No weight, but the source was emptied: all it held on record.
    AllHeld,
    /// No weight of its own; the slip named weighed what it had filled.
    WeighedBy(SlipId),
    /// Opening stock, or the closing of an emptied place.
    Stated,
}

/// How one ticket was divided over the several places that it emptied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceRule {
    /// One source; nothing to divide.
    Single,
    /// In proportion to the dry matter that each held on record, by largest remainder.
    Held,
    /// In proportion to capacity, since not every source held a weighed load on record.
    Capacity,
    /// Equally, since nothing better is known.
    Equal,
}

/// One exact movement of dry matter from one end to the other.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Movement {
    /// The entry behind it.
    pub slip: SlipId,
    /// When it counts from, UTC milliseconds. A dump with no weight counts from the ticket that
    /// weighed it.
    pub at_ms: i64,
    /// Which crop.
    pub crop: CropId,
    /// Where it left.
    pub from: End,
    /// Where it entered.
    pub to: End,
    /// Dry matter; the same integer left and entered. Negative only towards `Unexplained`, where it
    /// means that more came out of a place than went in on record.
    pub dry: DryMass,
    /// Mass with water, a view: water is not conserved.
    pub wet: Mass,
    /// The same by origin; sums to `dry` and `wet` exactly. Empty when both are zero.
    pub parts: Vec<Part>,
    /// What the mass rests on.
    pub basis: Basis,
    /// How it was divided from the other sources of its slip.
    pub rule: SourceRule,
    /// The place of `from` is empty, or at a stated stock, from here on.
    pub closes: bool,
}

/// Dry matter that the record of one place cannot explain, over one period.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Unexplained {
    /// Where.
    pub place: PlaceId,
    /// Which crop.
    pub crop: CropId,
    /// From the first movement since the place was last known empty, UTC milliseconds.
    pub from_ms: i64,
    /// Until it was found empty or weighed out, UTC milliseconds.
    pub to_ms: i64,
    /// Signed: positive when less was found than the record holds (short), negative when more was.
    pub dry: DryMass,
    /// The entries of that period, the closing one last.
    pub slips: Vec<SlipId>,
}

/// One load of this season's harvest, where it first came to rest.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Load {
    /// The entry that brought it.
    pub slip: SlipId,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Which crop.
    pub crop: CropId,
    /// Where it came to rest: one destination.
    pub to: PlaceId,
    /// What that is.
    pub to_kind: PlaceKind,
    /// Dry matter of this season's harvest in it.
    pub dry: DryMass,
    /// Its mass with water.
    pub wet: Mass,
    /// One source split, by origin; sums to `dry` and `wet` exactly.
    pub split: Vec<Part>,
    /// Grain in the same load that had been counted at an earlier rest.
    pub rested_dry: DryMass,
}

/// A measured stock beside what the record holds; nothing is moved for it.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct StockCheck {
    /// The measuring entry.
    pub id: SlipId,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Where.
    pub place: PlaceId,
    /// Which crop.
    pub crop: CropId,
    /// What the record holds then.
    pub record: DryMass,
    /// What was measured.
    pub measured: DryMass,
}

/// An entry that moved grain nobody weighed. It is listed, never counted as zero.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct NoWeight {
    /// The entry.
    pub slip: SlipId,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Which crop.
    pub crop: CropId,
    /// Where from.
    pub from: Vec<PlaceId>,
    /// Where to.
    pub to: PlaceId,
    /// The later entry that weighed it, and so gave it a mass; `None` while it has none.
    pub weighed_by: Option<SlipId>,
}

/// An entry that could not be posted at all, and why.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct SetAside {
    /// The entry.
    pub slip: SlipId,
    /// Why, and what to do.
    pub why: Refusal,
}

/// Why an entry was set aside.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case", tag = "why")]
pub enum Refusal {
    /// The same entry was given twice.
    #[error("the same entry was given twice; it is posted once")]
    GivenTwice,
    /// A place that the season does not know.
    #[error("the place '{place}' is not in the book; enter the place, or correct the slip")]
    UnknownPlace {
        /// As named on the slip.
        place: PlaceId,
    },
    /// No source.
    #[error("the slip says no place that the grain left; correct it")]
    NoSource,
    /// A source named twice, or the destination among the sources.
    #[error(
        "the place '{place}' is named more than once; grain leaves one place and enters another"
    )]
    SamePlace {
        /// The place.
        place: PlaceId,
    },
    /// Grain cannot enter standing crop.
    #[error("grain cannot go back to the standing crop '{place}'; correct where it went")]
    IntoStanding {
        /// The standing crop.
        place: PlaceId,
    },
    /// A mass below zero.
    #[error("the mass is below zero ({mass_lb} lb); correct gross, tare or net")]
    Negative {
        /// In pounds, rounded down.
        mass_lb: i64,
    },
    /// No moisture was measured, held on record, or assumed.
    #[error("there is a weight but no moisture, and none is assumed for {crop}; enter one")]
    NoMoisture {
        /// The crop.
        crop: CropId,
    },
    /// Sums would pass what an exact mass can hold.
    #[error("the season's masses together pass 20 million tonnes; correct the mass of this entry")]
    TooMuch,
}

/// Something to look at; the entry was posted all the same.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Finding {
    /// The entry.
    pub slip: SlipId,
    /// What about it.
    pub what: Notice,
}

/// What a finding says.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum Notice {
    /// More left a place than it held on record, and the slip does not say that it was emptied.
    #[error("more {crop} left '{place}' than it held on record; a slip into it may be missing")]
    HeldLess {
        /// The place.
        place: PlaceId,
        /// The crop.
        crop: CropId,
    },
    /// Two crops at once in one place.
    #[error("'{place}' holds {crop} and {other} at once")]
    TwoCrops {
        /// The place.
        place: PlaceId,
        /// The crop that came.
        crop: CropId,
        /// The crop that was there.
        other: CropId,
    },
    /// A ticket over several sources was not divided by what they held on record.
    #[error("this ticket emptied several places that were not all weighed; it was divided {}", match rule {
        SourceRule::Capacity => "by capacity",
        _ => "equally",
    })]
    DividedBlind {
        /// The rule that was used instead.
        rule: SourceRule,
    },
    /// Part of a mixed load had no weight, so its source split is doubtful.
    #[error("'{place}' held loads with and without a weight; the split by field is doubtful")]
    MixedUnweighed {
        /// The place.
        place: PlaceId,
    },
    /// The grain's field is not on record.
    #[error("nothing on record says which field this load came from")]
    NoOrigin,
}

/// The posted season.
#[derive(Debug, Clone, PartialEq, Default, serde::Serialize)]
pub struct Ledger {
    /// Every movement in order of time.
    pub movements: Vec<Movement>,
    /// What the record cannot explain, by place and period.
    pub unexplained: Vec<Unexplained>,
    /// Loads of this season's harvest, each with one source split.
    pub loads: Vec<Load>,
    /// Measured stocks beside the record.
    pub checks: Vec<StockCheck>,
    /// Entries with no usable weight.
    pub no_weight: Vec<NoWeight>,
    /// Entries that were not posted, each with its reason.
    pub set_aside: Vec<SetAside>,
    /// What to look at.
    pub findings: Vec<Finding>,
    /// What each place is.
    pub kinds: BTreeMap<PlaceId, PlaceKind>,
    /// Deliveries that became claims.
    pub on_claim: BTreeSet<SlipId>,
}
