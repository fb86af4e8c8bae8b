//! The sheet of a field, and the list of a season.

use super::loads::{Filling, against_scale, fillings, log};
use super::{AcresLine, FieldSheet, FieldSheetLine, PersonPart, PointsFile};
use crate::held::{crop_name, shares};
use crate::morning::{acres_of, cut_acres, plantings};
use crate::night::{basis, post};
use crate::{DeskError, Farm, Ranged, Season, Why, audit, square};
use account::ledger::{self, Ledger, Origin};
use account::slip::{CropId, SlipId};
use book::kinds::{AcresSource, FilePurpose, Name, Planting};
use quantity::{DryMass, MassUnit};
use std::collections::{BTreeMap, BTreeSet};

/// One season, posted, with the standard error of each slip's dry matter.
struct Posted {
    season: Season,
    ledger: Ledger,
    /// Standard error of each slip taken alone, dry lb.
    sd_lb: BTreeMap<SlipId, f64>,
}

fn posted(farm: &Farm, year: u16) -> Result<Posted, DeskError> {
    let season = crate::season(farm, year)?;
    let squaring = square(&season, crate::LEVEL)?;
    let lb_per_kg = MassUnit::Kg.per() as f64 / MassUnit::Lb.per() as f64;
    let sd_lb = squaring
        .squared
        .slips
        .iter()
        .filter_map(|one| Some((one.slip.clone(), one.record_sd_kg? * lb_per_kg)))
        .collect();
    Ok(Posted {
        ledger: post(&season),
        season,
        sd_lb,
    })
}

/// What each field made in a season; the one that made most first.
///
/// # Errors
/// Evidence that cannot be squared.
pub fn season(farm: &Farm, year: u16) -> Result<Vec<FieldSheetLine>, DeskError> {
    let posted = posted(farm, year)?;
    let mut out: Vec<FieldSheetLine> = plantings(farm, year)
        .into_iter()
        .map(|planting| line(farm, &posted, planting))
        .collect();
    out.sort_by(|a, b| {
        b.dry_lb
            .value
            .total_cmp(&a.dry_lb.value)
            .then_with(|| (&a.field, &a.crop).cmp(&(&b.field, &b.crop)))
    });
    Ok(out)
}

fn line(farm: &Farm, posted: &Posted, planting: &Planting) -> FieldSheetLine {
    let crop = crate::crop_id(&planting.crop);
    let origin = Origin::Field(crate::standing_place(farm, &planting.field));
    let basis = basis(&crop);
    let (mut dry, mut variance, mut loads) = (DryMass::ZERO, 0.0, 0);
    for load in posted.ledger.loads.iter().filter(|load| load.crop == crop) {
        let mine: DryMass = load
            .split
            .iter()
            .filter(|part| part.origin == origin)
            .map(|part| part.dry)
            .sum();
        if mine.units() == 0 {
            continue;
        }
        loads += 1;
        dry += mine;
        let share = if load.dry.units() == 0 {
            1.0
        } else {
            mine.lb() / load.dry.lb()
        };
        variance += (posted.sd_lb.get(&load.slip).copied().unwrap_or(0.0) * share).powi(2);
    }
    let dry_lb = Ranged::of(dry.lb(), variance.sqrt());
    let dry_bu = basis.map(|(_, per)| dry_lb.times(per));
    let acres = acres_lines(farm, planting, dry_bu, posted.season.year);
    let first = acres.first().cloned();
    FieldSheetLine {
        field: planting.field.to_string(),
        crop_name: crop_name(&crop.0),
        unit: farm
            .fields
            .get(&planting.field)
            .and_then(|field| field.says.unit_number.as_ref())
            .map(ToString::to_string),
        yields: first.as_ref().and_then(|acres| acres.dry_bu_per_ac),
        acres: first,
        dry_bu,
        dry_lb,
        base_moisture_pct: basis.map(|(base, _)| base.percent()),
        loads,
        dumps: dumps(farm, planting),
        points: points(farm, &planting.field, posted.season.year).len(),
        crop: crop.0,
    }
}

fn dumps(farm: &Farm, planting: &Planting) -> usize {
    let mine = farm
        .dumps
        .iter()
        .filter(|one| one.says.field == planting.field && one.says.season == planting.season);
    mine.filter(|one| one.says.crop == planting.crop).count()
}

/// Every acreage on record with the yield over it: cut, measured, planted, reported, in this order.
fn acres_lines(
    farm: &Farm,
    planting: &Planting,
    dry_bu: Option<Ranged>,
    year: u16,
) -> Vec<AcresLine> {
    let Some(field) = farm.fields.get(&planting.field) else {
        return Vec::new();
    };
    let of = |source| acres_of(&field.says, Some(planting), source);
    let cut = cut_acres(
        farm,
        &planting.field,
        Some(planting),
        year,
        dumps(farm, planting),
    )
    .filter(|acres| *acres > 0.0);
    [
        ("cut", cut),
        ("measured", of(AcresSource::Measured)),
        ("planted", of(AcresSource::Planted)),
        ("reported", of(AcresSource::Reported)),
    ]
    .into_iter()
    .filter_map(|(which, acres)| {
        let area_ac = acres.filter(|acres| *acres > 0.0)?;
        Some(AcresLine {
            which,
            area_ac,
            dry_bu_per_ac: dry_bu.map(|bu| bu.times(1.0 / area_ac)),
        })
    })
    .collect()
}

/// Files of points of a field: named for it, or for no field at all where it is the only one.
fn points(farm: &Farm, field: &Name, year: u16) -> Vec<PointsFile> {
    let only = farm.fields.len() == 1;
    let mut out: Vec<PointsFile> = farm
        .files
        .iter()
        .filter(|one| one.says.purpose == FilePurpose::CombinePoints)
        .filter(|one| one.says.of.contains(field) || (only && one.says.of.is_empty()))
        .filter(|one| {
            crate::moment::season_at(farm, one.happened.at_ms()) == year
                || farm.latest_season() == Some(year)
        })
        .map(|one| PointsFile {
            entry: one.id.to_string(),
            sha256: one.says.sha256.to_string(),
            name: one.says.name.to_string(),
            bytes: one.says.bytes,
            at_ms: one.happened.at_ms(),
        })
        .collect();
    out.sort_by_key(|one| std::cmp::Reverse(one.at_ms));
    out
}

/// The sheet of one field in a season; `crop` chooses where it carried two.
///
/// # Errors
/// No such field, nothing planted there that season, or evidence that cannot be squared.
pub fn field(
    farm: &Farm,
    name: &str,
    crop: Option<&str>,
    year: u16,
) -> Result<FieldSheet, DeskError> {
    let name = farm.field(name)?;
    let planted: Vec<&Planting> = plantings(farm, year)
        .into_iter()
        .filter(|one| one.field == name)
        .collect();
    let planting = planted
        .iter()
        .find(|one| crop.is_none_or(|crop| one.crop.as_str() == crop))
        .copied()
        .ok_or_else(|| DeskError::Entry(format!("nothing is planted in {name} in {year}; write the planting, or choose another season")))?;
    let posted = posted(farm, year)?;
    let line = line(farm, &posted, planting);
    let crop_id = crate::crop_id(&planting.crop);
    let fillings = fillings(farm, year);
    let tickets: BTreeSet<book::EntryId> = fillings
        .iter()
        .filter(|one| {
            one.tanks
                .iter()
                .any(|tank| tank.says.field == name && tank.says.crop == planting.crop)
        })
        .map(|one| one.ticket.id)
        .collect();
    let mut audited = Vec::new();
    let mut not_audited = Vec::new();
    for id in &tickets {
        let audit = audit::audit(farm, Some(*id), None, None)?;
        audited.extend(audit.audited);
        not_audited.extend(audit.not_audited);
    }
    let mine: Vec<&Filling<'_>> = fillings
        .iter()
        .filter(|one| tickets.contains(&one.ticket.id))
        .collect();
    let (against, together) = against_scale(&posted.season, &mine, &name, &posted.sd_lb);
    let acres = acres_lines(farm, planting, line.dry_bu, year);
    let field = farm.fields.get(&name).map(|one| &one.says);
    let text = |name: Option<&Name>| name.map(ToString::to_string);
    let log = log(farm, planting, &fillings);
    Ok(FieldSheet {
        season: year,
        first_ms: log.first().map(|one| one.at_ms),
        last_ms: log.last().map(|one| one.at_ms),
        numbers: [
            text(field.and_then(|one| one.farm_number.as_ref())),
            text(field.and_then(|one| one.tract_number.as_ref())),
            text(field.and_then(|one| one.field_number.as_ref())),
        ],
        shares: shares(farm, &name, planting.crop.as_str(), year),
        parts: parts(farm, &posted, &name, &crop_id)?,
        audited,
        not_audited,
        log,
        against_scale: against,
        against_scale_together: together,
        outline: field
            .and_then(|one| one.boundary.as_ref())
            .map(|one| one.geojson().to_owned()),
        points: points(farm, &name, year),
        cleaned: None,
        doubt: None,
        edges: None,
        zones: None,
        why: whys(&line, &acres),
        acres,
        line,
    })
}

/// Each person's part of what a field made, by its planting.
fn parts(
    farm: &Farm,
    posted: &Posted,
    field: &Name,
    crop: &CropId,
) -> Result<Vec<PersonPart>, DeskError> {
    let place = crate::standing_place(farm, field);
    let rows: Vec<_> = ledger::by_field(&posted.ledger.loads)
        .into_iter()
        .filter(|row| row.crop == *crop && row.origin == Origin::Field(place.clone()))
        .collect();
    let loads: Vec<_> = posted
        .ledger
        .loads
        .iter()
        .filter(|load| rows.iter().any(|row| row.loads.contains(&load.slip)))
        .cloned()
        .collect();
    let per = basis(crop).map(|(_, per)| per);
    let lines = crate::night::share_lines(farm, &posted.season, &loads)?;
    Ok(lines
        .into_iter()
        .filter(|one| one.crop == *crop && one.field == place)
        .map(|one| PersonPart {
            person: one.person.0,
            dry_lb: one.dry_lb,
            dry_bu: per.map(|per| one.dry_lb * per),
        })
        .collect())
}

fn whys(line: &FieldSheetLine, acres: &[AcresLine]) -> Vec<Why> {
    let mut made = Why::new(
        "made",
        format!("{:.0} lb dry", line.dry_lb.value),
        "dry matter of this field in every load at rest: at buyers, in bins, fed",
        "the ledger of this book; the range is each slip's own error, loads together",
    )
    .with("loads", line.loads.to_string());
    if let Some(bu) = line.dry_bu {
        made = made.with(
            "dry bushels",
            format!("{:.1} ± {:.1}", bu.value, bu.half_width()),
        );
    }
    let mut out = vec![made];
    for one in acres {
        out.push(
            Why::new(
                "yield",
                one.dry_bu_per_ac
                    .map_or_else(String::new, |bu| format!("{:.1} bu/ac", bu.value)),
                "dry bushels over the acres named; the doubt of the acres is not in it",
                "acres as written in this book",
            )
            .with(
                &format!("acres {}", one.which),
                format!("{:.1}", one.area_ac),
            ),
        );
    }
    out
}
