//! Writing the invented season into the book, by the same figures that a person would type.

use super::day::{self, spoken};
use crate::pen::Clock;
use crate::written::{Figures, read};
use crate::{DeskError, Farm, Pen};
use book::kinds::{Farm as FarmSays, FileKept, FilePurpose, Name, Payload};
use book::{Book, EntryId, Happened};
use numeric::stream::Stream;
use quantity::MassUnit;
use std::collections::{BTreeMap, BTreeSet};
use worlds::demo::DemoFarm;
use worlds::mistake::MistakeKind;
use worlds::paper::{MeterKind, PlaceKind, Scale, Slip, Stock, Weight};

/// What the demo combine's tank holds; eye readings of it are written as per cent of this.
const TANK_LB: i64 = 10_000;

/// A clock that runs with the invented season, and seeded chance: the same book every time.
pub(crate) struct SeasonClock {
    now_ms: i64,
    chance: Stream,
}

impl SeasonClock {
    /// Starts a day before the first slip.
    pub(crate) fn new(seed: u64, farm: &DemoFarm) -> Self {
        let first = farm
            .typed
            .slips
            .iter()
            .map(|slip| slip.at_ms)
            .min()
            .unwrap_or(0);
        Self::starting(seed, first - 86_400_000)
    }
    /// Starts at a moment.
    pub(super) fn starting(seed: u64, now_ms: i64) -> Self {
        Self {
            now_ms,
            chance: Stream::new(seed, "demo-ids", 0),
        }
    }
    /// The moment.
    pub(crate) fn now(&self) -> i64 {
        self.now_ms
    }
    /// Moves on to a moment, never back.
    pub(crate) fn reach(&mut self, at_ms: i64) {
        self.now_ms = self.now_ms.max(at_ms);
    }
}

impl Clock for SeasonClock {
    fn now_ms(&mut self) -> i64 {
        self.now_ms += 1;
        self.now_ms
    }
    fn chance(&mut self) -> [u8; 10] {
        let mut bytes = [0; 10];
        for byte in &mut bytes {
            *byte = self.chance.below(256) as u8;
        }
        bytes
    }
}

/// The season as entered: which entry holds which invented slip.
#[derive(Debug, Default)]
pub(crate) struct Entered {
    /// Entry of each typed slip or stock.
    pub entries: BTreeMap<String, EntryId>,
    /// Invented slips that the paper settled.
    pub settled: BTreeSet<String>,
}

impl Entered {
    /// The invented name behind an entry.
    pub(crate) fn slip_of(&self, entry: &str) -> Option<&str> {
        self.entries
            .iter()
            .find(|(_, id)| id.to_string() == entry)
            .map(|(name, _)| name.as_str())
    }
    /// How many planted mistakes were settled.
    pub(crate) fn settled(&self, farm: &DemoFarm) -> usize {
        farm.truth
            .mistakes
            .iter()
            .filter(|mistake| {
                self.settled.contains(&mistake.slip)
                    || (mistake.kind == MistakeKind::Twice
                        && mistake
                            .twin
                            .as_ref()
                            .is_some_and(|twin| self.settled.contains(twin)))
            })
            .count()
    }
}

/// Writes everything the farm typed, in order of time.
pub(crate) fn enter(
    book: &mut Book,
    farm: &DemoFarm,
    clock: &mut SeasonClock,
) -> Result<Entered, DeskError> {
    let says = FarmSays {
        name: Name::new(&farm.name)?,
        insured_name: None,
        zone: Name::new(&farm.zone)?,
    };
    Pen::new("owner", None, &farm.zone, clock)?.write(book, says.into())?;
    for (kind, figures) in setup(farm) {
        write(book, clock, &farm.zone, None, kind, &figures)?;
    }
    keep_points(book, farm, clock)?;
    day::agreed(book, farm, clock)?;
    let mut entered = Entered::default();
    let mut around = day::around(farm).into_iter().peekable();
    for (at_ms, id, item) in in_order(farm) {
        while let Some((when, kind, figures)) = around.next_if(|(when, ..)| *when < at_ms) {
            clock.reach(when + 60_000);
            write(book, clock, &farm.zone, Some(when), kind, &figures)?;
        }
        clock.reach(at_ms + 60_000);
        let (kind, mut figures) = item_figures(farm, &item);
        if let Some(paper) = day::photograph(book, farm, id)? {
            figures.add("paper", paper.to_string());
        }
        let entry = write(book, clock, &farm.zone, Some(at_ms), kind, &figures)?;
        entered.entries.insert(id.to_owned(), entry);
    }
    for (when, kind, figures) in around {
        clock.reach(when + 60_000);
        write(book, clock, &farm.zone, Some(when), kind, &figures)?;
    }
    day::untyped(book, farm, clock)?;
    Ok(entered)
}

/// What was typed: a slip or a stock.
pub(super) enum Item<'a> {
    Slip(&'a Slip),
    Stock(&'a Stock),
}

/// Everything the farm typed, in order of time, each with its moment and invented name.
pub(super) fn in_order(farm: &DemoFarm) -> Vec<(i64, &str, Item<'_>)> {
    let mut order: Vec<(i64, &str, Item<'_>)> = Vec::new();
    order.extend(
        farm.typed
            .slips
            .iter()
            .map(|slip| (slip.at_ms, slip.id.as_str(), Item::Slip(slip))),
    );
    order.extend(
        farm.typed
            .stocks
            .iter()
            .map(|stock| (stock.at_ms, stock.id.as_str(), Item::Stock(stock))),
    );
    order.sort_by_key(|(at_ms, id, _)| (*at_ms, *id));
    order
}

/// The kind and figures of what was typed.
pub(super) fn item_figures(farm: &DemoFarm, item: &Item<'_>) -> (&'static str, Figures) {
    match item {
        Item::Slip(slip) => slip_figures(farm, slip),
        Item::Stock(stock) => ("measure", stock_figures(farm, stock)),
    }
}

/// Writes one entry from figures, as happened at a moment.
pub(crate) fn write(
    book: &mut Book,
    clock: &mut SeasonClock,
    zone: &str,
    at_ms: Option<i64>,
    kind: &str,
    figures: &Figures,
) -> Result<EntryId, DeskError> {
    let farm = Farm::read(book)?;
    let mut pen = Pen::new("owner", None, zone, clock)?;
    pen.at = at_ms.map(|at_ms| Happened::new(at_ms, zone)).transpose()?;
    let year = crate::year_of(&mut pen, &farm)?;
    let payload = read(kind, figures, &farm, year)?;
    Ok(pen.write(book, payload)?.id)
}

fn add(figures: &mut Figures, name: &str, text: impl Into<String>) {
    figures.add(name, text);
}

/// Everything that stands before the first slip.
pub(super) fn setup(farm: &DemoFarm) -> Vec<(&'static str, Figures)> {
    let mut out = Vec::new();
    for person in &farm.people {
        let mut f = Figures::default();
        add(&mut f, "name", &person.id);
        let role = person.role.to_lowercase();
        let word = if role.contains("own") && role.contains("land") {
            "landlord"
        } else if role.contains("help") || role.contains("driv") {
            "help"
        } else {
            "grower"
        };
        add(&mut f, "role", word);
        out.push(("person", f));
    }
    for field in &farm.fields {
        let mut f = Figures::default();
        add(&mut f, "name", spoken(farm, &field.id));
        let mut ring: Vec<[f64; 2]> = field
            .boundary
            .iter()
            .map(|corner| [corner.lon, corner.lat])
            .collect();
        ring.extend(ring.first().copied());
        let outline = serde_json::json!({ "type": "Polygon", "coordinates": [ring] });
        add(&mut f, "boundary", outline.to_string());
        let (number, tract, plot) = field.farm_tract_field;
        add(&mut f, "farm-number", number.to_string());
        add(&mut f, "tract", tract.to_string());
        add(&mut f, "field-number", plot.to_string());
        add(&mut f, "unit", &field.unit);
        add(&mut f, "reported", format!("{} ac", field.reported_ac));
        add(&mut f, "planted", format!("{} ac", field.planted_ac));
        add(&mut f, "measured", format!("{} ac", field.measured_ac));
        out.push(("field", f));
        let mut f = Figures::default();
        add(&mut f, "field", spoken(farm, &field.id));
        add(&mut f, "crop", &field.crop);
        add(&mut f, "season", farm.year.to_string());
        if let Some((person, percent)) = &field.share {
            add(&mut f, "share", format!("owner={}%", 100.0 - percent));
            add(&mut f, "share", format!("{person}={percent}%"));
        }
        out.push(("planting", f));
    }
    for machine in &farm.typed.machines {
        let mut f = Figures::default();
        add(&mut f, "name", spoken(farm, machine));
        add(&mut f, "tank", format!("{TANK_LB} lb"));
        add(&mut f, "monitor", "wet");
        out.push(("machine", f));
    }
    for meter in &farm.typed.meters {
        let mut f = Figures::default();
        add(&mut f, "name", spoken(farm, &meter.id));
        let kind = match meter.kind {
            MeterKind::Buyer => "buyer",
            MeterKind::Hand => "hand",
            MeterKind::Combine => "machine",
        };
        add(&mut f, "kind", kind);
        out.push(("meter", f));
    }
    for place in &farm.typed.places {
        if place.kind == PlaceKind::Standing {
            continue;
        }
        let mut f = Figures::default();
        add(&mut f, "name", spoken(farm, &place.id));
        let kind = match place.kind {
            PlaceKind::Standing | PlaceKind::Wagon => "wagon",
            PlaceKind::Truck => "truck",
            PlaceKind::Bin => "bin",
            PlaceKind::Dryer => "dryer",
            PlaceKind::Pit => "pit",
            PlaceKind::Feed => "feed",
            PlaceKind::Seed => "seed",
            PlaceKind::Spill => "spill",
        };
        add(&mut f, "kind", kind);
        if let Some(lb) = place.capacity_lb {
            add(&mut f, "capacity", format!("{} lb", lb.round()));
        }
        if let Some(lb) = place.tare_lb {
            add(&mut f, "tare", format!("{lb} lb"));
        }
        if let Some(bin) = farm.bins.iter().find(|bin| bin.id == place.id) {
            add(&mut f, "across", format!("{} ft", bin.diameter_ft));
            add(&mut f, "wall", format!("{} ft", bin.eave_ft));
        }
        out.push(("place", f));
    }
    let mut f = Figures::default();
    add(&mut f, "name", spoken(farm, &farm.buyer));
    for (_, schedule) in &farm.schedules {
        add(&mut f, "schedule", schedule);
    }
    for crop in &farm.crops {
        add(&mut f, "hours", format!("{crop}=Mon-Sat 7:00-19:00"));
    }
    out.push(("buyer", f));
    out
}

/// The raw points are kept as an attachment, named by an entry.
fn keep_points(book: &mut Book, farm: &DemoFarm, clock: &mut SeasonClock) -> Result<(), DeskError> {
    let (name, text) = &farm.points;
    let sha256 = book.attach(text.as_bytes())?;
    // the file is named for its field
    let of = farm
        .fields
        .iter()
        .find(|field| name.starts_with(&field.id))
        .map(|field| Name::new(spoken(farm, &field.id)))
        .transpose()?;
    let kept = FileKept {
        sha256,
        name: Name::new(name)?,
        bytes: text.len() as u64,
        purpose: FilePurpose::CombinePoints,
        of: of.into_iter().collect(),
    };
    Pen::new("owner", None, &farm.zone, clock)?.write(book, Payload::File(kept))?;
    Ok(())
}

/// A slip's kind and figures, as typed or as the paper says.
pub(crate) fn slip_figures(farm: &DemoFarm, slip: &Slip) -> (&'static str, Figures) {
    let mut f = Figures::default();
    let is = |name: &String, kind: PlaceKind| {
        farm.typed
            .places
            .iter()
            .any(|place| place.id == *name && place.kind == kind)
    };
    let from_field = slip
        .from
        .first()
        .is_some_and(|name| is(name, PlaceKind::Standing));
    let to_pit = is(&slip.to, PlaceKind::Pit);
    add(&mut f, "to", spoken(farm, &slip.to));
    add(&mut f, "crop", &slip.crop);
    if let Some(reading) = &slip.moisture {
        add(&mut f, "moisture", format!("{}%", reading.percent));
        add(&mut f, "meter", spoken(farm, &reading.meter));
    }
    if let Some(number) = &slip.number {
        add(&mut f, "number", number);
    }
    if from_field {
        add(&mut f, "field", spoken(farm, &slip.from[0]));
        let any = farm.typed.machines.first().cloned().unwrap_or_default();
        match &slip.weight {
            Weight::Monitor {
                machine,
                reading,
                unit,
            } => {
                add(&mut f, "machine", spoken(farm, machine));
                add(&mut f, "monitor", digits(*reading, *unit));
            }
            Weight::Eye { lb, .. } => {
                add(&mut f, "machine", spoken(farm, &any));
                add(
                    &mut f,
                    "full",
                    format!("{}%", *lb as f64 * 100.0 / TANK_LB as f64),
                );
            }
            Weight::Scale { .. } | Weight::Unknown => add(&mut f, "machine", spoken(farm, &any)),
        }
        return ("dump", f);
    }
    for name in &slip.from {
        add(&mut f, "from", spoken(farm, name));
    }
    match &slip.weight {
        Weight::Scale {
            gross,
            tare,
            shared_tare,
            net,
            step,
            unit,
            scale,
        } => {
            if let Some(gross) = gross {
                add(&mut f, "gross", digits(*gross, *unit));
            }
            if let Some(tare) = tare {
                add(&mut f, "tare", digits(*tare, *unit));
            }
            let worked = gross.zip(*tare).map(|(gross, tare)| gross - tare);
            if worked != Some(*net) {
                add(
                    &mut f,
                    if to_pit { "net" } else { "weight" },
                    digits(*net, *unit),
                );
            }
            add(&mut f, "step", digits(*step, *unit));
            let word = match scale {
                Scale::Certified => "certified",
                Scale::Cart => "cart",
                Scale::Farm => "farm",
            };
            add(&mut f, "scale", word);
            if let (Some(name), true) = (shared_tare, to_pit) {
                add(&mut f, "shared-tare", name);
            }
            if !to_pit {
                add(&mut f, "known-by", "scale");
            }
        }
        Weight::Eye { lb, full } => {
            add(&mut f, "weight", format!("{lb} lb"));
            add(&mut f, "known-by", if *full { "full" } else { "fill" });
        }
        Weight::Monitor { reading, unit, .. } => add(&mut f, "weight", digits(*reading, *unit)),
        Weight::Unknown => {}
    }
    if !to_pit {
        if slip.empties {
            add(&mut f, "empties", "yes");
        }
        return ("move", f);
    }
    if let Some(pounds) = slip.test_weight_lb_bu {
        add(&mut f, "test-weight", format!("{pounds} lb/bu"));
    }
    for (name, value) in &slip.factors {
        add(&mut f, "factor", format!("{name}={value}"));
    }
    add(&mut f, "buyer", spoken(farm, &farm.buyer));
    if let Some(contract) = farm
        .contracts
        .iter()
        .find(|contract| contract.slips.contains(&slip.id))
    {
        match &contract.price_per_bu {
            Some(price) => {
                add(&mut f, "terms", "sell");
                add(&mut f, "contract", &contract.id);
                add(
                    &mut f,
                    "price",
                    format!("${}/bu", price.trim_start_matches('$')),
                );
            }
            None => add(&mut f, "terms", "price-later"),
        }
    }
    if !slip.empties {
        add(&mut f, "not-emptied", "yes");
    }
    ("weighed", f)
}

fn digits(value: i64, unit: MassUnit) -> String {
    format!("{value} {}", unit.symbol())
}

fn stock_figures(farm: &DemoFarm, stock: &Stock) -> Figures {
    let mut f = Figures::default();
    add(&mut f, "place", spoken(farm, &stock.place));
    add(&mut f, "crop", &stock.crop);
    if let Some(reading) = &stock.moisture {
        add(&mut f, "moisture", format!("{}%", reading.percent));
        add(&mut f, "meter", spoken(farm, &reading.meter));
    }
    let measured = farm
        .bin_measures
        .iter()
        .find(|measure| measure.stock == stock.id);
    match measured {
        Some(measure) => {
            add(&mut f, "depth", format!("{} ft", measure.depth_ft));
            if measure.peak_ft > 0.0 {
                add(&mut f, "peak", format!("{} ft", measure.peak_ft));
            } else if measure.peak_ft < 0.0 {
                add(&mut f, "hollow", format!("{} ft", -measure.peak_ft));
            }
            add(
                &mut f,
                "test-weight",
                format!("{} lb/bu", measure.test_weight_lb_bu),
            );
            add(
                &mut f,
                "packing",
                format!("{}", 1.0 + measure.packing_pct / 100.0),
            );
        }
        None if stock.wet_lb == 0 => add(&mut f, "empty", "yes"),
        None => add(&mut f, "weight", format!("{} lb", stock.wet_lb)),
    }
    f
}
