//! Doors and purity: what a room may name, and what the lower floors may not touch.

use super::bare::{bare, has_word, is_test, lines_with, without_tests};
use super::rules::{PATH, Rules};
use super::tree::{Tree, room_of};
use super::{Finding, manifest};

/// What reaches past a pure function, and what to do instead.
const IMPURE: &[(&str, &str)] = &[
    (
        "std::fs",
        "files are read in `formats` and `book`; take the text or bytes as an argument",
    ),
    ("std::net", "no room of the lower floors talks to a network"),
    ("std::env", "take the setting as an argument"),
    (
        "std::process",
        "no room of the lower floors starts or ends a program",
    ),
    (
        "std::thread",
        "let the caller choose how many threads there are",
    ),
    (
        "ThreadPoolBuilder",
        "let the caller choose how many threads there are",
    ),
    ("SystemTime", "\"now\" is an argument"),
    ("Instant::now", "\"now\" is an argument"),
    ("Timestamp::now", "\"now\" is an argument"),
    ("Zoned::now", "\"now\" is an argument"),
    ("ZonedDateTime::now", "\"now\" is an argument"),
    ("rand::rng", "seeds are arguments"),
    ("tracing", "return findings instead of logging"),
    ("log::", "return findings instead of logging"),
    ("async fn", "the lower floors compute; they never wait"),
    ("thread_local!", "no state outlives a call"),
    ("static mut", "no state outlives a call"),
];

/// Macros and functions that write to a terminal.
const VOICES: &[&str] = &[
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "io::stdout",
    "io::stderr",
];

/// Members of `std` that a grouped import must not bring into a pure room.
const IMPURE_OF_STD: &[&str] = &["fs", "net", "env", "process", "thread"];

/// Every door, voice and impurity.
pub(super) fn check(tree: &Tree, rules: &Rules) -> Vec<Finding> {
    let mut findings = doors(tree, rules);
    for (path, text) in tree.ending(".rs") {
        let Some(room) = room_of(path).filter(|_| !is_test(path)) else {
            continue;
        };
        let bare = bare(text);
        let code = without_tests(&bare);
        if !rules.voices.rooms.iter().any(|voiced| voiced == room) {
            for voice in VOICES {
                let what =
                    format!("`{voice}` in `{room}`; return a result and let the face print it");
                findings.extend(
                    lines_with(code, voice)
                        .into_iter()
                        .map(|line| Finding::at(path, line, &what)),
                );
            }
        }
        if rules.pure(room) {
            findings.extend(impurities(path, code));
            findings.extend(hashes(path, code, rules));
        }
    }
    for path in rules
        .hashed
        .keys()
        .filter(|path| !tree.files.contains_key(*path))
    {
        findings.push(Finding::about(
            PATH,
            format!("[hashed] names {path}, which is not there; drop it"),
        ));
    }
    findings
}

fn doors(tree: &Tree, rules: &Rules) -> Vec<Finding> {
    let mut findings = Vec::new();
    for member in manifest::members(tree) {
        for (name, _) in &member.dependencies {
            let Some(rooms) = rules.doors.get(name) else {
                continue;
            };
            if !rooms.contains(&member.room) {
                let what = format!(
                    "`{}` names `{name}`, whose only door is {}",
                    member.room,
                    rooms.join(" and ")
                );
                findings.push(Finding::about(&member.path, what));
            }
        }
    }
    findings
}

fn impurities(path: &str, code: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (word, instead) in IMPURE {
        let what = format!("`{word}` in a pure room; {instead}");
        findings.extend(
            lines_with(code, word)
                .into_iter()
                .map(|line| Finding::at(path, line, &what)),
        );
    }
    for (start, opening) in code.match_indices("std::{") {
        let line = code[..start].matches('\n').count() + 1;
        for name in top_names(&code[start + opening.len()..]) {
            if IMPURE_OF_STD.contains(&name) {
                findings.push(Finding::at(
                    path,
                    line,
                    format!("`std::{name}` in a pure room"),
                ));
            }
        }
    }
    findings
}

/// The first names of a grouped import: `fs::File, io::{self, Read}}` gives `fs` and `io`.
fn top_names(group: &str) -> Vec<&str> {
    let (mut depth, mut start, mut names) = (0, 0, Vec::new());
    for (at, character) in group.char_indices() {
        match character {
            '{' => depth += 1,
            '}' if depth > 0 => depth -= 1,
            ',' | '}' if depth == 0 => {
                names.push(
                    group[start..at]
                        .split("::")
                        .next()
                        .unwrap_or_default()
                        .trim(),
                );
                start = at + 1;
                if character == '}' {
                    break;
                }
            }
            _ => {}
        }
    }
    names
}

/// Hash tables whose order could reach a result.
fn hashes(path: &str, code: &str, rules: &Rules) -> Option<Finding> {
    let line = code
        .lines()
        .position(|line| has_word(line, "HashMap") || has_word(line, "HashSet"));
    let excused = rules
        .hashed
        .get(path)
        .is_some_and(|reason| !reason.trim().is_empty());
    match line {
        Some(line) if !excused => Some(Finding::at(
            path,
            line + 1,
            format!(
                "a hash table in a pure room: its order changes from run to run; use a BTreeMap or a sorted Vec, or \
                 say under [hashed] in {PATH} why its order reaches no result"
            ),
        )),
        None if excused => Some(Finding::about(
            PATH,
            format!("[hashed] excuses {path}, which has none; drop it"),
        )),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(path: &str, text: &str) -> Vec<String> {
        check(&Tree::of(&[(path, text)]), &Rules::small())
            .into_iter()
            .map(|finding| finding.to_string())
            .collect()
    }

    #[test]
    fn keeps_doors_shut() {
        let found = findings(
            "crates/grain/Cargo.toml",
            "[dependencies]\nfaer = \"0.24\"\n",
        );
        assert_eq!(
            found,
            ["crates/grain/Cargo.toml: `grain` names `faer`, whose only door is numeric"]
        );
        assert!(
            findings(
                "crates/numeric/Cargo.toml",
                "[dependencies]\nfaer = \"0.24\"\n"
            )
            .is_empty()
        );
    }

    #[test]
    fn finds_what_is_not_pure() {
        for line in [
            "use std::fs::File;",
            "use std::{collections::BTreeMap, env};",
            "let t = std::time::Instant::now();",
            "std::thread::spawn(run);",
            "tracing::info!(\"x\");",
            "pub async fn wait() {}",
            "use std::collections::HashMap;",
        ] {
            let found = findings("crates/grain/src/lib.rs", &format!("//! Grain.\n{line}\n"));
            assert_eq!(found.len(), 1, "{line}: {found:?}");
            assert!(
                found[0].starts_with("crates/grain/src/lib.rs:2: "),
                "{found:?}"
            );
        }
    }

    #[test]
    fn lets_tests_comments_and_faces_be() {
        assert!(
            findings(
                "crates/grain/src/lib.rs",
                "// std::fs\n#[cfg(test)]\nmod tests {\nuse std::fs;\n}\n"
            )
            .is_empty()
        );
        assert!(
            findings(
                "crates/grain/tests/a.rs",
                "use std::fs;\nfn a() { println!(); }\n"
            )
            .is_empty()
        );
        assert!(
            findings(
                "crates/stook/src/main.rs",
                "fn main() { println!(); std::env::args(); }\n"
            )
            .is_empty()
        );
        assert!(
            findings(
                "crates/grain/src/a.rs",
                "use std::{fmt, iter::Sum, ops::{Add, Sub}};\n"
            )
            .is_empty()
        );
    }

    #[test]
    fn lets_only_the_faces_speak() {
        assert!(
            findings("crates/grain/src/lib.rs", "fn a() { println!(); }\n")[0]
                .contains("`println!` in `grain`")
        );
    }

    #[test]
    fn wants_excuses_to_be_true() {
        let mut rules = Rules::small();
        rules.hashed.insert(
            "crates/grain/src/a.rs".into(),
            "looked up, never walked".into(),
        );
        let with = Tree::of(&[("crates/grain/src/a.rs", "use std::collections::HashSet;\n")]);
        assert!(check(&with, &rules).is_empty());
        assert!(
            check(&Tree::of(&[("crates/grain/src/a.rs", "")]), &rules)[0]
                .what
                .contains("drop it")
        );
        assert!(
            check(&Tree::default(), &rules)[0]
                .what
                .contains("not there")
        );
    }
}
