//! The account of each crop with its doubt, and what each field gave so far.

use super::standing::crop_lines;
use super::tonight::{CropAccount, FieldTonight};
use super::{basis, made::field_lines};
use crate::held::crop_name;
use crate::morning::{acres_of, cut_acres, plantings};
use crate::square::Squaring;
use crate::{Farm, Ranged, Season, Why};
use account::ledger::{self, Ledger, Load};
use account::slip::{CropId, PlaceKind, SlipId, Weight};
use book::kinds::AcresSource;
use quantity::{DryMass, MassUnit};
use std::collections::BTreeMap;

fn lb(kg: f64) -> f64 {
    kg * MassUnit::Kg.per() as f64 / MassUnit::Lb.per() as f64
}

/// Standard error of a sum of slips, each with its own error, dry lb.
fn together(squaring: &Squaring, wanted: impl Fn(&SlipId) -> bool) -> f64 {
    let of = squaring
        .squared
        .slips
        .iter()
        .filter(|one| wanted(&one.slip));
    lb(of
        .filter_map(|one| one.record_sd_kg)
        .map(|sd| sd * sd)
        .sum::<f64>()
        .sqrt())
}

/// Standard error of what came off by monitors set to the scale: each factor's own error over all its
/// tanks together, and the eye's over those that no monitor read.
fn came_off_sd(
    season: &Season,
    ledger: &Ledger,
    squaring: &Squaring,
    crop: &CropId,
    end_ms: i64,
) -> f64 {
    let mut by_machine: BTreeMap<String, f64> = BTreeMap::new();
    let mut eyes = 0.0;
    let record: BTreeMap<&SlipId, f64> = squaring
        .squared
        .slips
        .iter()
        .filter_map(|one| Some((&one.slip, one.record_sd_kg?)))
        .collect();
    for slip in &season.evidence.slips {
        let standing = slip
            .from
            .iter()
            .any(|place| season.standing.contains_key(place));
        if slip.crop != *crop || slip.at_ms >= end_ms || !standing {
            continue;
        }
        let moved: DryMass = ledger
            .movements
            .iter()
            .filter(|one| one.slip == slip.id)
            .map(|one| one.dry)
            .sum();
        if let Weight::Monitor { machine, .. } = &slip.weight {
            *by_machine.entry(machine.0.clone()).or_default() += moved.lb();
        } else {
            eyes += record.get(&slip.id).map_or(0.0, |sd| lb(*sd).powi(2));
        }
    }
    let factors = &squaring.squared.factors;
    let machines: f64 = by_machine
        .iter()
        .map(|(machine, mass)| {
            let mine = factors
                .iter()
                .filter(|one| one.machine.0 == *machine && one.crop == *crop);
            let relative = mine
                .map(|one| one.se / one.factor)
                .next_back()
                .unwrap_or(0.0);
            (mass * relative).powi(2)
        })
        .sum();
    (machines + eyes).sqrt()
}

pub(super) fn accounts(
    season: &Season,
    ledger: &Ledger,
    squaring: &Squaring,
    end_ms: i64,
) -> Vec<CropAccount> {
    let balances = ledger::accounts(ledger, end_ms - 1);
    let kinds: BTreeMap<_, _> = season
        .evidence
        .places
        .iter()
        .map(|place| (&place.id, place.kind))
        .collect();
    let mut out: Vec<CropAccount> = crop_lines(season, ledger, squaring, end_ms)
        .into_iter()
        .map(|line| {
            let crop = &line.crop;
            let per = line.dry_bu_per_dry_lb.unwrap_or(1.0);
            let ranged = |value: f64, sd: f64| Ranged::of(value, sd).times(per);
            let mine = |id: &SlipId, wanted: &dyn Fn(PlaceKind) -> bool| {
                season.evidence.slips.iter().any(|slip| {
                    slip.id == *id
                        && slip.crop == *crop
                        && slip.at_ms < end_ms
                        && kinds.get(&slip.to).is_some_and(|kind| wanted(*kind))
                })
            };
            let pit = |kind: PlaceKind| kind == PlaceKind::Pit;
            let claimed = |id: &SlipId| season.on_claim.contains(id);
            let in_places = |wanted: &dyn Fn(PlaceKind) -> bool| -> f64 {
                let account = balances.iter().find(|one| one.crop == *crop);
                let places = account.map_or(&[][..], |one| one.in_places.as_slice());
                places
                    .iter()
                    .filter(|one| wanted(one.1))
                    .map(|one| one.2)
                    .sum::<DryMass>()
                    .lb()
            };
            let wheels = |kind: PlaceKind| {
                matches!(
                    kind,
                    PlaceKind::Cart | PlaceKind::Wagon | PlaceKind::Truck | PlaceKind::Tank
                )
            };
            let still = |kind: PlaceKind| {
                matches!(kind, PlaceKind::Bin | PlaceKind::Pile | PlaceKind::Dryer)
            };
            let used = |kind: PlaceKind| {
                matches!(kind, PlaceKind::Feed | PlaceKind::Seed | PlaceKind::Spill)
            };
            // what stands on wheels rests on eye or monitor: one in twenty, as of the day
            let (on_wheels, in_bins) = (in_places(&wheels), in_places(&still));
            let weighed = season.evidence.slips.iter().filter(|slip| {
                slip.crop == *crop
                    && slip.at_ms < end_ms
                    && matches!(slip.weight, Weight::Scale { .. })
            });
            let mut fields: Vec<String> = season
                .evidence
                .slips
                .iter()
                .filter(|slip| slip.crop == *crop && slip.at_ms < end_ms)
                .flat_map(|slip| {
                    slip.from
                        .iter()
                        .filter_map(|place| season.standing.get(place))
                })
                .map(ToString::to_string)
                .collect();
            fields.sort();
            fields.dedup();
            CropAccount {
                crop_name: crop_name(&crop.0),
                base_moisture_pct: line.base_moisture_pct,
                came_off: ranged(
                    line.came_off_dry_lb,
                    came_off_sd(season, ledger, squaring, crop, end_ms),
                ),
                opening: ranged(line.opening_dry_lb, 0.0),
                sold: ranged(
                    line.sold_dry_lb,
                    together(squaring, |id| mine(id, &pit) && !claimed(id)),
                ),
                sold_tickets: season
                    .evidence
                    .slips
                    .iter()
                    .filter(|slip| mine(&slip.id, &pit) && !claimed(&slip.id))
                    .count(),
                on_claim: ranged(
                    line.on_claim_dry_lb,
                    together(squaring, |id| mine(id, &pit) && claimed(id)),
                ),
                on_wheels: ranged(on_wheels, on_wheels * super::HELD_SD),
                in_bins: ranged(in_bins, in_bins * super::HELD_SD),
                used: ranged(line.used_dry_lb, together(squaring, |id| mine(id, &used))),
                unexplained: ranged(line.unexplained_dry_lb, line.unexplained_se_lb),
                weighed_loads: weighed.count(),
                fields,
                crop: crop.0.clone(),
            }
        })
        .filter(|one| {
            one.came_off.value != 0.0
                || one.opening.value != 0.0
                || one.sold.value != 0.0
                || one.in_bins.value != 0.0
        })
        .collect();
    let alarm = |one: &CropAccount| {
        let half = one.unexplained.half_width();
        if half > 0.0 {
            one.unexplained.value.abs() / half
        } else {
            0.0
        }
    };
    out.sort_by(|a, b| {
        alarm(b)
            .total_cmp(&alarm(a))
            .then_with(|| a.crop.cmp(&b.crop))
    });
    out
}

/// Where an account's figures come from.
pub(super) fn whys(one: &CropAccount) -> Vec<Why> {
    let name = |figure: &str| format!("{figure}, {}", one.crop);
    let value = |figure: Ranged| format!("{:.0} ± {:.0}", figure.value, figure.half_width());
    let source = "this book; errors by the kind of scale, eye or tape, from squaring";
    vec![
        Why::new(
            &name("came off"),
            value(one.came_off),
            "tanks as read, each monitor set to the scale by its factor; the factor's own error over all its tanks",
            source,
        )
        .with("weighed loads", one.weighed_loads.to_string()),
        Why::new(&name("sold"), value(one.sold), "net less water, ticket by ticket", source)
            .with("tickets", one.sold_tickets.to_string()),
        Why::new(
            &name("unexplained"),
            value(one.unexplained),
            "came off and opening less sold, on claim, held and used",
            source,
        ),
    ]
}

pub(super) fn fields(
    farm: &Farm,
    season: &Season,
    ledger: &Ledger,
    squaring: &Squaring,
    within: (i64, i64),
) -> Vec<FieldTonight> {
    let loads: Vec<Load> = ledger
        .loads
        .iter()
        .filter(|load| load.at_ms < within.1)
        .cloned()
        .collect();
    let rest = field_lines(farm, season, &loads);
    let mut out = Vec::new();
    for says in plantings(farm, season.year) {
        let crop = crate::crop_id(&says.crop);
        let place = crate::standing_place(farm, &says.field);
        let per = basis(&crop).map(|(_, per)| per);
        let factor = |slip: &account::slip::Slip| match &slip.weight {
            Weight::Monitor { machine, .. } => {
                let mine = squaring.squared.factors.iter();
                let mine = mine.filter(|one| one.machine == *machine && one.crop == crop);
                mine.map(|one| one.factor).next_back().unwrap_or(1.0)
            }
            _ => 1.0,
        };
        let tanks: Vec<_> = season
            .evidence
            .slips
            .iter()
            .filter(|slip| slip.crop == crop && slip.from.contains(&place) && slip.at_ms < within.1)
            .collect();
        let off = |since: i64| -> Option<f64> {
            let sum: f64 = tanks
                .iter()
                .filter(|slip| slip.at_ms >= since)
                .map(|slip| {
                    let moved = ledger.movements.iter().filter(|one| one.slip == slip.id);
                    moved.map(|one| one.dry).sum::<DryMass>().lb() * factor(slip)
                })
                .sum();
            per.map(|per| sum * per)
        };
        let dumps = tanks.len();
        let field = farm.fields.get(&says.field);
        let planted = field.and_then(|one| acres_of(&one.says, Some(says), AcresSource::Planted));
        out.push(FieldTonight {
            field: says.field.to_string(),
            crop_name: crop_name(&crop.0),
            dumps_today: tanks.iter().filter(|slip| slip.at_ms >= within.0).count(),
            came_off_today_dry_bu: off(within.0),
            came_off_dry_bu: off(i64::MIN),
            at_rest_dry_bu: rest
                .iter()
                .find(|one| one.field == says.field.as_str() && one.crop == crop)
                .and_then(|one| one.dry_bu),
            base_moisture_pct: basis(&crop).map(|(base, _)| base.percent()),
            planted_ac: planted,
            cut_ac: cut_acres(farm, &says.field, Some(says), season.year, dumps),
            unweighed: tanks
                .iter()
                .filter(|slip| matches!(slip.weight, Weight::Unknown))
                .count(),
            dumps,
            crop: crop.0,
        });
    }
    out.sort_by_key(|one| {
        (
            std::cmp::Reverse(one.dumps_today),
            one.field.clone(),
            one.crop.clone(),
        )
    });
    out
}
