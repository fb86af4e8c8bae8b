//! The ready list: what to look at, do and bring before the first pass; added to, ticked, taken off.

use crate::door::Who;
use crate::shell::page;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Form, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use desk::Pen;
use desk::written::Figures;
use serde::Deserialize;

struct Line {
    id: String,
    text: String,
    list: String,
    daily: bool,
}

#[derive(Template)]
#[template(path = "ready.html")]
struct Page {
    frame: Frame,
    lede: String,
    lines: Vec<Line>,
}

async fn list(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    let now = house.now()?;
    let text = look.text;
    let mut lines: Vec<Line> = now
        .farm
        .ready
        .iter()
        .map(|one| Line {
            id: one.id.to_string(),
            text: one.says.text.clone(),
            list: super::morning::list_name(text, one.says.list.as_str()),
            daily: one.says.often == book::kinds::Often::Daily,
        })
        .collect();
    lines.sort_by(|a, b| a.list.cmp(&b.list));
    page(&Page {
        frame: Frame::new(look, &who, Tab::Morning, text.say("Ready list")),
        lede: match lines.len() {
            0 => text
                .say("The ready list is empty: write what you look at before the first pass.")
                .into_owned(),
            1 => text.say("One line is on the ready list.").into_owned(),
            some => text.fill("{0} lines are on the ready list.", &[&some]),
        },
        lines,
    })
}

#[derive(Deserialize)]
struct New {
    text: String,
    #[serde(default)]
    list: String,
    #[serde(default)]
    often: String,
}

async fn add(
    State(house): State<House>,
    who: Who,
    Form(new): Form<New>,
) -> Result<Response, Refusal> {
    let mut figures = Figures::default();
    figures.add("text", new.text);
    figures.add(
        "list",
        if new.list.trim().is_empty() {
            "walk-round".to_owned()
        } else {
            new.list
        },
    );
    figures.add("often", new.often);
    house.write(who, "ready", figures).await?;
    Ok(Redirect::to("/ready").into_response())
}

#[derive(Deserialize)]
struct Tick {
    item: String,
    day: String,
}

async fn tick(
    State(house): State<House>,
    who: Who,
    Form(tick): Form<Tick>,
) -> Result<Response, Refusal> {
    let mut figures = Figures::default();
    figures.add("item", tick.item);
    figures.add("day", tick.day);
    house.write(who, "ticked", figures).await?;
    Ok(Redirect::to("/morning").into_response())
}

#[derive(Deserialize)]
struct Off {
    item: String,
}

async fn off(
    State(house): State<House>,
    look: Look,
    who: Who,
    Form(off): Form<Off>,
) -> Result<Response, Refusal> {
    let reason = look.text.say("taken off the ready list").into_owned();
    house
        .run(move |house| {
            house.with_book(|book, now, clock| {
                let id = desk::find(book, &now.farm, &off.item)?;
                if !now.farm.ready.iter().any(|one| one.id == id) {
                    return Err(Refusal::not_found("the line"));
                }
                let mut pen = Pen::new(&who.person, None, &now.farm.zone, clock)?;
                desk::strike(book, &now.farm, &mut pen, id, &reason)?;
                Ok(())
            })
        })
        .await?;
    Ok(Redirect::to("/ready").into_response())
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/ready", get(list).post(add))
        .route("/ready/tick", post(tick))
        .route("/ready/off", post(off))
}
