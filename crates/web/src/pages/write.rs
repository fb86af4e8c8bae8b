//! Writing one entry: a list of what can be written, and a form for each kind, all made from the
//! desk's one definition.

use super::form::{Ask, Typed, When, blamed, kind_title, kind_when, markup, prefilled, questions};
use crate::door::{Role, Who};
use crate::shell::page;
use crate::text::Markup;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use desk::written::FORMS;
use desk::{DeskError, Farm, Pen};

/// Kinds that a helper writes too; the rest is the owner's.
const HELPERS: [&str; 13] = [
    "dump", "weighed", "move", "measure", "sample", "count", "setting", "stop", "go", "note",
    "cover", "ready", "ticked",
];

/// Whether somebody may write a kind.
pub(super) fn may_write(who: &Who, kind: &str) -> bool {
    match who.role {
        Role::Owner => true,
        Role::Helper => HELPERS.contains(&kind),
        Role::Reader => false,
    }
}

struct Writable {
    kind: &'static str,
    title: String,
    help: String,
}

struct Group {
    title: String,
    kinds: Vec<Writable>,
}

#[derive(Template)]
#[template(path = "write_list.html")]
struct List {
    frame: Frame,
    groups: Vec<Group>,
}

async fn list(look: Look, who: Who) -> Result<Response, Refusal> {
    let text = look.text;
    let groups = When::ALL
        .into_iter()
        .map(|when| Group {
            title: when.title(text),
            kinds: FORMS
                .iter()
                .filter(|form| form.kind != "file")
                .filter(|form| kind_when(form.kind) == when && may_write(&who, form.kind))
                .map(|form| Writable {
                    kind: form.kind,
                    title: kind_title(text, form.kind),
                    help: text.say(form.help).into_owned(),
                })
                .collect(),
        })
        .filter(|group: &Group| !group.kinds.is_empty())
        .collect();
    page(&List {
        frame: Frame::new(look, &who, Tab::Other, text.say("Write something")),
        groups,
    })
}

#[derive(Template)]
#[template(path = "write.html")]
struct Page {
    frame: Frame,
    kind: &'static str,
    title: String,
    help: String,
    /// A sentence that is about no figure, or the figure's once more for those who cannot see it.
    wrong: Option<String>,
    /// Whether the sentence stands at a figure too.
    placed: bool,
    /// Where the thing of that name is, if the name is taken.
    there: Option<String>,
    caution: Option<String>,
    questions: Markup,
    at: String,
    at_wrong: Option<String>,
    zone: String,
    next: String,
}

/// An address of our own to go on to, or nothing.
pub(super) fn own_address(text: Option<&str>) -> String {
    text.filter(|text| {
        text.starts_with('/')
            && !text.starts_with("//")
            && !text.contains(['\\', '\n', '\r'])
            && text.len() < 400
    })
    .unwrap_or_default()
    .to_owned()
}

/// The cautions that stand beside a kind of entry.
fn caution(look: Look, kind: &str) -> Option<String> {
    let acts = desk::written::acts_of(kind);
    if acts.is_empty() {
        return None;
    }
    let said = acts
        .iter()
        .map(|act| look.text.say(&facts::caution(*act).text));
    Some(said.collect::<Vec<_>>().join(" "))
}

fn shown(
    look: Look,
    who: &Who,
    farm: &Farm,
    form: &'static desk::written::Form,
    typed: &Typed,
    why: Option<&DeskError>,
) -> Result<Page, Refusal> {
    let text = look.text;
    let sentence = why.map(ToString::to_string);
    let figures = typed.figures(form, "");
    let blame = why.and_then(|why| blamed(why, form, &figures));
    let at_wrong = match why {
        Some(DeskError::Figure { figure, .. }) if figure == "at" => sentence.clone(),
        _ => None,
    };
    let ask = Ask {
        farm,
        look,
        typed,
        wrong: blame.zip(sentence.as_deref()),
        before: "",
        mending: false,
    };
    let title = kind_title(text, form.kind);
    let there = figures
        .one("name")
        .filter(|_| matches!(why, Some(DeskError::Refused(_))))
        .and_then(|name| named(farm, form.kind, name));
    let wrong = if let Some((_, name)) = &there {
        Some(text.fill("{0} is in the book already.", &[name]))
    } else {
        sentence
            .as_deref()
            .map(|sentence| text.say(sentence).into_owned())
    };
    Ok(Page {
        kind: form.kind,
        help: text.say(form.help).into_owned(),
        placed: blame.is_some() || at_wrong.is_some(),
        wrong,
        there: there.map(|(link, _)| link),
        caution: caution(look, form.kind),
        questions: markup(text, questions(form, &ask, |_| true))?,
        at: typed.one("at").unwrap_or_default().to_owned(),
        at_wrong: at_wrong.map(|why| text.say(&why).into_owned()),
        zone: farm.zone.clone(),
        next: own_address(typed.one("next")),
        frame: Frame::new(look, who, Tab::Other, title.clone()),
        title,
    })
}

/// The entry of a thing of that name, as an address.
fn named(farm: &Farm, kind: &str, name: &str) -> Option<(String, String)> {
    let name = book::kinds::Name::new(name).ok()?;
    let id = match kind {
        "field" => farm.fields.get(&name)?.id,
        "machine" => farm.machines.get(&name)?.id,
        "place" => farm.places.get(&name)?.id,
        "meter" => farm.meters.get(&name)?.id,
        "buyer" => farm.buyers.get(&name)?.id,
        "person" => farm.people.get(&name)?.id,
        _ => return None,
    };
    Some((format!("/entry/{id}"), name.to_string()))
}

fn form_of(who: &Who, kind: &str) -> Result<&'static desk::written::Form, Refusal> {
    let form = desk::written::form(kind)?;
    if !may_write(who, kind) {
        return Err(Refusal::not_allowed());
    }
    Ok(form)
}

async fn blank(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(kind): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Result<Response, Refusal> {
    let form = form_of(&who, &kind)?;
    let now = house.now()?;
    if now.farm.zone.is_empty() {
        return Ok(Redirect::to("/start").into_response());
    }
    let asked = Typed::of(asked);
    let mut typed = prefilled(form, &now.farm, &asked);
    if let Some(next) = asked.one("next") {
        typed.add("next", next);
    }
    page(&shown(look, &who, &now.farm, form, &typed, None)?)
}

async fn keep(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(kind): Path<String>,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Refusal> {
    let form = form_of(&who, &kind)?;
    let typed = Typed::of(pairs);
    let figures = typed.figures(form, "");
    let next = own_address(typed.one("next"));
    let author = who.person.clone();
    let at = typed.one("at").map(str::to_owned);
    let kept = house
        .run(move |house| {
            house.with_book(|book, now, clock| {
                if now.farm.zone.is_empty() {
                    return Ok(None);
                }
                let written =
                    Pen::new(&author, at.as_deref(), &now.farm.zone, clock).and_then(|mut pen| {
                        desk::write(book, &now.farm, &mut pen, form.kind, &figures)
                    });
                Ok(Some((written, now.farm.clone())))
            })
        })
        .await?;
    match kept {
        None => Ok(Redirect::to("/start").into_response()),
        Some((Ok(_), _)) if !next.is_empty() => Ok(Redirect::to(&next).into_response()),
        Some((Ok(entry), _)) => {
            Ok(Redirect::to(&format!("/entry/{}?kept=new", entry.id)).into_response())
        }
        Some((Err(why @ DeskError::Book(book::BookError::Busy { .. })), _)) => Err(why.into()),
        Some((Err(why), farm)) => {
            let mut response = page(&shown(look, &who, &farm, form, &typed, Some(&why))?)?;
            *response.status_mut() = axum::http::StatusCode::UNPROCESSABLE_ENTITY;
            Ok(response)
        }
    }
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/write", get(list))
        .route("/write/{kind}", get(blank).post(keep))
}
