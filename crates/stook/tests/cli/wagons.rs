//! `stook wagons`: what is left in a field, and whether it fits.

use crate::bench::Bench;
use serde_json::Value;

/// A dump of 6,000 lb at 13 % into the wagon, which its place says holds 22,400 lb.
fn dump(bench: &Bench, at: &str) {
    bench.ok(&[
        "write",
        "dump",
        "--field",
        "Willow Bench",
        "--crop",
        "soybean",
        "--season",
        "2025",
        "--machine",
        "combine",
        "--to",
        "Gravity 1",
        "--monitor",
        "6000 lb",
        "--moisture",
        "13%",
        "--at",
        at,
    ]);
}

fn asked(bench: &Bench, words: &[&str]) -> Value {
    let mut all = vec!["--json", "wagons"];
    all.extend(words);
    serde_json::from_str(&bench.ok(&all)).expect("an answer")
}

fn number(answer: &Value, path: &str) -> f64 {
    answer
        .pointer(path)
        .and_then(Value::as_f64)
        .expect("a number")
}

/// Before a tank the expected yield is all there is; each tank draws the rest towards what came off.
#[test]
fn each_tank_tells_the_rest_anew() {
    let bench = Bench::farm();
    let bad = bench.run(&["wagons", "Willow Bench"]);
    assert!(
        bad.code == 2 && bad.err.contains("--expected"),
        "{}",
        bad.err
    );
    let before = asked(&bench, &["Willow Bench", "--expected", "50 bu/ac"]);
    // 30.1 ac x 50 bu x 60 lb; room by the place's capacity
    assert!((number(&before, "/left_lb/value") - 90_300.0).abs() < 1.0);
    assert!((number(&before, "/room_lb") - 22_400.0).abs() < 1e-6);
    assert!(number(&before, "/fits") < 0.01);
    dump(&bench, "2025-10-01 10:00");
    let open = bench.run(&["wagons"]);
    assert!(
        open.code == 2 && open.err.contains("--left"),
        "{}",
        open.err
    );
    dump(&bench, "2025-10-01 11:00");
    // 12,000 lb off 5 ac: 40 bu/ac where 50 were expected
    let after = asked(&bench, &["--left", "25.1 ac", "--expected", "50"]);
    let told = number(&after, "/yield_lb_per_ac") / 60.0;
    assert!((40.0..46.0).contains(&told), "{told}");
    assert!(
        (number(&after, "/room_lb") - 10_400.0).abs() < 1.0,
        "12,000 lb are in it"
    );
    let width = |one: &Value| number(one, "/left_lb/high") / number(one, "/left_lb/low");
    assert!(width(&after) < width(&before));
    // little left: it fits, and the sentence says so
    let said = bench.ok(&["wagons", "--left", "2 ac", "--an-hour", "5 ac"]);
    assert!(
        said.contains("it fits.") && said.contains("Caution: Nobody rides"),
        "{said}"
    );
    // more than the wagon: minutes until it is full, about 10,400 lb at 5 ac/h
    let more = asked(
        &bench,
        &[
            "--left",
            "25.1 ac",
            "--expected",
            "50",
            "--an-hour",
            "5 ac/h",
        ],
    );
    let minutes = number(&more, "/full_min/value");
    assert!(
        (minutes - 60.0 * 10_400.0 / (told * 60.0 * 5.0)).abs() < 0.1,
        "{minutes}"
    );
}

#[test]
fn figures_that_cannot_be_meant_are_refused() {
    let bench = Bench::farm();
    dump(&bench, "2025-10-01 10:00");
    for (words, said) in [
        (["wagons", "--left", "31 ac"], "30.1 ac"),
        (["wagons", "Willow Bench", "--left=-2"], "above 0"),
        (["wagons", "--left", "3 furlongs"], "expected ac or ha"),
        (["wagons", "--left=9", "--wagon=Gravity 9"], "Gravity 9"),
        (["wagons", "Nowhere", "--left=1"], "Nowhere"),
    ] {
        let bad = bench.run(&words);
        assert!(
            bad.code == 2 && bad.err.contains(said),
            "{words:?}: {}",
            bad.err
        );
    }
}

/// Two tanks alike to the pound may be one entered twice: squaring sets one aside, and that is said here.
#[test]
fn a_tank_that_squaring_set_aside_is_not_counted_in_silence() {
    let bench = Bench::farm();
    dump(&bench, "2025-10-01 10:00");
    let one = asked(&bench, &["--left", "20 ac"]);
    assert!(number(&one, "/tanks_set_aside") < 0.5);
    dump(&bench, "2025-10-01 10:40");
    let two = asked(&bench, &["--left", "20 ac"]);
    assert!((number(&two, "/tanks_set_aside") - 1.0).abs() < 1e-9);
    assert!((number(&two, "/came_off_lb") - number(&one, "/came_off_lb")).abs() < 1.0);
    let printed = bench.ok(&["wagons", "--left", "20 ac"]);
    assert!(printed.contains("1 tank is not counted"), "{printed}");
}
