//! One slip that looks wrong: its paper and its entry side by side, and the correction, typed from
//! the paper and never filled from what was worked out.

use super::form::{Ask, Typed, markup, questions};
use super::night::{self, says, slips};
use super::write::may_write;
use crate::door::Who;
use crate::house::Now;
use crate::shell::page;
use crate::text::Markup;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use book::kinds::{Name, Note, Payload};
use desk::Pen;
use desk::written::FORMS;
use serde::Deserialize;

#[derive(Template)]
#[template(path = "night/correction.html")]
struct Correction {
    text: crate::Text,
    entry: String,
    questions: Markup,
    others: Markup,
}

/// The form of a correction: the odd figure first, the others folded; every blank is empty.
pub(super) fn correction(
    look: Look,
    now: &Now,
    entry: &str,
    odd: Option<&str>,
) -> Result<Markup, Refusal> {
    let kind = now
        .farm
        .effective
        .entries
        .iter()
        .find(|standing| standing.id.to_string() == entry)
        .map(|standing| standing.kind.clone());
    let Some(form) = kind.and_then(|kind| FORMS.iter().find(|form| form.kind == kind)) else {
        return Ok(Markup::default());
    };
    let typed = Typed::default();
    let ask = Ask {
        farm: &now.farm,
        look,
        typed: &typed,
        wrong: None,
        before: "",
        mending: true,
    };
    let mut first = questions(form, &ask, |name| Some(name) == odd);
    for question in &mut first {
        question.label = look
            .text
            .fill("{0}, as you read it on the paper", &[&question.label]);
    }
    let others = questions(form, &ask, |name| Some(name) != odd && name != "paper");
    let template = Correction {
        text: look.text,
        entry: entry.to_owned(),
        questions: markup(look.text, first)?,
        others: markup(look.text, others)?,
    };
    let text = template.render().map_err(|_| Refusal::broken())?;
    Ok(Markup(text))
}

#[derive(Template)]
#[template(path = "night/slip.html")]
struct Page {
    frame: Frame,
    lede: String,
    slip: slips::View,
    correction: Markup,
    writes: bool,
}

#[derive(Deserialize)]
struct Asked {
    day: Option<String>,
}

async fn slip(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(entry): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let view = house
        .run(move |house| {
            let now = house.now()?;
            let day = night::day(&now, asked.day.as_deref(), None);
            let evening = night::evening(house, &now, day.as_deref())?;
            let found = evening
                .suspects
                .iter()
                .find(|one| one.entry.as_deref() == Some(&entry))
                .ok_or_else(|| Refusal::not_found("a slip that looks wrong"))?;
            let slip = slips::view(look, &evening, found, who.sees_money());
            let writes = may_write(&who, "weighed");
            let correction = if writes {
                correction(look, &now, &slip.entry, slip.odd.as_deref())?
            } else {
                Markup::default()
            };
            let name = says::slip_name(look.text, &found.slip);
            Ok(Page {
                frame: Frame::new(look, &who, Tab::Night, name.clone()),
                lede: look.text.fill("{0}, paper and entry", &[&slip.begins]),
                slip,
                correction,
                writes,
            })
        })
        .await?;
    page(&view)
}

#[derive(Deserialize)]
struct Left {
    #[serde(default)]
    name: String,
}

/// No paper: the slip stays an open question, written down as one.
async fn leave_open(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(entry): Path<String>,
    Form(left): Form<Left>,
) -> Result<Response, Refusal> {
    let says = look
        .text
        .fill("No paper found for {0} yet; it looks wrong.", &[&left.name]);
    house
        .run(move |house| {
            house.with_book(|book, now, clock| {
                let id = desk::find(book, &now.farm, &entry)?;
                let note = Note {
                    text: says.chars().filter(|c| !c.is_control()).collect(),
                    about: vec![id],
                    of: Vec::<Name>::new(),
                    question: true,
                };
                let mut pen = Pen::new(&who.person, None, &now.farm.zone, clock)?;
                pen.write(book, Payload::Note(note))?;
                Ok(())
            })
        })
        .await?;
    Ok(Redirect::to("/night").into_response())
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/night/slip/{entry}", get(slip))
        .route("/night/slip/{entry}/open", post(leave_open))
}
