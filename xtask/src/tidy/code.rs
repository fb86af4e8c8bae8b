//! Code: the head of each file, bare allows, unsafe, and what was left undone.

use super::Finding;
use super::bare::{bare, lines_with};
use super::rules::Rules;
use super::tree::Tree;

/// Words that have no place in our code, and what to do about each.
const WORDS: &[(&str, &str)] = &[
    (concat!("un", "safe"), "our crates are safe Rust throughout"),
    (
        concat!("to", "do!"),
        "finish it, or leave it out and say so in the documents",
    ),
    (
        concat!("unimpl", "emented!"),
        "finish it, or leave it out and say so in the documents",
    ),
];

/// Every Rust file of ours.
pub(super) fn check(tree: &Tree, _: &Rules) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (path, text) in tree.ending(".rs") {
        if !text.trim_start().starts_with("//!") {
            findings.push(Finding::at(
                path,
                1,
                "starts with no `//!`; say in a line or two what the file answers",
            ));
        }
        let bare = bare(text);
        for (word, instead) in WORDS {
            let what = format!("`{word}`: {instead}");
            findings.extend(
                lines_with(&bare, word)
                    .into_iter()
                    .map(|line| Finding::at(path, line, &what)),
            );
        }
        findings.extend(attributes(path, &bare, text));
    }
    findings
}

/// Bare allows, and expectations that give no reason.
fn attributes(path: &str, bare: &str, text: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    let starts = ["#[", "#!["]
        .into_iter()
        .flat_map(|opening| bare.match_indices(opening));
    for (start, opening) in starts {
        let rest = bare[start + opening.len()..].trim_start();
        let line = bare[..start].matches('\n').count() + 1;
        if rest.starts_with("allow(") {
            findings.push(Finding::at(
                path,
                line,
                "an `allow`; write #[expect(lint, reason = \"...\")]",
            ));
        }
        // blanking keeps the length in bytes, so the attribute ends at the same place in the text
        let end = bare[start..]
            .find(']')
            .map_or(bare.len(), |close| start + close);
        if rest.starts_with("expect(")
            && !text
                .get(start..end)
                .is_some_and(|inside| inside.contains("reason"))
        {
            findings.push(Finding::at(
                path,
                line,
                "an `expect` of a lint that gives no reason",
            ));
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(text: &str) -> Vec<String> {
        let all = check(
            &Tree::of(&[("crates/grain/src/a.rs", text)]),
            &Rules::small(),
        );
        all.into_iter().map(|finding| finding.what).collect()
    }

    #[test]
    fn wants_a_head() {
        assert!(findings("use x;\n")[0].contains("no `//!`"));
        assert!(findings("//! Bins.\nuse x;\n").is_empty());
    }

    #[test]
    fn finds_bare_allows_and_unreasoned_expectations() {
        assert!(findings("//! A.\n#[allow(dead_code)]\nfn a() {}\n")[0].contains("an `allow`"));
        assert!(findings("//! A.\n#![allow(dead_code)]\n")[0].contains("an `allow`"));
        assert!(
            findings("//! A.\n#[expect(dead_code)]\nfn a() {}\n")[0].contains("gives no reason")
        );
        assert!(
            findings(
                "//! A.\n#[expect(\n    dead_code,\n    reason = \"read by x\"\n)]\nfn a() {}\n"
            )
            .is_empty()
        );
        assert!(findings("//! A.\n// #[allow(x)]\nlet a = \"#[allow(x)]\";\n").is_empty());
    }

    #[test]
    fn finds_what_was_left_undone() {
        assert_eq!(
            findings(concat!("//! A.\nfn a() { to", "do!() }\n")).len(),
            1
        );
        assert_eq!(findings(concat!("//! A.\nun", "safe { a() }\n")).len(), 1);
        assert!(findings("//! A.\n#![forbid(unsafe_code)]\n").is_empty());
    }
}
