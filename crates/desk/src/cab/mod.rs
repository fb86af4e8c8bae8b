//! What the phone in the cab knows of the farm, in one piece: kept on the phone, it serves a week
//! without signal.

mod card;
mod counting;
mod snapshot;

pub use counting::{CountToday, Counting, CropSeeds};
pub use snapshot::snapshot;

use crate::held::Share;
use serde::Serialize;

/// The farm as a phone needs it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Snapshot {
    /// The farm.
    pub farm: FarmName,
    /// The season that is being cut.
    pub season: u16,
    /// The local hour before which work belongs to the day before.
    pub day_begins_hour: i8,
    /// The harvest day, `2026-10-06`.
    pub day: String,
    /// The book's clock, UTC milliseconds.
    pub now_ms: i64,
    /// Entries in the book.
    pub entries: usize,
    /// Combines.
    pub machines: Vec<MachineName>,
    /// Fields, by name; those planted this season first.
    pub fields: Vec<FieldChoice>,
    /// Places that a machine or a ticket may fill, with what they hold.
    pub places: Vec<PlaceChoice>,
    /// Buyers.
    pub buyers: Vec<Named>,
    /// Moisture meters.
    pub meters: Vec<Named>,
    /// What to say at the scale, one card a field, crop and buyer.
    pub arranged: Vec<ScaleCard>,
    /// What is running: field, machine and wagon of the last dump.
    pub running: Option<Running>,
    /// A stop that nobody has ended.
    pub stop: Option<Standstill>,
    /// The harvest day so far.
    pub today: Today,
    /// The number after the last load card's.
    pub next_load: u32,
    /// When other devices were last heard of in the book.
    pub heard: Vec<Heard>,
    /// What the phone needs to answer a count by itself.
    pub counting: Counting,
    /// Cautions that ship with the buttons.
    pub cautions: Cautions,
    /// What the trade tries first, for the crops of the season.
    pub tries: Vec<TryFirst>,
}

/// The farm's name and clock.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FarmName {
    /// What people call it.
    pub name: String,
    /// Its time zone.
    pub zone: String,
}

/// A thing that has only a name here.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Named {
    /// What people call it.
    pub name: String,
}

/// A combine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MachineName {
    /// What people call it.
    pub name: String,
    /// `wet`, `dry`, or none without a monitor.
    pub monitor: Option<&'static str>,
}

/// A crop by its key and its name in print.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropName {
    /// The key in entries.
    pub crop: String,
    /// In print, English; a key for translation.
    pub name: String,
}

/// A field to choose.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldChoice {
    /// What people call it.
    pub name: String,
    /// What is planted there this season.
    pub crops: Vec<CropName>,
    /// Its insured unit.
    pub unit: Option<String>,
    /// Who has which share of this season's crop.
    pub owners: Vec<Share>,
}

/// A place to choose.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaceChoice {
    /// What people call it.
    pub name: String,
    /// cart, wagon, truck, bin, pile, dryer, pit, feed, seed or spill.
    pub kind: &'static str,
    /// Its weight empty is on record.
    pub tared: bool,
    /// What it holds since it was last known empty, by the book.
    pub holds: Option<Holds>,
}

/// What a place holds, for the warning before mixing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Holds {
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Other crops that it holds too, by key.
    pub other_crops: Vec<String>,
    /// Insured units of what it holds.
    pub units: Vec<String>,
    /// Whose it is.
    pub owners: Vec<String>,
    /// Fields that it came from.
    pub fields: Vec<String>,
    /// Whether some of it is from a field nobody wrote.
    pub unknown_field: bool,
    /// How full as last written, per cent of level full.
    pub full: Option<f64>,
    /// When the first of it went in, UTC milliseconds.
    pub since_ms: Option<i64>,
    /// When the last of it went in, UTC milliseconds.
    pub last_ms: Option<i64>,
    /// Covered, open, or nobody said.
    pub covered: Option<bool>,
    /// The season it grew in, where it is carried over.
    pub carried_from: Option<u16>,
}

/// What the driver says at a buyer's scale. A blank is asked, never guessed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScaleCard {
    /// The field; none is any field without a card of its own.
    pub field: Option<String>,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// The buyer; none where nothing was arranged: any buyer.
    pub buyer: Option<String>,
    /// Accounts and shares.
    pub split: Vec<Account>,
    /// Whether the split was arranged; else it is the planting's shares.
    pub split_arranged: bool,
    /// `sell`, `store` or `price_later`; none: ask.
    pub terms: Option<&'static str>,
    /// The contract's number, where it is sold under one.
    pub contract: Option<String>,
    /// What else to say.
    pub remark: Option<String>,
}

/// One account on a ticket.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Account {
    /// Whose.
    pub person: String,
    /// The account's name as the buyer writes it; the person's, if nothing else was arranged.
    pub account: String,
    /// The share, per cent, as written.
    pub percent: String,
}

/// What is running.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Running {
    /// Which field.
    pub field: String,
    /// Which combine.
    pub machine: String,
    /// Into which place.
    pub into: String,
    /// Which crop, by key.
    pub crop: String,
    /// The dump that says so, UTC milliseconds.
    pub at_ms: i64,
}

/// A stop that runs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Standstill {
    /// The entry that began it; a `go` names it.
    pub id: String,
    /// Since when, UTC milliseconds.
    pub since_ms: i64,
    /// Why, by key: wagon, plug, breakdown, moving, fuel_grease, weather, setting, rest or other.
    pub why: &'static str,
    /// Which combine, if written.
    pub machine: Option<String>,
    /// In which field, if written.
    pub field: Option<String>,
}

/// The harvest day so far, by the book.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Today {
    /// Tanks emptied.
    pub dumps: usize,
    /// The last, UTC milliseconds.
    pub last_dump_ms: Option<i64>,
    /// Loss counts.
    pub counts: usize,
    /// The last.
    pub last_count_ms: Option<i64>,
    /// Samples.
    pub samples: usize,
    /// The last.
    pub last_sample_ms: Option<i64>,
    /// Minutes stood, a running stop included.
    pub stop_minutes: i64,
    /// Stops.
    pub stops: usize,
    /// Notes.
    pub notes: usize,
    /// Weigh tickets.
    pub tickets: usize,
}

/// When a device was last heard of.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Heard {
    /// Its id.
    pub device: String,
    /// What people call it; its id where nobody said.
    pub name: String,
    /// Its latest entry in the book, by its own clock, UTC milliseconds.
    pub last_ms: i64,
}

/// The cautions of the cab.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cautions {
    /// Beside Load.
    pub load: InTwo,
    /// Beside Count.
    pub count: InTwo,
    /// Beside Stop.
    pub stop: InTwo,
    /// Beside a bin measure.
    pub bin: InTwo,
    /// Beside Setting.
    pub setting: InTwo,
}

/// What the trade tries first for something seen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TryFirst {
    /// The crop, by key.
    pub crop: String,
    /// What is seen, English; the phone has its Spanish.
    pub sign: &'static str,
    /// Whose loss it is; none for what is seen in the tank.
    pub lost_at: Option<facts::LostAt>,
    /// The usual first nudge.
    pub text: InTwo,
}

/// A sentence in the two languages of the crews.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InTwo {
    /// English.
    pub en: String,
    /// Spanish.
    pub es: String,
}
