//! What the book knows of a field part of the way and of the wagons.

use super::{WagonRoom, WagonsAsked};
use crate::morning::{acres_of, cut_acres, plantings};
use crate::speed::{AC, area_ha};
use crate::{DeskError, Farm, Season, held, square};
use account::ledger::Ledger;
use account::slip::{SlipId, Weight};
use book::kinds::{AcresSource, Name, PlaceKind, Planting};
use quantity::MassUnit;
use std::collections::BTreeMap;

/// Doubt of the acres left, as a share of the lesser of what is left and cut: a guess.
const LEFT_SD: f64 = 0.05;
/// Places on wheels.
const WHEELS: [PlaceKind; 3] = [PlaceKind::Cart, PlaceKind::Wagon, PlaceKind::Truck];

/// What came off a field.
pub(super) struct Off {
    /// Wet, kg.
    pub kg: f64,
    /// Its standard error as a share.
    pub error: f64,
    /// Tanks.
    pub tanks: usize,
    /// Of those, tanks that squaring set aside: their grain is not in it.
    pub set_aside: usize,
}

/// What came off the field.
pub(super) fn came_off(
    farm: &Farm,
    season: &Season,
    ledger: &Ledger,
    field: &Name,
    crop: &str,
) -> Result<Off, DeskError> {
    let from = crate::season::standing_place(farm, field);
    let squared = square(season, crate::LEVEL)?.squared;
    let of: BTreeMap<&SlipId, _> = squared.slips.iter().map(|one| (&one.slip, one)).collect();
    let (mut wet, mut apart, mut tanks, mut set_aside) = (0.0, 0.0, 0, 0);
    let mut shared: BTreeMap<&str, f64> = BTreeMap::new();
    for slip in &season.evidence.slips {
        if slip.crop.0 != crop || !slip.from.contains(&from) {
            continue;
        }
        tanks += 1;
        let moved = ledger.movements.iter().filter(|one| one.slip == slip.id);
        let (dry_lb, wet_lb) = moved.fold((0.0, 0.0), |(dry, all), one| {
            (
                dry + one.dry.lb(),
                all + one.wet.units() as f64 / MassUnit::Lb.per() as f64,
            )
        });
        let known = of
            .get(&slip.id)
            .and_then(|one| Some((one, one.squared_dry_kg?)));
        let Some((one, dry_kg)) = known else {
            set_aside += 1;
            continue;
        };
        // water as the record has it; the account squares dry matter only
        let water = if dry_lb > 0.0 { wet_lb / dry_lb } else { 1.0 };
        wet += dry_kg * water;
        apart += (one.se_kg.unwrap_or(0.0) * water).powi(2);
        if let Weight::Monitor { machine, .. } = &slip.weight {
            *shared.entry(machine.0.as_str()).or_default() += dry_kg * water;
        }
    }
    let together: f64 = squared
        .factors
        .iter()
        .filter(|one| one.crop.0 == crop)
        .filter_map(|one| {
            let mass = shared.get(one.machine.0.as_str())?;
            Some((mass * one.se / one.factor).powi(2))
        })
        .sum();
    let error = if wet > 0.0 {
        (apart + together).sqrt() / wet
    } else {
        0.0
    };
    Ok(Off {
        kg: wet,
        error,
        tanks,
        set_aside,
    })
}

/// The planting asked for: of the named field, else the one last cut.
pub(super) fn planting<'f>(
    farm: &'f Farm,
    asked: &WagonsAsked,
    year: u16,
) -> Result<&'f Planting, DeskError> {
    let all = plantings(farm, year);
    let last = |field: &Name, crop: Option<&Name>| {
        farm.dumps
            .iter()
            .filter(|one| one.says.season == year && one.says.field == *field)
            .filter(|one| crop.is_none_or(|crop| one.says.crop == *crop))
            .map(|one| one.happened.at_ms())
            .max()
    };
    let name = match &asked.field {
        Some(text) => farm.field(text)?,
        None => all
            .iter()
            .filter_map(|one| Some((last(&one.field, None)?, &one.field)))
            .max()
            .map(|(_, name)| name.clone())
            .ok_or_else(|| {
                DeskError::figure("field", "no tank came off any this season; name one")
            })?,
    };
    all.into_iter()
        .filter(|one| one.field == name)
        .max_by_key(|one| last(&one.field, Some(&one.crop)))
        .ok_or_else(|| {
            DeskError::figure(
                "field",
                format!("{name} has no planting in {year}, expected one: stook write planting"),
            )
        })
}

/// Acres cut and left, hectares, the doubt of what is left, and whether somebody said it.
pub(super) fn areas(
    farm: &Farm,
    asked: &WagonsAsked,
    planting: &Planting,
    tanks: usize,
) -> Result<(f64, f64, f64, bool), DeskError> {
    let field = &farm
        .fields
        .get(&planting.field)
        .ok_or_else(|| {
            DeskError::figure("field", format!("{} is not in the book", planting.field))
        })?
        .says;
    let all = acres_of(field, Some(planting), AcresSource::Planted)
        .or_else(|| acres_of(field, Some(planting), AcresSource::Measured));
    let no_acres = || {
        DeskError::figure(
            "field",
            format!(
                "no planted acres of {} in the book, expected them: stook write planting",
                planting.field
            ),
        )
    };
    let all = all.ok_or_else(no_acres)? * AC;
    if let Some(text) = &asked.left {
        let left = area_ha("left", text)?;
        if left > all {
            return Err(DeskError::figure(
                "left",
                format!(
                    "found {text}, expected at most the {:.1} ac planted in {}",
                    all / AC,
                    planting.field
                ),
            ));
        }
        let sd = LEFT_SD * left.min(all - left);
        return Ok((all - left, left, sd, true));
    }
    let cut = cut_acres(farm, &planting.field, Some(planting), planting.season, tanks)
        .ok_or_else(|| {
            DeskError::figure(
                "left",
                format!(
                    "{tanks} {} came off {} and nobody wrote how many acres are cut; say what is left: --left \"12 ac\"",
                    if tanks == 1 { "tank" } else { "tanks" },
                    planting.field
                ),
            )
        })?
        * AC;
    if cut >= all {
        return Err(DeskError::figure(
            "field",
            format!(
                "{} is cut, by the book; if some is left say how much: --left \"3 ac\"",
                planting.field
            ),
        ));
    }
    let sd = LEFT_SD * cut.min(all - cut);
    Ok((cut, all - cut, sd, false))
}

/// The wagons that count, and those on wheels whose room nobody wrote.
pub(super) fn rooms(
    farm: &Farm,
    asked: &WagonsAsked,
    crop: &str,
    season: &Season,
    ledger: &Ledger,
) -> Result<(Vec<WagonRoom>, Vec<String>), DeskError> {
    let standing = held::held(farm, season, ledger, i64::MAX)?;
    let named = asked
        .wagons
        .iter()
        .map(|text| farm.place(text))
        .collect::<Result<Vec<Name>, _>>()?;
    let (mut rooms, mut unknown) = (Vec::new(), Vec::new());
    for (name, place) in &farm.places {
        if !named.is_empty() && !named.contains(name)
            || named.is_empty() && !WHEELS.contains(&place.says.kind)
        {
            continue;
        }
        let Some(capacity) = place.says.capacity else {
            unknown.push(name.to_string());
            continue;
        };
        let holds_lb = capacity.units() as f64 / MassUnit::Lb.per() as f64;
        let inside = standing.iter().filter(|one| one.place == name.as_str());
        let mut one = WagonRoom {
            place: name.to_string(),
            holds_lb,
            in_it_lb: 0.0,
            room_lb: 0.0,
            other_crop: false,
            unweighed: 0,
        };
        for grain in inside {
            one.in_it_lb += grain.wet_lb.unwrap_or(0.0);
            one.unweighed += grain.unweighed;
            one.other_crop |= grain.crop != crop;
        }
        if !one.other_crop {
            one.room_lb = (holds_lb - one.in_it_lb).max(0.0);
        }
        rooms.push(one);
    }
    Ok((rooms, unknown))
}
