//! Documents: those that must be there, links that lead somewhere, and provenance of numbers.

use super::Finding;
use super::rules::{PATH, Rules};
use super::tree::Tree;
use std::collections::{BTreeMap, BTreeSet};

/// Documents that the house is not complete without.
const WANTED: &[&str] = &[
    "README.md",
    "ARCHITECTURE.md",
    "STYLE.md",
    "DEPENDENCIES.md",
    "CONTRIBUTING.md",
    "CHANGELOG.md",
    "BENCHMARKS.md",
    "GLOSSARY.md",
    "LICENSE-MIT",
    "LICENSE-APACHE",
];

/// Endings of the scripts that may make reference numbers.
const SCRIPTS: &[&str] = &[".py", ".R", ".sh", ".rs", ".awk", ".sql", ".mjs"];

/// Documents, links, the floor plan and provenance.
pub(super) fn check(tree: &Tree, rules: &Rules) -> Vec<Finding> {
    let mut findings: Vec<Finding> = WANTED
        .iter()
        .filter(|path| !tree.files.contains_key(**path))
        .map(|path| Finding::about(path, "is missing"))
        .collect();
    for (path, text) in tree.ending(".md") {
        findings.extend(links(tree, path, text));
        findings.extend(named_paths(tree, path, text));
    }
    findings.extend(floor_plan(tree, rules));
    findings.extend(provenance(tree));
    findings
}

/// Links to files of ours that are not there.
fn links(tree: &Tree, path: &str, text: &str) -> Vec<Finding> {
    let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
    let mut findings = Vec::new();
    for (index, line) in text.lines().enumerate() {
        for (start, opening) in line.match_indices("](") {
            let rest = &line[start + opening.len()..];
            let Some(target) = rest
                .split(')')
                .next()
                .and_then(|target| target.split(['#', ' ']).next())
            else {
                continue;
            };
            if target.is_empty() || target.contains("://") || target.starts_with("mailto:") {
                continue;
            }
            let Some(full) = join(folder, target) else {
                findings.push(Finding::at(
                    path,
                    index + 1,
                    format!("the link to {target} leaves the repository"),
                ));
                continue;
            };
            let inside = format!("{full}/");
            let there = tree.files.contains_key(&full) || tree.pictures.contains(&full);
            if !there && tree.under(&inside).next().is_none() {
                findings.push(Finding::at(
                    path,
                    index + 1,
                    format!("the link to {target} leads nowhere"),
                ));
            }
        }
    }
    findings
}

/// Paths of ours in backquotes that are not there; one with a stand-in (`reference/NAME/`) is let be.
fn named_paths(tree: &Tree, path: &str, text: &str) -> Vec<Finding> {
    let ours = ["crates/", "xtask/", "reference/", "sample/", "fuzz/"];
    let mut findings = Vec::new();
    for (index, line) in text.lines().enumerate() {
        for name in line.split('`').skip(1).step_by(2) {
            let plain =
                |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "/._-".contains(c);
            if !ours.iter().any(|start| name.starts_with(start)) || !name.chars().all(plain) {
                continue;
            }
            let inside = format!("{}/", name.trim_end_matches('/'));
            if !tree.files.contains_key(name) && tree.under(&inside).next().is_none() {
                let what = format!("names `{name}`, which is not there");
                findings.push(Finding::at(path, index + 1, what));
            }
        }
    }
    findings
}

/// `target` as seen from `folder`, both from the root.
fn join(folder: &str, target: &str) -> Option<String> {
    let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
    for part in target.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

/// ARCHITECTURE.md's table of rooms (`| 2 | `grain` | ...`) says what `tidy.toml` says.
fn floor_plan(tree: &Tree, rules: &Rules) -> Vec<Finding> {
    const PLAN: &str = "ARCHITECTURE.md";
    let Some(text) = tree.text(PLAN) else {
        return Vec::new();
    };
    let mut told = BTreeMap::new();
    for (index, line) in text.lines().enumerate() {
        let mut cells = line.split('|').skip(1).map(str::trim);
        if let (Some(floor), Some(room)) = (cells.next(), cells.next())
            && let (Ok(floor), Some(room)) = (floor.parse::<u8>(), room.strip_prefix('`'))
            && let Some((room, _)) = room.split_once('`')
        {
            told.insert(room.to_owned(), (floor, index + 1));
        }
    }
    let mut findings = Vec::new();
    for (room, floor) in &rules.floors {
        match told.remove(room) {
            Some((said, line)) if said != *floor => {
                findings.push(Finding::at(
                    PLAN,
                    line,
                    format!("puts `{room}` on floor {said}; {PATH} says {floor}"),
                ));
            }
            Some(_) => {}
            None => findings.push(Finding::about(
                PLAN,
                format!("has no row `| {floor} | `{room}` | ...` in its table of rooms"),
            )),
        }
    }
    for (room, (_, line)) in told {
        findings.push(Finding::at(
            PLAN,
            line,
            format!("names the room `{room}`, which {PATH} does not have"),
        ));
    }
    findings
}

/// Each folder of reference numbers says where they are from, and keeps the script that made them.
fn provenance(tree: &Tree) -> Vec<Finding> {
    let mut folders = BTreeSet::new();
    for (path, _) in tree.under("reference/") {
        if let Some((folder, _)) = path["reference/".len()..].split_once('/') {
            folders.insert(format!("reference/{folder}/"));
        }
    }
    let mut findings = Vec::new();
    for folder in folders {
        let paper = format!("{folder}PROVENANCE.md");
        let Some(text) = tree.text(&paper) else {
            findings.push(Finding::about(
                &paper,
                "is missing; say which source or script the numbers are from",
            ));
            continue;
        };
        if !text.to_lowercase().contains("source") {
            findings.push(Finding::about(&paper, "names no source"));
        }
        let scripts: Vec<&str> = tree
            .under(&folder)
            .map(|(path, _)| &path[folder.len()..])
            .filter(|name| SCRIPTS.iter().any(|ending| name.ends_with(ending)))
            .collect();
        if scripts.is_empty() && !text.contains("no script") {
            let what = "there is no script beside it; keep the one that made the numbers, or say \"no script\" and why";
            findings.push(Finding::about(&paper, what));
        }
        for script in scripts.into_iter().filter(|script| !text.contains(script)) {
            findings.push(Finding::about(
                &paper,
                format!("does not say what {script} is for"),
            ));
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn misses_documents() {
        let findings = check(&Tree::default(), &Rules::small());
        assert_eq!(findings.len(), WANTED.len());
    }

    #[test]
    fn follows_links() {
        let tree = Tree::of(&[
            (
                "README.md",
                "[a](docs/a.md#top) [b](https://example.org) [c](#here) [d](docs) [e](gone.md)\n",
            ),
            ("docs/a.md", "[up](../README.md) [out](../../x.md)\n"),
        ]);
        let told: Vec<String> = tree
            .ending(".md")
            .flat_map(|(path, text)| links(&tree, path, text))
            .map(|f| f.to_string())
            .collect();
        assert_eq!(
            told,
            [
                "README.md:1: the link to gone.md leads nowhere",
                "docs/a.md:1: the link to ../../x.md leaves the repository"
            ]
        );
    }

    #[test]
    fn looks_for_the_paths_that_documents_name() {
        let text = "See `crates/grain/src/a.rs`, `crates/grain`, `crates/ROOM/src`, `fuzz/gone.rs` and `a/b`.\n";
        let tree = Tree::of(&[("A.md", text), ("crates/grain/src/a.rs", "")]);
        let told: Vec<String> = named_paths(&tree, "A.md", text)
            .iter()
            .map(ToString::to_string)
            .collect();
        assert_eq!(told, ["A.md:1: names `fuzz/gone.rs`, which is not there"]);
    }

    #[test]
    fn compares_the_floor_plan() {
        let rows = "| floor | room |\n| --- | --- |\n| 0 | `quantity` | x |\n| 1 | `facts` | x |\n| 1 | `numeric` | x |\n\
                    | 3 | `grain` | x |\n| 3 | `track` | x |\n| 3 | `worlds` | x |\n| 9 | `attic` | x |\n";
        let told: Vec<String> =
            floor_plan(&Tree::of(&[("ARCHITECTURE.md", rows)]), &Rules::small())
                .iter()
                .map(|f| f.what.clone())
                .collect();
        assert_eq!(told.len(), 3, "{told:?}");
        assert!(told[0].contains("puts `grain` on floor 3"));
        assert!(told[1].contains("has no row `| 8 | `stook`"));
        assert!(told[2].contains("names the room `attic`"));
    }

    #[test]
    fn wants_provenance() {
        let findings = |files: &[(&str, &str)]| provenance(&Tree::of(files)).len();
        assert_eq!(findings(&[("reference/square/make.py", "")]), 1);
        assert_eq!(
            findings(&[
                ("reference/square/make.py", ""),
                ("reference/square/PROVENANCE.md", "Numbers.\n")
            ]),
            2
        );
        assert_eq!(
            findings(&[("reference/square/PROVENANCE.md", "Source: a paper.\n")]),
            1
        );
        let good = "Source: numpy, by make.py.\n";
        assert_eq!(
            findings(&[
                ("reference/square/make.py", ""),
                ("reference/square/PROVENANCE.md", good)
            ]),
            0
        );
    }
}
