//! Whether a request was made by one of our own pages.
//!
//! `SameSite=Strict` already keeps the cookie from other sites, but another program on this machine
//! is the *same site* on another port. `Sec-Fetch-Site` and `Origin` are written by the browser and
//! cannot be forged by a page; every browser of the last years sends the first over HTTPS and to
//! loopback, and all send the second with whatever is not a GET. The tower-http layer checks both
//! after the fashion of Go 1.25; this is the same question asked more strictly: something that
//! changes anything must carry one of the two, and what a page on another site may do is open ours
//! in a window of its own, nothing else.
//!
//! This is also why the referrer policy is `same-origin` and not `no-referrer`: under the latter a
//! browser says `Origin: null` with our own forms (Fetch standard, "append a request Origin header").

use super::hosts::Here;
use axum::http::header::ORIGIN;
use axum::http::{HeaderMap, Method};

/// Whether a request may have come from a page that is not ours, and does more than open a window.
pub fn foreign(method: &Method, headers: &HeaderMap, here: &Here) -> bool {
    let text = |name: &str| {
        headers
            .get(name)
            .map(|value| value.to_str().unwrap_or("odd"))
    };
    let site = text("sec-fetch-site");
    let ours = matches!(site, Some("same-origin" | "none"));
    let reads = method == Method::GET || method == Method::HEAD;
    if reads {
        let opens = text("sec-fetch-mode") == Some("navigate")
            && text("sec-fetch-dest") == Some("document");
        return site.is_some() && !ours && !opens;
    }
    let origin = text(ORIGIN.as_str());
    let scheme = if here.secure { "https" } else { "http" };
    let same = origin.map(|origin| {
        origin
            .strip_prefix(scheme)
            .and_then(|rest| rest.strip_prefix("://"))
            .is_some_and(|authority| authority.eq_ignore_ascii_case(&here.authority))
    });
    match (site, same) {
        (Some(_), Some(same)) => !(ours && same),
        (Some(_), None) => !ours,
        (None, Some(same)) => !same,
        (None, None) => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::{HeaderName, HeaderValue};

    fn asked(method: &Method, lines: &[(&'static str, &'static str)]) -> bool {
        let here = Here {
            authority: "localhost:8080".to_owned(),
            secure: false,
            behind: false,
            lasting: false,
        };
        let headers = lines
            .iter()
            .map(|(name, value)| {
                (
                    HeaderName::from_static(name),
                    HeaderValue::from_static(value),
                )
            })
            .collect();
        foreign(method, &headers, &here)
    }

    #[test]
    fn our_own_forms_and_scripts_pass() {
        let own = ("origin", "http://localhost:8080");
        assert!(!asked(&Method::POST, &[own]));
        assert!(!asked(
            &Method::POST,
            &[own, ("sec-fetch-site", "same-origin")]
        ));
        assert!(!asked(&Method::PUT, &[("sec-fetch-site", "same-origin")]));
        assert!(!asked(&Method::GET, &[]));
        assert!(!asked(&Method::GET, &[("sec-fetch-site", "none")]));
    }

    #[test]
    fn what_another_site_writes_is_foreign() {
        let own = ("origin", "http://localhost:8080");
        for lines in [
            &[][..],
            &[("origin", "null")],
            &[("origin", "http://evil.example")],
            &[("origin", "https://localhost:8080")],
            &[("origin", "http://localhost:3000")],
            &[("origin", "http://localhost:80801")],
            &[("origin", "http://localhost:8080.evil.example")],
            &[own, ("sec-fetch-site", "cross-site")],
            &[own, ("sec-fetch-site", "same-site")],
            &[("sec-fetch-site", "same-site")],
            &[("origin", "null"), ("sec-fetch-site", "same-origin")],
        ] {
            assert!(asked(&Method::POST, lines), "{lines:?}");
            assert!(asked(&Method::DELETE, lines), "{lines:?}");
        }
    }

    #[test]
    fn another_site_may_open_a_window_and_no_more() {
        let cross = ("sec-fetch-site", "cross-site");
        let navigate = ("sec-fetch-mode", "navigate");
        assert!(!asked(
            &Method::GET,
            &[cross, navigate, ("sec-fetch-dest", "document")]
        ));
        assert!(asked(
            &Method::GET,
            &[cross, navigate, ("sec-fetch-dest", "iframe")]
        ));
        assert!(asked(
            &Method::GET,
            &[
                cross,
                ("sec-fetch-mode", "no-cors"),
                ("sec-fetch-dest", "image")
            ]
        ));
        assert!(asked(
            &Method::HEAD,
            &[("sec-fetch-site", "same-site"), ("sec-fetch-mode", "cors")]
        ));
    }
}
