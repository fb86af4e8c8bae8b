//! The farm as a phone needs it, to write with no network for a week.

use crate::door::Who;
use crate::{House, Refusal};
use axum::extract::{Query, State};
use axum::routing::get;
use axum::{Json, Router};
use desk::cab::{Snapshot, snapshot};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Asked {
    /// The phone's own id, so that it is not told of itself as of another.
    #[serde(default)]
    device: String,
}

async fn cab(
    State(house): State<House>,
    _who: Who,
    Query(asked): Query<Asked>,
) -> Result<Json<Snapshot>, Refusal> {
    house
        .run(move |house| {
            let now = house.now()?;
            let names = BTreeMap::new();
            Ok(Json(snapshot(
                &now.farm,
                now.now_ms,
                &asked.device,
                &names,
            )?))
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/api/cab", get(cab))
}
