//! Winter: what each field made this season, one line a field.

use crate::door::Who;
use crate::figures::{self, Set};
use crate::shell::page;
use crate::text::{Markup, Text};
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use desk::reader;
use desk::winter::FieldSheetLine;
use serde::Deserialize;
use std::collections::BTreeSet;

/// One field.
struct Row {
    field: String,
    link: String,
    crop: String,
    made: Set,
    yields: Option<Set>,
    acres: String,
    picture: Markup,
}

#[derive(Template)]
#[template(path = "winter.html")]
struct Page {
    frame: Frame,
    lede: String,
    standfirst: String,
    not_square: Option<String>,
    rows: Vec<Row>,
    unit: String,
    per: String,
    axis: String,
    seasons: Vec<u16>,
    season: u16,
    money: bool,
}

#[derive(Deserialize)]
pub(super) struct Asked {
    pub(super) season: Option<u16>,
    pub(super) crop: Option<String>,
    pub(super) swath: Option<String>,
}

/// Text as a part of a path (RFC 3986: all but unreserved letters as %XX).
pub(super) fn in_path(text: &str) -> String {
    use std::fmt::Write as _;
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

/// Which acres, in the reader's words.
pub(super) fn which(text: Text, key: &str) -> String {
    match key {
        "cut" => text.say("cut"),
        "measured" => text.say("measured"),
        "planted" => text.say("planted"),
        "reported" => text.say("reported"),
        other => return other.to_owned(),
    }
    .into_owned()
}

/// What a field made: bushels where its crop has one.
pub(super) fn made(look: Look, line: &FieldSheetLine) -> Set {
    match line.dry_bu {
        Some(bu) => figures::grain(look, &line.crop, true, bu),
        None => figures::pounds(look, line.dry_lb),
    }
}

/// Seasons that have anything, the latest first; and the one that is looked at.
pub(super) fn seasons(farm: &desk::Farm, asked: Option<u16>, now_year: u16) -> (Vec<u16>, u16) {
    let all: BTreeSet<u16> = farm
        .plantings
        .iter()
        .map(|one| one.says.season)
        .chain(farm.dumps.iter().map(|one| one.says.season))
        .chain(farm.tickets.iter().map(|one| one.says.season))
        .collect();
    let season = asked
        .or_else(|| farm.latest_season())
        .or_else(|| all.last().copied())
        .unwrap_or(now_year);
    (all.into_iter().rev().collect(), season)
}

fn row(look: Look, line: &FieldSheetLine, axis: Option<(f64, f64)>) -> Row {
    let text = look.text;
    let yields = line
        .yields
        .map(|made| figures::per_acre(look, &line.crop, made));
    let picture = match (line.yields, axis) {
        (Some(made), Some(axis)) => Markup(draw::whisker(&draw::Whisker {
            title: yields.as_ref().map_or_else(String::new, Set::plain),
            low: made.low,
            middle: made.value,
            high: made.high,
            axis,
            line: None,
        })),
        _ => Markup::default(),
    };
    Row {
        link: format!("/winter/field/{}", in_path(&line.field)),
        field: line.field.clone(),
        crop: text.say(&line.crop_name).into_owned(),
        made: made(look, line),
        acres: line.acres.as_ref().map_or_else(
            || text.say("acres not known").into_owned(),
            |acres| {
                let set = figures::acres(look, acres.area_ac);
                format!("{} {}", set.plain(), which(text, acres.which))
            },
        ),
        yields,
        picture,
    }
}

async fn winter(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let view = house
        .run(move |house| {
            let now = house.now()?;
            let text = look.text;
            let year = u16::try_from(crate::dates::local(&now.farm.zone, now.now_ms).year()).unwrap_or_default();
            let (seasons, season) = seasons(&now.farm, asked.season, year);
            let lines = house.keep(&format!("winter {season}"), &now, |farm| Ok(desk::winter::season(farm, season)?))?;
            let mine: Vec<&FieldSheetLine> = lines.iter().filter(|line| who.sees_field(&line.field)).collect();
            let axis = reader::axis(mine.iter().filter_map(|line| line.yields).flat_map(|made| [made.low, made.high]));
            let best = mine.iter().find(|line| line.yields.is_some() && line.loads > 0);
            let lede = match best {
                Some(line) if !who.owns() => text.fill(
                    "{0} made {1} of {2}.",
                    &[&line.field, &sentence(text, &made(look, line)), &text.say(&line.crop_name)],
                ),
                Some(line) => text.fill(
                    "{0} made {1} of {2}, the most of {3}.",
                    &[&line.field, &sentence(text, &made(look, line)), &text.say(&line.crop_name), &season],
                ),
                None if mine.is_empty() => text.fill("Nothing was planted in {0}.", &[&season]),
                None => text.fill("Nothing of {0} has come to rest yet.", &[&season]),
            };
            let link = format!("?season={season}");
            let rows = mine
                .iter()
                .map(|line| {
                    let mut row = row(look, line, axis);
                    row.link.push_str(&link);
                    row.link.push_str("&crop=");
                    row.link.push_str(&in_path(&line.crop));
                    row
                })
                .collect();
            Ok(Page {
                frame: Frame::new(look, &who, Tab::Winter, text.say("Winter")).dated(text.fill("season of {0}", &[&season])),
                lede,
                standfirst: text.say("What came to rest at buyers, in bins or fed, as dry bushels at the crop's base. A range holds 8 times in 10; the doubt of the acres is not in it.").into_owned(),
                not_square: not_square(house, &now, text, season)?,
                rows,
                unit: if look.metric() { text.say("tonnes") } else { text.say("dry bu") }.into_owned(),
                per: if look.metric() { text.say("t/ha") } else { text.say("bu/ac") }.into_owned(),
                axis: axis.filter(|_| !look.metric()).map_or_else(String::new, |(low, high)| {
                    text.fill("{0} to {1} bu/ac", &[&figures::number(low, 0), &figures::number(high, 0)])
                }),
                seasons,
                season,
                money: who.sees_money(),
            })
        })
        .await?;
    page(&view)
}

/// What stands over figures of a season whose account is not square: the ranges hold for slips that
/// are right, not for a digit swapped or a ticket lost.
pub(super) fn not_square(
    house: &House,
    now: &crate::Now,
    text: Text,
    season: u16,
) -> Result<Option<String>, Refusal> {
    let squaring = house.keep(&format!("square {season}"), now, |farm| {
        Ok(desk::square(&desk::season(farm, season)?, desk::LEVEL)?)
    })?;
    Ok((!squaring.squared.square).then(|| {
        text.fill(
            "The account of {0} is not square, and {1} slips look wrong: until their paper is looked up, what a field made may be off by far more than its range.",
            &[&season, &squaring.suspects.len()],
        )
    }))
}

/// A figure as a sentence says it.
pub(super) fn sentence(text: Text, set: &Set) -> String {
    if set.unit == text.say("bu") {
        text.fill("{0} bushels", &[&set.figure])
    } else {
        format!("{} {}", set.figure, set.unit)
    }
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/winter", get(winter))
}

#[cfg(test)]
mod tests {
    use super::in_path;

    #[test]
    fn a_name_survives_an_address() {
        assert_eq!(in_path("Red wagon & co"), "Red%20wagon%20%26%20co");
    }
}
