//! The network of a season.

use super::evidence::{self, Weighed, Wetness};
use super::periods::{self, Edge, Period, empties, exact};
use crate::slip::{CropId, MachineId, MeterId, PlaceId, PlaceKind, Slip, SlipId, Stock, Weight};
use crate::square::network::{Measurement, Model, Network, Row};
use crate::square::{MoistureSource, Season, Settings, SquareError};
use quantity::Mass;
use std::collections::{BTreeMap, BTreeSet};

/// One monitor setting: machine, crop, and how many times it had been set anew.
pub(crate) type FactorKey = (MachineId, CropId, usize);

/// What an earlier fit of a larger season knows, to be believed in a part of it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Known {
    /// What went into a dryer, by period, dry kg.
    pub(crate) through: BTreeMap<usize, f64>,
    /// Factors with their standard errors.
    pub(crate) factors: BTreeMap<FactorKey, (f64, f64)>,
    /// Offsets with their standard errors, points.
    pub(crate) offsets: BTreeMap<MeterId, (f64, f64)>,
    /// Relative standard errors of tanks by monitor.
    pub(crate) relative: BTreeMap<SlipId, f64>,
    /// Moistures of slips that have none of their own.
    pub(crate) wetness: BTreeMap<SlipId, Wetness>,
}

/// What a measurement of the network stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Subject {
    /// A slip, by index.
    Slip(usize),
    /// A stock, by index.
    Stock(usize),
    /// Something believed beforehand.
    Prior,
}

/// A season laid out as a network.
#[derive(Debug, Clone)]
pub(crate) struct Layout<'a> {
    pub(crate) season: &'a Season,
    pub(crate) settings: &'a Settings,
    /// In order of time, then of id; every index below counts these.
    pub(crate) slips: Vec<&'a Slip>,
    pub(crate) stocks: Vec<&'a Stock>,
    pub(crate) periods: Vec<Period>,
    pub(crate) wetness: Vec<Wetness>,
    pub(crate) network: Network,
    /// Unknown mass of each slip.
    pub(crate) mass: Vec<usize>,
    /// Unknown mass from each of a slip's sources.
    pub(crate) flow: Vec<Vec<usize>>,
    /// Unknown stock, where it is not exactly known.
    pub(crate) stock: Vec<Option<usize>>,
    /// What is left at the end of an open period, by period.
    pub(crate) left: BTreeMap<usize, usize>,
    pub(crate) factors: BTreeMap<FactorKey, usize>,
    pub(crate) weighed_loads: BTreeMap<FactorKey, usize>,
    pub(crate) factor_of: Vec<Option<FactorKey>>,
    pub(crate) offsets: BTreeMap<MeterId, usize>,
    pub(crate) tares: BTreeMap<String, usize>,
    /// By measurement.
    pub(crate) subject: Vec<Subject>,
    pub(crate) of_slip: Vec<Option<usize>>,
    pub(crate) of_stock: Vec<Option<usize>>,
    /// Dry matter as written, kg, before any monitor factor.
    pub(crate) record_kg: Vec<Option<f64>>,
    pub(crate) stock_kg: Vec<f64>,
    /// Relative standard error of each monitor tank.
    pub(crate) relative: Vec<f64>,
}

/// Lays a season out, believing what an earlier fit knows.
pub(crate) fn lay_out<'a>(
    season: &'a Season,
    settings: &'a Settings,
    known: &Known,
) -> Result<Layout<'a>, SquareError> {
    let places = evidence::by_name(season);
    let mut slips: Vec<&Slip> = season.slips.iter().collect();
    slips.sort_by(|a, b| (a.at_ms, &a.id).cmp(&(b.at_ms, &b.id)));
    let mut stocks: Vec<&Stock> = season.stocks.iter().collect();
    stocks.sort_by(|a, b| (a.at_ms, &a.id).cmp(&(b.at_ms, &b.id)));
    periods::check(&places, &slips, &stocks)?;
    let periods = periods::periods(&places, &slips, &stocks);
    let mut wetness = evidence::moistures(season, settings, &slips, &periods);
    for (wet, slip) in wetness.iter_mut().zip(&slips) {
        if let Some(better) = known.wetness.get(&slip.id)
            && wet.source != MoistureSource::Own
        {
            wet.clone_from(better);
        }
    }
    let count = slips.len();
    let mut layout = Layout {
        season,
        settings,
        slips,
        stocks,
        periods,
        wetness,
        network: Network::default(),
        mass: Vec::with_capacity(count),
        flow: Vec::with_capacity(count),
        stock: Vec::new(),
        left: BTreeMap::new(),
        factors: BTreeMap::new(),
        weighed_loads: BTreeMap::new(),
        factor_of: vec![None; count],
        offsets: BTreeMap::new(),
        tares: BTreeMap::new(),
        subject: Vec::new(),
        of_slip: vec![None; count],
        of_stock: Vec::new(),
        record_kg: vec![None; count],
        stock_kg: Vec::new(),
        relative: vec![0.0; count],
    };
    layout.masses();
    let loads_before = layout.count_loads();
    layout.measure_slips(&loads_before, known)?;
    layout.measure_stocks(known)?;
    layout.close_periods(&known.through);
    Ok(layout)
}

impl Layout<'_> {
    fn masses(&mut self) {
        for (index, slip) in self.slips.iter().enumerate() {
            let start = evidence::weighed(self.season, self.settings, slip)
                .map_or(0.0, |w| w.kg * (1.0 - self.wetness[index].fraction));
            self.record_kg[index] = (!matches!(slip.weight, Weight::Unknown)).then_some(start);
            let mass = self.network.mass(start);
            self.mass.push(mass);
            let flows = if slip.from.len() == 1 {
                vec![mass]
            } else {
                let share = start / slip.from.len() as f64;
                let flows: Vec<usize> =
                    slip.from.iter().map(|_| self.network.mass(share)).collect();
                let mut terms: Row = flows.iter().map(|&f| (f, 1.0)).collect();
                terms.push((mass, -1.0));
                self.network.balance(terms, 0.0);
                flows
            };
            self.flow.push(flows);
        }
    }

    /// How often a machine's monitor had been set anew before a moment.
    fn setting(&self, machine: &MachineId, at_ms: i64) -> usize {
        let anew = self.season.recalibrations.iter();
        anew.filter(|(m, at)| m == machine && *at <= at_ms).count()
    }

    /// For each slip, how many weighed loads its monitor had behind it; counts them all on the way.
    fn count_loads(&mut self) -> Vec<usize> {
        let mut before = vec![0; self.slips.len()];
        let mut inside: BTreeMap<PlaceId, BTreeSet<FactorKey>> = BTreeMap::new();
        for (index, slip) in self.slips.iter().enumerate() {
            if let Weight::Monitor { machine, .. } = &slip.weight {
                let key = (
                    machine.clone(),
                    slip.crop.clone(),
                    self.setting(machine, slip.at_ms),
                );
                before[index] = self.weighed_loads.get(&key).copied().unwrap_or(0);
                inside
                    .entry(slip.to.clone())
                    .or_default()
                    .insert(key.clone());
                self.weighed_loads.entry(key.clone()).or_insert(0);
                self.factor_of[index] = Some(key);
            } else {
                // through a cart the tanks go along
                let mut along = BTreeSet::new();
                for place in &slip.from {
                    if let Some(keys) = inside.get(place) {
                        along.extend(keys.iter().cloned());
                    }
                    if empties(slip) {
                        inside.remove(place);
                    }
                }
                if matches!(slip.weight, Weight::Scale { .. }) {
                    // a tank of another crop that was typed into this wagon set nothing
                    for key in along.into_iter().filter(|key| key.1 == slip.crop) {
                        *self.weighed_loads.entry(key).or_default() += 1;
                    }
                } else {
                    inside.entry(slip.to.clone()).or_default().extend(along);
                }
            }
        }
        before
    }

    fn factor(&mut self, key: &FactorKey, known: &Known) -> usize {
        if let Some(&there) = self.factors.get(key) {
            return there;
        }
        let loads = self.weighed_loads.get(key).copied().unwrap_or(0);
        let prior = if loads >= self.settings.loads_to_set {
            self.settings.factor_set
        } else {
            self.settings.factor_unset
        };
        let (value, sd) = known.factors.get(key).copied().unwrap_or((1.0, prior));
        let unknown = self.network.nuisance(value);
        self.believe(unknown, value, sd.max(1e-6));
        self.factors.insert(key.clone(), unknown);
        unknown
    }

    /// The term of a meter's offset: none for the reference.
    fn offset(&mut self, meter: Option<&MeterId>, wet_kg: f64, known: &Known) -> Row {
        let Some(meter) = meter else {
            return Vec::new();
        };
        if evidence::reference(self.season).as_ref() == Some(meter) {
            return Vec::new();
        }
        let unknown = if let Some(&there) = self.offsets.get(meter) {
            there
        } else {
            let (value, sd) = known
                .offsets
                .get(meter)
                .map_or((0.0, self.settings.offset_points), |k| (k.0, k.1.max(1e-6)));
            let made = self.network.nuisance(value);
            self.believe(made, value, sd);
            self.offsets.insert(meter.clone(), made);
            made
        };
        vec![(unknown, -wet_kg / 100.0)]
    }

    fn believe(&mut self, unknown: usize, value: f64, sd: f64) {
        self.network.measure(Measurement::prior(unknown, value, sd));
        self.subject.push(Subject::Prior);
    }

    fn measure(&mut self, measurement: Measurement, subject: Subject) -> usize {
        self.subject.push(subject);
        self.network.measure(measurement)
    }

    fn measure_slips(&mut self, loads_before: &[usize], known: &Known) -> Result<(), SquareError> {
        for (index, &before) in loads_before.iter().enumerate() {
            let slip = self.slips[index];
            let Some(mut weighed) = evidence::weighed(self.season, self.settings, slip) else {
                continue;
            };
            let wet = self.wetness[index].clone();
            let dryness = 1.0 - wet.fraction;
            let mut terms = self.offset(wet.meter.as_ref(), weighed.kg, known);
            let mut factor = None;
            if let (Weight::Monitor { machine, .. }, Some(key)) =
                (&slip.weight, self.factor_of[index].clone())
            {
                if !self.settings.slip_relative_sd.contains_key(&slip.id) {
                    weighed.relative = self
                        .settings
                        .machine_relative_sd
                        .get(machine)
                        .copied()
                        .unwrap_or(if before < self.settings.loads_to_set {
                            self.settings.monitor_unset
                        } else {
                            self.settings.monitor_set
                        });
                }
                if let Some(&relative) = known.relative.get(&slip.id) {
                    weighed.relative = relative;
                }
                self.relative[index] = weighed.relative;
                factor = Some(self.factor(&key, known));
            }
            if let Some(tare) = self.shared_tare(slip) {
                terms.push((tare, -dryness));
            }
            let value = weighed.kg * dryness;
            let sd = dry_sd(&weighed, &wet);
            positive(sd.max(weighed.relative), || format!("slip {}", slip.id))?;
            let mass = self.mass[index];
            let model = if weighed.relative > 0.0 {
                Model::Quotient {
                    mass,
                    factor,
                    terms,
                    reading: value,
                    relative: weighed.relative,
                }
            } else {
                terms.push((mass, 1.0));
                Model::Linear { terms, value }
            };
            let measurement = Measurement {
                model,
                // a reading of nothing still has an error
                sd: sd.max(0.5),
                tested: true,
            };
            self.of_slip[index] = Some(self.measure(measurement, Subject::Slip(index)));
        }
        Ok(())
    }

    /// The unknown error of a tare that several slips share, weighed once.
    fn shared_tare(&mut self, slip: &Slip) -> Option<usize> {
        let Weight::Scale {
            tare,
            shared_tare: Some(name),
            step,
            class,
            ..
        } = &slip.weight
        else {
            return None;
        };
        if let Some(&known) = self.tares.get(name) {
            return Some(known);
        }
        let kg = tare.map_or_else(
            || evidence::empty_kg(self.season, &slip.from, 0.0),
            Mass::kg,
        );
        let sd = (self.settings.scale(*class) * kg).hypot(step.kg() / 12.0_f64.sqrt());
        let unknown = self.network.nuisance(0.0);
        self.believe(unknown, 0.0, sd.max(0.5));
        self.tares.insert(name.clone(), unknown);
        Some(unknown)
    }

    fn measure_stocks(&mut self, known: &Known) -> Result<(), SquareError> {
        for index in 0..self.stocks.len() {
            let stock = self.stocks[index];
            let wet = evidence::stock_moisture(self.season, self.settings, &self.slips, stock);
            let value = stock.wet.kg() * (1.0 - wet.fraction);
            self.stock_kg.push(value);
            if exact(stock) {
                self.stock.push(None);
                self.of_stock.push(None);
                continue;
            }
            let relative = stock.relative_sd.unwrap_or(self.settings.bin_measure);
            positive(relative, || format!("stock {}", stock.id))?;
            let mass = self.network.mass(value);
            let terms = self.offset(wet.meter.as_ref(), stock.wet.kg(), known);
            let measurement = Measurement {
                model: Model::Quotient {
                    mass,
                    factor: None,
                    terms,
                    reading: value,
                    relative,
                },
                sd: (stock.wet.kg() * wet.sd).max(0.5),
                tested: true,
            };
            let made = self.measure(measurement, Subject::Stock(index));
            self.stock.push(Some(mass));
            self.of_stock.push(Some(made));
        }
        Ok(())
    }

    /// An edge as a term and a constant.
    fn edge(&self, edge: Edge) -> (Option<usize>, f64) {
        match edge {
            Edge::Empty | Edge::Open => (None, 0.0),
            Edge::Stock(index) => match self.stock[index] {
                Some(unknown) => (Some(unknown), 0.0),
                None => (None, self.stock_kg[index]),
            },
        }
    }

    fn close_periods(&mut self, through: &BTreeMap<usize, f64>) {
        let mut losses: BTreeMap<PlaceId, usize> = BTreeMap::new();
        for at in 0..self.periods.len() {
            let period = self.periods[at].clone();
            let mut terms: Row = Vec::new();
            let (opening, before) = self.edge(period.opening);
            terms.extend(opening.map(|s| (s, 1.0)));
            // in order of time, so that a long balance splits into a chain of stocks
            let mut flows: Vec<(usize, usize, f64)> = period
                .ins
                .iter()
                .map(|&s| (s, self.mass[s], 1.0))
                .chain(
                    period
                        .outs
                        .iter()
                        .map(|&(s, source)| (s, self.flow[s][source], -1.0)),
                )
                .collect();
            flows.sort_by_key(|f| f.0);
            terms.extend(flows.into_iter().map(|(_, unknown, sign)| (unknown, sign)));
            let (closing, after) = self.edge(period.closing);
            terms.extend(closing.map(|s| (s, -1.0)));
            if period.closing == Edge::Open {
                let left = self.network.mass(0.0);
                self.left.insert(at, left);
                terms.push((left, -1.0));
            }
            if period.kind == PlaceKind::Dryer {
                let through = through.get(&at).copied().unwrap_or(0.0);
                let loss = *losses.entry(period.place.clone()).or_insert_with(|| {
                    let made = self.network.nuisance(self.settings.handling_loss);
                    let prior = (self.settings.handling_loss, self.settings.handling_loss_sd);
                    self.network
                        .measure(Measurement::prior(made, prior.0, prior.1));
                    self.subject.push(Subject::Prior);
                    made
                });
                // a share of what went in by an earlier fit: half a per cent of its error is nothing
                terms.push((loss, -through));
            }
            self.network.balance(terms, after - before);
        }
    }
}

/// Standard error of a dry mass, the part that does not grow with it, kg.
pub(crate) fn dry_sd(weighed: &Weighed, wet: &Wetness) -> f64 {
    ((1.0 - wet.fraction) * weighed.sd_kg).hypot(weighed.kg * wet.sd)
}

fn positive(found: f64, what: impl Fn() -> String) -> Result<(), SquareError> {
    if found > 0.0 && found.is_finite() {
        Ok(())
    } else {
        Err(SquareError::BadStandardError {
            what: what(),
            found,
        })
    }
}
