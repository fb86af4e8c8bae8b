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

fn in_spanish(english: &str) -> String {
    web::Text(web::Language::Es).say(english).into_owned()
}

/// Words that no Spanish sentence holds.
const ENGLISH: &[&str] = &[
    "found",
    "expected",
    "the",
    "with",
    "is",
    "it",
    "and",
    "what",
    "which",
    "needs",
    "such",
    "a unit",
    "weight",
    "moisture",
    "number",
    "length",
    "gross",
    "tare",
    "at most",
    "more than",
    "less",
];

/// English that was left in a Spanish text, apart from what is quoted to be typed as it stands.
fn left_in_english(text: &str) -> Vec<&'static str> {
    let mut plain = String::new();
    for (n, part) in text.split(['\'', '(']).enumerate() {
        // what stands in quotes was typed; what stands in brackets may be a word to type
        if n % 2 == 0 {
            plain.push_str(part);
        }
        plain.push(' ');
    }
    let words: Vec<String> = plain
        .split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .collect();
    let padded = format!(" {} ", words.join(" "));
    ENGLISH
        .iter()
        .copied()
        .filter(|word| padded.contains(&format!(" {word} ")))
        .collect()
}

#[test]
fn every_figure_that_can_be_written_has_its_spanish() {
    let spanish = spanish();
    let mut missing = BTreeSet::new();
    for form in desk::written::FORMS {
        let mut texts = vec![form.kind, form.help];
        for figure in form.figures {
            texts.extend([figure.label, figure.help, figure.name]);
            if let desk::written::Shape::OneOf(words) = figure.shape {
                texts.extend(words);
            }
        }
        missing.extend(
            texts
                .into_iter()
                .filter(|text| !spanish.contains_key(*text)),
        );
    }
    assert!(missing.is_empty(), "no Spanish: {missing:#?}");
}

/// What a figure was typed as, and the refusal's Spanish.
fn refused(kind: &str, figures: &[(&str, &str)]) -> (String, String) {
    let mut written = desk::written::Figures::default();
    for (name, text) in figures {
        written.add(name, *text);
    }
    let why = desk::written::read(kind, &written, &desk::Farm::default(), 2026)
        .expect_err("each of these is refused")
        .to_string();
    let said = in_spanish(&why);
    (why, said)
}

#[test]
fn refusals_are_spanish_and_keep_what_was_typed() {
    let cases: &[(&str, &[(&str, &str)])] = &[
        ("machine", &[("name", "combine"), ("tank", "5 lx")]),
        ("machine", &[("name", "combine"), ("tank", "5000")]),
        ("machine", &[("name", "combine"), ("monitor", "7x")]),
        ("machine", &[("name", "combine"), ("bogus", "71")]),
        ("person", &[("name", "Ana"), ("role", "71x")]),
        ("person", &[("name", "Ana"), ("usual-share", "71x")]),
        ("place", &[("name", "Gravity 2"), ("kind", "71x")]),
        (
            "place",
            &[("name", "Gravity 2"), ("kind", "bin"), ("wall", "71x")],
        ),
        ("field", &[("name", "Bench"), ("reported", "71")]),
        ("field", &[("name", "Bench"), ("reported", "71 zz")]),
        ("field", &[("name", "Bench"), ("boundary", "71x")]),
        (
            "call_at",
            &[("unit", "0001"), ("yield", "71x"), ("crop", "corn")],
        ),
        ("season", &[("year", "71x")]),
        ("buyer", &[("name", "Pit"), ("hours", "corn=71x")]),
        ("buyer", &[("name", "Pit"), ("top-moisture", "corn=771%")]),
        ("count", &[]),
        ("weighed", &[]),
        ("nosuch71", &[]),
        ("cover", &[("place", "wagon 71"), ("on", "yes")]),
        ("ready", &[("text", "oil"), ("often", "71x")]),
        ("copied", &[("to", "stick"), ("entries", "71x")]),
        ("stop", &[("machine", "combine 71"), ("why", "plug")]),
    ];
    let mut wrong = Vec::new();
    for (kind, figures) in cases {
        let (why, said) = refused(kind, figures);
        let left = left_in_english(&said);
        let lost = |text: &str| {
            let figures = |text: &str| -> Vec<String> {
                text.split(|c: char| !c.is_ascii_digit())
                    .filter(|digits| !digits.is_empty())
                    .map(str::to_owned)
                    .collect()
            };
            let (mut had, mut has) = (figures(&why), figures(text));
            had.sort();
            has.sort();
            had != has
        };
        if said == why || !left.is_empty() || lost(&said) {
            wrong.push(format!("{why}\n  {said}\n  {left:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
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

/// A Rust text as the compiler reads it: lines joined and quotes bare.
fn plain_source(text: &str) -> String {
    let mut joined = String::with_capacity(text.len());
    let mut lines = text.split("\\\n");
    joined.push_str(lines.next().unwrap());
    for line in lines {
        joined.push_str(line.trim_start());
    }
    joined.replace("\\\"", "\"")
}

#[test]
fn every_spanish_word_has_its_english_somewhere() {
    // a word that no room says any more is a word that nobody can check
    let rooms = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut paths = Vec::new();
    files(
        rooms,
        &[".rs", ".html", ".js", ".json", ".toml"],
        &mut paths,
    );
    let mut all = String::new();
    for path in paths.iter().filter(|path| !path.ends_with("text/es.toml")) {
        all.push_str(&plain_source(&std::fs::read_to_string(path).unwrap()));
    }
    let unused: Vec<String> = spanish()
        .into_keys()
        .filter(|key| !(0..9).any(|n| key.contains(&format!("{{{n}}}"))))
        .filter(|key| !all.contains(key.as_str()))
        .collect();
    assert!(unused.is_empty(), "no room says: {unused:#?}");
}
