//! Moves true grain and writes what a person would have written, with honest errors.
//!
//! Every heap is a pair of true dry mass and true water, so dry mass is conserved to the last bit
//! that a float holds; only the written values carry error.

mod finish;
mod gear;
mod heap;

use crate::mistake::{Filling, Truth};
use crate::paper::{
    Meter, MeterKind, Place, PlaceKind, Reading, Record, Sample, Scale, Slip, Stock, Weight,
};
use numeric::stream::Stream;
use quantity::MassUnit;
use std::collections::BTreeMap;

pub(crate) use gear::{Combine, TicketStyle};
pub(crate) use heap::Heap;

/// How sure each kind of measurement is: the stated standard errors from which errors are drawn.
///
/// Labelled guesses of the trade (common practice, no source), the same that a squaring is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sureness {
    /// A certified scale's error, as a share of what stands on it.
    pub certified: f64,
    /// A cart scale's.
    pub cart: f64,
    /// A farm platform's.
    pub farm: f64,
    /// One monitor tank before four weighed loads of the crop.
    pub monitor_new: f64,
    /// One monitor tank after four weighed loads.
    pub monitor_settled: f64,
    /// A guess by eye.
    pub eye: f64,
    /// A bin measure.
    pub bin: f64,
    /// One moisture reading, points: buyer's, hand, combine.
    pub moisture: [f64; 3],
    /// Spread of meter offsets against the reference, points.
    pub offset: f64,
    /// Spread of true monitor factors.
    pub factor: f64,
    /// Mean and spread of a dryer's handling loss, as a share of dry matter.
    pub loss: (f64, f64),
}

impl Default for Sureness {
    fn default() -> Self {
        Self {
            certified: 0.001,
            cart: 0.005,
            farm: 0.015,
            monitor_new: 0.07,
            monitor_settled: 0.025,
            eye: 0.10,
            bin: 0.03,
            moisture: [0.3, 0.5, 0.7],
            offset: 0.5,
            factor: 0.1,
            loss: (0.005, 0.004),
        }
    }
}

/// Moves grain and writes slips.
pub(crate) struct Scribe {
    pub(crate) stream: Stream,
    pub(crate) sureness: Sureness,
    pub(crate) record: Record,
    pub(crate) truth: Truth,
    pub(crate) heaps: BTreeMap<(String, String), Heap>,
    /// True weight empty, lb, of wagons and trucks.
    pub(crate) empty_lb: BTreeMap<String, f64>,
    /// Test weight of each crop this season, lb/bu.
    pub(crate) test_weight: BTreeMap<String, f64>,
    /// The filling that each place is in.
    trip: BTreeMap<String, u32>,
    next_trip: u32,
    /// Weighed loads so far by (machine, crop), and which machines filled each open wagon.
    weighed: BTreeMap<(String, String), u32>,
    fillers: BTreeMap<String, Vec<(String, String)>>,
}

/// Digits in `unit` for a mass in lb, on a step.
pub(crate) fn digits(lb: f64, unit: MassUnit, step: i64) -> i64 {
    let value = lb * MassUnit::Lb.per() as f64 / unit.per() as f64;
    (value / step as f64).round() as i64 * step
}

impl Scribe {
    pub(crate) fn new(stream: Stream, sureness: Sureness) -> Self {
        Self {
            stream,
            sureness,
            record: Record::default(),
            truth: Truth::default(),
            heaps: BTreeMap::new(),
            empty_lb: BTreeMap::new(),
            test_weight: BTreeMap::new(),
            trip: BTreeMap::new(),
            next_trip: 0,
            weighed: BTreeMap::new(),
            fillers: BTreeMap::new(),
        }
    }

    /// A new place; wagons and trucks get a true empty weight near `tare_lb`, and a list tare that
    /// was weighed once on a certified scale.
    pub(crate) fn place(
        &mut self,
        id: &str,
        kind: PlaceKind,
        capacity: Option<f64>,
        tare: Option<f64>,
    ) {
        let tare_lb = tare.map(|lb| {
            self.empty_lb.insert(id.to_owned(), lb);
            let error = 1.0 + self.sureness.certified * self.stream.normal();
            digits(lb * error, MassUnit::Lb, 20)
        });
        self.record.places.push(Place {
            id: id.to_owned(),
            kind,
            capacity_lb: capacity,
            tare_lb,
        });
    }

    /// A new meter with its true offset against the reference.
    pub(crate) fn meter(&mut self, id: &str, kind: MeterKind, reference: bool) {
        let offset = if reference {
            0.0
        } else {
            self.stream.normal_of(0.0, self.sureness.offset)
        };
        self.truth.offsets.insert(id.to_owned(), offset);
        self.record.meters.push(Meter {
            id: id.to_owned(),
            kind,
            reference,
        });
    }

    pub(crate) fn heap(&self, place: &str, crop: &str) -> Heap {
        let key = (place.to_owned(), crop.to_owned());
        self.heaps.get(&key).copied().unwrap_or_default()
    }

    fn heap_mut(&mut self, place: &str, crop: &str) -> &mut Heap {
        self.heaps
            .entry((place.to_owned(), crop.to_owned()))
            .or_default()
    }

    fn trip_of(&mut self, place: &str) -> Filling {
        if !self.trip.contains_key(place) {
            self.next_trip += 1;
            self.trip.insert(place.to_owned(), self.next_trip);
        }
        Filling {
            place: place.to_owned(),
            number: self.trip.get(place).copied().unwrap_or(0),
        }
    }

    /// The place starts a new filling with the next slip.
    pub(crate) fn close(&mut self, place: &str) {
        self.trip.remove(place);
    }

    /// What a meter shows for grain of this moisture.
    pub(crate) fn read(&mut self, meter: &str, moisture_pct: f64) -> Reading {
        let kind = self
            .record
            .meters
            .iter()
            .find(|m| m.id == meter)
            .map_or(MeterKind::Hand, |m| m.kind);
        let sd = self.sureness.moisture[match kind {
            MeterKind::Buyer => 0,
            MeterKind::Hand => 1,
            MeterKind::Combine => 2,
        }];
        let offset = self.truth.offsets.get(meter).copied().unwrap_or(0.0);
        let shown = moisture_pct + offset + sd * self.stream.normal();
        Reading {
            percent: (shown.max(1.0) * 10.0).round() / 10.0,
            meter: meter.to_owned(),
        }
    }

    fn test_weight_of(&mut self, crop: &str) -> Option<f64> {
        let mean = self.test_weight.get(crop).copied()?;
        Some((self.stream.normal_of(mean, 0.8) * 10.0).round() / 10.0)
    }

    fn write(&mut self, slip: Slip, moved: Heap, trips: Vec<Filling>) -> String {
        let id = slip.id.clone();
        self.truth.dry_lb.insert(id.clone(), moved.dry_lb);
        self.truth
            .moisture_pct
            .insert(id.clone(), moved.moisture_pct());
        self.truth.trips.insert(id.clone(), trips);
        self.record.slips.push(slip);
        id
    }

    fn blank(&self, at_ms: i64, from: &[&str], to: &str, crop: &str) -> Slip {
        Slip {
            id: format!("x{:05}", self.record.slips.len()),
            at_ms,
            from: from.iter().map(|&name| name.to_owned()).collect(),
            to: to.to_owned(),
            crop: crop.to_owned(),
            weight: Weight::Unknown,
            moisture: None,
            test_weight_lb_bu: None,
            factors: Vec::new(),
            empties: false,
            number: None,
        }
    }

    /// The machine's tank emptied into a wagon or bin.
    pub(crate) fn dump(
        &mut self,
        at_ms: i64,
        combine: &Combine,
        field: &str,
        to: &str,
        crop: &str,
        tank: Heap,
    ) -> String {
        let mut slip = self.blank(at_ms, &[field], to, crop);
        if let Some(&k) = combine.factors.get(crop) {
            let key = (combine.id.clone(), crop.to_owned());
            let settled = self.weighed.get(&key).copied().unwrap_or(0) >= 4;
            let sd = if settled {
                self.sureness.monitor_settled
            } else {
                self.sureness.monitor_new
            };
            let error = (1.0 + sd * self.stream.normal()).max(0.2);
            let shown_lb = if combine.shows_dry {
                tank.dry_lb / k * error
            } else {
                slip.moisture = Some(self.read(&combine.meter, tank.moisture_pct()));
                tank.wet_lb() / k * error
            };
            slip.weight = Weight::Monitor {
                machine: combine.id.clone(),
                reading: digits(shown_lb, combine.unit, 10),
                unit: combine.unit,
            };
            self.fillers.entry(to.to_owned()).or_default().push(key);
        } else {
            slip.weight = self.eye(tank, false);
            slip.moisture = Some(self.read("hand", tank.moisture_pct()));
        }
        self.heap_mut(to, crop).add(tank);
        let trips = vec![self.trip_of(to)];
        self.write(slip, tank, trips)
    }

    fn eye(&mut self, moved: Heap, full: bool) -> Weight {
        let error = (1.0 + self.sureness.eye * self.stream.normal()).max(0.2);
        Weight::Eye {
            lb: digits(moved.wet_lb() * error, MassUnit::Lb, 100),
            full,
        }
    }

    /// Wagons (or a truck) driven onto a scale and emptied.
    pub(crate) fn ticket(
        &mut self,
        at_ms: i64,
        from: &[&str],
        to: &str,
        crop: &str,
        style: &TicketStyle,
    ) -> String {
        let mut load = Heap::default();
        let mut trips = Vec::new();
        let mut empty_lb = 0.0;
        let mut list_lb = 0;
        for place in from {
            load.add(self.heap(place, crop));
            *self.heap_mut(place, crop) = Heap::default();
            trips.push(self.trip_of(place));
            empty_lb += self.empty_lb.get(*place).copied().unwrap_or(0.0);
            list_lb += self
                .record
                .places
                .iter()
                .find(|p| p.id == *place)
                .and_then(|p| p.tare_lb)
                .unwrap_or(0);
            let filled = self.fillers.remove(*place).unwrap_or_default();
            let mut once: Vec<_> = filled;
            once.sort();
            once.dedup();
            for key in once {
                *self.weighed.entry(key).or_default() += 1;
            }
            self.close(place);
        }
        let relative = match style.scale {
            Scale::Certified => self.sureness.certified,
            Scale::Cart => self.sureness.cart,
            Scale::Farm => self.sureness.farm,
        };
        let shared = style.shared_tare && from.len() == 1;
        let mut paper_gross = None;
        let weight = if style.scale == Scale::Certified {
            let on = |lb: f64, stream: &mut Stream| {
                digits(
                    lb * (1.0 + relative * stream.normal()),
                    style.unit,
                    style.step,
                )
            };
            let gross = on(load.wet_lb() + empty_lb, &mut self.stream);
            let tare = if shared {
                digits(list_lb as f64, style.unit, style.step)
            } else {
                on(empty_lb, &mut self.stream)
            };
            paper_gross = style.net_only.then_some(gross);
            Weight::Scale {
                gross: (!style.net_only).then_some(gross),
                tare: (!style.net_only).then_some(tare),
                shared_tare: (shared && !style.net_only).then(|| format!("tare {}", from[0])),
                net: gross - tare,
                step: style.step,
                unit: style.unit,
                scale: style.scale,
            }
        } else {
            // a cart or platform shows the grain alone: zeroed empty
            let error = 1.0 + relative * self.stream.normal();
            Weight::Scale {
                gross: None,
                tare: None,
                shared_tare: None,
                net: digits(load.wet_lb() * error, style.unit, style.step),
                step: style.step,
                unit: style.unit,
                scale: style.scale,
            }
        };
        let mut slip = self.blank(at_ms, from, to, crop);
        slip.weight = weight;
        slip.empties = true;
        slip.factors.clone_from(&style.factors);
        if let Some(meter) = &style.meter {
            slip.moisture = Some(self.read(meter, load.moisture_pct()));
            slip.test_weight_lb_bu = self.test_weight_of(crop);
        }
        if self.kind(to) != Some(PlaceKind::Pit) {
            self.heap_mut(to, crop).add(load);
            trips.push(self.trip_of(to));
        }
        if let Some(gross) = paper_gross {
            self.truth.paper_gross.insert(slip.id.clone(), gross);
        }
        self.write(slip, load, trips)
    }

    /// Part or all of one place's grain moved to another with no scale; `share` 1 empties it.
    ///
    /// `guess` writes a weight by eye, else the slip says nothing of how much.
    pub(crate) fn shift(
        &mut self,
        at_ms: i64,
        from: &str,
        to: &str,
        crop: &str,
        share: f64,
        guess: bool,
    ) -> String {
        let moved = self.heap(from, crop).part(share.min(1.0));
        let all = share >= 1.0;
        let mut slip = self.blank(at_ms, &[from], to, crop);
        if guess {
            slip.weight = self.eye(moved, all);
            slip.moisture = Some(self.read("hand", moved.moisture_pct()));
        }
        slip.empties = all && self.kind(from) == Some(PlaceKind::Wagon);
        let mut trips = vec![self.trip_of(from)];
        let key = (from.to_owned(), crop.to_owned());
        if all {
            self.heaps.remove(&key);
            self.fillers.remove(from);
            if slip.empties {
                self.close(from);
            }
        } else if let Some(heap) = self.heaps.get_mut(&key) {
            heap.take(moved);
        }
        if !matches!(
            self.kind(to),
            Some(PlaceKind::Pit | PlaceKind::Feed | PlaceKind::Seed | PlaceKind::Spill)
        ) {
            self.heap_mut(to, crop).add(moved);
            trips.push(self.trip_of(to));
        }
        self.write(slip, moved, trips)
    }

    pub(crate) fn kind(&self, place: &str) -> Option<PlaceKind> {
        self.record
            .places
            .iter()
            .find(|p| p.id == place)
            .map(|p| p.kind)
    }

    /// Water gained (or lost, below 0) by grain standing in a place, as a share of its wet mass.
    pub(crate) fn dew(&mut self, place: &str, crop: &str, share: f64) {
        let heap = self.heap_mut(place, crop);
        heap.water_lb = (heap.water_lb + heap.wet_lb() * share).max(0.01 * heap.dry_lb);
    }

    /// Grain dried to a moisture, losing a share of its dry matter.
    pub(crate) fn dry(&mut self, place: &str, crop: &str, to_pct: f64, loss: f64) {
        let heap = self.heap_mut(place, crop);
        heap.dry_lb *= 1.0 - loss;
        heap.water_lb = heap.dry_lb * to_pct / (100.0 - to_pct);
    }

    /// A bin measured, or with `exact` known empty (or opened at the season's start).
    pub(crate) fn measure(&mut self, at_ms: i64, place: &str, crop: &str, exact: bool) -> String {
        let heap = self.heap(place, crop);
        let id = format!("m{:03}", self.record.stocks.len());
        let (wet_lb, moisture) = if exact {
            (0, None)
        } else {
            let error = (1.0 + self.sureness.bin * self.stream.normal()).max(0.2);
            (
                digits(heap.wet_lb() * error, MassUnit::Lb, 10),
                Some(self.read("hand", heap.moisture_pct())),
            )
        };
        self.truth.stock_dry_lb.insert(id.clone(), heap.dry_lb);
        self.record.stocks.push(Stock {
            id: id.clone(),
            at_ms,
            place: place.to_owned(),
            crop: crop.to_owned(),
            wet_lb,
            moisture,
            relative_sd: exact.then_some(0.0),
        });
        let closed = self.trip_of(place);
        self.close(place);
        let opened = self.trip_of(place);
        self.truth
            .stock_trips
            .insert(id.clone(), vec![closed, opened]);
        id
    }

    /// A hand sample of what stands in a place.
    pub(crate) fn sample(&mut self, at_ms: i64, place: &str, crop: &str) {
        let moisture_pct = self.heap(place, crop).moisture_pct();
        let moisture = self.read("hand", moisture_pct);
        let test_weight_lb_bu = self.test_weight_of(crop);
        self.record.samples.push(Sample {
            at_ms,
            place: place.to_owned(),
            crop: crop.to_owned(),
            moisture,
            test_weight_lb_bu,
        });
    }
}
