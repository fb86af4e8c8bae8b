//! What phones and programs ask for: JSON in and out.

mod cab;
pub(crate) mod entries;
mod fields;
mod live;
pub(crate) mod openapi;
pub(crate) mod photographs;
mod results;

use crate::House;
use axum::Router;

/// Every address under `/api/`.
pub(crate) fn routes() -> Router<House> {
    Router::new()
        .merge(cab::routes())
        .merge(entries::routes())
        .merge(fields::routes())
        .merge(live::routes())
        .merge(openapi::routes())
        .merge(photographs::routes())
        .merge(results::routes())
}
