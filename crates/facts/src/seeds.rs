//! What seeds on the ground weigh, and what is guessed about counts where a farm has no figures.

use crate::{Crop, Fact};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Seeds {
    guess: BTreeMap<String, Fact>,
    ears: BTreeMap<String, Fact>,
    crop: BTreeMap<Crop, Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    thousand_g: Fact,
    per_ft2: Option<Fact>,
}

static SEEDS: LazyLock<Seeds> = LazyLock::new(|| {
    toml::from_str(include_str!("../data/seeds.toml")).expect("the embedded seeds file is tested")
});

/// Usual weight of 1,000 seeds in grams, for where nobody weighed any.
///
/// ```
/// let soybeans = facts::thousand_seeds_g(facts::Crop::Soybean);
/// assert_eq!((soybeans.value, soybeans.unit.as_str()), (156.2, "g"));
/// ```
pub fn thousand_seeds_g(crop: Crop) -> &'static Fact {
    &SEEDS
        .crop
        .get(&crop)
        .expect("the embedded seeds file has every crop, tested")
        .thousand_g
}

/// Seeds on a square foot that are one bushel an acre, as a rule of thumb has been printed.
pub fn seeds_per_ft2_rule(crop: Crop) -> Option<&'static Fact> {
    SEEDS.crop.get(&crop)?.per_ft2.as_ref()
}

/// A guess about counts: `seed_weight_cv`, `weighed_seed_cv`, `tail_width_cv`, `ear_weight_cv`, `dispersion`,
/// `setting_log_sd`, `minutes_a_frame`, `worth_adjusting_bu_per_ac`, `windrow_share`, and of loss and speed `speed_power`,
/// `speed_power_log_sd`, `speed_loss_kg_per_ha`, `speed_loss_log_sd`, `speed_beyond`, `speed_alike_usd_per_ac`. Faces print
/// them as "our default, a guess".
///
/// ```
/// assert_eq!(facts::counting("dispersion").map(|fact| fact.value), Some(0.3));
/// ```
pub fn counting(id: &str) -> Option<&'static Fact> {
    SEEDS.guess.get(id)
}

/// A fact about ears of corn: `ear_lb`, `ear_corn_lb_per_bu`.
pub fn ears(id: &str) -> Option<&'static Fact> {
    SEEDS.ears.get(id)
}

/// Every fact of the file with its id, for tests and for printing.
pub fn counting_facts() -> impl Iterator<Item = (String, &'static Fact)> {
    let crops = SEEDS.crop.iter().flat_map(|(crop, row)| {
        let weight = (format!("{crop} thousand_g"), &row.thousand_g);
        let rule = row.per_ft2.as_ref();
        std::iter::once(weight).chain(rule.map(|fact| (format!("{crop} per_ft2"), fact)))
    });
    SEEDS
        .guess
        .iter()
        .chain(&SEEDS.ears)
        .map(|(id, fact)| (id.clone(), fact))
        .chain(crops)
}
