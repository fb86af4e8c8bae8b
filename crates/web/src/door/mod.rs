//! Who may come in.
//!
//! The book tells what a family has and owes. So nobody is let in by being near: not on the farm's
//! wireless network, not by another program on the same machine, not by a page on the web that the
//! owner happens to look at. A device is paired once, by a code that the owner makes; from then on a
//! cookie opens what its person's role may see.
//!
//! What is guarded against, and where:
//!
//! | threat | answer |
//! | --- | --- |
//! | a stranger on the network | a session on every request ([`mod@guard`]), HTTPS ([`tls`]) |
//! | somebody who listens or changes what is sent | HTTPS by the farm's authority ([`authority`]) |
//! | a stolen key of that authority | its names are constrained to the farm's |
//! | a web page that makes its name mean 127.0.0.1 | the allowed hosts ([`hosts`]) |
//! | a web page that sends forms or reads pictures here | [`fetch`], the cookie's `SameSite` ([`cookie`]) |
//! | text that turns into a script | the content policy ([`headers`]) |
//! | guessing codes and passphrases | chance, short lives, [`limits`], Argon2id ([`passphrase`]) |
//! | a page that somebody forgot to close | the table of routes ([`routes`]): not listed is refused |
//! | a helper or reader who looks further | the same table, and [`Who`] in every page |
//! | floods, drips, large bodies | [`crowd`], [`body`], time limits ([`front`]) |
//! | a lost phone | revoking it on the people page; its token is nowhere in the clear |
//! | a copied or sent book | nothing of this is in the book: it lies in the state folder ([`files`]) |
//!
//! Not guarded against: somebody who can run programs as the owner on the serving machine. They have
//! the book's file.

pub mod access;
mod access_people;
pub mod authority;
pub mod body;
pub mod cookie;
pub mod crowd;
mod enter;
mod error;
pub mod fetch;
pub mod files;
pub mod front;
pub mod guard;
pub mod headers;
pub mod hosts;
pub mod lan;
pub mod limits;
pub mod passphrase;
mod plain;
pub mod qr;
pub mod record;
pub mod role;
pub mod routes;
pub mod tls;
pub mod token;

#[cfg(test)]
mod tests_of_routes;

pub use access::Access;
pub use error::DoorError;
pub use front::{Front, open};
pub use hosts::Hosts;
pub use role::{Need, Role, Who};
pub use routes::ROUTES;

pub(crate) use enter::routes as entering;

use crate::House;
use axum::Router;
use axum::middleware::{from_fn, from_fn_with_state};
use tower_http::csrf::CsrfLayer;

/// What a phone must be told to reach this computer.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Links {
    /// Where the phone opens the day, without a slash at the end; none when only this computer may.
    pub phones: Option<String>,
    /// Where it gets the farm's certificate, if it needs that.
    pub certificate: Option<String>,
}

/// The farm's certificate, to show and to hand out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// What phones install.
    pub der: Vec<u8>,
    /// Its fingerprint in groups.
    pub fingerprint: Vec<String>,
    /// What it may sign for, in words.
    pub scope: Vec<String>,
}

/// Who may come in to one book.
#[derive(Debug)]
pub struct Door {
    access: Access,
    mark: String,
    hosts: Hosts,
    links: Links,
    certificate: Option<Shown>,
}

impl Default for Door {
    /// A door on this machine only, that remembers nobody after the program ends.
    fn default() -> Self {
        Self::new(Access::in_memory(), Hosts::loopback())
    }
}

impl Door {
    /// A door with its store and hosts.
    pub fn new(access: Access, hosts: Hosts) -> Self {
        Self {
            mark: access.mark(),
            access,
            hosts,
            links: Links::default(),
            certificate: None,
        }
    }

    /// People, sessions, codes.
    pub fn access(&self) -> &Access {
        &self.access
    }

    /// Which names are answered.
    pub fn hosts(&self) -> &Hosts {
        &self.hosts
    }

    /// What names the cookie.
    pub fn mark(&self) -> &str {
        &self.mark
    }

    /// What phones must be told.
    pub fn links(&self) -> &Links {
        &self.links
    }

    /// The farm's certificate, when phones come by it.
    pub fn certificate(&self) -> Option<&Shown> {
        self.certificate.as_ref()
    }
}

/// Puts the door in front of the rooms.
pub fn guard(rooms: Router, house: &House) -> Router {
    rooms
        .layer(from_fn_with_state(house.clone(), guard::inside))
        .layer(from_fn(crate::shell::frame_refusals))
        .layer(CsrfLayer::new())
        .layer(from_fn_with_state(house.clone(), guard::outside))
}
