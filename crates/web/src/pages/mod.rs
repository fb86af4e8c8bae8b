//! One file a page: what the desk says, in words and pictures.

mod api_page;
mod cab;
mod copy;
mod cost;
mod counts;
mod entries;
mod entry;
mod field;
mod first_pass;
mod form;
mod import;
mod look;
mod morning;
mod night;
mod pad;
mod people;
mod ready;
mod safe;
mod settings;
mod slip;
mod speed;
mod start;
mod stops;
mod ticket;
mod tickets;
mod units;
mod winter;
mod write;
use crate::House;
use axum::Router;

/// Every page.
pub(crate) fn routes() -> Router<House> {
    Router::new()
        .merge(import::routes())
        .merge(first_pass::routes())
        .merge(pad::routes())
        .merge(units::routes())
        .merge(api_page::routes())
        .merge(copy::routes())
        .merge(counts::routes())
        .merge(stops::routes())
        .merge(ready::routes())
        .merge(settings::routes())
        .merge(cost::routes())
        .merge(tickets::routes())
        .merge(field::routes())
        .merge(winter::routes())
        .merge(start::routes())
        .merge(ticket::routes())
        .merge(slip::routes())
        .merge(speed::routes())
        .merge(night::routes())
        .merge(morning::routes())
        .merge(entry::routes())
        .merge(entries::routes())
        .merge(cab::routes())
        .merge(look::routes())
        .merge(people::routes())
        .merge(safe::routes())
        .merge(write::routes())
}
