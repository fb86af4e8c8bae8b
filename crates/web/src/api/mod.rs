//! What phones and programs ask for: JSON in and out.

mod live;

use crate::House;
use axum::Router;

/// Every address under `/api/`.
pub(crate) fn routes() -> Router<House> {
    Router::new().merge(live::routes())
}
