//! The sheet of one field: what it made, then its evidence.

use super::winter::{Asked, in_path, made, seasons, sentence, which};
use crate::dates;
use crate::door::Who;
use crate::figures::{self, Set};
use crate::shell::page;
use crate::text::{Markup, escape};
use crate::{Frame, House, Look, Now, Refusal, Tab};
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use axum::{Json, Router};
use desk::winter::{CellsAsked, FieldSheet, LiveMap, MapWords};
use serde::Serialize;
use std::sync::Arc;

/// One load of the log.
pub(super) struct Load {
    pub(super) entry: String,
    pub(super) when: String,
    pub(super) number: String,
    pub(super) field: String,
    pub(super) into: String,
    pub(super) monitor: String,
    pub(super) moisture: String,
    pub(super) ticket: String,
}

/// The monitor against the scale.
struct Against {
    entry: String,
    when: String,
    loads: String,
    from: String,
    scale: Set,
    moisture: String,
    over: String,
    total: bool,
}

/// Somebody's part.
struct Part {
    person: String,
    share: String,
    amount: Set,
}

#[derive(Template)]
#[template(path = "field.html")]
struct Page {
    frame: Frame,
    lede: Markup,
    standfirst: Markup,
    not_square: Option<String>,
    facts: Vec<Markup>,
    maps: Option<Maps>,
    needs_width: Option<String>,
    against: Vec<Against>,
    log: Vec<Load>,
    parts: Vec<Part>,
    numbers: Vec<String>,
    season: u16,
    crop: String,
    tickets: String,
    printed: String,
}

/// The maps as pictures, and where the live one finds its cells.
struct Maps {
    values: Markup,
    doubt: Markup,
    cells: String,
    says: String,
    doubt_says: String,
    counted: Markup,
}

/// The side of a cell: about two widths of a small head.
const CELL_M: f64 = 10.0;

pub(super) fn load(look: Look, zone: &str, field: &str, one: &desk::winter::LoadLine) -> Load {
    Load {
        entry: one.entry.clone(),
        when: dates::moment(look.text, zone, one.at_ms),
        number: one.number.clone().unwrap_or_default(),
        field: field.to_owned(),
        into: one.into.clone(),
        monitor: one.monitor.clone().unwrap_or_default(),
        moisture: one
            .moisture_pct
            .map_or_else(String::new, |percent| figures::number(percent, 1)),
        ticket: one.ticket.as_deref().map_or_else(String::new, |name| {
            super::night::says::slip_name(look.text, name)
        }),
    }
}

/// The field's cells as read today, worked out once for each state of the book.
fn cells(
    house: &House,
    now: &Now,
    sheet: &FieldSheet,
    swath: Option<&str>,
    look: Look,
) -> Result<Option<Arc<LiveMap>>, Refusal> {
    let Some(file) = sheet.points.first() else {
        return Ok(None);
    };
    let known = swath
        .map(str::to_owned)
        .or_else(|| desk::winter::swath(&now.farm, &sheet.line.field, sheet.season));
    let key = format!(
        "cells {} {} {} {}",
        file.sha256,
        sheet.line.crop,
        look.metric(),
        known.as_deref().unwrap_or("")
    );
    let map = house.keep(&key, now, |_| {
        let sha = book::Sha256Key::parse(&file.sha256)?;
        let bytes = house.with_book(|book, _, _| Ok(book.attachment(sha)?))?;
        let bytes = bytes.ok_or_else(|| Refusal::not_found("the file of points"))?;
        let asked = CellsAsked {
            crop: sheet.line.crop.clone(),
            swath: known.clone(),
            cell_m: CELL_M,
            outline: sheet.outline.clone(),
        };
        let cells = desk::winter::cells(&bytes, &file.name, &asked)?;
        Ok(desk::winter::live(
            cells,
            sheet.outline.as_deref(),
            look.system(),
        ))
    })?;
    Ok(Some(map))
}

fn maps(look: Look, sheet: &FieldSheet, map: &LiveMap, query: &str) -> Maps {
    let text = look.text;
    let crop = super::night::says::begins(&text.say(&sheet.line.crop_name));
    let says = text.fill(
        "{0} as the monitor read it, {1}, cells of {2} m.",
        &[
            &crop,
            &text.say(map.unit),
            &figures::number(map.cells.cell_m, 0),
        ],
    );
    let doubt_says = text
        .say("Where it is less sure: larger dots, by the points of each cell alone.")
        .into_owned();
    let words = MapWords {
        finding: says.clone(),
        doubt: doubt_says.clone(),
        desc: text.fill("{0} cells of the field", &[&map.cells.mean.len()]),
        north: text.say("N").into_owned(),
        metric: look.metric(),
    };
    let picture = desk::winter::picture(map, sheet.outline.as_deref(), words);
    let counted = text.mark(
            "{0} points read, {1} set aside, {2} cut no ground, {3} looked odd and were kept. Nothing is cleaned, moved or smoothed here.",
            &[
                figures::bold(figures::number(map.cells.points as f64, 0)),
                figures::bold(map.cells.set_aside),
                figures::bold(map.cells.no_ground),
                figures::bold(map.cells.flagged),
            ],
        );
    let both = |which: fn(draw::FieldMaps) -> String| {
        Markup(draw::both(|width| which(draw::field_map(&picture, width))))
    };
    Maps {
        values: both(|maps| maps.values),
        doubt: both(|maps| maps.doubt),
        cells: format!("/api/field/{}/cells{query}", in_path(&sheet.line.field)),
        says,
        doubt_says,
        counted,
    }
}

fn facts(look: Look, who: &Who, sheet: &FieldSheet) -> Vec<Markup> {
    let text = look.text;
    let mut out = Vec::new();
    if let Some(all) = sheet
        .against_scale_together
        .as_ref()
        .or(sheet.against_scale.first())
    {
        let size = figures::number(all.over_percent.abs(), 1);
        let parts = [figures::bold(size), Markup::plain(all.dumps)];
        out.push(if all.over_percent >= 0.0 {
            text.mark(
                "The monitor read {0} % over the scale, {1} tanks together.",
                &parts,
            )
        } else {
            text.mark(
                "The monitor read {0} % under the scale, {1} tanks together.",
                &parts,
            )
        });
    }
    for acres in sheet.acres.iter().skip(1) {
        if let Some(made) = acres.dry_bu_per_ac {
            out.push(text.mark(
                "Over {0} {1}: {2}.",
                &[
                    figures::acres(look, acres.area_ac).markup(),
                    Markup::plain(which(text, acres.which)),
                    figures::per_acre(look, &sheet.line.crop, made).markup(),
                ],
            ));
        }
    }
    if who.sees_money() && !sheet.audited.is_empty() {
        out.push(
            text.mark(
                "{0} tickets carry its grain, {1} of them recomputed by the buyer's schedule.",
                &[
                    figures::bold(
                        sheet
                            .audited
                            .iter()
                            .map(|one| &one.entry)
                            .chain(sheet.not_audited.iter().map(|one| &one.entry))
                            .count(),
                    ),
                    figures::bold(sheet.audited.len()),
                ],
            ),
        );
    }
    out
}

fn against(look: Look, zone: &str, sheet: &FieldSheet) -> Vec<Against> {
    let text = look.text;
    let pounds = |one: &desk::winter::AgainstScale| figures::pounds(look, one.scale_lb);
    let over = |percent: f64| {
        let sign = if percent > 0.0 { "+" } else { "" };
        format!("{sign}{}", figures::number(percent, 1))
    };
    let mut out: Vec<Against> = sheet
        .against_scale
        .iter()
        .map(|one| Against {
            entry: one.entry.clone().unwrap_or_default(),
            when: one.at_ms.map_or_else(String::new, |at_ms| {
                dates::short(text, dates::local(zone, at_ms).date())
            }),
            loads: one.numbers.join(", "),
            from: one.from.join(", "),
            scale: pounds(one),
            moisture: one
                .moisture_pct
                .map_or_else(String::new, |percent| figures::number(percent, 1)),
            over: over(one.over_percent),
            total: false,
        })
        .collect();
    if let Some(all) = &sheet.against_scale_together {
        out.push(Against {
            entry: String::new(),
            when: text.fill("{0} tickets", &[&sheet.against_scale.len()]),
            loads: String::new(),
            from: String::new(),
            scale: pounds(all),
            moisture: String::new(),
            over: over(all.over_percent),
            total: true,
        });
    }
    out
}

fn lede(look: Look, sheet: &FieldSheet) -> (Markup, Markup) {
    let text = look.text;
    let line = &sheet.line;
    let crop = text.say(&line.crop_name).into_owned();
    let whys: Vec<&desk::Why> = sheet.why.iter().collect();
    let total = made(look, line);
    let lede = match line.yields.filter(|_| line.loads > 0) {
        Some(made) => {
            let set = figures::per_acre(look, &line.crop, made);
            let range = if set.range.is_empty() {
                Markup::default()
            } else {
                Markup(format!(" <span class=\"pm\">{}</span>", escape(&set.range)))
            };
            let figure = Markup(format!(
                "<span class=\"fig\">{}{range}</span>",
                escape(&set.figure)
            ));
            if look.metric() {
                text.mark(
                    "{0} made {1} {2} of {3}.",
                    &[
                        Markup::plain(&line.field),
                        figure,
                        Markup::plain(&set.unit),
                        Markup::plain(&crop),
                    ],
                )
            } else {
                text.mark(
                    "{0} made {1} bushels of {2} an acre.",
                    &[Markup::plain(&line.field), figure, Markup::plain(&crop)],
                )
            }
        }
        None if line.loads > 0 => text.mark(
            "{0} made {1} of {2}.",
            &[
                Markup::plain(&line.field),
                Markup::plain(sentence(text, &total)),
                Markup::plain(&crop),
            ],
        ),
        None => text.mark(
            "Nothing of {0} has come to rest yet.",
            &[Markup::plain(&line.field)],
        ),
    };
    let mut standfirst = match &line.acres {
        Some(acres) if line.loads > 0 => text.mark(
            "That is {0} in {1} loads at rest, over {2} {3}. The doubt is of the bushels; that of the acres is not in it.",
            &[
                total.markup(),
                Markup::plain(line.loads),
                figures::acres(look, acres.area_ac).markup(),
                Markup::plain(which(text, acres.which)),
            ],
        ),
        _ => Markup::default(),
    };
    standfirst.0.push_str(&figures::whys(text, &whys).0);
    (lede, standfirst)
}

fn sheet_of(
    house: &House,
    now: &Now,
    who: &Who,
    name: &str,
    asked: &Asked,
) -> Result<Arc<FieldSheet>, Refusal> {
    let year = u16::try_from(dates::local(&now.farm.zone, now.now_ms).year()).unwrap_or_default();
    let (_, season) = seasons(&now.farm, asked.season, year);
    if !who.sees_field(name) {
        return Err(Refusal::not_allowed());
    }
    let crop = asked.crop.as_deref().filter(|crop| !crop.is_empty());
    let key = format!("field {season} {} {name}", crop.unwrap_or(""));
    house.keep(&key, now, |farm| {
        Ok(desk::winter::field(farm, name, crop, season)?)
    })
}

async fn field(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let view = house
        .run(move |house| {
            let now = house.now()?;
            let text = look.text;
            let sheet = sheet_of(house, &now, &who, &name, &asked)?;
            let zone = &now.farm.zone;
            let (lede, standfirst) = lede(look, &sheet);
            let mut query = format!(
                "?season={}&crop={}",
                sheet.season,
                in_path(&sheet.line.crop)
            );
            if let Some(swath) = asked.swath.as_deref().filter(|swath| !swath.is_empty()) {
                query.push_str("&swath=");
                query.push_str(&in_path(swath));
            }
            // a file without a width asks for one; the sheet stands all the same
            let (map, needs_width) = match cells(
                house,
                &now,
                &sheet,
                asked.swath.as_deref().filter(|swath| !swath.is_empty()),
                look,
            ) {
                Ok(map) => (map, None),
                Err(why) => (None, Some(text.say(&why.sentence).into_owned())),
            };
            Ok(Page {
                frame: Frame::new(look, &who, Tab::Winter, sheet.line.field.clone())
                    .dated(text.fill("{0}, season of {1}", &[&sheet.line.field, &sheet.season])),
                not_square: super::winter::not_square(house, &now, text, sheet.season)?,
                lede,
                standfirst,
                facts: facts(look, &who, &sheet),
                maps: map.as_deref().map(|map| maps(look, &sheet, map, &query)),
                needs_width,
                against: against(look, zone, &sheet),
                log: sheet
                    .log
                    .iter()
                    .map(|one| load(look, zone, &sheet.line.field, one))
                    .collect(),
                parts: sheet
                    .parts
                    .iter()
                    .map(|one| Part {
                        person: one.person.clone(),
                        share: sheet
                            .shares
                            .iter()
                            .find(|share| share.person == one.person)
                            .map_or_else(String::new, |share| format!("{} %", share.percent)),
                        amount: match one.dry_bu {
                            Some(bu) => {
                                figures::grain(look, &sheet.line.crop, true, figures::exact(bu))
                            }
                            None => figures::pounds(look, figures::exact(one.dry_lb)),
                        },
                    })
                    .collect(),
                numbers: [text.say("farm"), text.say("tract"), text.say("field")]
                    .iter()
                    .zip(&sheet.numbers)
                    .filter_map(|(word, number)| Some(format!("{word} {}", number.as_ref()?)))
                    .collect(),
                season: sheet.season,
                crop: sheet.line.crop.clone(),
                tickets: if who.sees_money() {
                    format!("/winter/tickets?season={}", sheet.season)
                } else {
                    String::new()
                },
                printed: dates::moment(text, zone, now.now_ms),
            })
        })
        .await?;
    page(&view)
}

/// The live map's cells with the ramp's colors.
#[derive(Serialize)]
struct Live {
    #[serde(flatten)]
    map: LiveMap,
    ramp: &'static [&'static str],
}

async fn live(
    State(house): State<House>,
    look: Look,
    who: Who,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Json<Live>, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            let sheet = sheet_of(house, &now, &who, &name, &asked)?;
            let map = cells(
                house,
                &now,
                &sheet,
                asked.swath.as_deref().filter(|swath| !swath.is_empty()),
                look,
            )?
            .ok_or_else(|| Refusal::not_found("a file of points of this field"))?;
            Ok(Json(Live {
                map: (*map).clone(),
                ramp: &draw::RAMP,
            }))
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/winter/field/{field}", get(field))
        .route("/api/field/{field}/cells", get(live))
}
