//! Does what is said of the stops to come hold? Machines with known truth write a part of a season; the rest is
//! foretold from it, then run.
//!
//! `cargo xtask study stops [--experiments 2000] [--seed 1]`. Each machine draws from its own stream.
//!
//! An interval of whole stops cannot end where exactly 5 % lie, and where no stop at all is likelier than that its
//! lower end misses nothing: as shown it holds more than it says, by its nature. What is judged is therefore whether
//! the truth falls into the middle 90 % of what was foretold, a lump of probability (so many stops; nothing lost)
//! split by a draw; the share held as shown stands beside it.

use super::{Request, Verdict};
use facts::Crop;
use machine::stops::repair::Repair;
use machine::stops::{lost, usual_rate};
use numeric::stream::Stream;
use rayon::prelude::*;
use std::fmt::Write as _;
use worlds::stops::{Broke, Farms, season};

/// Acres written before anything is foretold, and acres foretold.
const SPANS: [(f64, f64); 6] = [
    (0.0, 140.0),
    (0.0, 500.0),
    (210.0, 140.0),
    (210.0, 500.0),
    (900.0, 140.0),
    (900.0, 500.0),
];
/// Hours lost are foretold by drawn seasons, which takes time: for every so manyth machine only.
const HOURS_OF: u64 = 5;
/// Of what is foretold 9 in 10.
const LEVEL: f64 = 0.9;

/// As the prior says: soybeans, 1.5 stops' worth of doubt.
const USUAL: Farms = Farms {
    on_100_ac: 0.451,
    rate_spread: 1.0 / 1.5,
    long_tail: false,
    shape: 1.0,
    repair_h: 1.5,
    log_variance: 1.21,
    freedom: 4.0,
};

/// The worlds; the first so many are judged, the others shown.
const JUDGED: usize = 2;
const WORLDS: [(&str, Farms); 6] = [
    ("as assumed", USUAL),
    (
        "rates with a long tail",
        Farms {
            long_tail: true,
            freedom: 12.0,
            ..USUAL
        },
    ),
    (
        "twice as many as published",
        Farms {
            on_100_ac: 0.902,
            ..USUAL
        },
    ),
    (
        "half as many as published",
        Farms {
            on_100_ac: 0.2255,
            ..USUAL
        },
    ),
    (
        "wear (Weibull 1.6)",
        Farms {
            shape: 1.6,
            ..USUAL
        },
    ),
    (
        "repairs that do not hold (Weibull 0.7)",
        Farms {
            shape: 0.7,
            ..USUAL
        },
    ),
];

/// Experiments in which the truth was held: the count, the hours, the next repair.
#[derive(Default, Clone, Copy)]
struct Held {
    of: u64,
    count: u64,
    count_raw: u64,
    hours_of: u64,
    hours: u64,
    hours_raw: u64,
    repairs: u64,
    repair: u64,
    none_said: f64,
    none: u64,
}

/// [`Held`] in per cent.
struct Shares {
    count: f64,
    count_raw: f64,
    hours: f64,
    hours_raw: f64,
    repair: f64,
    none_said: f64,
    none: f64,
}

impl Held {
    fn add(&mut self, other: Self) {
        self.of += other.of;
        self.count += other.count;
        self.count_raw += other.count_raw;
        self.hours_of += other.hours_of;
        self.hours += other.hours;
        self.hours_raw += other.hours_raw;
        self.repairs += other.repairs;
        self.repair += other.repair;
        self.none_said += other.none_said;
        self.none += other.none;
    }

    fn shares(&self) -> Shares {
        let percent = |held: u64, of: u64| 100.0 * held as f64 / of.max(1) as f64;
        Shares {
            count: percent(self.count, self.of),
            count_raw: percent(self.count_raw, self.of),
            hours: percent(self.hours, self.hours_of),
            hours_raw: percent(self.hours_raw, self.hours_of),
            repair: percent(self.repair, self.repairs),
            none_said: 100.0 * self.none_said / self.of.max(1) as f64,
            none: percent(self.none, self.of),
        }
    }

    fn row(&self) -> String {
        let all = self.shares();
        [
            all.count,
            all.count_raw,
            all.hours,
            all.hours_raw,
            all.repair,
            all.none_said,
            all.none,
        ]
        .map(|share| format!("{share:.1} %"))
        .join(" | ")
    }
}

pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let experiments = request
        .number("--experiments")?
        .unwrap_or_else(|| request.size(2_000, 400));
    let worlds = if request.sample {
        &WORLDS[..JUDGED]
    } else {
        &WORLDS[..]
    };
    let mut out = format!(
        "{experiments} machines a row, hours of every {HOURS_OF}th, seed {}; nominal 90 % intervals, share that hold the truth\n\n\
         | machines | acres written | acres ahead | stops | as shown | hours lost | as shown | next repair | none, foretold | none, came |\n\
         | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
        request.seed
    );
    let mut judged = Held::default();
    for (nth, (name, farms)) in worlds.iter().enumerate() {
        let mut all = Held::default();
        for (written, ahead) in SPANS {
            let label = format!("stops {name} {written} {ahead}");
            let each: Vec<anyhow::Result<Held>> = (0..experiments)
                .into_par_iter()
                .map(|nth| {
                    one(
                        &mut Stream::new(request.seed, &label, nth),
                        farms,
                        nth,
                        (written, ahead),
                    )
                })
                .collect();
            let mut held = Held::default();
            for one in each {
                held.add(one?);
            }
            writeln!(out, "| {name} | {written} | {ahead} | {} |", held.row())?;
            all.add(held);
        }
        writeln!(out, "| **{name}** | all | all | {} |", all.row())?;
        if nth < JUDGED {
            judged.add(all);
        }
    }
    println!("{out}");
    let all = judged.shares();
    let seen = format!(
        "90 % intervals hold {:.1} % of the stops, {:.1} % of the hours lost and {:.1} % of the next repairs, wanted 88 to \
         96 (as shown, ends on whole stops and on nothing lost, {:.1} % and {:.1} %); no stop was foretold in {:.1} % and \
         came in {:.1} %, wanted 3 apart at most",
        all.count, all.hours, all.repair, all.count_raw, all.hours_raw, all.none_said, all.none
    );
    let fine = [all.count, all.hours, all.repair]
        .iter()
        .all(|share| (88.0..=96.0).contains(share))
        && (all.none_said - all.none).abs() <= 3.0;
    Ok(if fine {
        Verdict::Holds(seen)
    } else {
        Verdict::Fails(seen)
    })
}

/// One machine: foretold from what it wrote, then run.
fn one(
    stream: &mut Stream,
    farms: &Farms,
    nth: u64,
    (written, ahead): (f64, f64),
) -> anyhow::Result<Held> {
    let (low, high) = (0.5 * (1.0 - LEVEL), 0.5 * (1.0 + LEVEL));
    let inside = |at: f64| u64::from((low..=high).contains(&at));
    let usual = usual_rate(Crop::Soybean)?;
    let mut held = Held::default();
    let machine = farms.machine(stream);
    let broke = season(stream, machine, written + ahead);
    let split = stream.uniform();
    let (before, after): (Vec<Broke>, Vec<Broke>) =
        broke.into_iter().partition(|one| one.at_ac <= written);
    let rate = usual.seen(before.len() as u64, written);
    let repairs: Vec<f64> = before.iter().map(|one| one.hours).collect();
    let repair = Repair::usual().seen(&repairs)?;
    let count = after.len() as u64;
    let foretold = rate.ahead(ahead);
    let below = count.checked_sub(1).map_or(0.0, |less| foretold.cdf(less));
    let ends = (foretold.quantile(low), foretold.quantile(high));
    held.of += 1;
    held.count += inside(below + split * foretold.pmf(count));
    held.count_raw +=
        u64::from(matches!(ends, (Some(least), Some(most)) if (least..=most).contains(&count)));
    held.none += u64::from(count == 0);
    held.none_said += foretold.p_none();
    if let Some(next) = after.first() {
        held.repairs += 1;
        held.repair += inside(repair.cdf(next.hours));
    }
    if nth.is_multiple_of(HOURS_OF) {
        let all = lost::lost(rate, repair, ahead, nth, &|hours| hours);
        let hours: f64 = after.iter().map(|one| one.hours).sum();
        let share = |under: usize| under as f64 / all.drawn_h.len() as f64;
        let below = share(all.drawn_h.partition_point(|drawn| *drawn < hours));
        let upto = share(all.drawn_h.partition_point(|drawn| *drawn <= hours));
        held.hours_of += 1;
        held.hours += inside(below + split * (upto - below));
        held.hours_raw += u64::from((all.quantile_h(low)..=all.quantile_h(high)).contains(&hours));
    }
    Ok(held)
}
