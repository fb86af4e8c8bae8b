//! Hypotheses that change the balances: twice, missing, wrong wagon, wrong field.

use super::figures::{PRIOR, Scored};
use super::habit::Habits;
use super::kind::{Field, MistakeKind};
use super::nearby::{Evidence, Part, RANGE_KG, Whole, moves};
use crate::slip::{CropId, EyeKind, PlaceId, PlaceKind, Slip, SlipId, Weight};
use crate::square::season::periods::empties;
use quantity::Mass;
use std::collections::{BTreeMap, BTreeSet};

/// Most slips that are tried elsewhere for one suspect.
const TRIED: usize = 12;
/// Wagons seen within this time may have been meant, ms.
const ABOUT_MS: i64 = 18 * 3_600_000;
/// What a figure is rounded to, dry kg: the chance that two agree by accident.
const ROUNDED_KG: f64 = 8.0;

/// Name of the slip that is tried as missing.
const MISSING: &str = "\u{0}missing";

/// A search around one suspect.
pub(super) struct Search<'a> {
    pub(super) whole: &'a Whole<'a>,
    pub(super) habits: &'a Habits,
    /// Slips of the suspect's set.
    pub(super) members: Vec<usize>,
    /// Those, and all others of their fillings.
    pub(super) near: BTreeSet<usize>,
    /// Slips of every suspect's set.
    pub(super) all_suspects: &'a BTreeSet<usize>,
    /// Log likelihood of nothing but noise against a blunder.
    pub(super) ln_noise: f64,
}

impl Search<'_> {
    /// Every hypothesis that changes a balance which a member of the set stands in.
    pub(super) fn run(&self) -> Vec<Scored> {
        let mut made = Vec::new();
        let periods: BTreeSet<usize> = self
            .members
            .iter()
            .flat_map(|&s| self.whole.of_slip[s].iter().copied())
            .filter(|&p| moves(self.whole.layout.periods[p].kind))
            .collect();
        made.extend(self.twice());
        for &period in &periods {
            made.extend(self.missing(period));
        }
        made.extend(self.elsewhere(&periods));
        made
    }

    /// Log likelihood of a change against taking the suspect for a blunder.
    fn gain(&self, before: &Evidence, after: &Evidence) -> f64 {
        let mine = |evidence: &Evidence| {
            let own = |id: &&SlipId| self.near.iter().any(|&m| self.slip(m).id == **id);
            evidence.blunders.iter().filter(own).count()
        };
        let (had, has) = (mine(before), mine(after));
        if had == 0 {
            // here the suspect passes for noise
            return after.ln - before.ln + self.ln_noise;
        }
        if has >= had || after.blunders.iter().any(|id| id.0 == MISSING) {
            // the suspect is left where it was: this is no account of it
            return f64::NEG_INFINITY;
        }
        after.ln - before.ln
    }

    fn slip(&self, index: usize) -> &Slip {
        self.whole.layout.slips[index]
    }

    fn slips_of(&self, part: &Part) -> Vec<Slip> {
        part.slips.iter().map(|&s| self.slip(s).clone()).collect()
    }

    fn wheels_of(&self, slip: &Slip) -> Vec<PlaceId> {
        let kinds = &self.whole.layout.season.places;
        slip.from
            .iter()
            .chain([&slip.to])
            .filter(|id| kinds.iter().any(|p| p.id == **id && moves(p.kind)))
            .cloned()
            .collect()
    }

    fn dry_kg(&self, slip: usize) -> f64 {
        self.whole.layout.record_kg[slip].unwrap_or(0.0)
    }

    fn twice(&self) -> Vec<Scored> {
        let layout = self.whole.layout;
        let mut made = Vec::new();
        for &index in &self.near {
            let slip = self.slip(index);
            let Some(first) = self.habits.twins.get(&slip.id) else {
                continue;
            };
            let Some(other) = layout.slips.iter().position(|s| s.id == *first) else {
                continue;
            };
            let places = self.wheels_of(slip);
            let part = self.whole.part(&places, self.slip(other).at_ms, slip.at_ms);
            let now = self.slips_of(&part);
            let without: Vec<Slip> = now.iter().filter(|s| s.id != slip.id).cloned().collect();
            let (Some(before), Some(after)) = (
                self.whole.evidence(&part, now),
                self.whole.evidence(&part, without),
            ) else {
                continue;
            };
            // the same digits again by accident is one figure in many, and so is the moisture
            let moisture = if slip.moisture.is_some() { 2.5 } else { 0.0 };
            let accident = ROUNDED_KG.ln() - moisture;
            made.push(Scored {
                kind: MistakeKind::EnteredTwice,
                slip: index,
                field: Field::Slip,
                written: "twice".to_owned(),
                perhaps: "once".to_owned(),
                other: Some(other),
                change_kg: -self.dry_kg(index),
                ln_score: PRIOR.ln() + self.gain(&before, &after) - accident,
            });
        }
        made
    }

    /// A tank or a load of this filling that nobody wrote down.
    fn missing(&self, at: usize) -> Vec<Scored> {
        let layout = self.whole.layout;
        let period = &layout.periods[at];
        let places = &layout.season.places;
        let Some(sink) = places.iter().find(|p| !moves(p.kind)).map(|p| p.id.clone()) else {
            return Vec::new();
        };
        let part = self.whole.part(
            std::slice::from_ref(&period.place),
            period.from_ms,
            period.to_ms,
        );
        let now = self.slips_of(&part);
        let Some(before) = self.whole.evidence(&part, now.clone()) else {
            return Vec::new();
        };
        let anchor = self
            .members
            .iter()
            .copied()
            .find(|&s| period.slips().any(|other| other == s));
        let Some(anchor) = anchor else {
            return Vec::new();
        };
        let mut made = Vec::new();
        let mut try_with = |extra: Slip, ln_prior: f64, change_kg: f64, perhaps: String| {
            let mut with = now.clone();
            with.push(extra);
            if let Some(after) = self.whole.evidence(&part, with) {
                made.push(Scored {
                    kind: MistakeKind::Missing,
                    slip: anchor,
                    field: Field::Slip,
                    written: "nothing".to_owned(),
                    perhaps,
                    other: None,
                    change_kg,
                    ln_score: ln_prior + self.gain(&before, &after),
                });
            }
        };
        // one more tank came in
        if let Some(tank) = self.habits.tank(&period.crop) {
            let gap = self
                .habits
                .gap(period.from_ms - ABOUT_MS / 18, period.to_ms);
            let mut extra = blank(period.from_ms, &period.crop, &sink, &period.place);
            if let Ok(mass) = Mass::from_kg(tank.value / 0.85) {
                extra.weight = Weight::Eye {
                    mass,
                    from: EyeKind::Dumps,
                };
                // a guess is measured against a known range, not a flat one
                let proper = RANGE_KG.ln();
                let perhaps = format!("one more tank into {}", period.place);
                try_with(extra, PRIOR.ln() + gap + proper, tank.value, perhaps);
            }
        }
        // a load left in the middle: the wagon was emptied between two of its tanks, or after the last
        let mut ins: Vec<usize> = period.ins.clone();
        ins.sort_unstable();
        let cuts: Vec<i64> = ins
            .windows(2)
            .map(|w| i64::midpoint(self.slip(w[0]).at_ms, self.slip(w[1]).at_ms))
            .chain(ins.last().map(|&s| self.slip(s).at_ms + 1))
            .collect();
        let outs_after = |cut: i64| period.outs.iter().any(|o| self.slip(o.0).at_ms > cut);
        for &cut in &cuts {
            if cut == cuts[cuts.len() - 1] && outs_after(cut) {
                continue;
            }
            let mut extra = blank(cut, &period.crop, &period.place, &sink);
            extra.empties = true;
            let load: f64 = ins
                .iter()
                .filter(|&&s| self.slip(s).at_ms < cut)
                .map(|&s| self.dry_kg(s))
                .sum();
            let perhaps = format!("one more load out of {}", period.place);
            let each = (PRIOR / cuts.len() as f64).ln();
            try_with(extra, each, load, perhaps);
        }
        made
    }

    /// Slips of this or another suspect, tried at another wagon or in another crop.
    fn elsewhere(&self, periods: &BTreeSet<usize>) -> Vec<Scored> {
        let layout = self.whole.layout;
        let touched: BTreeSet<&PlaceId> =
            periods.iter().map(|&p| &layout.periods[p].place).collect();
        let times: Vec<i64> = self.members.iter().map(|&s| self.slip(s).at_ms).collect();
        let (Some(&first), Some(&last)) = (times.iter().min(), times.iter().max()) else {
            return Vec::new();
        };
        let mut tried: Vec<usize> = self.members.iter().copied().take(TRIED).collect();
        for &other in self.all_suspects {
            let at = self.slip(other).at_ms;
            if tried.len() < 2 * TRIED
                && !tried.contains(&other)
                && at >= first - ABOUT_MS
                && at <= last + ABOUT_MS
            {
                tried.push(other);
            }
        }
        let mut cache: BTreeMap<(PlaceId, PlaceId, i64), Option<Evidence>> = BTreeMap::new();
        let mut made = Vec::new();
        for index in tried {
            let slip = self.slip(index);
            let own = self.members.contains(&index);
            if matches!(slip.weight, Weight::Unknown) {
                continue;
            }
            made.extend(self.other_wagon(index, own, &touched, &mut cache));
        }
        // whatever stood on these wagons at the time, of any crop
        let mut aboard: BTreeSet<usize> = self.members.iter().copied().collect();
        for (at, other) in layout.periods.iter().enumerate() {
            let same_time = periods.iter().any(|&p| {
                let period = &layout.periods[p];
                period.place == other.place
                    && other.from_ms <= period.to_ms
                    && other.to_ms >= period.from_ms - ABOUT_MS
            });
            if same_time {
                aboard.extend(self.whole.layout.periods[at].ins.iter().copied());
            }
        }
        for index in aboard.into_iter().take(2 * TRIED) {
            made.extend(self.other_crop(index));
        }
        made
    }

    fn other_wagon(
        &self,
        index: usize,
        own: bool,
        touched: &BTreeSet<&PlaceId>,
        cache: &mut BTreeMap<(PlaceId, PlaceId, i64), Option<Evidence>>,
    ) -> Vec<Scored> {
        let layout = self.whole.layout;
        let slip = self.slip(index);
        let kind = |id: &PlaceId| {
            layout
                .season
                .places
                .iter()
                .find(|p| p.id == *id)
                .map(|p| p.kind)
        };
        let into = kind(&slip.to).is_some_and(moves);
        let out = slip.from.len() == 1 && kind(&slip.from[0]).is_some_and(moves);
        if into == out {
            return Vec::new();
        }
        let here = if into { &slip.to } else { &slip.from[0] };
        let others: Vec<&PlaceId> = layout
            .season
            .places
            .iter()
            .filter(|p| moves(p.kind) && Some(p.kind) == kind(here) && p.id != *here)
            .filter(|p| {
                self.whole.by_place.get(&p.id).is_some_and(|list| {
                    list.iter().any(|&n| {
                        let period = &layout.periods[n];
                        period.crop == slip.crop
                            && period.from_ms - ABOUT_MS <= slip.at_ms
                            && period.to_ms + ABOUT_MS >= slip.at_ms
                    })
                })
            })
            .map(|p| &p.id)
            .collect();
        let each = (PRIOR / others.len().max(1) as f64).ln();
        let mut made = Vec::new();
        for other in others.iter().copied() {
            if !(own || touched.contains(other) || touched.contains(here)) {
                continue;
            }
            let part = self
                .whole
                .part(&[here.clone(), other.clone()], slip.at_ms, slip.at_ms);
            let now = self.slips_of(&part);
            let mut moved = now.clone();
            for candidate in &mut moved {
                if candidate.id == slip.id {
                    if into {
                        candidate.to.clone_from(other);
                    } else {
                        candidate.from = vec![other.clone()];
                        candidate.empties = empties(slip);
                    }
                }
            }
            let before = cache
                .entry((here.clone(), other.clone(), slip.at_ms))
                .or_insert_with(|| self.whole.evidence(&part, now))
                .clone();
            let (Some(before), Some(after)) = (before, self.whole.evidence(&part, moved)) else {
                continue;
            };
            let mut ln_score = each + self.gain(&before, &after);
            // the tare on the slip tells which wagon stood on the scale
            if let (
                Weight::Scale {
                    tare: Some(tare), ..
                },
                false,
            ) = (&slip.weight, into)
            {
                let fits = |place: &PlaceId| {
                    self.habits
                        .tare(std::slice::from_ref(place))
                        .map_or(0.0, |u| u.ln_density(tare.kg(), 0.02, 3_000.0))
                };
                ln_score += fits(other) - fits(here);
            }
            made.push(Scored {
                kind: MistakeKind::WrongWagon,
                slip: index,
                field: if into { Field::To } else { Field::From },
                written: here.0.clone(),
                perhaps: other.0.clone(),
                other: None,
                change_kg: self.dry_kg(index),
                ln_score,
            });
        }
        made
    }

    fn other_crop(&self, index: usize) -> Vec<Scored> {
        let layout = self.whole.layout;
        let slip = self.slip(index);
        let kind = |id: &PlaceId| {
            layout
                .season
                .places
                .iter()
                .find(|p| p.id == *id)
                .map(|p| p.kind)
        };
        let standing = slip
            .from
            .iter()
            .all(|f| kind(f) == Some(PlaceKind::Standing));
        if !standing || matches!(slip.weight, Weight::Unknown) {
            return Vec::new();
        }
        let crops: BTreeSet<&CropId> = layout.slips.iter().map(|s| &s.crop).collect();
        let each = (PRIOR / (crops.len().saturating_sub(1)).max(1) as f64).ln();
        let part = self
            .whole
            .part(&self.wheels_of(slip), slip.at_ms, slip.at_ms);
        let now = self.slips_of(&part);
        let mut made = Vec::new();
        let Some(before) = self.whole.evidence(&part, now.clone()) else {
            return made;
        };
        for crop in crops.into_iter().filter(|c| **c != slip.crop) {
            let mut moved = now.clone();
            for candidate in &mut moved {
                if candidate.id == slip.id {
                    candidate.crop = crop.clone();
                }
            }
            let Some(after) = self.whole.evidence(&part, moved) else {
                continue;
            };
            made.push(Scored {
                kind: MistakeKind::WrongField,
                slip: index,
                field: Field::Crop,
                written: slip.crop.0.clone(),
                perhaps: crop.0.clone(),
                other: None,
                change_kg: self.dry_kg(index),
                ln_score: each + self.gain(&before, &after),
            });
        }
        made
    }
}

/// A slip that nobody wrote, of an unknown mass.
fn blank(at_ms: i64, crop: &CropId, from: &PlaceId, to: &PlaceId) -> Slip {
    Slip {
        id: SlipId(MISSING.to_owned()),
        at_ms,
        from: vec![from.clone()],
        to: to.clone(),
        crop: crop.clone(),
        weight: Weight::Unknown,
        moisture: None,
        empties: false,
        number: None,
    }
}
