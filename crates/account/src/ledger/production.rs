//! What each field and each insured unit made, from loads, each counted once where it came to rest.

use super::divide::in_proportion;
use super::movement::{Load, Origin};
use crate::shares::whole_units;
use crate::slip::{CropId, PlaceId, SlipId};
use quantity::{Acres, DryMass, Mass};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// What one origin of grain made of one crop.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct FieldProduction {
    /// The field, or `Unrecorded` for loads that nothing on record ties to a field.
    pub origin: Origin,
    /// Which crop.
    pub crop: CropId,
    /// Dry matter at rest: in bins, at buyers, fed, kept for seed, spilt. Grain on wheels is not in it.
    pub dry: DryMass,
    /// Its mass with water, as it came to rest.
    pub wet: Mass,
    /// The loads behind it.
    pub loads: Vec<SlipId>,
}

/// Production by field and crop. The rows' dry matter sums exactly to that of the loads: the load
/// log's balance, `fields = bins + buyers + feed, seed and other + spilt`.
pub fn by_field(loads: &[Load]) -> Vec<FieldProduction> {
    let mut rows: BTreeMap<(&Origin, &CropId), FieldProduction> = BTreeMap::new();
    for load in loads {
        for part in &load.split {
            let row = rows
                .entry((&part.origin, &load.crop))
                .or_insert_with(|| FieldProduction {
                    origin: part.origin.clone(),
                    crop: load.crop.clone(),
                    dry: DryMass::ZERO,
                    wet: Mass::ZERO,
                    loads: Vec::new(),
                });
            row.dry += part.dry;
            row.wet += part.wet;
            row.loads.push(load.slip.clone());
        }
    }
    rows.into_values().collect()
}

/// What one insured unit made of one crop.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct UnitProduction {
    /// The unit, or `None` for grain that cannot be tied to one: an insurer treats it as commingled.
    pub unit: Option<String>,
    /// Which crop.
    pub crop: CropId,
    /// Dry matter at rest.
    pub dry: DryMass,
    /// Its mass with water.
    pub wet: Mass,
    /// Insurance bushels of the loads that were converted.
    pub insurance_bu: Decimal,
    /// The loads behind it.
    pub loads: Vec<SlipId>,
    /// Those of them for which no insurance bushels were given; they are not in `insurance_bu`.
    pub unconverted: Vec<SlipId>,
}

/// Production by unit.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Units {
    /// One row a unit and crop; the row without a unit is commingled grain.
    pub units: Vec<UnitProduction>,
}

/// Production by insured unit. `unit_of` says which unit each field's standing crop belongs to;
/// `insurance_bu` gives each load's insurance bushels (7 CFR 457.113 s.11(d) corrects moisture its
/// own way, load by load, so they are not the buyer's bushels). A load that mixed units is divided by
/// its recorded source split, in proportion to dry matter, to 0.0001 bu by largest remainder, so the
/// units always sum to the loads.
///
/// Limitation: an insurer may refuse the split of a mixed load; ask before mixing.
pub fn by_unit(
    loads: &[Load],
    unit_of: &BTreeMap<PlaceId, String>,
    insurance_bu: &BTreeMap<SlipId, Decimal>,
) -> Units {
    let mut rows: BTreeMap<(Option<String>, CropId), UnitProduction> = BTreeMap::new();
    for load in loads {
        let weights: Vec<u64> = load
            .split
            .iter()
            .map(|p| p.dry.units().max(0).unsigned_abs())
            .collect();
        let bushels = insurance_bu
            .get(&load.slip)
            .and_then(|&whole| whole_units(whole, 4))
            .and_then(|(units, scale)| Some((in_proportion(units, &weights)?, scale)));
        for (at, part) in load.split.iter().enumerate() {
            let unit = match &part.origin {
                Origin::Field(field) => unit_of.get(field).cloned(),
                Origin::Opening(_) | Origin::Unrecorded => None,
            };
            let row = rows
                .entry((unit.clone(), load.crop.clone()))
                .or_insert_with(|| UnitProduction {
                    unit,
                    crop: load.crop.clone(),
                    dry: DryMass::ZERO,
                    wet: Mass::ZERO,
                    insurance_bu: Decimal::ZERO,
                    loads: Vec::new(),
                    unconverted: Vec::new(),
                });
            row.dry += part.dry;
            row.wet += part.wet;
            if row.loads.last() != Some(&load.slip) {
                row.loads.push(load.slip.clone());
            }
            match &bushels {
                Some((parts, scale)) => row.insurance_bu += Decimal::new(parts[at], *scale),
                None if row.unconverted.last() != Some(&load.slip) => {
                    row.unconverted.push(load.slip.clone());
                }
                None => {}
            }
        }
    }
    Units {
        units: rows.into_values().collect(),
    }
}

/// A figure per acre that says which acres.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct PerAcre {
    /// Dry matter an acre, pounds.
    pub dry_lb_per_ac: f64,
    /// The acres it was divided by.
    pub acres: Acres,
}

/// Dry matter an acre; `None` when the acres are not a number above zero.
///
/// ```
/// use account::ledger::per_acre;
/// use quantity::{AcreSource, Acres, Area, DryMass};
/// let acres = Acres { area: Area::parse("30 ac")?, source: AcreSource::Planted };
/// let yielded = per_acre(DryMass::from_lb(141_960.0)?, acres).expect("30 acres");
/// assert!((yielded.dry_lb_per_ac - 4_732.0).abs() < 1e-9);
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn per_acre(dry: DryMass, acres: Acres) -> Option<PerAcre> {
    let area_ac = acres.area.ac();
    (area_ac.is_finite() && area_ac > 0.0).then(|| PerAcre {
        dry_lb_per_ac: dry.lb() / area_ac,
        acres,
    })
}
