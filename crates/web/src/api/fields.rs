//! What fields made, as JSON: the same results as Winter's pages. The owner's, for a sheet carries
//! whole tickets.

use super::results::json;
use crate::door::Who;
use crate::{House, Refusal};
use axum::extract::{Path, Query, State};
use axum::routing::get;
use axum::{Json, Router};
use serde::Deserialize;
use serde_json::Value;

#[derive(Deserialize)]
struct Asked {
    season: Option<u16>,
    crop: Option<String>,
}

fn season(farm: &desk::Farm, asked: &Asked) -> Result<u16, Refusal> {
    asked
        .season
        .or_else(|| farm.latest_season())
        .ok_or_else(|| Refusal::not_found("a season with a slip"))
}

async fn fields(
    State(house): State<House>,
    _who: Who,
    Query(asked): Query<Asked>,
) -> Result<Json<Value>, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            let year = season(&now.farm, &asked)?;
            json(&desk::winter::season(&now.farm, year)?)
        })
        .await
}

async fn field(
    State(house): State<House>,
    _who: Who,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Json<Value>, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            let year = season(&now.farm, &asked)?;
            json(&desk::winter::field(
                &now.farm,
                &name,
                asked.crop.as_deref(),
                year,
            )?)
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/api/fields", get(fields))
        .route("/api/field/{field}", get(field))
}
