//! Insured units: which fields they are, and at which yield the agent wants a call. Never what is
//! covered.

use super::start::year;
use crate::door::Who;
use crate::shell::page;
use crate::{Frame, House, Look, Refusal, Tab, dates};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use book::kinds::Name;
use std::collections::{BTreeMap, BTreeSet};

struct Insured {
    unit: String,
    fields: String,
    crop: String,
    crop_key: String,
    call_at: Option<String>,
    entry: String,
    notice_by: String,
    agent: String,
}

#[derive(Template)]
#[template(path = "units.html")]
struct Page {
    frame: Frame,
    lede: String,
    rows: Vec<Insured>,
    without: Vec<(String, String)>,
    caution: String,
}

async fn show(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    house
        .run(move |house| {
            let text = look.text;
            let now = house.now()?;
            let farm = &now.farm;
            let this_year = year(house, farm)?;
            let planted_in = |season| farm.plantings.iter().any(|one| one.says.season == season);
            // before anything is planted this year, the season that the book knows last
            let season = match farm.latest_season() {
                Some(last) if !planted_in(this_year) => last,
                _ => this_year,
            };
            let mut planted: BTreeMap<(&Name, &Name), BTreeSet<&Name>> = BTreeMap::new();
            for one in farm
                .plantings
                .iter()
                .filter(|one| one.says.season == season)
            {
                let unit = farm
                    .fields
                    .get(&one.says.field)
                    .and_then(|field| field.says.unit_number.as_ref());
                if let Some(unit) = unit {
                    planted
                        .entry((unit, &one.says.crop))
                        .or_default()
                        .insert(&one.says.field);
                }
            }
            let joined = |names: &BTreeSet<&Name>| {
                let names: Vec<&str> = names.iter().map(|name| name.as_str()).collect();
                names.join(", ")
            };
            let rows: Vec<Insured> = planted
                .iter()
                .map(|((unit, crop), fields)| {
                    let call = farm.call_at(unit, crop, season);
                    let named: Option<facts::Crop> = crop.as_str().parse().ok();
                    Insured {
                        unit: unit.to_string(),
                        fields: joined(fields),
                        crop: named.map_or_else(
                            || crop.to_string(),
                            |crop| text.say(crop.name()).into_owned(),
                        ),
                        crop_key: crop.to_string(),
                        call_at: call.map(|call| call.says.insurance_bu_ac.to_string()),
                        entry: call.map(|call| call.id.to_string()).unwrap_or_default(),
                        notice_by: call
                            .and_then(|call| call.says.notice_by)
                            .map(|day| dates::said(text, &day.to_string()))
                            .unwrap_or_default(),
                        agent: call
                            .map(|call| {
                                let parts = [&call.says.agent, &call.says.telephone];
                                let said: Vec<&str> =
                                    parts.into_iter().flatten().map(Name::as_str).collect();
                                said.join(", ")
                            })
                            .unwrap_or_default(),
                    }
                })
                .collect();
            let without = farm
                .fields
                .iter()
                .filter(|(_, field)| field.says.unit_number.is_none())
                .map(|(name, field)| (name.to_string(), field.id.to_string()))
                .collect();
            let open = rows.iter().filter(|row| row.call_at.is_none()).count();
            let lede = match (rows.len(), open) {
                (0, _) => text.say("No field that is planted has an insured unit yet."),
                (_, 0) => text.say("The agent's call-at yield is written for every unit."),
                _ => text.say("The agent's call-at yield is not written for every unit."),
            };
            page(&Page {
                lede: lede.into_owned(),
                frame: Frame::new(look, &who, Tab::Other, text.say("Insured units"))
                    .dated(text.fill("season of {0}", &[&season])),
                rows,
                without,
                caution: text
                    .say(&facts::caution(facts::Act::Money).text)
                    .into_owned(),
            })
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/units", get(show))
}
