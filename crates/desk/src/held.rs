//! What stands in wagons, bins and piles: crop, insured units, owners and fields, how wet, how long.

use crate::moment::hours_between;
use crate::night::basis;
use crate::{DeskError, Farm, Season, Stands};
use account::ledger::{self, End, Ledger, Origin};
use account::slip::{CropId, PlaceId, PlaceKind, Slip, SlipId};
use book::Sha256Key;
use book::kinds::{FileKept, FilePurpose, Name, SampleHow};
use quantity::Moisture;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Grain on wheels for longer than this is called long filled, hours (common practice, no source).
const LONG_H: f64 = 24.0;

/// Grain in a place, by the book.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "facts of a place that hold or do not, each its own key in JSON"
)]
pub struct Held {
    /// Where.
    pub place: String,
    /// cart, wagon, truck, bin, pile or dryer.
    pub kind: &'static str,
    /// Whether it is on wheels.
    pub on_wheels: bool,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Dry matter on record, lb; none while no weight of it is known.
    pub dry_lb: Option<f64>,
    /// Wet mass on record, lb.
    pub wet_lb: Option<f64>,
    /// Bushels dry at the base; none without a bushel or a weight.
    pub dry_bu: Option<f64>,
    /// That base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Moisture: of the latest sample of the place since it was filled, else by the slips, per cent.
    pub moisture_pct: Option<f64>,
    /// Whether that is from a sample of the place itself.
    pub moisture_sampled: bool,
    /// Loads in it that nobody weighed: the figures are short by those.
    pub unweighed: usize,
    /// Insured units of what it holds.
    pub units: Vec<String>,
    /// Whose it is.
    pub owners: Vec<String>,
    /// Fields that it came from.
    pub fields: Vec<String>,
    /// Whether some of it is from a field that nobody wrote.
    pub unknown_field: bool,
    /// How full as last written, per cent of level full.
    pub full_percent: Option<f64>,
    /// Covered, open, or nobody said.
    pub covered: Option<bool>,
    /// When the first of it went in, UTC milliseconds.
    pub first_ms: Option<i64>,
    /// When the last of it went in, UTC milliseconds.
    pub last_ms: Option<i64>,
    /// The season it grew in, where it is carried over from an earlier one.
    pub carried_from: Option<u16>,
    /// Whether a photographed ticket that nobody typed yet may have emptied it.
    pub ticket_waits: bool,
    /// Entries behind it.
    pub entries: Vec<String>,
}

/// Somebody's share, as written.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// Whose.
    pub person: String,
    /// Per cent, as written.
    pub percent: String,
}

/// Why grain on wheels should move.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "why", rename_all = "snake_case")]
pub enum MoveWhy {
    /// It is wetter than its customary base.
    Wet {
        /// Its moisture, per cent.
        moisture_pct: f64,
        /// The base, per cent.
        base_pct: f64,
    },
    /// It has stood for more than a day.
    LongFilled {
        /// Hours since the last of it went in.
        hours: f64,
    },
    /// It stands open.
    Open {},
}

/// A crop in print, English, by its key.
pub(crate) fn crop_name(key: &str) -> String {
    key.parse::<facts::Crop>()
        .map_or_else(|_| key.to_owned(), |crop| crop.name().to_owned())
}

/// A place's kind, by key; none for what holds nothing of the farm's any more.
fn holds_grain(kind: PlaceKind) -> Option<(&'static str, bool)> {
    Some(match kind {
        PlaceKind::Cart => ("cart", true),
        PlaceKind::Wagon => ("wagon", true),
        PlaceKind::Truck => ("truck", true),
        PlaceKind::Bin => ("bin", false),
        PlaceKind::Pile => ("pile", false),
        PlaceKind::Dryer => ("dryer", false),
        PlaceKind::Tank
        | PlaceKind::Standing
        | PlaceKind::Pit
        | PlaceKind::Feed
        | PlaceKind::Seed
        | PlaceKind::Spill => return None,
    })
}

/// What stands in wagons, bins and piles before `end_ms`, by place and crop; what is carried over
/// from the season before is last.
///
/// # Errors
/// A bin measure of the season before whose bin is not known.
pub(crate) fn held(
    farm: &Farm,
    season: &Season,
    ledger: &Ledger,
    end_ms: i64,
) -> Result<Vec<Held>, DeskError> {
    let mut all = of_season(farm, season, ledger, end_ms);
    let before = season.year.saturating_sub(1);
    let begun = farm.dumps.iter().any(|one| one.says.season == before)
        || farm.tickets.iter().any(|one| one.says.season == before)
        || farm.openings.iter().any(|one| one.says.season == before);
    if begun {
        let earlier = crate::season(farm, before)?;
        let carried = of_season(farm, &earlier, &crate::night::post(&earlier), end_ms);
        let told: BTreeSet<String> = season
            .openings
            .iter()
            .map(|stock| stock.place.0.clone())
            .chain(all.iter().map(|one| one.place.clone()))
            .collect();
        all.extend(carried.into_iter().filter_map(|mut one| {
            one.carried_from = Some(before);
            // wheels without a slip for months were emptied without one
            (!one.on_wheels && !told.contains(&one.place)).then_some(one)
        }));
    }
    Ok(all)
}

fn of_season(farm: &Farm, season: &Season, ledger: &Ledger, end_ms: i64) -> Vec<Held> {
    let slips: BTreeMap<&SlipId, &Slip> = season
        .evidence
        .slips
        .iter()
        .map(|slip| (&slip.id, slip))
        .collect();
    let origins = origins(ledger, end_ms);
    let untyped = untyped_tickets(farm);
    ledger::balances(ledger, end_ms - 1)
        .into_iter()
        .filter_map(|balance| {
            let (kind, on_wheels) = holds_grain(balance.kind)?;
            let weighed = balance.dry.units() > 0;
            if !weighed && balance.no_weight.is_empty() {
                return None;
            }
            let mut fields: BTreeSet<Name> = BTreeSet::new();
            let mut unknown_field = false;
            for origin in origins
                .get(&(balance.place.clone(), balance.crop.clone()))
                .into_iter()
                .flatten()
            {
                match origin {
                    Origin::Field(place) => fields.extend(season.standing.get(place).cloned()),
                    Origin::Opening(_) | Origin::Unrecorded => unknown_field = true,
                }
            }
            let unweighed = balance.no_weight.iter().filter_map(|id| slips.get(id));
            for from in unweighed.flat_map(|slip| &slip.from) {
                fields.extend(season.standing.get(from).cloned());
            }
            let into: Vec<i64> = balance
                .slips
                .iter()
                .chain(&balance.no_weight)
                .filter(|id| slips.get(id).is_none_or(|slip| slip.to == balance.place))
                .filter_map(|id| season.happened.get(id))
                .map(book::Happened::at_ms)
                .collect();
            let entries = balance.slips.iter().chain(&balance.no_weight);
            let entries = entries.filter_map(|id| season.entries.get(id));
            let basis = basis(&balance.crop);
            let mut one = Held {
                kind,
                on_wheels,
                crop_name: crop_name(&balance.crop.0),
                dry_lb: weighed.then(|| balance.dry.lb()),
                wet_lb: weighed.then(|| balance.wet.lb()),
                dry_bu: basis
                    .filter(|_| weighed)
                    .map(|(_, per)| balance.dry.lb() * per),
                base_moisture_pct: basis.map(|(base, _)| base.percent()),
                moisture_pct: None,
                moisture_sampled: false,
                unweighed: balance.no_weight.len(),
                units: units_of(farm, &fields),
                owners: owners_of(farm, &fields, &balance.crop.0, season.year),
                fields: fields.iter().map(ToString::to_string).collect(),
                unknown_field,
                full_percent: None,
                covered: None,
                first_ms: into.iter().min().copied(),
                last_ms: into.iter().max().copied(),
                carried_from: None,
                ticket_waits: false,
                entries: entries.map(ToString::to_string).collect(),
                crop: balance.crop.0,
                place: balance.place.0,
            };
            one.look(farm, &untyped, end_ms);
            Some(one)
        })
        .collect()
}

/// Where what each place holds grew, as far as the record tells.
fn origins(ledger: &Ledger, end_ms: i64) -> BTreeMap<(PlaceId, CropId), BTreeSet<Origin>> {
    let mut sums: BTreeMap<(PlaceId, CropId), BTreeMap<Origin, i64>> = BTreeMap::new();
    for moved in ledger.movements.iter().filter(|one| one.at_ms < end_ms) {
        if let End::Place(place) = &moved.to {
            let sum = sums.entry((place.clone(), moved.crop.clone())).or_default();
            for part in &moved.parts {
                *sum.entry(part.origin.clone()).or_default() += part.dry.units();
            }
        }
        if let End::Place(place) = &moved.from {
            let sum = sums.entry((place.clone(), moved.crop.clone())).or_default();
            if moved.closes {
                sum.clear();
            }
            for part in moved.parts.iter().filter(|_| !moved.closes) {
                *sum.entry(part.origin.clone()).or_default() -= part.dry.units();
            }
        }
    }
    sums.into_iter()
        .map(|(key, sum)| {
            let left = sum.into_iter().filter(|(_, units)| *units > 0);
            (key, left.map(|(origin, _)| origin).collect())
        })
        .collect()
}

fn units_of(farm: &Farm, fields: &BTreeSet<Name>) -> Vec<String> {
    let units: BTreeSet<String> = fields
        .iter()
        .filter_map(|name| farm.fields.get(name)?.says.unit_number.as_ref())
        .map(ToString::to_string)
        .collect();
    units.into_iter().collect()
}

fn owners_of(farm: &Farm, fields: &BTreeSet<Name>, crop: &str, year: u16) -> Vec<String> {
    let mut people: BTreeSet<String> = BTreeSet::new();
    for name in fields {
        let shares = shares(farm, name, crop, year);
        people.extend(shares.into_iter().map(|share| share.person));
    }
    people.into_iter().collect()
}

/// Who has which share of a field's crop by its planting; empty where nothing is planted.
pub(crate) fn shares(farm: &Farm, field: &Name, crop: &str, year: u16) -> Vec<Share> {
    let planting = farm.plantings.iter().rev().find(|one| {
        one.says.field == *field && one.says.season == year && one.says.crop.as_str() == crop
    });
    planting.map_or_else(Vec::new, |one| share_lines(&one.says.shares))
}

/// Shares as written.
pub(crate) fn share_lines(shares: &[book::kinds::Share]) -> Vec<Share> {
    let line = |share: &book::kinds::Share| Share {
        person: share.person.to_string(),
        percent: share.percent.normalize().to_string(),
    };
    shares.iter().map(line).collect()
}

impl Held {
    /// What people wrote of the place itself since it was filled.
    fn look(&mut self, farm: &Farm, untyped: &[&Stands<FileKept>], end_ms: i64) {
        let since = self.first_ms.unwrap_or(i64::MIN);
        let within = |at_ms: i64| at_ms >= since && at_ms < end_ms;
        let dumps = farm
            .dumps
            .iter()
            .filter(|one| one.says.into.as_str() == self.place);
        self.full_percent = dumps
            .clone()
            .filter(|one| within(one.happened.at_ms()))
            .filter_map(|one| Some((one.happened.at_ms(), one.says.into_fill?)))
            .max_by_key(|(at_ms, _)| *at_ms)
            .and_then(|(_, fill)| f64::try_from(fill.percent).ok());
        let said = dumps.filter_map(|one| Some((one.happened.at_ms(), one.says.covered?)));
        let tarps = farm
            .covers
            .iter()
            .filter(|one| one.says.place.as_str() == self.place)
            .map(|one| (one.happened.at_ms(), one.says.covered));
        self.covered = said
            .chain(tarps)
            .filter(|(at_ms, _)| *at_ms < end_ms)
            .max_by_key(|(at_ms, _)| *at_ms)
            .map(|(_, covered)| covered);
        // grain hot from the dryer is read wrong until it has cooled
        let sample = farm
            .samples
            .iter()
            .filter(|one| one.says.of.as_str() == self.place && one.says.crop.as_str() == self.crop)
            .filter(|one| within(one.happened.at_ms()) && one.says.how != SampleHow::DryerHot)
            .filter(|one| !one.says.readings.is_empty())
            .max_by_key(|one| one.happened.at_ms());
        self.moisture_sampled = sample.is_some();
        self.moisture_pct = match (sample, self.dry_lb, self.wet_lb) {
            (Some(one), ..) => mean_percent(one.says.readings.iter().map(|one| one.value)),
            (None, Some(dry), Some(wet)) if wet > 0.0 && dry <= wet => {
                Some(100.0 * (1.0 - dry / wet))
            }
            _ => None,
        };
        let last = self.last_ms.unwrap_or(i64::MIN);
        self.ticket_waits = self.on_wheels
            && untyped.iter().any(|file| {
                let at_ms = file.happened.at_ms();
                let of = &file.says.of;
                at_ms >= last && at_ms < end_ms && of.iter().any(|of| of.as_str() == self.place)
            });
    }

    /// Hours since the last of it went in.
    pub(crate) fn hours(&self, now_ms: i64) -> Option<f64> {
        self.last_ms
            .map(|last| hours_between(last, now_ms).max(0.0))
    }

    /// Why it should move.
    pub(crate) fn why_move(&self, now_ms: i64) -> Vec<MoveWhy> {
        let mut why = Vec::new();
        if let (Some(moisture_pct), Some(base_pct)) = (self.moisture_pct, self.base_moisture_pct)
            && moisture_pct > base_pct
        {
            why.push(MoveWhy::Wet {
                moisture_pct,
                base_pct,
            });
        }
        if !self.on_wheels {
            return why;
        }
        if let Some(hours) = self.hours(now_ms).filter(|hours| *hours > LONG_H) {
            why.push(MoveWhy::LongFilled { hours });
        }
        if self.covered == Some(false) {
            why.push(MoveWhy::Open {});
        }
        why
    }

    /// What must move before what: wheels before bins; wet grain before dry, the wetter and longer
    /// filled first; then what stands open; then what has stood longest.
    pub(crate) fn urgency(&self, now_ms: i64) -> (bool, f64, bool, f64) {
        let hours = self.hours(now_ms).unwrap_or(0.0);
        let over = match (self.moisture_pct, self.base_moisture_pct) {
            (Some(moisture), Some(base)) => (moisture - base).max(0.0),
            _ => 0.0,
        };
        (
            self.on_wheels,
            over * (hours + 1.0),
            self.covered == Some(false),
            hours,
        )
    }
}

/// Sorts what must move first to the front.
pub(crate) fn by_urgency<T>(all: &mut [T], held: impl Fn(&T) -> &Held, now_ms: i64) {
    all.sort_by(|a, b| {
        let (one, other) = (held(a), held(b));
        let (x, y) = (one.urgency(now_ms), other.urgency(now_ms));
        y.0.cmp(&x.0)
            .then(y.1.total_cmp(&x.1))
            .then(y.2.cmp(&x.2))
            .then(y.3.total_cmp(&x.3))
            .then_with(|| (&one.place, &one.crop).cmp(&(&other.place, &other.crop)))
    });
}

/// How long before or after its photograph a ticket may have been typed to count as the same, where
/// neither names the other: 15 minutes.
const SAME_TICKET_MS: i64 = 900_000;

/// Photographs of tickets that no slip carries: none names it as its paper, and none without a paper
/// of its own was written out of the same wagon for the same quarter of an hour.
pub(crate) fn untyped_tickets(farm: &Farm) -> Vec<&Stands<FileKept>> {
    let tickets = farm.tickets.iter();
    let papers: BTreeSet<Sha256Key> = tickets
        .clone()
        .filter_map(|one| one.says.paper)
        .chain(farm.moves.iter().filter_map(|one| one.says.paper))
        .chain(farm.dumps.iter().filter_map(|one| one.says.paper))
        .collect();
    let mut bare: Vec<(i64, &[Name])> = tickets
        .filter(|one| one.says.paper.is_none())
        .map(|one| (one.happened.at_ms(), one.says.from.as_slice()))
        .collect();
    bare.sort_by_key(|one| one.0);
    let photographs = farm
        .files
        .iter()
        .filter(|file| file.says.purpose == FilePurpose::Ticket);
    photographs
        .filter(|file| !papers.contains(&file.says.sha256))
        .filter(|file| {
            let at_ms = file.happened.at_ms();
            let first = bare.partition_point(|one| one.0 < at_ms - SAME_TICKET_MS);
            let near = bare[first..]
                .iter()
                .take_while(|one| one.0 <= at_ms + SAME_TICKET_MS);
            !near
                .into_iter()
                .any(|(_, from)| from.iter().any(|from| file.says.of.contains(from)))
        })
        .collect()
}

/// The photograph of a ticket: the one that it names, else one of the same wagon within a quarter of an hour.
pub(crate) fn photograph_of(
    farm: &Farm,
    ticket: &crate::Stands<book::kinds::Weighed>,
) -> Option<String> {
    if let Some(key) = ticket.says.paper {
        return Some(key.to_string());
    }
    let near = |file: &&Stands<FileKept>| {
        let off = ticket.happened.at_ms().abs_diff(file.happened.at_ms());
        file.says.purpose == FilePurpose::Ticket
            && off <= SAME_TICKET_MS.unsigned_abs()
            && ticket
                .says
                .from
                .iter()
                .any(|from| file.says.of.contains(from))
    };
    farm.files
        .iter()
        .filter(near)
        .min_by_key(|file| ticket.happened.at_ms().abs_diff(file.happened.at_ms()))
        .map(|file| file.says.sha256.to_string())
}

/// A mean of moistures, per cent.
pub(crate) fn mean_percent(values: impl ExactSizeIterator<Item = Moisture>) -> Option<f64> {
    let count = values.len();
    (count > 0).then(|| values.map(Moisture::percent).sum::<f64>() / count as f64)
}
