//! Getting started: a new book is led through the farm, fields, machines, places and a buyer, each
//! a page of a few rows that can be left for later.

mod draw;
mod rows;
mod steps;

use super::form::Typed;
use crate::door::{Role, Who};
use crate::shell::page;
use crate::text::Markup;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use desk::{DeskError, Farm, Pen, setup::Setup};
use rows::{Row, entries, rows};
use std::sync::Arc;
use steps::{Progress, Step, progress};

#[derive(Template)]
#[template(path = "start.html")]
struct Page {
    frame: Frame,
    lede: String,
    standfirst: String,
    steps: Vec<Progress>,
    step: &'static str,
    title: String,
    help: String,
    rows: Markup,
    wrong: Option<String>,
    skip: Option<&'static str>,
    farm: Option<FarmBlanks>,
    draws: bool,
    metric: bool,
    rows_to_draw: Vec<(String, usize)>,
    latitude: String,
    longitude: String,
    done: bool,
}

/// The blanks of the first step, which is no form of the book's.
struct FarmBlanks {
    name: String,
    insured: String,
    zone: String,
    zones: Vec<String>,
    chosen: bool,
    name_wrong: Option<String>,
    zone_wrong: Option<String>,
}

/// What was typed and refused: in which row, and why.
#[derive(Default)]
struct Again {
    typed: Typed,
    wrong: Option<(String, DeskError)>,
}

pub(super) fn year(house: &House, farm: &Farm) -> Result<u16, Refusal> {
    house.with_book(|_, _, clock| {
        let zone = if farm.zone.is_empty() {
            "UTC"
        } else {
            &farm.zone
        };
        let mut pen = Pen::new("owner", None, zone, clock)?;
        Ok(desk::year_of(&mut pen, farm)?)
    })
}

fn farm_blanks(look: Look, again: &Again) -> FarmBlanks {
    let typed = |name: &str| again.typed.one(name).unwrap_or_default().to_owned();
    let wrong = |at: &str| match &again.wrong {
        Some((_, why @ DeskError::Figure { figure, .. })) if figure == at => {
            Some(look.text.say(&why.to_string()).into_owned())
        }
        _ => None,
    };
    let zones = desk::zones();
    FarmBlanks {
        name: typed("name"),
        insured: typed("insured-name"),
        zone: again
            .typed
            .one("zone")
            .map_or_else(|| zones[0].clone(), str::to_owned),
        chosen: again.typed.has("zone"),
        zones,
        name_wrong: wrong("name"),
        zone_wrong: wrong("zone"),
    }
}

fn made(
    look: Look,
    who: &Who,
    farm: &Farm,
    setup: &Setup,
    step: Step,
    again: &Again,
) -> Result<Page, Refusal> {
    let text = look.text;
    let all = progress(text, setup, step);
    let finished = setup.next.is_none();
    let rows: Vec<Row> = rows(step, farm, look, again)?;
    let placed = again.wrong.is_some() && step != Step::Farm && rows.iter().any(|row| row.placed);
    let sentence = again
        .wrong
        .as_ref()
        .map(|(_, why)| text.say(&why.to_string()).into_owned());
    let blanks = (step == Step::Farm && farm.name.is_empty()).then(|| farm_blanks(look, again));
    let at_farm = blanks
        .as_ref()
        .is_some_and(|blanks| blanks.name_wrong.is_some() || blanks.zone_wrong.is_some());
    let lede = if farm.name.is_empty() {
        text.say("A new book. Five short pages, and the first load can be written.")
            .into_owned()
    } else if finished {
        text.fill("{0} is ready for its first load.", &[&farm.name])
    } else {
        text.fill("{0}, made ready for the harvest.", &[&farm.name])
    };
    Ok(Page {
        frame: Frame::new(look, who, Tab::Other, text.say("Getting started")),
        lede,
        standfirst: text
            .say("Everything can wait, and everything can be corrected later. Leave blank what is not known.")
            .into_owned(),
        steps: all,
        step: step.word(),
        title: step.title(text),
        help: step.help(text),
        wrong: sentence.filter(|_| !placed && !at_farm),
        skip: step.after().map(Step::word),
        draws: step == Step::Fields,
        metric: look.metric(),
        rows_to_draw: rows
            .iter()
            .enumerate()
            .filter(|_| step == Step::Fields)
            .map(|(index, row)| (row.title.clone(), index + 1))
            .collect(),
        latitude: again.typed.one("latitude").unwrap_or_default().to_owned(),
        longitude: again.typed.one("longitude").unwrap_or_default().to_owned(),
        rows: rows::markup(text, &rows)?,
        farm: blanks,
        done: finished,
    })
}

async fn show(house: House, look: Look, who: Who, step: Option<Step>) -> Result<Response, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            let year = year(house, &now.farm)?;
            let setup = desk::setup::setup(&now.farm, year);
            let step = if now.farm.name.is_empty() {
                Step::Farm
            } else {
                step.or_else(|| Some(Step::of_kind(setup.next?)))
                    .unwrap_or(Step::Fields)
            };
            page(&made(
                look,
                &who,
                &now.farm,
                &setup,
                step,
                &Again::default(),
            )?)
        })
        .await
}

async fn first(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    show(house, look, who, None).await
}

fn step_of(word: &str) -> Result<Step, Refusal> {
    Step::of(word).ok_or_else(|| Refusal::not_found("the page"))
}

async fn one(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(word): Path<String>,
) -> Result<Response, Refusal> {
    let step = step_of(&word)?;
    show(house, look, who, Some(step)).await
}

async fn keep(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(word): Path<String>,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Refusal> {
    let step = step_of(&word)?;
    let typed = Typed::of(pairs);
    house
        .run(move |house| {
            let done: Result<(), (String, DeskError)> = house.with_book(|book, now, clock| {
                if step == Step::Farm {
                    let mut pen = Pen::new(&who.person, None, "UTC", clock)?;
                    return Ok(desk::begin(
                        book,
                        &now.farm,
                        &mut pen,
                        typed.one("name").unwrap_or_default(),
                        typed.one("insured-name"),
                        typed.one("zone").unwrap_or_default(),
                    )
                    .map(|_| ())
                    .map_err(|why| (String::new(), why)));
                }
                let zone = if now.farm.zone.is_empty() {
                    "UTC"
                } else {
                    &now.farm.zone
                };
                let mut pen = Pen::new(&who.person, None, zone, clock)?;
                Ok(entries(step, &typed, look).and_then(|(places, all)| {
                    if all.is_empty() {
                        return Ok(());
                    }
                    desk::write_all(book, &now.farm, &mut pen, &all)
                        .map(|_| ())
                        .map_err(|(index, why)| {
                            (places.get(index).cloned().unwrap_or_default(), why)
                        })
                }))
            })?;
            let Err(wrong) = done else {
                let to = match step.after() {
                    Some(next) if step != Step::Farm => format!("/start/{}", next.word()),
                    _ => "/start".to_owned(),
                };
                return Ok(Redirect::to(&to).into_response());
            };
            let now = house.now()?;
            let setup = desk::setup::setup(&now.farm, year(house, &now.farm)?);
            let again = Again {
                typed: typed.clone(),
                wrong: Some(wrong),
            };
            let mut response = page(&made(look, &who, &now.farm, &setup, step, &again)?)?;
            *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(response)
        })
        .await
}

/// The door of the day: a new book is led through its first pages, any other opens at Morning.
async fn home(State(house): State<House>, who: Who) -> Result<Redirect, Refusal> {
    let farm: Arc<Farm> = house.run(|house| Ok(house.now()?.farm)).await?;
    let begins = farm.name.is_empty() || farm.fields.is_empty();
    Ok(Redirect::to(match who.role {
        Role::Owner if begins => "/start",
        Role::Owner | Role::Helper => "/morning",
        Role::Reader => "/winter",
    }))
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/", get(home))
        .route("/start", get(first))
        .route("/start/area", get(draw::area))
        .route("/start/{step}", get(one).post(keep))
}
