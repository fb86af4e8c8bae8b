//! Reader profiles: headers that are known by sight, as data.

use super::columns::same;
use super::units::Role;
use serde::Deserialize;
use std::sync::LazyLock;

/// One profile, as written in `profiles/*.toml`.
#[derive(Debug, Deserialize)]
pub(super) struct Profile {
    pub(super) name: String,
    pub(super) about: String,
    /// Where the meaning of the columns is written down; for readers of the file.
    #[serde(rename = "source")]
    _source: String,
    column: Vec<KnownColumn>,
}

/// What a profile says of one column.
#[derive(Debug, Deserialize)]
pub(super) struct KnownColumn {
    name: String,
    pub(super) role: Role,
    pub(super) unit: String,
}

static PROFILES: LazyLock<Vec<Profile>> = LazyLock::new(|| {
    [include_str!("../../profiles/us-points.toml")]
        .iter()
        .map(|text| toml::from_str(text).expect("embedded profiles are tested"))
        .collect()
});

impl Profile {
    pub(super) fn column(&self, name: &str) -> Option<&KnownColumn> {
        self.column.iter().find(|c| same(&c.name, name))
    }
}

/// The profile whose every column is in the header; more columns may be there.
pub(super) fn matching(header: &[String]) -> Option<&'static Profile> {
    PROFILES.iter().find(|p| {
        p.column
            .iter()
            .all(|c| header.iter().any(|name| same(name, &c.name)))
    })
}

#[cfg(test)]
mod tests {
    use super::super::units::unit;
    use super::*;

    #[test]
    fn every_profile_has_known_units_that_fit() {
        for profile in PROFILES.iter() {
            for column in &profile.column {
                let unit = unit(&column.unit).expect("a known unit");
                assert_eq!(
                    unit.dimension,
                    column.role.dimension(),
                    "{}: {}",
                    profile.name,
                    column.name
                );
            }
        }
    }
}
