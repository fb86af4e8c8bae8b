//! What is safe to open to whom, in plain words.

use crate::door::Who;
use crate::shell::page;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;

#[derive(Template)]
#[template(path = "safe.html")]
struct Safe {
    frame: Frame,
    now: String,
    owner: bool,
}

async fn safe(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    let text = look.text;
    let now = match &house.door().links().phones {
        None => text
            .say("Now only this computer reaches the day.")
            .into_owned(),
        Some(address) => text.with(
            "Now phones reach the day at {0}, and only paired ones see anything.",
            address,
        ),
    };
    page(&Safe {
        owner: who.owns(),
        frame: Frame::new(look, &who, Tab::Other, text.say("What is safe")),
        now,
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/safe", get(safe))
}
