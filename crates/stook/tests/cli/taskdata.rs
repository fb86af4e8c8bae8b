//! Task data in place of delimited text: archives, folders, TASKDATA.XML; told by content.

use crate::bench::Bench;
use std::path::Path;

fn archive(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../reference/isoxml")
        .join(name)
        .display()
        .to_string()
}

fn json(bench: &Bench, words: &[&str]) -> serde_json::Value {
    let mut all = vec!["--json", "pass", "summary"];
    all.extend(words);
    all.extend(["--crop", "corn"]);
    serde_json::from_str(&bench.ok(&all)).expect("JSON")
}

const MAIN: &str = r#"<?xml version="1.0"?><ISO11783_TaskData VersionMajor="3"><TSK A="TSK1" B="East" G="4"><TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>"#;
const HEADER: &str = r#"<TIM A="" D="4"><PTN A="" B=""/><DLV A="0057" B="" C="DET-2"/><DLV A="0063" B="180000" C="DET-2"/></TIM>"#;

/// Thirty records of 10 kg/s, 2 m a second.
fn records() -> Vec<u8> {
    let mut out = Vec::new();
    for second in 0..30_i32 {
        out.extend((43_200_000 + 1_000 * second).to_le_bytes());
        out.extend(16_344_u16.to_le_bytes());
        out.extend((439_000_000 + 180 * second).to_le_bytes());
        out.extend((-939_000_000_i32).to_le_bytes());
        out.extend([1, 0]);
        out.extend(10_000_000_i32.to_le_bytes());
    }
    out
}

#[test]
fn an_archive_adds_up_whatever_its_name() {
    let bench = Bench::new();
    let sum = json(&bench, &[&archive("every-value.zip")]);
    // the flow of reference/isoxml/expected.txt, each for a second: 160.0... kg
    let text = std::fs::read_to_string(archive("expected.txt")).expect("the reference");
    let mg: f64 = text
        .lines()
        .filter(|line| line.starts_with("every-value TLG00001 stored"))
        .filter_map(|line| {
            line.split(" 0057_DET-2:")
                .nth(1)?
                .split(' ')
                .next()?
                .parse::<f64>()
                .ok()
        })
        .sum();
    let wet = sum["wet_lb"].as_f64().expect("a number") * 0.453_592_37;
    assert!(mg > 1e8 && (wet - mg * 1e-6).abs() < 1e-6, "{wet} {mg}");
    assert_eq!(sum["swath_in"].as_f64().map(f64::round), Some(360.0));
    assert_eq!(sum["logs"][0]["mass_from"], "mass flow x interval");
    std::fs::copy(archive("every-value.zip"), bench.path().join("points.csv")).expect("copied");
    let renamed = bench.path().join("points.csv");
    let again = json(&bench, &[&renamed.display().to_string()]);
    assert_eq!(again["wet_lb"], sum["wet_lb"]);
}

#[test]
fn several_logs_are_one_after_another_or_the_one_named() {
    let bench = Bench::new();
    let file = archive("several-linked.zip");
    let all = json(&bench, &[&file]);
    assert_eq!(
        (all["n"].as_u64(), all["logs"].as_array().map(Vec::len)),
        (Some(38), Some(3))
    );
    let tanks: Vec<_> = all["tanks"]
        .as_array()
        .expect("tanks")
        .iter()
        .map(|t| t["tank"].as_str())
        .collect();
    assert_eq!(tanks, [Some("Task 1"), Some("Task 2")]);
    let one = json(&bench, &[&file, "--log", "tlg00003"]);
    assert_eq!(
        (one["n"].as_u64(), one["tanks"].as_array().map(Vec::len)),
        (Some(10), Some(0))
    );
    let wrong = bench.run(&["pass", "summary", &file, "--crop", "corn", "--log", "TLG9"]);
    assert_eq!(wrong.code, 2);
    assert!(
        wrong.err.contains("expected one of TLG00001 (Task 1)"),
        "{}",
        wrong.err
    );
}

#[test]
fn a_folder_and_its_main_file_are_read_too() {
    let bench = Bench::new();
    let folder = bench.path().join("card");
    std::fs::create_dir_all(folder.join("TASKDATA")).expect("made");
    for (name, bytes) in [
        ("taskdata.xml", MAIN.as_bytes().to_vec()),
        ("TLG00001.XML", HEADER.as_bytes().to_vec()),
        ("tlg00001.bin", records()),
    ] {
        std::fs::write(folder.join("TASKDATA").join(name), bytes).expect("written");
    }
    for path in [
        folder.clone(),
        folder.join("TASKDATA"),
        folder.join("TASKDATA/taskdata.xml"),
    ] {
        let path = path.display().to_string();
        let sum = json(&bench, &[&path, "--swath", "30ft"]);
        let kg = sum["wet_lb"].as_f64().expect("a number") * 0.453_592_37;
        assert!((kg - 300.0).abs() < 1e-9, "{kg}");
        let moisture = sum["moisture_pct_mass_weighted"]
            .as_f64()
            .expect("a number");
        assert!((moisture - 18.0).abs() < 1e-9, "{moisture}");
        let bare = bench.run(&["pass", "summary", &path, "--crop", "corn"]);
        assert_eq!(bare.code, 2);
        assert!(bare.err.contains("--swath"), "{}", bare.err);
    }
    let text = bench.ok(&[
        "pass",
        "summary",
        &folder.display().to_string(),
        "--crop",
        "corn",
        "--swath",
        "30ft",
    ]);
    assert!(
        text.contains("log TLG00001 of East: 30 records, mass from mass flow x interval"),
        "{text}"
    );
}

#[test]
fn what_cannot_be_read_is_a_sentence() {
    let bench = Bench::new();
    let write = |name: &str, bytes: &[u8]| {
        std::fs::write(bench.path().join(name), bytes).expect("written");
        bench.path().join(name).display().to_string()
    };
    let cut = std::fs::read(archive("every-value.zip")).expect("the reference");
    let file = archive("every-value.zip");
    let empty = bench.path().join("empty");
    std::fs::create_dir(&empty).expect("made");
    for (words, says) in [
        (
            vec![write("cut.zip", &cut[..300])],
            "a zip archive that cannot be read",
        ),
        (
            vec![write("bare.xml", MAIN.as_bytes())],
            "log TLG00001 has no header: its .xml file is not there",
        ),
        (
            vec![empty.display().to_string()],
            "a folder without TASKDATA.XML",
        ),
        (
            vec![file.clone(), "--column".into(), "dist=ft".into()],
            "task data, which says itself",
        ),
        (
            vec![file.clone(), "--test-weight".into(), "heavy".into()],
            "test-weight",
        ),
        (
            vec![
                write("a.csv", b"long,lat,mass kg,dist m\n-93,43,1,2\n"),
                "--log".into(),
                "TLG1".into(),
            ],
            "only task data has use for it",
        ),
    ] {
        let mut all = vec!["pass", "summary", "--crop", "corn"];
        all.extend(words.iter().map(String::as_str));
        let ran = bench.run(&all);
        assert_eq!(ran.code, 2, "{words:?}");
        assert!(ran.err.contains(says), "{words:?}: {}", ran.err);
        assert!(!ran.err.contains("panicked"), "{}", ran.err);
    }
}
