//! Stops in the browser: told in the morning, ended on their page by owner and hands, told apart in the bill.

use super::help::{Served, serve};
use web::door::Role;

fn keep(served: &Served, who: &str, kind: &str, figures: &str) -> String {
    let answer = served.ask("POST", &format!("/write/{kind}"), Some(who), figures);
    assert_eq!(answer.status, 303, "{kind} {figures}: {}", answer.body);
    answer.header("location").unwrap().to_owned()
}

/// A stop and its id.
fn stand(served: &Served, who: &str, figures: &str) -> String {
    let to = keep(served, who, "stop", figures);
    let id = to.strip_prefix("/entry/").unwrap();
    id.split('?').next().unwrap().to_owned()
}

fn see(served: &Served, who: &str, path: &str) -> String {
    let answer = served.get(path, Some(who));
    assert_eq!(answer.status, 200, "{path}");
    answer.body
}

#[test]
fn a_stop_that_nobody_ended_is_told_and_ended_by_owner_and_hands() {
    let served = serve(|_| {});
    let owner = served.owner();
    let helper = served.someone(&owner, "Ben", "helper");
    for (who, role) in [(&owner, Role::Owner), (&helper, Role::Helper)] {
        let id = stand(&served, who, "why=other&at=2026-10-06T09:00");
        let morning = see(&served, who, "/morning");
        assert!(
            morning.contains("The combine stands since"),
            "{role} {morning}"
        );
        assert!(morning.contains("write its end or correct it"), "{morning}");
        assert!(morning.contains(&format!("href=\"/stops#end-{id}\"")));
        let page = see(&served, who, "/stops");
        let form = page.split(&format!("id=\"end-{id}\"")).nth(1).unwrap();
        let form = form.split("</form>").next().unwrap();
        for blank in ["at", "why", "part", "cost", "remark"] {
            // each blank has a label of its own, and none is filled in
            let label = format!("<label for=\"{blank}-{id}\">");
            assert!(form.contains(&label), "{label} in {form}");
            assert!(form.contains(&format!("id=\"{blank}-{id}\"")), "{form}");
        }
        assert!(form.contains("min=\"2026-10-06T09:00\""), "{form}");
        // an end before the beginning is refused in a sentence, and nothing is written
        let early = served.ask(
            "POST",
            "/write/go",
            Some(who),
            &format!("stop={id}&at=2026-10-06T08:00&next=%2Fstops"),
        );
        assert_eq!(early.status, 422);
        assert!(
            early.body.contains("expected one after the stop began"),
            "{}",
            early.body
        );
        assert!(see(&served, who, "/stops").contains(&format!("end-{id}")));
        let to = keep(
            &served,
            who,
            "go",
            &format!(
                "stop={id}&at=2026-10-06T09:40&why=breakdown&part=feeder+chain&cost=420&remark=two+links&next=%2Fstops%3Fkept%3Dyes"
            ),
        );
        assert_eq!(to, "/stops?kept=yes");
        let page = see(&served, who, &to);
        assert!(page.contains("role=\"status\""), "it says that it is kept");
        assert!(!page.contains(&format!("id=\"end-{id}\"")), "{page}");
        for told in ["feeder chain", "two links", "$420", "broke down"] {
            assert!(page.contains(told), "{told} in {page}");
        }
        assert!(!see(&served, who, "/morning").contains("stands since"));
    }
}

/// 40 minutes broken at $180 are $120, with $420 of parts; half an hour of wagons is not in it.
#[test]
fn money_is_said_only_with_the_owners_cost_of_an_hour() {
    let served = serve(|_| {});
    let owner = served.owner();
    stand(
        &served,
        &owner,
        "why=breakdown&minutes=40&cost=420&at=2026-10-06T08:00",
    );
    stand(&served, &owner, "why=wagon&minutes=30&at=2026-10-06T09:00");
    let page = see(&served, &owner, "/stops");
    assert!(page.contains("Broken or plugged: 0.7 hours and $420 of parts and labor."));
    assert!(page.contains("Other standing: 0.5 hours, which no bill counts."));
    assert!(page.contains("/write/season?season=2026"), "{page}");
    assert!(!see(&served, &owner, "/night?day=2026-10-06").contains("an hour"));
    keep(&served, &owner, "season", "season=2026&hour=180");
    let page = see(&served, &owner, "/stops");
    assert!(
        page.contains(
            "Broken or plugged: 0.7 hours at $180 and $420 of parts and labor, $540 together."
        ),
        "{page}"
    );
    assert!(
        page.contains("Left blank, $180.00, as the season&#39;s settings say."),
        "{page}"
    );
    let night = see(&served, &owner, "/night?day=2026-10-06");
    assert!(night.contains("Broken or plugged"), "{night}");
    assert!(night.contains("$120.00"), "{night}");
    // hands see it, and may not set it
    let helper = served.someone(&owner, "Ben", "helper");
    let page = see(&served, &helper, "/stops");
    assert!(page.contains("$540 together") && !page.contains("/write/season"));
}

#[test]
fn an_end_that_tells_otherwise_stands_beside_the_beginning() {
    let served = serve(|_| {});
    let owner = served.owner();
    let id = stand(&served, &owner, "why=plug&cost=20&at=2026-10-06T09:00");
    keep(
        &served,
        &owner,
        "go",
        &format!("stop={id}&at=2026-10-06T09:40&why=breakdown&cost=600"),
    );
    let page = see(&served, &owner, "/stops");
    assert!(
        page.contains("its end says: broke down, $600.00; what was written first counts"),
        "{page}"
    );
    assert!(page.contains(&format!("/entry/{id}?mend=yes#mend")));
}
