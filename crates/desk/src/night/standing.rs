//! The account by crop, what stands where tonight, and the slips of the day.

use super::{CropLine, HeldLine, SlipLine, harvest_day, local};
use crate::square::Squaring;
use crate::{Farm, Season};
use account::ledger::{self, Ledger};
use account::slip::{CropId, PlaceKind, SlipId};
use facts::Crop;
use jiff::civil::Date;
use quantity::{DryMass, Moisture};
use std::collections::BTreeMap;

/// The base at which a crop's dry bushels are printed, and bushels for a dry pound.
pub(crate) fn basis(crop: &CropId) -> Option<(Moisture, f64)> {
    let known: Crop = crop.0.parse().ok()?;
    let bushel = grain::legal_bushel(known).ok()?;
    let base = Moisture::from_percent(facts::customary_bases(known).first()?.base.value).ok()?;
    Some((base, 1.0 / grain::dry_in_bushel(bushel, base).lb()))
}

/// What each monitor read too much or too little of a crop, by its squared factor, dry lb.
fn set_to_scale(
    season: &Season,
    ledger: &Ledger,
    squaring: &Squaring,
    crop: &CropId,
    end_ms: i64,
) -> f64 {
    let factor = |machine: &account::slip::MachineId| {
        let mine = squaring
            .squared
            .factors
            .iter()
            .filter(|one| one.machine == *machine && one.crop == *crop);
        mine.map(|one| one.factor).next_back().unwrap_or(1.0)
    };
    season
        .evidence
        .slips
        .iter()
        .filter(|slip| slip.crop == *crop && slip.at_ms < end_ms)
        .filter_map(|slip| match &slip.weight {
            account::slip::Weight::Monitor { machine, .. } => Some((slip, factor(machine))),
            _ => None,
        })
        .map(|(slip, factor)| {
            let moved = ledger
                .movements
                .iter()
                .filter(|one| one.slip == slip.id)
                .map(|one| one.dry)
                .sum::<DryMass>();
            moved.lb() * (factor - 1.0)
        })
        .sum()
}

pub(super) fn crop_lines(
    season: &Season,
    ledger: &Ledger,
    squaring: &Squaring,
    end_ms: i64,
) -> Vec<CropLine> {
    let lb_per_kg = DryMass::from_units(quantity::MassUnit::Kg.per()).lb();
    ledger::accounts(ledger, end_ms)
        .into_iter()
        .map(|account| {
            let variance: f64 = squaring
                .squared
                .unexplained
                .iter()
                .filter(|one| one.crop == account.crop && one.to_ms < end_ms)
                .map(|one| (one.se_kg * lb_per_kg).powi(2))
                .sum();
            let basis = basis(&account.crop);
            let set = set_to_scale(season, ledger, squaring, &account.crop, end_ms);
            CropLine {
                base_moisture_pct: basis.map(|(base, _)| base.percent()),
                dry_bu_per_dry_lb: basis.map(|(_, per)| per),
                came_off_dry_lb: account.came_off.lb() + set,
                came_off_as_read_dry_lb: account.came_off.lb(),
                opening_dry_lb: account.opening.lb(),
                sold_dry_lb: account.sold.lb(),
                on_claim_dry_lb: account.on_claim.lb(),
                held_dry_lb: account
                    .in_places
                    .iter()
                    .map(|place| place.2)
                    .sum::<DryMass>()
                    .lb(),
                used_dry_lb: (account.fed + account.seed + account.spilt).lb(),
                unexplained_dry_lb: account.unexplained.lb() + set,
                unexplained_se_lb: variance.sqrt(),
                crop: account.crop,
            }
        })
        .collect()
}

pub(super) fn held_lines(
    farm: &Farm,
    ledger: &Ledger,
    squaring: &Squaring,
    end_ms: i64,
    season: &Season,
) -> Vec<HeldLine> {
    let lb_per_kg = DryMass::from_units(quantity::MassUnit::Kg.per()).lb();
    ledger::balances(ledger, end_ms)
        .into_iter()
        .filter(|balance| {
            !matches!(
                balance.kind,
                PlaceKind::Standing
                    | PlaceKind::Pit
                    | PlaceKind::Feed
                    | PlaceKind::Seed
                    | PlaceKind::Spill
            ) && (!balance.dry.is_zero() || !balance.no_weight.is_empty())
        })
        .map(|balance| {
            // what is left after the last slip, else the last measure; for the whole season only
            let here = |stock: &&account::square::SquaredStock| {
                stock.place == balance.place && stock.crop == balance.crop
            };
            let stocks = squaring
                .squared
                .stocks
                .iter()
                .filter(here)
                .filter(|_| end_ms == i64::MAX);
            let squared = stocks.max_by_key(|stock| (stock.stock.is_none(), stock.at_ms));
            let last = balance
                .slips
                .iter()
                .filter_map(|slip| season.happened.get(slip))
                .map(book::Happened::at_ms)
                .max();
            let (dry, wet) = (balance.dry.lb(), balance.wet.lb());
            HeldLine {
                moisture_pct: (wet > 0.0 && dry > 0.0 && dry <= wet)
                    .then(|| 100.0 * (1.0 - dry / wet)),
                dry_lb: dry,
                wet_lb: wet,
                squared_dry_lb: squared
                    .and_then(|stock| stock.squared_dry_kg)
                    .map(|kg| kg * lb_per_kg),
                squared_se_lb: squared
                    .and_then(|stock| stock.se_kg)
                    .map(|kg| kg * lb_per_kg),
                since: last.map(|at_ms| local(farm, at_ms)),
                place: balance.place,
                kind: balance.kind,
                crop: balance.crop,
            }
        })
        .collect()
}

pub(super) fn slip_lines(
    farm: &Farm,
    season: &Season,
    squaring: &Squaring,
    day: Option<Date>,
) -> Vec<SlipLine> {
    let lb_per_kg = DryMass::from_units(quantity::MassUnit::Kg.per()).lb();
    let by_id: BTreeMap<_, _> = squaring
        .squared
        .slips
        .iter()
        .map(|one| (&one.slip, one))
        .collect();
    let mended = |id: &SlipId| {
        let entry = season.entries.get(id);
        farm.effective
            .entries
            .iter()
            .any(|standing| Some(&standing.id) == entry && standing.holder != standing.id)
    };
    let mut lines: Vec<SlipLine> = season
        .evidence
        .slips
        .iter()
        .filter(|slip| day.is_none_or(|day| harvest_day(farm, season.year, slip.at_ms) == day))
        .map(|slip| {
            let squared = by_id.get(&slip.id);
            SlipLine {
                slip: slip.id.clone(),
                entry: season
                    .entries
                    .get(&slip.id)
                    .map_or_else(String::new, ToString::to_string),
                at: local(farm, slip.at_ms),
                at_ms: slip.at_ms,
                from: slip
                    .from
                    .iter()
                    .map(|place| place.0.as_str())
                    .collect::<Vec<_>>()
                    .join(" + "),
                to: slip.to.0.clone(),
                crop: slip.crop.clone(),
                written: crate::square::written(
                    &slip.weight,
                    slip.moisture.as_ref().map(|m| m.value),
                ),
                squared_dry_lb: squared
                    .and_then(|one| one.squared_dry_kg)
                    .map(|kg| kg * lb_per_kg),
                squared_se_lb: squared.and_then(|one| one.se_kg).map(|kg| kg * lb_per_kg),
                z: squared.and_then(|one| one.z),
                suspect: squared.is_some_and(|one| one.suspect),
                mended: mended(&slip.id),
            }
        })
        .collect();
    lines.sort_by(|a, b| (a.at_ms, &a.slip).cmp(&(b.at_ms, &b.slip)));
    lines
}
