//! Do the intervals of a loss hold what they say, and is "the change is real" wrong as seldom as it
//! says? Frames with known truth, counted again and again.
//!
//! `cargo xtask study counts [--experiments 2000] [--seed 1]`. Each cell draws from its own stream.

use super::{Request, Verdict};
use machine::change::{MOST_LOOKS, Says, Setting, alternation, judge};
use machine::frame::M2_PER_FT2;
use machine::loss::{Class, Counts, Estimate, Prior, Relative, partition};
use numeric::stream::Stream;
use std::fmt::Write as _;
use worlds::counts::{Place, afternoon, frames};

/// Frames a class.
const FRAMES: [usize; 4] = [3, 4, 6, 10];
/// Dispersions of the worlds.
const SCATTER: [f64; 3] = [0.1, 0.3, 0.6];
/// What lies in a frame standing, behind the head, behind the machine; the middle one is judged, the
/// others are shown.
const LOSSES: [(&str, [f64; 3]); 3] = [
    ("little", [0.5, 3.0, 9.0]),
    ("middling", [2.0, 10.0, 28.0]),
    ("much", [5.0, 40.0, 110.0]),
];
const JUDGED: usize = 1;
/// Dispersions that differ from place to place: standing, behind the head, behind the machine. Shown, not judged.
const UNEQUAL: [f64; 3] = [0.05, 0.2, 0.8];
/// How much a loss rises through an afternoon in which nothing was changed. Shown, not judged.
const RISES: [f64; 4] = [1.0, 1.3, 1.5, 2.0];
/// Width of cut over width of the windrow.
const CONCENTRATION: f64 = 6.0;
/// Looks at one change that did nothing.
const LOOKS: usize = 5;
const _: () = assert!(LOOKS <= MOST_LOOKS);

/// Shares of experiments, in per cent.
struct Shares {
    pooled: f64,
    least: f64,
    most: f64,
}

impl Shares {
    fn of(cells: &[f64]) -> Self {
        Self {
            pooled: cells.iter().sum::<f64>() / cells.len() as f64,
            least: cells.iter().copied().fold(f64::INFINITY, f64::min),
            most: cells.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    fn within(&self, pooled: (f64, f64), each: (f64, f64)) -> bool {
        (pooled.0..=pooled.1).contains(&self.pooled) && each.0 <= self.least && self.most <= each.1
    }

    fn text(&self) -> String {
        format!(
            "{:.1} % ({:.1} to {:.1})",
            self.pooled, self.least, self.most
        )
    }
}

pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    // a cell is quick, and half as many experiments could not tell 84 % from 87 %
    let experiments = request.number("--experiments")?.unwrap_or(2_000);
    let mut out = format!(
        "{experiments} experiments a cell, seed {}; nominal 90 % intervals, share that hold the truth\n\n\
         | loss | frames a class | dispersion | head | machine |\n| --- | --- | --- | --- | --- |\n",
        request.seed
    );
    let mut judged = Vec::new();
    for (nth, (name, means)) in LOSSES.iter().enumerate() {
        for n in FRAMES {
            for alpha in SCATTER {
                let (head, machine) = held(request.seed, experiments, *means, n, [alpha; 3])?;
                if nth == JUDGED {
                    judged.extend([head, machine]);
                }
                writeln!(
                    out,
                    "| {name} | {n} | {alpha} | {head:.1} % | {machine:.1} % |"
                )?;
            }
        }
    }
    for n in FRAMES {
        let means = LOSSES[JUDGED].1;
        let (head, machine) = held(request.seed, experiments, means, n, UNEQUAL)?;
        writeln!(
            out,
            "| middling | {n} | 0.05, 0.2, 0.8 by place | {head:.1} % | {machine:.1} % |"
        )?;
    }
    let held = Shares::of(&judged);
    out.push_str(
        "\nA change that did nothing, called real\n\n\
         | frames a side, a look | dispersion | one look, p under 0.1 | any of five looks |\n| --- | --- | --- | --- |\n",
    );
    let (mut once, mut often) = (Vec::new(), Vec::new());
    for n in FRAMES {
        for alpha in SCATTER {
            let (one, five) = claimed(request.seed, experiments, n, alpha)?;
            writeln!(out, "| {n} | {alpha} | {one:.1} % | {five:.1} % |")?;
            once.push(one);
            often.push(five);
        }
    }
    out.push_str(
        "\nNothing changed, but the loss rises through twelve frames: called real, p under 0.1\n\n\
         | last frame / first | six of A, then six of B | A B B A A B B A A B B A |\n| --- | --- | --- |\n",
    );
    for rise in RISES {
        let (apart, turns) = drifted(request.seed, experiments, rise)?;
        writeln!(out, "| {rise} | {apart:.1} % | {turns:.1} % |")?;
    }
    println!("{out}");
    let (once, often) = (Shares::of(&once), Shares::of(&often));
    let seen = format!(
        "middling losses are held in {}, wanted 87 to 93 pooled and 84 to 97 each; one look is wrong in {}, \
         wanted 8 to 12 pooled and 6.5 to 12.5 each; five looks in {}, wanted at most 12 pooled",
        held.text(),
        once.text(),
        often.text()
    );
    let fine = held.within((87.0, 93.0), (84.0, 97.0))
        && once.within((8.0, 12.0), (6.5, 12.5))
        && often.pooled <= 12.0;
    Ok(if fine {
        Verdict::Holds(seen)
    } else {
        Verdict::Fails(seen)
    })
}

/// A stream of its own for a cell.
fn stream(seed: u64, what: &str, n: usize, alpha: f64) -> Stream {
    Stream::new(
        seed,
        &format!("counts {what} {alpha}"),
        u64::try_from(n).unwrap_or(u64::MAX),
    )
}

/// How often the intervals of head and machine hold their truth, per cent.
fn held(
    seed: u64,
    experiments: u64,
    means: [f64; 3],
    n: usize,
    alphas: [f64; 3],
) -> anyhow::Result<(f64, f64)> {
    let mut stream = stream(seed, &format!("loss {}", means[2]), n, alphas[2]);
    let (mut head, mut machine) = (0_u64, 0_u64);
    let truth = [means[1] - means[0], (means[2] - means[1]) / CONCENTRATION]
        .map(|per_frame| per_frame / M2_PER_FT2);
    for _ in 0..experiments {
        let mut class = |at: usize| {
            let place = Place {
                mean: means[at],
                dispersion: alphas[at],
            };
            Class::new(M2_PER_FT2, frames(&mut stream, place, n)).map(Some)
        };
        let counts = Counts {
            standing: class(0)?,
            behind_head: class(1)?,
            behind_machine: class(2)?,
        };
        let split = partition(
            &counts,
            (CONCENTRATION, Relative::NONE),
            Prior::default(),
            0.9,
        )?;
        head += u64::from(holds(split.head, truth[0]));
        machine += u64::from(holds(split.machine, truth[1]));
    }
    let percent = |held: u64| 100.0 * held as f64 / experiments as f64;
    Ok((percent(head), percent(machine)))
}

fn holds(estimate: Option<Estimate>, truth: f64) -> bool {
    estimate
        .and_then(|one| one.doubt)
        .is_some_and(|doubt| doubt.raw_low <= truth && truth <= doubt.high)
}

/// How often a change that did nothing has a p under 0.1 at one look, and how often it is called real at any of
/// five looks between which frames are added, per cent.
fn claimed(seed: u64, experiments: u64, n: usize, alpha: f64) -> anyhow::Result<(f64, f64)> {
    let mut stream = stream(seed, "change", n, alpha);
    let place = Place {
        mean: LOSSES[JUDGED].1[1],
        dispersion: alpha,
    };
    let (mut once, mut often) = (0_u64, 0_u64);
    for _ in 0..experiments {
        let (mut before, mut after) = (Vec::new(), Vec::new());
        let mut any = false;
        for look in 1..=LOOKS {
            before.extend(frames(&mut stream, place, n));
            after.extend(frames(&mut stream, place, n));
            let verdict = judge(
                &Class::new(M2_PER_FT2, before.clone())?,
                &Class::new(M2_PER_FT2, after.clone())?,
                look,
            )?;
            let real = matches!(verdict.says, Says::Better | Says::Worse);
            once += u64::from(look == 1 && verdict.p.is_some_and(|p| p < 0.1));
            any |= real;
        }
        often += u64::from(any);
    }
    let percent = |claims: u64| 100.0 * claims as f64 / experiments as f64;
    Ok((percent(once), percent(often)))
}

/// How often nothing but the hour is called a change, per cent: one setting after the other, and in turn.
fn drifted(seed: u64, experiments: u64, rise: f64) -> anyhow::Result<(f64, f64)> {
    const EACH: usize = 6;
    let place = Place {
        mean: LOSSES[JUDGED].1[1],
        dispersion: 0.25,
    };
    let mut stream = stream(seed, "afternoon", EACH, rise);
    let turns = alternation(2 * EACH);
    let (mut apart, mut in_turn) = (0_u64, 0_u64);
    for _ in 0..experiments {
        let found = afternoon(&mut stream, place, 2 * EACH, rise);
        let of = |which: Setting| -> Vec<f64> {
            let both = found.iter().zip(&turns);
            both.filter(|(_, setting)| **setting == which)
                .map(|(found, _)| *found)
                .collect()
        };
        let real = |a: Vec<f64>, b: Vec<f64>| -> anyhow::Result<u64> {
            let verdict = judge(&Class::new(M2_PER_FT2, a)?, &Class::new(M2_PER_FT2, b)?, 1)?;
            Ok(u64::from(verdict.p.is_some_and(|p| p < 0.1)))
        };
        apart += real(found[..EACH].to_vec(), found[EACH..].to_vec())?;
        in_turn += real(of(Setting::A), of(Setting::B))?;
    }
    let percent = |claims: u64| 100.0 * claims as f64 / experiments as f64;
    Ok((percent(apart), percent(in_turn)))
}
