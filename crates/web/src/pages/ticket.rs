//! A photographed ticket that nobody typed yet: on to the form of a weigh ticket, with its photograph
//! and what the driver said was emptied; its figures are left blank.

use crate::{House, Refusal};
use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;

async fn ticket(
    State(house): State<House>,
    Path(sha256): Path<String>,
) -> Result<Response, Refusal> {
    let now = house.now()?;
    let kept = now
        .farm
        .files
        .iter()
        .find(|one| one.says.sha256.to_string() == sha256)
        .ok_or_else(|| Refusal::not_found("the photograph"))?;
    let mut address = format!("/write/weighed?paper={sha256}&next=/night");
    for name in &kept.says.of {
        let what = if now.farm.buyers.contains_key(name) {
            "buyer"
        } else {
            "from"
        };
        if what == "buyer" || now.farm.places.contains_key(name) {
            address.push('&');
            address.push_str(what);
            address.push('=');
            address.push_str(&super::winter::in_path(name.as_str()));
        }
    }
    Ok(Redirect::to(&address).into_response())
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/night/ticket/{sha256}", get(ticket))
}
