//! Sizes: a file past 500 lines wants a reason.

use super::Finding;
use super::rules::{PATH, Rules};
use super::tree::Tree;

/// Lines that a file may have without a reason.
const LONG: usize = 500;

/// Kinds of file that hold code.
const CODE: &[&str] = &[".rs", ".js", ".mjs", ".css", ".html", ".py", ".sql"];

/// Every code file, and every reason given for one.
pub(super) fn check(tree: &Tree, rules: &Rules) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut long = Vec::new();
    for (path, text) in &tree.files {
        let lines = text.lines().count();
        if lines > LONG && CODE.iter().any(|ending| path.ends_with(ending)) {
            long.push(path);
            if rules
                .long
                .get(path)
                .is_none_or(|reason| reason.trim().is_empty())
            {
                let what =
                    format!("{lines} lines; split it, or give the reason under [long] in {PATH}");
                findings.push(Finding::about(path, what));
            }
        }
    }
    for path in rules.long.keys().filter(|path| !long.contains(path)) {
        findings.push(Finding::about(
            PATH,
            format!("[long] excuses {path}, which is not long; drop it"),
        ));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wants_a_reason_for_a_long_file_and_no_other() {
        let long = "x\n".repeat(LONG + 1);
        let tree = Tree::of(&[
            ("crates/grain/src/a.rs", &long),
            ("sample/points.tsv", &long),
        ]);
        let mut rules = Rules::small();
        assert_eq!(check(&tree, &rules).len(), 1);
        rules
            .long
            .insert("crates/grain/src/a.rs".into(), " ".into());
        assert_eq!(check(&tree, &rules).len(), 1);
        rules
            .long
            .insert("crates/grain/src/a.rs".into(), "one table".into());
        assert!(check(&tree, &rules).is_empty());
        rules
            .long
            .insert("crates/grain/src/b.rs".into(), "gone".into());
        assert_eq!(check(&tree, &rules).len(), 1);
    }
}
