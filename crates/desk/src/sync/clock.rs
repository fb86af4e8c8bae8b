//! A phone's clock that is off: noted in the book, so that Night can say so whenever it is read.

use super::{Batch, CLOCK_OFF_MS};
use crate::moment::harvest_day;
use crate::{Clock, DeskError, Farm};
use book::kinds::{Name, Note};
use book::{Book, Entry, EntryId, Happened, NewEntry};

/// Who writes such notes.
pub(crate) const AUTHOR: &str = "stook";
/// Notes that say the same within this are not written again on one harvest day: 5 minutes.
const SAME_MS: i64 = 300_000;

/// The words of the note; [`read`] takes them apart again.
pub(crate) fn words(device: &str, off_ms: i64) -> String {
    let minutes = off_ms.abs() / 60_000;
    let way = if off_ms > 0 { "ahead of" } else { "behind" };
    format!(
        "The clock of {device} was {minutes} minutes {way} the book's when it sent these entries; they keep the times that it said."
    )
}

/// The device and its minutes (positive is ahead) of such a note.
pub(crate) fn read(text: &str) -> Option<(String, i64)> {
    let rest = text.strip_prefix("The clock of ")?;
    let rest = rest.strip_suffix(
        " the book's when it sent these entries; they keep the times that it said.",
    )?;
    let (rest, sign) = match rest.strip_suffix(" minutes ahead of") {
        Some(rest) => (rest, 1),
        None => (rest.strip_suffix(" minutes behind")?, -1),
    };
    let (device, minutes) = rest.rsplit_once(" was ")?;
    Some((device.to_owned(), sign * minutes.parse::<i64>().ok()?))
}

/// Notes it, unless it was noted today already.
pub(super) fn note(
    book: &mut Book,
    farm: &Farm,
    batch: &Batch,
    off_ms: i64,
    entries: &[Entry],
    lent: &mut dyn Clock,
) -> Result<(), DeskError> {
    let now_ms = lent.now_ms();
    let year = crate::moment::season_at(farm, now_ms);
    let today = harvest_day(farm, year, now_ms);
    let device = Name::new(&batch.device.name).or_else(|_| Name::new(&batch.device.id))?;
    let told = farm.notes.iter().rev().any(|one| {
        harvest_day(farm, year, one.happened.at_ms()) == today
            && read(&one.says.text).is_some_and(|(of, minutes)| {
                of == device.as_str() && (minutes * 60_000 - off_ms).abs() <= SAME_MS
            })
    });
    if told {
        return Ok(());
    }
    debug_assert!(off_ms.abs() > CLOCK_OFF_MS, "asked only then");
    let about: Vec<EntryId> = entries.iter().map(|entry| entry.id).collect();
    let zone = if farm.zone.is_empty() {
        "UTC"
    } else {
        farm.zone.as_str()
    };
    let note = Note {
        text: words(device.as_str(), off_ms),
        about,
        of: Vec::new(),
        question: false,
    };
    let entry = NewEntry {
        id: EntryId::from_clock(now_ms, lent.chance())?,
        author: Name::new(AUTHOR)?,
        happened: Happened::new(now_ms, zone)?,
        payload: note.into(),
        replaces: Vec::new(),
    };
    book.append(&entry, now_ms)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_is_read_as_it_was_written() {
        for (device, off_ms, minutes) in [
            ("the phone in the cab", 86_400_000, 1_440),
            ("it was 5 minutes behind", -900_000, -15),
        ] {
            let text = words(device, off_ms);
            assert_eq!(read(&text), Some((device.to_owned(), minutes)), "{text}");
        }
        assert_eq!(read("The clock of the church was 5 minutes slow"), None);
    }
}
