//! Test weight in metric, as the grader of each crop prints it.

use facts::{Crop, Provenance};
use quantity::TestWeight;

/// Kilograms a hectoliter as printed for a crop, and how the rule was come by.
///
/// All crops but wheat convert by volume (57 lb/bu is 73.4 kg/hL). US graders use a regression for
/// wheat: durum `1.292 x + 0.630`, other wheat `1.292 x + 1.419`; those two are from memory.
///
/// ```
/// use facts::{Crop, Provenance};
/// use quantity::TestWeight;
/// let (kg, tag) = grain::printed_kg_per_hl(Crop::Sorghum, TestWeight::from_lb_per_bu(57.0)?);
/// assert!((kg - 73.37).abs() < 0.01 && tag == Provenance::Read);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn printed_kg_per_hl(crop: Crop, test_weight: TestWeight) -> (f64, Provenance) {
    let line = match crop {
        Crop::WheatDurum => Some((
            "test_weight_kg_hl_durum_slope",
            "test_weight_kg_hl_durum_add",
        )),
        _ if crop.is_wheat() => Some((
            "test_weight_kg_hl_wheat_slope",
            "test_weight_kg_hl_wheat_add",
        )),
        _ => None,
    };
    let known =
        line.and_then(|(slope, add)| Some((facts::constant(slope)?, facts::constant(add)?)));
    match known {
        Some((slope, add)) => (slope.value * test_weight.lb_per_bu() + add.value, slope.tag),
        None => (test_weight.kg_per_hl(), Provenance::Read),
    }
}
