//! Dependencies: each has its line in DEPENDENCIES.md, and each is used.

use super::Finding;
use super::bare::{bare, has_word, is_test};
use super::manifest::{Table, members, workspace};
use super::rules::Rules;
use super::tree::Tree;
use std::collections::{BTreeMap, BTreeSet};

/// The document.
const LIST: &str = "DEPENDENCIES.md";

/// The list and the uses.
pub(super) fn check(tree: &Tree, _: &Rules) -> Vec<Finding> {
    let mut findings = unused(tree);
    let (ours, theirs) = named(tree, &mut findings);
    let declared = workspace(tree);
    for name in declared
        .keys()
        .filter(|name| !ours.contains(*name) && !theirs.contains(*name))
    {
        findings.push(Finding::about(
            "Cargo.toml",
            format!("declares `{name}`, which no crate uses; drop it"),
        ));
    }
    if let Some(text) = tree.text(LIST) {
        findings.extend(listed(text, &theirs));
    }
    findings
}

/// Every dependency that a member names, ours and other people's apart.
fn named(tree: &Tree, findings: &mut Vec<Finding>) -> (BTreeSet<String>, BTreeSet<String>) {
    let declared = workspace(tree);
    let (mut ours, mut theirs) = (BTreeSet::new(), BTreeSet::new());
    for member in members(tree) {
        for (name, _) in member.dependencies {
            match declared.get(&name) {
                Some(true) => ours.insert(name),
                Some(false) => theirs.insert(name),
                None => {
                    let what = format!(
                        "`{name}` is not among the root's [workspace.dependencies]; declare it there"
                    );
                    findings.push(Finding::about(&member.path, what));
                    theirs.insert(name)
                }
            };
        }
    }
    (ours, theirs)
}

/// Rows `| `name` | ...` of the list's first section against what is used.
fn listed(text: &str, theirs: &BTreeSet<String>) -> Vec<Finding> {
    let mut rows: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, line) in text.lines().enumerate() {
        if line.starts_with("## ") {
            break; // the sections after the list speak of what we do without
        }
        let name = line
            .strip_prefix("| `")
            .and_then(|rest| rest.split_once("` |"))
            .map(|(name, _)| name);
        if let Some(name) = name {
            rows.entry(name).or_default().push(index + 1);
        }
    }
    let mut findings = Vec::new();
    for name in theirs {
        match rows.remove(name.as_str()) {
            None => findings.push(Finding::about(
                LIST,
                format!(
                    "has no row for `{name}`: what it does for the farmer, and what if it died"
                ),
            )),
            Some(lines) if lines.len() > 1 => {
                findings.push(Finding::at(
                    LIST,
                    lines[1],
                    format!("a second row for `{name}`"),
                ));
            }
            Some(_) => {}
        }
    }
    for (name, lines) in rows {
        findings.push(Finding::at(
            LIST,
            lines[0],
            format!("a row for `{name}`, which no crate names; drop it"),
        ));
    }
    findings
}

/// Dependencies that no line of their crate names.
fn unused(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    for member in members(tree) {
        let folder = member.path.trim_end_matches("Cargo.toml");
        // doc examples are code as well, so only ordinary comments' prose could fool this
        let files: Vec<(&str, String, &str)> = tree
            .ending(".rs")
            .filter(|(path, _)| path.starts_with(folder))
            .map(|(path, text)| (path, bare(text), text))
            .collect();
        for (name, table) in &member.dependencies {
            let word = name.replace('-', "_");
            let used = files.iter().any(|(path, code, text)| {
                let in_docs = || {
                    text.lines()
                        .any(|line| is_doc(line) && has_word(line, &word))
                };
                match table {
                    Table::Normal => {
                        !is_test(path) && code.lines().any(|line| has_word(line, &word))
                    }
                    Table::Dev => code.lines().any(|line| has_word(line, &word)) || in_docs(),
                }
            });
            if !used {
                let what = match table {
                    Table::Normal => format!(
                        "`{name}` is used nowhere in src; drop it, or make it a dev-dependency"
                    ),
                    Table::Dev => {
                        format!("`{name}` is used in no test, example or document; drop it")
                    }
                };
                findings.push(Finding::about(&member.path, what));
            }
        }
    }
    findings
}

fn is_doc(line: &str) -> bool {
    let line = line.trim_start();
    line.starts_with("///") || line.starts_with("//!")
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOT: &str =
        "[workspace.dependencies]\ngrain = { path = \"crates/grain\" }\nserde_json = \"1\"\n";
    const MEMBER: &str = "[dependencies]\nserde_json.workspace = true\n";

    fn findings(list: &str, member: &str, code: &str) -> Vec<String> {
        let tree = Tree::of(&[
            ("Cargo.toml", ROOT),
            ("DEPENDENCIES.md", list),
            ("crates/desk/Cargo.toml", member),
            ("crates/desk/src/lib.rs", code),
            ("crates/desk/tests/a.rs", "use serde_json::json;\n"),
        ]);
        check(&tree, &Rules::small())
            .into_iter()
            .map(|finding| finding.to_string())
            .collect()
    }

    #[test]
    fn is_content_when_list_and_use_agree() {
        let both = "[dependencies]\ngrain.workspace = true\nserde_json.workspace = true\n";
        let found = findings(
            "| `serde_json` | x |\n\n## Without\n| `other` | x |\n",
            both,
            "use serde_json::Value;\nuse grain::Bin;\n",
        );
        assert!(found.is_empty(), "{found:?}");
    }

    #[test]
    fn finds_what_is_not_listed_or_listed_for_nothing() {
        let found = findings("| `gone` | x |\n", MEMBER, "use serde_json::Value;\n");
        assert_eq!(found.len(), 3, "{found:?}");
        assert!(found[0].contains("declares `grain`, which no crate uses"));
        assert!(found[1].contains("has no row for `serde_json`"));
        assert!(found[2].contains("a row for `gone`"));
        let twice = findings(
            "| `serde_json` | x |\n| `serde_json` | x |\n",
            MEMBER,
            "use serde_json::Value;\n",
        );
        assert!(twice[1].contains("a second row"), "{twice:?}");
    }

    #[test]
    fn finds_what_is_not_used() {
        let found = findings("| `serde_json` | x |\n", MEMBER, "// serde_json::Value\n");
        assert!(
            found[0].contains("`serde_json` is used nowhere in src"),
            "{found:?}"
        );
        let undeclared = findings(
            "| `serde_json` | x |\n| `csv` | x |\n",
            "[dependencies]\ncsv = \"1\"\n",
            "use csv::Reader;\n",
        );
        assert!(
            undeclared[0].contains("`csv` is not among"),
            "{undeclared:?}"
        );
    }
}
