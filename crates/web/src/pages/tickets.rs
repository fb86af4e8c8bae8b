//! Tickets audited: each recomputed by its buyer's schedule, line by line; and the load log.

use super::field::{Load, load};
use super::winter::{Asked, seasons};
use crate::dates;
use crate::door::Who;
use crate::shell::page;
use crate::text::Markup;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;

struct Ticket {
    name: String,
    entry: String,
    buyer: String,
    net: String,
    picture: Markup,
}

struct Not {
    name: String,
    entry: String,
    why: String,
}

#[derive(Template)]
#[template(path = "tickets.html")]
struct Page {
    frame: Frame,
    lede: String,
    rows: Vec<Ticket>,
    not: Vec<Not>,
}

async fn tickets(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    if !who.sees_money() {
        return Err(Refusal::not_allowed());
    }
    let view = house
        .run(move |house| {
            let now = house.now()?;
            let text = look.text;
            let (_, season) = seasons(&now.farm, asked.season, 0);
            let audit = house.keep(&format!("audit {season}"), &now, |farm| {
                Ok(desk::audit::season(farm, season)?)
            })?;
            let mine = |entry: &str| {
                who.owns()
                    || desk::audit::fields_of(&now.farm, entry)
                        .iter()
                        .any(|field| who.sees_field(field))
            };
            let tickets: Vec<Ticket> = audit
                .audited
                .iter()
                .filter(|one| mine(&one.entry))
                .map(|one| Ticket {
                    name: super::night::says::slip_name(text, &one.ticket),
                    entry: one.entry.clone(),
                    buyer: one.buyer.clone(),
                    net: one.settlement.net.map_or_else(
                        || text.say("no price yet").into_owned(),
                        quantity::Money::show,
                    ),
                    picture: Markup(draw::both(|width| {
                        draw::settlement_steps_page(&desk::pictures::steps_of(one), width)
                    })),
                })
                .collect();
            let not: Vec<Not> = audit
                .not_audited
                .iter()
                .filter(|one| mine(&one.entry))
                .map(|one| Not {
                    name: super::night::says::slip_name(text, &one.ticket),
                    entry: one.entry.clone(),
                    why: text.say(&one.why).into_owned(),
                })
                .collect();
            let lede = match (tickets.len(), not.len()) {
                (0, 0) => text.fill("No weigh ticket was written in {0}.", &[&season]),
                (some, 0) => text.fill(
                    "All {0} tickets of {1} are recomputed by their schedules.",
                    &[&some, &season],
                ),
                (some, others) => text.fill(
                    "{0} tickets of {1} are recomputed; {2} are not.",
                    &[&some, &season, &others],
                ),
            };
            Ok(Page {
                frame: Frame::new(look, &who, Tab::Winter, text.say("Tickets"))
                    .dated(text.fill("season of {0}", &[&season])),
                lede,
                rows: tickets,
                not,
            })
        })
        .await?;
    page(&view)
}

#[derive(Template)]
#[template(path = "loads.html")]
struct Loads {
    frame: Frame,
    lede: String,
    log: Vec<Load>,
}

async fn loads(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let view = house
        .run(move |house| {
            let now = house.now()?;
            let text = look.text;
            let year =
                u16::try_from(dates::local(&now.farm.zone, now.now_ms).year()).unwrap_or_default();
            let (_, season) = seasons(&now.farm, asked.season, year);
            let log: Vec<Load> = desk::winter::loads(&now.farm, season)
                .iter()
                .filter(|(field, _)| who.sees_field(field))
                .map(|(field, one)| load(look, &now.farm.zone, field, one))
                .collect();
            Ok(Loads {
                frame: Frame::new(look, &who, Tab::Winter, text.say("Load log"))
                    .dated(text.fill("season of {0}", &[&season])),
                lede: text.fill(
                    "{0} loads came off the fields in {1}.",
                    &[&log.len(), &season],
                ),
                log,
            })
        })
        .await?;
    page(&view)
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/winter/tickets", get(tickets))
        .route("/winter/loads", get(loads))
}
