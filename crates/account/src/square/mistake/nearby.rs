//! A part of a season around some wagons, squared alone, to compare what may have happened there.
//!
//! Moving a slip to another wagon or crop, leaving one out, or putting one in changes the balances
//! themselves; what that is worth is told by fitting the few fillings concerned both ways, with
//! monitor factors and meter offsets believed as the whole season has them.

use super::super::season::build::{Known, Layout, Subject, lay_out};
use super::super::season::report::Read;
use crate::slip::{Place, PlaceId, PlaceKind, Slip, SlipId};
use crate::square::season::periods::Edge;
use crate::square::{Season, network};
use std::collections::{BTreeMap, BTreeSet};

/// What a mass may be anything up to beforehand, kg.
pub(super) const RANGE_KG: f64 = 20_000.0;
/// Log density of a blunder: one slip in a hundred, anything up to 10,000 kg.
pub(super) const LN_BLUNDER: f64 = -13.82;

/// The whole season, indexed for cutting parts out of it.
pub(super) struct Whole<'a> {
    pub(super) layout: &'a Layout<'a>,
    pub(super) known: Known,
    /// Periods of each place, in order of time.
    pub(super) by_place: BTreeMap<PlaceId, Vec<usize>>,
    /// Periods of each slip.
    pub(super) of_slip: Vec<Vec<usize>>,
    /// Squared dry mass of each slip, kg, where it is determined.
    pub(super) squared: Vec<Option<f64>>,
    /// Periods that each stock opens or closes.
    pub(super) of_stock: Vec<Vec<usize>>,
}

/// Whether a place goes to and fro, so that its fillings can be looked at alone.
pub(super) fn moves(kind: PlaceKind) -> bool {
    matches!(kind, PlaceKind::Wagon | PlaceKind::Truck | PlaceKind::Cart)
}

impl<'a> Whole<'a> {
    pub(super) fn of(read: &Read<'a>) -> Self {
        let layout = read.layout;
        let mut known = Known::default();
        let value =
            |unknown: usize| Some((read.verdict.last.values[unknown], read.errors[unknown]?));
        for (key, &unknown) in &layout.factors {
            known
                .factors
                .extend(value(unknown).map(|v| (key.clone(), v)));
        }
        for (meter, &unknown) in &layout.offsets {
            known
                .offsets
                .extend(value(unknown).map(|v| (meter.clone(), v)));
        }
        for (index, slip) in layout.slips.iter().enumerate() {
            if layout.relative[index] > 0.0 {
                known
                    .relative
                    .insert(slip.id.clone(), layout.relative[index]);
            }
            known
                .wetness
                .insert(slip.id.clone(), layout.wetness[index].clone());
        }
        let mut by_place: BTreeMap<PlaceId, Vec<usize>> = BTreeMap::new();
        let mut of_slip = vec![Vec::new(); layout.slips.len()];
        let mut of_stock = vec![Vec::new(); layout.stocks.len()];
        for (at, period) in layout.periods.iter().enumerate() {
            by_place.entry(period.place.clone()).or_default().push(at);
            for slip in period.slips() {
                of_slip[slip].push(at);
            }
            for edge in [period.opening, period.closing] {
                if let Edge::Stock(stock) = edge {
                    of_stock[stock].push(at);
                }
            }
        }
        for list in by_place.values_mut() {
            list.sort_by_key(|&p| (layout.periods[p].from_ms, p));
        }
        Self {
            layout,
            known,
            by_place,
            squared: layout
                .mass
                .iter()
                .map(|&m| read.errors[m].map(|_| read.verdict.last.values[m]))
                .collect(),
            of_slip,
            of_stock,
        }
    }

    /// The fillings of a place that touch a time, and one more on each side.
    fn around(&self, place: &PlaceId, from_ms: i64, to_ms: i64) -> Vec<usize> {
        let Some(list) = self.by_place.get(place) else {
            return Vec::new();
        };
        let periods = &self.layout.periods;
        let touching: Vec<usize> = (0..list.len())
            .filter(|&n| periods[list[n]].from_ms <= to_ms && periods[list[n]].to_ms >= from_ms)
            .collect();
        let next = list.partition_point(|&p| periods[p].from_ms <= to_ms);
        let first = touching.first().copied().unwrap_or(next);
        let last = touching.last().copied().unwrap_or(next);
        list[first.saturating_sub(1)..(last + 2).min(list.len())].to_vec()
    }

    /// The part of the season that these places see around a time; slips by index.
    pub(super) fn part(&self, places: &[PlaceId], from_ms: i64, to_ms: i64) -> Part {
        let layout = self.layout;
        let mut periods: BTreeSet<usize> = BTreeSet::new();
        for place in places {
            periods.extend(self.around(place, from_ms, to_ms));
        }
        // several wagons over one ticket: the other wagon's filling too
        let mut more: BTreeSet<usize> = BTreeSet::new();
        for &period in &periods {
            for &(slip, _) in &layout.periods[period].outs {
                if layout.slips[slip].from.len() > 1 {
                    more.extend(self.of_slip[slip].iter().copied().filter(|&p| {
                        moves(layout.periods[p].kind)
                            && layout.periods[p].outs.iter().any(|o| o.0 == slip)
                    }));
                }
            }
        }
        periods.extend(more);
        let mut slips = BTreeSet::new();
        let mut stocks = BTreeSet::new();
        let mut inside: BTreeSet<PlaceId> = BTreeSet::new();
        for &period in &periods {
            let period = &layout.periods[period];
            inside.insert(period.place.clone());
            slips.extend(period.slips());
            for edge in [period.opening, period.closing] {
                if let Edge::Stock(stock) = edge {
                    stocks.insert(stock);
                }
            }
        }
        inside.extend(places.iter().cloned());
        // a look into an empty wagon closes a filling as well
        for (index, stock) in layout.stocks.iter().enumerate() {
            if stock.wet.is_zero() && inside.contains(&stock.place) {
                let closes = periods.iter().any(|&p| {
                    let period = &layout.periods[p];
                    period.place == stock.place && stock.at_ms >= period.from_ms
                });
                if closes {
                    stocks.insert(index);
                }
            }
        }
        Part {
            slips: slips.into_iter().collect(),
            stocks: stocks.into_iter().collect(),
            inside,
        }
    }

    /// Log evidence of a part of the season with these slips, any of which may be a blunder, and the
    /// names of those that had to be taken for one.
    pub(super) fn evidence(&self, part: &Part, slips: Vec<Slip>) -> Option<Evidence> {
        let season = self.layout.season;
        let places: Vec<Place> = season
            .places
            .iter()
            .map(|place| {
                let mut place = place.clone();
                if !part.inside.contains(&place.id) {
                    // out of sight: it gives and takes what it likes
                    place.kind = PlaceKind::Standing;
                }
                place
            })
            .collect();
        let local = Season {
            places,
            slips,
            stocks: part
                .stocks
                .iter()
                .map(|&s| self.layout.stocks[s].clone())
                .collect(),
            reference_meter: super::super::season::evidence::reference(season),
            meters: season.meters.clone(),
            tares: season.tares.clone(),
            test_weights_lb_bu: BTreeMap::new(),
            recalibrations: season.recalibrations.clone(),
        };
        let layout = lay_out(&local, self.layout.settings, &self.known).ok()?;
        let fit = network::fit(&layout.network).ok()?;
        let (ln, gone) = network::robust_evidence(&layout.network, &fit, RANGE_KG, LN_BLUNDER);
        let blunders = gone
            .into_iter()
            .filter_map(|m| match layout.subject[m] {
                Subject::Slip(index) => Some(layout.slips[index].id.clone()),
                _ => None,
            })
            .collect();
        Some(Evidence { ln, blunders })
    }
}

/// How likely a part of a season is.
#[derive(Debug, Clone)]
pub(super) struct Evidence {
    pub(super) ln: f64,
    /// Slips that had to be taken for blunders.
    pub(super) blunders: Vec<SlipId>,
}

/// Slips and stocks of a part, by index, and the places whose balances it keeps.
#[derive(Debug, Clone)]
pub(super) struct Part {
    pub(super) slips: Vec<usize>,
    pub(super) stocks: Vec<usize>,
    pub(super) inside: BTreeSet<PlaceId>,
}
