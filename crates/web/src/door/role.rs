//! Who may come in, and as what.

use crate::Refusal;
use axum::extract::{FromRequestParts, OptionalFromRequestParts};
use axum::http::request::Parts;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::convert::Infallible;

/// What a person may do here.
///
/// There are three, and no fourth that is half of one: a farm of two people has no use for a matrix
/// of rights that nobody can keep in the head.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Everything, people and devices too.
    Owner,
    /// Adds entries and sees the day; no people, no money, no settlements.
    Helper,
    /// Reads chosen fields, their tickets and settlements, once the owner has turned that on.
    Reader,
}

impl Role {
    /// All roles, for tables.
    pub const ALL: [Self; 3] = [Self::Owner, Self::Helper, Self::Reader];

    /// The word in the access file and in forms.
    pub fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Helper => "helper",
            Self::Reader => "reader",
        }
    }

    /// The role of that word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }
}

impl std::fmt::Display for Role {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

/// What a route asks of whoever calls it; each route has exactly one, in [`super::routes::ROUTES`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Need {
    /// Nobody has to be known: what pairing and signing in themselves need, and nothing of the book.
    Anyone,
    /// Any paired person, also a reader whose reading is off (to sign out, say).
    Paired,
    /// The owner or a helper.
    Hands,
    /// The owner, or a reader whose reading is on. A `{field}` in the path must then be one of the
    /// reader's fields; that is checked here, before the page is asked.
    Readers,
    /// The owner, a helper, or a reader whose reading is on.
    All,
    /// The owner only.
    Owner,
}

/// The person and device behind a request, put into its extensions by [`mod@super::guard`].
///
/// A handler takes it as an argument (`who: Who`); on a route that [`Need::Anyone`] may call there
/// is none, and `Option<Who>` says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who {
    /// The person's name: the author of what they write.
    pub person: String,
    /// What they may do.
    pub role: Role,
    /// What they called this phone or computer.
    pub device: String,
    /// The session's own mark (the hash of its token), to tell devices apart.
    pub session: String,
    /// The language they chose, if any.
    pub language: Option<String>,
    /// A reader's fields; empty for others, who are not held to any.
    pub fields: BTreeSet<String>,
    /// Whether a reader's reading is on; always true for others.
    pub reading: bool,
}

impl Who {
    /// Whether this is the owner.
    pub fn owns(&self) -> bool {
        self.role == Role::Owner
    }

    /// Whether entries may be added.
    pub fn writes(&self) -> bool {
        self.role != Role::Reader
    }

    /// Whether prices, payments, contracts and settlements may be shown: to the owner, and to a
    /// reader for their own fields; a helper sees grain, never money.
    pub fn sees_money(&self) -> bool {
        match self.role {
            Role::Owner => true,
            Role::Helper => false,
            Role::Reader => self.reading,
        }
    }

    /// Whether anything of this field may be shown.
    pub fn sees_field(&self, field: &str) -> bool {
        match self.role {
            Role::Owner | Role::Helper => true,
            Role::Reader => self.reading && self.fields.contains(field),
        }
    }

    /// Whether a route that needs this may be called; a `field` in its path is checked with it.
    pub fn may(&self, need: Need, field: Option<&str>) -> bool {
        match need {
            Need::Anyone | Need::Paired => true,
            Need::Owner => self.role == Role::Owner,
            Need::Hands => self.role != Role::Reader,
            Need::Readers => {
                self.role != Role::Helper
                    && self.reading
                    && field.is_none_or(|f| self.sees_field(f))
            }
            Need::All => self.reading && field.is_none_or(|f| self.sees_field(f)),
        }
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Who {
    type Rejection = Refusal;
    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Refusal> {
        let who = parts.extensions.get::<Self>().cloned();
        who.ok_or_else(Refusal::not_paired)
    }
}

impl<S: Send + Sync> OptionalFromRequestParts<S> for Who {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Option<Self>, Infallible> {
        Ok(parts.extensions.get::<Self>().cloned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn who(role: Role, reading: bool) -> Who {
        Who {
            person: "Ada".to_owned(),
            role,
            device: "phone".to_owned(),
            session: String::new(),
            language: None,
            fields: ["Willow Bench".to_owned()].into(),
            reading,
        }
    }

    #[test]
    fn a_reader_sees_their_fields_only_while_reading_is_on() {
        let on = who(Role::Reader, true);
        assert!(on.may(Need::Readers, Some("Willow Bench")));
        assert!(!on.may(Need::Readers, Some("Home Eighty")));
        assert!(!on.may(Need::Hands, None) && !on.may(Need::Owner, None));
        let off = who(Role::Reader, false);
        assert!(!off.may(Need::Readers, None) && !off.may(Need::All, None));
        assert!(!off.sees_field("Willow Bench") && !off.sees_money());
        assert!(off.may(Need::Paired, None));
    }

    #[test]
    fn a_helper_writes_and_sees_no_money() {
        let helper = who(Role::Helper, true);
        assert!(helper.may(Need::Hands, None) && helper.writes());
        assert!(!helper.may(Need::Readers, None) && !helper.may(Need::Owner, None));
        assert!(!helper.sees_money());
    }
}
