//! `stook pass clean`, `map`, `edge`, `zones` and `explain`, through the real binary, on a log whose truth is known.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use crate::bench::Bench;
use std::fmt::Write as _;

/// Meters in a degree about the field's corner, near enough for a field of 200 m.
const EAST: f64 = 80_200.0;
const NORTH: f64 = 111_100.0;
const CORNER: (f64, f64) = (-90.0, 44.0);
/// Width of the head and speed; one record a second; seconds from the ground to the sensor.
const SWATH_M: f64 = 6.0;
const SPEED: f64 = 2.0;
const DELAY: usize = 6;
const PASSES: usize = 30;
const LONG_M: f64 = 160.0;

/// Yield of a place, kg/m2.
fn truth(x: f64, y: f64) -> f64 {
    0.9 + 0.12 * (x / 30.0).sin() + 0.09 * (y / 22.0).cos()
}

struct Log {
    text: String,
    kg: f64,
    rows: usize,
    /// Kilograms of each half of the passes.
    halves: [f64; 2],
}

/// Passes back and forth from west to east, with a turn of ten seconds with the head up.
fn log() -> Log {
    let mut at: Vec<(f64, f64, bool, f64)> = Vec::new();
    for pass in 0..PASSES {
        let x = (pass as f64 + 0.5) * SWATH_M;
        let steps = (LONG_M / SPEED) as usize;
        for step in 0..steps {
            // a log writes where a record ends; its ground lies behind
            let north = |along: f64| if pass % 2 == 0 { along } else { LONG_M - along };
            let middle = north((step as f64 + 0.5) * SPEED);
            let end = north((step as f64 + 1.0) * SPEED);
            at.push((x, end, true, truth(x, middle) * SWATH_M * SPEED));
        }
        let beyond = if pass % 2 == 0 { LONG_M + 3.0 } else { -3.0 };
        for step in 0..10 {
            at.push((x + SWATH_M * f64::from(step) / 10.0, beyond, false, 0.0));
        }
    }
    let mut out = Log {
        text: "longitude,latitude,time (s),mass (kg),interval (s),distance (m),moisture (%),head,load\n"
            .to_owned(),
        kg: 0.0,
        rows: at.len(),
        halves: [0.0; 2],
    };
    for (nth, (x, y, down, _)) in at.iter().enumerate() {
        let kg = nth.checked_sub(DELAY).map_or(0.0, |before| at[before].3);
        let load = usize::from(nth >= at.len() / 2);
        out.kg += kg;
        out.halves[load] += kg;
        let head = if *down { "down" } else { "up" };
        let _ = writeln!(
            out.text,
            "{:.7},{:.7},{nth},{kg:.5},1,{SPEED},15.5,{head},{}",
            CORNER.0 + x / EAST,
            CORNER.1 + y / NORTH,
            load + 1
        );
    }
    out
}

fn corners(west: f64, east: f64) -> String {
    let at = |x: f64, y: f64| format!("[{:.7},{:.7}]", CORNER.0 + x / EAST, CORNER.1 + y / NORTH);
    let ring = [
        at(west, 0.0),
        at(east, 0.0),
        at(east, LONG_M),
        at(west, LONG_M),
        at(west, 0.0),
    ];
    format!("[[{}]]", ring.join(","))
}

/// A field's folder: the log, its outline, two halves as zones, two weighings 5 % over the monitor.
fn field() -> (Bench, Log) {
    let bench = Bench::new();
    let log = log();
    let wide = PASSES as f64 * SWATH_M;
    let write = |name: &str, text: &str| std::fs::write(bench.path().join(name), text).unwrap();
    write("log.csv", &log.text);
    write(
        "field.geojson",
        &format!(
            r#"{{"type":"Polygon","coordinates":{}}}"#,
            corners(0.0, wide)
        ),
    );
    let half = |name: &str, west: f64, east: f64| {
        format!(
            r#"{{"type":"Feature","properties":{{"soil":"{name}"}},"geometry":{{"type":"Polygon","coordinates":{}}}}}"#,
            corners(west, east)
        )
    };
    write(
        "soil.geojson",
        &format!(
            r#"{{"type":"FeatureCollection","features":[{},{}]}}"#,
            half("west loam", 0.0, wide / 2.0),
            half("east clay", wide / 2.0, wide)
        ),
    );
    write(
        "tickets.csv",
        &format!(
            "loads,net,moisture\n1,{:.0} kg,15.5%\n2,{:.0} kg,15.5%\n",
            1.05 * log.halves[0],
            1.05 * log.halves[1]
        ),
    );
    (bench, log)
}

fn json(bench: &Bench, words: &[&str]) -> serde_json::Value {
    let ran = bench.run(&[&["--json"], words].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

const OF: [&str; 6] = ["log.csv", "--crop", "corn", "--swath", "6m", "--boundary"];

fn asked<'a>(what: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["pass", what], OF.as_slice(), &["field.geojson"], more].concat()
}

#[test]
fn a_log_is_cleaned_and_every_record_counted_once() {
    let (bench, log) = field();
    let told = json(&bench, &asked("clean", &["--weighings", "tickets.csv"]));
    let delay = told["delay"]["seconds"].as_f64().unwrap();
    assert!((delay - DELAY as f64).abs() < 0.3, "{delay}");
    let range = &told["delay"]["range"];
    assert!(range[0].as_f64() <= Some(delay) && range[1].as_f64() >= Some(delay));
    let kg = |lb: &serde_json::Value| lb.as_f64().unwrap() * 0.453_592_37;
    assert!((kg(&told["logged_wet_lb"]) / log.kg - 1.0).abs() < 1e-6);
    // the account keeps what the scale says, whatever is mapped
    assert!((kg(&told["all"]["wet_lb"]) / (1.05 * log.kg) - 1.0).abs() < 2e-4);
    assert!((told["factor"].as_f64().unwrap() - 1.05).abs() < 1e-3);
    let causes = told["by_cause"].as_array().unwrap();
    let records: u64 = causes
        .iter()
        .map(|one| one["records"].as_u64().unwrap())
        .sum();
    assert_eq!(records, log.rows as u64);
    let up = causes.iter().find(|one| one["cause"] == "head_up").unwrap();
    assert_eq!(up["records"].as_u64().unwrap(), 10 * PASSES as u64);
    let printed = bench.run(&asked("clean", &[]));
    assert_eq!(printed.code, 0, "{}", printed.err);
    assert!(printed.out.contains("s late in this log") && printed.out.contains("head up"));
    assert!(
        printed.out.contains("Nothing was weighed"),
        "{}",
        printed.out
    );
}

#[test]
fn a_map_is_near_the_truth_and_closed_to_the_scale() {
    let (bench, log) = field();
    let told = json(
        &bench,
        &asked(
            "map",
            &["--weighings", "tickets.csv", "--sheet", "map.html"],
        ),
    );
    // 180 m by 160 m
    let acres = 180.0 * LONG_M / 4_046.856_422_4;
    assert!((told["area_ac"].as_f64().unwrap() / acres - 1.0).abs() < 0.01);
    let bu = 1.05 * log.kg / (56.0 * 0.453_592_37);
    assert!(
        (told["dry_bu"].as_f64().unwrap() / bu - 1.0).abs() < 2e-3,
        "{told}"
    );
    assert!(told["passes_left_out"].as_u64().unwrap() >= 10);
    assert!(told["doubt"]["middle"].as_f64().unwrap() > 0.0);
    let sheet = std::fs::read_to_string(bench.path().join("map.html")).unwrap();
    assert!(sheet.starts_with("<!doctype html>"));
    for part in [
        "yield and how sure it is",
        "how late grain is written",
        "what is not mapped, and why",
        "how alike neighbors are",
        "monitor against scale",
        "passes left out",
    ] {
        assert!(sheet.contains(part), "{part}");
    }
    let pictured = bench.run(&asked("map", &["--picture", "map.svg"]));
    assert_eq!(pictured.code, 0, "{}", pictured.err);
    let picture = std::fs::read_to_string(bench.path().join("map.svg")).unwrap();
    assert!(picture.starts_with("<svg xmlns=") && picture.ends_with("</svg>\n"));
    // both maps stand in it, and neither is hidden in a narrow window
    assert_eq!(picture.matches("class=\"draw map\"").count(), 2);
    assert!(!picture.contains("class=\"draw map only"));
    // the same seed gives the same page, and metric units another
    bench.run(&asked(
        "map",
        &["--weighings", "tickets.csv", "--sheet", "again.html"],
    ));
    let again = std::fs::read_to_string(bench.path().join("again.html")).unwrap();
    assert_eq!(sheet, again);
    let metric = bench.run(&asked(
        "map",
        &["--units", "metric", "--sheet", "metric.html"],
    ));
    assert_eq!(metric.code, 0, "{}", metric.err);
    let metric = std::fs::read_to_string(bench.path().join("metric.html")).unwrap();
    assert!(metric.contains("t/ha"));
    // a file that holds something else is never written over
    let refused = bench.run(&asked("map", &["--sheet", "log.csv"]));
    assert_eq!(refused.code, 2);
    assert_eq!(
        std::fs::read_to_string(bench.path().join("log.csv")).unwrap(),
        log.text
    );
}

/// One map in every format: the same cells, and a name that is taken is left alone.
#[test]
fn a_map_goes_out_in_open_formats() {
    let (bench, log) = field();
    let outs = ["m.tif", "m.gpkg", "m.geojson", "m.csv", "m.png"];
    let mut words = vec!["--weighings", "tickets.csv"];
    for one in outs {
        words.extend(["--out", one]);
    }
    let told = json(&bench, &asked("map", &words));
    let read = |name: &str| std::fs::read(bench.path().join(name)).unwrap();
    let csv = String::from_utf8(read("m.csv")).unwrap();
    let cells = told["cells"].as_u64().unwrap() as usize;
    assert_eq!(csv.lines().count(), cells + 1);
    let bushels: f64 = csv
        .lines()
        .skip(1)
        .map(|line| {
            let cell: Vec<f64> = line.split(',').map(|one| one.parse().unwrap()).collect();
            cell[4] * cell[5] * 100.0 / 4_046.856_422_4
        })
        .sum();
    assert!((bushels / told["dry_bu"].as_f64().unwrap() - 1.0).abs() < 1e-4);
    let geojson: serde_json::Value = serde_json::from_slice(&read("m.geojson")).unwrap();
    assert_eq!(geojson["features"].as_array().unwrap().len(), cells);
    assert!(read("m.tif").starts_with(b"II*\0") && read("m.png").starts_with(b"\x89PNG"));
    assert!(read("m.gpkg").starts_with(b"SQLite format 3"));
    let before = read("m.csv");
    let again = bench.run(&asked("map", &["--out", "m.csv"]));
    assert_eq!(again.code, 2);
    assert!(again.err.contains("choose a new name"), "{}", again.err);
    assert_eq!(read("m.csv"), before);
    let odd = bench.run(&asked("map", &["--out", "m.dxf"]));
    assert_eq!(odd.code, 2);
    for name in ["r.csv", "r.geojson"] {
        let ran = bench.run(&asked("clean", &["--out", name]));
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    let records = String::from_utf8(read("r.csv")).unwrap();
    assert_eq!(records.lines().count(), log.rows + 1);
    let pounds: f64 = records
        .lines()
        .skip(1)
        .map(|line| line.split(',').nth(5).unwrap().parse::<f64>().unwrap())
        .sum();
    assert!((pounds * 0.453_592_37 / log.kg - 1.0).abs() < 1e-5);
    let records: serde_json::Value = serde_json::from_slice(&read("r.geojson")).unwrap();
    assert_eq!(records["features"].as_array().unwrap().len(), log.rows);
}

#[test]
fn a_record_is_explained_step_by_step() {
    let (bench, _) = field();
    let mapped = bench.run(&asked("explain", &["--row", "300"]));
    assert_eq!(mapped.code, 0, "{}", mapped.err);
    assert!(mapped.out.starts_with("It is mapped.") && mapped.out.contains("shifted"));
    // the 81st to 90th records turn with the head up; the header is line 1
    let up = json(&bench, &asked("explain", &["--row", "85"]));
    assert_eq!(up["cause"], "head_up");
    let none = bench.run(&asked("explain", &["--row", "999999"]));
    assert_eq!(none.code, 2);
    assert!(
        none.err.contains("expected a row with a record"),
        "{}",
        none.err
    );
}

#[test]
fn zones_are_told_apart_with_what_they_truly_made() {
    let (bench, _) = field();
    let told = json(
        &bench,
        &asked("zones", &["--zones", "soil.geojson", "--by", "soil"]),
    );
    let each = told["each"].as_array().unwrap();
    assert_eq!(each.len(), 2);
    for one in each {
        let west = one["name"] == "west loam";
        let from = if west { 0.0 } else { 90.0 };
        let (mut sum, mut n) = (0.0, 0.0);
        for i in 0..90 {
            for j in 0..160 {
                sum += truth(from + f64::from(i) + 0.5, f64::from(j) + 0.5);
                n += 1.0;
            }
        }
        let true_bu_ac = sum / n * 4_046.856_422_4 / (56.0 * 0.453_592_37);
        let range = &one["bu_per_ac"];
        let off = range["value"].as_f64().unwrap() - true_bu_ac;
        assert!(off.abs() < 1.0, "{one} {true_bu_ac}");
        assert!(range["high"].as_f64() > range["low"].as_f64());
    }
    let wrong = bench.run(&asked(
        "zones",
        &["--zones", "soil.geojson", "--by", "depth"],
    ));
    assert_eq!(wrong.code, 2);
    assert!(
        wrong
            .err
            .contains("expected an attribute of the layer: soil"),
        "{}",
        wrong.err
    );
}

#[test]
fn edges_want_to_be_named_and_say_what_they_took() {
    let (bench, _) = field();
    let told = json(
        &bench,
        &asked(
            "edge",
            &[
                "--side",
                "west=trees 40ft",
                "--side",
                "east=road",
                "--price",
                "4",
            ],
        ),
    );
    let each = told["each"].as_array().unwrap();
    assert!(each.iter().any(|one| one["class"] == "trees"));
    assert!(each.iter().any(|one| one["class"] == "road"));
    for wrong in ["up=trees", "north", "north=dragons", "north=trees tall"] {
        let ran = bench.run(&asked("edge", &["--side", wrong]));
        assert_eq!(ran.code, 2, "{wrong}");
    }
    let none = bench.run(&asked("edge", &[]));
    assert_eq!(none.code, 2);
    assert!(none.err.contains("--side"), "{}", none.err);
}

/// One pass, one point, every point on one spot, a head that no combine has: a sentence, never a panic or a map.
#[test]
fn too_little_is_said() {
    let (bench, log) = field();
    let head = log.text.lines().next().unwrap();
    let rows: Vec<&str> = log.text.lines().skip(1).collect();
    let spot: Vec<&str> = vec![rows[5]; 60];
    for (name, some) in [
        ("one-point", &rows[..1]),
        ("one-pass", &rows[..80]),
        ("one-spot", spot.as_slice()),
    ] {
        let file = format!("{name}.csv");
        std::fs::write(
            bench.path().join(&file),
            format!("{head}\n{}\n", some.join("\n")),
        )
        .unwrap();
        let words = |what| vec!["pass", what, &file, "--crop", "corn", "--swath", "6m"];
        let clean = bench.run(&words("clean"));
        assert_eq!(clean.code, 0, "{name}: {}", clean.err);
        assert!(
            clean.out.contains("does not tell how late"),
            "{name}: {}",
            clean.out
        );
        let map = bench.run(&words("map"));
        assert!(map.code == 0 || map.code == 2, "{name}: {}", map.err);
        assert!(!map.err.contains("panicked"), "{}", map.err);
        if map.code == 0 {
            assert!(map.out.contains("Too few passes"), "{name}: {}", map.out);
        } else {
            assert!(
                map.out.is_empty() && map.err.lines().count() == 1,
                "{}",
                map.err
            );
        }
    }
    let wide = bench.run(&[
        "pass", "clean", "log.csv", "--crop", "corn", "--swath", "400m",
    ]);
    assert_eq!(wide.code, 2);
    let crop = bench.run(&["pass", "map", "log.csv", "--swath", "6m"]);
    assert_eq!(crop.code, 2);
    assert!(crop.err.contains("--crop corn"), "{}", crop.err);
    let none = bench.run(&["pass", "map", "--crop", "corn"]);
    assert_eq!(none.code, 2);
    assert!(none.err.contains("no file"), "{}", none.err);
}
