//! Morning: what stands, what is on wheels, what to look at before the first pass.

use super::night::{self, held, stop_word};
use crate::dates;
use crate::door::Who;
use crate::figures::{self, Set};
use crate::shell::page;
use crate::text::{Markup, Text};
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use desk::morning::{FieldNow, Foretold, LatestSample, Morning, MorningSays, OnWheels, ReadyLine};
use std::collections::BTreeMap;

/// A field's row.
struct FieldRow {
    name: String,
    crop: String,
    standing: Option<Set>,
    planted: Option<Set>,
    moisture: Option<Set>,
    how: String,
    entry: String,
    cut: String,
}

/// A wagon's row.
struct WheelRow {
    place: String,
    what: String,
    first: bool,
    why: String,
    since: String,
    wagon: Markup,
}

/// A stop that nobody ended.
struct StopRow {
    says: String,
    end: Option<String>,
    entry: String,
}

/// One ready list.
struct List {
    name: String,
    lines: Vec<Line>,
}

/// A line of it.
struct Line {
    id: String,
    text: String,
    done: String,
    reading: String,
    asks: bool,
    outside: Option<String>,
}

#[derive(Template)]
#[template(path = "morning.html")]
struct Page {
    frame: Frame,
    lede: String,
    standfirst: Markup,
    day: String,
    day_word: String,
    fields: Vec<FieldRow>,
    unplanted: String,
    wheels: Vec<WheelRow>,
    open_stops: Vec<StopRow>,
    foretold: Option<String>,
    lists: Vec<List>,
    counts: Vec<Markup>,
    notes: Vec<night::Note>,
    questions: Vec<night::Note>,
    whys: Markup,
    empty: bool,
}

/// How a sample was taken.
fn how(text: Text, key: &str) -> String {
    match key {
        "hand_shelled" => text.say("hand-shelled"),
        "tank" => text.say("from the tank"),
        "stream" => text.say("from the stream"),
        "probe" => text.say("by probe"),
        "grab" => text.say("off the top"),
        "wagon" => text.say("from a wagon"),
        "bin" => text.say("from a bin"),
        "dryer_hot" => text.say("hot from the dryer"),
        "dump" => text.say("on a load"),
        other => return other.replace('_', " "),
    }
    .into_owned()
}

/// How long ago, in the largest unit that says enough.
fn ago(text: Text, zone: &str, sample: &LatestSample) -> String {
    const RECENT_H: f64 = 36.0;
    if (0.0..RECENT_H).contains(&sample.age_h) {
        text.fill("{0} h ago", &[&figures::number(sample.age_h, 0)])
    } else {
        dates::short(text, dates::local(zone, sample.at_ms).date())
    }
}

fn field_row(look: Look, zone: &str, one: &FieldNow) -> FieldRow {
    let text = look.text;
    FieldRow {
        name: one.field.clone(),
        crop: held::crop(text, &one.crop_name),
        standing: one.standing_ac.map(|acres| figures::acres(look, acres)),
        planted: one.planted_ac.map(|acres| figures::acres(look, acres)),
        moisture: one.sample.as_ref().map(|sample| {
            let mut set = figures::percent(sample.moisture_pct);
            if sample.readings > 1 {
                set.range = text.fill(
                    "{0} to {1}",
                    &[
                        &figures::number(sample.low_pct, 1),
                        &figures::number(sample.high_pct, 1),
                    ],
                );
            }
            set
        }),
        how: one.sample.as_ref().map_or_else(String::new, |sample| {
            format!("{}, {}", how(text, sample.how), ago(text, zone, sample))
        }),
        entry: one
            .sample
            .as_ref()
            .map_or_else(String::new, |sample| sample.entry.clone()),
        cut: one.last_dump_ms.map_or_else(
            || text.say("not begun").into_owned(),
            |at_ms| {
                text.fill(
                    "{0} loads, last {1}",
                    &[&one.dumps, &dates::moment(text, zone, at_ms)],
                )
            },
        ),
    }
}

fn wheel_row(look: Look, zone: &str, one: &OnWheels) -> WheelRow {
    WheelRow {
        place: one.held.place.clone(),
        what: held::what(look.text, &one.held),
        first: !one.why.is_empty(),
        why: held::move_why(look.text, &one.why),
        since: held::since(look.text, zone, &one.held, one.hours),
        wagon: held::wagon(look.text, &one.held),
    }
}

/// Stops whose length nobody knows, each with what to do; who may write ends them on the page of stops.
fn open_stops(text: Text, zone: &str, may_end: bool, morning: &Morning) -> Vec<StopRow> {
    let row = |one: &desk::morning::OpenStop| {
        let machine = (one.machine.clone()).unwrap_or_else(|| text.say("The combine").into_owned());
        let since = dates::moment(text, zone, one.since_ms);
        let parts: [&dyn std::fmt::Display; 3] = [&machine, &since, &stop_word(text, one.why)];
        StopRow {
            says: if one.ended {
                text.fill(
                    "{0} stood from {1} ({2}) and went on on another day: how many minutes was it?",
                    &parts,
                )
            } else {
                text.fill(
                    "{0} stands since {1} ({2}) and nobody ended it: write its end or correct it.",
                    &parts,
                )
            },
            end: (may_end && !one.ended).then(|| format!("/stops#end-{}", one.entry)),
            entry: one.entry.clone(),
        }
    };
    morning.open_stops.iter().map(row).collect()
}

/// What breakdowns may still take, in a line.
fn foretold(text: Text, one: &Foretold) -> String {
    text.fill(
        "Breakdowns may still take {0} hours ({1} to {2}, 8 cases in 10) of the {3} acres left; {4} in 10 that none comes. By {5} written on {6} acres, and a published rate.",
        &[
            &figures::number(one.hours.value, 1),
            &figures::number(one.hours.low, 1),
            &figures::number(one.hours.high, 1),
            &figures::number(one.acres_left, 0),
            &desk::reader::of_ten(one.p_none),
            &one.seen,
            &figures::number(one.acres_cut, 0),
        ],
    )
}

fn lists(text: Text, zone: &str, ready: &[ReadyLine]) -> Vec<List> {
    let mut by_name: BTreeMap<&str, Vec<Line>> = BTreeMap::new();
    for line in ready {
        let done = match (&line.ticked, line.ticked_ms) {
            (Some(_), Some(at_ms)) => text.fill(
                "done {0}, {1}",
                &[
                    &dates::clock(zone, at_ms),
                    &line.ticked_by.as_deref().unwrap_or(""),
                ],
            ),
            (Some(_), None) => text.say("done").into_owned(),
            (None, _) => String::new(),
        };
        by_name.entry(&line.list).or_default().push(Line {
            id: line.id.clone(),
            text: line.text.clone(),
            done,
            reading: line
                .reading
                .as_deref()
                .map_or_else(String::new, |one| text.say(one).into_owned()),
            asks: line.reading.is_some() || line.by_hours,
            outside: line
                .outside
                .as_deref()
                .map(|one| text.say(one).into_owned()),
        });
    }
    by_name
        .into_iter()
        .map(|(name, lines)| List {
            name: list_name(text, name),
            lines,
        })
        .collect()
}

/// The name of a list as a heading: the usual ones are translated, the farm's own stand as written.
pub(super) fn list_name(text: Text, name: &str) -> String {
    match name {
        "walk-round" => text.say("Walk round").into_owned(),
        "head-change" => text.say("Head change").into_owned(),
        "bring" => text.say("Bring").into_owned(),
        other => other.to_owned(),
    }
}

/// The lede and what stands below it.
fn says(look: Look, morning: &Morning) -> (String, Markup) {
    let text = look.text;
    match &morning.says {
        MorningSays::NoField => (
            text.say("Nothing is in the book yet: begin with a field.")
                .into_owned(),
            text.mark(
                "{0} leads through it in a few minutes.",
                &[Markup(format!(
                    "<a href=\"/start\">{}</a>",
                    crate::text::escape(&text.say("Getting started"))
                ))],
            ),
        ),
        MorningSays::NothingPlanted { fields } => (
            match fields {
                1 => text.fill(
                    "One field is in the book, and nothing is planted in {0}.",
                    &[&morning.season],
                ),
                _ => text.fill(
                    "{0} fields are in the book, and nothing is planted in {1}.",
                    &[fields, &morning.season],
                ),
            },
            Markup::plain(text.say("Write what was planted, and this page says what stands.")),
        ),
        MorningSays::NotBegun { fields, planted_ac } => (
            match fields {
                1 => text
                    .say("Nothing is cut yet: one field stands.")
                    .into_owned(),
                _ => text.fill("Nothing is cut yet: {0} fields stand.", &[fields]),
            },
            planted_ac.map_or_else(Markup::default, |acres| {
                text.mark("{0} planted.", &[figures::acres(look, acres).markup()])
            }),
        ),
        MorningSays::Underway {
            field,
            crop,
            last_dump_ms,
            cut_ac,
            planted_ac,
            on_wheels,
            move_first,
            ..
        } => {
            let lede = match move_first {
                Some(first) => text.fill(
                    "Move {0} first: {1}.",
                    &[&first.place, &held::move_why(text, &first.why)],
                ),
                None => text.fill(
                    "You left off in {0}, {1}.",
                    &[field, &dates::moment(text, &morning.zone, *last_dump_ms)],
                ),
            };
            let crop = crop
                .parse::<facts::Crop>()
                .map_or_else(|_| crop.clone(), |known| known.name().to_owned());
            let mut lines = Vec::new();
            if move_first.is_some() {
                lines.push(text.mark(
                    "You left off in {0}, {1}, at {2}.",
                    &[
                        figures::bold(field),
                        Markup::plain(held::crop(text, &crop)),
                        Markup::plain(dates::moment(text, &morning.zone, *last_dump_ms)),
                    ],
                ));
            }
            if let (Some(cut), Some(planted)) = (cut_ac, planted_ac) {
                lines.push(text.mark(
                    "{0} of {1} are cut.",
                    &[
                        figures::acres(look, *cut).markup(),
                        figures::acres(look, *planted).markup(),
                    ],
                ));
            }
            lines.push(match on_wheels {
                0 => Markup::plain(text.say("Nothing stands on wheels.")),
                1 => Markup::plain(text.say("One wagon or truck has grain on it.")),
                some => {
                    Markup::plain(text.fill("{0} wagons and trucks have grain on them.", &[some]))
                }
            });
            (
                lede,
                Markup(
                    lines
                        .into_iter()
                        .map(|line| line.0)
                        .collect::<Vec<_>>()
                        .join(" "),
                ),
            )
        }
    }
}

async fn morning(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            let text = look.text;
            let morning = desk::morning::morning(&now.farm, now.now_ms)?;
            let zone = &morning.zone;
            let (lede, standfirst) = says(look, &morning);
            let day = dates::day(&morning.day)
                .map_or_else(|| morning.day.clone(), |day| dates::long(text, day));
            let lists = lists(text, zone, &morning.ready);
            let whys: Vec<&desk::Why> = morning.why.iter().collect();
            page(&Page {
                frame: Frame::new(
                    look,
                    &who,
                    Tab::Morning,
                    format!("{}, {day}", text.say("Morning")),
                )
                .dated(&day),
                lede,
                standfirst,
                day_word: morning.day_of_harvest.map_or_else(String::new, |number| {
                    text.fill("Day {0} of harvest.", &[&number])
                }),
                day: morning.day.clone(),
                fields: morning
                    .fields
                    .iter()
                    .map(|one| field_row(look, zone, one))
                    .collect(),
                unplanted: morning.unplanted.join(", "),
                wheels: morning
                    .wheels
                    .iter()
                    .map(|one| wheel_row(look, zone, one))
                    .collect(),
                open_stops: open_stops(text, zone, super::write::may_write(&who, "go"), &morning),
                foretold: morning.foretold.as_ref().map(|one| foretold(text, one)),
                lists,
                counts: super::counts::lines(look, zone, &morning.counts),
                notes: night::notes(look, zone, &morning.notes),
                questions: night::notes(look, zone, &morning.questions),
                whys: figures::whys(text, &whys),
                empty: matches!(morning.says, MorningSays::NoField),
            })
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/morning", get(morning))
}
