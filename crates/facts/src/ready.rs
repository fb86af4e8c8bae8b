//! A starter set of lines for the ready lists: offered, never forced.

use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// A line that is offered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StarterLine {
    /// On which list.
    pub list: String,
    /// What to look at or do.
    pub text: String,
    /// The same in Spanish.
    pub es: String,
    /// What is read, where something is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<String>,
    /// In which unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// `once` or `daily`.
    #[serde(default = "daily")]
    pub often: String,
    /// Due again after so many engine hours (common practice; the manual's interval goes before it).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub every: Option<u32>,
    /// Where it comes from.
    pub source: String,
    /// How it was come by.
    pub tag: crate::Provenance,
}

fn daily() -> String {
    "daily".to_owned()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    line: Vec<StarterLine>,
}

static STARTER: LazyLock<Vec<StarterLine>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../data/ready.toml"))
        .expect("the embedded starter set is tested");
    file.line
});

/// The starter set: common practice, no source; no limits, since those are the maker's.
///
/// ```
/// let lists: Vec<&str> = facts::starter_lines().iter().map(|line| line.list.as_str()).collect();
/// assert!(lists.contains(&"walk-round") && lists.contains(&"head-change"));
/// ```
pub fn starter_lines() -> &'static [StarterLine] {
    &STARTER
}
