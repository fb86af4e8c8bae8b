//! One entry with its history: corrected or struck out by a new entry, never changed.

use super::entries::{Row, may_see, row};
use super::form::{Ask, Typed, blamed, markup, questions};
use super::write::may_write;
use crate::door::{Role, Who};
use crate::shell::page;
use crate::text::Markup;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use book::EntryId;
use desk::written::{self, FORMS};
use desk::{DeskError, Farm, Pen, Shown};
use serde::Deserialize;

#[derive(Template)]
#[template(path = "entry.html")]
#[expect(
    clippy::struct_excessive_bools,
    reason = "what a template shows or leaves out"
)]
struct Page {
    frame: Frame,
    lede: String,
    id: String,
    history: Vec<Row>,
    now: Vec<super::entries::Said>,
    can_mend: bool,
    can_strike: bool,
    mending: bool,
    wrong: Option<String>,
    reason: String,
    reason_wrong: Option<String>,
    strike_wrong: Option<String>,
    questions: Markup,
    kind: String,
    kept: bool,
}

/// What was asked for and refused, to be shown again.
#[derive(Default)]
struct Again<'a> {
    typed: Typed,
    why: Option<&'a DeskError>,
    striking: bool,
}

fn found(house: &House, id: &str) -> Result<(EntryId, Vec<Shown>, std::sync::Arc<Farm>), Refusal> {
    house.with_book(|book, now, _| {
        let id = desk::find(book, &now.farm, id)?;
        let history = desk::history(book, &now.farm, id)?;
        Ok((id, history, now.farm.clone()))
    })
}

/// Whether somebody may correct what somebody wrote: the owner anything, others their own.
fn own(who: &Who, author: &str) -> bool {
    match who.role {
        Role::Owner => true,
        Role::Helper => author == who.person,
        Role::Reader => false,
    }
}

fn made(
    look: Look,
    who: &Who,
    (id, history, farm): (EntryId, Vec<Shown>, &Farm),
    again: &Again<'_>,
) -> Result<Page, Refusal> {
    let text = look.text;
    let one = history
        .iter()
        .find(|shown| shown.id == id.to_string())
        .cloned()
        .ok_or_else(|| Refusal::not_found("the entry"))?;
    if !may_see(who, &one.kind) {
        return Err(Refusal::not_allowed());
    }
    let form = FORMS.iter().find(|form| form.kind == one.kind);
    // what holds now is what the entry, or the correction that holds, says
    let holder = history.iter().find(|shown| shown.state == "stands");
    let stands = matches!(one.state.as_str(), "stands" | "mended");
    let mine = own(who, &one.author);
    let can_mend = stands && mine && form.is_some() && may_write(who, &one.kind);
    let sentence = again.why.map(ToString::to_string);
    let mut figures = written::Figures::default();
    let mut asked = Vec::new();
    let mut placed = false;
    if let (Some(form), true) = (form, can_mend) {
        figures = again.typed.figures(form, "");
        let blame = again.why.and_then(|why| blamed(why, form, &figures));
        placed = blame.is_some();
        let ask = Ask {
            farm,
            look,
            typed: &again.typed,
            wrong: blame.zip(sentence.as_deref()),
            before: "",
            mending: true,
        };
        asked = questions(form, &ask, |_| true);
        let now = holder.map_or(&[][..], |shown| shown.figures.as_slice());
        for question in &mut asked {
            // what it says now stands beneath as print, never in the blank
            if let Some((_, texts)) = now.iter().find(|(name, _)| *name == question.name) {
                let short: String = texts.join(", ").chars().take(200).collect();
                question.help = text.fill("Now {0}. {1}", &[&short, &question.help]);
            }
        }
    }
    let about_reason = matches!(again.why, Some(DeskError::Book(book::BookError::Field { field, .. })) if field == "reason");
    let said = |at: bool| {
        sentence
            .as_deref()
            .filter(|_| at)
            .map(|sentence| text.say(sentence).into_owned())
    };
    let first = row(text, who, one.clone(), true);
    let lede = match one.state.as_str() {
        "stands" => text.fill("{0}, as it was written.", &[&first.title]),
        "mended" => text.fill("{0}, corrected since.", &[&first.title]),
        "struck out" => text.fill("{0}, struck out.", &[&first.title]),
        _ => text.fill("{0}: {1}.", &[&first.title, &first.state]),
    };
    let mending = !again.striking && (again.why.is_some() || figures.iter().next().is_some());
    Ok(Page {
        frame: Frame::new(look, who, Tab::Other, first.title.clone()),
        lede,
        id: id.to_string(),
        now: holder
            .cloned()
            .map(|shown| row(text, who, shown, true).figures)
            .unwrap_or_default(),
        can_mend,
        can_strike: stands && mine && one.kind != "farm",
        mending,
        wrong: said(!again.striking && !placed && !about_reason),
        reason: again.typed.one("reason").unwrap_or_default().to_owned(),
        reason_wrong: said(!again.striking && about_reason),
        strike_wrong: said(again.striking),
        questions: markup(text, asked)?,
        kind: one.kind,
        kept: false,
        history: history
            .into_iter()
            .map(|shown| row(text, who, shown, true))
            .collect(),
    })
}

#[derive(Deserialize)]
struct Asked {
    kept: Option<String>,
    mend: Option<String>,
}

async fn show(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let (id, history, farm) = house.run(move |house| found(house, &id)).await?;
    let mut made = made(look, &who, (id, history, &farm), &Again::default())?;
    made.kept = asked.kept.is_some();
    made.mending = asked.mend.is_some();
    page(&made)
}

/// Refuses what is somebody else's to correct, or not to be seen at all.
fn guard(who: &Who, id: EntryId, history: &[Shown]) -> Result<String, Refusal> {
    let one = history
        .iter()
        .find(|shown| shown.id == id.to_string())
        .ok_or_else(|| Refusal::not_found("the entry"))?;
    if own(who, &one.author) && may_write(who, &one.kind) {
        Ok(one.kind.clone())
    } else {
        Err(Refusal::not_allowed())
    }
}

enum Act {
    Mend,
    Strike,
}

async fn act(
    house: House,
    look: Look,
    who: Who,
    id: String,
    typed: Typed,
    act: Act,
) -> Result<Response, Refusal> {
    let striking = matches!(act, Act::Strike);
    let author = who.person.clone();
    let asked = typed.clone();
    let guarded = who.clone();
    let (id, done) = house
        .run(move |house| {
            let (id, history, _) = found(house, &id)?;
            let kind = guard(&guarded, id, &history)?;
            let reason = asked.one("reason").unwrap_or_default().to_owned();
            house.with_book(|book, now, clock| {
                let done =
                    Pen::new(&author, None, &now.farm.zone, clock).and_then(|mut pen| match act {
                        Act::Strike => desk::strike(book, &now.farm, &mut pen, id, &reason),
                        Act::Mend => {
                            let set = asked.figures(written::form(&kind)?, "");
                            desk::mend(book, &now.farm, &mut pen, id, &set, &reason)
                        }
                    });
                Ok((id, done))
            })
        })
        .await?;
    match done {
        Ok(_) => {
            let next = super::write::own_address(typed.one("next"));
            let to = if next.is_empty() {
                format!("/entry/{id}?kept=yes")
            } else {
                next
            };
            Ok(Redirect::to(&to).into_response())
        }
        Err(why) => {
            let (id, history, farm) = house
                .run(move |house| found(house, &id.to_string()))
                .await?;
            let again = Again {
                typed,
                why: Some(&why),
                striking,
            };
            let mut made = made(look, &who, (id, history, &farm), &again)?;
            made.mending = !striking;
            let mut response = page(&made)?;
            *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(response)
        }
    }
}

async fn mend(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(id): Path<String>,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Refusal> {
    act(house, look, who, id, Typed::of(pairs), Act::Mend).await
}

async fn strike(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(id): Path<String>,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Refusal> {
    act(house, look, who, id, Typed::of(pairs), Act::Strike).await
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/entry/{id}", get(show))
        .route("/entry/{id}/mend", post(mend))
        .route("/entry/{id}/strike", post(strike))
}
