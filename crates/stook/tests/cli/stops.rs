//! `stook stop`: begun, ended, asked about.

use crate::bench::Bench;
use serde_json::Value;

fn season(bench: &Bench, words: &[&str]) -> Value {
    let mut all = vec!["--json", "stop", "--season", "2025"];
    all.extend(words);
    serde_json::from_str(&bench.ok(&all)).expect("a report")
}

fn stops(bench: &Bench) -> String {
    for (at, why, minutes) in [
        ("2025-10-01 10:00", "breakdown", "90"),
        ("2025-10-01 12:30", "plug", "20"),
        ("2025-10-02 09:00", "wagon", "45"),
        ("2025-10-02 15:00", "breakdown", "3:30"),
        ("2025-10-03 11:00", "fuel-grease", "25"),
    ] {
        bench.ok(&[
            "stop",
            why,
            "--at",
            at,
            "--minutes",
            minutes,
            "--part",
            "feeder chain",
        ]);
    }
    bench.ok(&["stop", "--season", "2025", "--an-hour", "180"])
}

/// 90 + 20 + 45 + 210 + 25 minutes are 6.5 hours, of which 5 are breakdowns and a third of one a plug; those
/// 320 minutes at $180 are $960.
#[test]
fn a_season_of_stops_has_its_bill_and_its_worst_cause() {
    let bench = Bench::farm();
    let said = stops(&bench);
    assert!(
        said.starts_with("5 stops took 6.5 hours: broken or plugged 5.3 hours and $960, other standing 1.2 hours; longest in all: breakdown (5.0 h)."),
        "{said}"
    );
    assert!(said.contains("key"), "a caution: {said}");
    let told = season(&bench, &["--acres-cut", "210", "--acres-left", "140"]);
    assert_eq!(told["causes"][0]["why"], "breakdown");
    // prior 1.5 stops on 1.5/.451 hundred acres of soybeans, 2 stops on 210 acres
    let rate = told["breakdowns"]["on_100_ac"]["value"].as_f64().unwrap();
    assert!(
        (rate - 100.0 * 3.5 / (332.6048 + 210.0)).abs() < 1e-3,
        "{rate}"
    );
    let ahead = &told["breakdowns"]["ahead"];
    let none = ahead["p_none"].as_f64().unwrap();
    assert!(
        (none - (542.6048_f64 / 682.6048).powf(3.5)).abs() < 1e-4,
        "{none}"
    );
    assert!(ahead["hours"]["high"].as_f64().unwrap() > ahead["hours"]["value"].as_f64().unwrap());
    assert_eq!(
        told,
        season(&bench, &["--acres-cut", "210", "--acres-left", "140"])
    );
}

/// Rate (1.5 + 2)/(332.6 + 210) an acre; the part is in all stops of 140 acres: used with 1 - (542.6/682.6)^3.5.
#[test]
fn a_spare_is_worth_the_hours_it_saves() {
    let bench = Bench::farm();
    stops(&bench);
    let words = [
        "--acres-cut",
        "210",
        "--acres-left",
        "140",
        "--an-hour",
        "150",
        "--spare",
        "500",
        "--share",
        "100",
        "--saves",
        "6",
        "--rush",
        "100",
    ];
    let told = season(&bench, &words);
    let used = 1.0 - (542.6048_f64 / 682.6048).powf(3.5);
    let first = &told["spares"][0];
    assert!(
        (first["p_used"].as_f64().unwrap() - used).abs() < 1e-4,
        "{first}"
    );
    let net = used * 1_000.0 - (1.0 - used) * 100.0;
    assert!(
        (first["net_usd"].as_f64().unwrap() - net).abs() < 0.1,
        "{first}"
    );
    let ran = bench.run(&["stop", "--season", "2025", "--spare", "500"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
}

#[test]
fn an_end_before_its_beginning_is_refused_and_nothing_is_lost() {
    let bench = Bench::farm();
    bench.ok(&["stop", "plug", "--at", "2025-10-01 14:00"]);
    let ran = bench.run(&["stop", "end", "--at", "2025-10-01 13:00"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("2025-10-01 13:00") && ran.err.contains("2025-10-01 14:00"),
        "{}",
        ran.err
    );
    bench.ok(&["stop", "end", "--at", "2025-10-01 14:25"]);
    assert_eq!(season(&bench, &[])["stops"][0]["minutes"], 25);
}

/// The end says what the beginning could not know, and the hour's cost may stand in the season's settings.
#[test]
fn an_end_tells_why_part_and_cost() {
    let bench = Bench::farm();
    bench.ok(&["stop", "other", "--at", "2025-10-01 14:00"]);
    bench.ok(&[
        "stop",
        "end",
        "--at",
        "2025-10-01 14:30",
        "--because",
        "breakdown",
        "--part",
        "feeder chain",
        "--cost",
        "$420",
        "--remark",
        "new chain",
    ]);
    bench.ok(&["write", "season", "--season", "2025", "--hour", "180"]);
    let told = season(&bench, &[]);
    let one = &told["stops"][0];
    assert_eq!(
        (&one["why"], &one["part"], &one["cost_usd"], &one["done"][0]),
        (
            &Value::from("breakdown"),
            &Value::from("feeder chain"),
            &Value::from(420.0),
            &Value::from("new chain")
        )
    );
    assert_eq!(
        (&told["hour_usd"], &told["bill_usd"]),
        (&Value::from(180.0), &Value::from(510.0))
    );
}

#[test]
fn a_stop_left_open_overnight_asks_and_counts_nothing() {
    let bench = Bench::farm();
    bench.ok(&["stop", "breakdown", "--at", "2025-10-01 18:00"]);
    let told = season(&bench, &[]);
    assert_eq!(told["stops"][0]["asks"], true);
    assert_eq!(told["stops"][0]["minutes"], Value::Null);
    assert_eq!(told["hours"], 0.0);
    // ended in the morning: the night is still nobody's stop
    bench.ok(&[
        "stop",
        "end",
        "--at",
        "2025-10-02 08:00",
        "--which",
        told["stops"][0]["entry"].as_str().unwrap(),
    ]);
    assert_eq!(season(&bench, &[])["stops"][0]["asks"], true);
    let said = bench.ok(&["stop", "--season", "2025"]);
    assert!(
        said.contains("when did it end?") && said.contains("--set minutes=45"),
        "{said}"
    );
    bench.ok(&[
        "mend",
        told["stops"][0]["entry"].as_str().unwrap(),
        "--set",
        "minutes=120",
        "--reason",
        "asked the driver",
    ]);
    let told = season(&bench, &[]);
    assert_eq!(
        (&told["stops"][0]["asks"], &told["stops"][0]["minutes"]),
        (&Value::Bool(false), &Value::from(120))
    );
}

#[test]
fn of_two_ends_the_earliest_stands_and_both_are_kept() {
    let bench = Bench::farm();
    bench.ok(&["stop", "plug", "--at", "2025-10-01 14:00"]);
    let id = season(&bench, &[])["stops"][0]["entry"]
        .as_str()
        .unwrap()
        .to_owned();
    bench.ok(&["stop", "end", "--at", "2025-10-01 14:40", "--which", &id]);
    bench.ok(&["stop", "end", "--at", "2025-10-01 14:20", "--which", &id]);
    let told = season(&bench, &[]);
    assert_eq!(
        (&told["stops"][0]["minutes"], &told["stops"][0]["ends"]),
        (&Value::from(20), &Value::from(2))
    );
    assert!(
        bench
            .ok(&["stop", "--season", "2025"])
            .contains("ended 2 times; the earliest end stands")
    );
}

#[test]
fn what_cannot_be_meant_is_one_sentence() {
    let bench = Bench::farm();
    for (words, holds) in [
        (&["stop", "tired"][..], "breakdown"),
        (&["stop", "end"], "none runs"),
        (&["stop", "plug", "--minutes", "-5"], "minutes"),
        (&["stop", "plug", "--cost", "-5"], "cost"),
        (&["stop", "--an-hour", "-180"], "an-hour"),
    ] {
        let ran = bench.run(words);
        assert_eq!(ran.code, 2, "{words:?}: {}", ran.out);
        assert_eq!(ran.err.trim().lines().count(), 1, "{words:?}: {}", ran.err);
        assert!(ran.err.contains(holds), "{words:?}: {}", ran.err);
    }
}
