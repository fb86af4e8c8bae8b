//! The newcomer's path and what goes wrong on it, through the real binary.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder of its own for one test, with a book's worth of commands.
struct Bench {
    folder: tempfile::TempDir,
}

struct Ran {
    code: i32,
    out: String,
    err: String,
}

impl Bench {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }
    fn path(&self) -> &Path {
        self.folder.path()
    }
    fn run(&self, words: &[&str]) -> Ran {
        let output: Output = Command::new(env!("CARGO_BIN_EXE_stook"))
            .args(words)
            .current_dir(self.path())
            .env("STOOK_DEVICE", "test-device")
            .env_remove("STOOK_BOOK")
            .output()
            .unwrap();
        Ran {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }
    fn ok(&self, words: &[&str]) -> String {
        let ran = self.run(words);
        assert_eq!(ran.code, 0, "{words:?}\n{}\n{}", ran.out, ran.err);
        ran.out
    }
    fn json(&self, words: &[&str]) -> serde_json::Value {
        let mut all = vec!["--json"];
        all.extend(words);
        let ran = self.run(&all);
        serde_json::from_str(&ran.out)
            .unwrap_or_else(|why| panic!("{words:?}: {why}\n{}\n{}", ran.out, ran.err))
    }
    /// Farm, field, machine, places, meter and buyer.
    fn farm() -> Self {
        let bench = Self::new();
        std::fs::write(bench.path().join("beans.toml"), SCHEDULE).unwrap();
        for words in [
            &[
                "book",
                "new",
                "--farm",
                "Creek Bench",
                "--zone",
                "America/Chicago",
            ][..],
            &[
                "write",
                "field",
                "--name",
                "Willow Bench",
                "--unit",
                "A",
                "--planted",
                "30.1 ac",
            ],
            &[
                "write",
                "machine",
                "--name",
                "combine",
                "--tank",
                "10000 lb",
                "--monitor",
                "wet",
            ],
            &[
                "write",
                "place",
                "--name",
                "Gravity 1",
                "--kind",
                "wagon",
                "--capacity",
                "22,400 lb",
            ],
            &["write", "place", "--name", "Pit", "--kind", "pit"],
            &["write", "meter", "--name", "bench", "--kind", "buyer"],
            &["write", "meter", "--name", "sensor", "--kind", "machine"],
            &[
                "write",
                "buyer",
                "--name",
                "Pit",
                "--schedule",
                "beans.toml",
            ],
            &[
                "write",
                "planting",
                "--field",
                "Willow Bench",
                "--crop",
                "soybean",
                "--season",
                "2026",
                "--share",
                "owner=2/3",
                "--share",
                "landowner=1/3",
            ],
        ] {
            bench.ok(words);
        }
        bench
    }
    /// Four trips, two tanks each; the gross of the last is as given.
    fn trips(gross: &str) -> Self {
        let bench = Self::farm();
        let loads = [
            ("9,480 lb", "9,210 lb", "23,880 lb"),
            ("9,650 lb", "9,020 lb", "23,860 lb"),
            ("9,150 lb", "9,390 lb", "23,720 lb"),
            ("9,300 lb", "9,260 lb", "23,740 lb"),
            ("9,700 lb", "9,400 lb", gross),
        ];
        for (day, (a, b, gross)) in loads.iter().enumerate() {
            for (minute, reading) in [("10", a), ("40", b)] {
                let at = format!("2026-10-0{} 14:{minute}", day + 1);
                bench.ok(&[
                    "write",
                    "dump",
                    "--machine",
                    "combine",
                    "--field",
                    "Willow Bench",
                    "--crop",
                    "soybean",
                    "--to",
                    "Gravity 1",
                    "--monitor",
                    reading,
                    "--moisture",
                    "13.0%",
                    "--meter",
                    "sensor",
                    "--at",
                    &at,
                ]);
            }
            let (at, number) = (format!("2026-10-0{} 16:00", day + 1), format!("4821{day}"));
            bench.ok(&[
                "write",
                "weighed",
                "--from",
                "Gravity 1",
                "--to",
                "Pit",
                "--buyer",
                "Pit",
                "--crop",
                "soybean",
                "--gross",
                gross,
                "--tare",
                "5,160 lb",
                "--moisture",
                "13.2%",
                "--meter",
                "bench",
                "--test-weight",
                "57.0 lb/bu",
                "--number",
                &number,
                "--terms",
                "sell",
                "--price",
                "$10.40/bu",
                "--field",
                "Willow Bench",
                "--at",
                &at,
            ]);
        }
        bench
    }
}

const SCHEDULE: &str = r#"
name = "soybeans, cash"
buyer = "Pit"
contract = "cash"
crop = "soybean"
base_moisture_pct = 13
unit_lb = 60

[[line]]
name = "shrink"
factor = "moisture"
when = "above"
from = 13
step = 0.5
excess = "step_up"
kind = "percent_of_gross_weight"
charge = { per_step = 1.0 }

[[assessment]]
name = "checkoff"
base = "net_value"
rate = 0.5
"#;

#[test]
fn with_no_arguments_it_says_in_five_lines_what_to_do_next() {
    let bench = Bench::new();
    assert_eq!(bench.ok(&[]).lines().count(), 5);
    let bench = Bench::farm();
    let said = bench.ok(&[]);
    assert_eq!(said.lines().count(), 5);
    assert!(said.starts_with("Creek Bench: 0 slips"), "{said}");
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
    let day = bench.ok(&["night", "--day", "2026-10-03"]);
    assert!(day.contains("2026-10-03"), "{day}");
}

#[test]
fn a_book_goes_out_and_comes_back_without_loss() {
    let bench = Bench::trips("24,380 lb");
    bench.ok(&["strike", "48214", "--reason", "was another farm's ticket"]);
    bench.ok(&["book", "export", "out"]);
    for file in ["entries.csv", "fields.gpkg"] {
        assert!(bench.path().join("out").join(file).exists(), "{file}");
    }
    bench.ok(&[
        "--book",
        "again.stook",
        "book",
        "new",
        "--farm",
        "Creek Bench",
        "--zone",
        "America/Chicago",
    ]);
    bench.ok(&["--book", "again.stook", "book", "import", "out"]);
    let ids = |book: &str| -> Vec<String> {
        let shown = bench.json(&["--book", book, "book", "show", "--all"]);
        shown
            .as_array()
            .unwrap()
            .iter()
            .map(|one| one["id"].as_str().unwrap().to_owned())
            .collect()
    };
    let (first, again) = (ids("farm.stook"), ids("again.stook"));
    assert!(first.iter().all(|id| again.contains(id)));
    assert_eq!(
        first.len() + 1,
        again.len(),
        "the second book has its own farm entry besides"
    );
    bench.ok(&["book", "backup", "copy.stook"]);
    assert_eq!(
        bench.run(&["book", "backup", "copy.stook"]).code,
        2,
        "a backup never overwrites"
    );
    assert!(bench.ok(&["book", "merge", "copy.stook"]).contains("0 new"));
}

#[test]
fn a_sheet_of_slips_is_read_and_bad_rows_are_set_aside() {
    let bench = Bench::farm();
    let sheet = "kind,at,machine,field,crop,to,monitor,moisture,meter\n\
        dump,2026-10-01 14:10,combine,Willow Bench,soybean,Gravity 1,\"9,480 lb\",13.0%,sensor\n\
        dump,2026-10-01 14:40,combine,Willow Bench,soybean,Gravity 9,\"9,210 lb\",13.0%,sensor\n\
        dump,2026-10-01 15:10,combine,Willow Bench,soybean,Gravity 1,NaN,13.0%,sensor\n";
    std::fs::write(bench.path().join("slips.csv"), sheet).unwrap();
    let said = bench.ok(&["write", "sheet", "slips.csv"]);
    assert!(
        said.starts_with("3 rows read, 1 entries written, 2 set aside"),
        "{said}"
    );
    assert!(
        said.contains("row 3") && said.contains("Gravity 9") && said.contains("row 4"),
        "{said}"
    );
    let before = bench.ok(&["book", "show", "--all"]);
    let ran = bench.run(&["write", "sheet", "slips.csv", "--strict"]);
    assert_eq!(ran.code, 2);
    assert_eq!(
        before,
        bench.ok(&["book", "show", "--all"]),
        "a refused sheet changes nothing"
    );
}

#[test]
fn bad_input_is_one_sentence_and_leaves_the_book_as_it_was() {
    let bench = Bench::trips("24,380 lb");
    std::fs::write(bench.path().join("not-a-book"), b"hello").unwrap();
    std::fs::write(bench.path().join("empty.csv"), b"").unwrap();
    std::fs::write(bench.path().join("no-rows.csv"), b"lat,long\n").unwrap();
    std::fs::write(bench.path().join("words.json"), b"{\"balances\": 3}").unwrap();
    let before = bench.ok(&["book", "show", "--all"]);
    let dump = [
        "write",
        "dump",
        "--machine",
        "combine",
        "--field",
        "Willow Bench",
        "--crop",
        "soybean",
        "--to",
        "Gravity 1",
    ];
    let with = |more: &[&'static str]| -> Vec<&str> {
        dump.iter().copied().chain(more.iter().copied()).collect()
    };
    let cases: Vec<(Vec<&str>, &str)> = vec![
        (with(&["--monitor", "heavy"]), "monitor"),
        (with(&["--monitor", "9,200"]), "unit"),
        (with(&["--monitor", "1e308 lb"]), "monitor"),
        (with(&["--monitor", "-5 lb"]), "monitor"),
        (with(&["--moisture", "140%"]), "moisture"),
        (with(&["--moisture", "NaN%"]), "moisture"),
        (with(&["--full", "most"]), "full"),
        (with(&["--at", "yesterday"]), "at"),
        (with(&["--at", "2026-03-08 02:30"]), "clock change"),
        (with(&["--meter", "bench"]), "moisture"),
        (
            vec![
                "write",
                "dump",
                "--machine",
                "nobody",
                "--field",
                "Willow Bench",
                "--crop",
                "soybean",
                "--to",
                "Gravity 1",
            ],
            "nobody",
        ),
        (
            vec![
                "write",
                "dump",
                "--machine",
                "combine",
                "--field",
                "Willow Bench",
                "--crop",
                "wheat",
                "--to",
                "Gravity 1",
            ],
            "wheat",
        ),
        (
            vec![
                "write",
                "planting",
                "--field",
                "Willow Bench",
                "--crop",
                "soybean",
                "--share",
                "owner=60%",
                "--share",
                "b=30%",
            ],
            "100 %",
        ),
        (
            vec![
                "write",
                "weighed",
                "--from",
                "Gravity 1",
                "--to",
                "Pit",
                "--crop",
                "soybean",
                "--gross",
                "5 t",
            ],
            "tare",
        ),
        (
            vec![
                "write",
                "weighed",
                "--from",
                "Gravity 1",
                "--to",
                "Pit",
                "--crop",
                "soybean",
                "--gross",
                "5 t",
                "--tare",
                "6 t",
            ],
            "tare",
        ),
        (
            vec!["mend", "48210", "--set", "colour=red", "--reason", "x"],
            "colour",
        ),
        (
            vec!["mend", "99999", "--set", "gross=5 t", "--reason", "x"],
            "99999",
        ),
        (
            vec![
                "mend",
                "48210",
                "--set",
                "gross=23,880 lb",
                "--reason",
                "same",
            ],
            "nothing would change",
        ),
        (vec!["strike", "99999", "--reason", "x"], "99999"),
        (vec!["book", "merge", "not-a-book"], "not a book"),
        (vec!["book", "merge", "nowhere"], "nowhere"),
        (vec!["book", "import", "."], "entries.csv"),
        (
            vec![
                "pass",
                "summary",
                "empty.csv",
                "--swath",
                "30ft",
                "--crop",
                "corn",
            ],
            "empty.csv",
        ),
        (
            vec![
                "pass",
                "summary",
                "no-rows.csv",
                "--swath",
                "30ft",
                "--crop",
                "corn",
            ],
            "no-rows.csv",
        ),
        (
            vec![
                "pass",
                "summary",
                "nowhere.csv",
                "--swath",
                "30ft",
                "--crop",
                "corn",
            ],
            "nowhere.csv",
        ),
        (
            vec![
                "pass",
                "summary",
                "not-a-book",
                "--swath",
                "wide",
                "--crop",
                "corn",
            ],
            "swath",
        ),
        (
            vec!["calc", "shrink", "--from", "25", "--to", "15.5%"],
            "from",
        ),
        (
            vec![
                "calc", "bin", "--across", "30ft", "--depth", "deep", "--crop", "corn",
            ],
            "depth",
        ),
        (vec!["calc", "convert", "52,220 lb", "--to", "ac"], "to"),
        (
            vec![
                "calc",
                "grade",
                "--crop",
                "corn",
                "--factor",
                "test weight=light",
            ],
            "light",
        ),
        (vec!["calc", "network", "words.json"], "words.json"),
        (vec!["square", "--level", "7"], "level"),
        (vec!["audit", "48210", "--price", "cheap"], "price"),
        (vec!["night", "--day", "someday"], "day"),
    ];
    for (words, names) in &cases {
        let ran = bench.run(words);
        assert_eq!(ran.code, 2, "{words:?}: {}{}", ran.out, ran.err);
        assert_eq!(
            ran.err.trim().lines().count(),
            1,
            "{words:?} said:\n{}",
            ran.err
        );
        assert!(ran.err.contains(names), "{words:?} said: {}", ran.err);
        assert!(!ran.err.contains("panicked"), "{words:?} said: {}", ran.err);
    }
    // what clap refuses: two lines or more of usage, still exit 2
    for words in [
        &["write", "dump", "--colour", "red"][..],
        &["squirrel"],
        &["calc", "shrink"],
    ] {
        assert_eq!(bench.run(words).code, 2, "{words:?}");
    }
    assert_eq!(before, bench.ok(&["book", "show", "--all"]));
    assert!(bench.ok(&["book", "check"]).contains("clean"));
}

#[test]
fn lines_are_acknowledged_one_by_one() {
    use std::io::Write;
    let bench = Bench::farm();
    let mut child = Command::new(env!("CARGO_BIN_EXE_stook"))
        .args(["write", "lines", "--one-by-one"])
        .current_dir(bench.path())
        .env("STOOK_DEVICE", "test-device")
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    for number in 0..3 {
        writeln!(
            stdin,
            "{{\"kind\":\"note\",\"figures\":{{\"text\":\"number {number}\"}}}}"
        )
        .unwrap();
    }
    drop(stdin);
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    assert_eq!(String::from_utf8_lossy(&output.stdout).lines().count(), 3);
    assert!(
        bench
            .ok(&["book", "show", "--kind", "note"])
            .contains("3 entries")
    );
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
