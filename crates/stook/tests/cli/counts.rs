//! `stook count`: from frames to a sentence with money in it.

use crate::bench::Bench;
use serde_json::Value;

/// Five values: the crop, two rows of frames, the tail and a price.
const FIVE: [&str; 10] = [
    "count",
    "soybeans",
    "--head",
    "10,9,11,11",
    "--behind",
    "28,19,41,24",
    "--tail",
    "windrow 5 ft of 30 ft",
    "--price",
    "11",
];

/// Head (10 + 9 + 11 + 11)/4 = 10.25 seeds a square foot; machine (28 - 10.25)/6 = 2.958; of 60 lb at
/// 156.2 g a thousand 3.99972 seeds are a bushel, so 2.5627 + 0.7396 = 3.3023 bu/ac and $36.33 at $11.
#[test]
fn five_values_make_a_sentence_with_money_in_it() {
    let bench = Bench::new();
    let said = bench.ok(&FIVE);
    let first = said.lines().next().unwrap();
    assert!(
        first.starts_with("You are leaving $36 (") && first.ends_with("most of it at the head."),
        "{first}"
    );
    assert!(first.contains("an acre, 3.3 ("), "{first}");
    assert!(said.contains("Ranges hold 8 cases in 10."), "{said}");
    assert!(said.contains("engine off, key out"), "{said}");
    let mut json = FIVE.to_vec();
    json.push("--json");
    let answer: Value = serde_json::from_str(&bench.ok(&json)).unwrap();
    assert_eq!(answer["sentence"], first);
    let total = &answer["loss"]["total"];
    let near = |value: &Value, wanted: f64| (value.as_f64().unwrap() - wanted).abs() < 2e-3;
    assert!(near(&total["bu_per_ac"]["value"], 3.3023), "{total}");
    assert!((total["money_per_ac"]["value"].as_f64().unwrap() - 36.326).abs() < 2e-2);
    assert_eq!(answer["most"], "head");
    assert!(answer["seeds_are_default"].as_bool().unwrap());
}

#[test]
fn without_the_tail_there_are_two_answers_and_no_money() {
    let bench = Bench::new();
    let said = bench.ok(&[
        "count",
        "soybeans",
        "--head",
        "10,9,11,11",
        "--behind",
        "28,19,41,24",
        "--price",
        "11",
    ]);
    assert!(!said.contains('$'), "{said}");
    let first = said.lines().next().unwrap();
    assert!(
        first.contains("7.0 (") && first.contains("3.3 ("),
        "{first}"
    );
}

#[test]
fn two_frames_give_a_figure_and_no_range() {
    let bench = Bench::new();
    let said = bench.ok(&["count", "corn", "--head", "3,2"]);
    assert!(said.contains("too few to say how sure"), "{said}");
    assert!(!said.lines().next().unwrap().contains(" to "), "{said}");
}

/// $36.33 an acre over 0.40469 ha is $89.76 a hectare; 3.3023 bu/ac of 60 lb are 0.222 t/ha.
#[test]
fn the_sentence_is_metric_too() {
    let bench = Bench::new();
    let mut words = FIVE.to_vec();
    words.extend(["--units", "metric"]);
    let said = bench.ok(&words);
    let first = said.lines().next().unwrap();
    assert!(first.starts_with("You are leaving $90 ("), "{first}");
    assert!(
        first.contains("a hectare, 0.22 (") && !first.contains("acre"),
        "{first}"
    );
}

/// 6 behind the machine against 10 behind the head: what the machine lost is shown as nothing, with
/// the reason, and kept as it fell in the JSON.
#[test]
fn less_behind_the_machine_is_shown_as_nothing() {
    let bench = Bench::new();
    let words = [
        "count", "soybeans", "--head", "10,9,11", "--behind", "5,6,7", "--tail", "spread",
    ];
    let said = bench.ok(&words);
    let machine = said
        .lines()
        .find(|line| line.starts_with("machine"))
        .unwrap();
    assert!(
        machine.contains("0.00") && !machine.contains('-'),
        "{machine}"
    );
    assert!(said.contains("chance, or frames mixed up"), "{said}");
    let kept = bench.json(&words);
    assert!(
        kept["loss"]["machine"]["bu_per_ac"]["value"]
            .as_f64()
            .unwrap()
            < -0.9
    );
}

#[test]
fn metric_readers_get_hectares() {
    let bench = Bench::new();
    let mut words = FIVE.to_vec();
    words.extend(["--units", "metric", "--why"]);
    let said = bench.ok(&words);
    assert!(said.contains("t/ha") && said.contains("$/ha"), "{said}");
    assert!(said.contains("MU Extension G1280"), "{said}");
}

#[test]
fn what_cannot_be_meant_is_one_sentence() {
    let bench = Bench::new();
    for (words, holds) in [
        (&["count", "soybeans", "--head", "10,-3"][..], "'-3'"),
        (&["count", "soybeans", "--head", "10,nine"], "'nine'"),
        (&["count", "soybeans"], "--head 10,9,11,11"),
        (&["count", "hemp", "--head", "3,4,5"], "crop"),
        (
            &[
                "count",
                "soybeans",
                "--head",
                "3,4,5",
                "--behind",
                "9,9,9",
                "--tail",
                "windrow 5 ft of 30 ft",
                "--frame",
                "1 ft x 40 ft",
            ],
            "40.0 ft",
        ),
        (
            &[
                "count",
                "soybeans",
                "--head",
                "3,4,5",
                "--tail",
                "windrow 35 ft of 30 ft",
            ],
            "35.0 ft",
        ),
        (
            &["count", "soybeans", "--head", "3,4,5", "--tail", "windrow"],
            "windrow 5 ft of 30 ft",
        ),
        (
            &[
                "count",
                "soybeans",
                "--behind",
                "3,4,5",
                "--tail",
                "windrow 5 ft of 30 ft",
            ],
            "behind the head too",
        ),
        (
            &["count", "soybeans", "--head", "3,4,5", "--price", "-2"],
            "price",
        ),
        (
            &[
                "count",
                "soybeans",
                "--head",
                "3,4,5",
                "--seed-weight",
                "heavy",
            ],
            "180 g",
        ),
        (
            &[
                "count",
                "soybeans",
                "--head",
                "3,4,5",
                "--acres-an-hour",
                "-4",
            ],
            "acres-an-hour",
        ),
    ] {
        let ran = bench.run(words);
        assert_eq!(ran.code, 2, "{words:?}: {}", ran.out);
        assert_eq!(ran.err.trim().lines().count(), 1, "{words:?}: {}", ran.err);
        assert!(ran.err.contains(holds), "{words:?}: {}", ran.err);
    }
}

#[test]
fn counts_of_the_book_are_answered_with_its_seed_weight_and_price() {
    let bench = Bench::farm();
    bench.ok(&[
        "write",
        "count",
        "--at",
        "2025-10-03 14:20",
        "--field",
        "Willow Bench",
        "--crop",
        "soybean",
        "--season",
        "2025",
        "--frame",
        "1 ft2",
        "--cut-width",
        "30 ft",
        "--standing",
        "2",
        "--standing",
        "1",
        "--standing",
        "2",
        "--behind-head",
        "10",
        "--behind-head",
        "9",
        "--behind-head",
        "11",
        "--behind-machine",
        "28",
        "--behind-machine",
        "19",
        "--behind-machine",
        "41",
        "--tail",
        "windrow",
        "--tail-width",
        "5 ft",
        "--seed-weight",
        "180 g",
    ]);
    let said = bench.ok(&["count", "--season", "2025"]);
    assert!(
        said.contains("2025-10-03 14:20  Willow Bench: You are leaving"),
        "{said}"
    );
    // counted before the first tank was emptied: its season is the latest
    assert_eq!(said, bench.ok(&["count"]));
    let json: Value =
        serde_json::from_str(&bench.ok(&["--json", "count", "--season", "2025"])).unwrap();
    let answer = &json[0]["answer"];
    assert_eq!(answer["thousand_seeds_g"], 180.0);
    // (10 - 5/3)/3.471 at the head and (29.33 - 10)/6/3.471 behind it
    let total = answer["loss"]["total"]["bu_per_ac"]["value"]
        .as_f64()
        .unwrap();
    assert!(
        (total - (25.0 / 3.0 + 58.0 / 18.0) / 3.471).abs() < 2e-3,
        "{total}"
    );
}
