//! Posting: the fold over slips, opening stocks and known stocks in order of time.

use super::divide::{equally, in_proportion, ratio};
use super::hold::{Hold, Leg, part};
use super::movement::{
    Basis, End, Finding, Ledger, Load, Movement, NoWeight, Notice, Origin, Part, Refusal, SetAside,
    SourceRule, StockCheck, Unexplained,
};
use super::season::Season;
use crate::slip::{CropId, Place, PlaceId, PlaceKind, Slip, SlipId, Stock, Weight};
use quantity::{DryMass, Mass};
use std::collections::{BTreeMap, BTreeSet};

/// 20 million tonnes in units of 10 micrograms: a quarter of what an exact mass can hold, so that no
/// sum of a season overflows.
const SEASON_LIMIT: i128 = 2_000_000_000_000_000_000;

/// Posts a season: every effective slip leaves its places and enters one, exactly.
///
/// Rules, each named in the movement that it made:
/// - Dry mass is `wet x (1 - moisture)`, rounded once. With no moisture on the slip, the mix that the
///   source holds on record gives it; failing that, the moisture assumed for the crop. A monitor
///   reading with no moisture is dry matter already.
/// - A ticket over several places is divided in proportion to the dry matter that each held on
///   record; where one of them held loads that nobody weighed, by capacity, else equally.
/// - A place that is emptied keeps nothing: the difference goes to *unexplained*, signed.
/// - A slip with no weight that empties its source moves all that the source held on record.
///   One that does not is listed in `no_weight` and moves nothing until a later weight of the same
///   grain (a ticket that empties the wagon) says how much it was; several such loads in one wagon
///   share what the ticket leaves unaccounted equally.
/// - A stock known exactly (`relative_sd` of 0, such as "empty") closes the place; any other measured
///   stock is set beside the record and moves nothing.
///
/// Limitations: grain in a place is taken as mixed (a bin is not emptied from the bottom); entries of
/// the same millisecond are taken in order of their ids, opening stocks first.
pub fn post(season: &Season<'_>) -> Ledger {
    let mut poster = Poster {
        places: season.places.iter().map(|p| (p.id.clone(), p)).collect(),
        season,
        holds: BTreeMap::new(),
        total: 0,
        seen: BTreeSet::new(),
        ledger: Ledger {
            kinds: season
                .places
                .iter()
                .map(|p| (p.id.clone(), p.kind))
                .collect(),
            on_claim: season.on_claim.clone(),
            ..Ledger::default()
        },
    };
    let mut events: Vec<(i64, u8, &SlipId, Event<'_>)> = Vec::new();
    events.extend(
        season
            .openings
            .iter()
            .map(|s| (s.at_ms, 0, &s.id, Event::Opening(s))),
    );
    events.extend(
        season
            .slips
            .iter()
            .map(|s| (s.at_ms, 1, &s.id, Event::Slip(s))),
    );
    events.extend(
        season
            .measured
            .iter()
            .map(|s| (s.at_ms, 2, &s.id, Event::Stock(s))),
    );
    events.sort_by(|a, b| (a.0, a.1, a.2).cmp(&(b.0, b.1, b.2)));
    for (_, _, id, event) in events {
        let done = if poster.seen.insert(id.clone()) {
            match event {
                Event::Opening(stock) => poster.open(stock),
                Event::Slip(slip) => poster.slip(slip),
                Event::Stock(stock) => poster.measured(stock),
            }
        } else {
            Err(Refusal::GivenTwice)
        };
        if let Err(why) = done {
            poster.ledger.set_aside.push(SetAside {
                slip: id.clone(),
                why,
            });
        }
    }
    poster.ledger.loads = loads(&poster.ledger);
    poster.ledger
}

enum Event<'a> {
    Opening(&'a Stock),
    Slip(&'a Slip),
    Stock(&'a Stock),
}

struct Poster<'a> {
    season: &'a Season<'a>,
    places: BTreeMap<PlaceId, &'a Place>,
    holds: BTreeMap<(PlaceId, CropId), Hold>,
    total: i128,
    seen: BTreeSet<SlipId>,
    ledger: Ledger,
}

/// What a slip says of how much.
enum Amount {
    Weighed { dry: i64, wet: i64, basis: Basis },
    None,
}

/// Whether grain that enters has come to rest: it counts as a load there.
fn rests(kind: PlaceKind) -> bool {
    use PlaceKind::{Cart, Standing, Tank, Truck, Wagon};
    !matches!(kind, Standing | Tank | Cart | Wagon | Truck)
}

impl Poster<'_> {
    fn kind(&self, place: &PlaceId) -> Result<PlaceKind, Refusal> {
        match self.places.get(place) {
            Some(known) => Ok(known.kind),
            None => Err(Refusal::UnknownPlace {
                place: place.clone(),
            }),
        }
    }

    fn hold(&mut self, place: &PlaceId, crop: &CropId) -> &mut Hold {
        self.holds.entry((place.clone(), crop.clone())).or_default()
    }

    fn held(&self, place: &PlaceId, crop: &CropId) -> Option<&Hold> {
        self.holds.get(&(place.clone(), crop.clone()))
    }

    fn notice(&mut self, slip: &SlipId, what: Notice) {
        self.ledger.findings.push(Finding {
            slip: slip.clone(),
            what,
        });
    }

    /// Counts a mass towards the season's limit, or refuses it.
    fn weigh_in(&mut self, mass: i64) -> Result<(), Refusal> {
        if mass < 0 {
            let mass_lb = Mass::from_units(mass).lb().floor() as i64;
            return Err(Refusal::Negative { mass_lb });
        }
        let total = self.total + i128::from(mass);
        if total > SEASON_LIMIT {
            return Err(Refusal::TooMuch);
        }
        self.total = total;
        Ok(())
    }

    fn open(&mut self, stock: &Stock) -> Result<(), Refusal> {
        if self.kind(&stock.place)? == PlaceKind::Standing {
            return Err(Refusal::IntoStanding {
                place: stock.place.clone(),
            });
        }
        let (dry, wet) = self.stock_mass(stock)?;
        let origin = Origin::Opening(stock.place.clone());
        let movement = Movement {
            slip: stock.id.clone(),
            at_ms: stock.at_ms,
            crop: stock.crop.clone(),
            from: End::Opening(stock.place.clone()),
            to: End::Place(stock.place.clone()),
            dry: DryMass::from_units(dry),
            wet: Mass::from_units(wet),
            parts: vec![part(origin, true, dry, wet)],
            basis: Basis::Stated,
            rule: SourceRule::Single,
            closes: false,
        };
        self.enter(movement);
        Ok(())
    }

    fn stock_mass(&mut self, stock: &Stock) -> Result<(i64, i64), Refusal> {
        self.weigh_in(stock.wet.units())?;
        if stock.wet.is_zero() {
            return Ok((0, 0));
        }
        if let Some(reading) = &stock.moisture {
            return Ok((
                DryMass::of(stock.wet, reading.value).units(),
                stock.wet.units(),
            ));
        }
        let wet = stock.wet.units();
        let (dry, _) = self.dry_of(wet, std::slice::from_ref(&stock.place), &stock.crop)?;
        Ok((dry, wet))
    }

    /// Dry matter of a weight with no moisture beside it.
    fn dry_of(&self, wet: i64, from: &[PlaceId], crop: &CropId) -> Result<(i64, Basis), Refusal> {
        let mut mix = (0, 0);
        for hold in from.iter().filter_map(|place| self.held(place, crop)) {
            mix = (mix.0 + hold.dry(), mix.1 + hold.wet());
        }
        if mix.0 > 0 && mix.1 >= mix.0 {
            return Ok((ratio(wet, mix.0, mix.1), Basis::HeldMoisture));
        }
        match self.season.assumed.get(crop) {
            Some(&moisture) => Ok((
                DryMass::of(Mass::from_units(wet), moisture).units(),
                Basis::AssumedMoisture,
            )),
            None => Err(Refusal::NoMoisture { crop: crop.clone() }),
        }
    }

    fn amount(&mut self, slip: &Slip) -> Result<Amount, Refusal> {
        let mass = match &slip.weight {
            Weight::Scale { net, .. } => *net,
            Weight::Monitor { reading, .. } => *reading,
            Weight::Eye { mass, .. } => *mass,
            Weight::Unknown => Mass::ZERO,
        };
        if mass.is_zero() {
            return Ok(Amount::None);
        }
        self.weigh_in(mass.units())?;
        let wet = mass.units();
        if let Some(reading) = &slip.moisture {
            let dry = DryMass::of(mass, reading.value).units();
            return Ok(Amount::Weighed {
                dry,
                wet,
                basis: Basis::Measured,
            });
        }
        if matches!(slip.weight, Weight::Monitor { .. }) {
            let dry = DryMass::from_units(wet);
            let wet = self
                .season
                .assumed
                .get(&slip.crop)
                .map_or(wet, |&m| dry.at(m).units());
            self.weigh_in(wet)?;
            return Ok(Amount::Weighed {
                dry: dry.units(),
                wet,
                basis: Basis::DryReading,
            });
        }
        let (dry, basis) = self.dry_of(wet, &slip.from, &slip.crop)?;
        Ok(Amount::Weighed { dry, wet, basis })
    }

    fn slip(&mut self, slip: &Slip) -> Result<(), Refusal> {
        if slip.from.is_empty() {
            return Err(Refusal::NoSource);
        }
        for (at, place) in slip.from.iter().enumerate() {
            self.kind(place)?;
            if *place == slip.to || slip.from[..at].contains(place) {
                return Err(Refusal::SamePlace {
                    place: place.clone(),
                });
            }
        }
        if self.kind(&slip.to)? == PlaceKind::Standing {
            return Err(Refusal::IntoStanding {
                place: slip.to.clone(),
            });
        }
        match self.amount(slip)? {
            Amount::Weighed { dry, wet, basis } => {
                let (rule, shares) = self.divide(slip, dry, wet);
                for (place, (dry, wet)) in slip.from.iter().zip(shares) {
                    self.settle_unweighed(slip, place, dry, wet);
                    self.take(slip, place, dry, wet, basis.clone(), rule);
                    if slip.empties {
                        self.close(&slip.id, slip.at_ms, place, &slip.crop, (0, 0));
                    }
                }
            }
            Amount::None => self.unweighed(slip),
        }
        Ok(())
    }

    /// Divides a ticket over the places that it emptied.
    fn divide(&mut self, slip: &Slip, dry: i64, wet: i64) -> (SourceRule, Vec<(i64, i64)>) {
        if slip.from.len() == 1 {
            return (SourceRule::Single, vec![(dry, wet)]);
        }
        let holds: Vec<Option<&Hold>> = slip
            .from
            .iter()
            .map(|place| self.held(place, &slip.crop))
            .collect();
        let blind = holds
            .iter()
            .flatten()
            .any(|hold| !hold.unweighed.is_empty());
        let held: Vec<u64> = holds
            .iter()
            .map(|hold| hold.map_or(0, Hold::dry).max(0).unsigned_abs())
            .collect();
        let capacity: Vec<u64> = slip
            .from
            .iter()
            .map(|place| {
                self.places
                    .get(place)
                    .and_then(|p| p.capacity_lb)
                    .unwrap_or(0.0)
            })
            .map(|lb| (lb * 100.0).clamp(0.0, 1e15) as u64)
            .collect();
        let (rule, weights) = if !blind && held.iter().any(|&h| h > 0) {
            (SourceRule::Held, held)
        } else if capacity.iter().all(|&c| c > 0) {
            (SourceRule::Capacity, capacity)
        } else {
            (SourceRule::Equal, vec![1; slip.from.len()])
        };
        if rule != SourceRule::Held {
            self.notice(&slip.id, Notice::DividedBlind { rule });
        }
        let split = |whole| in_proportion(whole, &weights).expect("some weight is above zero");
        (rule, split(dry).into_iter().zip(split(wet)).collect())
    }

    /// Moves a mass out of one source into the slip's destination.
    fn take(
        &mut self,
        slip: &Slip,
        place: &PlaceId,
        dry: i64,
        wet: i64,
        basis: Basis,
        rule: SourceRule,
    ) {
        let standing = self.places[place].kind == PlaceKind::Standing;
        let parts = if standing {
            vec![part(Origin::Field(place.clone()), false, dry, wet)]
        } else {
            let hold = self.hold(place, &slip.crop);
            hold.touch(&slip.id, slip.at_ms);
            hold.split(dry, wet)
        };
        if !standing {
            let mixed = self
                .held(place, &slip.crop)
                .is_some_and(|h| !h.unweighed.is_empty() && h.parts.values().any(|p| p.0 > 0));
            if mixed {
                self.notice(
                    &slip.id,
                    Notice::MixedUnweighed {
                        place: place.clone(),
                    },
                );
            }
            if parts.iter().any(|p| p.origin == Origin::Unrecorded) {
                self.notice(&slip.id, Notice::NoOrigin);
            }
        }
        self.enter(Movement {
            slip: slip.id.clone(),
            at_ms: slip.at_ms,
            crop: slip.crop.clone(),
            from: End::Place(place.clone()),
            to: End::Place(slip.to.clone()),
            dry: DryMass::from_units(dry),
            wet: Mass::from_units(wet),
            parts,
            basis,
            rule,
            closes: false,
        });
        let short = self
            .held(place, &slip.crop)
            .is_some_and(|h| h.dry() < 0 && h.unweighed.is_empty());
        if !standing && short && !slip.empties {
            let (place, crop) = (place.clone(), slip.crop.clone());
            self.notice(&slip.id, Notice::HeldLess { place, crop });
        }
    }

    /// A slip with no usable weight.
    fn unweighed(&mut self, slip: &Slip) {
        let mut waits = false;
        for place in &slip.from {
            let standing = self.places[place].kind == PlaceKind::Standing;
            let leg = Leg {
                slip: slip.id.clone(),
                from: place.clone(),
                to: slip.to.clone(),
                standing,
                empties: slip.empties && !standing,
            };
            let mut ways: Vec<Vec<Leg>> = Vec::new();
            if slip.empties && !standing {
                let hold = self.hold(place, &slip.crop);
                ways = std::mem::take(&mut hold.unweighed);
                let (dry, wet) = (hold.dry(), hold.wet());
                if dry > 0 || ways.is_empty() {
                    if dry > 0 {
                        self.take_all(slip, place, dry, wet);
                    } else {
                        ways.push(Vec::new());
                    }
                }
                self.close(&slip.id, slip.at_ms, place, &slip.crop, (0, 0));
            } else {
                ways.push(Vec::new());
            }
            waits |= !ways.is_empty();
            let to = self.hold(&slip.to, &slip.crop);
            to.touch(&slip.id, slip.at_ms);
            for mut way in ways {
                way.push(leg.clone());
                to.unweighed.push(way);
            }
        }
        if waits {
            self.ledger.no_weight.push(NoWeight {
                slip: slip.id.clone(),
                at_ms: slip.at_ms,
                crop: slip.crop.clone(),
                from: slip.from.clone(),
                to: slip.to.clone(),
                weighed_by: None,
            });
        }
    }

    fn take_all(&mut self, slip: &Slip, place: &PlaceId, dry: i64, wet: i64) {
        let hold = self.hold(place, &slip.crop);
        hold.touch(&slip.id, slip.at_ms);
        let parts = hold.all();
        self.enter(Movement {
            slip: slip.id.clone(),
            at_ms: slip.at_ms,
            crop: slip.crop.clone(),
            from: End::Place(place.clone()),
            to: End::Place(slip.to.clone()),
            dry: DryMass::from_units(dry),
            wet: Mass::from_units(wet),
            parts,
            basis: Basis::AllHeld,
            rule: SourceRule::Single,
            closes: false,
        });
    }

    /// Lets a ticket that empties a place weigh the loads in it that had no weight: what it found
    /// beyond the record is theirs, equally.
    fn settle_unweighed(&mut self, slip: &Slip, place: &PlaceId, dry: i64, wet: i64) {
        if !slip.empties {
            return;
        }
        let hold = self.hold(place, &slip.crop);
        let ways = std::mem::take(&mut hold.unweighed);
        let missing = dry - hold.dry();
        if ways.is_empty() || missing <= 0 {
            return;
        }
        if hold.parts.values().any(|p| p.0 > 0) {
            self.notice(
                &slip.id,
                Notice::MixedUnweighed {
                    place: place.clone(),
                },
            );
        }
        let water = if dry > 0 {
            ratio(missing, wet, dry)
        } else {
            missing
        };
        let shares = equally(missing, ways.len())
            .into_iter()
            .zip(equally(water, ways.len()));
        for (way, (dry, wet)) in ways.into_iter().zip(shares) {
            let first = way[0].clone();
            let mut parts: Vec<Part> = if first.standing {
                vec![part(Origin::Field(first.from.clone()), false, dry, wet)]
            } else if first.empties {
                // it was empty on record when it gave this load: more came out than went in
                self.more_came_out(slip, &first.from, dry, wet)
            } else {
                self.hold(&first.from, &slip.crop).split(dry, wet)
            };
            for leg in way {
                self.enter(Movement {
                    slip: leg.slip.clone(),
                    at_ms: slip.at_ms,
                    crop: slip.crop.clone(),
                    from: End::Place(leg.from.clone()),
                    to: End::Place(leg.to.clone()),
                    dry: DryMass::from_units(dry),
                    wet: Mass::from_units(wet),
                    parts: parts.clone(),
                    basis: Basis::WeighedBy(slip.id.clone()),
                    rule: SourceRule::Single,
                    closes: false,
                });
                if rests(self.places[&leg.to].kind) {
                    parts.iter_mut().for_each(|p| p.rested = true);
                }
                for row in self
                    .ledger
                    .no_weight
                    .iter_mut()
                    .filter(|n| n.slip == leg.slip)
                {
                    row.weighed_by = Some(slip.id.clone());
                }
            }
        }
    }

    /// A place that was emptied with nothing on record turns out to have given something.
    fn more_came_out(&mut self, by: &Slip, place: &PlaceId, dry: i64, wet: i64) -> Vec<Part> {
        let parts = vec![part(Origin::Unrecorded, false, dry, wet)];
        self.notice(&by.id, Notice::NoOrigin);
        self.ledger.unexplained.push(Unexplained {
            place: place.clone(),
            crop: by.crop.clone(),
            from_ms: by.at_ms,
            to_ms: by.at_ms,
            dry: DryMass::from_units(-dry),
            slips: vec![by.id.clone()],
        });
        let movement = Movement {
            slip: by.id.clone(),
            at_ms: by.at_ms,
            crop: by.crop.clone(),
            from: End::Place(place.clone()),
            to: End::Unexplained(place.clone()),
            dry: DryMass::from_units(-dry),
            wet: Mass::from_units(-wet),
            parts: vec![part(Origin::Unrecorded, false, -dry, -wet)],
            basis: Basis::WeighedBy(by.id.clone()),
            rule: SourceRule::Single,
            closes: false,
        };
        self.enter(movement);
        parts
    }

    /// A stock measured: exact ones close the place, others are set beside the record.
    fn measured(&mut self, stock: &Stock) -> Result<(), Refusal> {
        if self.kind(&stock.place)? == PlaceKind::Standing {
            return Err(Refusal::IntoStanding {
                place: stock.place.clone(),
            });
        }
        let (dry, wet) = self.stock_mass(stock)?;
        let record = self.held(&stock.place, &stock.crop).map_or(0, Hold::dry);
        self.ledger.checks.push(StockCheck {
            id: stock.id.clone(),
            at_ms: stock.at_ms,
            place: stock.place.clone(),
            crop: stock.crop.clone(),
            record: DryMass::from_units(record),
            measured: DryMass::from_units(dry),
        });
        if stock.relative_sd == Some(0.0) {
            self.close(
                &stock.id,
                stock.at_ms,
                &stock.place,
                &stock.crop,
                (dry, wet),
            );
        }
        Ok(())
    }

    /// Brings a place to a known stock; the difference is unexplained.
    fn close(&mut self, by: &SlipId, at_ms: i64, place: &PlaceId, crop: &CropId, keep: (i64, i64)) {
        if self.places[place].kind == PlaceKind::Standing {
            return;
        }
        let hold = self.hold(place, crop);
        hold.unweighed.clear();
        let (dry, wet) = (hold.dry() - keep.0, hold.wet() - keep.1);
        let parts = if keep == (0, 0) {
            hold.all()
        } else {
            hold.split(dry, wet)
        };
        hold.touch(by, at_ms);
        let from_ms = hold.since_ms.take().unwrap_or(at_ms);
        let slips = std::mem::take(&mut hold.slips);
        for one in &parts {
            hold.remove(one);
        }
        hold.parts.retain(|_, mass| *mass != (0, 0));
        if keep != (0, 0) {
            hold.touch(by, at_ms);
        }
        let dry = DryMass::from_units(dry);
        if !dry.is_zero() {
            let (place, crop) = (place.clone(), crop.clone());
            self.ledger.unexplained.push(Unexplained {
                place,
                crop,
                from_ms,
                to_ms: at_ms,
                dry,
                slips,
            });
        }
        self.ledger.movements.push(Movement {
            slip: by.clone(),
            at_ms,
            crop: crop.clone(),
            from: End::Place(place.clone()),
            to: End::Unexplained(place.clone()),
            dry,
            wet: Mass::from_units(wet),
            parts,
            basis: Basis::Stated,
            rule: SourceRule::Single,
            closes: true,
        });
    }

    /// Writes a movement down and carries it into what the places hold.
    fn enter(&mut self, mut movement: Movement) {
        movement
            .parts
            .retain(|p| !p.dry.is_zero() || !p.wet.is_zero());
        let crop = movement.crop.clone();
        if let End::Place(from) = &movement.from {
            if self.places[from].kind != PlaceKind::Standing {
                let hold = self.hold(from, &crop);
                movement.parts.iter().for_each(|p| hold.remove(p));
                hold.parts.retain(|_, mass| *mass != (0, 0));
            }
        }
        if let End::Place(to) = &movement.to {
            let kind = self.places[to].kind;
            let rest = rests(kind);
            let ends = matches!(
                kind,
                PlaceKind::Pit | PlaceKind::Feed | PlaceKind::Seed | PlaceKind::Spill
            );
            let other = self
                .holds
                .range((to.clone(), CropId(String::new()))..)
                .take_while(|(key, _)| key.0 == *to)
                .find(|(key, hold)| key.1 != crop && hold.dry() != 0)
                .map(|(key, _)| key.1.clone());
            if let (Some(other), false) = (other, ends) {
                let (place, crop) = (to.clone(), crop.clone());
                self.notice(&movement.slip, Notice::TwoCrops { place, crop, other });
            }
            let hold = self.hold(to, &crop);
            hold.touch(&movement.slip, movement.at_ms);
            movement
                .parts
                .iter()
                .for_each(|p| hold.add(p, p.rested || rest));
        }
        self.ledger.movements.push(movement);
    }
}

/// This season's harvest where it first came to rest, one load a slip.
fn loads(ledger: &Ledger) -> Vec<Load> {
    let mut rows: BTreeMap<SlipId, (Load, BTreeMap<Origin, (i64, i64)>)> = BTreeMap::new();
    for m in &ledger.movements {
        let End::Place(to) = &m.to else { continue };
        let to_kind = ledger.kinds[to];
        if !rests(to_kind) || !m.parts.iter().any(|p| !p.rested) {
            continue;
        }
        let (load, split) = rows.entry(m.slip.clone()).or_insert_with(|| {
            let load = Load {
                slip: m.slip.clone(),
                at_ms: m.at_ms,
                crop: m.crop.clone(),
                to: to.clone(),
                to_kind,
                dry: DryMass::ZERO,
                wet: Mass::ZERO,
                split: Vec::new(),
                rested_dry: DryMass::ZERO,
            };
            (load, BTreeMap::new())
        });
        for p in &m.parts {
            if p.rested {
                load.rested_dry += p.dry;
            } else {
                load.dry += p.dry;
                load.wet += p.wet;
                let slot: &mut (i64, i64) = split.entry(p.origin.clone()).or_default();
                slot.0 += p.dry.units();
                slot.1 += p.wet.units();
            }
        }
    }
    let mut all: Vec<Load> = rows
        .into_values()
        .map(|(mut load, split)| {
            load.split = split
                .into_iter()
                .map(|(origin, (dry, wet))| part(origin, false, dry, wet))
                .collect();
            load
        })
        .collect();
    all.sort_by_key(|load| load.at_ms);
    all
}
