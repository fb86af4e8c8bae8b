//! `stook speed` and `stook calc capacity`.

use crate::bench::Bench;

pub(crate) const TYPED: [&str; 14] = [
    "speed",
    "--loss",
    "1 bu/ac at 3 mph",
    "--loss",
    "3 bu/ac at 4 mph",
    "--crop",
    "corn",
    "--price",
    "$10",
    "--width",
    "40ft",
    "--hour",
    "$300",
    "--now=4 mph",
];

#[test]
fn two_losses_are_enough_for_a_sentence_with_money() {
    let bench = Bench::new();
    let ran = bench.run(&TYPED);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out
            .starts_with("Drive 2.4 to 2.9 mph: at 4.0 mph an acre costs $16 more."),
        "{}",
        ran.out
    );
    let metric = bench.run(&[&TYPED[..], &["--units", "metric"]].concat());
    assert!(
        metric
            .out
            .contains("km/h: at 6.4 km/h a hectare costs $39 more"),
        "{}",
        metric.out
    );
    let json = bench.run(&[&TYPED[..], &["--json"]].concat());
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    let free = json["free_m_s"].as_f64().unwrap() / 0.44704;
    assert!((free - 2.639_99).abs() < 1e-5, "{free}");
    let why = bench.run(&[&TYPED[..], &["--why"]].concat());
    assert!(why.out.contains("formula:"), "{}", why.out);
}

#[test]
fn one_loss_says_in_the_readers_units_where_to_count_next() {
    let bench = Bench::new();
    let mut words = TYPED.to_vec();
    words.drain(3..5);
    let us = bench.ok(&words);
    assert!(
        us.contains("for only one speed was counted; count at"),
        "{us}"
    );
    assert!(
        us.contains("within $0.50/ac") && !us.contains("km/h"),
        "{us}"
    );
    words.extend(["--units", "metric"]);
    let metric = bench.ok(&words);
    assert!(metric.contains("within $1.24/ha"), "{metric}");
    assert!(
        metric.contains(" km/h too") && !metric.contains("mph"),
        "{metric}"
    );
}

#[test]
fn bad_input_is_one_sentence() {
    let bench = Bench::new();
    for (extra, names) in [
        (&["--loss", "much at 3 mph"][..], "loss"),
        (&["--cap", "moon=3 mph"], "cap"),
        (&["--efficiency", "170"], "efficiency"),
    ] {
        let ran = bench.run(&[&TYPED[..], extra].concat());
        assert_eq!(ran.code, 2, "{}{}", ran.out, ran.err);
        assert_eq!(ran.err.trim().lines().count(), 1, "{}", ran.err);
        assert!(ran.err.contains(names), "{}", ran.err);
    }
    let none = bench.run(&["speed", "--price", "$10", "--hour", "$100"]);
    assert_eq!(none.code, 2);
    assert!(none.err.contains("loss"), "{}", none.err);
}

#[test]
fn acres_bushels_and_minutes() {
    let bench = Bench::new();
    let words = [
        "calc",
        "capacity",
        "--speed",
        "3.5 mph",
        "--width",
        "20ft",
        "--efficiency",
        "70%",
        "--crop",
        "corn",
        "--yield",
        "180 bu/ac",
        "--tank",
        "300",
        "--left",
        "12 ac",
        "--room",
        "2160",
    ];
    let ran = bench.run(&words);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for says in ["5.9 ac", "1069 bu", "16.8 min", "5 times in 10"] {
        assert!(ran.out.contains(says), "{says}: {}", ran.out);
    }
    let bad = bench.run(&["calc", "capacity", "--width", "20ft", "--efficiency", "70%"]);
    assert_eq!(bad.code, 2, "{}", bad.out);
    assert!(bad.err.contains("speed"), "{}", bad.err);
}
