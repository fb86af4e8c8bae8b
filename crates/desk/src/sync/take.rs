//! Taking a batch: each entry is looked at by itself, the good ones are written in one transaction.

use super::{
    Batch, CLOCK_OFF_MS, KINDS, MOST_ENTRIES, MOST_ENTRY_BYTES, One, Rights, Sender, Sent, State,
    Taken, Written, clock,
};
use crate::written::Figures;
use crate::{Clock, DeskError, Farm};
use book::kinds::{Name, Payload, Unread, Void};
use book::{Book, DeviceId, Entry, EntryId, Happened, PayloadText};
use std::collections::BTreeMap;

/// A clock further off than this says nothing of the year: two days.
const OTHER_YEAR_MS: i64 = 2 * 86_400_000;

/// Takes a phone's batch into the book. It may come any number of times, in any order, in pieces:
///
/// - an id that the book has is *known* where device, seq, stamp and kind agree, and refused where
///   they do not (two things under one id);
/// - figures that cannot be read are kept whole under the same id, seq and time, as an `unread` entry;
/// - a `strike` takes out what the own device wrote, unless the owner sends it;
/// - entries keep the times that the phone said, whatever its clock; a clock that is more than ten
///   minutes off is noted in the book, once a harvest day and device.
///
/// Reading takes the names of `farm`, which the caller has read from this book. What is good is
/// written in one transaction: after an error nothing is, and the phone sends it all again.
///
/// # Errors
/// A batch of more than 500 entries, of another device than the session's, with a badly written
/// device or person, and whatever the book's file refuses.
pub fn take(
    book: &mut Book,
    farm: &Farm,
    sender: &Sender<'_>,
    batch: &Batch,
    lent: &mut dyn Clock,
) -> Result<Taken, DeskError> {
    if batch.entries.len() > MOST_ENTRIES {
        return Err(DeskError::Refused(format!(
            "the batch has {} entries, at most {MOST_ENTRIES} are taken at once; send it in pieces",
            batch.entries.len()
        )));
    }
    if batch.device.id != sender.device {
        return Err(DeskError::Refused(format!(
            "the batch is of the device '{}', this session is of '{}'; pair that device and send from it",
            short(&batch.device.id),
            sender.device
        )));
    }
    if batch.device.id == book.device().id.as_str() {
        return Err(DeskError::Refused(
            "the batch names this computer's own device; a phone sends under its own, pair it again"
                .to_owned(),
        ));
    }
    let now_ms = lent.now_ms();
    let clock_off_ms = now_ms
        .checked_sub(batch.sent_ms)
        .map_or(i64::MAX, |behind| -behind);
    let taking = Taking {
        farm,
        rights: sender.rights,
        device: DeviceId::new(sender.device)?,
        author: Name::new(sender.person)?,
        clock_off_ms,
    };
    // in the phone's own order, so that a strike finds what it names in the same batch
    let mut order: Vec<usize> = (0..batch.entries.len()).collect();
    order.sort_by_key(|at| match &batch.entries[*at] {
        Sent::Written(one) => (one.seq, one.stamp_ms),
        Sent::Odd(_) => (u32::MAX, i64::MAX),
    });
    let mut good: Vec<Entry> = Vec::new();
    let mut in_batch: BTreeMap<EntryId, usize> = BTreeMap::new();
    let mut results: Vec<Option<One>> = vec![None; batch.entries.len()];
    for at in order {
        let (id, looked) = match &batch.entries[at] {
            Sent::Odd(value) => (id_of(value), refused(odd_form())),
            Sent::Written(one) => {
                let there = |id| match in_batch.get(&id) {
                    Some(index) => Ok(good.get(*index).cloned()),
                    None => book.entry(id),
                };
                (one.id.clone(), taking.look(one, &there)?)
            }
        };
        let (state, why, entry) = looked;
        if let Some(entry) = entry {
            in_batch.insert(entry.id, good.len());
            good.push(entry);
        }
        results[at] = Some(One { id, state, why });
    }
    book.take_in(&good)?;
    if clock_off_ms.abs() > CLOCK_OFF_MS && !good.is_empty() {
        clock::note(book, farm, batch, clock_off_ms, &good, lent)?;
    }
    Ok(Taken {
        now_ms,
        clock_off_ms,
        results: results.into_iter().flatten().collect(),
    })
}

/// What came of looking at one entry.
type Looked = (State, Option<String>, Option<Entry>);

fn refused(why: String) -> Looked {
    (State::Refused, Some(why), None)
}

fn odd_form() -> String {
    "it has not the form of an entry (id, seq, stamp_ms, happened_ms, zone, kind, figures); write it again"
        .to_owned()
}

fn id_of(value: &serde_json::Value) -> String {
    let id = value.get("id").and_then(serde_json::Value::as_str);
    short(id.unwrap_or_default())
}

fn short(text: &str) -> String {
    text.chars().take(64).collect()
}

struct Taking<'a> {
    farm: &'a Farm,
    rights: Rights,
    device: DeviceId,
    author: Name,
    clock_off_ms: i64,
}

impl Taking<'_> {
    fn look(
        &self,
        one: &Written,
        there: &dyn Fn(EntryId) -> Result<Option<Entry>, book::BookError>,
    ) -> Result<Looked, DeskError> {
        let id = match EntryId::parse(&one.id) {
            Ok(id) => id,
            Err(why) => return Ok(refused(why.to_string())),
        };
        if let Some(entry) = there(id)? {
            return Ok(self.again(one, &entry));
        }
        let mut bytes = one.kind.len() + one.zone.len();
        for (name, texts) in &one.figures {
            bytes += name.len() + texts.iter().map(|text| text.len() + 1).sum::<usize>();
        }
        bytes += one.replaces.iter().map(String::len).sum::<usize>();
        if bytes > MOST_ENTRY_BYTES {
            return Ok(refused(format!(
                "it has {bytes} bytes of text, at most {MOST_ENTRY_BYTES} are taken; write it shorter"
            )));
        }
        let happened = match Happened::new(one.happened_ms, one.zone.as_str()) {
            Ok(happened) => happened,
            Err(why) => return Ok(refused(why.to_string())),
        };
        let (payload, replaces, why) = match self.payload(one, there)? {
            Says::Read(payload, replaces) => (*payload, replaces, None),
            Says::Unread(why) => (unread(one, &why), Vec::new(), Some(why)),
            Says::Refused(why) => return Ok(refused(why)),
        };
        let entry = Entry {
            id,
            device: self.device.clone(),
            seq: one.seq,
            stamp_ms: one.stamp_ms,
            author: self.author.clone(),
            happened,
            kind: payload.kind().to_owned(),
            version: payload.version(),
            payload: PayloadText::new(payload.text())?,
            replaces,
        };
        if let Err(why) = entry.check() {
            return Ok(refused(why.to_string()));
        }
        let state = if why.is_some() {
            State::Unread
        } else {
            State::Kept
        };
        Ok((state, why, Some(entry)))
    }

    /// An entry whose id the book has.
    fn again(&self, one: &Written, there: &Entry) -> Looked {
        let agrees =
            there.device == self.device && there.seq == one.seq && there.stamp_ms == one.stamp_ms;
        match there.read().map(book::kinds::Reading::known) {
            Ok(Some(Payload::Unread(kept))) if agrees && kept.sent_as == short(&one.kind) => {
                (State::Unread, Some(kept.why), None)
            }
            _ if agrees && there.kind == stored(&one.kind) => (State::Known, None, None),
            _ => refused(format!(
                "the book has another entry under this id ({}); write it again",
                there.in_short()
            )),
        }
    }

    fn payload(
        &self,
        one: &Written,
        there: &dyn Fn(EntryId) -> Result<Option<Entry>, book::BookError>,
    ) -> Result<Says, DeskError> {
        if one.kind == "strike" {
            return self.strike(one, there);
        }
        if !one.replaces.is_empty() {
            return Ok(Says::Unread(
                "only a strike names what it replaces".to_owned(),
            ));
        }
        if self.rights == Rights::Helper && !KINDS.contains(&one.kind.as_str()) {
            return Ok(Says::Unread(format!(
                "a helper's phone does not write a {}; the owner writes it",
                short(&one.kind)
            )));
        }
        let mut figures = Figures::default();
        for (name, texts) in &one.figures {
            for text in texts {
                figures.add(name, text.as_str());
            }
        }
        let read =
            crate::read_new(&one.kind, &figures, self.farm, self.year(one)).and_then(|says| {
                crate::entries::ends_after_it_began(self.farm, &says, one.happened_ms)
                    .map(|()| says)
            });
        Ok(match read {
            Ok(payload) => Says::Read(Box::new(payload), Vec::new()),
            Err(why) => Says::Unread(why.to_string()),
        })
    }

    fn strike(
        &self,
        one: &Written,
        there: &dyn Fn(EntryId) -> Result<Option<Entry>, book::BookError>,
    ) -> Result<Says, DeskError> {
        if one.replaces.is_empty() || one.replaces.len() > MOST_ENTRIES {
            return Ok(Says::Refused(
                "a strike names the entries that it takes out; name one or more".to_owned(),
            ));
        }
        let mut replaces = Vec::new();
        for text in &one.replaces {
            let id = match EntryId::parse(text) {
                Ok(id) => id,
                Err(why) => return Ok(Says::Refused(why.to_string())),
            };
            // what has not arrived yet can only be the phone's own: nobody else knows its id
            if let Some(entry) = there(id)?
                && (entry.device != self.device || entry.author != self.author)
                && self.rights == Rights::Helper
            {
                return Ok(Says::Refused(format!(
                    "the entry was written by somebody else or on another device ({}); ask the owner to strike it out",
                    entry.in_short()
                )));
            }
            replaces.push(id);
        }
        let reason = one.figures.get("reason").and_then(|texts| texts.first());
        let reason = reason.map_or("", |text| text.trim());
        let void = Void {
            reason: if reason.is_empty() {
                "undone on the phone".to_owned()
            } else {
                reason.to_owned()
            },
        };
        Ok(Says::Read(Box::new(void.into()), replaces))
    }

    /// The year that it happened in, on the farm's clock; a phone whose clock is days off is not
    /// asked for the year.
    fn year(&self, one: &Written) -> u16 {
        let off = if self.clock_off_ms.abs() > OTHER_YEAR_MS {
            self.clock_off_ms
        } else {
            0
        };
        let local = crate::moment::zoned(self.farm, one.happened_ms.saturating_sub(off));
        u16::try_from(local.year()).unwrap_or(1970)
    }
}

enum Says {
    Read(Box<Payload>, Vec<EntryId>),
    Unread(String),
    Refused(String),
}

/// The kind that the book keeps it under.
fn stored(kind: &str) -> &str {
    if kind == "strike" { "void" } else { kind }
}

fn unread(one: &Written, why: &str) -> Payload {
    Unread {
        sent_as: short(&one.kind),
        figures: one.figures.clone(),
        why: why.chars().take(2_000).collect(),
        replaces_sent: one.replaces.clone(),
    }
    .into()
}
