//! What a new book still lacks, and what is settled of the list before the first pass.

use crate::{Farm, Stands};
use book::kinds::{Measure, MeterKind, Name, Opening, PlaceKind, Planting, Sample};
use serde::Serialize;
use std::collections::BTreeSet;

/// Two readings within a day of each other are of the same grain, milliseconds.
const DAY_MS: u64 = 86_400_000;

/// Getting started.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Setup {
    /// The season asked for.
    pub season: u16,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// The first that is not done; none once all are.
    pub next: Option<StepKind>,
    /// Whether nothing but the farm is written yet.
    pub empty: bool,
    /// The list before the first pass.
    pub before: Vec<BeforeLine>,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Step {
    /// Which.
    pub step: StepKind,
    /// Whether it is done.
    pub done: bool,
    /// How many of them are in the book.
    pub count: usize,
    /// What lacks something still, by name (a field that is not planted).
    pub lacking: Vec<String>,
}

/// The steps of getting started.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StepKind {
    /// The farm and its time zone.
    Farm,
    /// Fields, each with what is planted there this season.
    Fields,
    /// A combine.
    Machine,
    /// Places: a wagon or truck, and where grain goes.
    Places,
    /// A buyer.
    Buyer,
}

/// One line of the list before the first pass.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BeforeLine {
    /// What.
    pub what: BeforeKind,
    /// How it stands by the book.
    pub state: BeforeState,
    /// What is settled, by name.
    pub settled: Vec<String>,
    /// What is open, by name.
    pub open: Vec<String>,
}

/// The lines of the list before the first pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BeforeKind {
    /// Tare each wagon on the buyer's scale.
    TareWagons,
    /// Check the hand meter against the buyer's.
    CheckMeter,
    /// Measure and mark carry-over bins; ask the agent before new crop goes in.
    CarryOverBins,
    /// Get the buyer's schedule for each crop.
    Schedules,
    /// Get contracts.
    Contracts,
    /// Get splits.
    Splits,
    /// Get unit numbers.
    UnitNumbers,
    /// Get the call-at yield of each unit.
    CallAt,
    /// Hang extinguishers.
    Extinguishers,
    /// Practise one load per person.
    PractiseLoads,
}

/// How a line stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BeforeState {
    /// Settled by entries.
    Settled,
    /// Some are settled, some open.
    Partly,
    /// Open.
    Open,
    /// Nothing in the book can settle it: tick it on paper.
    OnPaper,
}

/// What the book lacks for a season, and what of the list before the first pass its entries settle.
pub fn setup(farm: &Farm, season: u16) -> Setup {
    let steps = steps(farm, season);
    let next = steps.iter().find(|step| !step.done).map(|step| step.step);
    let empty = farm.fields.is_empty()
        && farm.machines.is_empty()
        && farm.places.is_empty()
        && farm.buyers.is_empty();
    Setup {
        season,
        steps,
        next,
        empty,
        before: before(farm, season),
    }
}

fn names<'n>(names: impl Iterator<Item = &'n Name>) -> Vec<String> {
    let sorted: BTreeSet<&Name> = names.collect();
    sorted.into_iter().map(ToString::to_string).collect()
}

fn plantings(farm: &Farm, season: u16) -> impl Iterator<Item = &Planting> {
    let all = farm.plantings.iter().map(|one| &one.says);
    all.filter(move |one| one.season == season)
}

fn steps(farm: &Farm, season: u16) -> Vec<Step> {
    let planted: BTreeSet<&Name> = plantings(farm, season).map(|one| &one.field).collect();
    let unplanted = names(farm.fields.keys().filter(|name| !planted.contains(name)));
    let kind = |kinds: &[PlaceKind]| {
        let mut places = farm.places.values();
        places.any(|place| kinds.contains(&place.says.kind))
    };
    let wheels = kind(&[PlaceKind::Wagon, PlaceKind::Cart, PlaceKind::Truck]);
    let rest = kind(&[
        PlaceKind::Pit,
        PlaceKind::Bin,
        PlaceKind::Pile,
        PlaceKind::Feed,
        PlaceKind::Dryer,
    ]);
    let mut lacking_places = Vec::new();
    if !wheels {
        lacking_places.push("wagon".to_owned());
    }
    if !rest {
        lacking_places.push("pit".to_owned());
    }
    let step = |step, count: usize, done: bool, lacking: Vec<String>| Step {
        step,
        done,
        count,
        lacking,
    };
    vec![
        step(
            StepKind::Farm,
            usize::from(!farm.name.is_empty()),
            !farm.name.is_empty(),
            Vec::new(),
        ),
        step(
            StepKind::Fields,
            farm.fields.len(),
            !planted.is_empty(),
            unplanted,
        ),
        step(
            StepKind::Machine,
            farm.machines.len(),
            !farm.machines.is_empty(),
            Vec::new(),
        ),
        step(
            StepKind::Places,
            farm.places.len(),
            wheels && rest,
            lacking_places,
        ),
        step(
            StepKind::Buyer,
            farm.buyers.len(),
            !farm.buyers.is_empty(),
            Vec::new(),
        ),
    ]
}

fn line(what: BeforeKind, settled: Vec<String>, open: Vec<String>) -> BeforeLine {
    let state = match (settled.is_empty(), open.is_empty()) {
        (false, true) => BeforeState::Settled,
        (false, false) => BeforeState::Partly,
        (true, _) => BeforeState::Open,
    };
    BeforeLine {
        what,
        state,
        settled,
        open,
    }
}

fn divided<'n>(
    what: BeforeKind,
    all: impl Iterator<Item = &'n Name>,
    settled: impl Fn(&Name) -> bool,
) -> BeforeLine {
    let (done, open): (Vec<&Name>, Vec<&Name>) = all.partition(|name| settled(name));
    line(what, names(done.into_iter()), names(open.into_iter()))
}

fn before(farm: &Farm, season: u16) -> Vec<BeforeLine> {
    use BeforeKind as Kind;
    let of_kind = |kinds: &'static [PlaceKind]| {
        let places = farm.places.iter();
        let those = places.filter(move |(_, place)| kinds.contains(&place.says.kind));
        those.map(|(name, _)| name)
    };
    let wheels = of_kind(&[PlaceKind::Wagon, PlaceKind::Cart, PlaceKind::Truck]);
    let tared = |name: &Name| {
        farm.places
            .get(name)
            .is_some_and(|one| one.says.tare.is_some())
    };
    // grain of the season, or of the one before, found in the bin; or the bin found empty
    let carried = |name: &Name| {
        let seasons = [season, season.saturating_sub(1)];
        let opening =
            |one: &Stands<Opening>| one.says.place == *name && seasons.contains(&one.says.season);
        let measure = |one: &Stands<Measure>| one.says.place == *name && one.says.season == season;
        farm.openings.iter().any(opening) || farm.measures.iter().any(measure)
    };
    let crops: BTreeSet<&Name> = plantings(farm, season).map(|one| &one.crop).collect();
    let scheduled = |crop: &Name| {
        let mut schedules = farm.buyers.values().flat_map(|one| &one.says.schedules);
        schedules.any(|one| one.crop == *crop && one.season == season)
    };
    let contracted = |crop: &Name| {
        let mut contracts = farm.contracts.iter();
        contracts.any(|one| one.says.crop == *crop && one.says.season == season)
    };
    let fields: BTreeSet<&Name> = plantings(farm, season).map(|one| &one.field).collect();
    // the one share that is written where nobody named any says nothing
    let split = |name: &Name| {
        plantings(farm, season)
            .filter(|one| one.field == *name)
            .all(|one| {
                one.shares.len() > 1
                    || one
                        .shares
                        .iter()
                        .any(|share| share.person.as_str() != "owner")
            })
    };
    let unit_of = |name: &Name| {
        farm.fields
            .get(name)
            .and_then(|one| one.says.unit_number.as_ref())
    };
    let units: BTreeSet<&Name> = fields.iter().filter_map(|name| unit_of(name)).collect();
    let call_at = |unit: &Name| {
        let mut all = farm.call_ats.iter();
        all.any(|one| one.says.unit == *unit && one.says.season == season)
    };
    let on_paper = |what| BeforeLine {
        what,
        state: BeforeState::OnPaper,
        settled: Vec::new(),
        open: Vec::new(),
    };
    vec![
        divided(Kind::TareWagons, wheels, tared),
        meters(farm),
        divided(Kind::CarryOverBins, of_kind(&[PlaceKind::Bin]), carried),
        divided(Kind::Schedules, crops.iter().copied(), scheduled),
        divided(Kind::Contracts, crops.iter().copied(), contracted),
        divided(Kind::Splits, fields.iter().copied(), split),
        divided(Kind::UnitNumbers, fields.iter().copied(), |name| {
            unit_of(name).is_some()
        }),
        divided(Kind::CallAt, units.iter().copied(), call_at),
        on_paper(Kind::Extinguishers),
        on_paper(Kind::PractiseLoads),
    ]
}

/// A hand meter is checked once it and a buyer's have read grain of one place or field within a day
/// of each other.
fn meters(farm: &Farm) -> BeforeLine {
    let of_kind = |kind: MeterKind| {
        let meters = farm.meters.iter();
        meters.filter(move |(_, meter)| meter.says.kind == kind)
    };
    let is_buyers = |name: &Name| {
        let meter = farm.meters.get(name);
        meter.is_some_and(|meter| meter.says.kind == MeterKind::Buyer)
    };
    let read_by = |sample: &Stands<Sample>, by: &dyn Fn(&Name) -> bool| {
        let mut readings = sample.says.readings.iter();
        readings.any(|reading| reading.meter.as_ref().is_some_and(by))
    };
    let checked = |name: &Name| {
        let own = farm
            .samples
            .iter()
            .filter(|one| read_by(one, &|by| by == name));
        own.into_iter().any(|one| {
            farm.samples.iter().any(|other| {
                let apart = one.happened.at_ms().abs_diff(other.happened.at_ms());
                other.says.of == one.says.of && apart <= DAY_MS && read_by(other, &is_buyers)
            })
        })
    };
    divided(
        BeforeKind::CheckMeter,
        of_kind(MeterKind::Hand).map(|(name, _)| name),
        checked,
    )
}
