//! The one table of routes: method, path, who may call it, how large its body may be.
//!
//! [`mod@super::guard`] looks every request up here by the pattern that the router matched. A route that
//! is not in the table is refused whoever asks, so that a page that somebody adds and forgets to
//! think about is closed, not open. Add the line here together with the route.

use super::role::Need;
use axum::http::Method;

/// How large a request's body may be, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room(pub usize);

/// No body is expected; a stray one of a browser is let be.
pub const NONE: Room = Room(1024);
/// An HTML form.
pub const FORM: Room = Room(64 * 1024);
/// A batch of entries from a phone.
pub const ENTRIES: Room = Room(2 * 1024 * 1024);
/// One photograph.
pub const PHOTOGRAPH: Room = Room(6 * 1024 * 1024);
/// A dropped file, read as it arrives.
pub const FILE: Room = Room(200 * 1024 * 1024);

/// One line of the table.
#[derive(Debug, Clone)]
pub struct Route {
    /// The method; `HEAD` is looked up as `GET`.
    pub method: Method,
    /// The path, as the router's pattern.
    pub path: &'static str,
    /// Who may call it.
    pub need: Need,
    /// How large its body may be.
    pub room: Room,
}

const fn get(path: &'static str, need: Need) -> Route {
    Route {
        method: Method::GET,
        path,
        need,
        room: NONE,
    }
}
const fn post(path: &'static str, need: Need, room: Room) -> Route {
    Route {
        method: Method::POST,
        path,
        need,
        room,
    }
}
const fn put(path: &'static str, need: Need, room: Room) -> Route {
    Route {
        method: Method::PUT,
        path,
        need,
        room,
    }
}

/// Every route of the program.
pub static ROUTES: &[Route] = &[
    // coming in
    get("/enter", Need::Anyone),
    get("/pair", Need::Anyone),
    post("/pair", Need::Anyone, FORM),
    get("/sign-in", Need::Anyone),
    post("/sign-in", Need::Anyone, FORM),
    post("/sign-out", Need::Paired, FORM),
    get("/certificate", Need::Anyone),
    get("/certificate/{file}", Need::Anyone),
    // what those pages, and a phone that waits to be paired again, are made of
    get("/static/{*name}", Need::Anyone),
    get("/sw.js", Need::Anyone),
    get("/manifest.webmanifest", Need::Anyone),
    // the day
    get("/", Need::Paired),
    get("/morning", Need::Hands),
    get("/cab", Need::Hands),
    get("/cab/{screen}", Need::Hands),
    get("/night", Need::Hands),
    get("/night/slip/{entry}", Need::Hands),
    post("/night/slip/{entry}/open", Need::Hands, FORM),
    get("/night/ticket/{sha256}", Need::Hands),
    get("/ready", Need::Hands),
    post("/ready", Need::Hands, FORM),
    post("/ready/tick", Need::Hands, FORM),
    post("/ready/off", Need::Owner, FORM),
    get("/speed", Need::Hands),
    post("/ready/starter", Need::Owner, FORM),
    get("/settings", Need::Hands),
    get("/cost", Need::Hands),
    get("/winter", Need::Readers),
    get("/winter/field/{field}", Need::Readers),
    get("/winter/tickets", Need::Readers),
    get("/winter/loads", Need::Readers),
    get("/api/field/{field}/cells", Need::Readers),
    // how the page is shown: language, units, theme
    post("/look", Need::Anyone, FORM),
    // the phone
    get("/api/cab", Need::Hands),
    get("/api/live", Need::Hands),
    get("/api/morning", Need::Hands),
    get("/api/night", Need::Owner),
    get("/api/square", Need::Owner),
    post("/api/entries", Need::Hands, ENTRIES),
    put("/api/photographs/{sha256}", Need::Hands, PHOTOGRAPH),
    get("/photographs/{sha256}", Need::Hands),
    get("/api", Need::Paired),
    get("/api/openapi.json", Need::Paired),
    get("/api/fields", Need::Owner),
    get("/api/field/{field}", Need::Owner),
    // entries one by one; the pages leave out what a helper may not see
    get("/entries", Need::Hands),
    get("/entry/{id}", Need::Hands),
    post("/entry/{id}/mend", Need::Hands, ENTRIES),
    post("/entry/{id}/strike", Need::Hands, FORM),
    // the owner's desk
    // a helper is held to the kinds of the day by the page itself
    get("/write", Need::Hands),
    get("/write/{kind}", Need::Hands),
    post("/write/{kind}", Need::Hands, ENTRIES),
    get("/start", Need::Owner),
    get("/start/area", Need::Owner),
    get("/start/{step}", Need::Owner),
    post("/start/{step}", Need::Owner, ENTRIES),
    get("/first-pass", Need::Hands),
    get("/pad", Need::Hands),
    get("/units", Need::Owner),
    get("/copy", Need::Owner),
    get("/counts", Need::Hands),
    get("/stops", Need::Hands),
    get("/copy/file", Need::Owner),
    post("/copy", Need::Owner, FORM),
    get("/import", Need::Owner),
    post("/import", Need::Owner, FILE),
    get("/people", Need::Owner),
    post("/people/add", Need::Owner, FORM),
    post("/people/rename", Need::Owner, FORM),
    post("/people/pair", Need::Owner, FORM),
    post("/people/revoke", Need::Owner, FORM),
    post("/people/remove", Need::Owner, FORM),
    get("/people/reading", Need::Owner),
    post("/people/reading", Need::Owner, FORM),
    post("/people/passphrase", Need::Owner, FORM),
    get("/safe", Need::Paired),
];

/// The line of a method and a router's pattern.
pub fn find(method: &Method, pattern: &str) -> Option<&'static Route> {
    let method = if method == Method::HEAD {
        &Method::GET
    } else {
        method
    };
    ROUTES
        .iter()
        .find(|route| route.method == *method && route.path == pattern)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_stands_twice() {
        for (at, one) in ROUTES.iter().enumerate() {
            let again = ROUTES[at + 1..]
                .iter()
                .any(|other| other.method == one.method && other.path == one.path);
            assert!(!again, "{} {}", one.method, one.path);
        }
    }

    #[test]
    fn nothing_that_writes_is_open_to_everybody_but_coming_in_and_the_look() {
        let open: Vec<&str> = ROUTES
            .iter()
            .filter(|route| route.need == Need::Anyone && route.method != Method::GET)
            .map(|route| route.path)
            .collect();
        assert_eq!(open, ["/pair", "/sign-in", "/look"]);
    }

    #[test]
    fn a_head_is_a_get_and_an_unknown_method_is_nothing() {
        assert!(find(&Method::HEAD, "/night").is_some());
        assert!(find(&Method::DELETE, "/night").is_none());
        assert!(find(&Method::GET, "/nothing").is_none());
    }
}
