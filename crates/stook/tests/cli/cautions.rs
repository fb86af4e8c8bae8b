//! Cautions as they come out of the program: each beside its act, whole, in the words of the one file.

use crate::bench::{Bench, Ran};
use facts::Act;

/// The lines of an output that are cautions.
fn cautions(said: &str) -> Vec<&str> {
    said.lines()
        .filter_map(|line| line.strip_prefix("Caution: "))
        .collect()
}

/// Each act's caution stands in the output once, as a line of its own, and no other caution does.
fn says(words: &[&str], said: &str, acts: &[Act]) {
    let expected: Vec<&str> = acts
        .iter()
        .map(|act| facts::caution(*act).text.as_str())
        .collect();
    assert_eq!(cautions(said), expected, "{words:?}: {said}");
}

const COUNT: [&str; 8] = [
    "count",
    "soybeans",
    "--head",
    "10,9,11,11",
    "--behind",
    "28,19,41,24",
    "--tail",
    "spread",
];

/// A count in the book, with the speed and the width of cut.
fn written_count(bench: &Bench) -> String {
    bench.ok(&[
        "write",
        "count",
        "--field",
        "Willow Bench",
        "--crop",
        "soybean",
        "--frame",
        "1 ft2",
        "--cut-width",
        "30 ft",
        "--speed",
        "3 mph",
        "--tail",
        "spread",
        "--behind-head",
        "3",
        "--behind-machine",
        "5",
        "--behind-machine",
        "7",
        "--at",
        "2025-10-03 14:20",
    ])
}

/// Commands that need nothing in the book.
#[test]
fn what_is_reckoned_says_the_caution_of_its_act() {
    let bench = Bench::farm();
    let speed = crate::speed::TYPED;
    for (words, acts) in [
        (&COUNT[..], &[Act::LossCount][..]),
        (&["count"], &[Act::LossCount]),
        (&speed, &[Act::Speed, Act::LossCount]),
        (&["settings"], &[Act::Setting]),
        (&["settings", "--season", "2025"], &[Act::Setting]),
        (&["settings", "--tries", "corn"], &[Act::Setting]),
        (&["ready", "starter"], &[Act::WalkRound]),
        (
            &[
                "calc", "tires", "--tire", "52", "--rim", "46", "--wanted", "40",
            ],
            &[Act::Tires],
        ),
        (
            &["calc", "cost", "--list", "5", "--per-year", "20"],
            &[Act::Money],
        ),
        (
            &[
                "calc", "bin", "--across", "30ft", "--depth", "16ft", "--crop", "corn",
            ],
            &[Act::BinMeasure],
        ),
    ] {
        says(words, &bench.ok(words), acts);
        let metric = [words, &["--units", "metric"]].concat();
        says(&metric, &bench.ok(&metric), acts);
    }
}

/// What is asked of the book, once it has entries.
#[test]
fn what_the_book_is_asked_says_the_caution_of_its_act() {
    let bench = Bench::farm();
    written_count(&bench);
    for words in [
        &[
            "write",
            "setting",
            "--change",
            "fan 900 to 850",
            "--at",
            "2025-10-03 15:00",
        ][..],
        &[
            "stop",
            "plug",
            "--minutes",
            "20",
            "--at",
            "2025-10-03 16:00",
        ],
        &["ready", "starter", "1"],
    ] {
        bench.ok(words);
    }
    let walk = [Act::WalkRound, Act::Tires, Act::Pto, Act::Fire];
    for (words, acts) in [
        (&["count", "--season", "2025"][..], &[Act::LossCount][..]),
        (
            &[
                "speed", "--crop", "soybeans", "--price", "11", "--hour", "180",
            ],
            &[Act::Speed, Act::LossCount],
        ),
        (&["settings"], &[Act::Setting]),
        (&["stop", "--season", "2025"], &[Act::Unplug]),
        (&["ready"], &walk),
        (&["ready", "--due"], &walk),
        (&["ready", "tick", "1"], &[Act::WalkRound]),
    ] {
        says(words, &bench.ok(words), acts);
    }
}

/// What is written says the caution of its kind, by whichever way it comes in; a note says none.
#[test]
fn what_is_written_says_the_caution_of_its_kind() {
    let bench = Bench::farm();
    says(
        &["write", "count"],
        &written_count(&bench),
        &[Act::LossCount],
    );
    for (words, acts) in [
        (
            &["write", "setting", "--change", "fan 900 to 850"][..],
            &[Act::Setting][..],
        ),
        (&["stop", "breakdown"], &[Act::Unplug, Act::Fire]),
        (&["write", "note", "--text", "dry"], &[]),
        (
            &["write", "ready", "--text", "belts", "--list", "walk-round"],
            &[Act::WalkRound],
        ),
    ] {
        says(words, &bench.ok(words), acts);
    }
    let sheet = "kind,at,field,crop,frame,tail,behind-head,text\n\
        count,2025-10-03 15:20,Willow Bench,soybean,1 ft2,unknown,3;4;2,\n\
        count,2025-10-03 16:20,Willow Bench,soybean,1 ft2,unknown,5;4;2,\n\
        note,2025-10-03 16:30,,,,,,dry\n";
    std::fs::write(bench.path().join("counts.csv"), sheet).unwrap();
    let words = ["write", "sheet", "counts.csv"];
    let said = bench.ok(&words);
    assert!(said.starts_with("3 rows read, 3 entries written, 0 set aside"));
    says(&words, &said, &[Act::LossCount]);
    let notes = "kind,at,text\nnote,2025-10-04 16:30,dry\n";
    std::fs::write(bench.path().join("notes.csv"), notes).unwrap();
    let words = ["write", "sheet", "notes.csv"];
    says(&words, &bench.ok(&words), &[]);
}

/// `write lines` answers with ids for a program: its cautions go to the person, beside the answer.
#[test]
fn lines_say_their_cautions_beside_the_ids() {
    let bench = Bench::farm();
    let count = |hour: u8| {
        format!(
            "{{\"kind\":\"count\",\"at\":\"2025-10-03 {hour}:20\",\"figures\":{{\"field\":\"Willow Bench\",\"crop\":\"soybean\",\
             \"frame\":\"1 ft2\",\"tail\":\"unknown\",\"behind-head\":[\"3\",\"4\"]}}}}\n"
        )
    };
    for words in [&["write", "lines"][..], &["write", "lines", "--one-by-one"]] {
        let Ran { code, out, err } = bench.feed(words, &(count(14) + &count(15)));
        assert_eq!((code, out.lines().count()), (0, 2), "{out}{err}");
        assert!(cautions(&out).is_empty(), "{out}");
        says(words, &err, &[Act::LossCount]);
        let note = bench.feed(
            words,
            "{\"kind\":\"note\",\"figures\":{\"text\":\"dry\"}}\n",
        );
        assert_eq!((note.code, note.err.as_str()), (0, ""));
    }
}

/// A program that reads JSON gets the cautions of an answer as well.
#[test]
fn json_answers_carry_their_cautions() {
    let bench = Bench::farm();
    bench.ok(&[
        "stop",
        "plug",
        "--minutes",
        "20",
        "--at",
        "2025-10-03 16:00",
    ]);
    for (words, act) in [
        (&COUNT[..], Act::LossCount),
        (&crate::speed::TYPED, Act::Speed),
        (&["stop", "--season", "2025"], Act::Unplug),
    ] {
        let told = bench.json(words);
        assert_eq!(told["cautions"][0], facts::caution(act).text, "{words:?}");
    }
}
