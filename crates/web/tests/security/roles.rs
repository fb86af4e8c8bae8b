//! Each role against each route of the table.

use super::help::serve;
use super::strangers::filled;
use web::door::routes::ROUTES;
use web::door::{Need, ROUTES as ALL, Role};

/// What the table promises, written down a second time as a table of roles.
fn may(role: Role, reading: bool, need: Need) -> bool {
    matches!(
        (role, reading, need),
        (_, _, Need::Anyone | Need::Paired)
            | (Role::Owner, _, _)
            | (Role::Helper, _, Need::Hands | Need::All)
            | (Role::Reader, true, Need::Readers | Need::All)
    )
}

#[test]
fn each_role_gets_what_the_table_says() {
    let served = serve(|_| {});
    let owner = served.owner();
    let helper = served.someone(&owner, "Ben", "helper");
    let reader = served.someone(&owner, "Cleo", "reader");
    let mut shut = 0;
    for route in ROUTES {
        // what would end the very sessions that are being tried
        if ["/sign-out", "/people/remove", "/people/revoke", "/api/live"].contains(&route.path) {
            continue;
        }
        for (role, cookie) in [
            (Role::Owner, &owner),
            (Role::Helper, &helper),
            (Role::Reader, &reader),
        ] {
            let answer = served.ask(route.method.as_str(), &filled(route.path), Some(cookie), "");
            let says = format!("{role} {} {}: {}", route.method, route.path, answer.status);
            if may(role, false, route.need) {
                assert_ne!(answer.status, 401, "{says}");
                assert!(answer.status != 403 || route.need == Need::Anyone, "{says}");
            } else {
                // a line whose page is not built yet is as closed as one that is not allowed
                assert!(answer.status == 403 || answer.status == 404, "{says}");
                shut += 1;
            }
        }
    }
    assert!(shut > 30, "{shut}");
}

#[test]
fn every_route_in_the_code_is_in_the_table() {
    fn look(folder: &std::path::Path, out: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                look(&path, out);
            } else if path.extension().is_some_and(|end| end == "rs")
                && !path.ends_with("door/plain.rs")
                && !path.ends_with("door/tests_of_routes.rs")
            {
                let text = std::fs::read_to_string(&path).unwrap();
                let text = text.split("#[cfg(test)]").next().unwrap();
                for (at, _) in text.match_indices(".route(") {
                    let rest = text[at + 7..].trim_start();
                    if let Some(rest) = rest.strip_prefix('"') {
                        out.push(rest.split('"').next().unwrap().to_owned());
                    }
                }
            }
        }
    }
    let mut found = Vec::new();
    look(
        &std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
        &mut found,
    );
    assert!(found.len() > 15, "{found:?}");
    for path in found {
        assert!(
            ALL.iter().any(|route| route.path == path),
            "{path} is not in door/routes.rs"
        );
    }
}

#[test]
fn reading_is_off_until_the_owner_turns_it_on_for_fields_with_a_reason() {
    let served = serve(|_| {});
    let owner = served.owner();
    let reader = served.someone(&owner, "Cleo", "reader");
    let off = served.get("/winter", Some(&reader));
    assert!(off.status == 403 || off.status == 404, "{off:?}");
    // a field that the book does not have is no field to read, whatever the form says
    let set = served.ask(
        "POST",
        "/people/reading",
        Some(&owner),
        "person=2&reading=on&share=Home&rent=Nowhere",
    );
    assert_eq!(set.status, 303);
    let answer = served.get("/winter/Home", Some(&reader));
    assert!(answer.status == 403 || answer.status == 404, "{answer:?}");
    let page = served.get("/people", Some(&owner));
    assert!(
        page.body.contains("reader: no field is chosen yet"),
        "{}",
        page.body
    );
    assert_eq!(
        served
            .ask(
                "POST",
                "/people/reading",
                Some(&reader),
                "person=2&reading=on"
            )
            .status,
        403
    );
    assert_eq!(
        served
            .ask(
                "POST",
                "/people/reading",
                Some(&owner),
                "person=1&reading=on"
            )
            .status,
        422
    );
}
