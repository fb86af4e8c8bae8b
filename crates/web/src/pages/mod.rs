//! One file a page: what the desk says, in words and pictures.

mod cab;
mod look;

use crate::House;
use axum::Router;

/// Every page.
pub(crate) fn routes() -> Router<House> {
    Router::new().merge(cab::routes()).merge(look::routes())
}
