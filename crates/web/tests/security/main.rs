//! The door, tried from outside over real sockets: strangers, forged and replayed secrets, other
//! sites, roles, bodies, the farm's certificate.
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

mod bodies;
mod certificate;
mod help;
mod roles;
mod sessions;
mod stops;
mod strangers;
