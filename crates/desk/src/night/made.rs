//! What each field, insured unit and person came to, claims on buyers, and what else to look at.

use super::standing::basis;
use super::{FieldLine, ShareLine, UnitLine, YieldLine};
use crate::{DeskError, Farm, Season, audit};
use account::claims::{ClaimEntry, ClaimKey, Terms, claims};
use account::ledger::{self, Ledger, Load, Origin};
use account::shares::{Agreement, Portion, share_production};
use account::slip::{CropId, PersonId, PlaceId, SlipId};
use book::kinds::{Contract, Name};
use facts::Crop;
use quantity::{AcreSource, Acres, Area, Bushels, DryMass, Moisture, Yield};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

pub(super) fn field_lines(farm: &Farm, season: &Season, loads: &[Load]) -> Vec<FieldLine> {
    ledger::by_field(loads)
        .into_iter()
        .map(|made| {
            let name = match &made.origin {
                Origin::Field(place) => season.standing.get(place),
                Origin::Opening(_) | Origin::Unrecorded => None,
            };
            let field = name.and_then(|name| farm.fields.get(name));
            let basis = basis(&made.crop);
            let base = basis.map(|(base, _)| base);
            FieldLine {
                field: match (&made.origin, name) {
                    (_, Some(name)) => name.to_string(),
                    (Origin::Opening(place), _) => format!("opening stock of {place}"),
                    _ => "no field on record".to_owned(),
                },
                unit: field
                    .and_then(|field| field.says.unit_number.as_ref())
                    .map(ToString::to_string),
                dry_lb: made.dry.lb(),
                dry_bu: basis.map(|(_, per)| made.dry.lb() * per),
                base_moisture_pct: base.map(Moisture::percent),
                yields: field.map_or_else(Vec::new, |field| {
                    yields(&field.says.acres, &made.crop, made.dry)
                }),
                loads: made.loads.len(),
                crop: made.crop,
            }
        })
        .collect()
}

fn yields(acres: &[book::kinds::Acres], crop: &CropId, dry: DryMass) -> Vec<YieldLine> {
    let Some((base, _)) = basis(crop) else {
        return Vec::new();
    };
    let Some(bushel) = crop
        .0
        .parse::<Crop>()
        .ok()
        .and_then(|crop| grain::legal_bushel(crop).ok())
    else {
        return Vec::new();
    };
    acres
        .iter()
        .filter_map(|one| {
            let area_ac = f64::try_from(one.area_ac).ok()?;
            let (source, word) = match one.source {
                book::kinds::AcresSource::Reported => (AcreSource::Reported, "reported"),
                book::kinds::AcresSource::Planted => (AcreSource::Planted, "planted"),
                book::kinds::AcresSource::Measured => (AcreSource::Measured, "measured"),
                book::kinds::AcresSource::Cut => (AcreSource::Cut, "cut"),
            };
            let acres = Acres {
                area: Area::from_ac(area_ac).ok()?,
                source,
            };
            let per_acre = Yield::of(Bushels::dry_at(dry, base, bushel), acres).ok()?;
            Some(YieldLine {
                acres: word.to_owned(),
                area_ac,
                dry_bu_per_ac: per_acre.bu_per_ac(),
            })
        })
        .collect()
}

pub(super) fn unit_lines(farm: &Farm, season: &Season, loads: &[Load]) -> Vec<UnitLine> {
    let unit_of: BTreeMap<PlaceId, String> = season
        .standing
        .iter()
        .filter_map(|(place, name)| {
            let unit = farm.fields.get(name)?.says.unit_number.as_ref()?;
            Some((place.clone(), unit.to_string()))
        })
        .collect();
    let insurance: BTreeMap<SlipId, Decimal> = loads
        .iter()
        .filter_map(|load| {
            let crop: Crop = load.crop.0.parse().ok()?;
            let bushel = grain::legal_bushel(crop).ok()?;
            let wet_share = 1.0 - load.dry.kg() / load.wet.kg();
            let moisture = Moisture::from_percent(wet_share * 100.0).ok()?;
            let bushels = grain::insurance_bushels(crop, load.wet, moisture, bushel).ok()?;
            Some((load.slip.clone(), bushels.count.round_dp(4)))
        })
        .collect();
    ledger::by_unit(loads, &unit_of, &insurance)
        .units
        .into_iter()
        .map(|unit| UnitLine {
            unit: unit.unit,
            crop: unit.crop,
            insurance_bu: f64::try_from(unit.insurance_bu).unwrap_or(f64::NAN),
            loads: unit.loads.len(),
            unconverted: unit.unconverted.len(),
        })
        .collect()
}

fn agreement(shares: &[book::kinds::Share]) -> Option<Agreement> {
    let portions = shares
        .iter()
        .map(|share| {
            let scaled = (share.percent * Decimal::from(1_000_000)).round();
            Some(Portion {
                person: PersonId::from(share.person.as_str()),
                top: u32::try_from(scaled).ok()?,
                bottom: 100_000_000,
            })
        })
        .collect::<Option<Vec<_>>>()?;
    Agreement::new(portions).ok()
}

pub(crate) fn share_lines(
    farm: &Farm,
    season: &Season,
    loads: &[Load],
) -> Result<Vec<ShareLine>, DeskError> {
    let mut lines = Vec::new();
    // a field may carry two crops in one year, each with its own agreement
    let made = ledger::by_field(loads);
    let crops: std::collections::BTreeSet<&CropId> = made.iter().map(|row| &row.crop).collect();
    for crop in crops {
        let mut agreements = BTreeMap::new();
        for planting in farm
            .plantings
            .iter()
            .filter(|one| one.says.season == season.year)
        {
            if crate::crop_id(&planting.says.crop) == *crop
                && let Some(agreement) = agreement(&planting.says.shares)
            {
                agreements.insert(crate::standing_place(farm, &planting.says.field), agreement);
            }
        }
        let rows: Vec<_> = made
            .iter()
            .filter(|row| row.crop == *crop)
            .cloned()
            .collect();
        let shares = share_production(&rows, &agreements, quantity::SplitRule::LargestRemainder)
            .map_err(|why| DeskError::Refused(why.to_string()))?;
        lines.extend(shares.rows.into_iter().map(|row| ShareLine {
            person: row.person,
            field: row.field,
            crop: row.crop,
            dry_lb: row.dry.lb(),
        }));
    }
    Ok(lines)
}

pub(super) fn claim_lines(
    farm: &Farm,
    season: &Season,
    ledger: &Ledger,
    end_ms: i64,
) -> account::claims::Claims {
    let slip_of: BTreeMap<_, _> = season
        .entries
        .iter()
        .map(|(slip, entry)| (*entry, slip.clone()))
        .collect();
    let entries: Vec<ClaimEntry> = farm
        .tickets
        .iter()
        .filter(|ticket| ticket.says.season == season.year)
        .filter_map(|ticket| {
            let terms = match &ticket.says.contract {
                Some(Contract::Store {}) => Terms::OnStore,
                Some(Contract::PriceLater {}) => Terms::PriceLater,
                Some(Contract::Sell { .. }) | None => return None,
            };
            let (schedule, bushels) = audit::buyers_bushels(farm, &ticket.says)?;
            let id = slip_of.get(&ticket.id)?.clone();
            let dry = ledger
                .movements
                .iter()
                .filter(|movement| movement.slip == id)
                .map(|movement| movement.dry)
                .sum();
            let buyer = ticket
                .says
                .buyer
                .as_ref()
                .map_or_else(|| ticket.says.to.as_str(), Name::as_str);
            Some(ClaimEntry::Delivered {
                id,
                at_ms: ticket.happened.at_ms(),
                key: ClaimKey {
                    buyer: buyer.to_owned(),
                    schedule,
                    crop: crate::crop_id(&ticket.says.crop),
                    terms,
                },
                buyers_bu: bushels.count,
                dry,
            })
        })
        .collect();
    claims(&entries, end_ms)
}

pub(super) fn look_at(farm: &Farm, ledger: &Ledger, season: &Season) -> Vec<String> {
    let mut out = Vec::new();
    for conflict in &farm.effective.conflicts {
        out.push(format!(
            "Entry {} was corrected {} times without knowing of each other; the last holds: look at stook book show {}",
            conflict.id,
            conflict.survivors.len(),
            conflict.id
        ));
    }
    for one in &farm.effective.needs_newer {
        out.push(format!(
            "Entry {} ({} version {}) needs a newer stook; it is kept.",
            one.id, one.kind, one.version
        ));
    }
    for odd in &farm.effective.clock_odd {
        out.push(format!(
            "The clock of entry {} is off by {:.0} minutes.",
            odd.id,
            odd.by_ms as f64 / 60_000.0
        ));
    }
    for one in &ledger.set_aside {
        out.push(format!("{} is not in the record: {}.", one.slip, one.why));
    }
    for one in ledger
        .no_weight
        .iter()
        .filter(|one| one.weighed_by.is_none())
    {
        out.push(format!(
            "{} has no weight and nothing later weighed it.",
            one.slip
        ));
    }
    for finding in &ledger.findings {
        out.push(format!("{}: {}.", finding.slip, finding.what));
    }
    for ticket in farm
        .tickets
        .iter()
        .filter(|one| one.says.season == season.year)
    {
        if ticket.says.contract.is_none() && ticket.says.buyer.is_some() {
            let number = ticket
                .says
                .number
                .as_ref()
                .map_or("without a number", Name::as_str);
            out.push(format!(
                "Ticket {number} does not say sell, store or price later: ask."
            ));
        }
    }
    out.extend(season.notes.iter().cloned());
    out
}
