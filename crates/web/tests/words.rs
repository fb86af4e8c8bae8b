//! Every text that a reader sees is said through translation, and every one has its Spanish.

#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn files(folder: &Path, ends: &[&str], out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if name != "vendor" {
                files(&path, ends, out);
            }
        } else if ends.iter().any(|end| name.ends_with(end)) {
            out.push(path);
        }
    }
}

/// The text literal that begins at a quote, with its escapes read; none where it is no literal.
fn literal(text: &str) -> Option<String> {
    let mut chars = text.chars();
    let quote = chars.next().filter(|c| matches!(c, '"' | '\'' | '`'))?;
    let mut out = String::new();
    loop {
        match chars.next()? {
            '\\' => match chars.next()? {
                'n' => out.push('\n'),
                '\n' => {
                    let rest: String = chars.collect();
                    let trimmed = rest.trim_start().to_owned();
                    return literal(&format!("{quote}{trimmed}")).map(|tail| out + &tail);
                }
                other => out.push(other),
            },
            c if c == quote => return Some(out),
            c => out.push(c),
        }
    }
}

/// Every literal handed to one of the calls.
fn said(text: &str, calls: &[&str]) -> Vec<String> {
    let mut out = Vec::new();
    for call in calls {
        for (at, _) in text.match_indices(call) {
            let before = text[..at].chars().next_back();
            if call.starts_with('t')
                && before.is_some_and(|c| c.is_alphanumeric() || "_.".contains(c))
            {
                continue;
            }
            let rest = text[at + call.len()..].trim_start();
            out.extend(literal(rest));
        }
    }
    out
}

fn spanish() -> BTreeMap<String, String> {
    toml::from_str(include_str!("../text/es.toml")).unwrap()
}

fn english() -> BTreeMap<String, PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut keys = BTreeMap::new();
    let mut rust = Vec::new();
    files(&root.join("src"), &[".rs"], &mut rust);
    for path in rust {
        let text = std::fs::read_to_string(&path).unwrap();
        // what stands in a file's own tests is no page's text
        let text = text.split("#[cfg(test)]").next().unwrap().to_owned();
        for key in said(
            &text,
            &[".say(", ".fill(", ".with(", ".with2(", ".mark(", "Key("],
        ) {
            keys.insert(key, path.clone());
        }
    }
    let mut pages = Vec::new();
    files(&root.join("templates"), &[".html"], &mut pages);
    for path in pages {
        let text = std::fs::read_to_string(&path).unwrap();
        for key in said(&text, &[".say(", ".fill(", ".with(", ".with2(", ".mark("]) {
            keys.insert(key, path.clone());
        }
    }
    let mut scripts = Vec::new();
    files(&root.join("static"), &[".js"], &mut scripts);
    for path in scripts {
        let text = std::fs::read_to_string(&path).unwrap();
        for key in said(&text, &["t("]) {
            keys.insert(key, path.clone());
        }
    }
    keys
}

#[test]
fn every_text_has_its_spanish() {
    let spanish = spanish();
    let missing: Vec<String> = english()
        .into_iter()
        .filter(|(key, _)| !spanish.contains_key(key))
        .map(|(key, path)| {
            format!(
                "{:?} ({})",
                key,
                path.file_name().unwrap().to_string_lossy()
            )
        })
        .collect();
    assert!(
        missing.is_empty(),
        "{} texts have no Spanish:\n{}",
        missing.len(),
        missing.join("\n")
    );
}

#[test]
fn spanish_keeps_every_figure() {
    let holes = |text: &str| -> BTreeSet<String> {
        (0..9)
            .map(|n| format!("{{{n}}}"))
            .filter(|hole| text.contains(hole))
            .collect()
    };
    for (english, spanish) in spanish() {
        assert_eq!(holes(&english), holes(&spanish), "{english} / {spanish}");
        assert!(!spanish.trim().is_empty(), "{english}");
    }
}

#[test]
fn a_literal_is_read_as_it_is_written() {
    assert_eq!(literal(r#""a \"b\" c")"#).as_deref(), Some("a \"b\" c"));
    assert_eq!(literal("name)"), None);
    assert_eq!(
        said("x.say(\"One\") t('Two') at('No')", &[".say(", "t("]),
        ["One", "Two"]
    );
}
