//! The newcomer's path, through the real binary.

use crate::bench::Bench;
use std::path::{Path, PathBuf};

#[test]
fn with_no_arguments_it_says_in_five_lines_what_to_do_next() {
    let bench = Bench::new();
    assert_eq!(bench.ok(&[]).lines().count(), 5);
    let bench = Bench::farm();
    let said = bench.json(&[]);
    assert_eq!(said.as_array().unwrap().len(), 5);
    let first = said[0].as_str().unwrap();
    assert!(first.starts_with("Creek Bench: 0 slips"), "{said}");
}

#[test]
fn with_a_book_at_hand_it_serves_the_day_until_it_is_stopped() {
    let bench = Bench::farm();
    let (said, answer) = bench.served(&[]);
    assert!(said.contains("http://127.0.0.1:"), "{said}");
    // without the one-time link nobody comes in, from this computer neither
    assert!(answer.starts_with("HTTP/1.1 401"), "{answer}");
    let (_, answer) = bench.served(&["serve", "--no-open", "--port", "0"]);
    assert!(answer.starts_with("HTTP/1.1 401"), "{answer}");
}

#[test]
fn a_season_squares_and_a_swapped_digit_does_not_until_it_is_mended() {
    let bench = Bench::trips("24,380 lb");
    let ran = bench.run(&["square"]);
    assert_eq!(ran.code, 0, "{}", ran.out);
    assert!(ran.out.starts_with("Square:"), "{}", ran.out);

    let bench = Bench::trips("42,380 lb");
    let ran = bench.run(&["square"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(ran.out.contains("ticket 48214"), "{}", ran.out);
    let found = bench.json(&["square"]);
    assert_eq!(found["suspects"][0]["slip"], "ticket 48214");
    assert_eq!(
        found["suspects"][0]["suspect"]["hypotheses"][0]["kind"],
        "digits_swapped"
    );
    bench.ok(&[
        "mend",
        "48214",
        "--set",
        "gross=24,380 lb",
        "--reason",
        "the paper ticket says 24,380",
    ]);
    let ran = bench.run(&["square"]);
    assert_eq!(ran.code, 0, "{}", ran.out);
    let history = bench.ok(&["book", "show", "48214"]);
    assert!(
        history.contains("42380 lb")
            && history.contains("24380 lb")
            && history.contains("because:"),
        "{history}"
    );
    assert!(bench.ok(&["book", "check"]).contains("clean"));
}

#[test]
fn a_ticket_is_settled_to_the_cent_and_split_to_the_whole() {
    let bench = Bench::trips("24,380 lb");
    let audit = bench.json(&["audit", "48210"]);
    let one = &audit["audited"][0];
    // 18,720 lb = 312 bu; 0.2 points over is one half-point step, 1 %: 3.12 bu; 308.88 x 10.40 = 3,212.352
    let number = |key: &str| -> f64 { one["settlement"][key].as_str().unwrap().parse().unwrap() };
    assert_eq!(number("gross_units"), 312.0);
    assert_eq!(number("net_units"), 308.88);
    // 3,212.35 less half a per cent, 16.06
    assert_eq!(number("net"), 3_196.29);
    let parts: Vec<f64> = one["split"]
        .as_array()
        .unwrap()
        .iter()
        .map(|part| part[1].as_str().unwrap().parse::<f64>().unwrap())
        .collect();
    assert_eq!(parts, [2130.86, 1065.43]);
    assert_eq!(
        bench.run(&["audit", "48210", "--paid", "$3,196.29"]).code,
        0
    );
    assert_eq!(
        bench.run(&["audit", "48210", "--paid", "$3,190.00"]).code,
        1
    );
}

#[test]
fn the_day_sheet_has_its_sentence_and_units() {
    let bench = Bench::trips("24,380 lb");
    let sheet = bench.ok(&["night"]);
    for part in [
        "Square:",
        "bu dry at 13",
        "Willow Bench",
        "insurance",
        "owner",
        "Caution:",
    ] {
        assert!(sheet.contains(part), "no '{part}' in\n{sheet}");
    }
    let json = bench.json(&["night"]);
    assert_eq!(json["fields"][0]["yields"][0]["acres"], "planted");
    let day = bench.ok(&["night", "--day", "2025-10-03"]);
    assert!(day.contains("2025-10-03"), "{day}");
}

#[test]
fn a_book_goes_out_and_comes_back_without_loss() {
    let bench = Bench::trips("24,380 lb");
    bench.ok(&["strike", "48214", "--reason", "was another farm's ticket"]);
    bench.ok(&["book", "export", "out"]);
    for file in ["entries.csv", "fields.gpkg"] {
        assert!(bench.path().join("out").join(file).exists(), "{file}");
    }
    bench.ok(&["--book", "again.stook", "book", "import", "out"]);
    let all = |book: &str| bench.json(&["--book", book, "book", "show", "--all"]);
    assert_eq!(all("farm.stook"), all("again.stook"));
    // what was exported again is the same to the byte
    bench.ok(&["--book", "again.stook", "book", "export", "out-again"]);
    let bytes =
        |folder: &str| std::fs::read(bench.path().join(folder).join("entries.csv")).unwrap();
    assert_eq!(bytes("out"), bytes("out-again"));
    // an import that fails leaves no book behind
    std::fs::write(
        bench.path().join("out-again/entries.csv"),
        "id,device\n1,2\n",
    )
    .unwrap();
    let ran = bench.run(&["--book", "third.stook", "book", "import", "out-again"]);
    assert_eq!(ran.code, 2);
    assert!(!bench.path().join("third.stook").exists());
    bench.ok(&["book", "backup", "copy.stook"]);
    assert_eq!(
        bench.run(&["book", "backup", "copy.stook"]).code,
        2,
        "a backup never overwrites"
    );
    assert!(bench.ok(&["book", "merge", "copy.stook"]).contains("0 new"));
}

#[test]
fn completions_and_man_pages_come_from_the_same_definition() {
    let bench = Bench::new();
    let script = bench.ok(&["completions", "bash"]);
    assert!(
        script.contains("--shared-tare"),
        "a figure of the desk's forms is offered"
    );
    bench.ok(&["man", "man"]);
    let pages: Vec<PathBuf> = std::fs::read_dir(bench.path().join("man"))
        .unwrap()
        .map(|page| page.unwrap().path())
        .collect();
    assert!(
        pages
            .iter()
            .any(|page| page.ends_with("stook-write-weighed.1")),
        "{pages:?}"
    );
}

#[test]
fn the_real_field_adds_up() {
    let data = std::env::var("STOOK_TEST_DATA").map_or_else(
        |_| Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data"),
        PathBuf::from,
    );
    let file = data.join("yield-points-minnesota-corn.tsv");
    if !file.exists() {
        println!("skipped: the real field needs STOOK_TEST_DATA");
        return;
    }
    let bench = Bench::new();
    let got = bench.json(&[
        "pass",
        "summary",
        file.to_str().unwrap(),
        "--swath",
        "360in",
        "--crop",
        "corn",
    ]);
    // source: open data collection agridat, gartner.corn; totals recomputed by reference/points
    assert_eq!(got["n"], 4949);
    for (key, expected) in [
        ("area_ac", 67.6368),
        ("wet_lb", 513_551.0),
        ("dry_bu", 9_027.154),
        ("yield_bu_per_ac", 133.465),
        ("moisture_pct_mass_weighted", 16.8213),
    ] {
        let value = got[key].as_f64().unwrap();
        assert!(
            (value / expected - 1.0).abs() < 1e-5,
            "{key}: {value}, expected {expected}"
        );
    }
    assert!(
        got["assumed"].to_string().contains("lb/s"),
        "the units assumed are printed"
    );
}
