//! The verdict on a network, read back as an answer about slips.

use super::advice;
use super::build::{Layout, Subject};
use super::evidence;
use super::periods::Edge;
use crate::slip::{SlipId, Weight};
use crate::square::mistake;
use crate::square::network::{Model, Verdict};
use crate::square::squared::{
    MoistureSource, Squared, SquaredFactor, SquaredOffset, SquaredSlip, SquaredStock, SquaredTare,
    Suspect, Unexplained,
};
use numeric::distribution::chi_square_upper;
use std::collections::BTreeSet;

/// Size of a mistake, in standard deviations, that is found nearly always.
const FOUND: f64 = 6.0;

/// Chance from which a neighbor joins the set.
const LIKELY: f64 = 0.1;
/// Chance of no named mistake from which the whole filling joins it.
const UNEXPLAINED: f64 = 0.1;

/// What the report needs besides the layout.
pub(crate) struct Read<'a> {
    pub(crate) layout: &'a Layout<'a>,
    pub(crate) verdict: &'a Verdict,
    /// Standard errors of all unknowns in the last fit.
    pub(crate) errors: Vec<Option<f64>>,
}

impl Read<'_> {
    /// Name of what a measurement stands for.
    pub(crate) fn name(&self, measurement: usize) -> Option<&SlipId> {
        match self.layout.subject[measurement] {
            Subject::Slip(index) => Some(&self.layout.slips[index].id),
            Subject::Stock(index) => Some(&self.layout.stocks[index].id),
            Subject::Prior => None,
        }
    }

    /// Dry kg for one unit of a measurement: the monitor's factor, or 1.
    pub(crate) fn scale(&self, measurement: usize) -> f64 {
        let Subject::Slip(index) = self.layout.subject[measurement] else {
            return 1.0;
        };
        self.layout.factor_of[index]
            .as_ref()
            .and_then(|key| self.layout.factors.get(key))
            .map_or(1.0, |&unknown| self.verdict.last.values[unknown])
    }

    /// Whether a measurement's error grows with its figure.
    pub(crate) fn relative(&self, measurement: usize) -> bool {
        matches!(
            self.layout.network.measurements[measurement].model,
            Model::Quotient { .. }
        )
    }

    fn value(&self, unknown: usize) -> Option<(f64, f64)> {
        self.errors[unknown].map(|se| (self.verdict.last.values[unknown], se))
    }

    /// Smallest change in dry mass that would be found nearly always, kg.
    fn findable(&self, measurement: usize) -> Option<f64> {
        self.verdict.tests.z[measurement]?;
        let first = &self.verdict.first;
        let rest = first.residual_variance(measurement);
        Some(FOUND * first.variances[measurement] / rest.sqrt() * self.scale(measurement))
    }
}

/// Puts the answer together.
pub(crate) fn report(layout: &Layout<'_>, verdict: &Verdict, level: f64) -> Squared {
    let read = Read {
        layout,
        verdict,
        errors: verdict.last.errors(),
    };
    let suspects = suspects(&read);
    let named: BTreeSet<SlipId> = suspects.iter().map(|s| s.slip.clone()).collect();
    let slips: Vec<SquaredSlip> = in_given_order(&read, &named);
    let unchecked: Vec<SlipId> = slips
        .iter()
        .filter(|s| !s.redundant)
        .map(|s| s.slip.clone())
        .collect();
    let dof = verdict.first.dof;
    Squared {
        square: verdict.worst <= verdict.critical,
        worst_z: verdict.worst,
        critical_z: verdict.critical,
        level,
        tests: verdict.tests.distinct,
        chi_square: verdict.first.chi_square,
        dof,
        chi_square_p: if dof == 0 {
            1.0
        } else {
            chi_square_upper(verdict.first.chi_square, dof as f64)
        },
        slips,
        stocks: stocks(&read),
        factors: factors(&read),
        offsets: offsets(&read),
        tares: tares(&read),
        unexplained: unexplained(&read),
        suspects,
        advice: advice::advise(&read),
        unchecked,
        notes: notes(layout),
    }
}

fn in_given_order(read: &Read<'_>, named: &BTreeSet<SlipId>) -> Vec<SquaredSlip> {
    let layout = read.layout;
    let mut made: Vec<(usize, SquaredSlip)> = Vec::with_capacity(layout.slips.len());
    let mut place: std::collections::BTreeMap<&SlipId, usize> = std::collections::BTreeMap::new();
    for (at, slip) in layout.season.slips.iter().enumerate() {
        place.insert(&slip.id, at);
    }
    for (index, slip) in layout.slips.iter().enumerate() {
        let measurement = layout.of_slip[index];
        let z = measurement.and_then(|m| read.verdict.tests.z[m]);
        let value = read.value(layout.mass[index]);
        let alike = measurement.map_or_else(Vec::new, |m| {
            read.verdict.tests.alike[m]
                .iter()
                .filter_map(|(other, _)| read.name(*other).cloned())
                .collect()
        });
        made.push((
            place[&slip.id],
            SquaredSlip {
                slip: slip.id.clone(),
                record_dry_kg: layout.record_kg[index],
                squared_dry_kg: value.map(|v| v.0),
                se_kg: value.map(|v| v.1),
                record_sd_kg: measurement
                    .map(|m| read.verdict.first.variances[m].sqrt() * read.scale(m)),
                z,
                observable: value.is_some(),
                redundant: z.is_some(),
                findable_kg: measurement.and_then(|m| read.findable(m)),
                alike,
                moisture: layout.wetness[index].source,
                suspect: named.contains(&slip.id),
            },
        ));
    }
    made.sort_by_key(|m| m.0);
    made.into_iter().map(|m| m.1).collect()
}

fn stocks(read: &Read<'_>) -> Vec<SquaredStock> {
    let layout = read.layout;
    let mut made = Vec::new();
    for stock in &layout.season.stocks {
        let Some(index) = layout.stocks.iter().position(|s| s.id == stock.id) else {
            continue;
        };
        let z = layout.of_stock[index].and_then(|m| read.verdict.tests.z[m]);
        let value = match layout.stock[index] {
            Some(unknown) => read.value(unknown),
            None => Some((layout.stock_kg[index], 0.0)),
        };
        made.push(SquaredStock {
            stock: Some(stock.id.clone()),
            place: stock.place.clone(),
            crop: stock.crop.clone(),
            at_ms: stock.at_ms,
            record_dry_kg: Some(layout.stock_kg[index]),
            squared_dry_kg: value.map(|v| v.0),
            se_kg: value.map(|v| v.1),
            z,
            redundant: z.is_some(),
        });
    }
    for (&period, &left) in &layout.left {
        let period = &layout.periods[period];
        let value = read.value(left);
        made.push(SquaredStock {
            stock: None,
            place: period.place.clone(),
            crop: period.crop.clone(),
            at_ms: period.to_ms,
            record_dry_kg: None,
            squared_dry_kg: value.map(|v| v.0),
            se_kg: value.map(|v| v.1),
            z: None,
            redundant: false,
        });
    }
    made
}

fn factors(read: &Read<'_>) -> Vec<SquaredFactor> {
    let layout = read.layout;
    layout
        .factors
        .iter()
        .filter_map(|(key, &unknown)| {
            let (factor, se) = read.value(unknown)?;
            Some(SquaredFactor {
                machine: key.0.clone(),
                crop: key.1.clone(),
                setting: key.2,
                factor,
                se,
                weighed_loads: layout.weighed_loads.get(key).copied().unwrap_or(0),
            })
        })
        .collect()
}

fn offsets(read: &Read<'_>) -> Vec<SquaredOffset> {
    let offset = |(meter, &unknown)| {
        let (points, se_points) = read.value(unknown)?;
        Some(SquaredOffset {
            meter: Clone::clone(meter),
            points,
            se_points,
        })
    };
    read.layout.offsets.iter().filter_map(offset).collect()
}

fn tares(read: &Read<'_>) -> Vec<SquaredTare> {
    let tare = |(name, &unknown): (&String, &usize)| {
        let (error_kg, se_kg) = read.value(unknown)?;
        Some(SquaredTare {
            tare: name.clone(),
            error_kg,
            se_kg,
        })
    };
    read.layout.tares.iter().filter_map(tare).collect()
}

/// What a measurement alone says of its mass: value and variance, monitors at their squared factor.
fn alone(read: &Read<'_>, measurement: usize, record_kg: f64) -> (f64, f64) {
    let scale = read.scale(measurement);
    let variance = read.verdict.first.variances[measurement] * scale * scale;
    (record_kg * scale, variance)
}

fn unexplained(read: &Read<'_>) -> Vec<Unexplained> {
    let layout = read.layout;
    let mut made = Vec::new();
    for period in &layout.periods {
        if period.closing == Edge::Open {
            continue;
        }
        let mut names: Vec<SlipId> = Vec::new();
        let mut sum = Some((0.0, 0.0));
        let mut add = |part: Option<(f64, f64)>, sign: f64| {
            sum = match (sum, part) {
                (Some((total, variance)), Some((value, more))) => {
                    Some((total + sign * value, variance + more))
                }
                _ => None,
            };
        };
        let slip = |s: usize| Some(alone(read, layout.of_slip[s]?, layout.record_kg[s]?));
        let stock = |edge: Edge| match edge {
            Edge::Stock(s) => match layout.of_stock[s] {
                Some(m) => Some(alone(read, m, layout.stock_kg[s])),
                None => Some((layout.stock_kg[s], 0.0)),
            },
            _ => Some((0.0, 0.0)),
        };
        add(stock(period.opening), 1.0);
        for &s in &period.ins {
            names.push(layout.slips[s].id.clone());
            add(slip(s), 1.0);
        }
        for &(s, _) in &period.outs {
            names.push(layout.slips[s].id.clone());
            // several wagons on one ticket: what each brought was not weighed
            add(slip(s).filter(|_| layout.flow[s].len() == 1), -1.0);
        }
        add(stock(period.closing), -1.0);
        for edge in [period.opening, period.closing] {
            if let Edge::Stock(s) = edge {
                names.push(layout.stocks[s].id.clone());
            }
        }
        if let Some((dry_kg, variance)) = sum {
            made.push(Unexplained {
                place: period.place.clone(),
                crop: period.crop.clone(),
                from_ms: period.from_ms,
                to_ms: period.to_ms,
                dry_kg,
                se_kg: variance.sqrt(),
                slips: names,
            });
        }
    }
    made
}

fn suspects(read: &Read<'_>) -> Vec<Suspect> {
    let mut made = Vec::new();
    if read.verdict.aside.is_empty() {
        return made;
    }
    let bench = mistake::Bench::of(read);
    for aside in &read.verdict.aside {
        let Some(slip) = read.name(aside.measurement).cloned() else {
            continue;
        };
        let mut members = vec![aside.measurement];
        members.extend(aside.alike.iter().map(|a| a.0));
        let mut set: Vec<SlipId> = members
            .iter()
            .filter_map(|&m| read.name(m).cloned())
            .collect();
        let last = &read.verdict.last;
        let scale = read.scale(aside.measurement);
        let off_by_kg = last.residuals[aside.measurement] * scale;
        let se_kg = last.residual_variance(aside.measurement).max(0.0).sqrt() * scale;
        let weighed = bench.weigh(aside);
        if weighed.noise > read.layout.settings.noise_at_most {
            // the season stays unsquared, but no slip is blamed for what may be chance
            continue;
        }
        // a neighbor that is likelier to be the one belongs to the set; and where nothing known explains
        // the misfit, it is the filling that is suspect rather than this slip of it
        let likely = weighed.hypotheses.iter().filter(|h| h.chance > LIKELY);
        let mut more: Vec<SlipId> = likely.map(|h| h.slip.clone()).collect();
        if weighed.something_else > UNEXPLAINED {
            more.extend(bench.filling(aside.measurement));
            let others = weighed.plausible.iter();
            more.extend(others.filter_map(|&m| read.name(m).cloned()));
        }
        for slip in more {
            if !set.contains(&slip) {
                set.push(slip);
            }
        }
        let words = mistake::say(&slip, &set, off_by_kg, &weighed.hypotheses);
        made.push(Suspect {
            slip,
            set,
            z: aside.z,
            off_by_kg,
            se_kg,
            hypotheses: weighed.hypotheses,
            something_else: weighed.something_else,
            noise: weighed.noise,
            words,
        });
    }
    made
}

fn notes(layout: &Layout<'_>) -> Vec<String> {
    let mut made = Vec::new();
    let mut count = |source: MoistureSource, sentence: &str| {
        let names: Vec<&str> = layout
            .slips
            .iter()
            .zip(&layout.wetness)
            .filter(|(slip, w)| w.source == source && !matches!(slip.weight, Weight::Unknown))
            .map(|(slip, _)| slip.id.0.as_str())
            .collect();
        if let Some(first) = names.first() {
            made.push(format!(
                "{} {} no moisture of {} own (first: {first}); {sentence}",
                names.len(),
                if names.len() == 1 {
                    "slip has"
                } else {
                    "slips have"
                },
                if names.len() == 1 { "its" } else { "their" },
            ));
        }
    };
    count(
        MoistureSource::Filling,
        "that of another slip of the same filling was taken, and believed less",
    );
    count(
        MoistureSource::Day,
        "the median of the crop's slips of that day was taken, and believed less",
    );
    count(
        MoistureSource::Season,
        "the median of the crop's slips of the season was taken, and believed little",
    );
    count(
        MoistureSource::Guess,
        "nobody measured this crop's moisture, and 15 % was taken, give or take 3 points",
    );
    if let Some(meter) = evidence::reference(layout.season)
        && layout.season.reference_meter.is_none()
        && !layout.offsets.is_empty()
    {
        made.push(format!(
            "no meter is named as the reference; the others are counted from {meter}"
        ));
    }
    made
}
