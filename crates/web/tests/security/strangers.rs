//! Whoever is not paired, comes under another name, or from another site.

use super::help::serve;
use web::door::routes::ROUTES;
use web::door::{Need, headers};

/// A path that a pattern matches.
pub(crate) fn filled(pattern: &str) -> String {
    let parts = pattern.split('/').map(|part| match part {
        part if part.starts_with('{') => "x",
        part => part,
    });
    parts.collect::<Vec<_>>().join("/")
}

#[test]
fn a_stranger_can_do_nothing_but_pair() {
    let served = serve(|_| {});
    let mut closed = 0;
    for route in ROUTES {
        let answer = served.ask(route.method.as_str(), &filled(route.path), None, "");
        let path = route.path;
        if route.need == Need::Anyone {
            assert_ne!(answer.status, 401, "{path}: {answer:?}");
        } else {
            assert_eq!(answer.status, 401, "{path}: {answer:?}");
            assert!(!answer.body.contains("Quiet Creek"), "{path}");
            closed += 1;
        }
    }
    assert!(closed > 15, "{closed}");
    // what is not there is answered as what is
    let nothing = served.get("/no-such-page", None);
    let there = served.get("/people", None);
    assert_eq!((nothing.status, &nothing.body), (there.status, &there.body));
    for open in ["/pair", "/sign-in"] {
        let answer = served.get(open, None);
        assert_eq!(answer.status, 200, "{open}: {answer:?}");
        assert!(!answer.body.contains("Quiet Creek"));
    }
}

#[test]
fn other_methods_are_refused_too() {
    let served = serve(|_| {});
    let owner = served.owner();
    for method in ["DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "PROPFIND"] {
        let answer = served.ask(method, "/people", Some(&owner), "");
        assert!((400..500).contains(&answer.status), "{method}: {answer:?}");
    }
}

#[test]
fn a_rebound_host_is_refused_even_with_the_owners_cookie() {
    let served = serve(|_| {});
    let owner = served.owner();
    let port = served.address.port();
    for host in [
        "evil.example",
        &format!("evil.example:{port}"),
        "127.0.0.1.evil.example",
        "[::ffff:127.0.0.1]",
        "",
    ] {
        for path in ["/people", "/pair", "/enter?once=x", "/static/look.css"] {
            let answer = served.raw("GET", path, &[("Host", host), ("Cookie", &owner)], "");
            assert!(
                answer.status == 421 || (host.is_empty() && answer.status == 400),
                "{host} {path}: {answer:?}"
            );
            assert!(!answer.body.contains("Quiet Creek"));
        }
    }
    let twice = [
        ("Host", "localhost"),
        ("Host", "evil.example"),
        ("Cookie", owner.as_str()),
    ];
    let answer = served.raw("GET", "/people", &twice, "");
    assert!(answer.status == 421 || answer.status == 400, "{answer:?}");
    let without = served.raw("GET", "/people", &[("Cookie", &owner)], "");
    assert!(
        without.status == 421 || without.status == 400,
        "{without:?}"
    );
    let good = served.raw(
        "GET",
        "/people",
        &[("Host", &format!("localhost:{port}")), ("Cookie", &owner)],
        "",
    );
    assert_eq!(good.status, 200);
}

#[test]
fn another_sites_page_can_send_nothing_and_read_nothing() {
    let served = serve(|_| {});
    let owner = served.owner();
    let host = served.host();
    let own = format!("http://{host}");
    let body = "name=Mallory&role=owner";
    let form = ("Content-Type", "application/x-www-form-urlencoded");
    let bad: &[&[(&str, &str)]] = &[
        &[],
        &[("Origin", "null")],
        &[
            ("Origin", "http://evil.example"),
            ("Sec-Fetch-Site", "cross-site"),
        ],
        &[
            ("Origin", "http://localhost:3000"),
            ("Sec-Fetch-Site", "same-site"),
        ],
        &[("Origin", &own), ("Sec-Fetch-Site", "cross-site")],
        &[("Sec-Fetch-Site", "cross-site")],
    ];
    for lines in bad {
        let mut headers = vec![("Host", host.as_str()), ("Cookie", owner.as_str()), form];
        headers.extend_from_slice(lines);
        let answer = served.raw("POST", "/people/add", &headers, body);
        assert_eq!(answer.status, 403, "{lines:?}: {answer:?}");
    }
    assert!(!served.get("/people", Some(&owner)).body.contains("Mallory"));
    let image = [
        ("Host", host.as_str()),
        ("Cookie", &owner),
        ("Sec-Fetch-Site", "cross-site"),
        ("Sec-Fetch-Mode", "no-cors"),
        ("Sec-Fetch-Dest", "image"),
    ];
    assert_eq!(served.raw("GET", "/people", &image, "").status, 403);
    let good = served.ask("POST", "/people/add", Some(&owner), "name=Ben&role=helper");
    assert_eq!(good.status, 200, "{good:?}");
}

#[test]
fn every_answer_carries_the_headers() {
    let served = serve(|_| {});
    let owner = served.owner();
    let answers = [
        served.get("/people", Some(&owner)),
        served.get("/safe", Some(&owner)),
        served.get("/no-such-page", Some(&owner)),
        served.get("/people", None),
        served.get("/pair", None),
        served.get("/static/look.css", None),
        served.get("/static/none.css", None),
        served.raw("GET", "/", &[("Host", "evil.example")], ""),
        served.raw("POST", "/pair", &[("Host", &served.host())], ""),
        served.ask("POST", "/sign-in", None, &"x".repeat(70_000)),
        served.get("/api/cab", None),
    ];
    for answer in answers {
        let header = |name| {
            answer
                .header(name)
                .unwrap_or_else(|| panic!("no {name}: {answer:?}"))
        };
        assert_eq!(header("content-security-policy"), headers::POLICY);
        assert_eq!(header("x-content-type-options"), "nosniff");
        assert_eq!(header("referrer-policy"), "same-origin");
        assert_eq!(header("cross-origin-opener-policy"), "same-origin");
        assert_eq!(header("cross-origin-resource-policy"), "same-origin");
        assert!(header("permissions-policy").starts_with("camera=(self), geolocation=(self)"));
        assert!(!header("cache-control").contains("public"));
        assert_eq!(answer.header("strict-transport-security"), None);
        assert_eq!(answer.header("access-control-allow-origin"), None);
    }
    assert_eq!(
        served.get("/people", Some(&owner)).header("cache-control"),
        Some("no-store")
    );
}

#[test]
fn no_path_leads_out_of_the_carried_files() {
    let served = serve(|_| {});
    let owner = served.owner();
    let climbs = [
        "../Cargo.toml",
        "..%2f..%2fCargo.toml",
        "%2e%2e/%2e%2e/etc/passwd",
        "..\\..\\x",
        "/etc/passwd",
        "%00",
        "js/../../Cargo.toml",
    ];
    for climb in climbs {
        for root in ["/static/", "/photographs/", "/certificate/"] {
            let answer = served.get(&format!("{root}{climb}"), Some(&owner));
            assert!(
                (300..500).contains(&answer.status),
                "{root}{climb}: {answer:?}"
            );
            assert!(!answer.body.contains("[package]") && !answer.body.contains("root:"));
        }
    }
}
