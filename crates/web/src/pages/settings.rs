//! The settings log: what was set on the combine, what the counts say of it, and what the trade tries first.

use crate::door::Who;
use crate::shell::page;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use desk::settings::{Worth, change_words, next_turns, sentences, settings};
use quantity::Units;
use serde::Deserialize;

/// What is typed for the money.
#[derive(Deserialize, Default)]
struct Typed {
    #[serde(default)]
    price: String,
    #[serde(default)]
    rate: String,
    #[serde(default)]
    seeds: String,
}

struct Line {
    entry: String,
    head: String,
    answer: String,
    rest: Vec<String>,
    remark: String,
}

/// One sign and what is tried first for it.
pub(super) struct Nudge {
    pub sign: String,
    pub text: String,
    pub source: String,
}

#[derive(Template)]
#[template(path = "settings.html")]
struct Page {
    frame: Frame,
    lede: String,
    lines: Vec<Line>,
    turns: Option<String>,
    nudges: Vec<Nudge>,
    manual: String,
    typed: Typed,
    wrong: Option<String>,
    caution: String,
}

/// What the trade tries first, in the reader's language.
pub(super) fn nudges(text: crate::Text, tries: &[&facts::Try]) -> Vec<Nudge> {
    tries
        .iter()
        .map(|one| Nudge {
            sign: text.say(one.sign.name()).into_owned(),
            text: match text.0 {
                crate::Language::Es => one.es.clone(),
                crate::Language::En => one.text.clone(),
            },
            source: text.say(&one.source).into_owned(),
        })
        .collect()
}

async fn show(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(typed): Query<Typed>,
) -> Result<Response, Refusal> {
    house
        .run(move |house| {
            let text = look.text;
            let now = house.now()?;
            let farm = &now.farm;
            let units = if look.metric() {
                Units::Metric
            } else {
                Units::Us
            };
            let (worth, wrong) =
                match Worth::read(Some(&typed.price), Some(&typed.rate), Some(&typed.seeds)) {
                    Ok(worth) => (worth, None),
                    Err(why) => (
                        Worth::default(),
                        Some(text.say(&why.to_string()).into_owned()),
                    ),
                };
            let season = match farm.settings.iter().map(|one| one.says.season).max() {
                Some(season) => season,
                None => super::start::year(house, farm)?,
            };
            let log = settings(farm, season, worth, house.now_ms())?;
            let crop = log
                .lines
                .iter()
                .find_map(|line| line.crop.as_deref()?.parse().ok());
            let lines: Vec<Line> = log
                .lines
                .iter()
                .map(|line| {
                    let mut says = sentences(line, units)
                        .into_iter()
                        .map(|one| text.say(&one).into_owned());
                    let place = line.field.as_deref();
                    let place = place.map(|field| format!(", {field}")).unwrap_or_default();
                    Line {
                        entry: line.entry.clone(),
                        head: format!("{} \u{b7} {}{place}", line.at, line.machine),
                        answer: change_words(line),
                        rest: says.by_ref().collect(),
                        remark: line.remark.clone(),
                    }
                })
                .collect();
            let lede = match log
                .lines
                .iter()
                .find(|line| line.verdict.is_some() || line.waits.is_some())
            {
                None => text
                    .say("No setting is written yet: write what was changed, then count again.")
                    .into_owned(),
                Some(line) => {
                    let first = sentences(line, units)
                        .into_iter()
                        .next()
                        .unwrap_or_default();
                    format!("{}: {}", change_words(line), text.say(&first))
                }
            };
            page(&Page {
                frame: Frame::new(
                    look,
                    &who,
                    Tab::Night,
                    text.say("Settings and what they did"),
                )
                .dated(text.fill("season of {0}", &[&season])),
                lede,
                turns: next_turns(&log),
                lines,
                nudges: nudges(text, &facts::tries(crop)),
                manual: text.say(facts::MANUAL_FIRST).into_owned(),
                typed,
                wrong,
                caution: text
                    .say(&facts::caution(facts::Act::Setting).text)
                    .into_owned(),
            })
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/settings", get(show))
}
