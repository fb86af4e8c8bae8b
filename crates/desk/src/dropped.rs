//! A file that somebody dropped on a page: what it is, told by its content and never by its name, and
//! what of it went into the book.

use crate::outline::outlines;
use crate::passes::{Asked, summary_at_base_with_points};
use crate::sync::{self, Rights, Sender, State};
use crate::written::Figures;
use crate::{Clock, DeskError, Farm, Pen};
use book::Book;
use book::kinds::{FileKept, FilePurpose, Name, Payload};
use formats::points::Form;
use quantity::Units;
use serde::Serialize;

/// What a file was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Outlines of fields, GeoJSON.
    Outlines,
    /// A sheet of slips.
    Slips,
    /// A combine's points.
    Points,
    /// A photograph.
    Photograph,
    /// A phone's outbox.
    Outbox,
    /// The entries of an export.
    Entries,
}

/// What became of a file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dropped {
    /// Its name.
    pub file: String,
    /// What it was.
    pub kind: Kind,
    /// How many things it held.
    pub found: u64,
    /// How many of them are in the book now.
    pub kept: u64,
    /// How many were there already.
    pub known: u64,
    /// Why others are not, one sentence each.
    pub set_aside: Vec<String>,
    /// For points: the field that they are kept under, if one is known.
    pub field: Option<String>,
}

/// Who dropped it, and what they said with it.
#[derive(Debug, Clone, Copy)]
pub struct By<'a> {
    /// The person.
    pub person: &'a str,
    /// The field that the file is of, if chosen.
    pub field: Option<&'a str>,
}

/// Takes a file into the book. What cannot be used is said and set aside; nothing is half written.
///
/// # Errors
/// A file that is none of these, or whatever the book refuses; then the book is unchanged.
pub fn take_file(
    book: &mut Book,
    farm: &Farm,
    by: By<'_>,
    file: &str,
    bytes: &[u8],
    clock: &mut dyn Clock,
) -> Result<Dropped, DeskError> {
    if sync::picture_type(bytes).is_some() {
        return photograph(book, farm, by, file, bytes, clock);
    }
    let layer = formats::points::told_by(bytes);
    // outlines and a phone's outbox are such text too
    let outlined = layer == Some(Form::GeoJson)
        && (!formats::points::names_points(bytes)
            || std::str::from_utf8(bytes).is_ok_and(sync::is_outbox));
    if formats::taskdata::told_by(bytes).is_some() || layer.is_some() && !outlined {
        return points(book, farm, by, file, bytes, clock);
    }
    let text = std::str::from_utf8(bytes).map_err(|_| unknown(file))?;
    if sync::is_outbox(text) {
        return outbox(book, by, file, text, clock);
    }
    if text
        .trim_start_matches('\u{feff}')
        .trim_start()
        .starts_with('{')
    {
        return fields(book, farm, by, file, text, clock);
    }
    let head = text.lines().next().unwrap_or("").to_lowercase();
    let columns = head
        .split([',', ';', '\t'])
        .map(|column| column.trim().trim_matches('"').to_owned());
    let columns: Vec<String> = columns.collect();
    if columns == book::Entry::COLUMNS {
        let merged = crate::books::import_entries(book, file, bytes)?;
        let mut out = one(file, Kind::Entries, false);
        (out.found, out.kept, out.known) = (merged.read, merged.added, merged.already);
        return Ok(out);
    }
    if columns.iter().any(|column| column == "kind") {
        let mut pen = Pen::new(by.person, None, &farm.zone, clock)?;
        let read = crate::read_sheet(book, farm, &mut pen, file, bytes, false)?;
        return Ok(Dropped {
            file: file.to_owned(),
            kind: Kind::Slips,
            found: read.rows,
            kept: read.written,
            known: 0,
            set_aside: read.set_aside,
            field: None,
        });
    }
    points(book, farm, by, file, bytes, clock)
}

fn unknown(file: &str) -> DeskError {
    DeskError::File {
        file: file.to_owned(),
        why: "found nothing that is known here, expected outlines (GeoJSON), a sheet of slips (CSV with a kind column), combine points (delimited, with longitude and latitude; GeoJSON, GeoPackage, FlatGeobuf, GeoParquet; or a Shapefile or task data as a zip archive), a photograph, or a phone's outbox; nothing was written".to_owned(),
    }
}

/// A file's name as the book keeps it.
fn kept_name(file: &str) -> Result<Name, DeskError> {
    let plain: String = file.chars().filter(|c| !c.is_control()).take(80).collect();
    Ok(Name::new(if plain.trim().is_empty() {
        "file"
    } else {
        plain.trim()
    })?)
}

fn keep(
    book: &mut Book,
    farm: &Farm,
    by: By<'_>,
    (file, bytes): (&str, &[u8]),
    (purpose, of): (FilePurpose, Vec<Name>),
    clock: &mut dyn Clock,
) -> Result<bool, DeskError> {
    let sha256 = book::Sha256Key::of(bytes);
    let there = farm
        .files
        .iter()
        .any(|one| one.says.sha256 == sha256 && one.says.of == of);
    if there {
        return Ok(false);
    }
    let kept = FileKept {
        sha256,
        name: kept_name(file)?,
        bytes: bytes.len() as u64,
        purpose,
        of,
    };
    Payload::File(kept.clone()).check()?;
    book.attach(bytes)?;
    Pen::new(by.person, None, &farm.zone, clock)?.write(book, kept.into())?;
    Ok(true)
}

fn photograph(
    book: &mut Book,
    farm: &Farm,
    by: By<'_>,
    file: &str,
    bytes: &[u8],
    clock: &mut dyn Clock,
) -> Result<Dropped, DeskError> {
    if bytes.len() > sync::MOST_PHOTOGRAPH_BYTES {
        return Err(DeskError::File {
            file: file.to_owned(),
            why: "the photograph is larger than 6 MB; make it smaller, nothing was written"
                .to_owned(),
        });
    }
    let new = keep(
        book,
        farm,
        by,
        (file, bytes),
        (FilePurpose::Ticket, Vec::new()),
        clock,
    )?;
    Ok(one(file, Kind::Photograph, new))
}

fn one(file: &str, kind: Kind, new: bool) -> Dropped {
    Dropped {
        file: file.to_owned(),
        kind,
        found: 1,
        kept: u64::from(new),
        known: u64::from(!new),
        set_aside: Vec::new(),
        field: None,
    }
}

fn outbox(
    book: &mut Book,
    by: By<'_>,
    file: &str,
    text: &str,
    clock: &mut dyn Clock,
) -> Result<Dropped, DeskError> {
    let outbox = sync::outbox_file(text)?;
    for photograph in &outbox.photographs {
        book.attach(&photograph.bytes)?;
    }
    let mut out = Dropped {
        file: file.to_owned(),
        kind: Kind::Outbox,
        found: 0,
        kept: 0,
        known: 0,
        set_aside: outbox
            .set_aside
            .iter()
            .map(|(line, why)| format!("line {line}: {why}"))
            .collect(),
        field: None,
    };
    // the file says who wrote it: a helper's week is the helper's, whoever carried it here
    let person = if outbox.person.trim().is_empty() {
        by.person
    } else {
        outbox.person.trim()
    };
    for mut batch in outbox.batches {
        // a file may travel for days: only a clock that is ahead can be told from its own time
        batch.sent_ms = batch.sent_ms.max(clock.now_ms());
        let farm = Farm::read(book)?;
        // whoever carries it here, a file strikes out no more than the phone that wrote it may
        let sender = Sender {
            person,
            device: &batch.device.id,
            rights: Rights::Helper,
        };
        let taken = sync::take(book, &farm, &sender, &batch, clock)?;
        for result in taken.results {
            out.found += 1;
            match result.state {
                State::Kept | State::Unread => out.kept += 1,
                State::Known => out.known += 1,
                State::Refused => {
                    out.set_aside.push(format!(
                        "{}: {}",
                        result.id,
                        result.why.unwrap_or_default()
                    ));
                }
            }
        }
    }
    Ok(out)
}

fn fields(
    book: &mut Book,
    farm: &Farm,
    by: By<'_>,
    file: &str,
    text: &str,
    clock: &mut dyn Clock,
) -> Result<Dropped, DeskError> {
    let read = outlines(text, Units::Us).map_err(|_| unknown(file))?;
    let mut out = Dropped {
        file: file.to_owned(),
        kind: Kind::Outlines,
        found: (read.found.len() + read.set_aside.len()) as u64,
        kept: 0,
        known: 0,
        set_aside: read.set_aside,
        field: None,
    };
    let mut new = Vec::new();
    let only = read.found.len() == 1;
    for outline in read.found {
        // one outline without a name of its own takes the field that was chosen
        let name = outline
            .name
            .clone()
            .or_else(|| by.field.filter(|_| only).map(str::to_owned));
        let Some(name) = name.filter(|name| !name.trim().is_empty()) else {
            out.set_aside.push("an outline without a name; give its feature a name, or choose the field and drop it alone".to_owned());
            continue;
        };
        if let Ok(known) = farm.field(&name) {
            let set =
                Figures::from_iter([("boundary", outline.geojson), ("measured", outline.written)]);
            let id = farm.fields[&known].id;
            let mut pen = Pen::new(by.person, None, &farm.zone, clock)?;
            match crate::mend(
                book,
                farm,
                &mut pen,
                id,
                &set,
                &format!("outline from {file}"),
            ) {
                Ok(_) => out.kept += 1,
                Err(DeskError::Entry(_)) => out.known += 1,
                Err(why) => out.set_aside.push(format!("{name}: {why}")),
            }
            continue;
        }
        new.push(crate::ToWrite {
            kind: "field".to_owned(),
            figures: Figures::from_iter([
                ("name", name),
                ("boundary", outline.geojson),
                ("measured", outline.written),
            ]),
        });
    }
    if !new.is_empty() {
        let mut pen = Pen::new(by.person, None, &farm.zone, clock)?;
        let count = new.len() as u64;
        crate::write_all(book, farm, &mut pen, &new).map_err(|(_, why)| why)?;
        out.kept += count;
    }
    Ok(out)
}

/// The field that a file is named for: the longest name that its own holds, spaces and signs apart.
fn named_for(farm: &Farm, file: &str) -> Option<Name> {
    let plain = |text: &str| -> String {
        text.chars()
            .filter(|c| c.is_alphanumeric())
            .flat_map(char::to_lowercase)
            .collect()
    };
    let file = plain(file);
    farm.fields
        .keys()
        .filter(|name| file.contains(&plain(name.as_str())))
        .max_by_key(|name| name.as_str().len())
        .cloned()
}

fn points(
    book: &mut Book,
    farm: &Farm,
    by: By<'_>,
    file: &str,
    bytes: &[u8],
    clock: &mut dyn Clock,
) -> Result<Dropped, DeskError> {
    let field = match by.field.filter(|field| !field.trim().is_empty()) {
        Some(field) => Some(farm.field(field)?),
        None => named_for(farm, file),
    };
    // any crop and width will do to tell whether these are points; the map asks for the real ones
    let asked = Asked {
        swath: Some("20 ft".to_owned()),
        crop: "corn".to_owned(),
        ..Asked::default()
    };
    // what is told by its first bytes has its own reason, which helps more
    let told =
        formats::taskdata::told_by(bytes).is_some() || formats::points::told_by(bytes).is_some();
    let (read, _) = summary_at_base_with_points(bytes, file, &asked)
        .map_err(|why| if told { why } else { unknown(file) })?;
    let of = field.iter().cloned().collect();
    let new = keep(
        book,
        farm,
        by,
        (file, bytes),
        (FilePurpose::CombinePoints, of),
        clock,
    )?;
    let mut out = one(file, Kind::Points, new);
    out.found = read.summary.rows_read;
    out.kept = if new { read.summary.n } else { 0 };
    out.known = if new { 0 } else { read.summary.n };
    if read.summary.findings.set_aside_rows > 0 {
        out.set_aside.push(format!(
            "{} rows could not be read; they stay in the file",
            read.summary.findings.set_aside_rows
        ));
    }
    out.field = field.map(|name| name.to_string());
    if out.field.is_none() {
        out.set_aside.push("no field is named in the file's name; choose the field and drop it again, so that its map is found".to_owned());
    }
    Ok(out)
}
