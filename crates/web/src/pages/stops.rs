//! What stood still: a season's stops, what they took, what is still to come.

use super::night::{held, stop_word};
use super::write::may_write;
use crate::door::{Role, Who};
use crate::shell::page;
use crate::text::Markup;
use crate::{Frame, House, Look, Refusal, Tab, Text, dates, figures};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use desk::stops::{StopLine, StopsAsked, StopsReport, report};
use draw::{CauseBar, Finding, causes};
use serde::Deserialize;

#[derive(Deserialize, Default)]
#[serde(default)]
struct Asked {
    season: Option<u16>,
    hour: String,
    cut: String,
    left: String,
    spare: String,
    share: String,
    saves: String,
    kept: Option<String>,
}

/// A stop that runs or never got an end of its day: its form.
struct Open {
    entry: String,
    says: String,
    /// Earliest end that can be meant, for the blank.
    from: String,
    /// Whether it was left open past its day, so that an end without a time says nothing.
    late: bool,
}

/// Why it stood, as a form writes it and as it is said; `other` would say nothing more.
const REASONS: [(&str, &str); 8] = [
    ("breakdown", "breakdown"),
    ("plug", "plug"),
    ("wagon", "wagon"),
    ("moving", "moving"),
    ("fuel-grease", "fuel_grease"),
    ("weather", "weather"),
    ("setting", "setting"),
    ("rest", "rest"),
];

struct Row {
    entry: String,
    when: String,
    why: String,
    part: String,
    lasted: String,
    cost: String,
    /// Where to end or correct it, while it asks.
    asks: Option<String>,
    ends: String,
    /// What its end told otherwise, and where to correct it.
    otherwise: String,
    done: String,
}

#[derive(Template)]
#[template(path = "stops.html")]
struct Page {
    frame: Frame,
    lede: String,
    standfirst: Vec<String>,
    kept: bool,
    opens: Vec<Open>,
    reasons: Vec<(&'static str, String)>,
    zone: String,
    /// What the season's settings say an hour costs, and whether the reader may write them.
    kept_hour: String,
    keeps: bool,
    wrong: Option<String>,
    picture: Markup,
    too_few: bool,
    rows: Vec<Row>,
    often: Vec<String>,
    spares: Vec<String>,
    why: Markup,
    season: u16,
    hour: String,
    cut: String,
    left: String,
    spare: String,
    share: String,
    saves: String,
    caution: String,
}

/// A typed figure: empty is none.
fn typed(name: &'static str, text: &str) -> Result<Option<f64>, (&'static str, String)> {
    let plain = text.trim().trim_start_matches('$').replace(',', "");
    if plain.is_empty() {
        return Ok(None);
    }
    match plain.parse::<f64>() {
        Ok(value) if value.is_finite() && value >= 0.0 => Ok(Some(value)),
        _ => Err((name, text.chars().take(40).collect())),
    }
}

fn read(asked: &Asked, season: u16) -> Result<StopsAsked, (&'static str, String)> {
    Ok(StopsAsked {
        season,
        machine: None,
        hour_usd: typed("Cost of an hour", &asked.hour)?,
        acres_cut: typed("Acres cut", &asked.cut)?,
        acres_left: typed("Acres left", &asked.left)?,
        spare: match (
            typed("Price of the part", &asked.spare)?,
            typed("Of 100 breakdowns it is this part in", &asked.share)?,
            typed("Hours that having it saves", &asked.saves)?,
        ) {
            (Some(price_usd), Some(share_pct), Some(saves_h)) => Some(desk::stops::SpareAsked {
                price_usd,
                share_pct,
                saves_h,
                ..desk::stops::SpareAsked::default()
            }),
            _ => None,
        },
    })
}

fn hours(value: f64) -> String {
    figures::number(value, 1)
}

fn lede(text: Text, told: &StopsReport) -> String {
    if told.stops.is_empty() {
        return text
            .say("No stop is written for this season; that is not to say that it never stood.")
            .into_owned();
    }
    let took = match told.stops.len() {
        1 => text.fill("One stop took {0} hours", &[&hours(told.hours)]),
        some => text.fill("{0} stops took {1} hours", &[&some, &hours(told.hours)]),
    };
    match told.causes.first().filter(|_| !told.too_few) {
        Some(first) => text.fill(
            "{0}; longest in all: {1}.",
            &[&took, &stop_word(text, first.why)],
        ),
        None => format!("{took}."),
    }
}

/// What is money and what is only time, a sentence each.
fn standfirst(text: Text, told: &StopsReport) -> Vec<String> {
    if told.stops.is_empty() {
        return Vec::new();
    }
    let dollars = |usd: f64| figures::number(usd, 0);
    let broke = hours(told.broke_hours);
    let mut out = vec![match (told.bill_usd, told.hour_usd) {
        (Some(bill), Some(hour)) => text.fill(
            "Broken or plugged: {0} hours at ${1} and ${2} of parts and labor, ${3} together.",
            &[
                &broke,
                &dollars(hour),
                &dollars(told.cost_usd),
                &dollars(bill),
            ],
        ),
        _ => text.fill(
            "Broken or plugged: {0} hours and ${1} of parts and labor.",
            &[&broke, &dollars(told.cost_usd)],
        ),
    }];
    out.push(text.fill(
        "Other standing: {0} hours, which no bill counts.",
        &[&hours(told.other_hours)],
    ));
    if told.other_cost_usd > 0.0 {
        out.push(text.fill(
            "${0} written with other stops is not in the bill.",
            &[&dollars(told.other_cost_usd)],
        ));
    }
    out
}

/// What an end told otherwise than its beginning.
fn otherwise(text: Text, one: &StopLine) -> String {
    let whys = one.otherwise_whys.iter().map(|why| stop_word(text, why));
    let parts = one.otherwise_parts.iter().cloned();
    let costs =
        (one.otherwise_costs_usd.iter()).map(|usd| format!("${}", figures::number(*usd, 2)));
    let all: Vec<String> = whys.chain(parts).chain(costs).collect();
    if all.is_empty() {
        return String::new();
    }
    text.fill(
        "its end says: {0}; what was written first counts until it is corrected",
        &[&all.join(", ")],
    )
}

/// The stops whose end is asked for.
fn opens(text: Text, zone: &str, told: &StopsReport) -> Vec<Open> {
    let mut out: Vec<Open> = told
        .stops
        .iter()
        .filter(|one| (one.running || one.asks) && one.ends == 0)
        .map(|one| Open {
            entry: one.entry.clone(),
            says: text.fill(
                "{0} stands since {1}: {2}",
                &[
                    &one.machine
                        .clone()
                        .unwrap_or_else(|| text.say("The combine").into_owned()),
                    &dates::moment(text, zone, one.at_ms),
                    &stop_word(text, one.why),
                ],
            ),
            from: one.at.replace(' ', "T"),
            late: one.asks,
        })
        .collect();
    out.reverse();
    out
}

/// How often it breaks and what is still to come, a sentence each.
fn often(text: Text, told: &StopsReport) -> Vec<String> {
    let Some(one) = &told.breakdowns else {
        return Vec::new();
    };
    let ranged = |range: desk::Ranged, places| {
        text.fill(
            "{0} ({1} to {2})",
            &[
                &figures::number(range.value, places),
                &figures::number(range.low, places),
                &figures::number(range.high, places),
            ],
        )
    };
    let mut out = vec![
        text.fill(
            "Breakdowns: {0} on {1} acres, {2} on 100 acres.",
            &[
                &one.seen,
                &figures::number(one.acres_cut, 0),
                &ranged(one.on_100_ac, 2),
            ],
        ),
        text.fill(
            "The next repair takes {0} hours.",
            &[&ranged(one.repair_h, 1)],
        ),
    ];
    if let Some(ahead) = &one.ahead {
        out.push(text.fill(
            "The {0} acres left bring {1} more; {2} in 10 that none comes. They take {3} hours.",
            &[
                &figures::number(ahead.acres_left, 0),
                &figures::number(ahead.stops, 1),
                &desk::reader::of_ten(ahead.p_none),
                &ranged(ahead.hours, 1),
            ],
        ));
        if let Some(usd) = ahead.mean_usd {
            out.push(text.fill(
                "That is ${0} on average, each repair counted up to 24 hours.",
                &[&figures::number(usd, 0)],
            ));
        }
    }
    if !one.stands_in_for.is_empty() {
        let others = one.stands_in_for.iter().map(|crop| held::crop(text, crop));
        out.push(text.fill(
            "The published rate is that of {0} and stands in for {1} too: only corn and soybeans have one, and the crop of most loads decides.",
            &[
                &held::crop(text, &one.starts_from),
                &others.collect::<Vec<_>>().join(", "),
            ],
        ));
    }
    if one.acres_are_planted {
        out.push(
            text.say("Acres cut are taken to be the planted acres of the fields that were begun; write the acres cut to know better.")
                .into_owned(),
        );
    }
    out.push(
        text.say("The rate starts from a published one, from memory, worth one and a half stops; repair times from our default, a guess. Ranges hold 8 cases in 10.")
            .into_owned(),
    );
    out
}

fn picture(text: Text, told: &StopsReport) -> Markup {
    if told.causes.is_empty() {
        return Markup(String::new());
    }
    let bars: Vec<CauseBar> = told
        .causes
        .iter()
        .map(|one| CauseBar {
            name: stop_word(text, one.why),
            hours: one.hours,
            says: text.fill(
                "{0} h in {1} stops, {2} % so far",
                &[
                    &hours(one.hours),
                    &one.stops,
                    &figures::number(100.0 * one.cumulative, 0),
                ],
            ),
        })
        .collect();
    let finding = Finding {
        title: lede(text, told),
        desc: bars
            .iter()
            .map(|bar| format!("{}: {}", bar.name, bar.says))
            .collect::<Vec<_>>()
            .join("; "),
    };
    Markup(draw::both(|width| causes(&bars, &finding, width)))
}

async fn show(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let view = house
        .run(move |house| {
            let text = look.text;
            let now = house.now()?;
            let season = asked
                .season
                .or_else(|| desk::stops::latest_season(&now.farm))
                .unwrap_or_default();
            let (request, wrong) = match read(&asked, season) {
                Ok(request) => (request, None),
                Err((name, found)) => (
                    StopsAsked {
                        season,
                        ..StopsAsked::default()
                    },
                    Some(text.fill(
                        "{0}: found {1}, expected a number, 0 or more.",
                        &[&text.say(name), &found],
                    )),
                ),
            };
            let (told, wrong) = match report(&now.farm, &request, now.now_ms) {
                Ok(told) => (told, wrong),
                // a figure that cannot be meant: the page stands without it and says so
                Err(why) => (
                    report(
                        &now.farm,
                        &StopsAsked {
                            season,
                            ..StopsAsked::default()
                        },
                        now.now_ms,
                    )?,
                    Some(text.say(&why.to_string()).into_owned()),
                ),
            };
            let zone = &now.farm.zone;
            let may_end = may_write(&who, "go");
            let opens = if may_end { opens(text, zone, &told) } else { Vec::new() };
            let kept_hour = now.farm.seasons.get(&season).and_then(|one| one.hour);
            let rows = told
                .stops
                .iter()
                .map(|one| Row {
                    entry: one.entry.clone(),
                    when: dates::moment(text, zone, one.at_ms),
                    why: stop_word(text, one.why),
                    part: one.part.clone().unwrap_or_default(),
                    lasted: match one.minutes {
                        Some(minutes) if one.running => {
                            text.fill("{0} so far", &[&dates::lasted(text, minutes)])
                        }
                        Some(minutes) => dates::lasted(text, minutes),
                        None => text.say("when did it end?").into_owned(),
                    },
                    cost: one
                        .cost_usd
                        .map_or_else(String::new, |usd| format!("${}", figures::number(usd, 0))),
                    asks: (one.asks || one.running).then(|| {
                        if may_end && one.ends == 0 {
                            format!("#end-{}", one.entry)
                        } else {
                            format!("/entry/{}", one.entry)
                        }
                    }),
                    otherwise: otherwise(text, one),
                    done: one.done.join("; "),
                    ends: if one.ends > 1 {
                        text.fill("ended {0} times; the earliest end stands", &[&one.ends])
                    } else {
                        String::new()
                    },
                })
                .collect();
            Ok(Page {
                frame: Frame::new(look, &who, Tab::Night, text.say("Stops"))
                    .dated(text.fill("Stops, season of {0}", &[&season])),
                lede: lede(text, &told),
                standfirst: standfirst(text, &told),
                kept: asked.kept.is_some(),
                reasons: REASONS
                    .iter()
                    .map(|(key, why)| (*key, stop_word(text, why)))
                    .collect(),
                zone: zone.clone(),
                kept_hour: kept_hour.map(quantity::Money::show).unwrap_or_default(),
                keeps: who.role == Role::Owner,
                opens,
                wrong,
                picture: picture(text, &told),
                too_few: told.too_few && !told.stops.is_empty(),
                rows,
                often: often(text, &told),
                spares: told
                    .spares
                    .iter()
                    .map(|one| {
                        text.fill(
                            "Spare {0} is used {1} in 10 and is worth ${2}, holding taken off; it pays from {3} in 100.",
                            &[
                                &one.nth,
                                &desk::reader::of_ten(one.p_used),
                                &figures::number(one.net_usd, 0),
                                &figures::number(100.0 * one.break_even, 0),
                            ],
                        )
                    })
                    .collect(),
                why: figures::whys(text, &told.why.iter().collect::<Vec<_>>()),
                season,
                hour: asked.hour,
                cut: asked.cut,
                left: asked.left,
                spare: asked.spare,
                share: asked.share,
                saves: asked.saves,
                caution: text.say(desk::stops::caution()).into_owned(),
            })
        })
        .await?;
    page(&view)
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/stops", get(show))
}
