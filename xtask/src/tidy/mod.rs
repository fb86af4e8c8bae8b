//! Tidy: what clippy cannot see.
//!
//! Arrows between rooms, doors to other people's crates, purity of the lower floors, length and
//! head of files, sources of facts and reference numbers, the dependency list, and marks that
//! should not be left in a text. Reads the tree once; each check is a function from [`Tree`] and
//! [`Rules`] to findings, so each is tested on a small bad tree.

mod arrows;
mod bare;
mod code;
mod dependencies;
mod documents;
mod doors;
mod facts;
mod manifest;
mod rules;
mod sizes;
mod text;
mod tree;

use anyhow::bail;
use rules::Rules;
use std::fmt;
use std::path::Path;
use tree::Tree;

/// Something that is not tidy: where, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Finding {
    /// Path from the repository's root.
    path: String,
    /// Line from 1, or 0 where it concerns the file as a whole.
    line: usize,
    /// What was found, what was expected, what to do.
    what: String,
}

impl Finding {
    /// A finding about a line.
    fn at(path: &str, line: usize, what: impl Into<String>) -> Self {
        Self {
            path: path.to_owned(),
            line,
            what: what.into(),
        }
    }

    /// A finding about a whole file.
    fn about(path: &str, what: impl Into<String>) -> Self {
        Self::at(path, 0, what)
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            0 => write!(f, "{}: {}", self.path, self.what),
            line => write!(f, "{}:{line}: {}", self.path, self.what),
        }
    }
}

/// One check.
type Check = fn(&Tree, &Rules) -> Vec<Finding>;

/// Every check, by the name that its findings are counted under.
const CHECKS: &[(&str, Check)] = &[
    ("arrows", arrows::check),
    ("doors", doors::check),
    ("code", code::check),
    ("text", text::check),
    ("sizes", sizes::check),
    ("facts", facts::check),
    ("documents", documents::check),
    ("dependencies", dependencies::check),
];

/// Checks the tree under `root`, prints what is not tidy, and fails when there is any.
pub(crate) fn main(root: &Path) -> anyhow::Result<()> {
    let tree = Tree::read(root)?;
    let rules = Rules::read(&tree)?;
    let mut count = 0;
    for (name, check) in CHECKS {
        let mut findings = check(&tree, &rules);
        findings.sort();
        count += findings.len();
        for finding in findings {
            println!("{finding} [{name}]");
        }
    }
    if count > 0 {
        bail!("{count} things are not tidy");
    }
    println!(
        "tidy: {} files, {} checks, nothing found",
        tree.files.len(),
        CHECKS.len()
    );
    Ok(())
}
