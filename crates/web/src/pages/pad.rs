//! The pad of numbered load cards for help without a phone, to print.

use crate::door::Who;
use crate::shell::page;
use crate::text::{Markup, Text};
use crate::{Frame, House, Look, Refusal, Tab, dates};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use draw::{Finding, LoadPad, PadBlank, PadColumn, load_pad};
use serde::Deserialize;

/// Lines of a leaf.
const LINES: u32 = 15;
/// Leaves at most.
const LEAVES: u32 = 20;
/// The highest number on a card.
const HIGHEST: u32 = 99_000;

#[derive(Deserialize)]
struct Asked {
    from: Option<u32>,
    count: Option<u32>,
    field: Option<String>,
}

#[derive(Template)]
#[template(path = "pad.html")]
struct Page {
    frame: Frame,
    lede: String,
    from: u32,
    count: u32,
    field: String,
    fields: Vec<String>,
    leaves: Vec<Markup>,
}

fn columns(look: Look) -> Vec<PadColumn> {
    let text = look.text;
    let column = |head: std::borrow::Cow<'_, str>, kind, share| PadColumn {
        head: head.into_owned(),
        kind,
        share,
    };
    let levels = ["¼", "½", "¾"].map(str::to_owned).into_iter();
    let levels = levels
        .chain([text.say("full").into_owned(), text.say("heap").into_owned()])
        .collect();
    let (monitor, gross, tare) = if look.metric() {
        (
            text.say("Monitor, kg"),
            text.say("Gross, kg"),
            text.say("Tare, kg"),
        )
    } else {
        (
            text.say("Monitor, lb"),
            text.say("Gross, lb"),
            text.say("Tare, lb"),
        )
    };
    vec![
        column(text.say("Time"), PadBlank::Digits(4), 9.0),
        column(text.say("Wagon"), PadBlank::Words, 14.0),
        column(text.say("How full, ring one"), PadBlank::Ring(levels), 19.0),
        column(monitor, PadBlank::Digits(5), 12.0),
        column(text.say("Ticket no."), PadBlank::Digits(6), 13.0),
        column(gross, PadBlank::Digits(5), 12.0),
        column(tare, PadBlank::Digits(5), 12.0),
        column(text.say("Moist. %"), PadBlank::Digits(3), 10.0),
    ]
}

/// What a leaf is of.
struct Leaf<'a> {
    first: u32,
    lines: u32,
    number: u32,
    field: &'a str,
    printed: &'a str,
}

/// The short caution of a load; its first sentence stands out.
fn caution(text: Text) -> (String, String) {
    let short = text.say(&facts::caution(facts::Act::CabLoad).text);
    let law = text.say("The maker's manual and local law come first.");
    match short.split_once(". ") {
        Some((first, rest)) => (format!("{first}."), format!("{rest} {law}")),
        None => (short.into_owned(), law.into_owned()),
    }
}

fn leaf(look: Look, leaf: &Leaf<'_>) -> Markup {
    let text: Text = look.text;
    let last = leaf.first + leaf.lines - 1;
    let numbers = text.fill("cards {0} to {1}", &[&leaf.first, &last]);
    let say = |english: &str| text.say(english).into_owned();
    Markup(load_pad(&LoadPad {
        finding: Finding {
            title: text.fill("Load cards {0} to {1}", &[&leaf.first, &last]),
            desc: say("A sheet to print and write on by hand; nothing is filled in."),
        },
        head: [
            "stook".to_owned(),
            text.fill("Load log, leaf {0}", &[&leaf.number]),
            numbers,
        ],
        title: leaf.field.to_owned(),
        sub: text.say("One line a load. Write what you see; leave blank what you did not. A crossed-out line stays, and the next line says why.").into_owned(),
        blanks: vec![
            text.say("Date").into_owned(),
            text.say("Driver").into_owned(),
            text.say("Combine").into_owned(),
            if leaf.field.is_empty() {
                text.say("Field and crop").into_owned()
            } else {
                text.say("Going to").into_owned()
            },
        ],
        number: text.say("No.").into_owned(),
        columns: columns(look),
        first: leaf.first,
        lines: leaf.lines,
        caution: caution(text),
        foot: [
            text.say("Type these at Night, or photograph the page. A missing number is asked for.").into_owned(),
            leaf.printed.to_owned(),
        ],
    }))
}

async fn show(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let now = house.now()?;
    let text = look.text;
    let from = asked.from.unwrap_or(1).clamp(1, HIGHEST);
    let count = asked.count.unwrap_or(LINES).clamp(1, LINES * LEAVES);
    let fields: Vec<String> = now.farm.fields.keys().map(ToString::to_string).collect();
    let field = asked
        .field
        .filter(|field| fields.contains(field))
        .unwrap_or_default();
    let printed = text.fill(
        "Printed {0}",
        &[&dates::moment(text, &now.farm.zone, now.now_ms)],
    );
    let leaves = (0..count.div_ceil(LINES))
        .map(|number| {
            let first = from + number * LINES;
            leaf(
                look,
                &Leaf {
                    first,
                    lines: LINES.min(from + count - first),
                    number: number + 1,
                    field: &field,
                    printed: &printed,
                },
            )
        })
        .collect();
    page(&Page {
        frame: Frame::new(look, &who, Tab::Other, text.say("Load cards")),
        lede: text.fill(
            "Load cards {0} to {1}, for help without a phone.",
            &[&from, &(from + count - 1)],
        ),
        from,
        count,
        field,
        fields,
        leaves,
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/pad", get(show))
}
