//! One season of the book as the account takes it: places, slips and stocks under names that
//! people know, with the way back to the entries.

use crate::bin_mass::bin_mass;
use crate::{DeskError, Farm, Stands};
use account::slip::{
    CropId, EyeKind, MachineId, MeterId, MoistureReading, Place, PlaceId, PlaceKind, ScaleClass,
    Slip, SlipId, Stock, Weight,
};
use account::square;
use book::kinds::{self, Contract, MonitorBasis, MoveWeight, Name, ScaleWeight, StockAmount};
use book::{EntryId, Happened};
use facts::Crop;
use jiff::tz::TimeZone;
use quantity::{Mass, Moisture};
use std::collections::{BTreeMap, BTreeSet};

/// The meter that a lent moisture is said to come from.
pub(crate) const LENT_METER: &str = "nobody's meter";
/// Standard error of a lent moisture, points (a guess from how moistures stray within a season).
pub(crate) const LENT_POINTS: f64 = 1.5;

/// One season, ready for the ledger and for squaring.
#[derive(Debug, Clone, Default)]
pub struct Season {
    /// The year.
    pub year: u16,
    /// What squaring takes: places, slips, measured stocks (openings included), meters, tares.
    pub evidence: square::Season,
    /// Stocks at the beginning.
    pub openings: Vec<Stock>,
    /// Stocks measured later.
    pub measured: Vec<Stock>,
    /// The entry behind each slip or stock.
    pub entries: BTreeMap<SlipId, EntryId>,
    /// When each happened.
    pub happened: BTreeMap<SlipId, Happened>,
    /// Deliveries that are a claim on the buyer's storage.
    pub on_claim: BTreeSet<SlipId>,
    /// The field behind each standing crop.
    pub standing: BTreeMap<PlaceId, Name>,
    /// Moisture assumed for a weight without one, by crop.
    pub assumed: BTreeMap<CropId, Moisture>,
    /// What was assumed on the way, one sentence each.
    pub notes: Vec<String>,
}

/// The season's slips and stocks, each under a name that people know: a ticket's or card's number
/// where there is one, else what it was and when.
///
/// # Errors
/// A bin measure whose bin is not known.
pub fn season(farm: &Farm, year: u16) -> Result<Season, DeskError> {
    let mut out = Season {
        year,
        ..Season::default()
    };
    let zone = TimeZone::get(&farm.zone).unwrap_or(TimeZone::UTC);
    let mut names = Names {
        zone,
        used: BTreeMap::new(),
    };
    for (name, place) in &farm.places {
        out.evidence.places.push(Place {
            id: PlaceId::from(name.as_str()),
            kind: place_kind(place.says.kind),
            capacity_lb: place.says.capacity.map(Mass::lb),
        });
        if let Some(tare) = place.says.tare {
            out.evidence
                .tares
                .insert(PlaceId::from(name.as_str()), tare);
        }
    }
    for name in farm.fields.keys() {
        let id = standing_place(farm, name);
        out.evidence.places.push(Place {
            id: id.clone(),
            kind: PlaceKind::Standing,
            capacity_lb: None,
        });
        out.standing.insert(id, name.clone());
    }
    for (name, meter) in &farm.meters {
        let kind = match meter.says.kind {
            kinds::MeterKind::Buyer => square::MeterKind::Buyer,
            kinds::MeterKind::Hand => square::MeterKind::Hand,
            kinds::MeterKind::Machine => square::MeterKind::Combine,
        };
        out.evidence
            .meters
            .insert(MeterId::from(name.as_str()), kind);
    }
    for dump in farm.dumps.iter().filter(|dump| dump.says.season == year) {
        out.dump(farm, dump, &mut names);
    }
    for ticket in farm
        .tickets
        .iter()
        .filter(|ticket| ticket.says.season == year)
    {
        out.ticket(ticket, &mut names);
    }
    for moved in farm.moves.iter().filter(|moved| moved.says.season == year) {
        out.moved(moved, &mut names);
    }
    for opening in farm
        .openings
        .iter()
        .filter(|opening| opening.says.season == year)
    {
        let says = &opening.says;
        let id = names.name("opening", None, &opening.happened);
        let stock = out.stock(
            farm,
            id,
            opening,
            &says.place,
            &says.crop,
            &says.amount,
            says.moisture.as_ref(),
        )?;
        out.openings.push(stock.clone());
        out.evidence.stocks.push(stock);
    }
    for measure in farm
        .measures
        .iter()
        .filter(|measure| measure.says.season == year)
    {
        let says = &measure.says;
        let id = names.name("measure", None, &measure.happened);
        let mut stock = out.stock(
            farm,
            id,
            measure,
            &says.place,
            &says.crop,
            &says.amount,
            says.moisture.as_ref(),
        )?;
        if let Some(percent) = says.sd_percent {
            stock.relative_sd = Some(f64::try_from(percent).unwrap_or(3.0) / 100.0);
        }
        out.measured.push(stock.clone());
        out.evidence.stocks.push(stock);
    }
    out.assume_moistures();
    out.lend_moistures();
    Ok(out)
}

/// The standing crop of a field, as a place: the field's name, told apart from a place of that name.
pub fn standing_place(farm: &Farm, field: &Name) -> PlaceId {
    if farm.places.contains_key(field) {
        PlaceId(format!("{field} (standing)"))
    } else {
        PlaceId::from(field.as_str())
    }
}

/// The crop of a season as the account names it.
pub fn crop_id(crop: &Name) -> CropId {
    CropId::from(crop.as_str())
}

struct Names {
    zone: TimeZone,
    used: BTreeMap<String, u32>,
}

impl Names {
    fn name(&mut self, what: &str, number: Option<&Name>, happened: &Happened) -> SlipId {
        let base = if let Some(number) = number {
            format!("{what} {number}")
        } else {
            let local = jiff::Timestamp::from_millisecond(happened.at_ms())
                .unwrap_or(jiff::Timestamp::UNIX_EPOCH)
                .to_zoned_datetime(self.zone.clone());
            format!("{what} {}", local.strftime("%m-%d %H:%M"))
        };
        let count = self.used.entry(base.clone()).or_insert(0);
        *count += 1;
        SlipId(if *count == 1 {
            base
        } else {
            format!("{base} (again {count})")
        })
    }
}

impl Season {
    fn note_slip<T>(&mut self, id: &SlipId, stands: &Stands<T>) {
        self.entries.insert(id.clone(), stands.id);
        self.happened.insert(id.clone(), stands.happened.clone());
    }

    fn dump(&mut self, farm: &Farm, dump: &Stands<kinds::Dump>, names: &mut Names) {
        let says = &dump.says;
        let id = names.name("dump", says.number.as_ref(), &dump.happened);
        self.note_slip(&id, dump);
        let machine = MachineId::from(says.machine.as_str());
        let mut moisture = reading(says.moisture.as_ref());
        let weight = match &says.monitor {
            Some(monitor) => {
                if monitor.basis == MonitorBasis::Dry {
                    moisture = self.dry_monitor(&says.crop, &machine);
                }
                Weight::Monitor {
                    machine,
                    reading: monitor.mass,
                    unit: monitor.unit,
                }
            }
            None => Self::tank_by_eye(farm, says),
        };
        self.evidence.slips.push(Slip {
            id,
            at_ms: dump.happened.at_ms(),
            from: vec![standing_place(farm, &says.field)],
            to: PlaceId::from(says.into.as_str()),
            crop: crop_id(&says.crop),
            weight,
            moisture,
            empties: false,
            number: says.number.as_ref().map(ToString::to_string),
        });
    }

    /// A monitor that shows dry mass shows it at a base moisture: the customary one of extension
    /// tables for the crop, since monitors do not say; its factor takes up the rest.
    fn dry_monitor(&mut self, crop: &Name, machine: &MachineId) -> Option<MoistureReading> {
        let known: Crop = crop.as_str().parse().ok()?;
        let base = facts::customary_bases(known).first()?;
        let value = Moisture::from_percent(base.base.value).ok()?;
        let note = format!(
            "{machine} shows dry {crop}: taken at {} ({})",
            value.show(),
            base.who
        );
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
        let meter = MeterId(format!("{machine}, as shown dry"));
        self.evidence
            .meters
            .insert(meter.clone(), square::MeterKind::Combine);
        Some(MoistureReading { value, meter })
    }

    fn tank_by_eye(farm: &Farm, says: &kinds::Dump) -> Weight {
        let tank = farm
            .machines
            .get(&says.machine)
            .and_then(|machine| machine.says.tank);
        match (tank, says.fill) {
            (Some(tank), Some(fill)) => {
                let share = f64::try_from(fill.percent).unwrap_or(100.0) / 100.0;
                Mass::from_kg(tank.kg() * share).map_or(Weight::Unknown, |mass| Weight::Eye {
                    mass,
                    from: EyeKind::Fill,
                })
            }
            (Some(tank), None) => Weight::Eye {
                mass: tank,
                from: EyeKind::Dumps,
            },
            (None, _) => Weight::Unknown,
        }
    }

    fn ticket(&mut self, ticket: &Stands<kinds::Weighed>, names: &mut Names) {
        let says = &ticket.says;
        let id = names.name("ticket", says.number.as_ref(), &ticket.happened);
        self.note_slip(&id, ticket);
        if matches!(
            says.contract,
            Some(Contract::Store {} | Contract::PriceLater {})
        ) {
            self.on_claim.insert(id.clone());
        }
        if let Some(pounds) = says
            .test_weight_lb_bu
            .and_then(|pounds| f64::try_from(pounds).ok())
        {
            self.evidence.test_weights_lb_bu.insert(id.clone(), pounds);
        }
        self.evidence.slips.push(Slip {
            id,
            at_ms: ticket.happened.at_ms(),
            from: says
                .from
                .iter()
                .map(|name| PlaceId::from(name.as_str()))
                .collect(),
            to: PlaceId::from(says.to.as_str()),
            crop: crop_id(&says.crop),
            weight: scale(&says.weight),
            moisture: reading(says.moisture.as_ref()),
            empties: says.empties,
            number: says.number.as_ref().map(ToString::to_string),
        });
    }

    fn moved(&mut self, moved: &Stands<kinds::Move>, names: &mut Names) {
        let says = &moved.says;
        let id = names.name("move", says.number.as_ref(), &moved.happened);
        self.note_slip(&id, moved);
        let eye = |mass: Mass, from| Weight::Eye { mass, from };
        let weight = match &says.weight {
            MoveWeight::Scale { weight } => scale(weight),
            MoveWeight::Fill { mass } => eye(*mass, EyeKind::Fill),
            MoveWeight::Dumps { mass } => eye(*mass, EyeKind::Dumps),
            MoveWeight::Full { mass } => eye(*mass, EyeKind::Full),
            MoveWeight::Unknown {} => Weight::Unknown,
        };
        self.evidence.slips.push(Slip {
            id,
            at_ms: moved.happened.at_ms(),
            from: says
                .from
                .iter()
                .map(|name| PlaceId::from(name.as_str()))
                .collect(),
            to: PlaceId::from(says.to.as_str()),
            crop: crop_id(&says.crop),
            weight,
            moisture: reading(says.moisture.as_ref()),
            empties: says.empties,
            number: says.number.as_ref().map(ToString::to_string),
        });
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "openings and measures share their parts, not a type"
    )]
    fn stock<T>(
        &mut self,
        farm: &Farm,
        id: SlipId,
        stands: &Stands<T>,
        place: &Name,
        crop: &Name,
        amount: &StockAmount,
        moisture: Option<&kinds::MoistureReading>,
    ) -> Result<Stock, DeskError> {
        self.note_slip(&id, stands);
        let (wet, relative_sd) = match amount {
            StockAmount::Empty {} => (Mass::ZERO, Some(0.0)),
            StockAmount::Mass { mass } => (*mass, None),
            StockAmount::Bin { .. } => (bin_mass(farm, place, crop, amount)?, None),
        };
        Ok(Stock {
            id,
            at_ms: stands.happened.at_ms(),
            place: PlaceId::from(place.as_str()),
            crop: crop_id(crop),
            wet,
            moisture: reading(moisture),
            relative_sd,
        })
    }

    /// A monitor that shows wet mass needs a moisture: where nobody measured one, the crop's median
    /// of the season is lent, or its customary base where nobody measured any; both are said. (To the
    /// account a monitor reading without a moisture is dry mass; those that show dry have theirs.)
    fn lend_moistures(&mut self) {
        let mut lent: BTreeMap<CropId, (Moisture, usize)> = BTreeMap::new();
        for slip in &mut self.evidence.slips {
            if slip.moisture.is_some() {
                continue;
            }
            // a tank by eye before anybody read a moisture: a load that nobody weighed, not none
            if matches!(slip.weight, Weight::Eye { .. }) && !self.assumed.contains_key(&slip.crop) {
                slip.weight = Weight::Unknown;
            }
            if !matches!(slip.weight, Weight::Monitor { .. }) {
                continue;
            }
            let customary = || {
                let crop: Crop = slip.crop.0.parse().ok()?;
                Moisture::from_percent(facts::customary_bases(crop).first()?.base.value).ok()
            };
            let Some(value) = self.assumed.get(&slip.crop).copied().or_else(customary) else {
                slip.weight = Weight::Unknown;
                continue;
            };
            let meter = MeterId::from(LENT_METER);
            slip.moisture = Some(MoistureReading { value, meter });
            lent.entry(slip.crop.clone()).or_insert((value, 0)).1 += 1;
        }
        for (crop, (value, count)) in lent {
            self.evidence
                .meters
                .insert(MeterId::from(LENT_METER), square::MeterKind::Combine);
            self.notes.push(format!(
                "{count} tanks of {crop} have no moisture: {} was lent to them, give or take {LENT_POINTS} points; write one to be surer",
                value.show()
            ));
        }
    }

    /// The median moisture of each crop, for weights that have none in the ledger's exact record.
    fn assume_moistures(&mut self) {
        let mut by_crop: BTreeMap<CropId, Vec<Moisture>> = BTreeMap::new();
        for slip in &self.evidence.slips {
            let seen = by_crop.entry(slip.crop.clone()).or_default();
            seen.extend(slip.moisture.as_ref().map(|reading| reading.value));
        }
        for (crop, mut seen) in by_crop {
            seen.sort_unstable();
            if let Some(median) = seen.get(seen.len() / 2) {
                self.assumed.insert(crop, *median);
            }
        }
    }
}

fn reading(reading: Option<&kinds::MoistureReading>) -> Option<MoistureReading> {
    reading.map(|reading| MoistureReading {
        value: reading.value,
        meter: MeterId::from(reading.meter.as_ref().map_or("unnamed meter", Name::as_str)),
    })
}

fn scale(weight: &ScaleWeight) -> Weight {
    Weight::Scale {
        gross: weight.gross,
        tare: weight.tare,
        shared_tare: weight.shared_tare.as_ref().map(ToString::to_string),
        net: weight.net,
        step: weight.step,
        unit: weight.unit,
        class: match weight.class {
            kinds::ScaleClass::Certified => ScaleClass::Certified,
            kinds::ScaleClass::Cart => ScaleClass::Cart,
            kinds::ScaleClass::Farm => ScaleClass::Farm,
        },
    }
}

fn place_kind(kind: kinds::PlaceKind) -> PlaceKind {
    match kind {
        kinds::PlaceKind::Cart => PlaceKind::Cart,
        kinds::PlaceKind::Wagon => PlaceKind::Wagon,
        kinds::PlaceKind::Truck => PlaceKind::Truck,
        kinds::PlaceKind::Bin => PlaceKind::Bin,
        kinds::PlaceKind::Pile => PlaceKind::Pile,
        kinds::PlaceKind::Dryer => PlaceKind::Dryer,
        kinds::PlaceKind::Pit => PlaceKind::Pit,
        kinds::PlaceKind::Feed => PlaceKind::Feed,
        kinds::PlaceKind::Seed => PlaceKind::Seed,
        kinds::PlaceKind::Spill => PlaceKind::Spill,
    }
}
