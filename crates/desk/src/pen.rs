//! Who writes, with which clock: the desk never asks the machine itself.

use crate::DeskError;
use book::kinds::{Name, Payload};
use book::{Book, Device, Entry, EntryId, Happened, NewEntry};
use jiff::civil::DateTime;
use jiff::tz::TimeZone;

/// The clock and the chance that the caller lends; the binary lends the machine's, a demo a seeded one.
pub trait Clock {
    /// UTC milliseconds.
    fn now_ms(&mut self) -> i64;
    /// Ten unpredictable bytes, or seeded ones.
    fn chance(&mut self) -> [u8; 10];
}

/// How far ahead of the clock a thing may have happened: two days, for clocks a little wrong.
const AHEAD_MS: i64 = 2 * 86_400_000;

/// Who writes, and when it happened.
pub struct Pen<'a> {
    /// Who.
    pub author: Name,
    /// When the thing happened; now, if `None`.
    pub at: Option<Happened>,
    /// The farm's time zone, for what is written now.
    pub zone: String,
    /// The device that the book writes as from the first entry on; as it does already, if `None`.
    pub device: Option<Device>,
    /// The clock.
    pub clock: &'a mut dyn Clock,
}

impl<'a> Pen<'a> {
    /// A pen for one author; `at` is a local time such as "2026-10-06 16:41", or one with an offset.
    ///
    /// # Errors
    /// A time that cannot be read, or that a clock change skipped.
    pub fn new(
        author: &str,
        at: Option<&str>,
        zone: &str,
        clock: &'a mut dyn Clock,
    ) -> Result<Self, DeskError> {
        let at = at.map(|text| happened(text, zone)).transpose()?;
        Ok(Self {
            author: Name::new(author)?,
            at,
            zone: zone.to_owned(),
            device: None,
            clock,
        })
    }

    /// The same pen, on a device of its own.
    #[must_use]
    pub fn on(mut self, device: Device) -> Self {
        self.device = Some(device);
        self
    }

    /// Called when everything was read and found good, just before writing: until then a book that
    /// comes from another device is not touched.
    ///
    /// # Errors
    /// Whatever the book refuses.
    pub fn ready(&mut self, book: &mut Book) -> Result<(), DeskError> {
        if let Some(device) = self.device.take()
            && book.device().id != device.id
        {
            book.take_device(&device, self.clock.now_ms())?;
        }
        Ok(())
    }

    /// When what is written happened, UTC milliseconds: as it was said, or now.
    pub fn at_ms(&mut self) -> i64 {
        self.at
            .as_ref()
            .map_or_else(|| self.clock.now_ms(), Happened::at_ms)
    }

    /// Makes a new entry, not yet in a book.
    ///
    /// # Errors
    /// A clock outside 1970 to 2200.
    pub fn entry(
        &mut self,
        payload: Payload,
        replaces: Vec<EntryId>,
    ) -> Result<NewEntry, DeskError> {
        let now_ms = self.clock.now_ms();
        if let Some(at) = &self.at
            && at.at_ms() > now_ms + AHEAD_MS
        {
            return Err(DeskError::figure(
                "at",
                "the time is more than two days ahead of this computer's clock; look at the year, or set the clock",
            ));
        }
        let happened = match &self.at {
            Some(at) => at.clone(),
            None => Happened::new(now_ms, self.zone.clone())?,
        };
        Ok(NewEntry {
            id: EntryId::from_clock(now_ms, self.clock.chance())?,
            author: self.author.clone(),
            happened,
            payload,
            replaces,
        })
    }

    /// Writes one entry into the book; it is on disk when this returns.
    ///
    /// # Errors
    /// Whatever the book refuses.
    pub fn write(&mut self, book: &mut Book, payload: Payload) -> Result<Entry, DeskError> {
        let entry = self.entry(payload, Vec::new())?;
        self.ready(book)?;
        Ok(book.append(&entry, self.clock.now_ms())?)
    }
}

/// Reads when a thing happened: local time in the farm's zone, or with an offset of its own.
///
/// ```
/// let at = desk::happened("2026-10-06 16:41", "America/Chicago")?;
/// assert_eq!(at.at_ms(), 1_791_322_860_000);
/// assert_eq!(at, desk::happened("2026-10-06T16:41-05:00", "America/Chicago")?);
/// # Ok::<(), desk::DeskError>(())
/// ```
///
/// # Errors
/// A time that cannot be read, a zone that this program does not know, or an hour that a clock
/// change skipped or had twice.
pub fn happened(text: &str, zone: &str) -> Result<Happened, DeskError> {
    let text = text.trim();
    let unreadable = || {
        DeskError::figure(
            "at",
            format!("found '{text}', expected a time like 2026-10-06 16:41"),
        )
    };
    let instant = if let Ok(instant) = text.replacen(' ', "T", 1).parse::<jiff::Timestamp>() {
        instant
    } else {
        let local: DateTime = text.parse().map_err(|_| unreadable())?;
        let tz = TimeZone::get(zone).map_err(|_| {
            DeskError::figure(
                "zone",
                format!("found '{zone}', expected a name like America/Chicago"),
            )
        })?;
        tz.to_ambiguous_zoned_datetime(local)
            .unambiguous()
            .map_err(|_| {
                DeskError::figure(
                    "at",
                    format!("{text} does not exist or exists twice in {zone} (clock change); add an offset, e.g. {text}-05:00"),
                )
            })?
            .timestamp()
    };
    Ok(Happened::new(instant.as_millisecond(), zone)?)
}
