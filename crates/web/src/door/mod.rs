//! Who may come in: people, roles, sessions, hosts.

use std::fmt;

/// What a person may do.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Everything.
    Owner,
    /// Adds entries and sees the day.
    Helper,
    /// Reads what the owner has opened to them.
    Reader,
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Owner => "owner",
            Self::Helper => "helper",
            Self::Reader => "reader",
        })
    }
}

/// Who asks: the person and device of the session. Put into the request by the door.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who {
    /// The person's name; signs what they write.
    pub person: String,
    /// What they may do.
    pub role: Role,
    /// What their device is called.
    pub device: String,
}

impl<S: Send + Sync> axum::extract::FromRequestParts<S> for Who {
    type Rejection = crate::Refusal;
    async fn from_request_parts(
        parts: &mut axum::http::request::Parts,
        _state: &S,
    ) -> Result<Self, Self::Rejection> {
        parts
            .extensions
            .get::<Self>()
            .cloned()
            .ok_or_else(crate::Refusal::not_paired)
    }
}

/// Who may come in to one book.
#[derive(Debug, Default)]
pub struct Door {}

/// Puts the door before the rooms.
pub(crate) fn guard(rooms: axum::Router) -> axum::Router {
    // until sessions are there, whoever asks on loopback is the owner
    rooms.layer(axum::middleware::from_fn(
        |mut request: axum::extract::Request, next: axum::middleware::Next| async move {
            request.extensions_mut().insert(Who {
                person: "owner".to_owned(),
                role: Role::Owner,
                device: "this computer".to_owned(),
            });
            next.run(request).await
        },
    ))
}
