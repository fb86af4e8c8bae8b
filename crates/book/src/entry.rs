//! One entry: who, when, what kind, what it says and what it replaces.

use crate::BookError;
use crate::error::short;
use crate::kinds::{Name, Payload, Reading};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Milliseconds of 1 January 2200, the last moment an entry may name.
const LAST_MS: i64 = 7_258_118_400_000;

/// The last number that a device may count to; far past any season, and room above it to count on.
const LAST_SEQ: u32 = 2_000_000_000;

fn number<T: std::str::FromStr>(name: &str, text: &str) -> Result<T, BookError> {
    text.parse()
        .map_err(|_| field(name, text, "a whole number"))
}

fn field(name: &str, found: &str, expected: &str) -> BookError {
    BookError::Field {
        kind: "entry",
        field: name.to_owned(),
        found: short(found),
        expected: expected.to_owned(),
    }
}

/// Names an entry for good: a UUID of version 7 (time first, then chance), made by the caller.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct EntryId(uuid::Uuid);

impl EntryId {
    /// Makes an id from the caller's clock (UTC milliseconds) and ten bytes of the caller's chance.
    ///
    /// # Errors
    /// [`BookError::Field`] when the clock is before 1970 or after 2200.
    pub fn from_clock(now_ms: i64, chance: [u8; 10]) -> Result<Self, BookError> {
        let ms = check_ms("id", now_ms)?;
        let ms = u64::try_from(ms).expect("checked to be positive");
        Ok(Self(
            uuid::Builder::from_unix_timestamp_millis(ms, &chance).into_uuid(),
        ))
    }

    /// Reads the written form, e.g. `0199f3c0-6400-7007-8707-070707070707`.
    ///
    /// # Errors
    /// [`BookError::Field`] when it is not a UUID of version 7 in its usual small-letter form.
    pub fn parse(text: &str) -> Result<Self, BookError> {
        let odd = || field("id", text, "a version 7 UUID in small letters");
        let id = uuid::Uuid::try_parse(text).map_err(|_| odd())?;
        let v7 = id.get_version_num() == 7 && id.get_variant() == uuid::Variant::RFC4122;
        if v7 && id.hyphenated().to_string() == text {
            Ok(Self(id))
        } else {
            Err(odd())
        }
    }

    /// The wall clock that the id was made with, UTC milliseconds.
    pub fn clock_ms(self) -> i64 {
        (self.0.as_u128() >> 80) as i64
    }
}

impl std::fmt::Display for EntryId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.hyphenated().fmt(f)
    }
}
impl TryFrom<String> for EntryId {
    type Error = BookError;
    fn try_from(text: String) -> Result<Self, BookError> {
        Self::parse(&text)
    }
}
impl From<EntryId> for String {
    fn from(id: EntryId) -> Self {
        id.to_string()
    }
}

/// Names a device (laptop, phone) in every entry that it makes.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct DeviceId(String);

impl DeviceId {
    /// 1 to 64 small letters, digits and hyphens.
    ///
    /// # Errors
    /// [`BookError::Field`] on anything else.
    pub fn new(text: impl Into<String>) -> Result<Self, BookError> {
        let text = text.into();
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if (1..=64).contains(&text.len()) && text.chars().all(plain) {
            Ok(Self(text))
        } else {
            Err(field(
                "device",
                &text,
                "1 to 64 small letters, digits and hyphens",
            ))
        }
    }

    /// As written.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}
impl TryFrom<String> for DeviceId {
    type Error = BookError;
    fn try_from(text: String) -> Result<Self, BookError> {
        Self::new(text)
    }
}
impl From<DeviceId> for String {
    fn from(id: DeviceId) -> Self {
        id.0
    }
}
impl std::fmt::Display for DeviceId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// The device that writes to a copy of the book. Two copies that are both written to must carry two devices.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Device {
    /// Its id in entries.
    pub id: DeviceId,
    /// What people call it.
    pub name: Name,
}

impl Device {
    /// Checks and makes one.
    ///
    /// # Errors
    /// [`BookError::Field`] when the id or the name is badly written.
    pub fn new(id: &str, name: &str) -> Result<Self, BookError> {
        Ok(Self {
            id: DeviceId::new(id)?,
            name: Name::new(name)?,
        })
    }
}

/// When a thing happened: an instant, and the zone whose clock hung on the wall there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "HappenedText")]
pub struct Happened {
    /// UTC milliseconds since 1970.
    at_ms: i64,
    /// The zone's name in the common time zone database, e.g. `America/Chicago`.
    zone: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HappenedText {
    at_ms: i64,
    zone: String,
}

impl Happened {
    /// Checks and makes one; the zone's name is checked for its form only, so that a name newer
    /// than this machine's time zone database is still kept.
    ///
    /// # Errors
    /// [`BookError::Field`] when the moment is outside 1970 to 2200 or the zone is badly written.
    pub fn new(at_ms: i64, zone: impl Into<String>) -> Result<Self, BookError> {
        let zone = zone.into();
        check_ms("happened", at_ms)?;
        let plain = |c: char| c.is_ascii_alphanumeric() || "/_+-".contains(c);
        if zone.is_empty() || zone.len() > 64 || !zone.chars().all(plain) {
            return Err(field(
                "zone",
                &zone,
                "a time zone's name such as America/Chicago",
            ));
        }
        Ok(Self { at_ms, zone })
    }

    /// UTC milliseconds since 1970.
    pub fn at_ms(&self) -> i64 {
        self.at_ms
    }

    /// The zone's name.
    pub fn zone(&self) -> &str {
        &self.zone
    }
}
impl TryFrom<HappenedText> for Happened {
    type Error = BookError;
    fn try_from(text: HappenedText) -> Result<Self, BookError> {
        Self::new(text.at_ms, text.zone)
    }
}

/// Checks that a moment lies between 1970 and 2200.
pub(crate) fn check_ms(name: &str, ms: i64) -> Result<i64, BookError> {
    if (1..=LAST_MS).contains(&ms) {
        Ok(ms)
    } else {
        Err(field(
            name,
            &format!("{ms} ms"),
            "a moment between 1970 and 2200, in UTC milliseconds",
        ))
    }
}

/// A payload exactly as stored: one JSON object on one line. Kept as text, so that what this
/// program does not know is still passed on byte for byte.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PayloadText(String);

impl PayloadText {
    /// Largest payload in bytes (a field boundary of 20,000 corners fits several times).
    pub const MOST: u32 = 4 << 20;

    /// Checks the form: a JSON object, no line breaks, at most [`Self::MOST`] bytes.
    ///
    /// # Errors
    /// [`BookError::TooLarge`] or [`BookError::Field`].
    pub fn new(text: impl Into<String>) -> Result<Self, BookError> {
        let text = text.into();
        if text.len() > Self::MOST as usize {
            return Err(BookError::TooLarge {
                what: "a payload".to_owned(),
                found: text.len() as u64,
                most: u64::from(Self::MOST),
            });
        }
        let object = text.starts_with('{')
            && !text.contains(['\n', '\r'])
            && serde_json::from_str::<serde::de::IgnoredAny>(&text).is_ok();
        if object {
            Ok(Self(text))
        } else {
            Err(field("payload", &text, "one JSON object on one line"))
        }
    }

    /// The stored text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}
impl Serialize for PayloadText {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let raw: &serde_json::value::RawValue =
            serde_json::from_str(&self.0).map_err(serde::ser::Error::custom)?;
        raw.serialize(serializer)
    }
}
impl<'de> Deserialize<'de> for PayloadText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let raw = Box::<serde_json::value::RawValue>::deserialize(deserializer)?;
        Self::new(raw.get()).map_err(serde::de::Error::custom)
    }
}

/// One thing that happened, as the book keeps it. Never changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its id, for good.
    pub id: EntryId,
    /// The device that made it.
    pub device: DeviceId,
    /// Counts the device's entries from 1, without gaps.
    pub seq: u32,
    /// When it was written down: the later of the device's clock and its last stamp + 1 ms; UTC milliseconds.
    pub stamp_ms: i64,
    /// Who wrote it down.
    pub author: Name,
    /// When the thing happened (for a correction: when, as corrected, the thing corrected happened).
    pub happened: Happened,
    /// What kind of thing, e.g. `weighed`; may be one that only a newer program knows.
    pub kind: String,
    /// Version of the payload's form, from 1.
    pub version: u32,
    /// What it says.
    pub payload: PayloadText,
    /// Every entry that it replaces.
    pub replaces: Vec<EntryId>,
}

/// An entry about to be written: all of an [`Entry`] that the book does not allot by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEntry {
    /// Its id, made by the caller ([`EntryId::from_clock`]).
    pub id: EntryId,
    /// Who writes it down.
    pub author: Name,
    /// When the thing happened.
    pub happened: Happened,
    /// What it says.
    pub payload: Payload,
    /// Every entry that it replaces; empty unless the payload is a correction or a void.
    pub replaces: Vec<EntryId>,
}

impl Entry {
    /// The place of an entry in the one order of a book: stamp, device, seq, id.
    pub fn order(&self) -> (i64, &DeviceId, u32, EntryId) {
        (self.stamp_ms, &self.device, self.seq, self.id)
    }

    /// What it says, brought up to the current version of its kind.
    ///
    /// # Errors
    /// [`BookError::Payload`] or [`BookError::Field`] when the text is not what its kind says.
    pub fn read(&self) -> Result<Reading, BookError> {
        Payload::read(&self.kind, self.version, self.payload.as_str())
    }

    /// Checks what every entry must hold to, whatever brought it here (typed, synced, merged,
    /// imported); an unknown kind or newer version passes.
    ///
    /// # Errors
    /// [`BookError::Field`], [`BookError::Payload`] or [`BookError::TooLarge`].
    pub fn check(&self) -> Result<(), BookError> {
        if self.seq == 0 {
            return Err(field("seq", "0", "a count from 1"));
        }
        if self.seq > LAST_SEQ {
            return Err(field(
                "seq",
                &self.seq.to_string(),
                "a count up to 2,000,000,000",
            ));
        }
        check_ms("stamp", self.stamp_ms)?;
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
        if !(1..=40).contains(&self.kind.len()) || !self.kind.chars().all(plain) {
            return Err(field(
                "kind",
                &self.kind,
                "1 to 40 small letters, digits and underscores",
            ));
        }
        if self.version == 0 {
            return Err(field("version", "0", "a count from 1"));
        }
        if self.replaces.len() > 1_000 {
            return Err(field(
                "replaces",
                &format!("{} ids", self.replaces.len()),
                "at most 1,000",
            ));
        }
        let mut ids = self.replaces.clone();
        ids.sort_unstable();
        ids.dedup();
        if ids.contains(&self.id) {
            return Err(field(
                "replaces",
                &self.id.to_string(),
                "other entries than itself",
            ));
        }
        if ids.len() != self.replaces.len() {
            return Err(field(
                "replaces",
                &self.id.to_string(),
                "other entries, each named once",
            ));
        }
        if let Reading::Known(payload) = self.read()? {
            payload.check_replaces(&self.replaces)?;
        }
        Ok(())
    }

    /// The columns of [`Entry::record`], for a CSV file.
    pub const COLUMNS: [&'static str; 11] = [
        "id",
        "device",
        "seq",
        "stamp_ms",
        "author",
        "happened_ms",
        "zone",
        "kind",
        "version",
        "payload",
        "replaces",
    ];

    /// The entry as one row of text, without loss; ids replaced are separated by spaces.
    pub fn record(&self) -> [String; 11] {
        let replaces: Vec<String> = self.replaces.iter().map(ToString::to_string).collect();
        [
            self.id.to_string(),
            self.device.to_string(),
            self.seq.to_string(),
            self.stamp_ms.to_string(),
            self.author.to_string(),
            self.happened.at_ms.to_string(),
            self.happened.zone.clone(),
            self.kind.clone(),
            self.version.to_string(),
            self.payload.as_str().to_owned(),
            replaces.join(" "),
        ]
    }

    /// Reads a row written by [`Entry::record`] and checks it.
    ///
    /// # Errors
    /// As [`Entry::check`], and [`BookError::Field`] for a number that does not read.
    pub fn from_record(row: &[&str]) -> Result<Self, BookError> {
        let Ok(row): Result<&[&str; 11], _> = row.try_into() else {
            return Err(field(
                "row",
                &format!("{} columns", row.len()),
                "11 columns",
            ));
        };
        let entry = Self {
            id: EntryId::parse(row[0])?,
            device: DeviceId::new(row[1])?,
            seq: number("seq", row[2])?,
            stamp_ms: number("stamp_ms", row[3])?,
            author: Name::new(row[4])?,
            happened: Happened::new(number("happened_ms", row[5])?, row[6])?,
            kind: row[7].to_owned(),
            version: number("version", row[8])?,
            payload: PayloadText::new(row[9])?,
            replaces: row[10]
                .split_whitespace()
                .map(EntryId::parse)
                .collect::<Result<_, _>>()?,
        };
        entry.check()?;
        Ok(entry)
    }

    /// One line for a person: kind, author, device and seq.
    pub fn in_short(&self) -> String {
        format!(
            "{} by {} ({} no. {})",
            self.kind, self.author, self.device, self.seq
        )
    }
}
