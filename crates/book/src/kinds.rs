//! What an entry can say: one typed payload a kind.
//!
//! Each kind has a version. A payload is stored as JSON of the version that it was written in;
//! [`Payload::read`] brings older ones up to the current version by pure steps
//! (`upcast`), checks the result with the same checks that typed input passes, and says
//! [`Reading::NeedsNewer`] of what only a later program knows.
//!
//! The record is what the paper says: a swapped digit, a net that is not gross less tare or a
//! moisture that is ten-fold off can be entered, since finding those is what the account is for.
//! Refused is only what cannot be meant: a tare above its gross, shares that do not sum to the whole.

mod amend;
mod care;
mod check;
mod counts;
mod day;
mod land;
mod name;
mod people;
mod places;
mod settings;
mod slips;
mod stock;
mod stops;
mod stored;
mod trade;
mod upcast;

pub use amend::{Correction, Void};
pub use care::{Copied, Cover, Often, Ready, ReadyReading, Ticked, Unread};
pub use counts::{Count, Found, Frame, FrameAt, Tail};
pub use day::Day;
pub use land::{Acres, AcresSource, Boundary, Farm, Field, Planting, SeasonSettings, Share};
pub use name::Name;
pub use people::{Buyer, BuyerSchedule, Hours, Language, Person, Receiving, Role};
pub use places::{Machine, Meter, MeterKind, MonitorBasis, Place, PlaceKind};
pub use settings::{Seen, Setting, SettingChange, SettingOf, TankSeen};
pub use slips::{
    Contract, Dump, Fill, MoistureReading, MonitorReading, Move, MoveWeight, ScaleClass,
    ScaleWeight, Weighed,
};
pub use stock::{
    BinShape, FileKept, FilePurpose, Measure, Note, Opening, Sample, SampleHow, StockAmount,
    Temperature, TemperatureScale,
};
pub use stops::{Go, Stop, StopWhy};
pub use trade::{Arranged, CallAt, GrainContract};

use crate::BookError;
use crate::EntryId;

macro_rules! kinds {
    ($($(#[$doc:meta])* $variant:ident($payload:ty) = $name:literal, $version:literal;)*) => {
        /// Every payload this program knows, at its current version.
        #[derive(Debug, Clone, PartialEq)]
        pub enum Payload {
            $($(#[$doc])* $variant($payload),)*
        }

        impl Payload {
            /// Every kind known here, with the version it is written in.
            pub const KINDS: &'static [(&'static str, u32)] = &[$(($name, $version)),*];

            /// The kind's name as stored.
            pub const fn kind(&self) -> &'static str {
                match self { $(Self::$variant(_) => $name,)* }
            }

            /// The version of the payload's form that this program writes.
            pub const fn version(&self) -> u32 {
                match self { $(Self::$variant(_) => $version,)* }
            }

            /// The payload as it is stored: JSON on one line, fields in a fixed order.
            pub fn text(&self) -> String {
                match self {
                    $(Self::$variant(payload) => serde_json::to_string(payload),)*
                }
                .expect("payloads hold only text, numbers and lists")
            }

            /// Checks what the types alone do not say: ranges, tare below gross, shares that sum to the whole.
            ///
            /// # Errors
            /// [`BookError::Field`] that names the field, what it is and what was expected.
            pub fn check(&self) -> Result<(), BookError> {
                match self { $(Self::$variant(payload) => payload.check(),)* }
            }

            fn read_current(kind: &str, text: &str) -> Option<Result<Self, serde_json::Error>> {
                Some(match kind {
                    $($name => serde_json::from_str(text).map(Self::$variant),)*
                    _ => return None,
                })
            }
        }

        $(impl From<$payload> for Payload {
            fn from(payload: $payload) -> Self {
                Self::$variant(payload)
            }
        })*
    };
}

kinds! {
    /// The farm itself; begins a book.
    Farm(Farm) = "farm", 1;
    /// A field, its boundary, numbers and acres.
    Field(Field) = "field", 1;
    /// A crop in a field in a season, and who has which share of it.
    Planting(Planting) = "planting", 1;
    /// Grain that was already there when the season or the book began.
    Opening(Opening) = "opening", 1;
    /// A combine.
    Machine(Machine) = "machine", 1;
    /// Anything that can hold grain.
    Place(Place) = "place", 1;
    /// A moisture meter.
    Meter(Meter) = "meter", 1;
    /// A buyer, the schedules and the hours of receiving.
    Buyer(Buyer) = "buyer", 1;
    /// Somebody who has a share or a part in the work.
    Person(Person) = "person", 2;
    /// The machine's tank emptied into something.
    Dump(Dump) = "dump", 2;
    /// A weigh ticket.
    Weighed(Weighed) = "weighed", 2;
    /// Any other slip: bin to truck, feed, seed, spill, dryer.
    Move(Move) = "move", 1;
    /// A stock measured: a bin's depths, a wagon known to be empty.
    Measure(Measure) = "measure", 1;
    /// Grain sampled and read by a meter.
    Sample(Sample) = "sample", 2;
    /// A raw file or photograph that was attached.
    File(FileKept) = "file", 1;
    /// Anything worth remembering.
    Note(Note) = "note", 2;
    /// Seeds counted in frames on the ground.
    Count(Count) = "count", 2;
    /// The combine was set otherwise.
    Setting(Setting) = "setting", 1;
    /// The combine stands.
    Stop(Stop) = "stop", 1;
    /// The combine goes on.
    Go(Go) = "go", 2;
    /// The agent's call-at yield of an insured unit.
    CallAt(CallAt) = "call_at", 1;
    /// Grain promised to a buyer.
    Contract(GrainContract) = "contract", 1;
    /// How deliveries to a buyer were arranged.
    Arranged(Arranged) = "arranged", 1;
    /// A line of a ready list.
    Ready(Ready) = "ready", 2;
    /// A line of a ready list was done.
    Ticked(Ticked) = "ticked", 2;
    /// A tarp put on or taken off.
    Cover(Cover) = "cover", 1;
    /// A copy of the book kept elsewhere.
    Copied(Copied) = "copied", 1;
    /// What a phone wrote and could not be read, kept whole.
    Unread(Unread) = "unread", 1;
    /// Settings of one season.
    Season(SeasonSettings) = "season", 2;
    /// A new wording of an earlier entry.
    Correction(Correction) = "correction", 1;
    /// Takes an earlier entry out.
    Void(Void) = "void", 1;
}

/// What came of reading a stored payload.
#[derive(Debug, Clone, PartialEq)]
#[expect(
    clippy::large_enum_variant,
    reason = "taken apart as soon as it is read, never kept"
)]
pub enum Reading {
    /// Understood, brought up to the current version and checked.
    Known(Payload),
    /// Of a kind or version that only a later program knows: kept, merged and shown, not used.
    NeedsNewer,
}

impl Reading {
    /// The payload, if it is understood here.
    pub fn known(self) -> Option<Payload> {
        match self {
            Self::Known(payload) => Some(payload),
            Self::NeedsNewer => None,
        }
    }
}

impl Payload {
    /// The current version of a kind, if the kind is known here.
    pub fn current_version(kind: &str) -> Option<u32> {
        Self::KINDS
            .iter()
            .find(|(name, _)| *name == kind)
            .map(|(_, version)| *version)
    }

    /// Reads a stored payload of any version.
    ///
    /// # Errors
    /// [`BookError::Payload`] when the text is not of its kind's form, [`BookError::Field`] when
    /// a field is out of range.
    pub fn read(kind: &str, version: u32, text: &str) -> Result<Reading, BookError> {
        let Some(current) = Self::current_version(kind) else {
            return Ok(Reading::NeedsNewer);
        };
        if version > current {
            return Ok(Reading::NeedsNewer);
        }
        let unreadable = |why: String| BookError::Payload {
            kind: kind.to_owned(),
            version,
            why,
        };
        if kind == "correction" && amend::needs_newer(text) {
            return Ok(Reading::NeedsNewer);
        }
        let payload = if version == current {
            Self::read_current(kind, text)
        } else {
            let value = serde_json::from_str(text).map_err(|e| unreadable(e.to_string()))?;
            let raised = upcast::to_current(kind, version, value).map_err(&unreadable)?;
            Self::read_current(kind, &raised.to_string())
        };
        let payload = payload
            .expect("the kind is known")
            .map_err(|e| unreadable(e.to_string()))?;
        payload.check()?;
        Ok(Reading::Known(payload))
    }

    /// Checks that an entry of this kind may replace what it names.
    pub(crate) fn check_replaces(&self, replaces: &[EntryId]) -> Result<(), BookError> {
        let odd = |found: String, expected: &str| {
            Err(BookError::Field {
                kind: self.kind(),
                field: "replaces".to_owned(),
                found,
                expected: expected.to_owned(),
            })
        };
        match self {
            Self::Correction(c) if !replaces.contains(&c.of) => odd(
                format!("{} ids without {}", replaces.len(), c.of),
                "the entry corrected among them",
            ),
            Self::Void(_) if replaces.is_empty() => {
                odd("empty".to_owned(), "the entries to take out")
            }
            Self::Correction(_) | Self::Void(_) => Ok(()),
            _ if replaces.is_empty() => Ok(()),
            _ => odd(
                format!("{} ids", replaces.len()),
                "none (a correction or a void replaces)",
            ),
        }
    }
}
