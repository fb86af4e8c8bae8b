//! The results behind the pages, as JSON with units in the keys: what `stook --json` prints.

use crate::door::Who;
use crate::{House, Refusal};
use axum::extract::{Query, State};
use axum::routing::get;
use axum::{Json, Router};
use serde::Deserialize;
use serde_json::Value;

#[derive(Deserialize)]
struct Asked {
    season: Option<u16>,
    day: Option<String>,
}

pub(super) fn json(result: &impl serde::Serialize) -> Result<Json<Value>, Refusal> {
    serde_json::to_value(result)
        .map(Json)
        .map_err(|_| Refusal::broken())
}

async fn morning(State(house): State<House>, _who: Who) -> Result<Json<Value>, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            json(&desk::morning::morning(&now.farm, now.now_ms)?)
        })
        .await
}

async fn night(
    State(house): State<House>,
    _who: Who,
    Query(asked): Query<Asked>,
) -> Result<Json<Value>, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            json(&desk::night::evening(
                &now.farm,
                now.now_ms,
                asked.day.as_deref(),
            )?)
        })
        .await
}

async fn square(
    State(house): State<House>,
    _who: Who,
    Query(asked): Query<Asked>,
) -> Result<Json<Value>, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            let year = asked.season.or_else(|| now.farm.latest_season());
            let Some(year) = year else {
                return Err(Refusal::not_found("a season with a slip"));
            };
            let squaring = house.keep(&format!("square {year}"), &now, |farm| {
                Ok(desk::square(&desk::season(farm, year)?, desk::LEVEL)?)
            })?;
            json(&*squaring)
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/api/morning", get(morning))
        .route("/api/night", get(night))
        .route("/api/square", get(square))
}
