//! What machines cost to run, and when a tire is not pumped up: constants of the published equations.

use crate::Fact;
use std::collections::BTreeMap;
use std::sync::LazyLock;

static MACHINERY: LazyLock<BTreeMap<String, Fact>> = LazyLock::new(|| {
    toml::from_str(include_str!("../data/machinery.toml"))
        .expect("the embedded machinery file is tested")
});

/// A constant by its id in `data/machinery.toml`.
///
/// ```
/// let rf2 = facts::machinery("repair_combine_rf2").expect("listed");
/// assert_eq!(rf2.value, 2.1);
/// assert_eq!(rf2.tag.tag(), "MEM");
/// ```
pub fn machinery(id: &str) -> Option<&'static Fact> {
    MACHINERY.get(id)
}

/// Every constant of the running of machines with its id, in order of id.
pub fn all_machinery() -> impl Iterator<Item = (&'static str, &'static Fact)> {
    MACHINERY.iter().map(|(id, fact)| (id.as_str(), fact))
}
