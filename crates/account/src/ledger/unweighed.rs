//! Slips that nobody weighed: what they move, and how a later ticket weighs them.

use super::divide::{equally, ratio};
use super::hold::{Leg, part};
use super::movement::{
    Basis, End, Movement, NoWeight, Notice, Origin, Part, SourceRule, Unexplained,
};
use super::post::{Poster, rests};
use crate::slip::{PlaceId, PlaceKind, Slip};
use quantity::{DryMass, Mass};

impl Poster<'_> {
    /// A slip with no usable weight.
    pub(super) fn unweighed(&mut self, slip: &Slip) {
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
        // not simply all its parts: an origin that was overdrawn must not make a negative load
        let parts = hold.split(dry, wet);
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
    pub(super) fn settle_unweighed(&mut self, slip: &Slip, place: &PlaceId, dry: i64, wet: i64) {
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
                    for one in &mut parts {
                        one.rested = true;
                    }
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
}
