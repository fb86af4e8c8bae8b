//! What one place holds of one crop on record: a mix of origins, and loads nobody weighed.

use super::divide::{equally, in_proportion};
use super::movement::{Origin, Part};
use crate::slip::{PlaceId, SlipId};
use quantity::{DryMass, Mass};
use std::collections::BTreeMap;

/// Where grain grew, and whether it was at rest before.
pub(super) type Kind = (Origin, bool);

/// One leg of the way of a load that has no weight.
#[derive(Debug, Clone)]
pub(super) struct Leg {
    pub(super) slip: SlipId,
    pub(super) from: PlaceId,
    pub(super) to: PlaceId,
    /// It left standing crop.
    pub(super) standing: bool,
    /// It left its source empty.
    pub(super) empties: bool,
}

/// What a place holds of a crop.
#[derive(Debug, Clone, Default)]
pub(super) struct Hold {
    /// Dry matter and wet mass by origin, in units of 10 micrograms.
    pub(super) parts: BTreeMap<Kind, (i64, i64)>,
    /// Loads in it that nobody weighed, each with the way it came.
    pub(super) unweighed: Vec<Vec<Leg>>,
    /// First movement since it was last known empty.
    pub(super) since_ms: Option<i64>,
    /// Entries since then.
    pub(super) slips: Vec<SlipId>,
}

impl Hold {
    pub(super) fn dry(&self) -> i64 {
        self.parts.values().map(|p| p.0).sum()
    }

    pub(super) fn wet(&self) -> i64 {
        self.parts.values().map(|p| p.1).sum()
    }

    /// Notes that an entry touched this place.
    pub(super) fn touch(&mut self, slip: &SlipId, at_ms: i64) {
        self.since_ms.get_or_insert(at_ms);
        if self.slips.last() != Some(slip) {
            self.slips.push(slip.clone());
        }
    }

    pub(super) fn add(&mut self, part: &Part, rested: bool) {
        let slot = self.parts.entry((part.origin.clone(), rested)).or_default();
        slot.0 += part.dry.units();
        slot.1 += part.wet.units();
    }

    pub(super) fn remove(&mut self, part: &Part) {
        let slot = self
            .parts
            .entry((part.origin.clone(), part.rested))
            .or_default();
        slot.0 -= part.dry.units();
        slot.1 -= part.wet.units();
    }

    /// Everything in it, by origin.
    pub(super) fn all(&self) -> Vec<Part> {
        self.parts
            .iter()
            .filter(|(_, mass)| **mass != (0, 0))
            .map(|(kind, mass)| part(kind.0.clone(), kind.1, mass.0, mass.1))
            .collect()
    }

    /// How a mass taken from it is divided by origin: in proportion to the dry matter of each origin
    /// on record (the grain is taken as mixed); where none is on record, equally over the fields of
    /// the loads that nobody weighed; and failing those, to no known origin.
    pub(super) fn split(&self, dry: i64, wet: i64) -> Vec<Part> {
        let held: Vec<(&Kind, u64)> = self
            .parts
            .iter()
            .filter(|(_, mass)| mass.0 > 0)
            .map(|(kind, mass)| (kind, mass.0.unsigned_abs()))
            .collect();
        let weights: Vec<u64> = held.iter().map(|h| h.1).collect();
        if let (Some(dries), Some(wets)) =
            (in_proportion(dry, &weights), in_proportion(wet, &weights))
        {
            return held
                .iter()
                .zip(dries.into_iter().zip(wets))
                .filter(|(_, mass)| *mass != (0, 0))
                .map(|((kind, _), (dry, wet))| part(kind.0.clone(), kind.1, dry, wet))
                .collect();
        }
        // fields only: a way that began in another place says nothing about where the grain grew
        let mut fields: Vec<PlaceId> = self
            .unweighed
            .iter()
            .filter_map(|way| way.first())
            .filter(|leg| leg.standing)
            .map(|leg| leg.from.clone())
            .collect();
        fields.sort();
        fields.dedup();
        if fields.is_empty() {
            return vec![part(Origin::Unrecorded, false, dry, wet)];
        }
        let (dries, wets) = (equally(dry, fields.len()), equally(wet, fields.len()));
        fields
            .into_iter()
            .zip(dries.into_iter().zip(wets))
            .map(|(field, (dry, wet))| part(Origin::Field(field), false, dry, wet))
            .collect()
    }
}

/// A part from whole units.
pub(super) fn part(origin: Origin, rested: bool, dry: i64, wet: i64) -> Part {
    Part {
        origin,
        rested,
        dry: DryMass::from_units(dry),
        wet: Mass::from_units(wet),
    }
}
