//! The demo farm over many seeds: how many of its eight mistakes are found, and what else is blamed.
//!
//! `cargo xtask study demo [--seeds 1-100]`. Squared straight from the generated record, as typed and
//! as the paper says; what the desk's own demo does with a book in between is its own test.

use super::score::{Tally, score};
use super::{convert, table};
use crate::study::{Request, Verdict};
use account::square::{Settings, square};
use anyhow::{Context as _, bail};
use rayon::prelude::*;
use std::fmt::Write as _;
use worlds::demo::demo;

/// Tables seeds 1 to 100 (1 to 20 in a sample).
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let (first, last) = seeds(request)?;
    let settings = Settings::default();
    let each: Vec<anyhow::Result<(Tally, bool)>> = (first..=last)
        .into_par_iter()
        .map(|seed| {
            let farm = demo(seed);
            let typed = square(&convert::season(&farm.typed), &settings)
                .with_context(|| format!("demo farm {seed} as typed"))?;
            let paper = square(&convert::season(&farm.paper), &settings)
                .with_context(|| format!("demo farm {seed} as the paper says"))?;
            Ok((score(&farm.truth, &farm.typed, &typed), paper.square))
        })
        .collect();
    let (mut sum, mut all_found, mut paper_square) = (Tally::default(), 0_u64, 0_u64);
    let mut short = Vec::new();
    for (seed, one) in (first..).zip(each) {
        let (tally, square) = one?;
        let found = tally.outcomes.iter().filter(|o| o.found).count();
        all_found += u64::from(found == tally.outcomes.len());
        if found < tally.outcomes.len() {
            short.push(seed.to_string());
        }
        paper_square += u64::from(square);
        sum.add(tally);
    }
    let planted = sum.outcomes.len() as u64;
    let found = sum.outcomes.iter().filter(|o| o.found).count() as u64;
    let (right, of) = sum.kind_right();
    let farms = sum.seasons;
    let mut text = String::new();
    let _ = writeln!(
        text,
        "Demo farm, seeds {first} to {last} (`cargo xtask study demo --seeds {first}-{last}`):\n"
    );
    text.push_str("| farms | mistakes | found | all eight found | kind right of found | good slip blamed | square by the paper |\n| --- | --- | --- | --- | --- | --- | --- |\n");
    let percent = table::percent;
    let _ = writeln!(
        text,
        "| {farms} | {planted} | {} | {} | {} | {} | {} |\n",
        percent(found, planted),
        percent(all_found, farms),
        percent(right, of),
        percent(sum.blamed, farms),
        percent(paper_square, farms),
    );
    let _ = writeln!(
        text,
        "Seeds with fewer than eight found: {}.\n",
        if short.is_empty() {
            "none".to_owned()
        } else {
            short.join(", ")
        }
    );
    table::kinds(&mut text, &sum, 0.0);
    println!("{text}");
    let seen = format!(
        "{found} of {planted} mistakes found over {farms} farms, {right} of the right kind"
    );
    // nearly all: 97 % at four standard errors for so many
    let least = 0.97 - 4.0 * (0.97 * 0.03 / planted.max(1) as f64).sqrt();
    if found as f64 >= least * planted as f64 {
        Ok(Verdict::Holds(seen))
    } else {
        Ok(Verdict::Fails(format!("{seen}, wanted 97 % found")))
    }
}

fn seeds(request: &Request) -> anyhow::Result<(u64, u64)> {
    let Some(at) = request.rest.iter().position(|w| w == "--seeds") else {
        return Ok((1, request.size(100, 20)));
    };
    let text = request
        .rest
        .get(at + 1)
        .map(String::as_str)
        .unwrap_or_default();
    let (first, last) = text.split_once('-').unwrap_or((text, text));
    match (first.parse(), last.parse()) {
        (Ok(first), Ok(last)) if first <= last => Ok((first, last)),
        _ => bail!("--seeds wants two whole numbers like 1-100 after it, found `{text}`"),
    }
}
