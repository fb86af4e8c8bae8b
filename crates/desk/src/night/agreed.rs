//! What was agreed with others: insured units beside their call-at yields, contracts and what is owed.

use super::made::unit_lines;
use super::tonight::{Against, ContractOwed, Counted, UnitTonight};
use crate::held::crop_name;
use crate::morning::{acres_of, cut_acres, plantings};
use crate::{Farm, Ranged, Season, Why, audit};
use account::ledger::{Ledger, Load};
use book::kinds::{AcresSource, Contract, Name, Weighed};
use facts::Crop;
use std::collections::BTreeMap;

/// Standard error of insurance bushels of a unit, as a part of them: scale, meter and acres together
/// (a guess; the agent's own count decides).
const UNIT_SD: f64 = 0.015;

fn number(text: rust_decimal::Decimal) -> f64 {
    f64::try_from(text).unwrap_or(f64::NAN)
}

pub(super) fn units(
    farm: &Farm,
    season: &Season,
    ledger: &Ledger,
    end_ms: i64,
) -> (Vec<UnitTonight>, Vec<Why>) {
    let loads: Vec<Load> = ledger
        .loads
        .iter()
        .filter(|load| load.at_ms < end_ms)
        .cloned()
        .collect();
    let lines = unit_lines(farm, season, &loads);
    // every unit that carries a crop this season, cut or not, and what cannot be tied to one
    let mut all: BTreeMap<(Option<String>, String), Vec<&book::kinds::Planting>> = BTreeMap::new();
    for planting in plantings(farm, season.year) {
        let unit = farm
            .fields
            .get(&planting.field)
            .and_then(|field| field.says.unit_number.as_ref());
        if let Some(unit) = unit {
            let key = (Some(unit.to_string()), planting.crop.to_string());
            all.entry(key).or_default().push(planting);
        }
    }
    for line in &lines {
        all.entry((line.unit.clone(), line.crop.0.clone()))
            .or_default();
    }
    let mut whys = Vec::new();
    let mut out = Vec::new();
    for ((unit, crop), plantings) in all {
        let line = lines
            .iter()
            .find(|line| line.unit == unit && line.crop.0 == crop);
        let name = |text: &str| Name::new(text).ok();
        let call = unit
            .as_deref()
            .and_then(name)
            .zip(name(&crop))
            .and_then(|(unit, crop)| farm.call_at(&unit, &crop, season.year));
        if line.is_none() && call.is_none() {
            continue;
        }
        let dumps = |field: &Name| {
            farm.dumps
                .iter()
                .filter(|dump| {
                    dump.says.field == *field
                        && dump.says.season == season.year
                        && dump.happened.at_ms() < end_ms
                })
                .count()
        };
        let sum = |of: &dyn Fn(&&book::kinds::Planting) -> Option<f64>| -> Option<f64> {
            let acres: Option<Vec<f64>> = plantings.iter().map(of).collect();
            acres
                .filter(|all| !all.is_empty())
                .map(|all| all.iter().sum())
        };
        let cut =
            sum(&|one| cut_acres(farm, &one.field, Some(one), season.year, dumps(&one.field)));
        let planted = sum(&|one| {
            acres_of(
                &farm.fields.get(&one.field)?.says,
                Some(one),
                AcresSource::Planted,
            )
        });
        let (acres, which) = match (cut.filter(|acres| *acres > 0.0), planted) {
            (Some(acres), _) => (Some(acres), Some("cut")),
            (None, Some(acres)) => (Some(acres), Some("planted")),
            (None, None) => (None, None),
        };
        let bushels = line.map_or(0.0, |line| line.insurance_bu);
        let made = acres
            .filter(|acres| *acres > 0.0 && bushels > 0.0)
            .map(|acres| Ranged::of(bushels / acres, bushels / acres * UNIT_SD));
        let call_at = call.map(|call| number(call.says.insurance_bu_ac));
        let against = call_at.map(|call_at| match (made, which) {
            (Some(made), _) if made.low >= call_at => Against::Over,
            (Some(_), Some("cut")) => Against::MayBeUnder,
            _ => Against::NotKnownYet,
        });
        let says = call.map(|call| &call.says);
        if let Some(made) = made {
            whys.push(
                Why::new(
                    &format!("unit {}, {crop}", unit.as_deref().unwrap_or("")),
                    format!("{:.1} insurance bu/ac", made.value),
                    "insurance bushels of weighed loads at rest over the acres named",
                    "7 CFR 457.113 for the moisture adjustment of coarse grains; the agent decides",
                )
                .with("insurance bushels", format!("{bushels:.0}"))
                .with(
                    "acres",
                    format!(
                        "{:.1} {}",
                        acres.unwrap_or_default(),
                        which.unwrap_or_default()
                    ),
                ),
            );
        }
        out.push(UnitTonight {
            fields: plantings.iter().map(|one| one.field.to_string()).collect(),
            insurance_bu: bushels,
            loads: line.map_or(0, |line| line.loads),
            unconverted: line.map_or(0, |line| line.unconverted),
            acres,
            which_acres: which,
            bu_per_ac: made,
            call_at_bu_per_ac: call_at,
            against,
            notice_by: says
                .and_then(|says| says.notice_by)
                .map(|day| day.to_string()),
            agent: says
                .and_then(|says| says.agent.as_ref())
                .map(ToString::to_string),
            telephone: says
                .and_then(|says| says.telephone.as_ref())
                .map(ToString::to_string),
            entry: call.map(|call| call.id.to_string()),
            crop_name: crop_name(&crop),
            unit,
            crop,
        });
    }
    (out, whys)
}

/// A ticket's bushels as weighed over the legal bushel.
fn as_weighed(says: &Weighed) -> Option<f64> {
    let crop: Crop = says.crop.as_str().parse().ok()?;
    let bushel = grain::legal_bushel(crop).ok()?;
    Some(number(
        quantity::Bushels::as_weighed(says.weight.net, bushel).count,
    ))
}

pub(super) fn contracts(farm: &Farm, year: u16, end_ms: i64) -> Vec<ContractOwed> {
    farm.contracts
        .iter()
        .filter(|one| one.says.season == year)
        .map(|one| {
            let says = &one.says;
            let under: Vec<&Weighed> = farm
                .tickets
                .iter()
                .filter(|ticket| {
                    ticket.happened.at_ms() < end_ms
                        && ticket.says.season == year
                        && ticket.says.crop == says.crop
                })
                .filter(|ticket| match (&ticket.says.contract, &says.number) {
                    (
                        Some(Contract::Sell {
                            number: Some(number),
                            ..
                        }),
                        Some(mine),
                    ) => number == mine,
                    _ => false,
                })
                .map(|ticket| &ticket.says)
                .collect();
            let mut counted = if says.number.is_some() {
                Counted::BuyersBushels
            } else {
                Counted::NoNumber
            };
            // one count for all: two kinds of bushel do not add
            let settled: Option<Vec<f64>> = under
                .iter()
                .map(|ticket| Some(number(audit::buyers_bushels(farm, ticket)?.1.count)))
                .collect();
            let delivered: f64 = if let Some(settled) = settled {
                settled.iter().sum()
            } else {
                counted = Counted::AsWeighed;
                under.iter().filter_map(|ticket| as_weighed(ticket)).sum()
            };
            let promised = number(says.buyers_bu);
            ContractOwed {
                entry: one.id.to_string(),
                number: says.number.as_ref().map(ToString::to_string),
                buyer: says.buyer.to_string(),
                crop: says.crop.to_string(),
                crop_name: crop_name(says.crop.as_str()),
                promised_bu: promised,
                delivered_bu: delivered,
                owed_bu: (promised - delivered).max(0.0),
                tickets: under.len(),
                counted,
                deliver_by: says.deliver_by.map(|day| day.to_string()),
            }
        })
        .collect()
}
