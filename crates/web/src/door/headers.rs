//! What every response carries.
//!
//! - The content policy lets a page run our own scripts and styles from our own files and nothing
//!   else: no inline script, no outside address, no frame in either direction. Text that somebody
//!   typed and a template failed to escape would still be dead letters.
//! - `nosniff`, `same-origin` opener and resource policies: nothing of ours is read or held by
//!   another site's page.
//! - Camera and place for ourselves (tickets, where a count was made), all other powers off.
//! - `no-store` unless the handler says otherwise: a page of the book is not left in a cache of a
//!   borrowed computer. The service worker keeps what the phone needs in its own cache.
//! - `Strict-Transport-Security` only by HTTPS, under a name, with the user's own certificate. With
//!   the farm's authority it would lock a phone out of the name on every port, without a way past
//!   the warning, on the day that the authority is made anew; and behind a proxy it is the proxy's
//!   to say.

use super::hosts::Here;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, REFERRER_POLICY, STRICT_TRANSPORT_SECURITY,
    X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue};

/// What a page may load and do.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data: blob:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; \
    form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Which of the device's powers a page may ask for.
pub const POWERS: &str = "camera=(self), geolocation=(self), accelerometer=(), autoplay=(), \
    bluetooth=(), browsing-topics=(), display-capture=(), encrypted-media=(), gyroscope=(), \
    hid=(), idle-detection=(), local-fonts=(), magnetometer=(), microphone=(), midi=(), \
    payment=(), publickey-credentials-get=(), serial=(), usb=(), xr-spatial-tracking=()";

/// Puts them on.
pub fn dress(headers: &mut HeaderMap, here: Option<&Here>) {
    let always = [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (HeaderName::from_static("permissions-policy"), POWERS),
    ];
    for (name, value) in always {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    if here.is_some_and(|here| here.lasting) {
        headers.insert(
            STRICT_TRANSPORT_SECURITY,
            HeaderValue::from_static("max-age=15552000"),
        );
    }
}
