//! The session's cookie.
//!
//! `HttpOnly`: no script reads it. `SameSite=Strict`: no other site sends it. `Path=/` and no
//! `Domain`: this host alone. By HTTPS also `Secure` and a name that begins with `__Host-`, so that
//! nobody on a plain connection can plant one. A browser keeps cookies by host and not by port, so
//! the name ends in a mark of the store's own: two books served on one machine do not sign each
//! other out. For the same reason another program that the user runs on loopback is sent the cookie
//! when the user opens *its* page; whoever runs a program of theirs on this machine has the book's
//! file anyway.

use super::record::SESSION_MS;
use axum::http::HeaderMap;

/// The cookie's name, from the mark that the store made for itself.
pub fn name(mark: &str, secure: bool) -> String {
    let prefix = if secure { "__Host-" } else { "" };
    format!("{prefix}stook-{mark}")
}

/// The line that sets it.
pub fn set(mark: &str, secure: bool, token: &str) -> String {
    let age = SESSION_MS / 1000;
    line(mark, secure, token, age)
}

/// The line that takes it away. Nothing else of the device is cleared: entries that wait on a phone
/// outlive its session.
pub fn clear(mark: &str, secure: bool) -> String {
    line(mark, secure, "", 0)
}

fn line(mark: &str, secure: bool, token: &str, age: i64) -> String {
    let name = name(mark, secure);
    let only = if secure { "; Secure" } else { "" };
    format!("{name}={token}; Path=/; Max-Age={age}; HttpOnly; SameSite=Strict{only}")
}

/// The token that came, if any.
pub fn token<'h>(headers: &'h HeaderMap, mark: &str, secure: bool) -> Option<&'h str> {
    crate::look::cookie(headers, &name(mark, secure))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_https_the_cookie_is_bound_to_host_and_scheme() {
        assert_eq!(
            set("456789ab", true, "t"),
            "__Host-stook-456789ab=t; Path=/; Max-Age=7776000; HttpOnly; SameSite=Strict; Secure"
        );
        assert_eq!(
            clear("456789ab", false),
            "stook-456789ab=; Path=/; Max-Age=0; HttpOnly; SameSite=Strict"
        );
    }
}
