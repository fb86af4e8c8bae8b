//! A copy of the book to keep elsewhere: made while the book is in use, handed out as a file, and
//! written down with where it lies.

use crate::door::Who;
use crate::shell::page;
use crate::{Frame, House, Look, Refusal, Tab, dates};
use askama::Template;
use axum::Router;
use axum::extract::{Form, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use desk::written::Figures;
use serde::Deserialize;

#[derive(Template)]
#[template(path = "copy.html")]
struct Page {
    frame: Frame,
    lede: String,
    last: String,
    entries: u64,
}

async fn show(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    let now = house.now()?;
    let text = look.text;
    let last = now
        .farm
        .copied
        .iter()
        .max_by_key(|one| one.happened.at_ms());
    page(&Page {
        frame: Frame::new(look, &who, Tab::Other, text.say("Copy the book")),
        lede: match last {
            Some(_) => text
                .say("A book that lies on one machine only is one dropped laptop from gone.")
                .into_owned(),
            None => text
                .say("No copy was ever kept off this machine.")
                .into_owned(),
        },
        last: last.map_or_else(String::new, |one| {
            text.fill(
                "The last one is in {0}, of {1}, with {2} entries.",
                &[
                    &one.says.kept_at,
                    &dates::moment(text, &now.farm.zone, one.happened.at_ms()),
                    &one.says.entries,
                ],
            )
        }),
        entries: now.length,
    })
}

/// The copy itself, whole and checked.
async fn give(State(house): State<House>, _who: Who) -> Result<Response, Refusal> {
    let (bytes, name) = house
        .run(move |house| {
            house.with_book(|book, now, clock| {
                let day = dates::local(&now.farm.zone, clock.now_ms())
                    .strftime("%F")
                    .to_string();
                let bytes = desk::books::copied(book)?;
                let plain: String = now
                    .farm
                    .name
                    .chars()
                    .map(|c| {
                        if c.is_ascii_alphanumeric() {
                            c.to_ascii_lowercase()
                        } else {
                            '-'
                        }
                    })
                    .collect();
                Ok((bytes, format!("{plain}-{day}.stook")))
            })
        })
        .await?;
    Ok((
        [
            (CONTENT_TYPE, "application/octet-stream".to_owned()),
            (
                CONTENT_DISPOSITION,
                format!("attachment; filename=\"{name}\""),
            ),
        ],
        bytes,
    )
        .into_response())
}

#[derive(Deserialize)]
struct Kept {
    #[serde(default)]
    to: String,
    #[serde(default)]
    entries: String,
}

async fn kept(
    State(house): State<House>,
    who: Who,
    Form(kept): Form<Kept>,
) -> Result<Response, Refusal> {
    let mut figures = Figures::default();
    figures.add("to", kept.to);
    figures.add("entries", kept.entries);
    house.write(who, "copied", figures).await?;
    Ok(Redirect::to("/copy").into_response())
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/copy", get(show).post(kept))
        .route("/copy/file", get(give))
}
