//! The farm as the book has it now: names, slips and stocks that stand, each with its entry.

use crate::DeskError;
use book::kinds::{
    Buyer, Dump, Field, Machine, Measure, Meter, Move, Name, Opening, Payload, Person, Place,
    Planting, Reading, Sample, SeasonSettings, Weighed,
};
use book::{Book, Effective, EntryId, Happened, effective};
use std::collections::BTreeMap;

/// One thing that stands, with the entry that says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands<T> {
    /// The first entry's id.
    pub id: EntryId,
    /// When it happened, as corrected.
    pub happened: Happened,
    /// Whether a correction holds.
    pub mended: bool,
    /// What it says.
    pub says: T,
}

/// Everything that stands in a book, by kind; of things with a name, the last of each name.
#[derive(Debug, Clone, Default)]
pub struct Farm {
    /// The farm's name.
    pub name: String,
    /// The farm's time zone.
    pub zone: String,
    /// Fields by name.
    pub fields: BTreeMap<Name, Stands<Field>>,
    /// Plantings.
    pub plantings: Vec<Stands<Planting>>,
    /// Combines by name.
    pub machines: BTreeMap<Name, Stands<Machine>>,
    /// Places by name.
    pub places: BTreeMap<Name, Stands<Place>>,
    /// Meters by name.
    pub meters: BTreeMap<Name, Stands<Meter>>,
    /// Buyers by name.
    pub buyers: BTreeMap<Name, Stands<Buyer>>,
    /// People by name.
    pub people: BTreeMap<Name, Stands<Person>>,
    /// Stocks at the beginning.
    pub openings: Vec<Stands<Opening>>,
    /// Tanks emptied.
    pub dumps: Vec<Stands<Dump>>,
    /// Weigh tickets.
    pub tickets: Vec<Stands<Weighed>>,
    /// Other movements.
    pub moves: Vec<Stands<Move>>,
    /// Stocks measured.
    pub measures: Vec<Stands<Measure>>,
    /// Samples.
    pub samples: Vec<Stands<Sample>>,
    /// Settings by season.
    pub seasons: BTreeMap<u16, SeasonSettings>,
    /// The fold it came from: conflicts, voids, what needs a newer program, odd clocks.
    pub effective: Effective,
}

impl Farm {
    /// Reads what stands in a book.
    ///
    /// # Errors
    /// A book that cannot be read.
    pub fn read(book: &Book) -> Result<Self, DeskError> {
        Self::of(effective(&book.entries()?))
    }

    /// Sorts what stands by kind.
    ///
    /// # Errors
    /// A payload that is not what its kind says (the book refuses to keep such).
    pub fn of(effective: Effective) -> Result<Self, DeskError> {
        let mut farm = Self::default();
        for standing in &effective.entries {
            let Reading::Known(payload) = standing.read()? else {
                continue;
            };
            let mended = standing.holder != standing.id;
            farm.learn(standing.id, &standing.happened, mended, payload);
        }
        farm.effective = effective;
        Ok(farm)
    }

    /// Takes in one thing that stands, or is about to: what later lines of a batch may name.
    pub fn learn(&mut self, id: EntryId, happened: &Happened, mended: bool, payload: Payload) {
        let farm = self;
        let happened = happened.clone();
        macro_rules! stands {
            ($says:expr) => {
                Stands {
                    id,
                    happened,
                    mended,
                    says: $says,
                }
            };
        }
        match payload {
            Payload::Farm(says) => {
                farm.name = says.name.to_string();
                farm.zone = says.zone.to_string();
            }
            Payload::Field(says) => {
                farm.fields.insert(says.name.clone(), stands!(says));
            }
            Payload::Machine(says) => {
                farm.machines.insert(says.name.clone(), stands!(says));
            }
            Payload::Place(says) => {
                farm.places.insert(says.name.clone(), stands!(says));
            }
            Payload::Meter(says) => {
                farm.meters.insert(says.name.clone(), stands!(says));
            }
            Payload::Buyer(says) => {
                farm.buyers.insert(says.name.clone(), stands!(says));
            }
            Payload::Person(says) => {
                farm.people.insert(says.name.clone(), stands!(says));
            }
            Payload::Season(says) => {
                farm.seasons.insert(says.season, says);
            }
            Payload::Planting(says) => farm.plantings.push(stands!(says)),
            Payload::Opening(says) => farm.openings.push(stands!(says)),
            Payload::Dump(says) => farm.dumps.push(stands!(says)),
            Payload::Weighed(says) => farm.tickets.push(stands!(says)),
            Payload::Move(says) => farm.moves.push(stands!(says)),
            Payload::Measure(says) => farm.measures.push(stands!(says)),
            Payload::Sample(says) => farm.samples.push(stands!(says)),
            Payload::File(_) | Payload::Note(_) | Payload::Correction(_) | Payload::Void(_) => {}
        }
    }

    /// The field of that name, in any case of letters.
    ///
    /// # Errors
    /// No such field.
    pub fn field(&self, text: &str) -> Result<Name, DeskError> {
        find(&self.fields, text)
            .map(|(name, _)| name.clone())
            .ok_or_else(|| missing("field", text, self.fields.keys()))
    }
    /// The combine of that name.
    ///
    /// # Errors
    /// No such machine.
    pub fn machine(&self, text: &str) -> Result<&Machine, DeskError> {
        find(&self.machines, text)
            .map(|(_, stands)| &stands.says)
            .ok_or_else(|| missing("machine", text, self.machines.keys()))
    }
    /// The place of that name.
    ///
    /// # Errors
    /// No such place.
    pub fn place(&self, text: &str) -> Result<Name, DeskError> {
        find(&self.places, text)
            .map(|(name, _)| name.clone())
            .ok_or_else(|| missing("place", text, self.places.keys()))
    }
    /// The meter of that name.
    ///
    /// # Errors
    /// No such meter.
    pub fn meter(&self, text: &str) -> Result<Name, DeskError> {
        find(&self.meters, text)
            .map(|(name, _)| name.clone())
            .ok_or_else(|| missing("meter", text, self.meters.keys()))
    }
    /// The buyer of that name.
    ///
    /// # Errors
    /// No such buyer.
    pub fn buyer(&self, text: &str) -> Result<Name, DeskError> {
        find(&self.buyers, text)
            .map(|(name, _)| name.clone())
            .ok_or_else(|| missing("buyer", text, self.buyers.keys()))
    }
    /// The place or field of that name.
    ///
    /// # Errors
    /// Neither.
    pub fn place_or_field(&self, text: &str) -> Result<Name, DeskError> {
        self.place(text).or_else(|_| self.field(text)).map_err(|_| {
            missing(
                "place or field",
                text,
                self.places.keys().chain(self.fields.keys()),
            )
        })
    }

    /// The last season that has a slip, if any.
    pub fn latest_season(&self) -> Option<u16> {
        let dumps = self.dumps.iter().map(|dump| dump.says.season);
        let tickets = self.tickets.iter().map(|ticket| ticket.says.season);
        let moves = self.moves.iter().map(|moved| moved.says.season);
        dumps.chain(tickets).chain(moves).max()
    }

    /// The hour before which work belongs to the day before.
    pub fn day_begins(&self, season: u16) -> i8 {
        self.seasons
            .get(&season)
            .and_then(|settings| i8::try_from(settings.day_begins_hour).ok())
            .unwrap_or(4)
    }
}

/// An exact name first, then one that differs only in its letters' case.
fn find<'m, T>(map: &'m BTreeMap<Name, T>, text: &str) -> Option<(&'m Name, &'m T)> {
    let text = text.trim();
    map.iter()
        .find(|(name, _)| name.as_str() == text)
        .or_else(|| {
            map.iter()
                .find(|(name, _)| name.as_str().to_lowercase() == text.to_lowercase())
        })
}

fn missing<'n>(
    what: &'static str,
    found: &str,
    known: impl Iterator<Item = &'n Name>,
) -> DeskError {
    let names: Vec<&str> = known.map(Name::as_str).take(12).collect();
    let first_word = what.split(' ').next().unwrap_or(what);
    DeskError::NotInBook {
        what,
        found: found.chars().take(80).collect(),
        known: if names.is_empty() {
            format!("it has none yet; write the {first_word} first (stook write {first_word})")
        } else {
            format!(
                "it has {}; use one of them or write it first (stook write {first_word})",
                names.join(", ")
            )
        },
    }
}
