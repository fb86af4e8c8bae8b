//! Night: is the account square, which slip looks wrong, what stands on wheels, what is still to do.

mod account;
pub(super) mod held;
mod margin;
mod ruler;
pub(super) mod says;
pub(super) mod slips;
mod units;
mod whole;

pub(super) use ruler::stop_word;

use super::slip::correction;
use crate::dates;
use crate::door::Who;
use crate::house::Now;
use crate::shell::page;
use crate::text::Markup;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use desk::night::Evening;
use serde::Deserialize;
use std::sync::Arc;

/// Which evening is asked for.
#[derive(Debug, Clone, Deserialize, Default)]
struct Asked {
    day: Option<String>,
    season: Option<u16>,
    whole: Option<String>,
}

/// A day that can be chosen.
struct Day {
    value: String,
    says: String,
    here: bool,
}

#[derive(Template)]
#[template(path = "night.html")]
struct Page {
    frame: Frame,
    says: says::Says,
    account: Option<account::View>,
    accounts: Vec<account::View>,
    suspect: Option<slips::View>,
    correction: Markup,
    suspects: Vec<slips::View>,
    ruler: Option<ruler::View>,
    held: Vec<held::Row>,
    fields: Vec<units::FieldRow>,
    area: String,
    dry: String,
    per_acre: String,
    day: String,
    units: Vec<units::UnitRow>,
    axis: String,
    cautions: Vec<units::Caution>,
    untyped: Vec<margin::Untyped>,
    cards: Vec<Markup>,
    unread: Vec<Markup>,
    counts: Vec<Markup>,
    stops: Option<Markup>,
    owed: Vec<units::Owed>,
    copied: Markup,
    notes: Vec<Note>,
    questions: Vec<Note>,
    look_at: Vec<Markup>,
    safe: Vec<String>,
    whys: Markup,
    days: Vec<Day>,
    before: Option<Day>,
    after: Option<Day>,
    season: u16,
    whole: Option<whole::View>,
    printed: String,
}

/// A note as it was written.
pub(super) struct Note {
    /// Its entry.
    pub(super) id: String,
    /// Its words.
    pub(super) text: String,
    /// What it is of, by whom and when.
    pub(super) about: String,
}

/// Notes for a margin.
pub(super) fn notes(look: Look, zone: &str, all: &[desk::morning::NoteLine]) -> Vec<Note> {
    all.iter()
        .map(|one| Note {
            id: one.id.clone(),
            text: one.text.clone(),
            about: {
                let when = dates::moment(look.text, zone, one.at_ms);
                let mut about = format!("{}, {when}", one.author);
                if !one.of.is_empty() {
                    about = format!("{}; {about}", one.of.join(", "));
                }
                about
            },
        })
        .collect()
}

/// The evening of a day, worked out once for each length of the book and each ten minutes.
pub(super) fn evening(
    house: &House,
    now: &Now,
    day: Option<&str>,
) -> Result<Arc<Evening>, Refusal> {
    let clock = dates::local(&now.farm.zone, now.now_ms)
        .strftime("%F %H:%M")
        .to_string();
    // hours since a wagon was filled grow with the clock: to ten minutes is near enough
    let tens = clock.get(..clock.len().saturating_sub(1)).unwrap_or("");
    let key = format!("evening {} {tens}", day.unwrap_or("now"));
    house.keep(&key, now, |farm| {
        Ok(desk::night::evening(farm, now.now_ms, day)?)
    })
}

/// The day that is meant: the one asked for; of a season that is over, or a book that is read long
/// after it, its last; else none, which is tonight.
pub(super) fn day(now: &Now, asked: Option<&str>, season: Option<u16>) -> Option<String> {
    if let Some(day) = asked.filter(|day| !day.is_empty()) {
        return Some(day.to_owned());
    }
    let last = dates::harvest_days(&now.farm, season).pop()?;
    let today = dates::harvest_day(&now.farm, now.now_ms);
    (season.is_some() || last.year() != today.year()).then(|| last.to_string())
}

async fn night(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let view = house
        .run(move |house| {
            let now = house.now()?;
            view(house, &now, look, &who, &asked)
        })
        .await?;
    page(&view)
}

fn view(house: &House, now: &Now, look: Look, who: &Who, asked: &Asked) -> Result<Page, Refusal> {
    let text = look.text;
    let today = dates::harvest_day(&now.farm, now.now_ms);
    let season = asked.season.or_else(|| {
        let day = asked.day.as_deref().and_then(dates::day)?;
        u16::try_from(day.year()).ok()
    });
    let harvest = dates::harvest_days(&now.farm, season);
    let day = day(now, asked.day.as_deref(), asked.season);
    let evening = evening(house, now, day.as_deref())?;
    let zone = evening.zone.clone();
    let shown = dates::day(&evening.day);
    let says = says::says(look, &evening);
    let suspects: Vec<slips::View> = evening
        .suspects
        .iter()
        .map(|one| slips::view(look, &evening, one, who.sees_money()))
        .collect();
    let mut suspects = suspects.into_iter();
    let suspect = suspects.next();
    let correction = match &suspect {
        Some(slip) if !slip.entry.is_empty() && who.writes() => {
            correction(look, now, &slip.entry, slip.odd.as_deref())?
        }
        _ => Markup::default(),
    };
    let picked = |day: &jiff::civil::Date| Day {
        value: day.to_string(),
        says: dates::long(text, *day),
        here: Some(*day) == shown,
    };
    let neighbor = |day: Option<jiff::civil::Date>| day.as_ref().map(picked);
    let title = text.say("Night").into_owned();
    let dateline = shown.map_or_else(
        || evening.day.clone(),
        |day| {
            text.fill(
                "{0}, to {1} am",
                &[
                    &dates::long(text, day),
                    &now.farm.day_begins(evening.season),
                ],
            )
        },
    );
    let axis = units::axis(&evening).filter(|_| !look.metric());
    // the account that the sentence is about comes first, right after it the slip; then the others
    let mut crops: Vec<&desk::night::CropAccount> = evening.crops.iter().collect();
    if let desk::night::EveningSays::Suspect { crop, .. } = &evening.says {
        crops.sort_by_key(|one| one.crop != *crop);
    }
    let mut accounts = crops
        .into_iter()
        .map(|crop| account::view(look, &evening, crop));
    let account = accounts.next();
    let (dry, per_acre) = if look.metric() {
        (text.say("dry t"), text.say("t/ha"))
    } else {
        (text.say("dry bu"), text.say("bu/ac"))
    };
    Ok(Page {
        frame: Frame::new(look, who, Tab::Night, title).dated(dateline),
        account,
        accounts: accounts.collect(),
        correction,
        suspect,
        suspects: suspects.collect(),
        ruler: ruler::view(look, &evening),
        held: held::rows(look, &evening),
        fields: units::fields(look, &evening),
        area: if look.metric() {
            text.say("cut of planted, ha")
        } else {
            text.say("cut of planted, ac")
        }
        .into_owned(),
        dry: dry.into_owned(),
        per_acre: per_acre.into_owned(),
        day: evening.day.clone(),
        axis: axis.map_or_else(String::new, |(low, high)| {
            text.fill(
                "{0} to {1} bu/ac; flag is call-at",
                &[
                    &crate::figures::number(low, 0),
                    &crate::figures::number(high, 0),
                ],
            )
        }),
        units: units::units(look, &evening),
        cautions: units::cautions(look, &evening),
        untyped: margin::untyped(look, &evening),
        cards: margin::cards(text, &evening),
        unread: margin::unread(text, &evening),
        counts: super::counts::lines(look, &evening.zone, &evening.counts),
        stops: margin::stops(text, &evening),
        owed: if who.sees_money() {
            units::owed(look, &evening)
        } else {
            Vec::new()
        },
        copied: margin::copied(text, &evening),
        notes: notes(look, &zone, &evening.notes),
        questions: notes(look, &zone, &evening.questions),
        look_at: margin::look_at(text, &evening),
        safe: evening
            .cautions
            .iter()
            .filter_map(|key| facts::Act::ALL.iter().find(|act| act.key() == *key))
            .map(|act| text.say(&facts::caution(*act).text).into_owned())
            .collect(),
        whys: {
            let all: Vec<&desk::Why> = evening.why.iter().collect();
            crate::figures::whys(text, &all)
        },
        days: harvest.iter().rev().map(picked).collect(),
        before: neighbor(shown.and_then(|day| day.yesterday().ok())),
        after: neighbor(
            shown
                .and_then(|day| day.tomorrow().ok())
                .filter(|day| *day <= today),
        ),
        season: evening.season,
        whole: asked
            .whole
            .is_some()
            .then(|| whole::view(house, now, look, evening.season))
            .transpose()?,
        printed: dates::moment(text, &zone, now.now_ms),
        says,
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/night", get(night))
}
