//! Secrets: forged, used twice, too old, revoked, guessed.

use super::help::{DAY, MINUTE, again, code, serve};
use web::door::{limits, token};

#[test]
fn the_owners_link_opens_once_and_only_for_five_minutes() {
    let served = serve(|_| {});
    let link = format!("/enter?once={}", served.once);
    let first = served.get(&link, None);
    assert_eq!((first.status, first.header("location")), (303, Some("/")));
    let line = first.header("set-cookie").unwrap();
    for part in ["HttpOnly", "SameSite=Strict", "Path=/", "Max-Age=7776000"] {
        assert!(line.contains(part), "{line}");
    }
    assert!(!line.contains("Domain"), "{line}");
    let second = served.get(&link, None);
    assert_eq!((second.status, second.header("set-cookie")), (403, None));
    assert_eq!(served.get("/enter?once=", None).status, 403);
    assert_eq!(served.get("/enter", None).status, 403);
    assert_eq!(
        served
            .get(&format!("/enter?once={}", token::fresh().unwrap()), None)
            .status,
        403
    );

    let late = serve(|_| {});
    late.later(5 * MINUTE);
    assert_eq!(
        late.get(&format!("/enter?once={}", late.once), None).status,
        403
    );
}

#[test]
fn a_forged_cookie_is_nobody() {
    let served = serve(|_| {});
    let owner = served.owner();
    let (name, value) = owner.split_once('=').unwrap();
    let mut other = value.to_owned();
    other.replace_range(..1, if value.starts_with('0') { "1" } else { "0" });
    // the hash that the store keeps is not the token
    let kept = token::hash(value);
    for forged in [
        other.as_str(),
        "",
        "0",
        &kept,
        &value.to_uppercase(),
        &value[..63],
        &token::fresh().unwrap(),
    ] {
        let answer = served.get("/people", Some(&format!("{name}={forged}")));
        assert!(
            answer.status == 401 || forged == value,
            "{forged}: {answer:?}"
        );
    }
    assert_eq!(
        served
            .get("/people", Some(&format!("stook={value}")))
            .status,
        401
    );
    assert_eq!(served.get("/people", Some(&owner)).status, 200);
}

#[test]
fn a_session_slides_on_and_ends_ninety_days_after_it_was_last_heard() {
    let served = serve(|_| {});
    let owner = served.owner();
    served.later(80 * DAY);
    let heard = served.get("/people", Some(&owner));
    assert_eq!(heard.status, 200);
    assert!(
        heard.cookie().is_some(),
        "the browser's cookie slides on too: {heard:?}"
    );
    assert_eq!(served.get("/people", Some(&owner)).cookie(), None);
    served.later(80 * DAY);
    assert_eq!(served.get("/people", Some(&owner)).status, 200);
    served.later(90 * DAY + MINUTE);
    assert_eq!(served.get("/people", Some(&owner)).status, 401);
}

#[test]
fn what_is_known_outlives_the_program_and_no_secret_is_in_the_file() {
    let served = serve(|_| {});
    let owner = served.owner();
    let helper = served.someone(&owner, "Ben", "helper");
    let pending = served.invite(&owner, "Cleo", "helper");
    let (folder, clock) = served.end();
    let served = again(folder, clock, |_| {});
    assert_eq!(served.get("/people", Some(&owner)).status, 200);
    assert_eq!(served.get("/people", Some(&helper)).status, 403);
    assert_eq!(
        served.pair(&pending, "phone").status,
        403,
        "a code ends with the program"
    );
    let mut seen = 0;
    for folder in std::fs::read_dir(&served.state).unwrap() {
        for file in std::fs::read_dir(folder.unwrap().path()).unwrap() {
            let text =
                String::from_utf8_lossy(&std::fs::read(file.unwrap().path()).unwrap()).into_owned();
            for secret in [&owner, &helper] {
                assert!(!text.contains(secret.split_once('=').unwrap().1));
            }
            assert!(!text.contains(&pending) && !text.contains(&served.once));
            seen += usize::from(text.contains("Ben"));
        }
    }
    assert_eq!(seen, 1);
}

#[test]
fn a_revoked_device_and_one_that_signed_out_are_strangers() {
    let served = serve(|_| {});
    let owner = served.owner();
    let helper = served.someone(&owner, "Ben", "helper");
    let hash = token::hash(helper.split_once('=').unwrap().1);
    assert!(served.get("/people", Some(&owner)).body.contains(&hash));
    let revoked = served.ask(
        "POST",
        "/people/revoke",
        Some(&owner),
        &format!("session={hash}"),
    );
    assert_eq!(revoked.status, 303);
    assert_eq!(served.get("/safe", Some(&helper)).status, 401);

    let other = served.someone(&owner, "Cleo", "helper");
    assert_eq!(served.get("/safe", Some(&other)).status, 200);
    let out = served.ask("POST", "/sign-out", Some(&other), "");
    assert!(out.header("set-cookie").unwrap().contains("Max-Age=0"));
    assert_eq!(
        out.header("clear-site-data"),
        None,
        "what waits on the phone is not wiped"
    );
    assert_eq!(served.get("/safe", Some(&other)).status, 401);
}

#[test]
fn taking_somebody_off_the_list_ends_their_devices_but_never_the_last_owner() {
    let served = serve(|_| {});
    let owner = served.owner();
    let helper = served.someone(&owner, "Ben", "helper");
    assert_eq!(
        served
            .ask("POST", "/people/remove", Some(&owner), "person=1")
            .status,
        422
    );
    assert_eq!(
        served
            .ask("POST", "/people/remove", Some(&owner), "person=2")
            .status,
        303
    );
    assert_eq!(served.get("/safe", Some(&helper)).status, 401);
    assert_eq!(served.get("/people", Some(&owner)).status, 200);
}

#[test]
fn a_code_pairs_one_phone_within_ten_minutes_and_a_new_one_ends_the_old() {
    let served = serve(|_| {});
    let owner = served.owner();
    let first = served.invite(&owner, "Ben", "helper");
    let shown = served.get(&format!("/pair?code={first}"), None);
    assert_eq!(shown.status, 200);
    assert!(shown.body.contains("Ben"), "{}", shown.body);
    let paired = served.pair(&first, "Ben%27s+phone");
    assert_eq!(
        (paired.status, paired.header("location")),
        (303, Some("/cab"))
    );
    assert_eq!(served.pair(&first, "again").status, 403);
    assert!(
        served
            .get("/people", Some(&owner))
            .body
            .contains("Ben&#39;s phone")
    );

    let second = code(&served.ask("POST", "/people/pair", Some(&owner), "person=2"));
    let third = code(&served.ask("POST", "/people/pair", Some(&owner), "person=2"));
    let ended = served.pair(&second, "x");
    served.later(10 * MINUTE);
    let late = served.pair(&third, "x");
    let never = served.pair("ABCDEFHJ", "x");
    let odd = served.pair("0000", "x");
    let gone = served.get(&format!("/pair?code={third}"), None);
    for answer in [&late, &never, &odd, &gone] {
        assert_eq!(
            (answer.status, &answer.body),
            (ended.status, &ended.body),
            "one answer for all"
        );
    }
    assert_eq!(ended.status, 403);
}

#[test]
fn codes_cannot_be_guessed_at_leisure() {
    let served = serve(|_| {});
    let owner = served.owner();
    let code = served.invite(&owner, "Ben", "helper");
    for _ in 0..limits::EACH {
        assert_eq!(served.pair("ABCDEFHJ", "x").status, 403);
    }
    assert_eq!(
        served.pair(&code, "x").status,
        429,
        "even the right one must wait now"
    );
    assert_eq!(
        served.get("/people", Some(&owner)).status,
        200,
        "who is in stays in"
    );
    served.later(limits::WINDOW_MS);
    let fresh = super::help::code(&served.ask("POST", "/people/pair", Some(&owner), "person=2"));
    assert_eq!(served.pair(&fresh, "x").status, 303);
}

#[test]
fn a_passphrase_signs_in_and_an_unknown_name_looks_like_a_wrong_one() {
    let served = serve(|_| {});
    let owner = served.owner();
    served.someone(&owner, "Ben", "helper");
    let kept = "person=2&passphrase=four+words+in+a+row";
    assert_eq!(
        served
            .ask(
                "POST",
                "/people/passphrase",
                Some(&owner),
                "person=2&passphrase=short"
            )
            .status,
        422
    );
    let sign = |name: &str, words: &str| {
        served.ask(
            "POST",
            "/sign-in",
            None,
            &format!("name={name}&passphrase={words}&device=tablet"),
        )
    };
    assert_eq!(sign("Ben", "").status, 403, "without one, nothing fits");
    assert_eq!(
        served
            .ask("POST", "/people/passphrase", Some(&owner), kept)
            .status,
        303
    );
    let good = sign("ben", "four+words+in+a+row");
    assert_eq!((good.status, good.header("location")), (303, Some("/cab")));
    let wrong = sign("Ben", "four+words+in+a+raw");
    let nobody = sign("Zoe", "four+words+in+a+row");
    assert_eq!((wrong.status, nobody.status), (403, 403));
    assert_eq!(
        wrong.body.replace("Ben", ""),
        nobody.body.replace("Zoe", "")
    );
    for _ in 0..limits::EACH {
        sign("Ben", "x");
    }
    assert_eq!(sign("Ben", "four+words+in+a+row").status, 429);
}

#[test]
fn a_phone_speaks_the_language_that_the_owner_chose_for_its_person() {
    let served = serve(|_| {});
    let owner = served.owner();
    let page = served.ask(
        "POST",
        "/people/add",
        Some(&owner),
        "name=Ben&role=helper&language=es",
    );
    let paired = served.pair(&code(&page), "phone");
    let lines = paired
        .headers
        .iter()
        .filter(|(name, _)| name == "set-cookie");
    let lines: Vec<&String> = lines.map(|(_, line)| line).collect();
    assert_eq!(lines.len(), 2, "{lines:?}");
    assert!(lines[1].starts_with("language=es; "), "{lines:?}");
}
