//! What goes wrong on the way: one sentence, exit 2, the book as it was.

use crate::bench::Bench;
use std::process::Command;

#[test]
fn a_sheet_of_slips_is_read_and_bad_rows_are_set_aside() {
    let bench = Bench::farm();
    let sheet = "kind,at,machine,field,crop,to,monitor,moisture,meter\n\
        dump,2025-10-01 14:10,combine,Willow Bench,soybean,Gravity 1,\"9,480 lb\",13.0%,sensor\n\
        dump,2025-10-01 14:40,combine,Willow Bench,soybean,Gravity 9,\"9,210 lb\",13.0%,sensor\n\
        dump,2025-10-01 15:10,combine,Willow Bench,soybean,Gravity 1,NaN,13.0%,sensor\n";
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
        (with(&["--at", "2025-03-09 02:30"]), "clock change"),
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
    // words that are no flag, choice or command: one line too
    for words in [
        &["write", "dump", "--colour", "red"][..],
        &["squirrel"],
        &["calc", "shrink"],
        &["--units", "stone", "square"],
        &[
            "calc", "bin", "--across", "30ft", "--depth", "-16ft", "--crop", "corn",
        ],
    ] {
        let ran = bench.run(words);
        assert_eq!(ran.code, 2, "{words:?}");
        assert_eq!(
            ran.err.trim().lines().count(),
            1,
            "{words:?} said:\n{}",
            ran.err
        );
    }
    // another device is refused just as quietly: the file is the same to the byte
    let file = || std::fs::read(bench.path().join("farm.stook")).unwrap();
    let bytes = file();
    let ran = bench.run_as(
        "another",
        &[
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
    );
    assert_eq!(ran.code, 2);
    assert!(bytes == file(), "a refused write changed the book");
    let ran = bench.run(&["write", "note", "--text", "x", "--at", "2152-10-06 12:00"]);
    assert!(ran.code == 2 && ran.err.contains("ahead"), "{}", ran.err);
    let ran = bench.run(&["write", "place", "--name", "Pit", "--kind", "pit"]);
    assert!(ran.code == 2 && ran.err.contains("already"), "{}", ran.err);
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
fn a_drawing_never_takes_the_place_of_a_book_or_of_raw_data() {
    let bench = Bench::trips("24,380 lb");
    for words in [
        &["night", "--page", "farm.stook"][..],
        &["night", "--picture", "farm.stook"],
        &["square", "--picture", "beans.toml"],
    ] {
        let ran = bench.run(words);
        assert_eq!(ran.code, 2, "{words:?}");
        assert!(
            ran.err.contains("left as it is") || ran.err.contains("left as it was"),
            "{}",
            ran.err
        );
    }
    assert!(bench.ok(&["book", "check"]).contains("clean"));
    // a drawing of ours may be drawn anew
    bench.ok(&["night", "--page", "sheet.html"]);
    bench.ok(&["night", "--page", "sheet.html"]);
}

#[test]
fn a_number_that_two_tickets_carry_is_asked_about() {
    let bench = Bench::trips("24,380 lb");
    bench.ok(&[
        "write",
        "weighed",
        "--from",
        "Gravity 1",
        "--to",
        "Pit",
        "--crop",
        "soybean",
        "--gross",
        "23,880 lb",
        "--tare",
        "5,160 lb",
        "--moisture",
        "13.2%",
        "--meter",
        "bench",
        "--number",
        "48210",
        "--at",
        "2025-10-01 17:00",
    ]);
    for words in [
        &["mend", "48210", "--set", "gross=20,000 lb", "--reason", "x"][..],
        &["strike", "48210", "--reason", "x"],
        &["strike", "ticket 48210", "--reason", "x"],
    ] {
        let ran = bench.run(words);
        assert_eq!(ran.code, 2, "{words:?}");
        assert!(ran.err.contains("names 2 entries"), "{}", ran.err);
    }
    bench.ok(&[
        "strike",
        "ticket 48210 (again 2)",
        "--reason",
        "entered twice",
    ]);
    bench.ok(&[
        "mend",
        "48210",
        "--set",
        "gross=23,900 lb",
        "--reason",
        "the paper says so",
    ]);
}

#[test]
fn wet_grain_without_a_moisture_is_not_taken_for_dry() {
    let bench = Bench::farm();
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
        "10,000 lb",
        "--at",
        "2025-10-01 14:10",
    ]);
    let night = bench.run(&["--json", "night"]);
    let night: serde_json::Value = serde_json::from_str(&night.out).unwrap();
    // nobody measured: the customary 13 % of soybeans, so 8,700 lb of dry matter
    let dry = night["crops"][0]["came_off_as_read_dry_lb"]
        .as_f64()
        .unwrap();
    assert!((dry - 8_700.0).abs() < 0.01, "{dry}");
    assert!(
        night["look_at"].to_string().contains("no moisture"),
        "{night}"
    );
}

#[test]
fn what_cannot_be_worked_out_is_no_answer() {
    let bench = Bench::farm();
    let ran = bench.run(&[
        "calc",
        "ticket",
        "--schedule",
        "beans.toml",
        "--net",
        "18,720 lb",
        "--price",
        "$10/bu",
    ]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("incomplete"), "{}", ran.out);
    for factor in ["tw=53.5", "test weight=-5", "total damage=500"] {
        let ran = bench.run(&["calc", "grade", "--crop", "corn", "--factor", factor]);
        assert_eq!(ran.code, 2, "{factor}: {}", ran.out);
    }
}

#[test]
fn a_batch_of_lines_is_all_or_none() {
    let bench = Bench::farm();
    let place = r#"{"kind":"place","figures":{"name":"Gravity 2","kind":"wagon"}}"#;
    let dump = |to: &str| {
        format!(
            r#"{{"kind":"dump","figures":{{"machine":"combine","field":"Willow Bench","crop":"soybean","to":"{to}"}}}}"#
        )
    };
    let ran = bench.feed(
        &["write", "lines"],
        &format!("{place}\n{}\n", dump("Gravity 9")),
    );
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.starts_with("stook: line 2"), "{}", ran.err);
    assert!(
        !bench
            .ok(&["book", "show", "--kind", "place"])
            .contains("Gravity 2")
    );
    let ran = bench.feed(
        &["write", "lines"],
        &format!("{place}\n{}\n", dump("Gravity 2")),
    );
    assert_eq!((ran.code, ran.out.lines().count()), (0, 2), "{}", ran.err);
}
