//! `sample/` is the demo farm of seed 1, and current.
//!
//! `STOOK_WRITE_SAMPLE=1 cargo test -p stook-worlds --test sample` writes it anew.

use std::path::PathBuf;
use worlds::demo::{demo, slips_csv};

fn files() -> Vec<(String, String)> {
    let farm = demo(1);
    let mut files = vec![
        ("slips.csv".to_owned(), slips_csv(&farm.typed, 5)),
        ("paper.csv".to_owned(), slips_csv(&farm.paper, 5)),
        farm.points.clone(),
        ("truth.json".to_owned(), json(&farm.truth)),
        ("typed.json".to_owned(), json(&farm.typed)),
        ("paper.json".to_owned(), json(&farm.paper)),
        (
            "land.json".to_owned(),
            json(&(
                &farm.fields,
                &farm.people,
                &farm.bins,
                &farm.bin_measures,
                &farm.contracts,
            )),
        ),
    ];
    for (crop, text) in &farm.schedules {
        files.push((format!("schedule-{crop}.toml"), text.clone()));
    }
    files
}

fn json(value: &impl serde::Serialize) -> String {
    let text = serde_json::to_string_pretty(value).expect("plain data has a JSON text");
    text + "\n"
}

#[test]
fn sample_files_are_current() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../sample");
    let write = std::env::var_os("STOOK_WRITE_SAMPLE").is_some();
    for (name, text) in files() {
        let path = folder.join(&name);
        if write {
            std::fs::write(&path, &text).unwrap();
        }
        let there = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            there == text,
            "sample/{name} is not what seed 1 makes now; write it anew with STOOK_WRITE_SAMPLE=1"
        );
    }
}
