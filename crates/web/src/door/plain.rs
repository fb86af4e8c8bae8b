//! The plain port on the farm's network: the farm's certificate and how to install it, nothing else.
//!
//! A phone cannot come by HTTPS before it trusts the certificate, so this one page is plain. Somebody
//! on the network could change it on its way, and the certificate with it; that is why the page and
//! the owner's computer both show the fingerprint, and the page says to compare them. Nothing of the
//! book is here, no cookie is read or set, and nothing is redirected to HTTPS.

use super::{enter, headers};
use crate::{House, Look, assets};
use axum::Router;
use axum::extract::{Request, State};
use axum::http::{Method, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

/// Everything that this port answers.
const PATHS: [&str; 5] = [
    "/",
    "/farm.crt",
    "/static/look.css",
    "/static/pages.css",
    "/static/door.css",
];

async fn only(State(house): State<House>, request: Request, next: Next) -> Response {
    let look = Look::of(request.headers());
    let hosts = house.door().hosts();
    let here = hosts.here(super::hosts::Wire::Tls, request.uri(), request.headers());
    let reads = request.method() == Method::GET || request.method() == Method::HEAD;
    let mut response = if here.is_none() {
        super::guard::wrong_host(look)
    } else if reads && PATHS.contains(&request.uri().path()) {
        next.run(request).await
    } else {
        StatusCode::NOT_FOUND.into_response()
    };
    headers::dress(response.headers_mut(), None);
    response
}

/// The port's pages.
pub(super) fn app(house: House) -> Router {
    Router::new()
        .route("/", get(enter::certificate_plain))
        .route("/farm.crt", get(enter::certificate_file))
        .merge(assets::routes())
        .with_state(house.clone())
        .layer(from_fn_with_state(house, only))
}
