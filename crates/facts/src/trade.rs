//! Units and rules of thumb of the trade that hang on no single crop.

use crate::Fact;
use std::collections::BTreeMap;
use std::sync::LazyLock;

static TRADE: LazyLock<BTreeMap<String, Fact>> = LazyLock::new(|| {
    toml::from_str(include_str!("../data/trade.toml")).expect("the embedded trade file is tested")
});

/// A constant by its id in `data/trade.toml`.
///
/// ```
/// let bushel = facts::constant("winchester_bushel_in3").expect("listed");
/// assert!((bushel.value / 1728.0 - 1.244456).abs() < 1e-6);
/// ```
pub fn constant(id: &str) -> Option<&'static Fact> {
    TRADE.get(id)
}

/// Every constant with its id, in order of id.
pub fn constants() -> impl Iterator<Item = (&'static str, &'static Fact)> {
    TRADE.iter().map(|(id, fact)| (id.as_str(), fact))
}

/// Cubic feet in a Winchester bushel, 2150.42 / 1728 = 1.244456.
pub fn ft3_per_bu() -> f64 {
    known("winchester_bushel_in3") / 1728.0
}

/// Value of a constant that the tests guarantee is listed.
pub(crate) fn known(id: &str) -> f64 {
    TRADE
        .get(id)
        .map(|fact| fact.value)
        .expect("this room names only listed constants, tested")
}
