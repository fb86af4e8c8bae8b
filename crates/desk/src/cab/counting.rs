//! What a phone needs to answer a count by itself: what seeds weigh, what is guessed, the day's counts.

use crate::{DeskError, Farm};
use machine::frame::Tail;
use machine::loss::Prior;
use serde::Serialize;
use std::collections::BTreeSet;

/// Everything that the phone's own arithmetic of counts takes; the same numbers as the desk's.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Counting {
    /// Share of cases that a range holds.
    pub confidence: f64,
    /// What is believed of the scatter of counts beforehand.
    pub prior: Prior,
    /// Doubt of seeds that somebody weighed.
    pub weighed_seed_cv: f64,
    /// Doubt of a crop's usual seed weight.
    pub seed_weight_cv: f64,
    /// Doubt of the width that the tail lays down.
    pub tail_width_cv: f64,
    /// Doubt of an ear's weight.
    pub ear_weight_cv: f64,
    /// Cut over windrow in the second answer, where nobody looked at the tail.
    pub windrow_share: f64,
    /// Crops that stand this season.
    pub crops: Vec<CropSeeds>,
    /// The harvest day's counts in the book, in order.
    pub today: Vec<CountToday>,
}

/// A crop on the ground.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropSeeds {
    /// The crop's key.
    pub crop: String,
    /// Our default for the weight of 1,000 seeds, grams.
    pub thousand_g: f64,
    /// Weight of a bushel, kilograms.
    pub bushel_kg: f64,
    /// Shelled grain on an ear, kilograms.
    pub ear_grain_kg: f64,
    /// Price of a bushel that the book knows.
    pub price_per_bu: Option<f64>,
}

/// A count of the day, in numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CountToday {
    /// The entry.
    pub id: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// The field.
    pub field: String,
    /// The crop's key.
    pub crop: String,
    /// Ground in a frame, square metres.
    pub frame_m2: f64,
    /// How wide a frame is across the rows, where it has a width.
    pub frame_wide_m: Option<f64>,
    /// Seeds in frames standing, behind the head, behind the machine.
    pub seeds: [Vec<f64>; 3],
    /// Ears likewise.
    pub ears: [Vec<f64>; 3],
    /// What the tail did.
    pub tail: Tail,
    /// Weight of 1,000 seeds where somebody weighed some, grams.
    pub thousand_g: Option<f64>,
    /// Width of cut, metres, where somebody wrote it.
    pub cut_m: Option<f64>,
    /// How fast the machine went, metres a second.
    pub speed_m_s: Option<f64>,
}

/// What the phone needs of a season and a day.
pub(super) fn counting(
    farm: &Farm,
    season: u16,
    within: (i64, i64),
) -> Result<Counting, DeskError> {
    let guess = |id: &str| facts::counting(id).map_or(f64::NAN, |fact| fact.value);
    let keys: BTreeSet<&str> = farm
        .plantings
        .iter()
        .filter(|one| one.says.season == season)
        .map(|one| one.says.crop.as_str())
        .collect();
    let crops = keys
        .into_iter()
        .filter_map(|key| key.parse::<facts::Crop>().ok())
        .map(|crop| {
            let bushel = grain::legal_bushel(crop)?;
            Ok(CropSeeds {
                crop: crop.key().to_owned(),
                thousand_g: facts::thousand_seeds_g(crop).value,
                bushel_kg: bushel.lb() * track::KG_PER_LB,
                ear_grain_kg: crate::count::ear_grain_kg(
                    facts::ears("ear_lb").map_or(f64::NAN, |fact| fact.value),
                ),
                price_per_bu: crate::count::contract_price(farm, crop.key(), season),
            })
        })
        .collect::<Result<Vec<_>, DeskError>>()?;
    Ok(Counting {
        confidence: crate::count::CONFIDENCE,
        prior: Prior {
            alpha: guess("dispersion"),
            ..Prior::default()
        },
        weighed_seed_cv: guess("weighed_seed_cv"),
        seed_weight_cv: guess("seed_weight_cv"),
        tail_width_cv: guess("tail_width_cv"),
        ear_weight_cv: guess("ear_weight_cv"),
        windrow_share: guess("windrow_share"),
        crops,
        today: crate::count::of_day(farm, season, within),
    })
}
