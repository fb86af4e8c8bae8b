//! What a machine costs to run, and what to do with a tire: a few typed values, no scripts needed.

use crate::door::Who;
use crate::shell::page;
use crate::{Frame, House, Look, Refusal, Tab, Text};
use askama::Template;
use axum::Router;
use axum::extract::Query;
use axum::response::Response;
use axum::routing::get;
use desk::calc::{Answer, CostAsked, TireAsked, cost, tires};
use serde::Deserialize;

/// What is typed, of both forms.
#[derive(Deserialize, Default)]
#[serde(default)]
struct Typed {
    machine: String,
    list: String,
    worth: String,
    age: String,
    hours: String,
    per_year: String,
    years: String,
    interest: String,
    power: String,
    fuel: String,
    labor: String,
    rate: String,
    tire: String,
    rim: String,
    wanted: String,
    read: String,
    warm: String,
    load: String,
    table: String,
}

/// An answer as a page shows it.
struct Shown {
    first: String,
    figures: Vec<(String, String)>,
    notes: Vec<String>,
    why: Vec<(String, String, String)>,
}

#[derive(Template)]
#[template(path = "cost.html")]
struct Page {
    frame: Frame,
    lede: String,
    typed: Typed,
    classes: Vec<(&'static str, String)>,
    cost: Option<Shown>,
    cost_wrong: Option<String>,
    tire: Option<Shown>,
    tire_wrong: Option<String>,
    tire_caution: String,
    money_caution: String,
}

fn shown(look: Look, text: Text, answer: &Answer) -> Shown {
    let value = |figure: &desk::calc::Figure| {
        let own = if look.metric() {
            &figure.metric
        } else {
            &figure.us
        };
        text.say(own).into_owned()
    };
    Shown {
        first: answer.figures.first().map(value).unwrap_or_default(),
        figures: answer
            .figures
            .iter()
            .skip(1)
            .map(|figure| (text.say(&figure.label).into_owned(), value(figure)))
            .collect(),
        notes: answer
            .notes
            .iter()
            .map(|note| text.say(note).into_owned())
            .collect(),
        why: answer
            .why
            .iter()
            .map(|why| (why.value.clone(), why.formula.clone(), why.source.clone()))
            .collect(),
    }
}

async fn show(look: Look, who: Who, Query(typed): Query<Typed>) -> Result<Response, Refusal> {
    let text = look.text;
    let some = |given: &String| (!given.trim().is_empty()).then(|| given.clone());
    let (mut cost_shown, mut cost_wrong) = (None, None);
    if some(&typed.list).is_some() || some(&typed.per_year).is_some() {
        let asked = CostAsked {
            class: some(&typed.machine).unwrap_or_else(|| "combine".to_owned()),
            list: typed.list.clone(),
            worth: some(&typed.worth),
            age: some(&typed.age),
            hours: some(&typed.hours),
            per_year: typed.per_year.clone(),
            years: some(&typed.years),
            interest: some(&typed.interest),
            power: some(&typed.power),
            load: None,
            fuel: some(&typed.fuel),
            labor: some(&typed.labor),
            rate: some(&typed.rate),
        };
        match cost(&asked) {
            Ok(answer) => cost_shown = Some(shown(look, text, &answer)),
            Err(why) => cost_wrong = Some(text.say(&why.to_string()).into_owned()),
        }
    }
    let (mut tire_shown, mut tire_wrong) = (None, None);
    if some(&typed.tire).is_some() || some(&typed.rim).is_some() {
        let asked = TireAsked {
            tire: typed.tire.clone(),
            rim: typed.rim.clone(),
            wanted: some(&typed.wanted),
            load: some(&typed.load),
            table: typed
                .table
                .lines()
                .filter(|line| !line.trim().is_empty())
                .map(str::to_owned)
                .collect(),
            read: some(&typed.read),
            warm: !typed.warm.is_empty(),
        };
        match tires(&asked) {
            Ok(answer) => tire_shown = Some(shown(look, text, &answer)),
            Err(why) => tire_wrong = Some(text.say(&why.to_string()).into_owned()),
        }
    }
    let lede = match (&tire_shown, &cost_shown) {
        (Some(tire), _) => tire.first.clone(),
        (None, Some(cost)) => text.fill(
            "It costs {0}; the range is of single machines, 8 in 10.",
            &[&cost.first],
        ),
        (None, None) => text
            .say("What a machine costs an hour and an acre, and what a tire may hold.")
            .into_owned(),
    };
    let words = [
        ("combine", text.say("Combine")),
        ("pto-combine", text.say("Pulled combine")),
        ("tractor", text.say("Tractor")),
        ("tractor-4wd", text.say("Four-wheel-drive tractor")),
        ("wagon", text.say("Wagon")),
        ("forage-wagon", text.say("Forage wagon")),
    ];
    page(&Page {
        frame: Frame::new(look, &who, Tab::Other, text.say("Running costs and tires")),
        lede,
        classes: words
            .into_iter()
            .map(|(key, word)| (key, word.into_owned()))
            .collect(),
        typed,
        cost: cost_shown,
        cost_wrong,
        tire: tire_shown,
        tire_wrong,
        tire_caution: text
            .say(&facts::caution(facts::Act::Tires).text)
            .into_owned(),
        money_caution: text
            .say(&facts::caution(facts::Act::Money).text)
            .into_owned(),
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/cost", get(show))
}
