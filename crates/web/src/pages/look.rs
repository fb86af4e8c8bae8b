//! The choices at the foot of every page: light, units, language.

use crate::House;
use axum::Router;
use axum::extract::Form;
use axum::http::HeaderMap;
use axum::http::header::{REFERER, SET_COOKIE};
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};
use axum::routing::post;
use serde::Deserialize;

#[derive(Deserialize)]
struct Choice {
    light: Option<String>,
    units: Option<String>,
    language: Option<String>,
}

/// Kept for a year.
const AGE: &str = "Path=/; Max-Age=31536000; SameSite=Strict";

async fn choose(headers: HeaderMap, Form(choice): Form<Choice>) -> Response {
    let mut cookies = Vec::new();
    let mut keep = |name: &str, value: Option<&str>, known: &[&str]| {
        if let Some(value) = value.filter(|value| known.contains(value)) {
            cookies.push((SET_COOKIE, format!("{name}={value}; {AGE}")));
        }
    };
    keep(
        "light",
        choice.light.as_deref(),
        &["device", "light", "dark", "sun"],
    );
    keep("units", choice.units.as_deref(), &["us", "metric"]);
    keep("language", choice.language.as_deref(), &["en", "es"]);
    let back = headers
        .get(REFERER)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.parse::<axum::http::Uri>().ok())
        .and_then(|uri| uri.path_and_query().map(ToString::to_string))
        // two slashes would lead to another host
        .filter(|back| back.starts_with('/') && !back.starts_with("//"))
        .unwrap_or_else(|| "/".to_owned());
    (AppendHeaders(cookies), Redirect::to(&back)).into_response()
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/look", post(choose))
}
