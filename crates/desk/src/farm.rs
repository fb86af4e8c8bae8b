//! The farm as the book has it now: names, slips and stocks that stand, each with its entry.

use crate::DeskError;
use book::kinds::{
    Arranged, Buyer, CallAt, Copied, Count, Cover, Day, Dump, Field, FileKept, Go, GrainContract,
    Machine, Measure, Meter, Move, Name, Note, Often, Opening, Payload, Person, Place, Planting,
    Reading, Ready, Sample, SeasonSettings, Setting, Stop, Ticked, Unread, Weighed,
};
use book::{Book, DeviceId, Effective, EntryId, Happened, effective};
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
    /// Notes.
    pub notes: Vec<Stands<Note>>,
    /// Files and photographs.
    pub files: Vec<Stands<FileKept>>,
    /// Seeds counted in frames.
    pub counts: Vec<Stands<Count>>,
    /// What was changed on the combine.
    pub settings: Vec<Stands<Setting>>,
    /// Times the combine stood.
    pub stops: Vec<Stands<Stop>>,
    /// Ends of stops; of two for one stop the earlier counts ([`Farm::stop_end`]).
    pub goes: Vec<Stands<Go>>,
    /// Agents' call-at yields; of one unit, crop and season the last holds ([`Farm::call_at`]).
    pub call_ats: Vec<Stands<CallAt>>,
    /// Grain promised to buyers.
    pub contracts: Vec<Stands<GrainContract>>,
    /// How deliveries were arranged; of one buyer, crop, season and field the last holds
    /// ([`Farm::arranged_for`]).
    pub arranged: Vec<Stands<Arranged>>,
    /// Lines of the ready lists.
    pub ready: Vec<Stands<Ready>>,
    /// Lines that were done, by harvest day.
    pub ticked: Vec<Stands<Ticked>>,
    /// Tarps put on and taken off ([`Farm::covered`]).
    pub covers: Vec<Stands<Cover>>,
    /// Copies of the book kept elsewhere.
    pub copied: Vec<Stands<Copied>>,
    /// What phones wrote and could not be read.
    pub unread: Vec<Stands<Unread>>,
    /// Settings by season.
    pub seasons: BTreeMap<u16, SeasonSettings>,
    /// Entries in the book, those that do not stand included.
    pub entries: usize,
    /// Devices that wrote into it, each with its latest stamp, UTC milliseconds.
    pub devices: BTreeMap<DeviceId, i64>,
    /// The fold it came from: conflicts, voids, what needs a newer program, odd clocks.
    pub effective: Effective,
}

impl Farm {
    /// Reads what stands in a book.
    ///
    /// # Errors
    /// A book that cannot be read.
    pub fn read(book: &Book) -> Result<Self, DeskError> {
        let entries = book.entries()?;
        let mut farm = Self::of(effective(&entries))?;
        farm.entries = entries.len();
        for entry in &entries {
            let last = farm.devices.entry(entry.device.clone()).or_insert(0);
            *last = entry.stamp_ms.max(*last);
        }
        Ok(farm)
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
            Payload::Note(says) => farm.notes.push(stands!(says)),
            Payload::File(says) => farm.files.push(stands!(says)),
            Payload::Count(says) => farm.counts.push(stands!(says)),
            Payload::Setting(says) => farm.settings.push(stands!(says)),
            Payload::Stop(says) => farm.stops.push(stands!(says)),
            Payload::Go(says) => farm.goes.push(stands!(says)),
            Payload::CallAt(says) => farm.call_ats.push(stands!(says)),
            Payload::Contract(says) => farm.contracts.push(stands!(says)),
            Payload::Arranged(says) => farm.arranged.push(stands!(says)),
            Payload::Ready(says) => farm.ready.push(stands!(says)),
            Payload::Ticked(says) => farm.ticked.push(stands!(says)),
            Payload::Cover(says) => farm.covers.push(stands!(says)),
            Payload::Copied(says) => farm.copied.push(stands!(says)),
            Payload::Unread(says) => farm.unread.push(stands!(says)),
            Payload::Correction(_) | Payload::Void(_) => {}
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
    /// The field, machine, place, buyer or person of that name, as the book writes it.
    pub fn known(&self, text: &str) -> Option<Name> {
        let named = find(&self.fields, text).map(|(name, _)| name);
        named
            .or_else(|| find(&self.machines, text).map(|(name, _)| name))
            .or_else(|| find(&self.places, text).map(|(name, _)| name))
            .or_else(|| find(&self.buyers, text).map(|(name, _)| name))
            .or_else(|| find(&self.people, text).map(|(name, _)| name))
            .cloned()
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

    /// The end of a stop, if it has one: the earlier of two.
    pub fn stop_end(&self, stop: EntryId) -> Option<&Stands<Go>> {
        let ends = self.goes.iter().filter(|go| go.says.stop == stop);
        ends.min_by_key(|go| go.happened.at_ms())
    }

    /// The stops that still run: without minutes of their own, and nothing ends them.
    pub fn running_stops(&self) -> impl Iterator<Item = &Stands<Stop>> {
        self.stops
            .iter()
            .filter(|stop| stop.says.minutes.is_none() && self.stop_end(stop.id).is_none())
    }

    /// The call-at yield that holds for an insured unit's crop.
    pub fn call_at(&self, unit: &Name, crop: &Name, season: u16) -> Option<&Stands<CallAt>> {
        self.call_ats
            .iter()
            .rev()
            .find(|one| (&one.says.unit, &one.says.crop, one.says.season) == (unit, crop, season))
    }

    /// How the delivery of a field's grain to a buyer is arranged: for that field, or for any.
    pub fn arranged_for(
        &self,
        buyer: &Name,
        crop: &Name,
        season: u16,
        field: Option<&Name>,
    ) -> Option<&Stands<Arranged>> {
        let mut of = self.arranged.iter().rev().filter(|one| {
            (&one.says.buyer, &one.says.crop, one.says.season) == (buyer, crop, season)
        });
        let general = of.clone().find(|one| one.says.field.is_none());
        of.find(|one| field.is_some() && one.says.field.as_ref() == field)
            .or(general)
    }

    /// Whether a place is covered, and since when that is known: from tarps and from dumps.
    pub fn covered(&self, place: &Name) -> Option<(bool, &Happened)> {
        let tarps = self.covers.iter().filter(|one| one.says.place == *place);
        let tarps = tarps.map(|one| (one.says.covered, &one.happened));
        let dumps = self.dumps.iter().filter(|one| one.says.into == *place);
        let dumps = dumps.filter_map(|one| one.says.covered.map(|yes| (yes, &one.happened)));
        dumps
            .chain(tarps)
            .max_by_key(|(_, happened)| happened.at_ms())
    }

    /// Whether a line of a ready list is done: a daily one for that harvest day, another for good.
    pub fn is_ticked(&self, line: &Stands<Ready>, day: Day) -> bool {
        let daily = line.says.often == Often::Daily;
        self.ticked
            .iter()
            .any(|tick| tick.says.item == line.id && (!daily || tick.says.day == day))
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
