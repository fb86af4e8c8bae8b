//! What lay on the ground: every count of a season with its loss, its range and its money.

use super::settings::{Nudge, nudges};
use super::winter::Asked;
use crate::door::Who;
use crate::shell::page;
use crate::text::{Markup, escape};
use crate::{Frame, House, Look, Refusal, Tab, dates, figures};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use desk::count::{CountAnswer, Counted, LossPart, Most, Told};
use desk::reader;
use draw::{Whisker, whisker};

struct Row {
    entry: String,
    when: String,
    field: String,
    figure: String,
    range: String,
    money: String,
    hour: String,
    most: String,
    picture: Markup,
    why: Markup,
}

#[derive(Template)]
#[template(path = "counts.html")]
struct Page {
    frame: Frame,
    lede: Markup,
    unit: String,
    money: String,
    rows: Vec<Row>,
    refused: Vec<Markup>,
    nudges: Vec<Nudge>,
    manual: String,
    setting: String,
    caution: String,
}

/// A figure in the units of its reader, with its range where there is one.
fn grain(look: Look, crop: &str, told: Told) -> figures::Set {
    let range = told
        .range
        .unwrap_or_else(|| figures::exact(told.value.max(0.0)));
    let mut set = figures::per_acre(look, crop, range);
    if told.range.is_none() {
        set.range = look.text.say("too few frames to say").into_owned();
    }
    set
}

/// Money an acre or a hectare.
fn money(look: Look, told: Told) -> String {
    let acre = reader::acres(figures::exact(1.0), look.system())
        .figure
        .value;
    dollars(look, told.times(1.0 / acre))
}

/// Money with its range where there is one.
fn dollars(look: Look, told: Told) -> String {
    let one = |value: f64| {
        format!(
            "${}",
            figures::number(value.max(0.0), usize::from(value < 10.0) * 2)
        )
    };
    match told.range {
        Some(range) => look.text.fill(
            "{0} ({1} to {2})",
            &[&one(told.value), &one(range.low), &one(range.high)],
        ),
        None => one(told.value),
    }
}

fn an_acre(look: Look) -> String {
    look.text
        .say(if look.metric() {
            "a hectare"
        } else {
            "an acre"
        })
        .into_owned()
}

fn most(look: Look, answer: &CountAnswer) -> String {
    let text = look.text;
    match (answer.most, answer.loss.total) {
        (Some(Most::Head), Some(_)) => text.say("most of it at the head").into_owned(),
        (Some(Most::Machine), Some(_)) => text.say("most of it behind the machine").into_owned(),
        (_, Some(_)) => text.say("head and machine alike").into_owned(),
        (_, None) => text.say("behind the head only").into_owned(),
    }
}

/// One line a count, for the margins of Night and Morning.
pub(super) fn lines(look: Look, zone: &str, counts: &[Counted]) -> Vec<Markup> {
    let text = look.text;
    counts
        .iter()
        .map(|one| {
            let field = Markup(format!(
                "<a href=\"/entry/{}\">{}</a>",
                escape(&one.entry),
                escape(&one.field)
            ));
            let at = Markup::plain(dates::clock(zone, one.at_ms));
            let Some((answer, part)) = answered(one) else {
                let why = text.say(one.refused.as_deref().unwrap_or_default());
                return text.mark("{0}, {1}: {2}.", &[field, at, Markup::plain(why)]);
            };
            if answer.or_windrow.is_some() {
                return text.mark(
                    "{0}, {1}: nobody looked at the tail, so nothing can be said of the machine.",
                    &[field, at],
                );
            }
            let loss = grain(look, &answer.crop, part.bu_per_ac).markup();
            let most = Markup::plain(most(look, answer));
            match part.money_per_ac {
                Some(told) => text.mark(
                    "{0}, {1}: {2} {3}, {4}, {5}.",
                    &[
                        field,
                        at,
                        figures::bold(money(look, told)),
                        Markup::plain(an_acre(look)),
                        loss,
                        most,
                    ],
                ),
                None => text.mark("{0}, {1}: {2}, {3}.", &[field, at, loss, most]),
            }
        })
        .collect()
}

fn answered(one: &Counted) -> Option<(&CountAnswer, &LossPart)> {
    let answer = one.answer.as_ref()?;
    Some((answer, answer.loss.answer()?))
}

async fn show(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let text = look.text;
    let now = house.now()?;
    let season = asked
        .season
        .or_else(|| desk::count::latest_season(&now.farm))
        .unwrap_or_default();
    let counts = desk::count::counts(&now.farm, season, None);
    let told: Vec<(&Counted, &CountAnswer, &LossPart)> = counts
        .iter()
        .filter_map(|one| answered(one).map(|(answer, part)| (one, answer, part)))
        .filter(|(_, answer, _)| answer.or_windrow.is_none())
        .collect();
    let ends = told
        .iter()
        .filter_map(|(_, _, part)| part.bu_per_ac.range)
        .flat_map(|range| [0.0, range.high]);
    let axis = reader::axis(ends);
    let rows = told
        .iter()
        .map(|(one, answer, part)| {
            let set = grain(look, &answer.crop, part.bu_per_ac);
            let picture = match (axis, part.bu_per_ac.range) {
                (Some(axis), Some(range)) => Markup(whisker(&Whisker {
                    title: set.plain(),
                    low: range.low,
                    middle: range.value,
                    high: range.high,
                    axis,
                    line: Some(0.0),
                })),
                _ => Markup(String::new()),
            };
            Row {
                entry: one.entry.clone(),
                when: dates::moment(text, &now.farm.zone, one.at_ms),
                field: one.field.clone(),
                figure: set.figure,
                range: set.range,
                money: part
                    .money_per_ac
                    .map_or_else(String::new, |told| money(look, told)),
                hour: part.money_per_h.map_or_else(String::new, |told| {
                    text.fill("{0} an hour of cutting.", &[&dollars(look, told)])
                }),
                most: most(look, answer),
                picture,
                why: figures::whys(text, &answer.why.iter().collect::<Vec<_>>()),
            }
        })
        .collect();
    let refused = counts
        .iter()
        .filter(|one| !told.iter().any(|(known, _, _)| known.entry == one.entry))
        .cloned()
        .collect::<Vec<_>>();
    let last = told.last().map(|(one, _, _)| (*one).clone());
    let tries = told
        .last()
        .map_or_else(Vec::new, |(_, answer, _)| answer.tries());
    let said = |act: facts::Act| text.say(&facts::caution(act).text).into_owned();
    page(&Page {
        frame: Frame::new(look, &who, Tab::Night, text.say("Counts"))
            .dated(text.fill("Counts, season of {0}", &[&season])),
        lede: match &last {
            Some(last) => lines(look, &now.farm.zone, std::slice::from_ref(last))
                .pop()
                .unwrap_or_default(),
            None => Markup::plain(text.say(
                "No count says anything yet: count seeds behind the head and behind the machine.",
            )),
        },
        unit: figures::per_acre(look, "", figures::exact(0.0)).unit,
        money: an_acre(look),
        rows,
        refused: lines(look, &now.farm.zone, &refused),
        nudges: nudges(text, &tries),
        manual: text.say(facts::MANUAL_FIRST).into_owned(),
        setting: said(facts::Act::Setting),
        caution: said(facts::Act::LossCount),
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/counts", get(show))
}
