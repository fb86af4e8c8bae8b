//! Does squaring find what was planted, and blame nothing else? Seasons with known truth, squared.
//!
//! `cargo xtask study squaring [--seasons 1000] [--seed 1]`. Every season is grown from its own
//! stream, squared alone, and scored in order, so the table does not hang on the number of threads.
//! `d` is the size of a mistake in standard deviations: its change in dry mass over the standard
//! deviation of the slip's difference from what everything else predicts, at the values as typed.

pub(super) mod convert;
pub(crate) mod demo;
mod score;
mod table;

use super::{Request, Verdict};
use account::square::Settings;
use anyhow::{Context as _, bail};
use rayon::prelude::*;
use score::{Tally, score};
use worlds::season::{Planting, grow};

/// One row of the acceptance table: the same seasons with so many mistakes.
struct Row {
    title: &'static str,
    planting: Planting,
    tally: Tally,
}

/// Grows, squares and scores; prints the acceptance table.
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let seasons = number(request, "--seasons", request.size(1_000, 60))?;
    let mut rows = vec![
        row("no mistakes", Planting::None),
        row("exactly one", Planting::One),
        row("in 3-5 % of slips", Planting::Usual),
        row("up to 8 in 60", Planting::Many),
    ];
    for row in &mut rows {
        row.tally = tally(request.seed, seasons, row.planting)?;
    }
    println!("{}", table::markdown(&rows, seasons, request.seed));
    Ok(judge(&rows, seasons))
}

fn row(title: &'static str, planting: Planting) -> Row {
    Row {
        title,
        planting,
        tally: Tally::default(),
    }
}

/// A whole number after a word of the command line.
fn number(request: &Request, word: &str, otherwise: u64) -> anyhow::Result<u64> {
    let Some(at) = request.rest.iter().position(|w| w == word) else {
        return Ok(otherwise);
    };
    match request.rest.get(at + 1).map(|text| text.parse()) {
        Some(Ok(value)) if value > 0 => Ok(value),
        _ => bail!("{word} wants a whole number above 0 after it"),
    }
}

fn tally(seed: u64, seasons: u64, planting: Planting) -> anyhow::Result<Tally> {
    let settings = Settings::default();
    let each: Vec<anyhow::Result<Tally>> = (0..seasons)
        .into_par_iter()
        .map(|index| {
            let season = grow(seed, index, planting);
            let written = convert::season(&season.typed);
            let squared = account::square::square(&written, &settings)
                .with_context(|| format!("season {index} of seed {seed}"))?;
            Ok(score(&season.truth, &season.typed, &squared))
        })
        .collect();
    let mut sum = Tally::default();
    for one in each {
        sum.add(one?);
    }
    Ok(sum)
}

/// Holds when every line of the acceptance holds, each judged with four standard errors of leave for
/// the number of seasons that were run.
fn judge(rows: &[Row], seasons: u64) -> Verdict {
    let mut wrong = Vec::new();
    let mut want = |what: &str, hits: u64, of: u64, low: f64, high: f64| {
        if of == 0 {
            wrong.push(format!("{what}: nothing to judge"));
            return;
        }
        let rate = hits as f64 / of as f64;
        let leave = |p: f64| 4.0 * (p * (1.0 - p) / of as f64).sqrt();
        if rate < low - leave(low) || rate > high + leave(high) {
            wrong.push(format!(
                "{what}: {:.1} % of {of}, wanted {:.0} to {:.0} %",
                100.0 * rate,
                100.0 * low,
                100.0 * high
            ));
        }
    };
    for row in rows {
        let t = &row.tally;
        if row.planting == Planting::None {
            want(
                "clean seasons called unsquared",
                t.alarms,
                t.seasons,
                0.03,
                0.07,
            );
            // squared values of one season lean on each other: a season's worth counts as ten
            let (hits, of) = (
                t.covered * 10 * t.seasons / t.intervals.max(1),
                10 * t.seasons,
            );
            want("coverage of 90 % intervals", hits, of, 0.88, 0.92);
            continue;
        }
        let (found, all) = t.found_from(6.0);
        let floor = if row.planting == Planting::Many {
            0.85
        } else {
            0.97
        };
        want(
            &format!("found at d 6 and more, {}", row.title),
            found,
            all,
            floor,
            1.0,
        );
        if row.planting != Planting::Many {
            let (found, all) = t.found_between(4.0, 6.0);
            want(
                &format!("found at d 4 to 6, {}", row.title),
                found,
                all,
                0.80,
                1.0,
            );
            want(
                &format!("good slip blamed, {}", row.title),
                t.blamed,
                t.seasons,
                0.0,
                0.05,
            );
            let (right, found) = t.kind_right();
            want(
                &format!("kind right, {}", row.title),
                right,
                found,
                0.80,
                1.0,
            );
        }
    }
    if wrong.is_empty() {
        Verdict::Holds(format!(
            "{seasons} seasons a row, every line of the acceptance"
        ))
    } else {
        Verdict::Fails(wrong.join("; "))
    }
}
