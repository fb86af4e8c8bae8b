//! The door itself: what every request passes before a page is asked.
//!
//! In this order, so that nothing of the book is read for a stranger: the host is ours, no other
//! site's page sent it, a session stands, the table lets this role in, the body is not too large.
//! A stranger gets the same answer for every address, whether there is such a page or not.

use super::hosts::{Here, Wire};
use super::role::{Need, Who};
use super::routes::{Route, find};
use super::{body, cookie, enter, fetch, headers};
use crate::{House, Look, Refusal};
use axum::extract::{
    ConnectInfo, DefaultBodyLimit, FromRequestParts, MatchedPath, RawPathParams, Request, State,
};
use axum::http::header::{CONNECTION, SET_COOKIE};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};

/// The address that tries are counted under.
#[derive(Debug, Clone, Copy)]
pub struct Peer(pub IpAddr);

/// Where the request came from. Behind the user's own proxy it is the last address that the proxy
/// wrote down; nobody else is believed about addresses.
fn peer(parts: &Parts, here: &Here) -> Peer {
    let wire = parts
        .extensions
        .get::<ConnectInfo<SocketAddr>>()
        .map_or(IpAddr::from(Ipv4Addr::LOCALHOST), |info| info.0.ip());
    if !here.behind {
        return Peer(wire);
    }
    let told = parts
        .headers
        .get_all("x-forwarded-for")
        .iter()
        .next_back()
        .and_then(|value| value.to_str().ok()?.rsplit(',').next()?.trim().parse().ok());
    Peer(told.unwrap_or(wire))
}

/// One plain sentence.
fn plain(status: StatusCode, look: Look, sentence: &str) -> Response {
    (status, format!("{}\n", look.text.say(sentence))).into_response()
}

pub(super) fn wrong_host(look: Look) -> Response {
    let sentence = "This address is not one that stook answers to: open the book again from the computer that serves it, or name your own host with --behind.";
    plain(StatusCode::MISDIRECTED_REQUEST, look, sentence)
}

fn from_elsewhere(look: Look) -> Response {
    let sentence = "This was sent by another site or without saying where from: open the page here and send it again.";
    plain(StatusCode::FORBIDDEN, look, sentence)
}

/// The session of a request, and whether "last heard" is due.
fn known(house: &House, headers: &HeaderMap, here: &Here) -> Option<(Who, bool)> {
    let door = house.door();
    let token = cookie::token(headers, door.mark(), here.secure)?;
    door.access().who(token, house.now_ms())
}

/// What a route asks of this caller; `Ok` with the route, or the answer.
async fn allowed(
    parts: &mut Parts,
    who: Option<&Who>,
    look: Look,
) -> Result<&'static Route, Response> {
    let pattern = parts.extensions.get::<MatchedPath>();
    let route = pattern.and_then(|path| find(&parts.method, path.as_str()));
    let open = route.is_some_and(|route| route.need == Need::Anyone);
    let Some(who) = who else {
        return match route {
            Some(route) if open => Ok(route),
            _ if parts.uri.path().starts_with("/api/") => {
                Err(Refusal::not_paired().into_response())
            }
            _ => Err(enter::unpaired(look)),
        };
    };
    let Some(route) = route else {
        return Err(Refusal::not_found("the page").into_response());
    };
    let field = match RawPathParams::from_request_parts(parts, &()).await {
        Ok(params) => params
            .iter()
            .find(|(name, _)| *name == "field")
            .map(|(_, value)| value.to_owned()),
        Err(_) => return Err(Refusal::not_found("the page").into_response()),
    };
    if who.may(route.need, field.as_deref()) {
        Ok(route)
    } else {
        Err(Refusal::not_allowed().into_response())
    }
}

/// Writes "last heard" and slides the cookie on; a disk that fails must not stop the work.
async fn heard(house: &House, who: &Who, here: &Here, token: String, response: &mut Response) {
    let session = who.session.clone();
    let done = house.run(move |house| {
        let now_ms = house.now_ms();
        Ok(house.door().access().heard(&session, now_ms)?)
    });
    let line = cookie::set(house.door().mark(), here.secure, &token);
    if let (Ok(()), Ok(line)) = (done.await, HeaderValue::from_str(&line)) {
        // a handler that sets or ends the session itself has the last word
        let name = cookie::name(house.door().mark(), here.secure);
        let said = response.headers().get_all(SET_COOKIE).iter().any(|value| {
            value
                .to_str()
                .is_ok_and(|value| value.starts_with(&format!("{name}=")))
        });
        if !said {
            response.headers_mut().append(SET_COOKIE, line);
        }
    }
}

/// The outer half: the host, and who sent it. Every response leaves through here and is dressed.
pub(super) async fn outside(
    State(house): State<House>,
    mut request: Request,
    next: Next,
) -> Response {
    let look = Look::of(request.headers());
    let wire = request
        .extensions()
        .get::<Wire>()
        .copied()
        .unwrap_or_default();
    let here = house
        .door()
        .hosts()
        .here(wire, request.uri(), request.headers());
    let mut response = match &here {
        None => wrong_host(look),
        Some(here) if fetch::foreign(request.method(), request.headers(), here) => {
            from_elsewhere(look)
        }
        Some(here) => {
            request.extensions_mut().insert(here.clone());
            next.run(request).await
        }
    };
    headers::dress(response.headers_mut(), here.as_ref());
    response
}

/// The inner half: the session, the role, the body.
pub(super) async fn inside(State(house): State<House>, request: Request, next: Next) -> Response {
    let look = Look::of(request.headers());
    let Some(here) = request.extensions().get::<Here>().cloned() else {
        return wrong_host(look); // the outer half was left out: nothing is let in
    };
    let (mut parts, bytes) = request.into_parts();
    let known = known(&house, &parts.headers, &here);
    let who = known.as_ref().map(|(who, _)| who);
    let route = match allowed(&mut parts, who, look).await {
        Ok(route) => route,
        Err(response) => return response,
    };
    let peer = peer(&parts, &here);
    let token = cookie::token(&parts.headers, house.door().mark(), here.secure).map(str::to_owned);
    let mut request = Request::from_parts(parts, bytes);
    DefaultBodyLimit::disable().apply(&mut request); // the table's own limit holds instead
    let (mut request, verdict) = match body::watch(request, route.room.0) {
        Ok(watched) => watched,
        Err(status) => return too_much(status, look),
    };
    request.extensions_mut().insert(peer);
    if let Some(who) = who {
        request.extensions_mut().insert(who.clone());
    }
    let mut response = next.run(request).await;
    if let Some(status) = verdict.status() {
        response = too_much(status, look);
    }
    if let (Some((who, true)), Some(token)) = (&known, token) {
        heard(&house, who, &here, token, &mut response).await;
    }
    response
}

/// A body that was not read to its end; the connection is of no more use.
fn too_much(status: StatusCode, look: Look) -> Response {
    let sentence = match status {
        StatusCode::PAYLOAD_TOO_LARGE => {
            "This is larger than what is taken here: send it in smaller pieces."
        }
        StatusCode::REQUEST_TIMEOUT => {
            "This came too slowly and was given up: send it again where the signal is better."
        }
        _ => "This could not be read: send it again.",
    };
    let mut response = plain(status, look, sentence);
    response
        .headers_mut()
        .insert(CONNECTION, HeaderValue::from_static("close"));
    response
}
