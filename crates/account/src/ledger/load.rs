//! Loads: this season's harvest where it first came to rest.

use super::hold::part;
use super::movement::{End, Ledger, Load, Origin};
use super::post::rests;
use crate::slip::SlipId;
use quantity::{DryMass, Mass};
use std::collections::BTreeMap;

/// Dry and wet units by origin.
type Split = BTreeMap<Origin, (i64, i64)>;

/// This season's harvest where it first came to rest, one load a slip.
pub(super) fn loads(ledger: &Ledger) -> Vec<Load> {
    let mut rows: BTreeMap<SlipId, (Load, Split)> = BTreeMap::new();
    for m in &ledger.movements {
        let End::Place(to) = &m.to else { continue };
        let to_kind = ledger.kinds[to];
        if !rests(to_kind) || !m.parts.iter().any(|p| !p.rested) {
            continue;
        }
        let (load, split) = rows.entry(m.slip.clone()).or_insert_with(|| {
            let load = Load {
                slip: m.slip.clone(),
                at_ms: m.at_ms,
                crop: m.crop.clone(),
                to: to.clone(),
                to_kind,
                dry: DryMass::ZERO,
                wet: Mass::ZERO,
                split: Vec::new(),
                rested_dry: DryMass::ZERO,
            };
            (load, BTreeMap::new())
        });
        for p in &m.parts {
            if p.rested {
                load.rested_dry += p.dry;
            } else {
                load.dry += p.dry;
                load.wet += p.wet;
                let slot = split.entry(p.origin.clone()).or_default();
                slot.0 += p.dry.units();
                slot.1 += p.wet.units();
            }
        }
    }
    let mut all: Vec<Load> = rows
        .into_values()
        .map(|(mut load, split)| {
            load.split = split
                .into_iter()
                .map(|(origin, (dry, wet))| part(origin, false, dry, wet))
                .collect();
            load
        })
        .collect();
    all.sort_by_key(|load| load.at_ms);
    all
}
