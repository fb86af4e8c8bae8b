//! The day sheet: is the account square, what is on wheels and in bins, what each field and unit made.

use crate::square::Squaring;
use crate::{DeskError, Farm, Season, Why, audit, square};
use account::claims::{Claim, ClaimEntry, ClaimKey, Terms, claims};
use account::ledger::{self, Ledger, Load, Origin};
use account::shares::{Agreement, Portion, share_production};
use account::slip::{CropId, PersonId, PlaceId, PlaceKind, SlipId};
use book::kinds::{Contract, Name};
use facts::{Act, Crop};
use jiff::civil::Date;
use quantity::{AcreSource, Acres, Area, Bushels, DryMass, Moisture, Yield};
use rust_decimal::Decimal;
use serde::Serialize;
use std::collections::BTreeMap;

/// The sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Night {
    /// The farm.
    pub farm: String,
    /// The season.
    pub season: u16,
    /// The harvest day, or none for the whole season.
    pub day: Option<String>,
    /// Square or not, in one sentence.
    pub sentence: String,
    /// Whether the account is square.
    pub square: bool,
    /// One line a crop.
    pub crops: Vec<CropLine>,
    /// What stands on wheels and in bins.
    pub held: Vec<HeldLine>,
    /// Slips of the day (all, for the whole season).
    pub slips: Vec<SlipLine>,
    /// What each field made so far.
    pub fields: Vec<FieldLine>,
    /// What each insured unit made so far, in insurance bushels.
    pub units: Vec<UnitLine>,
    /// Shares of each field's grain by person, dry pounds.
    pub shares: Vec<ShareLine>,
    /// Claims on buyers' storage, in the buyer's bushels.
    pub claims: Vec<Claim>,
    /// The squaring behind the sentence.
    pub squaring: Squaring,
    /// What else a person should look at: conflicts, odd clocks, unweighed or unposted slips.
    pub look_at: Vec<String>,
    /// Cautions for tonight's acts.
    pub cautions: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// One crop's account on record, dry bushels at a stated base (dry pounds where a crop has no bushel).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropLine {
    /// The crop.
    pub crop: CropId,
    /// The bushels' base moisture, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Dry matter that came off the fields with each monitor set to the scale, lb.
    pub came_off_dry_lb: f64,
    /// The same exactly as read, monitors not set, lb.
    pub came_off_as_read_dry_lb: f64,
    /// Opening stock, lb.
    pub opening_dry_lb: f64,
    /// Sold, lb.
    pub sold_dry_lb: f64,
    /// On claim at buyers, lb.
    pub on_claim_dry_lb: f64,
    /// Standing in places, lb.
    pub held_dry_lb: f64,
    /// Fed, kept for seed or spilt, lb.
    pub used_dry_lb: f64,
    /// Unexplained with each monitor set to the scale, lb; positive is short.
    pub unexplained_dry_lb: f64,
    /// Standard error of what is unexplained, from squaring, lb.
    pub unexplained_se_lb: f64,
    /// Bushels dry at the base for one dry pound; to print the line in bushels.
    pub dry_bu_per_dry_lb: Option<f64>,
}

/// Grain in a place tonight.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeldLine {
    /// Where.
    pub place: PlaceId,
    /// What it is.
    pub kind: PlaceKind,
    /// Which crop.
    pub crop: CropId,
    /// Dry matter on record, lb.
    pub dry_lb: f64,
    /// Wet mass on record, lb.
    pub wet_lb: f64,
    /// Moisture by the record, per cent.
    pub moisture_pct: Option<f64>,
    /// Squared dry matter, lb.
    pub squared_dry_lb: Option<f64>,
    /// Its standard error, lb.
    pub squared_se_lb: Option<f64>,
    /// When the last grain went in, local time.
    pub since: Option<String>,
}

/// One slip of the day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlipLine {
    /// The slip.
    pub slip: SlipId,
    /// Its entry.
    pub entry: String,
    /// Local time.
    pub at: String,
    /// UTC milliseconds.
    pub at_ms: i64,
    /// Where from.
    pub from: String,
    /// Where to.
    pub to: String,
    /// Which crop.
    pub crop: CropId,
    /// As written.
    pub written: String,
    /// Squared dry matter, lb.
    pub squared_dry_lb: Option<f64>,
    /// Its standard error, lb.
    pub squared_se_lb: Option<f64>,
    /// The measurement test.
    pub z: Option<f64>,
    /// Whether it looks wrong.
    pub suspect: bool,
    /// Whether a correction holds.
    pub mended: bool,
}

/// One field and crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldLine {
    /// The field, or where grain without a field came from.
    pub field: String,
    /// The crop.
    pub crop: CropId,
    /// Insured unit.
    pub unit: Option<String>,
    /// Dry matter, lb.
    pub dry_lb: f64,
    /// Bushels dry at the base.
    pub dry_bu: Option<f64>,
    /// That base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Yield for each acreage on record, with its acres.
    pub yields: Vec<YieldLine>,
    /// Loads behind it.
    pub loads: usize,
}

/// A yield that says its acres.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YieldLine {
    /// reported, planted, measured or cut.
    pub acres: String,
    /// How many.
    pub area_ac: f64,
    /// Bushels dry at the base, per acre.
    pub dry_bu_per_ac: f64,
}

/// One insured unit and crop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnitLine {
    /// The unit; none is grain that cannot be tied to one.
    pub unit: Option<String>,
    /// The crop.
    pub crop: CropId,
    /// Insurance bushels of weighed loads (7 CFR 457.113 moisture rule where it applies).
    pub insurance_bu: f64,
    /// Loads in it.
    pub loads: usize,
    /// Loads not converted: no moisture, or no rule for the crop.
    pub unconverted: usize,
}

/// One person's share.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShareLine {
    /// Whose.
    pub person: PersonId,
    /// Of which field.
    pub field: PlaceId,
    /// Which crop.
    pub crop: CropId,
    /// Dry matter, lb.
    pub dry_lb: f64,
}

/// Makes the sheet of one harvest day or of the whole season, as things stood at its end.
///
/// # Errors
/// A day that cannot be read, or evidence that cannot be squared.
pub fn night(
    farm: &Farm,
    season: &Season,
    day: Option<&str>,
    level: f64,
) -> Result<Night, DeskError> {
    let day = day
        .map(|text| quantity::parse_date(text).map_err(|why| DeskError::figure("day", why)))
        .transpose()?;
    let squaring = square(season, level)?;
    let ledger = post(season);
    let end_ms = match day {
        Some(day) => day_end_ms(farm, season.year, day)?,
        None => i64::MAX,
    };
    let crops = crop_lines(season, &ledger, &squaring, end_ms);
    let loads: Vec<Load> = ledger
        .loads
        .iter()
        .filter(|load| load.at_ms < end_ms)
        .cloned()
        .collect();
    let fields = field_lines(farm, season, &loads);
    let look_at = look_at(farm, &ledger, season);
    let mut sentence = squaring.sentence.clone();
    if let Some(day) = day {
        sentence = format!("{sentence} (at the end of {day})");
    }
    Ok(Night {
        farm: farm.name.clone(),
        season: season.year,
        day: day.map(|day| day.to_string()),
        square: squaring.squared.square,
        crops,
        held: held_lines(farm, &ledger, &squaring, end_ms, season),
        slips: slip_lines(farm, season, &squaring, day),
        units: unit_lines(farm, season, &loads),
        shares: share_lines(farm, season, &loads)?,
        claims: claim_lines(farm, season, &ledger, end_ms).claims,
        fields,
        look_at,
        cautions: [Act::WagonFlow, Act::BinMeasure, Act::Fatigue, Act::Money]
            .iter()
            .map(|act| facts::caution(*act).text.clone())
            .collect(),
        why: squaring.why.clone(),
        sentence,
        squaring,
    })
}

/// The season posted as exact movements.
pub(crate) fn post(season: &Season) -> Ledger {
    ledger::post(&ledger::Season {
        places: &season.evidence.places,
        slips: &season.evidence.slips,
        openings: &season.openings,
        measured: &season.measured,
        assumed: &season.assumed,
        on_claim: &season.on_claim,
    })
}

fn zone(farm: &Farm) -> jiff::tz::TimeZone {
    jiff::tz::TimeZone::get(&farm.zone).unwrap_or(jiff::tz::TimeZone::UTC)
}

/// The harvest day that a moment belongs to.
fn harvest_day(farm: &Farm, year: u16, at_ms: i64) -> Date {
    let instant = jiff::Timestamp::from_millisecond(at_ms).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let local = instant.to_zoned_datetime(zone(farm));
    if local.hour() < farm.day_begins(year) {
        local.date().yesterday().unwrap_or(local.date())
    } else {
        local.date()
    }
}

fn day_end_ms(farm: &Farm, year: u16, day: Date) -> Result<i64, DeskError> {
    let next = day
        .tomorrow()
        .map_err(|why| DeskError::figure("day", why))?;
    let end = next
        .at(farm.day_begins(year), 0, 0, 0)
        .to_zoned_datetime(zone(farm))
        .map_err(|why| DeskError::figure("day", why))?;
    Ok(end.timestamp().as_millisecond())
}

fn local(farm: &Farm, at_ms: i64) -> String {
    jiff::Timestamp::from_millisecond(at_ms)
        .unwrap_or(jiff::Timestamp::UNIX_EPOCH)
        .to_zoned_datetime(zone(farm))
        .strftime("%b %-d %H:%M")
        .to_string()
}

/// The base at which a crop's dry bushels are printed, and bushels for a dry pound.
fn basis(crop: &CropId) -> Option<(Moisture, f64)> {
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

fn crop_lines(season: &Season, ledger: &Ledger, squaring: &Squaring, end_ms: i64) -> Vec<CropLine> {
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

fn held_lines(
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

fn slip_lines(
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

fn field_lines(farm: &Farm, season: &Season, loads: &[Load]) -> Vec<FieldLine> {
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

fn unit_lines(farm: &Farm, season: &Season, loads: &[Load]) -> Vec<UnitLine> {
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

fn share_lines(farm: &Farm, season: &Season, loads: &[Load]) -> Result<Vec<ShareLine>, DeskError> {
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

fn claim_lines(
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

fn look_at(farm: &Farm, ledger: &Ledger, season: &Season) -> Vec<String> {
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
