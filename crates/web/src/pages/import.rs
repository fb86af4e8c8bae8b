//! Files brought in: dropped on any page or chosen here; told by their content.

use crate::door::Who;
use crate::shell::page;
use crate::text::Text;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use desk::dropped::{By, Dropped, Kind, take_file};

/// What became of one file.
struct Line {
    file: String,
    says: String,
    set_aside: Vec<String>,
    link: Option<(&'static str, String)>,
}

#[derive(Template)]
#[template(path = "import.html")]
struct Page {
    frame: Frame,
    lede: String,
    lines: Vec<Line>,
    fields: Vec<String>,
}

/// Most files at once.
const MOST: usize = 50;

fn says(text: Text, one: &Dropped) -> String {
    let numbers: [&dyn std::fmt::Display; 3] = [&one.kept, &one.found, &one.known];
    match one.kind {
        Kind::Outlines => text.fill(
            "outlines of fields: {0} of {1} are in the book now, {2} were there already",
            &numbers,
        ),
        Kind::Slips => text.fill(
            "a sheet of slips: {0} of {1} rows are in the book now",
            &numbers,
        ),
        Kind::Points => match &one.field {
            Some(field) => text.fill(
                "combine points of {0}: {1} of {2} rows read, kept as they are",
                &[field, &one.kept, &one.found],
            ),
            None => text.fill(
                "combine points: {0} of {1} rows read, kept as they are",
                &numbers,
            ),
        },
        Kind::Photograph if one.kept == 0 => text
            .say("a photograph that is in the book already")
            .into_owned(),
        Kind::Photograph => text
            .say("a photograph, kept as a ticket to be typed at Night")
            .into_owned(),
        Kind::Entries => text.fill(
            "entries of an export: {0} of {1} are in the book now, {2} were there already",
            &numbers,
        ),
        Kind::Outbox => text.fill(
            "a phone's outbox: {0} of {1} entries are in the book now, {2} were there already",
            &numbers,
        ),
    }
}

/// Most reasons that are shown of one file; the others are counted.
const SHOWN: usize = 20;

fn shown(text: Text, all: &[String]) -> Vec<String> {
    let mut out: Vec<String> = all
        .iter()
        .take(SHOWN)
        .map(|why| text.say(why).into_owned())
        .collect();
    if all.len() > SHOWN {
        out.push(text.fill("{0} in all; the first {1} are shown", &[&all.len(), &SHOWN]));
    }
    out
}

fn line(text: Text, one: Dropped) -> Line {
    let link = match (one.kind, &one.field) {
        (Kind::Points, Some(field)) => Some(("/winter/field/", super::winter::in_path(field))),
        (Kind::Photograph | Kind::Outbox | Kind::Slips, _) => Some(("/night", String::new())),
        (Kind::Entries, _) => Some(("/entries", String::new())),
        (Kind::Outlines, _) => Some(("/start/fields", String::new())),
        (Kind::Points, None) => None,
    };
    Line {
        says: says(text, &one),
        set_aside: shown(text, &one.set_aside),
        file: one.file,
        link,
    }
}

fn made(
    look: Look,
    who: &Who,
    house: &House,
    lede: String,
    lines: Vec<Line>,
) -> Result<Page, Refusal> {
    let now = house.now()?;
    Ok(Page {
        frame: Frame::new(look, who, Tab::Other, look.text.say("Bring files in")),
        lede,
        lines,
        fields: now.farm.fields.keys().map(ToString::to_string).collect(),
    })
}

async fn show(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    let lede = look
        .text
        .say("Drop files on any page, or choose them here.")
        .into_owned();
    page(&made(look, &who, &house, lede, Vec::new())?)
}

async fn take(
    State(house): State<House>,
    look: Look,
    who: Who,
    mut sent: Multipart,
) -> Result<Response, Refusal> {
    let odd = |_| {
        Refusal::new(
            StatusCode::BAD_REQUEST,
            "the files did not arrive whole; drop them again",
        )
    };
    let mut field = String::new();
    let mut files: Vec<(String, axum::body::Bytes)> = Vec::new();
    let mut left: Vec<String> = Vec::new();
    while let Some(part) = sent.next_field().await.map_err(odd)? {
        if part.name() == Some("field") {
            field = part.text().await.map_err(odd)?;
            continue;
        }
        let name = part.file_name().unwrap_or("file").to_owned();
        let bytes = part.bytes().await.map_err(odd)?;
        if bytes.is_empty() {
            continue;
        }
        if files.len() < MOST {
            files.push((name, bytes));
        } else {
            left.push(name);
        }
    }
    let person = who.person.clone();
    let text = look.text;
    let lines = house
        .run(move |house| {
            let mut lines = Vec::new();
            for (name, bytes) in files {
                let by = By {
                    person: &person,
                    field: Some(field.as_str()).filter(|field| !field.is_empty()),
                };
                let done = house.with_book(|book, now, clock| {
                    Ok(take_file(book, &now.farm, by, &name, &bytes, clock)?)
                });
                lines.push(match done {
                    Ok(dropped) => line(text, dropped),
                    Err(why) => Line {
                        file: name,
                        says: text.say("nothing of it was taken").into_owned(),
                        set_aside: vec![text.say(&why.sentence).into_owned()],
                        link: None,
                    },
                });
            }
            lines.extend(left.into_iter().map(|file| Line {
                file,
                says: text.fill(
                    "not read: {0} files at once are enough; drop it again",
                    &[&MOST],
                ),
                set_aside: Vec::new(),
                link: None,
            }));
            Ok(lines)
        })
        .await?;
    let lede = match lines.len() {
        0 => text.say("No file came.").into_owned(),
        1 => text.say("One file came.").into_owned(),
        some => text.fill("{0} files came.", &[&some]),
    };
    page(&made(look, &who, &house, lede, lines)?)
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/import", get(show).post(take))
}
