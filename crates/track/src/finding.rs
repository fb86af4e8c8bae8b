//! What a reader or a check found, and what was done about it.

use crate::KG_PER_LB;
use quantity::Mass;
use std::collections::BTreeMap;

/// Most findings of one kind kept word for word; the counts go on beyond it.
const SHOWN_PER_KIND: u64 = 50;

/// What kind of thing was found.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum FindingKind {
    /// The row stops before a needed column.
    TooFewFields,
    /// A needed field is empty.
    Empty,
    /// A needed field is not a number.
    NotANumber,
    /// The row holds bytes that are not UTF-8 text.
    NotUtf8,
    /// A quoted field never closes.
    OpenQuote,
    /// The row is longer than any row of points.
    LongRow,
    /// Longitude or latitude off the Earth.
    OffEarth,
    /// Longitude and latitude both exactly 0: the receiver had no fix.
    NoFix,
    /// Mass or flow below 0 or beyond any combine.
    Mass,
    /// Moisture outside 0 to 60 %.
    Moisture,
    /// Distance below 0 or beyond 1 km in one record.
    Distance,
    /// Interval not above 0, or beyond one hour.
    Interval,
    /// Cutting width below 0 or beyond 30 m.
    Width,
    /// An optional field (time, elevation, head, pass) that could not be read; the record is kept without it.
    OptionalField,
    /// The file ends inside a record, or cannot be followed beyond one.
    CutShort,
    /// A part that the file names is missing or cannot be read.
    MissingPart,
    /// The clock ran backwards from the record before.
    ClockBackwards,
    /// A record exactly like the one before.
    Repeated,
    /// The median speed is one that no combine makes: a unit is probably wrong.
    ImplausibleSpeed,
    /// The median yield is one that no crop makes: a unit or the swath is probably wrong.
    ImplausibleYield,
    /// Positions and logged distances disagree: a unit is probably wrong.
    ImplausibleDistance,
}

/// What was done about a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Done {
    /// The record stays in every total.
    Kept,
    /// The record is in no total, and is counted as set aside.
    SetAside,
    /// It is about the whole file; nothing was changed.
    Warned,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Finding {
    /// Line of the file, the first line being 1; `None` when it is about the whole file.
    pub row: Option<u64>,
    /// Byte of the file where that line starts, from 0.
    pub byte: Option<u64>,
    /// Kind of finding.
    pub kind: FindingKind,
    /// What was found, and what was expected.
    pub what: String,
    /// What was done.
    pub done: Done,
    /// Wet mass of the record, kg, when it is set aside and its mass could still be read.
    pub mass_kg: Option<f64>,
}

/// All findings of one file: exact counts, and the first 50 of each kind word for word.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Findings {
    counts: BTreeMap<FindingKind, u64>,
    shown: Vec<Finding>,
    set_aside_rows: u64,
    set_aside_massless: u64,
    // exact, so that it does not matter in which order pieces of a file are merged
    set_aside_units: i128,
}

/// The same in numbers, for a result.
#[derive(Debug, Clone, PartialEq, Default, serde::Serialize)]
pub struct FindingTotals {
    /// How many of each kind.
    pub counts: BTreeMap<FindingKind, u64>,
    /// Records that are in no total.
    pub set_aside_rows: u64,
    /// Wet mass of those of them whose mass could be read, lb.
    pub set_aside_wet_lb: f64,
    /// The same in bushels at the base moisture, if they were as wet as the rest.
    pub set_aside_dry_bu: f64,
    /// How many of them had no readable mass.
    pub set_aside_mass_unread_rows: u64,
    /// The first 50 of each kind.
    pub shown: Vec<Finding>,
}

impl Findings {
    /// Adds one.
    pub fn add(&mut self, finding: Finding) {
        let count = self.counts.entry(finding.kind).or_insert(0);
        *count += 1;
        if finding.done == Done::SetAside {
            self.set_aside_rows += 1;
            match finding.mass_kg.and_then(|kg| Mass::from_kg(kg).ok()) {
                Some(mass) => self.set_aside_units += i128::from(mass.units()),
                None => self.set_aside_massless += 1,
            }
        }
        if *count <= SHOWN_PER_KIND {
            self.shown.push(finding);
        }
    }

    /// Appends those of a later piece of the same file; the result does not depend on where the
    /// pieces were cut.
    pub fn append(&mut self, later: Self) {
        let mut shown: BTreeMap<FindingKind, u64> = self.counts.clone();
        for finding in later.shown {
            let count = shown.entry(finding.kind).or_insert(0);
            *count += 1;
            if *count <= SHOWN_PER_KIND {
                self.shown.push(finding);
            }
        }
        for (kind, count) in later.counts {
            *self.counts.entry(kind).or_insert(0) += count;
        }
        self.set_aside_rows += later.set_aside_rows;
        self.set_aside_massless += later.set_aside_massless;
        self.set_aside_units += later.set_aside_units;
    }

    /// How many of each kind.
    pub fn counts(&self) -> &BTreeMap<FindingKind, u64> {
        &self.counts
    }

    /// The first 50 of each kind, in the order found.
    pub fn shown(&self) -> &[Finding] {
        &self.shown
    }

    /// Records that are in no total.
    pub fn set_aside_rows(&self) -> u64 {
        self.set_aside_rows
    }

    /// In numbers; `bu_per_kg` turns a wet kilogram of the kept records into bushels.
    pub fn totals(&self, bu_per_kg: f64) -> FindingTotals {
        let kg = self.set_aside_units as f64 / 1e8;
        FindingTotals {
            counts: self.counts.clone(),
            set_aside_rows: self.set_aside_rows,
            set_aside_wet_lb: kg / KG_PER_LB,
            set_aside_dry_bu: kg * bu_per_kg,
            set_aside_mass_unread_rows: self.set_aside_massless,
            shown: self.shown.clone(),
        }
    }
}
