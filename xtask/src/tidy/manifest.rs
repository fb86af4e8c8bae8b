//! The manifests: what each crate of the workspace says it depends on.

use super::tree::Tree;
use std::collections::{BTreeMap, BTreeSet};

/// Which of a manifest's tables a dependency stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Table {
    /// `[dependencies]` or `[build-dependencies]`.
    Normal,
    /// `[dev-dependencies]`: tests and examples only.
    Dev,
}

/// One crate of the workspace.
#[derive(Debug)]
pub(super) struct Manifest {
    /// The folder's name, which is the room's.
    pub(super) room: String,
    /// The manifest's path.
    pub(super) path: String,
    /// Dependencies by the name under which the code knows them.
    pub(super) dependencies: BTreeSet<(String, Table)>,
}

/// Every member's manifest (`crates/*` and `xtask`); one that cannot be read is left to cargo.
pub(super) fn members(tree: &Tree) -> Vec<Manifest> {
    tree.ending("Cargo.toml")
        .filter_map(|(path, text)| {
            let folder = path.strip_suffix("/Cargo.toml")?;
            let room = folder
                .strip_prefix("crates/")
                .or((folder == "xtask").then_some("xtask"))?;
            let table: toml::Table = text.parse().ok()?;
            (!room.contains('/')).then(|| Manifest {
                room: room.to_owned(),
                path: path.to_owned(),
                dependencies: dependencies(&table),
            })
        })
        .collect()
}

fn dependencies(manifest: &toml::Table) -> BTreeSet<(String, Table)> {
    let tables = [
        ("dependencies", Table::Normal),
        ("build-dependencies", Table::Normal),
        ("dev-dependencies", Table::Dev),
    ];
    let per_target = manifest
        .get("target")
        .and_then(toml::Value::as_table)
        .into_iter()
        .flat_map(toml::Table::values);
    let mut found = BTreeSet::new();
    for section in std::iter::once(manifest).chain(per_target.filter_map(toml::Value::as_table)) {
        for (key, table) in tables {
            let names = section
                .get(key)
                .and_then(toml::Value::as_table)
                .into_iter()
                .flat_map(toml::Table::keys);
            found.extend(names.map(|name| (name.clone(), table)));
        }
    }
    found
}

/// The root's `[workspace.dependencies]`: name, and whether it is another crate of ours.
pub(super) fn workspace(tree: &Tree) -> BTreeMap<String, bool> {
    let parsed: Option<toml::Table> = tree.text("Cargo.toml").and_then(|text| text.parse().ok());
    let table = parsed
        .as_ref()
        .and_then(|root| root.get("workspace")?.get("dependencies")?.as_table());
    table
        .into_iter()
        .flatten()
        .map(|(name, value)| (name.clone(), value.get("path").is_some()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_every_kind_of_dependency() {
        let tree = Tree::of(&[
            (
                "Cargo.toml",
                "[workspace.dependencies]\ngrain = { path = \"crates/grain\" }\nserde = \"1\"\n",
            ),
            (
                "crates/grain/Cargo.toml",
                "[dependencies]\nserde.workspace = true\n[dev-dependencies]\nproptest = \"1\"\n\
                 [target.'cfg(unix)'.dependencies]\nlibc = \"0.2\"\n",
            ),
            (
                "fuzz/Cargo.toml",
                "[dependencies]\nlibfuzzer-sys = \"0.4\"\n",
            ),
        ]);
        let members = members(&tree);
        assert_eq!(members.len(), 1);
        let names: Vec<_> = members[0]
            .dependencies
            .iter()
            .map(|(name, table)| (name.as_str(), *table))
            .collect();
        assert_eq!(
            names,
            [
                ("libc", Table::Normal),
                ("proptest", Table::Dev),
                ("serde", Table::Normal)
            ]
        );
        assert_eq!(
            workspace(&tree),
            BTreeMap::from([("grain".to_owned(), true), ("serde".to_owned(), false)])
        );
    }
}
