//! Entries: written, mended, struck out, found and shown.

use crate::written::{Figures, figures_of, read};
use crate::{DeskError, Farm, Pen};
use book::kinds::{Correction, Payload, Reading, Void};
use book::{Book, Entry, EntryId};
use serde::Serialize;

/// Writes one entry from its figures; it is on disk when this returns.
///
/// # Errors
/// A figure that cannot be read, or whatever the book refuses.
pub fn write(
    book: &mut Book,
    farm: &Farm,
    pen: &mut Pen<'_>,
    kind: &str,
    figures: &Figures,
) -> Result<Entry, DeskError> {
    let year = year_of(pen, farm)?;
    let payload = read_new(kind, figures, farm, year)?;
    ends_after_it_began(farm, &payload, pen.at_ms())?;
    pen.write(book, payload)
}

/// The end of a stop cannot lie before its beginning.
///
/// # Errors
/// It does; the sentence says both times and what to do.
pub(crate) fn ends_after_it_began(
    farm: &Farm,
    payload: &Payload,
    at_ms: i64,
) -> Result<(), DeskError> {
    let Payload::Go(go) = payload else {
        return Ok(());
    };
    let Some(stop) = farm.stops.iter().find(|stop| stop.id == go.stop) else {
        return Ok(());
    };
    let began_ms = stop.happened.at_ms();
    if at_ms >= began_ms {
        return Ok(());
    }
    let said = |ms| {
        crate::moment::zoned(farm, ms)
            .strftime("%Y-%m-%d %H:%M")
            .to_string()
    };
    Err(DeskError::figure(
        "at",
        format!(
            "found an end at {}, expected one after the stop began, {}; write the end again with its time",
            said(at_ms),
            said(began_ms)
        ),
    ))
}

/// Reads the figures of a new entry: as [`crate::written::read`], and a name must not be taken.
///
/// # Errors
/// As there, and a name that is in the book already.
pub fn read_new(
    kind: &str,
    figures: &Figures,
    farm: &Farm,
    year: u16,
) -> Result<Payload, DeskError> {
    let figures = &with_the_seasons(kind, figures, farm);
    let payload = read(kind, figures, farm, year)?;
    taken(farm, &payload)?;
    Ok(payload)
}

/// Settings of a season that are written again say what they leave out as it stood: the later wording is the
/// one that counts, and setting one of them must not unset the others.
fn with_the_seasons(kind: &str, figures: &Figures, farm: &Farm) -> Figures {
    let mut all = figures.clone();
    let season = (figures.one("season")).and_then(|text| text.trim().parse::<u16>().ok());
    let standing = season
        .filter(|_| kind == "season")
        .and_then(|year| farm.seasons.get(&year));
    if let Some(before) = standing.and_then(|says| figures_of(&says.clone().into())) {
        for (name, texts) in before.iter() {
            if figures.one(name).is_none() {
                all.set(name, texts.to_vec());
            }
        }
    }
    all
}

/// A name that is in the book already is mended, not written again: what the new entry leaves out
/// would be lost from sight.
fn taken(farm: &Farm, payload: &Payload) -> Result<(), DeskError> {
    let (what, name, there) = match payload {
        Payload::Field(says) => ("field", &says.name, farm.fields.contains_key(&says.name)),
        Payload::Machine(says) => (
            "machine",
            &says.name,
            farm.machines.contains_key(&says.name),
        ),
        Payload::Place(says) => ("place", &says.name, farm.places.contains_key(&says.name)),
        Payload::Meter(says) => ("meter", &says.name, farm.meters.contains_key(&says.name)),
        Payload::Buyer(says) => ("buyer", &says.name, farm.buyers.contains_key(&says.name)),
        Payload::Person(says) => ("person", &says.name, farm.people.contains_key(&says.name)),
        _ => return Ok(()),
    };
    if there {
        return Err(DeskError::Refused(format!(
            "the {what} {name} is in the book already; change it with stook mend \"{what} {name}\" --set FIGURE=VALUE --reason WHY"
        )));
    }
    Ok(())
}

/// The year of what is being written, local time.
///
/// # Errors
/// A moment outside what a calendar counts.
pub fn year_of(pen: &mut Pen<'_>, farm: &Farm) -> Result<u16, DeskError> {
    let at_ms = pen.at_ms();
    let zone = jiff::tz::TimeZone::get(&farm.zone).unwrap_or(jiff::tz::TimeZone::UTC);
    let year = jiff::Timestamp::from_millisecond(at_ms)
        .map_err(|why| DeskError::figure("at", why))?
        .to_zoned_datetime(zone)
        .year();
    u16::try_from(year)
        .map_err(|_| DeskError::figure("at", format!("the year {year} is not a season")))
}

/// Corrects an entry: a new entry that names the old one and every correction of it seen so far.
/// `set` holds figures as the paper shows them; everything else stays as it was.
///
/// # Errors
/// No such entry, a figure that cannot be read, a figure typed as it already was, or no reason.
pub fn mend(
    book: &mut Book,
    farm: &Farm,
    pen: &mut Pen<'_>,
    id: EntryId,
    set: &Figures,
    reason: &str,
) -> Result<Entry, DeskError> {
    let standing = farm
        .effective
        .entries
        .iter()
        .find(|standing| standing.id == id)
        .ok_or_else(|| {
            DeskError::Entry(format!(
                "entry {id} is struck out; strike the striking out first to bring it back"
            ))
        })?;
    let Reading::Known(now) = standing.read()? else {
        return Err(DeskError::Entry(format!(
            "entry {id} needs a newer stook; mend it there"
        )));
    };
    let Some(mut figures) = figures_of(&now) else {
        return Err(DeskError::Entry(format!(
            "a {} entry is not mended; write a new one",
            standing.kind
        )));
    };
    // a net that was worked out follows what is mended
    for (name, texts) in set.iter() {
        figures.set(name, texts.to_vec());
    }
    let year = year_of(pen, farm)?;
    let mended = read(&standing.kind, &figures, farm, year)?;
    if mended == now {
        return Err(DeskError::Entry(
            "nothing would change: every figure is already so; give the figure that the paper shows differently"
                .to_owned(),
        ));
    }
    let mut replaces = vec![id];
    replaces.extend(standing.corrections.iter().copied());
    let correction = Correction {
        of: id,
        reason: reason.to_owned(),
        now: Box::new(mended),
    };
    let mut entry = pen.entry(correction.into(), replaces)?;
    if pen.at.is_none() {
        // a correction's time is when the thing corrected happened
        entry.happened = standing.happened.clone();
    }
    pen.ready(book)?;
    Ok(book.append(&entry, pen.clock.now_ms())?)
}

/// Strikes an entry out, with every correction of it; it stays visible.
///
/// # Errors
/// No such entry, or no reason.
pub fn strike(
    book: &mut Book,
    farm: &Farm,
    pen: &mut Pen<'_>,
    id: EntryId,
    reason: &str,
) -> Result<Entry, DeskError> {
    let mut replaces = vec![id];
    if let Some(standing) = farm
        .effective
        .entries
        .iter()
        .find(|standing| standing.id == id)
    {
        replaces.extend(standing.corrections.iter().copied());
    }
    let mut entry = pen.entry(
        Void {
            reason: reason.to_owned(),
        }
        .into(),
        replaces,
    )?;
    if let (None, Some(struck)) = (&pen.at, book.entry(id)?) {
        entry.happened = struck.happened;
    }
    pen.ready(book)?;
    Ok(book.append(&entry, pen.clock.now_ms())?)
}

/// Finds an entry by its id, the first or last letters of it, or what people call it ("ticket 48213",
/// "48213").
///
/// # Errors
/// Nothing by that name, or several.
pub fn find(book: &Book, farm: &Farm, text: &str) -> Result<EntryId, DeskError> {
    let text = text.trim();
    if let Ok(id) = EntryId::parse(text) {
        return match book.entry(id)? {
            Some(_) => Ok(id),
            None => Err(DeskError::Entry(format!(
                "there is no entry {id}; see stook book show"
            ))),
        };
    }
    let mut found: Vec<EntryId> = Vec::new();
    let named = |what: &str, name: &book::kinds::Name| format!("{what} {name}") == text;
    found.extend(
        farm.fields
            .iter()
            .filter(|(name, _)| named("field", name))
            .map(|(_, s)| s.id),
    );
    found.extend(
        farm.machines
            .iter()
            .filter(|(name, _)| named("machine", name))
            .map(|(_, s)| s.id),
    );
    found.extend(
        farm.places
            .iter()
            .filter(|(name, _)| named("place", name))
            .map(|(_, s)| s.id),
    );
    found.extend(
        farm.meters
            .iter()
            .filter(|(name, _)| named("meter", name))
            .map(|(_, s)| s.id),
    );
    found.extend(
        farm.buyers
            .iter()
            .filter(|(name, _)| named("buyer", name))
            .map(|(_, s)| s.id),
    );
    found.extend(
        farm.people
            .iter()
            .filter(|(name, _)| named("person", name))
            .map(|(_, s)| s.id),
    );
    let mut years: Vec<u16> = farm.dumps.iter().map(|stands| stands.says.season).collect();
    years.extend(farm.tickets.iter().map(|stands| stands.says.season));
    years.extend(farm.moves.iter().map(|stands| stands.says.season));
    years.extend(farm.measures.iter().map(|stands| stands.says.season));
    years.sort_unstable();
    years.dedup();
    for year in years {
        let season = crate::season(farm, year)?;
        for (name, id) in &season.entries {
            // a second slip of one name is "ticket 7 (again 2)": then the bare name means neither
            let base = name
                .0
                .split_once(" (again ")
                .map_or(name.0.as_str(), |(base, _)| base);
            let number = base.split_once(' ').map(|(_, number)| number);
            if name.0 == text || base == text || number == Some(text) {
                found.push(*id);
            }
        }
    }
    if found.is_empty() && text.len() >= 4 {
        let ids = book.entries()?.into_iter().map(|entry| entry.id);
        found = ids
            .filter(|id| {
                let id = id.to_string();
                id.starts_with(text) || id.ends_with(text)
            })
            .collect();
    }
    found.sort_unstable();
    found.dedup();
    match found.as_slice() {
        [one] => Ok(*one),
        [] => Err(DeskError::Entry(format!(
            "found no entry '{}', expected an id, a ticket number or a slip's name as stook square prints it",
            text.chars().take(60).collect::<String>()
        ))),
        several => Err(DeskError::Entry(format!(
            "'{text}' names {} entries; give the id of one: {}",
            several.len(),
            several
                .iter()
                .take(5)
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(", ")
        ))),
    }
}

/// One entry, for a reader.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shown {
    /// Its id.
    pub id: String,
    /// When it happened, local time with zone.
    pub happened: String,
    /// Who wrote it, on which device.
    pub author: String,
    /// The device.
    pub device: String,
    /// Its kind.
    pub kind: String,
    /// How it stands: "stands", "mended", "struck out", "replaced", "needs a newer stook".
    pub state: String,
    /// Its figures as written.
    pub figures: Vec<(String, Vec<String>)>,
    /// For a correction or a striking out: why.
    pub reason: Option<String>,
    /// Entries that it replaces.
    pub replaces: Vec<String>,
}

/// Entries in order, with how each stands.
///
/// # Errors
/// A book that cannot be read.
pub fn show(
    book: &Book,
    farm: &Farm,
    kind: Option<&str>,
    all: bool,
) -> Result<Vec<Shown>, DeskError> {
    let mut out = Vec::new();
    for entry in book.entries()? {
        let shown = shown(&entry, farm)?;
        let wanted = all || matches!(shown.state.as_str(), "stands" | "needs a newer stook");
        if wanted && kind.is_none_or(|kind| entry.kind == kind) {
            out.push(shown);
        }
    }
    Ok(out)
}

/// One entry and every entry that replaces it or that it replaces, in order.
///
/// # Errors
/// A book that cannot be read.
pub fn history(book: &Book, farm: &Farm, id: EntryId) -> Result<Vec<Shown>, DeskError> {
    let entries = book.entries()?;
    let mut thread: Vec<EntryId> = vec![id];
    loop {
        let before = thread.len();
        for entry in &entries {
            let touches = entry.replaces.iter().any(|other| thread.contains(other));
            if touches && !thread.contains(&entry.id) {
                thread.push(entry.id);
            }
            if thread.contains(&entry.id) {
                for other in &entry.replaces {
                    if !thread.contains(other) {
                        thread.push(*other);
                    }
                }
            }
        }
        if thread.len() == before {
            break;
        }
    }
    entries
        .iter()
        .filter(|entry| thread.contains(&entry.id))
        .map(|entry| shown(entry, farm))
        .collect()
}

pub(crate) fn shown(entry: &Entry, farm: &Farm) -> Result<Shown, DeskError> {
    let reading = entry.read()?;
    let holds = farm
        .effective
        .entries
        .iter()
        .any(|standing| standing.holder == entry.id);
    let mended = farm
        .effective
        .entries
        .iter()
        .any(|standing| standing.id == entry.id);
    let struck = farm
        .effective
        .voided
        .iter()
        .any(|voided| voided.id == entry.id);
    let (figures, reason, amends) = match &reading {
        Reading::Known(Payload::Correction(correction)) => (
            figures_of(&correction.now),
            Some(correction.reason.clone()),
            true,
        ),
        Reading::Known(Payload::Void(void)) => (None, Some(void.reason.clone()), true),
        Reading::Known(payload) => (figures_of(payload), None, false),
        Reading::NeedsNewer => (None, None, false),
    };
    let state = match (&reading, holds, mended, struck) {
        (Reading::NeedsNewer, ..) => "needs a newer stook",
        (_, true, ..) => "stands",
        (_, _, true, _) => "mended",
        (_, _, _, true) => "struck out",
        _ if amends => "amends",
        _ => "replaced",
    };
    let figures: Vec<(String, Vec<String>)> = figures.map_or_else(Vec::new, |figures| {
        figures
            .iter()
            .map(|(name, texts)| (name.to_owned(), texts.to_vec()))
            .collect()
    });
    let local = jiff::Timestamp::from_millisecond(entry.happened.at_ms())
        .ok()
        .and_then(|instant| instant.in_tz(entry.happened.zone()).ok())
        .map(|zoned| zoned.strftime("%Y-%m-%d %H:%M %Z").to_string());
    Ok(Shown {
        id: entry.id.to_string(),
        happened: local.unwrap_or_else(|| format!("{} ms", entry.happened.at_ms())),
        author: entry.author.to_string(),
        device: entry.device.to_string(),
        kind: entry.kind.clone(),
        state: state.to_owned(),
        figures,
        reason,
        replaces: entry.replaces.iter().map(ToString::to_string).collect(),
    })
}
