//! Calendar and clock: when something happened, where, and on which harvest day.
//!
//! Zones come from the table bundled with the time library, never from the machine, so that the
//! same book reads the same everywhere.

use crate::QuantityError;
use crate::units::by_text;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::{AmbiguousOffset, TimeZone, TimeZoneDatabase};
use jiff::{Timestamp, ZonedDateTime};
use std::sync::LazyLock;

const WHEN: &str = "a date, clock time and zone, such as 2026-10-14 19:20 in America/Chicago";
const ZONE: &str = "a time zone by its IANA name, such as America/Chicago";
const DATE: &str = "a date as year, month, day, such as 2026-10-14 or Oct 14, 2026";
const CLOCK: &str = "a clock time, such as 7:20 pm or 19:20";

/// A harvest day ends at 4 am: what is cut after midnight belongs to the day before.
pub const HARVEST_DAY_ENDS: Time = Time::constant(4, 0, 0, 0);

/// Read-only, and the same on every machine.
static ZONES: LazyLock<TimeZoneDatabase> = LazyLock::new(TimeZoneDatabase::bundled);

/// A time zone by its IANA name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Zone(TimeZone, String);

impl Zone {
    /// The zone of that name; case does not matter.
    ///
    /// # Errors
    /// Refuses a name that the bundled table does not know.
    pub fn parse(name: &str) -> Result<Self, QuantityError> {
        let zone = ZONES
            .get(name.trim())
            .map_err(|_| QuantityError::unreadable(name, ZONE))?;
        let iana = zone
            .iana_name()
            .ok_or_else(|| QuantityError::unreadable(name, ZONE))?
            .to_owned();
        Ok(Self(zone, iana))
    }

    /// Its IANA name.
    pub fn name(&self) -> &str {
        &self.1
    }

    /// The zone itself, for the time library.
    pub fn time_zone(&self) -> &TimeZone {
        &self.0
    }

    /// The text it is stored as.
    pub fn canonical(&self) -> String {
        self.1.clone()
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

by_text!(Zone, ZONE);

/// When something happened: the instant, and the zone whose clock the writer read.
///
/// The instant and the zone's name are the truth; the local time is worked out, so that a later
/// change of a zone's law changes no order of entries.
///
/// ```
/// use quantity::{HARVEST_DAY_ENDS, When, Zone};
/// let zone = Zone::parse("America/Chicago")?;
/// let load = When::parse("2026-10-15 01:40", &zone)?;
/// assert_eq!(load.canonical(), "2026-10-15T06:40:00Z[America/Chicago]");
/// assert_eq!(load.show(), "2026-10-15 01:40");
/// assert_eq!(load.harvest_day(HARVEST_DAY_ENDS).to_string(), "2026-10-14");
/// # Ok::<(), quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct When {
    /// The instant, UTC.
    pub instant: Timestamp,
    /// The zone it was written in.
    pub zone: Zone,
}

impl When {
    /// Reads a date and clock time in a zone; an offset or a zone in the text goes before it.
    ///
    /// # Errors
    /// Refuses a time that the clocks skipped, and one that they showed twice (the hour in autumn)
    /// unless its offset is written: `2026-11-01 01:30-05:00`.
    pub fn parse(text: &str, zone: &Zone) -> Result<Self, QuantityError> {
        let text = text.trim();
        let bad = || QuantityError::unreadable(text, WHEN);
        if text.len() > 100 {
            return Err(bad());
        }
        let (local, zone) = match text.split_once('[') {
            Some((local, name)) => (local, Zone::parse(name.strip_suffix(']').ok_or_else(bad)?)?),
            None => (text, zone.clone()),
        };
        if let Ok(instant) = local.parse::<Timestamp>() {
            return Ok(Self { instant, zone });
        }
        let local = date_and_clock(local).ok_or_else(bad)?;
        let once = zone.0.to_ambiguous_timestamp(local);
        if let AmbiguousOffset::Fold { .. } = once.offset() {
            return Err(QuantityError::Unreadable {
                found: crate::error::shortened(text),
                expected: "an offset too, such as 2026-11-01 01:30-05:00, for the clocks showed this time twice",
            });
        }
        let instant = once.unambiguous().map_err(|_| QuantityError::Unreadable {
            found: crate::error::shortened(text),
            expected: "a time that the clocks showed, for they skipped this one",
        })?;
        Ok(Self { instant, zone })
    }

    /// On the writer's clock.
    pub fn local(&self) -> ZonedDateTime {
        self.instant.to_zoned_datetime(self.zone.0.clone())
    }

    /// Milliseconds since 1970, UTC.
    pub fn ms(&self) -> i64 {
        self.instant.as_millisecond()
    }

    /// The harvest day it belongs to, when a day ends at `ends` on the writer's clock.
    pub fn harvest_day(&self, ends: Time) -> Date {
        harvest_day(self.instant, &self.zone, ends)
    }

    /// Shown to the minute on the writer's clock: `2026-10-14 19:20`.
    pub fn show(&self) -> String {
        self.local().strftime("%Y-%m-%d %H:%M").to_string()
    }

    /// The text it is stored as: the instant in UTC, and the zone.
    pub fn canonical(&self) -> String {
        format!("{}[{}]", self.instant, self.zone.1)
    }

    fn from_canonical(text: &str) -> Result<Self, QuantityError> {
        let bad = || QuantityError::unreadable(text, WHEN);
        let (instant, zone) = text.split_once('[').ok_or_else(bad)?;
        let zone = Zone::parse(zone.strip_suffix(']').ok_or_else(bad)?)?;
        Ok(Self {
            instant: instant.parse().map_err(|_| bad())?,
            zone,
        })
    }
}

impl std::str::FromStr for When {
    type Err = QuantityError;
    /// Reads the canonical text, which carries its zone.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::from_canonical(text)
    }
}

/// The harvest day of an instant: its local date, or the date before until `ends` on the clock.
///
/// Limitation: on the night when clocks go back, a day that ends within the repeated hour would end
/// twice; end it at another hour (4 am is outside it in every zone we know of).
///
/// ```
/// use quantity::{HARVEST_DAY_ENDS, Zone, harvest_day};
/// let zone = Zone::parse("America/Chicago")?;
/// let day = |utc: &str| harvest_day(utc.parse().unwrap(), &zone, HARVEST_DAY_ENDS).to_string();
/// assert_eq!(day("2026-10-15T08:59:59Z"), "2026-10-14"); // 3:59 am
/// assert_eq!(day("2026-10-15T09:00:00Z"), "2026-10-15"); // 4 am
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn harvest_day(instant: Timestamp, zone: &Zone, ends: Time) -> Date {
    let local = zone.0.to_datetime(instant);
    if local.time() < ends {
        // the first day that the calendar knows has none before it
        local.date().yesterday().unwrap_or(local.date())
    } else {
        local.date()
    }
}

/// Reads a date written year first, or with the month's name.
///
/// `10/11/2026` is refused: it is October to one reader and November to another.
///
/// ```
/// let day = quantity::parse_date("Oct 14, 2026")?;
/// assert_eq!(day.to_string(), "2026-10-14");
/// assert!(quantity::parse_date("10/11/2026").is_err());
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn parse_date(text: &str) -> Result<Date, QuantityError> {
    read_date(text.trim()).ok_or_else(|| QuantityError::unreadable(text, DATE))
}

fn read_date(text: &str) -> Option<Date> {
    if text.len() > 30 {
        return None;
    }
    let words = text.replace(',', " ");
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let read = [
        "%Y-%m-%d", "%Y/%m/%d", "%b %d %Y", "%B %d %Y", "%d %b %Y", "%d %B %Y",
    ]
    .iter()
    .find_map(|form| Date::strptime(form, &words).ok())?;
    (1900..=2200).contains(&read.year()).then_some(read)
}

/// Reads a clock time: `19:20`, `7:20 pm`, `7 am`, `07:20:30`.
///
/// ```
/// use quantity::parse_clock;
/// assert_eq!(parse_clock("7:20 pm")?, parse_clock("19:20")?);
/// assert!(parse_clock("7").is_err()); // morning or evening?
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn parse_clock(text: &str) -> Result<Time, QuantityError> {
    read_clock(text.trim()).ok_or_else(|| QuantityError::unreadable(text, CLOCK))
}

fn read_clock(text: &str) -> Option<Time> {
    if text.len() > 20 {
        return None;
    }
    let lower = text.to_ascii_lowercase().replace('.', "");
    let half = [("am", 0), ("a", 0), ("pm", 12), ("p", 12)]
        .iter()
        .find_map(|&(mark, add)| lower.strip_suffix(mark).map(|rest| (rest.trim_end(), add)));
    let (digits, add) = half.map_or((lower.as_str(), None), |(rest, add)| (rest, Some(add)));
    let mut parts = digits.split(':');
    let number = |part: Option<&str>| match part {
        None => Some(None),
        Some(p) if (1..=2).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_digit()) => {
            p.parse::<i8>().ok().map(Some)
        }
        Some(_) => None,
    };
    let (hour, minute, second) = (
        number(parts.next())??,
        number(parts.next())?,
        number(parts.next())?,
    );
    if parts.next().is_some() || (minute.is_none() && add.is_none()) {
        return None;
    }
    let hour = match add {
        None => hour,
        Some(add) if (1..=12).contains(&hour) => hour % 12 + add,
        Some(_) => return None,
    };
    Time::new(hour, minute.unwrap_or(0), second.unwrap_or(0), 0).ok()
}

/// Splits `2026-10-14 19:20`, `2026-10-14T19:20` or `Oct 14, 2026 7:20 pm` where both halves read.
fn date_and_clock(text: &str) -> Option<DateTime> {
    text.char_indices()
        .filter(|&(_, c)| c == ' ' || c == 'T' || c == 't')
        .find_map(|(at, _)| {
            let date = read_date(text[..at].trim())?;
            let clock = read_clock(text[at + 1..].trim())?;
            Some(date.to_datetime(clock))
        })
}

struct Stored;

impl serde::Serialize for When {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.canonical())
    }
}

impl<'de> serde::Deserialize<'de> for When {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_str(Stored)
    }
}

impl serde::de::Visitor<'_> for Stored {
    type Value = When;
    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(WHEN)
    }
    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<When, E> {
        When::from_canonical(text).map_err(E::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chicago() -> Zone {
        Zone::parse("america/chicago").unwrap()
    }

    fn utc(text: &str) -> Result<String, QuantityError> {
        When::parse(text, &chicago()).map(|when| when.instant.to_string())
    }

    #[test]
    fn times_as_people_write_them() {
        assert_eq!(chicago().name(), "America/Chicago");
        for text in [
            "2026-10-14 19:20",
            "2026-10-14T19:20",
            "2026-10-14T19:20:00",
            "2026-10-14 7:20 pm",
            "Oct 14, 2026 7:20 pm",
            "2026-10-14T19:20-05:00",
            "2026-10-15T00:20Z",
            "2026-10-14 18:20[America/Denver]",
            "2026-10-15T00:20:00Z[America/Denver]",
        ] {
            assert_eq!(utc(text).as_deref(), Ok("2026-10-15T00:20:00Z"), "{text}");
        }
    }

    #[test]
    fn times_that_are_not_one_moment_are_refused() {
        // clocks go back on 1 November 2026 and go forward on 8 March 2026, both at 2 am
        let twice = utc("2026-11-01 01:30").unwrap_err().to_string();
        assert!(twice.contains("offset"), "{twice}");
        assert_eq!(
            utc("2026-11-01T01:30-05:00").as_deref(),
            Ok("2026-11-01T06:30:00Z")
        );
        assert_eq!(
            utc("2026-11-01T01:30-06:00").as_deref(),
            Ok("2026-11-01T07:30:00Z")
        );
        assert_eq!(
            utc("2026-11-01 01:30-06:00").as_deref(),
            Ok("2026-11-01T07:30:00Z")
        );
        let skipped = utc("2026-03-08 02:30").unwrap_err().to_string();
        assert!(skipped.contains("skipped"), "{skipped}");
        for text in [
            "",
            "2026-10-14",
            "19:20",
            "10/14/2026 19:20",
            "2026-10-14 19:20[Mars]",
            "[",
        ] {
            assert!(utc(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_harvest_day_ends_at_four() {
        let day = |text: &str| {
            When::parse(text, &chicago())
                .unwrap()
                .harvest_day(HARVEST_DAY_ENDS)
                .to_string()
        };
        assert_eq!(day("2026-10-14 04:00"), "2026-10-14");
        assert_eq!(day("2026-10-14 23:59"), "2026-10-14");
        assert_eq!(day("2026-10-15 03:59"), "2026-10-14");
        assert_eq!(day("2027-01-01 00:10"), "2026-12-31");
        // on the night when clocks go back both 1:30s are still the evening before
        assert_eq!(day("2026-11-01T01:30-05:00"), "2026-10-31");
        assert_eq!(day("2026-11-01T01:30-06:00"), "2026-10-31");
        let midnight = Time::midnight();
        let load = When::parse("2026-10-15 00:00", &chicago()).unwrap();
        assert_eq!(load.harvest_day(midnight).to_string(), "2026-10-15");
    }

    #[test]
    fn one_instant_has_a_day_in_each_zone() {
        let instant: Timestamp = "2026-10-15T09:30:00Z".parse().unwrap();
        let day = |zone: &str| {
            harvest_day(instant, &Zone::parse(zone).unwrap(), HARVEST_DAY_ENDS).to_string()
        };
        assert_eq!(day("America/Chicago"), "2026-10-15"); // 4:30 am
        assert_eq!(day("America/Denver"), "2026-10-14"); // 3:30 am
        assert!(
            harvest_day(
                Timestamp::MIN,
                &Zone::parse("UTC").unwrap(),
                HARVEST_DAY_ENDS
            )
            .year()
                < 0
        );
    }

    #[test]
    fn stored_text_keeps_instant_and_zone() {
        let when = When::parse("2026-11-01T01:30-06:00", &chicago()).unwrap();
        let json = serde_json::to_string(&when).unwrap();
        assert_eq!(json, "\"2026-11-01T07:30:00Z[America/Chicago]\"");
        assert_eq!(serde_json::from_str::<When>(&json).unwrap(), when);
        assert!(serde_json::from_str::<When>("\"2026-11-01T07:30:00Z\"").is_err());
        assert!(serde_json::from_str::<When>("\"2026-11-01T07:30:00Z[Mars/Base]\"").is_err());
    }
}
