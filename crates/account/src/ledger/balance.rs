//! Reading the ledger: what each place holds, and each crop's account, at any moment.

use super::movement::{End, Ledger};
use crate::slip::{CropId, PlaceId, PlaceKind, SlipId};
use quantity::{DryMass, Mass};
use std::collections::BTreeMap;

/// What one place holds of one crop on record.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Balance {
    /// Where.
    pub place: PlaceId,
    /// Which crop.
    pub crop: CropId,
    /// What the place is.
    pub kind: PlaceKind,
    /// Dry matter; of standing crop, minus what came off.
    pub dry: DryMass,
    /// Mass with water as last written on the slips behind it.
    pub wet: Mass,
    /// The entries behind the figure since the place was last known empty.
    pub slips: Vec<SlipId>,
    /// Loads in it that nobody weighed: the figure is short by those.
    pub no_weight: Vec<SlipId>,
}

impl Balance {
    /// The water in it, a view: wet less dry.
    pub fn water(&self) -> Mass {
        Mass::from_units(self.wet.units() - self.dry.units())
    }
}

/// One crop's account. The identity holds exactly, whatever was entered:
/// `came_off + opening = in places + sold + on_claim + fed + seed + spilt + unexplained`.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct CropAccount {
    /// Which crop.
    pub crop: CropId,
    /// Dry matter that came off standing crop.
    pub came_off: DryMass,
    /// Opening stock.
    pub opening: DryMass,
    /// What each place holds: tanks, carts, wagons, trucks, bins, piles, dryers.
    pub in_places: Vec<(PlaceId, PlaceKind, DryMass)>,
    /// Delivered to buyers and sold.
    pub sold: DryMass,
    /// Delivered to buyers and turned into a claim on their storage.
    pub on_claim: DryMass,
    /// Fed.
    pub fed: DryMass,
    /// Kept for seed.
    pub seed: DryMass,
    /// Spilt, blown or thrown away.
    pub spilt: DryMass,
    /// What the record cannot explain, signed; positive is short.
    pub unexplained: DryMass,
}

impl CropAccount {
    /// Dry matter that appeared or vanished: exactly nothing, always.
    pub fn appeared(&self) -> DryMass {
        let held: DryMass = self.in_places.iter().map(|p| p.2).sum();
        held + self.sold + self.on_claim + self.fed + self.seed + self.spilt + self.unexplained
            - self.came_off
            - self.opening
    }
}

/// What every place holds at a moment, by place and crop; only places that a movement or an
/// unweighed load touched by then.
pub fn balances(ledger: &Ledger, at_ms: i64) -> Vec<Balance> {
    let mut rows: BTreeMap<(PlaceId, CropId), Balance> = BTreeMap::new();
    let mut touch = |place: &PlaceId, crop: &CropId, act: &mut dyn FnMut(&mut Balance)| {
        let row = rows
            .entry((place.clone(), crop.clone()))
            .or_insert_with(|| Balance {
                place: place.clone(),
                crop: crop.clone(),
                kind: kind(ledger, place),
                dry: DryMass::ZERO,
                wet: Mass::ZERO,
                slips: Vec::new(),
                no_weight: Vec::new(),
            });
        act(row);
    };
    for m in ledger.movements.iter().filter(|m| m.at_ms <= at_ms) {
        if let End::Place(place) = &m.from {
            touch(place, &m.crop, &mut |row| {
                row.dry -= m.dry;
                row.wet -= m.wet;
                if m.closes {
                    row.slips.clear();
                } else if row.slips.last() != Some(&m.slip) {
                    row.slips.push(m.slip.clone());
                }
            });
        }
        if let End::Place(place) = &m.to {
            touch(place, &m.crop, &mut |row| {
                row.dry += m.dry;
                row.wet += m.wet;
                if row.slips.last() != Some(&m.slip) {
                    row.slips.push(m.slip.clone());
                }
            });
        }
    }
    for n in ledger.no_weight.iter().filter(|n| n.at_ms <= at_ms) {
        let weighed = n.weighed_by.as_ref().is_some_and(|by| {
            ledger.movements.iter().any(|m| {
                m.slip == n.slip
                    && m.at_ms <= at_ms
                    && m.basis == super::Basis::WeighedBy(by.clone())
            })
        });
        if !weighed && !emptied_since(ledger, n, at_ms) {
            touch(&n.to, &n.crop, &mut |row| {
                row.no_weight.push(n.slip.clone());
            });
        }
    }
    rows.into_values().collect()
}

fn emptied_since(ledger: &Ledger, load: &super::NoWeight, at_ms: i64) -> bool {
    ledger.movements.iter().any(|m| {
        m.closes
            && m.at_ms >= load.at_ms
            && m.at_ms <= at_ms
            && m.slip != load.slip
            && m.crop == load.crop
            && m.from == End::Place(load.to.clone())
    })
}

/// Each crop's account at a moment.
pub fn accounts(ledger: &Ledger, at_ms: i64) -> Vec<CropAccount> {
    let mut all: BTreeMap<CropId, (CropAccount, BTreeMap<PlaceId, DryMass>)> = BTreeMap::new();
    for m in ledger.movements.iter().filter(|m| m.at_ms <= at_ms) {
        let (account, held) = all.entry(m.crop.clone()).or_insert_with(|| {
            let account = CropAccount {
                crop: m.crop.clone(),
                came_off: DryMass::ZERO,
                opening: DryMass::ZERO,
                in_places: Vec::new(),
                sold: DryMass::ZERO,
                on_claim: DryMass::ZERO,
                fed: DryMass::ZERO,
                seed: DryMass::ZERO,
                spilt: DryMass::ZERO,
                unexplained: DryMass::ZERO,
            };
            (account, BTreeMap::new())
        });
        for (end, dry) in [(&m.from, -m.dry), (&m.to, m.dry)] {
            match end {
                End::Opening(_) => account.opening -= dry,
                End::Unexplained(_) => account.unexplained += dry,
                End::Place(place) => match kind(ledger, place) {
                    PlaceKind::Standing => account.came_off -= dry,
                    PlaceKind::Feed => account.fed += dry,
                    PlaceKind::Seed => account.seed += dry,
                    PlaceKind::Spill => account.spilt += dry,
                    PlaceKind::Pit if ledger.on_claim.contains(&m.slip) => account.on_claim += dry,
                    PlaceKind::Pit => account.sold += dry,
                    _ => *held.entry(place.clone()).or_default() += dry,
                },
            }
        }
    }
    all.into_values()
        .map(|(mut account, held)| {
            account.in_places = held
                .into_iter()
                .map(|(place, dry)| (place.clone(), kind(ledger, &place), dry))
                .collect();
            account
        })
        .collect()
}

/// What a place is; every posted place is known, so the fallback is never used.
pub(super) fn kind(ledger: &Ledger, place: &PlaceId) -> PlaceKind {
    ledger.kinds.get(place).copied().unwrap_or(PlaceKind::Pile)
}
