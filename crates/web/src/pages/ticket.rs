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
            address.push_str(&encoded(name.as_str()));
        }
    }
    Ok(Redirect::to(&address).into_response())
}

/// Text as an address carries it (RFC 3986: all but unreserved letters as %XX).
fn encoded(text: &str) -> String {
    use std::fmt::Write as _;
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/night/ticket/{sha256}", get(ticket))
}

#[cfg(test)]
mod tests {
    use super::encoded;

    #[test]
    fn a_name_survives_an_address() {
        assert_eq!(encoded("Red wagon & co"), "Red%20wagon%20%26%20co");
    }
}
