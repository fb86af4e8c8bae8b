//! The table alone, with a page behind every line of it that says yes to whoever reaches it.

use super::record::{Because, ReaderField};
use super::role::{Need, Role};
use super::routes::ROUTES;
use super::{Door, guard};
use crate::House;
use axum::Router;
use axum::body::Body;
use axum::extract::Request;
use axum::http::{Method, StatusCode};
use axum::routing::{MethodFilter, get, on};
use tower::ServiceExt;

struct Clock;
impl desk::Clock for Clock {
    fn now_ms(&mut self) -> i64 {
        1_791_300_000_000
    }
    fn chance(&mut self) -> [u8; 10] {
        [7; 10]
    }
}

/// A door over a router that has every line of the table, and one more that is not in it.
fn house() -> (tempfile::TempDir, House, Router) {
    let folder = tempfile::tempdir().unwrap();
    let device = book::Device::new("kitchen", "kitchen").unwrap();
    let book = book::Book::create(folder.path().join("farm.stook"), &device, 1).unwrap();
    let house = House::new(book, Box::new(Clock), Door::default()).unwrap();
    let mut router = Router::new().route("/forgotten", get(|| async { "in" }));
    for route in ROUTES {
        let method = MethodFilter::try_from(route.method.clone()).unwrap();
        router = router.route(route.path, on(method, || async { "in" }));
    }
    let app = guard(router, &house);
    (folder, house, app)
}

/// Somebody of a role with a session of theirs; their cookie.
fn someone(house: &House, role: Role, reading: bool) -> String {
    let access = house.door().access();
    let now_ms = house.now_ms();
    let name = format!("{role} {reading}");
    let id = access.add(&name, role, None).unwrap();
    if role == Role::Reader {
        let field = ReaderField {
            field: "Home Place".to_owned(),
            because: Because::RentByYield,
        };
        access.read(id, reading, vec![field]).unwrap();
    }
    let code = access.invite(id, now_ms).unwrap();
    let opened = access.pair(&code, "phone", now_ms).unwrap();
    let mark = house.door().mark();
    format!("{}={}", super::cookie::name(mark, false), opened.token)
}

async fn asked(app: &Router, method: &Method, path: &str, cookie: Option<&str>) -> StatusCode {
    let mut request = Request::builder()
        .method(method)
        .uri(path)
        .header("host", "localhost:7468")
        .header("origin", "http://localhost:7468");
    if let Some(cookie) = cookie {
        request = request.header("cookie", cookie);
    }
    let request = request.body(Body::empty()).unwrap();
    app.clone().oneshot(request).await.unwrap().status()
}

fn filled(pattern: &str, field: &str) -> String {
    pattern
        .replace("{field}", field)
        .replace("{*name}", "x")
        .split('/')
        .map(|part| if part.starts_with('{') { "x" } else { part })
        .collect::<Vec<_>>()
        .join("/")
}

#[tokio::test]
async fn each_role_against_each_route() {
    let (_folder, house, app) = house();
    // (who, cookie, what they reach) written down a second time
    let reach: [(&str, Option<String>, &[Need]); 5] = [
        ("a stranger", None, &[Need::Anyone]),
        (
            "the owner",
            Some(someone(&house, Role::Owner, false)),
            &[
                Need::Anyone,
                Need::Paired,
                Need::Hands,
                Need::Readers,
                Need::All,
                Need::Owner,
            ],
        ),
        (
            "a helper",
            Some(someone(&house, Role::Helper, false)),
            &[Need::Anyone, Need::Paired, Need::Hands, Need::All],
        ),
        (
            "a reader who may read",
            Some(someone(&house, Role::Reader, true)),
            &[Need::Anyone, Need::Paired, Need::Readers, Need::All],
        ),
        (
            "a reader who may not yet",
            Some(someone(&house, Role::Reader, false)),
            &[Need::Anyone, Need::Paired],
        ),
    ];
    for route in ROUTES {
        let path = filled(route.path, "Home%20Place");
        for (says, cookie, needs) in &reach {
            let status = asked(&app, &route.method, &path, cookie.as_deref()).await;
            let expected = if needs.contains(&route.need) {
                StatusCode::OK
            } else if cookie.is_none() {
                StatusCode::UNAUTHORIZED
            } else {
                StatusCode::FORBIDDEN
            };
            assert_eq!(status, expected, "{says}: {} {path}", route.method);
        }
    }
}

#[tokio::test]
async fn a_reader_reaches_no_other_field_however_it_is_written() {
    let (_folder, house, app) = house();
    let reader = someone(&house, Role::Reader, true);
    let owner = someone(&house, Role::Owner, false);
    let fielded: Vec<_> = ROUTES
        .iter()
        .filter(|route| route.path.contains("{field}"))
        .collect();
    assert!(!fielded.is_empty());
    for route in fielded {
        for field in [
            "Willow",
            "home%20place",
            "Home%20Place%20",
            "Home%2520Place",
            "Home%00Place",
        ] {
            let path = filled(route.path, field);
            let status = asked(&app, &route.method, &path, Some(&reader)).await;
            assert_eq!(status, StatusCode::FORBIDDEN, "{path}");
            let status = asked(&app, &route.method, &path, Some(&owner)).await;
            assert_eq!(status, StatusCode::OK, "{path}");
        }
    }
}

#[tokio::test]
async fn a_route_that_is_not_in_the_table_is_refused_whoever_asks() {
    let (_folder, house, app) = house();
    let owner = someone(&house, Role::Owner, false);
    let get = Method::GET;
    assert_eq!(
        asked(&app, &get, "/forgotten", Some(&owner)).await,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        asked(&app, &get, "/forgotten", None).await,
        StatusCode::UNAUTHORIZED
    );
    // a method that the page has and the table has not
    assert_eq!(
        asked(&app, &Method::POST, "/people", Some(&owner)).await,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        asked(&app, &Method::HEAD, "/people", Some(&owner)).await,
        StatusCode::OK
    );
}
