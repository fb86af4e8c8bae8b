//! What is written of the work besides slips: counts, stops, call-at yields, ready lists.

use crate::bench::Bench;

#[test]
fn a_stop_runs_until_a_go_ends_it() {
    let bench = Bench::farm();
    let none = bench.run(&["write", "go"]);
    assert_eq!(none.code, 2);
    assert!(none.err.contains("none runs"), "{}", none.err);
    bench.ok(&[
        "write",
        "stop",
        "--because",
        "wagon",
        "--at",
        "2025-10-01 14:10",
    ]);
    bench.ok(&[
        "write",
        "go",
        "--remark",
        "it came",
        "--at",
        "2025-10-01 14:35",
    ]);
    let again = bench.run(&["write", "go"]);
    assert!(again.err.contains("none runs"), "{}", again.err);
}

#[test]
fn the_facts_of_the_work_are_kept_as_written() {
    let bench = Bench::farm();
    bench.ok(&[
        "write",
        "count",
        "--field",
        "Willow Bench",
        "--frame",
        "1 ft2",
        "--standing",
        "2",
        "--behind-head",
        "9",
        "--behind-head",
        "11",
        "--behind-machine",
        "31",
        "--tail",
        "windrow",
        "--tail-width",
        "5 ft",
        "--at",
        "2025-10-01 15:00",
    ]);
    bench.ok(&[
        "write", "call-at", "--unit", "0001", "--crop", "soybean", "--yield", "38.5",
    ]);
    bench.ok(&["write", "ready", "--text", "grease", "--list", "walk-round"]);
    bench.ok(&["write", "ticked", "--item", "grease", "--day", "2025-10-01"]);
    let shown = bench.ok(&["book", "show", "--all"]);
    for text in [
        "0.09290304 m2",
        "1.524 m",
        "windrow",
        "38.5",
        "walk-round",
        "2025-10-01",
    ] {
        assert!(shown.contains(text), "{text}: {shown}");
    }
    // a count says at least one frame, and of which size
    let bare = bench.run(&[
        "write",
        "count",
        "--field",
        "Willow Bench",
        "--frame",
        "1 ft2",
    ]);
    assert_eq!(bare.code, 2);
    assert!(bare.err.contains("behind-machine"), "{}", bare.err);
}
