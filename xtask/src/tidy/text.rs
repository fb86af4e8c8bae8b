//! Text: trailing spaces, marks of unfinished work, paths of somebody's machine.

use super::Finding;
use super::rules::Rules;
use super::tree::Tree;

/// Kinds of file that people write and read.
const WRITTEN: &[&str] = &[
    ".rs", ".md", ".toml", ".sh", ".py", ".R", ".sql", ".js", ".mjs", ".css", ".html", ".yml",
];

/// Scripts without an ending.
const SCRIPTS: &[&str] = &["check", ".ci/run"];

/// Marks of unfinished work.
const MARKS: &[&str] = &[
    concat!("TO", "DO"),
    concat!("FIX", "ME"),
    concat!("X", "XX"),
];

/// Beginnings of paths that exist on one machine only.
const MACHINE: &[&str] = &[
    concat!("/wo", "rk/"),
    concat!("/ro", "ot/"),
    concat!("/ho", "me/"),
    concat!("/t", "mp/"),
    concat!("/Us", "ers/"),
];

/// Every text file.
pub(super) fn check(tree: &Tree, _: &Rules) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (path, text) in &tree.files {
        for (index, line) in text.lines().enumerate() {
            if let Some(place) = MACHINE.iter().find(|place| holds_path(line, place)) {
                let what = format!(
                    "a path of one machine (`{place}`); name it from the repository's root or an argument"
                );
                findings.push(Finding::at(path, index + 1, what));
            }
        }
        if WRITTEN.iter().any(|ending| path.ends_with(ending)) || SCRIPTS.contains(&path.as_str()) {
            findings.extend(written(path, text));
        }
    }
    findings
}

fn written(path: &str, text: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, line) in text.lines().enumerate() {
        if line.ends_with([' ', '\t', '\r']) {
            findings.push(Finding::at(
                path,
                index + 1,
                "ends in a space, tab or carriage return",
            ));
        }
        if let Some(mark) = MARKS.iter().find(|mark| super::bare::has_word(line, mark)) {
            findings.push(Finding::at(
                path,
                index + 1,
                format!("`{mark}`: finish it, or leave it out and say so"),
            ));
        }
    }
    if !text.is_empty() && !text.ends_with('\n') {
        findings.push(Finding::at(
            path,
            text.lines().count(),
            "the last line does not end",
        ));
    }
    findings
}

/// Whether an absolute path that begins with `place` stands in the line (`a/home/b` is none).
fn holds_path(line: &str, place: &str) -> bool {
    line.match_indices(place).any(|(start, _)| {
        let before = line[..start].chars().next_back();
        !before.is_some_and(|character| character.is_alphanumeric() || "._-/}".contains(character))
    })
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
    fn finds_loose_ends() {
        assert_eq!(
            findings("a.md", "one \ntwo\n"),
            ["a.md:1: ends in a space, tab or carriage return"]
        );
        assert_eq!(
            findings("a.md", "one"),
            ["a.md:1: the last line does not end"]
        );
        assert_eq!(findings("a.rs", concat!("one // TO", "DO\n")).len(), 1);
        assert!(findings("sample/points.tsv", "one \ntwo").is_empty());
    }

    #[test]
    fn finds_paths_of_a_machine() {
        assert_eq!(
            findings("a.json", concat!("\"/ho", "me/ann/farm\"\n")).len(),
            1
        );
        assert!(findings("a.md", concat!("pages/ho", "me/index\n")).is_empty());
    }
}
