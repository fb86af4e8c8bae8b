//! Plants mistakes in a record that has none.

mod slipup;

use crate::mistake::{Filling, Mistake, MistakeKind, Part, Truth};
use crate::paper::{PlaceKind, Record, Slip};
use numeric::stream::Stream;
use std::collections::{BTreeMap, BTreeSet};

pub(crate) use slipup::{Slipup, make};

/// What a mistake does to the record.
#[derive(Debug, Clone)]
pub(crate) enum Change {
    /// The slip as typed in place of the paper's.
    Instead(Box<Slip>),
    /// The slip is there, and this one too.
    Beside(Box<Slip>),
    /// The slip is not there.
    Gone,
}

/// A record under the hands of somebody who types it.
pub(crate) struct Typist<'a> {
    pub(crate) paper: &'a Record,
    pub(crate) truth: &'a Truth,
    changes: BTreeMap<String, (Slipup, MistakeKind)>,
}

/// Plants `wanted` mistakes, all kinds by turns, and returns what was typed and what is wrong.
pub(crate) fn plant(
    paper: &Record,
    truth: &Truth,
    wanted: usize,
    stream: &mut Stream,
) -> (Record, Vec<Mistake>) {
    let mut typist = Typist::new(paper, truth);
    let mut kinds = MistakeKind::ALL.to_vec();
    stream.shuffle(&mut kinds);
    let mut turn = 0;
    // a kind that finds no slip in 60 tries (no bare nets, say) gives way to the next
    while typist.count() < wanted && turn < 20 * (wanted + kinds.len()) {
        let kind = kinds[turn % kinds.len()];
        turn += 1;
        for _ in 0..60 {
            let Some(slip) = stream.choice(&paper.slips) else {
                break;
            };
            if typist.slip_up(kind, &slip.id, stream).is_some() {
                break;
            }
        }
    }
    typist.finish()
}

impl<'a> Typist<'a> {
    pub(crate) fn new(paper: &'a Record, truth: &'a Truth) -> Self {
        Self {
            paper,
            truth,
            changes: BTreeMap::new(),
        }
    }

    pub(crate) fn count(&self) -> usize {
        self.changes.len()
    }

    /// Makes one mistake of this kind with this slip, if the slip can have it and has none yet.
    pub(crate) fn slip_up(
        &mut self,
        kind: MistakeKind,
        id: &str,
        stream: &mut Stream,
    ) -> Option<&Slipup> {
        if self.changes.contains_key(id) {
            return None;
        }
        let slip = self.paper.slip(id)?;
        let slipup = make(kind, slip, self, stream)?;
        self.changes.insert(id.to_owned(), (slipup, kind));
        self.changes.get(id).map(|(slipup, _)| slipup)
    }

    pub(crate) fn kind_of(&self, place: &str) -> Option<PlaceKind> {
        self.paper
            .places
            .iter()
            .find(|p| p.id == place)
            .map(|p| p.kind)
    }

    /// The next slip in time that touches this place.
    pub(crate) fn next_at(&self, place: &str, after_ms: i64) -> Option<&'a Slip> {
        self.paper
            .slips
            .iter()
            .find(|s| s.at_ms > after_ms && touches(s, place))
    }

    /// The filling that a place is in just after a moment, or begins next.
    pub(crate) fn filling_after(&self, place: &str, after_ms: i64) -> Option<Filling> {
        let slip = self.next_at(place, after_ms)?;
        let fillings = self.truth.trips.get(&slip.id)?;
        fillings.iter().find(|f| f.place == place).cloned()
    }

    /// Everything that goes with these fillings over wagons and trucks, as paper slip names.
    fn with_fillings(&self, start: &BTreeSet<Filling>) -> BTreeSet<String> {
        let mut fillings = start.clone();
        loop {
            let mut slips = BTreeSet::new();
            let mut grown = fillings.clone();
            for (id, theirs) in &self.truth.trips {
                if theirs.iter().any(|f| fillings.contains(f)) {
                    slips.insert(id.clone());
                    grown.extend(theirs.iter().filter(|f| self.on_wheels(f)).cloned());
                }
            }
            if grown == fillings {
                return slips;
            }
            fillings = grown;
        }
    }

    fn on_wheels(&self, filling: &Filling) -> bool {
        matches!(
            self.kind_of(&filling.place),
            Some(PlaceKind::Wagon | PlaceKind::Truck)
        )
    }

    /// The slip's own fillings: those on wheels, or, where it has none, those of bins.
    fn own_fillings(&self, id: &str) -> BTreeSet<Filling> {
        let all = self.truth.trips.get(id).cloned().unwrap_or_default();
        let wheels: BTreeSet<Filling> = all.iter().filter(|f| self.on_wheels(f)).cloned().collect();
        if wheels.is_empty() {
            all.into_iter().collect()
        } else {
            wheels
        }
    }

    /// Every paper slip of the trips that a mistake concerns.
    pub(crate) fn concerned(&self, id: &str, slipup: &Slipup) -> BTreeSet<String> {
        let mut fillings = self.own_fillings(id);
        fillings.extend(slipup.also.iter().cloned());
        self.with_fillings(&fillings)
    }

    /// Everything typed in a balance with the slips concerned, bins and their measures included.
    fn in_balance(
        &self,
        concerned: &BTreeSet<String>,
        slipup: &Slipup,
        there: &BTreeSet<&str>,
    ) -> Vec<String> {
        let mut fillings: BTreeSet<&Filling> = slipup.also.iter().collect();
        for id in concerned {
            fillings.extend(self.truth.trips.get(id).into_iter().flatten());
        }
        let touched = |theirs: &Vec<Filling>| theirs.iter().any(|f| fillings.contains(f));
        let slips = self.truth.trips.iter();
        let mut out: BTreeSet<String> = slips
            .filter(|(id, theirs)| there.contains(id.as_str()) && touched(theirs))
            .map(|(id, _)| id.clone())
            .collect();
        let stocks = self.truth.stock_trips.iter();
        out.extend(stocks.filter(|(_, f)| touched(f)).map(|(id, _)| id.clone()));
        if let Change::Beside(other) = &slipup.change {
            out.insert(other.id.clone());
        }
        out.into_iter().collect()
    }

    /// Writes a mistake that was made elsewhere.
    pub(crate) fn accept(&mut self, kind: MistakeKind, id: &str, slipup: Slipup) {
        self.changes.insert(id.to_owned(), (slipup, kind));
    }

    /// What was typed, and the mistakes in order of time.
    pub(crate) fn finish(self) -> (Record, Vec<Mistake>) {
        let mut typed = self.paper.clone();
        typed.slips.clear();
        for slip in &self.paper.slips {
            match self.changes.get(&slip.id).map(|(slipup, _)| &slipup.change) {
                None => typed.slips.push(slip.clone()),
                Some(Change::Instead(other)) => typed.slips.push((**other).clone()),
                Some(Change::Beside(other)) => {
                    typed.slips.push(slip.clone());
                    typed.slips.push((**other).clone());
                }
                Some(Change::Gone) => {}
            }
        }
        typed
            .slips
            .sort_by(|a, b| (a.at_ms, &a.id).cmp(&(b.at_ms, &b.id)));
        let there: BTreeSet<&str> = typed.slips.iter().map(|s| s.id.as_str()).collect();
        let mut mistakes = Vec::new();
        for slip in &self.paper.slips {
            let Some((slipup, kind)) = self.changes.get(&slip.id) else {
                continue;
            };
            let mut concerned = self.concerned(&slip.id, slipup);
            let (name, twin) = match &slipup.change {
                Change::Beside(other) => (other.id.clone(), Some(slip.id.clone())),
                _ => (slip.id.clone(), None),
            };
            concerned.insert(name.clone());
            let in_balance = self.in_balance(&concerned, slipup, &there);
            mistakes.push(Mistake {
                kind: *kind,
                slip: name,
                twin,
                part: slipup.part,
                typed: slipup.typed.clone(),
                right: slipup.right.clone(),
                change_dry_lb: slipup.change_dry_lb,
                concerned: concerned
                    .into_iter()
                    .filter(|id| there.contains(id.as_str()))
                    .collect(),
                in_balance,
            });
        }
        (typed, mistakes)
    }
}

/// Whether a slip takes grain out of a place or puts it in.
pub(crate) fn touches(slip: &Slip, place: &str) -> bool {
    slip.to == place || slip.from.iter().any(|from| from == place)
}

/// Which part a weight's mistake can be in.
pub(crate) const WEIGHT_PARTS: [Part; 4] = [Part::Gross, Part::Tare, Part::Net, Part::Reading];
