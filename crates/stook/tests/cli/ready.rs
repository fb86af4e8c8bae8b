//! Ready lists, settings, running costs and tires, as people type them.

use crate::bench::Bench;

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).expect("json")
}

#[test]
fn a_reading_outside_its_limits_is_said_at_once() {
    let bench = Bench::farm();
    bench.ok(&[
        "write",
        "ready",
        "--text",
        "wheel nuts",
        "--list",
        "walk-round",
        "--often",
        "once",
        "--reading",
        "torque",
        "--unit",
        "lb ft",
        "--least",
        "430",
        "--most",
        "470",
        "--every",
        "50",
    ]);
    assert!(bench.ok(&["ready"]).contains("torque, 430 to 470 lb ft"));
    let low = bench.run(&[
        "ready",
        "tick",
        "1",
        "--value",
        "400",
        "--engine-hours",
        "1,000",
    ]);
    assert_eq!(low.code, 1);
    assert!(
        low.out.contains("below the least of 430 lb ft"),
        "{}",
        low.out
    );
    assert!(
        bench.ok(&["ready", "--due"]).contains("wheel nuts"),
        "still due"
    );
    let good = bench.run(&[
        "ready",
        "tick",
        "1",
        "--value",
        "450",
        "--engine-hours",
        "1001",
    ]);
    assert_eq!((good.code, good.err.as_str()), (0, ""));
    let list = json(&bench.ok(&["ready", "--json"]));
    assert_eq!(list["lines"][0]["due"], false);
    assert_eq!(list["lines"][0]["engine_h_left"], 50.0);
    // another line's tick says that the engine ran on: due again
    bench.ok(&["write", "ready", "--text", "grease", "--list", "walk-round"]);
    bench.ok(&["ready", "tick", "2", "--engine-hours", "1060"]);
    let list = json(&bench.ok(&["ready", "--json"]));
    assert_eq!(list["lines"][0]["due"], true);
    assert_eq!(list["lines"][0]["engine_h_left"], -9.0);
}

#[test]
fn the_starter_set_is_offered_not_forced() {
    let bench = Bench::farm();
    assert!(bench.ok(&["ready"]).contains("empty"));
    let offered = bench.ok(&["ready", "starter"]);
    assert!(offered.contains("head-change") && offered.contains("walk-round"));
    assert!(
        bench.ok(&["ready"]).contains("empty"),
        "looking takes nothing in"
    );
    bench.ok(&["ready", "starter", "1", "9"]);
    let list = json(&bench.ok(&["ready", "--json"]));
    assert_eq!(list["lines"].as_array().map(Vec::len), Some(2));
    bench.ok(&["ready", "starter", "--all"]);
    bench.ok(&["ready", "starter", "--all"]);
    let list = json(&bench.ok(&["ready", "--json"]));
    let lines = list["lines"].as_array().map(Vec::len);
    assert_eq!(lines, Some(facts::starter_lines().len()), "taken in once");
}

fn count(bench: &Bench, at: &str, found: &[&str]) {
    let mut words = vec![
        "write",
        "count",
        "--field",
        "Willow Bench",
        "--frame",
        "1 ft2",
        "--tail",
        "spread",
        "--cut-width",
        "20 ft",
        "--at",
        at,
    ];
    for one in found {
        words.extend(["--behind-machine", one]);
    }
    bench.ok(&words);
}

#[test]
fn a_change_is_judged_by_the_counts_around_it() {
    let bench = Bench::farm();
    count(&bench, "2025-10-01 14:00", &["31", "22", "48", "17", "27"]);
    bench.ok(&[
        "write",
        "setting",
        "--field",
        "Willow Bench",
        "--change",
        "fan 900 to 850 rpm",
        "--cracked",
        "2.5%",
        "--cracked-after",
        "1.5",
        "--at",
        "2025-10-01 14:30",
    ]);
    let waiting = bench.ok(&["settings"]);
    assert!(
        waiting.contains("count again with the same frame"),
        "{waiting}"
    );
    count(&bench, "2025-10-01 15:00", &["14", "19", "9", "22", "12"]);
    let said = bench.ok(&[
        "settings",
        "--price",
        "$10.40/bu",
        "--acres-per-hour",
        "6.5",
    ]);
    // the printed example of the method: probability .986, first look
    assert!(said.contains("99 in 100"), "{said}");
    assert!(
        said.contains("fan 900 to 850 rpm") && said.contains("an hour, 8 in 10"),
        "{said}"
    );
    assert!(
        said.contains("A B B A") && said.contains("cracked: 2.5 % before, 1.5 % after"),
        "{said}"
    );
    assert!(said.contains("Guards shut"), "{said}");
    let log = json(&bench.ok(&["settings", "--json", "--price", "10.40"]));
    let verdict = &log["lines"][0]["verdict"];
    assert!((verdict["change"]["better"].as_f64().unwrap_or(0.0) - 0.986_046).abs() < 1e-5);
    assert_eq!(verdict["change"]["looks"], 1);
    // back and forth is one trial, counted in turn; every count after the change is a look
    bench.ok(&[
        "write",
        "setting",
        "--field",
        "Willow Bench",
        "--change",
        "fan 850 to 900 rpm",
        "--at",
        "2025-10-01 15:30",
    ]);
    count(&bench, "2025-10-01 15:40", &["29", "35", "21"]);
    let log = json(&bench.ok(&["settings", "--json"]));
    assert!(log["lines"][0]["part_of"].is_string(), "{log}");
    let verdict = &log["lines"][1]["verdict"];
    assert_eq!(verdict["change"]["frames"], serde_json::json!([8, 5]));
    assert_eq!(verdict["change"]["looks"], 2);
    assert!(verdict["saved_per_ac"].is_null() && verdict["no_money"] == "price");
}

#[test]
fn two_changes_are_one_verdict_and_the_head_asks_for_four_classes() {
    let bench = Bench::farm();
    let both = |at: &str, head: [&str; 3], machine: [&str; 3]| {
        let mut words = vec![
            "write",
            "count",
            "--field",
            "Willow Bench",
            "--frame",
            "1 ft2",
            "--tail",
            "windrow",
            "--tail-width",
            "5 ft",
            "--cut-width",
            "20 ft",
            "--at",
            at,
        ];
        for (head, machine) in head.iter().zip(machine) {
            words.extend(["--behind-head", head, "--behind-machine", machine]);
        }
        bench.ok(&words);
    };
    both("2025-10-01 14:00", ["10", "12", "9"], ["30", "26", "34"]);
    bench.ok(&[
        "write",
        "setting",
        "--field",
        "Willow Bench",
        "--change",
        "reel 32 to 28 rpm",
        "--change",
        "fan 900 to 850 rpm",
        "--at",
        "2025-10-01 14:30",
    ]);
    both("2025-10-01 15:00", ["20", "22", "19"], ["40", "36", "44"]);
    let said = bench.ok(&["settings"]);
    assert!(
        said.contains("reel 32 to 28 rpm + fan 900 to 850 rpm"),
        "{said}"
    );
    assert!(
        said.contains("all of them together") && said.contains("head was touched"),
        "{said}"
    );
}

#[test]
fn running_costs_and_tires_answer_from_a_few_values() {
    let bench = Bench::new();
    let cost = json(&bench.ok(&[
        "calc",
        "cost",
        "--list",
        "$200,000",
        "--per-year",
        "200",
        "--interest",
        "8%",
        "--json",
    ]));
    assert!(
        (cost["repair_per_h"].as_f64().unwrap_or(0.0) - 17.148).abs() < 0.001,
        "{cost}"
    );
    assert!(cost["repair_per_h_low"].as_f64() < cost["repair_per_h"].as_f64());
    let why = bench.ok(&[
        "calc",
        "cost",
        "--list",
        "200000",
        "--per-year",
        "200",
        "--power",
        "250 hp",
        "--fuel",
        "$3.60/gal",
        "--acres-per-hour",
        "6.5 ac/h",
        "--why",
        "--units",
        "metric",
    ]);
    assert!(
        why.contains("a hectare") && why.contains("from memory") && why.contains("L/h"),
        "{why}"
    );
    let tire = bench.ok(&[
        "calc", "tires", "--tire", "52 psi", "--rim", "46 psi", "--wanted", "44 psi", "--read",
        "35 psi",
    ]);
    assert!(
        tire.contains("do not pump it up") && tire.contains("rim's mark"),
        "{tire}"
    );
    assert!(tire.contains("Caution"), "{tire}");
}

#[test]
fn bad_input_is_one_sentence() {
    let bench = Bench::farm();
    for words in [
        &["calc", "cost", "--list", "-5", "--per-year", "200"][..],
        &["calc", "cost", "--list", "5", "--per-year", "0"],
        &[
            "calc",
            "cost",
            "--list",
            "5",
            "--per-year",
            "20",
            "--machine",
            "horse",
        ],
        &[
            "calc", "tires", "--tire", "52 psi", "--rim", "0", "--wanted", "40",
        ],
        &["calc", "tires", "--tire", "52 psi", "--rim", "40 psi"],
        &[
            "calc", "tires", "--tire", "52 psi", "--rim", "40", "--load", "9 t", "--table", "40",
        ],
        &["ready", "tick", "7"],
        &["ready", "starter", "99"],
        &["settings", "--price", "much"],
        &["settings", "--tries", "hay"],
        &["write", "setting", "--change", "fan"],
        &["write", "setting", "--change", "fan 3 to 3"],
        &[
            "write",
            "setting",
            "--change",
            "fan 3 to 4",
            "--cracked",
            "140%",
        ],
        &[
            "write",
            "ready",
            "--text",
            "x",
            "--list",
            "y",
            "--reading",
            "torque",
        ],
        &[
            "write",
            "ready",
            "--text",
            "x",
            "--list",
            "y",
            "--reading",
            "torque",
            "--unit",
            "Nm",
            "--least",
            "9",
            "--most",
            "3",
        ],
    ] {
        let ran = bench.run(words);
        assert_eq!(ran.code, 2, "{words:?}: {}", ran.out);
        assert_eq!(
            ran.err.trim_end().lines().count(),
            1,
            "{words:?}: {}",
            ran.err
        );
    }
}
