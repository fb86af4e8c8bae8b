//! The door, tried from outside over real sockets: strangers, forged and replayed secrets, other
//! sites, roles, bodies, the farm's certificate.

mod bodies;
mod certificate;
mod help;
mod roles;
mod sessions;
mod strangers;
