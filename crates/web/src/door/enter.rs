//! Coming in: by the owner's own link, by a pairing code, by name and passphrase; and going out.
//!
//! None of these pages says anything of the book. A wrong, an old and a used code get one and the
//! same answer, and so do an unknown name and a wrong passphrase.

use super::access::Opened;
use super::guard::Peer;
use super::hosts::Here;
use super::role::{Role, Who};
use super::{DoorError, cookie, token};
use crate::shell::page;
use crate::{Frame, House, Look, Refusal};
use askama::Template;
use axum::extract::{Form, Path, Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, SET_COOKIE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Router};
use serde::Deserialize;

#[derive(Deserialize)]
struct Once {
    #[serde(default)]
    once: String,
}

#[derive(Deserialize, Default)]
struct Code {
    #[serde(default)]
    code: String,
    #[serde(default)]
    device: String,
}

#[derive(Deserialize, Default)]
struct SignIn {
    #[serde(default)]
    name: String,
    #[serde(default)]
    passphrase: String,
    #[serde(default)]
    device: String,
}

#[derive(Template)]
#[template(path = "pair.html")]
struct Pair {
    frame: Frame,
    code: String,
    invited: Option<String>,
    wrong: Option<String>,
}

#[derive(Template)]
#[template(path = "sign_in.html")]
struct SignInPage {
    frame: Frame,
    name: String,
    wrong: Option<String>,
}

#[derive(Template)]
#[template(path = "pair_first.html")]
struct Unpaired {
    frame: Frame,
}

/// What a phone needs to know to trust the farm's certificate.
#[derive(Template)]
#[template(path = "certificate.html")]
struct Certificate {
    frame: Frame,
    fingerprint: Vec<String>,
    scope: Vec<String>,
    file: &'static str,
    phones: String,
}

/// The same without the day's head and foot.
#[derive(Template)]
#[template(path = "certificate_plain.html")]
struct CertificatePlain {
    frame: Frame,
    fingerprint: Vec<String>,
    scope: Vec<String>,
    file: &'static str,
    phones: String,
}

/// A frame for somebody who may not have come in.
fn frame(look: Look, title: &str, who: Option<Who>) -> Frame {
    Frame {
        text: look.text,
        look,
        title: title.to_owned(),
        who,
        ..Frame::default()
    }
}

/// What a role may do, as one word of the reader's.
pub(crate) fn role_key(role: Role) -> &'static str {
    match role {
        Role::Owner => "owner",
        Role::Helper => "helper",
        Role::Reader => "reader",
    }
}

/// The answer to whoever is not paired, for every address alike.
pub(super) fn unpaired(look: Look) -> Response {
    let frame = frame(look, &look.text.say("Not paired"), None);
    let mut response = Unpaired { frame }.render().map_or_else(
        |_| StatusCode::UNAUTHORIZED.into_response(),
        |text| Html(text).into_response(),
    );
    *response.status_mut() = StatusCode::UNAUTHORIZED;
    response
}

/// Where somebody who came in is led.
fn home(role: Role) -> &'static str {
    match role {
        Role::Owner => "/",
        Role::Helper => "/cab",
        Role::Reader => "/winter",
    }
}

/// On with a session: the cookie, the person's language, and away from an address that holds a
/// secret.
fn come_in(house: &House, here: &Here, opened: &Opened) -> Result<Response, Refusal> {
    let mut response = Redirect::to(home(opened.who.role)).into_response();
    let mut lines = vec![cookie::set(house.door().mark(), here.secure, &opened.token)];
    if let Some(language) = &opened.who.language {
        lines.push(format!(
            "language={language}; Path=/; Max-Age=31536000; SameSite=Strict"
        ));
    }
    for line in lines {
        let line = HeaderValue::from_str(&line).map_err(|_| Refusal::broken())?;
        response.headers_mut().append(SET_COOKIE, line);
    }
    Ok(response)
}

/// Does one try within its limit; a try that succeeds is given back. `None` without any try left.
async fn tried<T: Send + 'static>(
    house: &House,
    peer: Peer,
    sign_in: bool,
    work: impl FnOnce(&House, i64) -> Result<T, DoorError> + Send + 'static,
) -> Result<Result<T, DoorError>, Refusal> {
    house
        .run(move |house| {
            let limits = &house.door().access().limits;
            let limit = if sign_in {
                &limits.sign_in
            } else {
                &limits.pair
            };
            let now_ms = house.now_ms();
            if !limit.take(peer.0, now_ms) {
                return Ok(Err(DoorError::Slow));
            }
            let done = work(house, now_ms);
            if done.is_ok() {
                limit.give_back(peer.0);
            }
            Ok(done)
        })
        .await
}

async fn enter(
    State(house): State<House>,
    Extension(peer): Extension<Peer>,
    Extension(here): Extension<Here>,
    who: Option<Who>,
    look: Look,
    Query(asked): Query<Once>,
) -> Result<Response, Refusal> {
    let device = look.text.say("this computer").into_owned();
    let entered = tried(&house, peer, false, move |house, now_ms| {
        let access = house.door().access();
        access.enter(&asked.once, &device, who.as_ref(), now_ms)
    });
    match entered.await? {
        Ok(Some(opened)) => come_in(&house, &here, &opened),
        Ok(None) => Ok(Redirect::to("/").into_response()),
        Err(why @ DoorError::Code) => Err(Refusal {
            sentence: "this link does not open anything; it may be used or older than 5 minutes, so start stook serve again for a new one".to_owned(),
            ..Refusal::from(why)
        }),
        Err(why) => Err(why.into()),
    }
}

/// The pairing page with what is wrong, if anything.
fn pair_page(
    look: Look,
    code: String,
    invited: Option<(String, Role)>,
    wrong: Option<&DoorError>,
) -> Result<Response, Refusal> {
    let status = wrong.map(status);
    let mut response = page(&Pair {
        frame: frame(look, &look.text.say("Pair this phone"), None),
        code,
        invited: invited.map(|(person, role)| {
            let role = look.text.say(role_key(role));
            look.text
                .fill("Pair this phone for {0}, {1}.", &[&person, &role])
        }),
        wrong: wrong.map(|why| look.text.say(&why.to_string()).into_owned()),
    })?;
    if let Some(status) = status {
        *response.status_mut() = status;
    }
    Ok(response)
}

fn status(why: &DoorError) -> StatusCode {
    match why {
        DoorError::Slow => StatusCode::TOO_MANY_REQUESTS,
        _ => StatusCode::FORBIDDEN,
    }
}

async fn pair_form(
    State(house): State<House>,
    Extension(peer): Extension<Peer>,
    look: Look,
    Query(asked): Query<Code>,
) -> Result<Response, Refusal> {
    if asked.code.trim().is_empty() {
        return pair_page(look, String::new(), None, None);
    }
    let code = asked.code.clone();
    let invited = tried(&house, peer, false, move |house, now_ms| {
        house.door().access().invited(&code, now_ms)
    });
    match invited.await? {
        Ok(invited) => {
            let code = token::typed_code(&asked.code).unwrap_or_default();
            pair_page(look, code, Some((invited.person, invited.role)), None)
        }
        Err(why) => pair_page(look, String::new(), None, Some(&why)),
    }
}

async fn pair(
    State(house): State<House>,
    Extension(peer): Extension<Peer>,
    Extension(here): Extension<Here>,
    look: Look,
    Form(typed): Form<Code>,
) -> Result<Response, Refusal> {
    let opened = tried(&house, peer, false, move |house, now_ms| {
        let access = house.door().access();
        access.pair(&typed.code, &typed.device, now_ms)
    });
    match opened.await? {
        Ok(opened) => come_in(&house, &here, &opened),
        Err(why) => pair_page(look, String::new(), None, Some(&why)),
    }
}

fn sign_in_page(look: Look, name: String, wrong: Option<&DoorError>) -> Result<Response, Refusal> {
    let mut response = page(&SignInPage {
        frame: frame(look, &look.text.say("Sign in"), None),
        name,
        wrong: wrong.map(|why| look.text.say(&why.to_string()).into_owned()),
    })?;
    if let Some(why) = wrong {
        *response.status_mut() = status(why);
    }
    Ok(response)
}

async fn sign_in_form(look: Look) -> Result<Response, Refusal> {
    sign_in_page(look, String::new(), None)
}

async fn sign_in(
    State(house): State<House>,
    Extension(peer): Extension<Peer>,
    Extension(here): Extension<Here>,
    look: Look,
    Form(typed): Form<SignIn>,
) -> Result<Response, Refusal> {
    let name = typed.name.clone();
    let opened = tried(&house, peer, true, move |house, now_ms| {
        let access = house.door().access();
        access.sign_in(&typed.name, &typed.passphrase, &typed.device, now_ms)
    });
    match opened.await? {
        Ok(opened) => come_in(&house, &here, &opened),
        Err(why) => sign_in_page(look, name, Some(&why)),
    }
}

/// Ends this device's session. What waits on the device is left there: it is not ours to wipe.
async fn sign_out(
    State(house): State<House>,
    Extension(here): Extension<Here>,
    who: Who,
) -> Result<Response, Refusal> {
    house
        .run(move |house| {
            let now_ms = house.now_ms();
            Ok(house.door().access().revoke(&who.session, now_ms)?)
        })
        .await?;
    let line = cookie::clear(house.door().mark(), here.secure);
    let mut response = Redirect::to("/sign-in").into_response();
    let line = HeaderValue::from_str(&line).map_err(|_| Refusal::broken())?;
    response.headers_mut().append(SET_COOKIE, line);
    Ok(response)
}

async fn certificate(
    State(house): State<House>,
    look: Look,
    who: Option<Who>,
) -> Result<Response, Refusal> {
    let door = house.door();
    let shown = door.certificate();
    let shown = shown.ok_or_else(|| Refusal::not_found("the certificate"))?;
    page(&Certificate {
        frame: frame(look, &look.text.say("The farm's certificate"), who),
        fingerprint: shown.fingerprint.clone(),
        scope: shown.scope.clone(),
        file: "/certificate/farm.crt",
        phones: String::new(),
    })
}

/// The page of the plain port.
pub(super) async fn certificate_plain(
    State(house): State<House>,
    look: Look,
) -> Result<Response, Refusal> {
    let door = house.door();
    let shown = door.certificate();
    let shown = shown.ok_or_else(|| Refusal::not_found("the certificate"))?;
    page(&CertificatePlain {
        frame: frame(look, &look.text.say("The farm's certificate"), None),
        fingerprint: shown.fingerprint.clone(),
        scope: shown.scope.clone(),
        file: "/farm.crt",
        phones: door.links().phones.clone().unwrap_or_default(),
    })
}

/// The certificate itself, as phones take it.
pub(super) async fn certificate_file(State(house): State<House>) -> Result<Response, Refusal> {
    let shown = house.door().certificate();
    let shown = shown.ok_or_else(|| Refusal::not_found("the certificate"))?;
    let headers = [
        (CONTENT_TYPE, "application/x-x509-ca-cert"),
        (
            CONTENT_DISPOSITION,
            "attachment; filename=\"stook-farm.crt\"",
        ),
    ];
    Ok((headers, shown.der.clone()).into_response())
}

async fn certificate_named(
    State(house): State<House>,
    Path(file): Path<String>,
) -> Result<Response, Refusal> {
    if file == "farm.crt" {
        certificate_file(State(house)).await
    } else {
        Err(Refusal::not_found("the file"))
    }
}

/// Every address of coming and going.
pub(crate) fn routes() -> Router<House> {
    Router::new()
        .route("/enter", get(enter))
        .route("/pair", get(pair_form).post(pair))
        .route("/sign-in", get(sign_in_form).post(sign_in))
        .route("/sign-out", post(sign_out))
        .route("/certificate", get(certificate))
        .route("/certificate/{file}", get(certificate_named))
}
