//! The Cab: one document that works with no network; the service worker keeps it in the phone.
//!
//! It says nothing of the farm: all that changes comes from `/api/cab` and stays in the phone. The
//! same document is given for every screen, which the page chooses by the hash.

use crate::{House, Look, Refusal, Text};
use askama::Template;
use axum::Router;
use axum::response::Response;
use axum::routing::get;

#[derive(Template)]
#[template(path = "cab.html")]
struct Page {
    text: Text,
    theme: &'static str,
}

async fn cab(look: Look) -> Result<Response, Refusal> {
    crate::shell::page(&Page {
        text: look.text,
        theme: look.light.theme().unwrap_or(""),
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/cab", get(cab))
}
