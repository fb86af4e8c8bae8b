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
    often: String,
    reading: String,
    unit: Option<String>,
    by_hours: bool,
    done: String,
    outside: Option<String>,
}

struct Offered {
    number: usize,
    text: String,
    list: String,
}

#[derive(Template)]
#[template(path = "ready.html")]
struct Page {
    frame: Frame,
    lede: String,
    lines: Vec<Line>,
    day: String,
    offered: Vec<Offered>,
    cautions: Vec<String>,
}

async fn list(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    let now = house.now()?;
    let text = look.text;
    let day = desk::ready::harvest_day_at(&now.farm, now.now_ms)
        .ok_or_else(|| Refusal::not_found("the day"))?;
    let list = desk::ready::ready(&now.farm, day);
    let due = list.lines.iter().filter(|line| line.due).count();
    let lines: Vec<Line> = list
        .lines
        .into_iter()
        .map(|line| Line {
            often: match (line.every_engine_h, line.daily) {
                (Some(hours), _) => text.fill("every {0} engine hours", &[&hours]),
                (None, true) => text.say("every day").into_owned(),
                (None, false) => text.say("once").into_owned(),
            },
            done: match (line.due, line.engine_h_left) {
                (true, Some(left)) => {
                    text.fill("due, {0} engine hours over", &[&format!("{:.0}", -left)])
                }
                (true, None) => text.say("due").into_owned(),
                (false, Some(left)) => {
                    text.fill("done, {0} engine hours left", &[&format!("{left:.0}")])
                }
                (false, None) => text.say("done").into_owned(),
            },
            reading: line
                .reading
                .map_or_else(String::new, |one| text.say(&one).into_owned()),
            unit: line.unit,
            by_hours: line.every_engine_h.is_some(),
            outside: line.outside.map(|one| text.say(&one).into_owned()),
            list: super::morning::list_name(text, &line.list),
            id: line.id,
            text: line.text,
        })
        .collect();
    let offered = list
        .offered
        .into_iter()
        .map(|one| Offered {
            number: one.number,
            text: match text.0 {
                crate::Language::Es => one.line.es,
                crate::Language::En => one.line.text,
            },
            list: super::morning::list_name(text, &one.line.list),
        })
        .collect();
    let cautions = [
        facts::Act::WalkRound,
        facts::Act::Pto,
        facts::Act::Fire,
        facts::Act::RoadMove,
        facts::Act::Fatigue,
    ];
    page(&Page {
        frame: Frame::new(look, &who, Tab::Morning, text.say("Ready list")),
        lede: match (lines.len(), due) {
            (0, _) => text
                .say("The ready list is empty: write what you look at before the first pass.")
                .into_owned(),
            (_, 0) => text.say("Nothing on the ready list is due.").into_owned(),
            (1, _) => text.say("One line is on the ready list.").into_owned(),
            (some, due) => text.fill(
                "{0} of {1} lines on the ready list are due.",
                &[&due, &some],
            ),
        },
        lines,
        day: day.to_string(),
        offered,
        cautions: cautions
            .into_iter()
            .map(|act| text.say(&facts::caution(act).text).into_owned())
            .collect(),
    })
}

#[derive(Deserialize)]
struct New {
    text: String,
    #[serde(default)]
    list: String,
    #[serde(default)]
    often: String,
    #[serde(default)]
    reading: String,
    #[serde(default)]
    unit: String,
    #[serde(default)]
    least: String,
    #[serde(default)]
    most: String,
    #[serde(default)]
    every: String,
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
    for (name, value) in [
        ("reading", new.reading),
        ("unit", new.unit),
        ("least", new.least),
        ("most", new.most),
        ("every", new.every),
    ] {
        figures.add(name, value);
    }
    house.write(who, "ready", figures).await?;
    Ok(Redirect::to("/ready").into_response())
}

#[derive(Deserialize)]
struct Tick {
    item: String,
    day: String,
    #[serde(default)]
    value: String,
    #[serde(default)]
    engine_hours: String,
    #[serde(default)]
    next: String,
}

async fn tick(
    State(house): State<House>,
    who: Who,
    Form(tick): Form<Tick>,
) -> Result<Response, Refusal> {
    let mut figures = Figures::default();
    figures.add("item", tick.item);
    figures.add("day", tick.day);
    figures.add("value", tick.value);
    figures.add("engine-hours", tick.engine_hours);
    house.write(who, "ticked", figures).await?;
    // only the two pages that tick are gone back to
    let back = if tick.next == "/ready" {
        "/ready"
    } else {
        "/morning"
    };
    Ok(Redirect::to(back).into_response())
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

/// Takes in lines of the starter set that were ticked.
async fn starter(
    State(house): State<House>,
    look: Look,
    who: Who,
    Form(chosen): Form<Vec<(String, String)>>,
) -> Result<Response, Refusal> {
    let spanish = look.text.0 == crate::Language::Es;
    let wanted = chosen
        .iter()
        .filter(|(name, _)| name == "line")
        .filter_map(|(_, number)| number.parse::<usize>().ok())
        .filter_map(|number| facts::starter_lines().get(number.checked_sub(1)?));
    for line in wanted {
        let figures = desk::ready::starter_figures(line, spanish);
        house.write(who.clone(), "ready", figures).await?;
    }
    Ok(Redirect::to("/ready").into_response())
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/ready", get(list).post(add))
        .route("/ready/tick", post(tick))
        .route("/ready/off", post(off))
        .route("/ready/starter", post(starter))
}
