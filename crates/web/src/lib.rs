//! The day on a screen: Morning, Cab, Night, Winter; the phone's sync; people and their roles.
//!
//! The only door to HTTP, and no arithmetic: every figure comes from [`desk`], every picture from
//! [`draw`]. Pages are server-rendered from typed templates; what must be alive is plain ES modules;
//! everything is carried in the binary, and no page asks anything of the outside.
//!
//! - [`House`]: the book behind one lock, the farm as last read, the clock;
//! - [`door`]: who may come in: hosts, sessions, roles, pairing, certificates;
//! - [`Text`], [`Look`]: language, units and light of a reader;
//! - `pages`: one file a page; `api`: JSON for phones and programs; `assets`: carried files.

mod api;
mod assets;
mod dates;
pub mod door;
mod figures;
mod house;
mod look;
mod pages;
#[cfg(test)]
mod pages_day;
#[cfg(test)]
mod pages_start;
mod serve;
mod shell;
mod text;

pub use house::{House, Now, SharedClock};
pub use look::{Light, Look, Units};
pub use serve::{Said, Settings, WebError, serve};
pub use shell::{Frame, Refusal, Tab};
pub use text::{Language, Markup, Text};

use axum::Router;

/// Everything that can be asked, before the door stands in front of it.
pub(crate) fn rooms(house: House) -> Router {
    Router::new()
        .merge(assets::routes())
        .merge(door::entering())
        .merge(pages::routes())
        .merge(api::routes())
        .fallback(|| async { Refusal::not_found("the page") })
        .layer(axum::middleware::from_fn(shell::frame_refusals))
        .with_state(house)
}
