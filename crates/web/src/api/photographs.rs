//! Photographs: taken from phones by their SHA-256, given back to pages.

use crate::{House, Refusal};
use axum::Router;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, put};
use book::Sha256Key;
use desk::sync::{MOST_PHOTOGRAPH_BYTES, picture_type};

async fn take(
    State(house): State<House>,
    Path(name): Path<String>,
    body: Bytes,
) -> Result<StatusCode, Refusal> {
    let odd = |why: &str| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why.to_owned());
    let key = Sha256Key::parse(&name)?;
    if body.len() > MOST_PHOTOGRAPH_BYTES {
        return Err(Refusal::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "the photograph is larger than 6 MB; take it again smaller",
        ));
    }
    if picture_type(&body).is_none() {
        return Err(odd(
            "the photograph is not a JPEG, PNG or WebP picture; take it again",
        ));
    }
    house
        .run(move |house| {
            if Sha256Key::of(&body) != key {
                return Err(Refusal::new(
                    StatusCode::CONFLICT,
                    "the photograph did not arrive whole; it is sent again",
                ));
            }
            house.with_book(|book, _, _| {
                book.attach(&body)?;
                Ok(StatusCode::NO_CONTENT)
            })
        })
        .await
}

async fn give(State(house): State<House>, Path(name): Path<String>) -> Result<Response, Refusal> {
    let missing = || Refusal::not_found("the photograph");
    let key = Sha256Key::parse(&name).map_err(|_| missing())?;
    let bytes = house
        .run(move |house| house.with_book(|book, _, _| Ok(book.attachment(key)?)))
        .await?
        .ok_or_else(missing)?;
    let kind = picture_type(&bytes).ok_or_else(missing)?;
    let tag = HeaderValue::from_str(&format!("\"{name}\"")).map_err(|_| missing())?;
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(kind));
    // named by its content, so it never changes; private, for it is somebody's paper
    headers.insert(
        CACHE_CONTROL,
        HeaderValue::from_static("private, max-age=31536000, immutable"),
    );
    headers.insert(ETAG, tag);
    Ok(response)
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/api/photographs/{sha256}", put(take))
        .route("/photographs/{sha256}", get(give))
}
