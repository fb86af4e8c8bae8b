//! Posting: the fold over slips, opening stocks and known stocks in order of time.

use super::divide::{in_proportion, ratio};
use super::hold::{Hold, part};
use super::load::loads;
use super::movement::{
    Basis, End, Finding, Ledger, Movement, Notice, Origin, Refusal, SetAside, SourceRule,
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

pub(super) struct Poster<'a> {
    season: &'a Season<'a>,
    pub(super) places: BTreeMap<PlaceId, &'a Place>,
    holds: BTreeMap<(PlaceId, CropId), Hold>,
    total: i128,
    seen: BTreeSet<SlipId>,
    pub(super) ledger: Ledger,
}

/// What a slip says of how much.
enum Amount {
    Weighed { dry: i64, wet: i64, basis: Basis },
    None,
}

/// Whether grain that enters has come to rest: it counts as a load there.
pub(super) fn rests(kind: PlaceKind) -> bool {
    use PlaceKind::{Cart, Standing, Tank, Truck, Wagon};
    !matches!(kind, Standing | Tank | Cart | Wagon | Truck)
}

impl Poster<'_> {
    pub(super) fn kind(&self, place: &PlaceId) -> Result<PlaceKind, Refusal> {
        match self.places.get(place) {
            Some(known) => Ok(known.kind),
            None => Err(Refusal::UnknownPlace {
                place: place.clone(),
            }),
        }
    }

    pub(super) fn hold(&mut self, place: &PlaceId, crop: &CropId) -> &mut Hold {
        self.holds.entry((place.clone(), crop.clone())).or_default()
    }

    pub(super) fn held(&self, place: &PlaceId, crop: &CropId) -> Option<&Hold> {
        self.holds.get(&(place.clone(), crop.clone()))
    }

    pub(super) fn notice(&mut self, slip: &SlipId, what: Notice) {
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

    pub(super) fn stock_mass(&mut self, stock: &Stock) -> Result<(i64, i64), Refusal> {
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

    /// Writes a movement down and carries it into what the places hold.
    pub(super) fn enter(&mut self, mut movement: Movement) {
        movement
            .parts
            .retain(|p| !p.dry.is_zero() || !p.wet.is_zero());
        let crop = movement.crop.clone();
        if let End::Place(from) = &movement.from
            && self.places[from].kind != PlaceKind::Standing
        {
            let hold = self.hold(from, &crop);
            for one in &movement.parts {
                hold.remove(one);
            }
            hold.parts.retain(|_, mass| *mass != (0, 0));
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
            for one in &movement.parts {
                hold.add(one, one.rested || rest);
            }
        }
        self.ledger.movements.push(movement);
    }
}
