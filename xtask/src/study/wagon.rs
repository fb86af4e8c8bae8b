//! Does the room that should hold the rest of a field nine times in ten do so? Fields with known truth are cut
//! part of the way; the rest is foretold from what came off, then weighed.
//!
//! `cargo xtask study wagon [--experiments 4000] [--seed 1]`. Each field draws from its own stream.

use super::{Request, Verdict};
use machine::capacity::{CameOff, Expected};
use numeric::stream::Stream;
use rayon::prelude::*;
use std::fmt::Write as _;
use worlds::wagon::Fields;

/// Shares of a field that are cut when its rest is foretold.
const CUT: [f64; 5] = [0.0, 0.1, 0.4, 0.8, 0.95];
/// Chances said; the first is judged.
const SAID: [f64; 3] = [0.9, 0.5, 0.1];

const USUAL: Fields = Fields {
    level_sd: 0.20,
    within_sd: 0.12,
    reach_ha: 1.2,
    end: 0.0,
};

/// The worlds; the first is judged, the others shown.
const WORLDS: [(&str, Fields); 6] = [
    ("as assumed", USUAL),
    (
        "patchy (within 20 %)",
        Fields {
            within_sd: 0.20,
            ..USUAL
        },
    ),
    (
        "long reach (5 ha)",
        Fields {
            reach_ha: 5.0,
            ..USUAL
        },
    ),
    (
        "short reach (0.3 ha)",
        Fields {
            reach_ha: 0.3,
            ..USUAL
        },
    ),
    (
        "a hard year (level 35 %)",
        Fields {
            level_sd: 0.35,
            ..USUAL
        },
    ),
    (
        "poor end cut last (-15 %)",
        Fields {
            end: -0.15,
            ..USUAL
        },
    ),
];

pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let experiments = request
        .number("--experiments")?
        .unwrap_or_else(|| request.size(4_000, 1_000));
    let worlds = if request.sample {
        &WORLDS[..1]
    } else {
        &WORLDS[..]
    };
    let mut out = format!(
        "{experiments} fields a row, seed {}; share of fields whose rest fits the room that should hold it\n\n\
         | fields | cut | 9 times in 10 | 5 in 10 | 1 in 10 | that room over the middle one, % |\n| --- | --- | --- | --- | --- | --- |\n",
        request.seed
    );
    let mut judged: Vec<(f64, [f64; 3])> = Vec::new();
    for (nth, (name, fields)) in worlds.iter().enumerate() {
        for cut in CUT {
            let label = format!("wagon {name} {cut}");
            let each: Vec<anyhow::Result<([bool; 3], f64)>> = (0..experiments)
                .into_par_iter()
                .map(|nth| one(fields, cut, &mut Stream::new(request.seed, &label, nth)))
                .collect();
            let mut held = [0_u64; 3];
            let mut wide = 0.0;
            for one in each {
                let (fits, width) = one?;
                for (count, fit) in held.iter_mut().zip(fits) {
                    *count += u64::from(fit);
                }
                wide += width;
            }
            let share = held.map(|count| 100.0 * count as f64 / experiments as f64);
            writeln!(
                out,
                "| {name} | {:.0} % | {:.1} % | {:.1} % | {:.1} % | {:.1} |",
                100.0 * cut,
                share[0],
                share[1],
                share[2],
                100.0 * wide / experiments as f64
            )?;
            if nth == 0 {
                judged.push((cut, share));
            }
        }
    }
    println!("{out}");
    let fine = judged
        .iter()
        .all(|(_, share)| (86.0..=94.0).contains(&share[0]));
    let worst = |pick: fn(f64, f64) -> f64, from: f64| {
        judged.iter().map(|(_, share)| share[0]).fold(from, pick)
    };
    let seen = format!(
        "the room for 9 in 10 holds the rest in {:.1} to {:.1} % of fields, wanted 86 to 94 whatever is cut already",
        worst(f64::min, 100.0),
        worst(f64::max, 0.0)
    );
    Ok(if fine {
        Verdict::Holds(seen)
    } else {
        Verdict::Fails(seen)
    })
}

/// One field: whether its rest fits each room, and how wide the forecast is.
fn one(fields: &Fields, cut: f64, stream: &mut Stream) -> anyhow::Result<([bool; 3], f64)> {
    let field = fields.field(cut, stream);
    let came_off = (field.read_kg > 0.0 && field.cut_ha > 0.0).then_some(CameOff {
        kg: field.read_kg,
        error: field.read_error,
        cut_ha: field.cut_ha,
    });
    let rest = Expected::usual(field.expected_kg_per_ha).rest(
        came_off,
        field.left_ha,
        field.left_sd_ha,
    )?;
    let mut fits = [false; 3];
    for (fit, share) in fits.iter_mut().zip(SAID) {
        *fit = field.left_kg <= rest.room_for_kg(share)?;
    }
    Ok((fits, rest.room_for_kg(0.9)? / rest.median_kg()? - 1.0))
}
