//! The morning page: what stands, what is on wheels, what to look at before the first pass.

mod fields;
mod make;
mod stops;

pub use make::morning;
pub use stops::{Foretold, OpenStop};

pub(crate) use fields::{acres_of, cut_acres, plantings};
pub(crate) use make::{authors, calendar, notes, questions};

use crate::Why;
use crate::held::{Held, MoveWhy};
use serde::Serialize;

/// What no part of the program works out yet. It has no value, so that `Option<Later>` is always
/// none and the page keeps its place ready.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum Later {}

/// The morning.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Morning {
    /// The farm.
    pub farm: String,
    /// Its time zone.
    pub zone: String,
    /// The moment asked for, UTC milliseconds.
    pub now_ms: i64,
    /// The season.
    pub season: u16,
    /// The harvest day, `2026-10-06`.
    pub day: String,
    /// Which day of harvest it is, counted from the first slip's as 1; none before it.
    pub day_of_harvest: Option<u32>,
    /// The answer.
    pub says: MorningSays,
    /// Fields planted this season, the one last cut first.
    pub fields: Vec<FieldNow>,
    /// Fields without a planting this season.
    pub unplanted: Vec<String>,
    /// What is on wheels, what must move first first.
    pub wheels: Vec<OnWheels>,
    /// Stops that nobody ended, or whose length nobody knows, the latest first.
    pub open_stops: Vec<OpenStop>,
    /// What breakdowns may still take of the acres left, where the record says.
    pub foretold: Option<Foretold>,
    /// The ready list.
    pub ready: Vec<ReadyLine>,
    /// Notes since the last harvest day began, the latest first.
    pub notes: Vec<NoteLine>,
    /// What lay on the ground at the counts since the morning before.
    pub counts: Vec<crate::count::Counted>,
    /// Questions that nobody answered, the oldest first.
    pub questions: Vec<NoteLine>,
    /// Hours each field is fit today.
    pub fit_hours: Option<Later>,
    /// Which field next, and what waiting costs.
    pub field_order: Option<Later>,
    /// The haul plan.
    pub haul: Option<Later>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// The morning's sentence, as facts for the page to word.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "says", rename_all = "snake_case")]
pub enum MorningSays {
    /// The book has no field.
    NoField,
    /// Nothing is planted this season.
    NothingPlanted {
        /// Fields in the book.
        fields: usize,
    },
    /// Nothing is cut yet.
    NotBegun {
        /// Fields planted.
        fields: usize,
        /// Their planted acres, where all are known.
        planted_ac: Option<f64>,
    },
    /// Harvest runs.
    Underway {
        /// Which day of harvest.
        day_of_harvest: u32,
        /// The field last cut.
        field: String,
        /// Its crop, by key.
        crop: String,
        /// When its last tank was emptied, UTC milliseconds.
        last_dump_ms: i64,
        /// Acres cut so far in all fields, where every field's are known.
        cut_ac: Option<f64>,
        /// Acres planted, where every field's are known.
        planted_ac: Option<f64>,
        /// Wagons, carts and trucks with grain on them.
        on_wheels: usize,
        /// What must move first, where anything must.
        move_first: Option<MoveFirst>,
    },
}

/// What must move first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MoveFirst {
    /// Where it is.
    pub place: String,
    /// The crop, by key.
    pub crop: String,
    /// Why.
    pub why: Vec<MoveWhy>,
}

/// A field this morning.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldNow {
    /// The field.
    pub field: String,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Insured unit.
    pub unit: Option<String>,
    /// Acres planted, if written.
    pub planted_ac: Option<f64>,
    /// Acres cut this season, if written; 0 while no tank came off it.
    pub cut_ac: Option<f64>,
    /// Planted less cut, where both are known; else "not known".
    pub standing_ac: Option<f64>,
    /// Tanks that came off it.
    pub dumps: usize,
    /// The last of them, UTC milliseconds.
    pub last_dump_ms: Option<i64>,
    /// The latest moisture read of what stands or came off it.
    pub sample: Option<LatestSample>,
}

/// The latest sample of a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LatestSample {
    /// Its entry.
    pub entry: String,
    /// Mean of its readings, per cent wet basis.
    pub moisture_pct: f64,
    /// Readings in it.
    pub readings: usize,
    /// Lowest reading, per cent.
    pub low_pct: f64,
    /// Highest reading, per cent.
    pub high_pct: f64,
    /// How it was taken, by key: hand_shelled, tank, stream, probe, grab, wagon, bin, dryer_hot; or
    /// `dump` for a moisture written on a tank.
    pub how: &'static str,
    /// The meter, if written.
    pub meter: Option<String>,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// How old, hours.
    pub age_h: f64,
}

/// A wagon, cart or truck with grain on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OnWheels {
    /// What it holds.
    pub held: Held,
    /// Hours since the last of it went in.
    pub hours: Option<f64>,
    /// Why it should move; empty if nothing presses.
    pub why: Vec<MoveWhy>,
}

/// A line of the ready list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadyLine {
    /// Its entry; a tick names it.
    pub id: String,
    /// What to look at, do or bring.
    pub text: String,
    /// Which list.
    pub list: String,
    /// Whether it is due every harvest day.
    pub daily: bool,
    /// What is read when it is done, with its limits.
    pub reading: Option<String>,
    /// Whether the engine's hours say when it is due.
    pub by_hours: bool,
    /// A reading outside its limits, in a sentence.
    pub outside: Option<String>,
    /// The tick that holds today, if it is done: its entry.
    pub ticked: Option<String>,
    /// Who ticked it.
    pub ticked_by: Option<String>,
    /// When, UTC milliseconds.
    pub ticked_ms: Option<i64>,
}

/// A note or question.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NoteLine {
    /// Its entry.
    pub id: String,
    /// In the writer's words.
    pub text: String,
    /// What it is of.
    pub of: Vec<String>,
    /// Who wrote it.
    pub author: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Whether it asks for an answer.
    pub question: bool,
}
