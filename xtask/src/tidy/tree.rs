//! The repository's text, read once.

use anyhow::Context as _;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Folders that hold nothing written by us.
const PASSED_OVER: &[&str] = &[
    ".git",
    "target",
    "node_modules",
    "demo-farm",
    "corpus",
    "artifacts",
    "coverage",
];

/// Every text file by its path from the root, with `/` between the parts.
#[derive(Debug, Default)]
pub(super) struct Tree {
    /// Path to text; files that are not UTF-8 are left out.
    pub(super) files: BTreeMap<String, String>,
    /// Paths of those others: pictures.
    pub(super) pictures: BTreeSet<String>,
}

impl Tree {
    /// Reads the folder `root`.
    pub(super) fn read(root: &Path) -> anyhow::Result<Self> {
        let mut tree = Self::default();
        tree.enter(root, "")?;
        Ok(tree)
    }

    fn enter(&mut self, folder: &Path, prefix: &str) -> anyhow::Result<()> {
        let entries = std::fs::read_dir(folder)
            .with_context(|| format!("{} could not be listed", folder.display()))?;
        for entry in entries {
            let entry = entry?;
            let name = entry.file_name().to_string_lossy().into_owned();
            let path = format!("{prefix}{name}");
            let kind = entry.file_type()?;
            if kind.is_dir() {
                if !PASSED_OVER.contains(&name.as_str()) {
                    self.enter(&entry.path(), &format!("{path}/"))?;
                }
            } else if kind.is_file() {
                let bytes = std::fs::read(entry.path())
                    .with_context(|| format!("{path} could not be read"))?;
                if let Ok(text) = String::from_utf8(bytes) {
                    self.files.insert(path, text);
                } else {
                    self.pictures.insert(path);
                }
            }
        }
        Ok(())
    }

    /// A tree for a test.
    #[cfg(test)]
    pub(super) fn of(files: &[(&str, &str)]) -> Self {
        Self {
            files: files
                .iter()
                .map(|(path, text)| ((*path).to_owned(), (*text).to_owned()))
                .collect(),
            pictures: BTreeSet::new(),
        }
    }

    /// The text of one file.
    pub(super) fn text(&self, path: &str) -> Option<&str> {
        self.files.get(path).map(String::as_str)
    }

    /// The files whose path ends in `ending`, in order.
    pub(super) fn ending<'a>(
        &'a self,
        ending: &'a str,
    ) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.files
            .iter()
            .filter(move |(path, _)| path.ends_with(ending))
            .map(|(path, text)| (path.as_str(), text.as_str()))
    }

    /// The files under `folder` (which ends in `/`), in order.
    pub(super) fn under<'a>(&'a self, folder: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.files
            .iter()
            .filter(move |(path, _)| path.starts_with(folder))
            .map(|(path, text)| (path.as_str(), text.as_str()))
    }
}

/// The room that a path belongs to: `crates/ROOM/...`, or `xtask`.
pub(super) fn room_of(path: &str) -> Option<&str> {
    match path.strip_prefix("crates/") {
        Some(rest) => rest.split_once('/').map(|(room, _)| room),
        None => path.starts_with("xtask/").then_some("xtask"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_text_and_passes_over_what_is_built_or_not_text() {
        let folder = tempfile::tempdir().unwrap();
        for (path, bytes) in [
            ("crates/grain/src/lib.rs", b"//! Grain.\n".as_slice()),
            ("target/debug/lib.rs", b"//! Built.\n"),
            ("sample/photo.bin", b"\xff\xfe\x00"),
        ] {
            let path = folder.path().join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, bytes).unwrap();
        }
        let tree = Tree::read(folder.path()).unwrap();
        assert_eq!(
            tree.files.keys().collect::<Vec<_>>(),
            ["crates/grain/src/lib.rs"]
        );
    }

    #[test]
    fn knows_the_room_of_a_path() {
        assert_eq!(room_of("crates/grain/src/lib.rs"), Some("grain"));
        assert_eq!(room_of("xtask/src/main.rs"), Some("xtask"));
        assert_eq!(room_of("README.md"), None);
    }
}
