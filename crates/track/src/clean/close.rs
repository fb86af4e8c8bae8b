//! The chain's sums set to what is known outside it: the boundary's area, the scale's grain.

use super::area::Ground;
use super::chain::{Known, Record};
use crate::RawPoint;

/// Divides the error of all widths together out of every area, where the boundary is known and nearly all of it cut.
pub(super) fn close_area(records: &mut [Record], ground: Option<&Ground>) -> Option<f64> {
    const MOST: f64 = 0.1;
    let sum: f64 = records.iter().map(|r| r.area_m2).sum();
    let by = sum / ground?.area_m2();
    if !((1.0 - MOST)..=(1.0 + MOST)).contains(&by) {
        return None;
    }
    for r in records {
        r.area_m2 /= by;
        r.dry_kg_m2 = r.dry_kg_m2.map(|y| y * by);
        if let Some(one) = &mut r.unmixed {
            one.dry_kg_m2 *= by;
            one.sd *= by;
        }
    }
    Some(by)
}

/// Everything weighed, dry at the base; a ticket without moisture takes the monitor's.
pub(super) fn scale_dry(points: &[RawPoint], known: &Known, offset: Option<f64>) -> Option<f64> {
    if known.weighings.is_empty() {
        return None;
    }
    let (water, mass) = points
        .iter()
        .filter_map(|p| Some((p.moisture? * p.mass_kg, p.mass_kg)))
        .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    let monitor = if mass > 0.0 {
        Some(water / mass + offset.unwrap_or(0.0))
    } else {
        known.moisture_if_unmeasured
    };
    let each = known.weighings.iter().map(|w| {
        let wet = w.moisture.or(monitor)?;
        Some(w.wet_kg * (1.0 - wet) / (1.0 - known.base_moisture))
    });
    each.sum()
}
