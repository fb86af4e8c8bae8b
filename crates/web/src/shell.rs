//! The frame around every page, and what is said when a page cannot be given.

use crate::door::{Role, Who};
use crate::look::Look;
use crate::text::Text;
use askama::Template;
use axum::extract::Request;
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::{Html, IntoResponse, Response};

/// Which part of the day a page belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tab {
    /// Morning.
    Morning,
    /// Cab.
    Cab,
    /// Night.
    Night,
    /// Winter.
    Winter,
    /// None of them.
    #[default]
    Other,
}

/// What `frame.html` needs of every page.
#[derive(Debug, Clone, Default)]
pub struct Frame {
    /// Words.
    pub text: Text,
    /// How it is read.
    pub look: Look,
    /// The page's title.
    pub title: String,
    /// Beside the name in the running head: the day or the field.
    pub dateline: String,
    /// Which part of the day it is.
    pub tab: Tab,
    /// Who reads it, if anybody came in.
    pub who: Option<Who>,
}

impl Frame {
    /// A frame for a page that somebody who came in reads.
    pub fn new(look: Look, who: &Who, tab: Tab, title: impl Into<String>) -> Self {
        Self {
            text: look.text,
            look,
            title: title.into(),
            dateline: String::new(),
            tab,
            who: Some(who.clone()),
        }
    }

    /// The same frame with the day or the field in its running head.
    #[must_use]
    pub fn dated(mut self, dateline: impl Into<String>) -> Self {
        self.dateline = dateline.into();
        self
    }

    /// The `data-theme`, if the reader chose one.
    pub fn theme(&self) -> &'static str {
        self.look.light.theme().unwrap_or("")
    }

    /// Whether a tab is the page's own.
    pub fn here(&self, tab: &str) -> bool {
        matches!(
            (self.tab, tab),
            (Tab::Morning, "morning")
                | (Tab::Cab, "cab")
                | (Tab::Night, "night")
                | (Tab::Winter, "winter")
        )
    }

    /// Whether the reader chose this light ("" is the device's own).
    pub fn lit(&self, light: &str) -> bool {
        self.look.light.theme().unwrap_or("") == light
    }

    /// Whether the reader works on the farm: owner or helper.
    pub fn hands(&self) -> bool {
        self.who
            .as_ref()
            .is_some_and(|who| who.role != Role::Reader)
    }

    /// Whether the reader may look at what fields made: owner or reader.
    pub fn reads(&self) -> bool {
        self.who
            .as_ref()
            .is_some_and(|who| who.role != Role::Helper)
    }

    /// Whether the reader owns the farm.
    pub fn owner(&self) -> bool {
        self.who.as_ref().is_some_and(|who| who.role == Role::Owner)
    }
}

/// Makes the page from its template.
///
/// # Errors
/// A template that cannot be written out.
pub(crate) fn page(template: &impl Template) -> Result<Response, Refusal> {
    let text = template.render().map_err(|_| Refusal::broken())?;
    Ok(Html(text).into_response())
}

/// Something that is not given or not taken: a status, and one sentence to act on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// The status.
    pub status: StatusCode,
    /// What was found, what was expected, what to do.
    pub sentence: String,
}

impl Refusal {
    /// A refusal with a sentence of its own.
    pub fn new(status: StatusCode, sentence: impl Into<String>) -> Self {
        Self {
            status,
            sentence: sentence.into(),
        }
    }
    /// Nobody is known by this device.
    pub fn not_paired() -> Self {
        Self::new(
            StatusCode::UNAUTHORIZED,
            "this device is not paired with the farm's book; ask the owner for a pairing code",
        )
    }
    /// Nothing of that name.
    pub fn not_found(what: impl std::fmt::Display) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            format!("{what} is not here; go back and choose again"),
        )
    }
    /// A role that may not.
    pub fn not_allowed() -> Self {
        Self::new(
            StatusCode::FORBIDDEN,
            "this is for the owner of the book; ask the owner",
        )
    }
    /// Something of ours went wrong; what was typed is not lost by going back.
    pub fn broken() -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "the page could not be made; go back, and look the book over with stook book check",
        )
    }
}

impl From<desk::DeskError> for Refusal {
    fn from(why: desk::DeskError) -> Self {
        let status = match &why {
            desk::DeskError::Book(_) => StatusCode::INTERNAL_SERVER_ERROR,
            desk::DeskError::NotInBook { .. } | desk::DeskError::Entry(_) => StatusCode::NOT_FOUND,
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        Self::new(status, why.to_string())
    }
}
impl From<book::BookError> for Refusal {
    fn from(why: book::BookError) -> Self {
        Self::from(desk::DeskError::from(why))
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut response = (self.status, self.sentence.clone()).into_response();
        response.extensions_mut().insert(self);
        response
    }
}

#[derive(Template)]
#[template(path = "refused.html")]
struct Refused {
    frame: Frame,
    sentence: String,
}

/// Turns a refusal into a page, or into JSON under `/api/`.
pub(crate) async fn frame_refusals(request: Request, next: Next) -> Response {
    let look = Look::of(request.headers());
    let who = request.extensions().get::<Who>().cloned();
    let api = request.uri().path().starts_with("/api/");
    let response = next.run(request).await;
    let Some(refusal) = response.extensions().get::<Refusal>().cloned() else {
        return response;
    };
    let (parts, _) = response.into_parts();
    let mut framed = if api {
        let body = serde_json::json!({ "error": refusal.sentence });
        let mut framed = Response::new(body.to_string().into());
        framed
            .headers_mut()
            .insert(CONTENT_TYPE, HeaderValue::from_static("application/json"));
        framed
    } else {
        let frame = Frame {
            text: look.text,
            look,
            title: look.text.say("Not done").into_owned(),
            who,
            ..Frame::default()
        };
        match (Refused {
            frame,
            sentence: look.text.say(&refusal.sentence).into_owned(),
        })
        .render()
        {
            Ok(text) => Html(text).into_response(),
            Err(_) => refusal.sentence.clone().into_response(),
        }
    };
    *framed.status_mut() = refusal.status;
    for (name, value) in &parts.headers {
        if name != CONTENT_TYPE && name != axum::http::header::CONTENT_LENGTH {
            framed.headers_mut().insert(name, value.clone());
        }
    }
    framed
}
