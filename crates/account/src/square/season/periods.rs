//! Where the balance of each place closes.
//!
//! A place's grain of one crop is followed from one moment at which its stock is known, measured or
//! nothing to the next. A wagon is empty when a slip empties it (of every crop: it was tared), or when
//! a stock says so. A period that nothing closes leaves an unknown stock.

use crate::slip::{CropId, Place, PlaceId, PlaceKind, Slip, SlipId, Stock, Weight};
use crate::square::SquareError;
use std::collections::{BTreeMap, BTreeSet};

/// How a period ends or began.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Edge {
    /// With nothing there.
    Empty,
    /// With a measured stock (index into the stocks).
    Stock(usize),
    /// Nobody knows what is left.
    Open,
}

/// One period of one place and crop; slips by index.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Period {
    pub(crate) place: PlaceId,
    pub(crate) kind: PlaceKind,
    pub(crate) crop: CropId,
    pub(crate) opening: Edge,
    pub(crate) ins: Vec<usize>,
    /// Slip, and which of its sources this place is.
    pub(crate) outs: Vec<(usize, usize)>,
    pub(crate) closing: Edge,
    pub(crate) from_ms: i64,
    pub(crate) to_ms: i64,
}

impl Period {
    fn begin(place: &Place, crop: &CropId, opening: Edge, at_ms: i64) -> Self {
        Self {
            place: place.id.clone(),
            kind: place.kind,
            crop: crop.clone(),
            opening,
            ins: Vec::new(),
            outs: Vec::new(),
            closing: Edge::Open,
            from_ms: at_ms,
            to_ms: at_ms,
        }
    }

    /// Whether nothing happened in it: no slip, and nothing there before.
    fn idle(&self) -> bool {
        self.ins.is_empty() && self.outs.is_empty() && self.opening == Edge::Empty
    }

    /// Every slip that moved grain in or out of it.
    pub(crate) fn slips(&self) -> impl Iterator<Item = usize> + '_ {
        self.ins
            .iter()
            .copied()
            .chain(self.outs.iter().map(|o| o.0))
    }
}

/// Whether a place has a balance: standing crop has no bottom, and what is sold, fed, kept for seed
/// or spilt is followed no further.
pub(crate) fn balances(kind: PlaceKind) -> bool {
    !matches!(
        kind,
        PlaceKind::Standing | PlaceKind::Pit | PlaceKind::Feed | PlaceKind::Seed | PlaceKind::Spill
    )
}

/// Whether the slip leaves its sources empty: it says so, or they were weighed empty for it.
pub(crate) fn empties(slip: &Slip) -> bool {
    slip.empties
        || matches!(
            &slip.weight,
            Weight::Scale {
                gross: Some(_),
                tare: Some(_),
                shared_tare: None,
                ..
            }
        )
}

/// Whether the stock is exactly known.
pub(crate) fn exact(stock: &Stock) -> bool {
    stock.wet.is_zero() || stock.relative_sd == Some(0.0)
}

enum Event {
    In(usize),
    Out(usize, usize),
    Stock(usize),
}

/// Checks names and ids: every later step relies on them.
pub(crate) fn check(
    places: &BTreeMap<PlaceId, Place>,
    slips: &[&Slip],
    stocks: &[&Stock],
) -> Result<(), SquareError> {
    let mut seen: BTreeSet<&SlipId> = BTreeSet::new();
    for id in slips
        .iter()
        .map(|s| &s.id)
        .chain(stocks.iter().map(|s| &s.id))
    {
        if !seen.insert(id) {
            return Err(SquareError::SameId { slip: id.clone() });
        }
    }
    for slip in slips {
        if slip.from.is_empty() {
            return Err(SquareError::NoSource {
                slip: slip.id.clone(),
            });
        }
        for place in slip.from.iter().chain([&slip.to]) {
            if !places.contains_key(place) {
                return Err(SquareError::UnknownPlace {
                    slip: slip.id.clone(),
                    place: place.clone(),
                });
            }
        }
    }
    for stock in stocks {
        if !places.contains_key(&stock.place) {
            return Err(SquareError::UnknownPlace {
                slip: stock.id.clone(),
                place: stock.place.clone(),
            });
        }
    }
    Ok(())
}

/// All periods, in order of place, then of time. Slips and stocks are in order of time.
pub(crate) fn periods(
    places: &BTreeMap<PlaceId, Place>,
    slips: &[&Slip],
    stocks: &[&Stock],
) -> Vec<Period> {
    // same moment: grain comes before it goes, and a stock is measured after both
    let mut events: BTreeMap<&PlaceId, Vec<(i64, u8, Event)>> = BTreeMap::new();
    for (index, slip) in slips.iter().enumerate() {
        events
            .entry(&slip.to)
            .or_default()
            .push((slip.at_ms, 0, Event::In(index)));
        for (source, place) in slip.from.iter().enumerate() {
            events
                .entry(place)
                .or_default()
                .push((slip.at_ms, 1, Event::Out(index, source)));
        }
    }
    for (index, stock) in stocks.iter().enumerate() {
        events
            .entry(&stock.place)
            .or_default()
            .push((stock.at_ms, 2, Event::Stock(index)));
    }
    let mut made = Vec::new();
    for (id, mut list) in events {
        let place = &places[id];
        if !balances(place.kind) {
            continue;
        }
        list.sort_by_key(|event| (event.0, event.1));
        follow(place, &list, slips, stocks, &mut made);
    }
    made
}

fn follow(
    place: &Place,
    events: &[(i64, u8, Event)],
    slips: &[&Slip],
    stocks: &[&Stock],
    made: &mut Vec<Period>,
) {
    let mut open: BTreeMap<CropId, Period> = BTreeMap::new();
    for (at_ms, _, event) in events {
        let crop = match event {
            Event::In(index) | Event::Out(index, _) => &slips[*index].crop,
            Event::Stock(index) => &stocks[*index].crop,
        };
        let period = open
            .entry(crop.clone())
            .or_insert_with(|| Period::begin(place, crop, Edge::Empty, *at_ms));
        if period.idle() {
            period.from_ms = *at_ms;
        }
        period.to_ms = *at_ms;
        match event {
            Event::In(index) => period.ins.push(*index),
            Event::Out(index, source) => {
                period.outs.push((*index, *source));
                if empties(slips[*index]) {
                    for (_, mut done) in std::mem::take(&mut open) {
                        if !done.idle() {
                            done.closing = Edge::Empty;
                            done.to_ms = *at_ms;
                            made.push(done);
                        }
                    }
                }
            }
            Event::Stock(index) => {
                let nothing = stocks[*index].wet.is_zero() && exact(stocks[*index]);
                let edge = if nothing {
                    Edge::Empty
                } else {
                    Edge::Stock(*index)
                };
                let next = Period::begin(place, crop, edge, *at_ms);
                if let Some(mut done) = open.insert(crop.clone(), next) {
                    done.closing = edge;
                    // a first measure with nothing before it opens the season there
                    if !done.idle() {
                        made.push(done);
                    }
                }
            }
        }
    }
    for (_, rest) in open {
        if !(rest.ins.is_empty() && rest.outs.is_empty()) {
            made.push(rest);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Mass;

    fn place(id: &str, kind: PlaceKind) -> Place {
        Place {
            id: id.into(),
            kind,
            capacity_lb: None,
        }
    }

    fn slip(id: &str, at_ms: i64, from: &str, to: &str, crop: &str, empties: bool) -> Slip {
        Slip {
            id: id.into(),
            at_ms,
            from: vec![from.into()],
            to: to.into(),
            crop: crop.into(),
            weight: Weight::Unknown,
            moisture: None,
            empties,
            number: None,
        }
    }

    #[test]
    fn a_tared_wagon_is_empty_of_every_crop() {
        let places: BTreeMap<PlaceId, Place> = [
            place("field", PlaceKind::Standing),
            place("wagon", PlaceKind::Wagon),
            place("pit", PlaceKind::Pit),
        ]
        .into_iter()
        .map(|p| (p.id.clone(), p))
        .collect();
        let slips = [
            slip("a", 1, "field", "wagon", "corn", false),
            slip("b", 2, "field", "wagon", "oats", false),
            slip("c", 3, "wagon", "pit", "corn", true),
            slip("d", 4, "field", "wagon", "corn", false),
        ];
        let slips: Vec<&Slip> = slips.iter().collect();
        let found = periods(&places, &slips, &[]);
        let closings: Vec<(String, Edge)> = found
            .iter()
            .map(|p| (p.crop.0.clone(), p.closing))
            .collect();
        assert_eq!(
            closings,
            [
                ("corn".to_owned(), Edge::Empty),
                ("oats".to_owned(), Edge::Empty),
                ("corn".to_owned(), Edge::Open)
            ]
        );
    }

    #[test]
    fn a_first_measure_opens_the_bin_and_later_ones_close_it() {
        let places: BTreeMap<PlaceId, Place> = [
            place("field", PlaceKind::Standing),
            place("bin", PlaceKind::Bin),
        ]
        .into_iter()
        .map(|p| (p.id.clone(), p))
        .collect();
        let stock = |id: &str, at_ms: i64| Stock {
            id: id.into(),
            at_ms,
            place: "bin".into(),
            crop: "corn".into(),
            wet: Mass::from_lb(1_000.0).unwrap(),
            moisture: None,
            relative_sd: None,
        };
        let (first, second) = (stock("m1", 0), stock("m2", 9));
        let slips = [slip("a", 5, "field", "bin", "corn", false)];
        let slips: Vec<&Slip> = slips.iter().collect();
        let found = periods(&places, &slips, &[&first, &second]);
        assert_eq!(found.len(), 1);
        assert_eq!(
            (found[0].opening, found[0].closing),
            (Edge::Stock(0), Edge::Stock(1))
        );
    }
}
