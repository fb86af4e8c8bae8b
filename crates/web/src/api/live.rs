//! News as it happens: an event whenever the book has grown.

use crate::House;
use axum::Router;
use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::routing::get;
use std::convert::Infallible;
use std::time::Duration;
use tokio_stream::wrappers::WatchStream;
use tokio_stream::{Stream, StreamExt};

async fn live(State(house): State<House>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let news = WatchStream::new(house.watch()).map(|entries| {
        Ok(Event::default()
            .event("book")
            .data(format!("{{\"entries\":{entries}}}")))
    });
    Sse::new(news).keep_alive(KeepAlive::new().interval(Duration::from_secs(20)))
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/api/live", get(live))
}
