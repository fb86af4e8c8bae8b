//! The rules of the house as `tidy.toml` states them.

use super::tree::Tree;
use anyhow::Context as _;
use std::collections::BTreeMap;

/// Where the rules stand.
pub(super) const PATH: &str = "tidy.toml";

/// `tidy.toml`, read.
#[derive(Debug, Default, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rules {
    /// Each room's floor.
    pub(super) floors: BTreeMap<String, u8>,
    /// Rooms that may import only up to a floor lower than their own.
    #[serde(default)]
    pub(super) ceilings: BTreeMap<String, Ceiling>,
    /// Up to which floor rooms are pure.
    #[serde(default)]
    pub(super) purity: Purity,
    /// Crates of other people's, and the rooms that may name them.
    #[serde(default)]
    pub(super) doors: BTreeMap<String, Vec<String>>,
    /// Rooms that may print.
    #[serde(default)]
    pub(super) voices: Voices,
    /// Long files and the reason of each.
    #[serde(default)]
    pub(super) long: BTreeMap<String, String>,
    /// Files of pure rooms that use a hash table, and the reason of each.
    #[serde(default)]
    pub(super) hashed: BTreeMap<String, String>,
}

/// A room's lower ceiling.
#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Ceiling {
    /// The highest floor that it may import.
    pub(super) highest: u8,
    /// Why.
    pub(super) reason: String,
}

/// Which floors are pure.
#[derive(Debug, Default, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Purity {
    /// The highest of them.
    pub(super) highest: u8,
}

/// Who may print.
#[derive(Debug, Default, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Voices {
    /// The rooms.
    pub(super) rooms: Vec<String>,
}

impl Rules {
    /// Reads the tree's `tidy.toml`.
    pub(super) fn read(tree: &Tree) -> anyhow::Result<Self> {
        let text = tree
            .text(PATH)
            .context("tidy.toml is missing from the repository's root")?;
        toml::from_str(text).context("tidy.toml could not be read")
    }

    /// Whether `room` is one of the pure ones.
    pub(super) fn pure(&self, room: &str) -> bool {
        self.floors
            .get(room)
            .is_some_and(|floor| *floor <= self.purity.highest)
    }

    /// Rules for a test: three floors of the real house.
    #[cfg(test)]
    pub(super) fn small() -> Self {
        toml::from_str(
            "[floors]\nquantity = 0\nfacts = 1\nnumeric = 1\ngrain = 2\ntrack = 3\nworlds = 3\nstook = 8\n\
             [ceilings]\nworlds = { highest = 1, reason = \"shares no kernel\" }\n\
             [purity]\nhighest = 4\n[doors]\nfaer = [\"numeric\"]\n[voices]\nrooms = [\"stook\", \"xtask\"]\n",
        )
        .unwrap()
    }
}
