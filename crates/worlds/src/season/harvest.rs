//! Day by day: tanks into wagons, wagons to the scale or the bin, and in winter the bin to the scale.

use super::layout::{self, Crop, Layout};
use crate::mistake::Truth;
use crate::paper::{Record, Scale};
use crate::scribe::{Heap, Scribe, Sureness, TicketStyle};
use numeric::stream::Stream;
use std::collections::BTreeMap;

const MINUTE: i64 = 60_000;
const DAY: i64 = 24 * 60 * MINUTE;
/// Midnight UTC of an invented first day.
const START: i64 = 1_757_894_400_000;

struct Work {
    scribe: Scribe,
    layout: Layout,
    now: i64,
    /// When each wagon is back and empty.
    free: Vec<i64>,
    field_moisture: Vec<f64>,
    loss: BTreeMap<String, f64>,
}

/// Writes the paper of one season of about `size` slips.
pub(super) fn run(seed: u64, index: u64, size: usize) -> (Record, Truth) {
    let stream = Stream::new(seed, "season", index);
    let mut scribe = Scribe::new(stream, Sureness::default());
    let layout = layout::draw(&mut scribe);
    let field_moisture = layout
        .fields
        .iter()
        .map(|(_, crop)| {
            scribe
                .stream
                .normal_of(layout.crops[*crop].moisture_pct, 0.6)
        })
        .collect();
    let mut work = Work {
        now: START + 16 * 60 * MINUTE,
        free: vec![0; layout.wagons.len()],
        scribe,
        field_moisture,
        loss: BTreeMap::new(),
        layout,
    };
    work.open_bins();
    let mut field = 0;
    while work.scribe.record.slips.len() < size {
        // stay in a field for some trips; move to another, of any crop, at a turn
        if work.scribe.stream.chance(0.2) {
            field = work.scribe.stream.below(work.layout.fields.len());
        }
        work.trip(field);
        work.night_falls();
    }
    work.winter();
    work.last_look();
    work.scribe.finish()
}

impl Work {
    fn open_bins(&mut self) {
        let (mean, sd) = self.scribe.sureness.loss;
        for crop in &self.layout.crops {
            if let Some(bin) = crop.bin.clone() {
                let old = self.scribe.stream.chance(0.25);
                if old {
                    let wet = self.scribe.stream.between(20_000.0, 90_000.0);
                    let key = (bin.clone(), crop.name.to_owned());
                    self.scribe.heaps.insert(key, Heap::of(wet, 13.0));
                }
                self.scribe.measure(START, &bin, crop.name, !old);
                let loss = self.scribe.stream.normal_of(mean, sd).max(0.0);
                self.loss.insert(crop.name.to_owned(), loss);
            }
        }
    }

    /// One wagon filled and hauled.
    fn trip(&mut self, field: usize) {
        let crop_index = self.layout.fields[field].1;
        let Some(wagon) = self.next_wagon() else {
            return;
        };
        let mut loaded = vec![wagon];
        self.fill(field, wagon);
        // now and then two wagons go over the scale as one train
        if self.scribe.stream.chance(0.08)
            && let Some(second) = self.next_wagon().filter(|w| *w != wagon)
        {
            self.fill(field, second);
            loaded.push(second);
        }
        let crop = &self.layout.crops[crop_index];
        let to_bin = crop.bin.clone().filter(|_| self.scribe.stream.chance(0.35));
        let away = self.now + self.minutes(20, 60);
        match to_bin {
            Some(bin) => self.haul_to_bin(away, &loaded, crop_index, &bin),
            None => self.haul_to_buyer(away, &loaded, crop_index),
        }
        for wagon in loaded {
            self.free[wagon] = away + 40 * MINUTE;
        }
    }

    fn minutes(&mut self, low: i64, high: i64) -> i64 {
        self.scribe.stream.whole(low * MINUTE, high * MINUTE)
    }

    fn next_wagon(&mut self) -> Option<usize> {
        let best = (0..self.free.len()).min_by_key(|w| self.free[*w])?;
        let free: Vec<usize> = (0..self.free.len())
            .filter(|w| self.free[*w] <= self.now)
            .collect();
        if let Some(&wagon) = self.scribe.stream.choice(&free) {
            self.free[wagon] = i64::MAX;
            return Some(wagon);
        }
        if self.free[best] == i64::MAX {
            return None;
        }
        self.now = self.now.max(self.free[best]);
        self.free[best] = i64::MAX;
        Some(best)
    }

    fn fill(&mut self, field: usize, wagon: usize) {
        let (mut field_name, crop) = self.layout.fields[field].clone();
        let combine =
            self.layout.combines[self.scribe.stream.below(self.layout.combines.len())].clone();
        let name = self.layout.wagons[wagon].name.clone();
        let crop_name = self.layout.crops[crop].name;
        let lb_per_bu = self.layout.crops[crop].lb_per_bu;
        for tank in 0..self.layout.wagons[wagon].tanks {
            self.now += self.minutes(18, 45);
            // the last tank of a field is topped up from the next field of the crop now and then
            if tank > 0 && self.scribe.stream.chance(0.06) {
                let same: Vec<String> = self
                    .layout
                    .fields
                    .iter()
                    .filter(|f| f.1 == crop)
                    .map(|f| f.0.clone())
                    .collect();
                if let Some(other) = self.scribe.stream.choice(&same) {
                    field_name.clone_from(other);
                }
            }
            let wet = self.layout.tank_bu * lb_per_bu * self.scribe.stream.between(0.7, 1.02);
            let moisture = self
                .scribe
                .stream
                .normal_of(self.field_moisture[field], 0.4)
                .max(6.0);
            let heap = Heap::of(wet, moisture);
            self.scribe
                .dump(self.now, &combine, &field_name, &name, crop_name, heap);
        }
        if self.scribe.stream.chance(0.06) {
            self.scribe.sample(self.now, &name, crop_name);
        }
        if self.scribe.stream.chance(0.08) {
            // it stands out overnight
            let share = self.scribe.stream.normal_of(0.0, 0.004);
            self.scribe.dew(&name, crop_name, share);
        }
    }

    fn style(&mut self, crop: usize, wagon: Option<usize>) -> TicketStyle {
        let mut style = self.layout.crops[crop].style.clone();
        style.net_only = self.scribe.stream.chance(0.3);
        style.shared_tare = wagon.is_some_and(|w| self.layout.wagons[w].shared_tare);
        style
    }

    fn haul_to_buyer(&mut self, at: i64, loaded: &[usize], crop: usize) {
        let names: Vec<String> = loaded
            .iter()
            .map(|w| self.layout.wagons[*w].name.clone())
            .collect();
        let crop_name = self.layout.crops[crop].name;
        let buyer = self.layout.crops[crop].buyer.clone();
        if loaded.len() == 1
            && self.scribe.stream.chance(0.05)
            && self.layout.crops[crop].bin.is_some()
        {
            // part goes into the bin by eye, the rest stays on and is weighed with another tank
            let bin = self.layout.crops[crop].bin.clone().unwrap_or_default();
            let share = self.scribe.stream.between(0.3, 0.7);
            self.scribe
                .shift(at - 15 * MINUTE, &names[0], &bin, crop_name, share, true);
        }
        let froms: Vec<&str> = names.iter().map(String::as_str).collect();
        let style = self.style(crop, Some(loaded[0]));
        self.scribe.ticket(at, &froms, &buyer, crop_name, &style);
    }

    fn haul_to_bin(&mut self, at: i64, loaded: &[usize], crop: usize, bin: &str) {
        let Crop { name, dried, .. } = self.layout.crops[crop];
        for (turn, wagon) in loaded.iter().enumerate() {
            let from = self.layout.wagons[*wagon].name.clone();
            let at = at + (12 * MINUTE) * i64::try_from(turn).unwrap_or(0);
            let to = if dried { "dryer" } else { bin };
            match self.scribe.stream.below(3) {
                0 => {
                    let style = TicketStyle {
                        scale: if self.scribe.stream.chance(0.5) {
                            Scale::Farm
                        } else {
                            Scale::Cart
                        },
                        net_only: true,
                        shared_tare: false,
                        meter: Some("hand".to_owned()),
                        unit: quantity::MassUnit::Lb,
                        ..self.layout.crops[crop].style.clone()
                    };
                    self.scribe.ticket(at, &[&from], to, name, &style);
                }
                1 => {
                    self.scribe.shift(at, &from, to, name, 1.0, true);
                }
                _ => {
                    self.scribe.shift(at, &from, to, name, 1.0, false);
                }
            }
        }
        if dried {
            let loss = self.loss.get(name).copied().unwrap_or(0.0);
            self.scribe.dry("dryer", name, 14.0, loss);
            self.scribe
                .shift(at + 30 * MINUTE, "dryer", bin, name, 1.0, false);
            self.scribe.close("dryer");
        }
    }

    fn night_falls(&mut self) {
        let hour = (self.now - START) % DAY / (60 * MINUTE);
        if !(2..16).contains(&hour) {
            return;
        }
        // 02:00 UTC is evening on the farm: go on next day at 16:00 UTC
        self.now += (16 - hour) * 60 * MINUTE;
        let bins: Vec<(String, &str)> = self
            .layout
            .crops
            .iter()
            .filter_map(|c| Some((c.bin.clone()?, c.name)))
            .collect();
        for (bin, crop) in bins {
            let full = self.scribe.heap(&bin, crop).dry_lb > 20_000.0;
            if full && self.scribe.stream.chance(0.25) {
                self.scribe
                    .measure(self.now - 60 * MINUTE, &bin, crop, false);
            }
        }
    }

    /// The bins hauled out by truck.
    fn winter(&mut self) {
        let Some(truck) = self.layout.truck.clone() else {
            return;
        };
        self.now += 40 * DAY;
        for crop in 0..self.layout.crops.len() {
            let (name, buyer) = (
                self.layout.crops[crop].name,
                self.layout.crops[crop].buyer.clone(),
            );
            let Some(bin) = self.layout.crops[crop].bin.clone() else {
                continue;
            };
            if self.scribe.heap(&bin, name).dry_lb > 2_000.0 {
                self.scribe.measure(self.now, &bin, name, false);
            }
            if self.scribe.stream.chance(0.3) {
                self.now += 60 * MINUTE;
                self.scribe.shift(self.now, &bin, "feed", name, 0.03, true);
            }
            let empty_it = self.scribe.stream.chance(0.7);
            let keep = if empty_it { 500.0 } else { 40_000.0 };
            while self.scribe.heap(&bin, name).wet_lb() > keep {
                self.now += self.minutes(90, 200);
                let there = self.scribe.heap(&bin, name).wet_lb();
                let load = self.scribe.stream.between(42_000.0, 47_000.0);
                let share = if there - load < 500.0 {
                    1.0
                } else {
                    load / there
                };
                let guess = self.scribe.stream.chance(0.4);
                self.scribe
                    .shift(self.now, &bin, &truck, name, share, guess);
                self.now += self.minutes(30, 80);
                let style = self.style(crop, None);
                self.scribe
                    .ticket(self.now, &[&truck], &buyer, name, &style);
            }
            self.now += 30 * MINUTE;
            if empty_it {
                // what lies on the floor is swept up and given away
                let rest = self.scribe.heap(&bin, name);
                if rest.dry_lb > 0.0 {
                    self.scribe.shift(self.now, &bin, "spill", name, 1.0, true);
                }
                self.scribe.measure(self.now + MINUTE, &bin, name, true);
            } else {
                self.scribe.measure(self.now, &bin, name, false);
            }
        }
    }

    /// Wagons looked into at the end of the season.
    fn last_look(&mut self) {
        self.now += DAY;
        for wagon in 0..self.layout.wagons.len() {
            let name = self.layout.wagons[wagon].name.clone();
            for crop in 0..self.layout.crops.len() {
                let crop = self.layout.crops[crop].name;
                if self.scribe.stream.chance(0.8) {
                    self.scribe.measure(self.now, &name, crop, true);
                }
            }
        }
    }
}
