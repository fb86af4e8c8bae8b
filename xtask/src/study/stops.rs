//! Does the forecast of breakdowns and of hours still to be lost hold what it says? Machines with known truth.
//!
//! `cargo xtask study stops [--machines 1000] [--seed 1]`.

use super::{Request, Verdict};
use facts::Crop;
use machine::stops::repair::Repair;
use machine::stops::{lost, usual_rate};
use numeric::stream::Stream;
use rayon::prelude::*;
use std::fmt::Write as _;
use worlds::stops::{Machines, machine, repairs};

/// Acres seen and acres still to come.
const SPANS: [(f64, f64); 3] = [(60.0, 140.0), (210.0, 140.0), (400.0, 400.0)];

pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let machines = request
        .number("--machines")?
        .unwrap_or_else(|| request.size(1_000, 300));
    let usual = usual_rate(Crop::Soybean)?;
    let repair = Repair::usual();
    let many = Machines {
        per_ac: usual.mean(),
        rate_spread: 1.0 / usual.events,
        median_h: repair.log_mean.exp(),
        freedom: repair.freedom,
        log_variance: repair.log_variance,
        repairs: repair.repairs,
    };
    let mut out = format!(
        "{machines} machines a row, seed {}; nominal 90 % forecasts, share that hold what came\n\n\
         | acres seen | acres to come | breakdowns | hours lost |\n| --- | --- | --- | --- |\n",
        request.seed
    );
    let (mut all_stops, mut all_hours, mut rows) = (0.0, 0.0, 0.0);
    for (nth, (seen_ac, left_ac)) in SPANS.into_iter().enumerate() {
        let held: Vec<anyhow::Result<(bool, bool)>> = (0..machines)
            .into_par_iter()
            .map(|index| {
                let mut stream = Stream::new(request.seed, &format!("study stops {nth}"), index);
                let one = machine(&mut stream, many);
                let seen = repairs(&mut stream, one, seen_ac);
                let came = repairs(&mut stream, one, left_ac);
                let rate = usual.seen(seen.len() as u64, seen_ac);
                let known = repair.seen(&seen)?;
                let ahead = rate.ahead(left_ac);
                let stops = came.len() as u64;
                let (low, high) = (ahead.quantile(0.05), ahead.quantile(0.95));
                let all = lost::lost(rate, known, left_ac, index, &|h| h);
                let hours: f64 = came.iter().sum();
                Ok((
                    low.is_some_and(|low| low <= stops) && high.is_some_and(|high| stops <= high),
                    all.quantile_h(0.05) <= hours && hours <= all.quantile_h(0.95),
                ))
            })
            .collect();
        let (mut stops, mut hours) = (0_u64, 0_u64);
        for one in held {
            let (s, h) = one?;
            stops += u64::from(s);
            hours += u64::from(h);
        }
        let percent = |held: u64| 100.0 * held as f64 / machines as f64;
        let (stops, hours) = (percent(stops), percent(hours));
        writeln!(
            out,
            "| {seen_ac} | {left_ac} | {stops:.1} % | {hours:.1} % |"
        )?;
        all_stops += stops;
        all_hours += hours;
        rows += 1.0;
    }
    println!("{out}");
    let (stops, hours) = (all_stops / rows, all_hours / rows);
    let seen = format!(
        "forecasts hold {stops:.1} % of breakdowns (whole numbers, so more than 90) and {hours:.1} % of hours, wanted 88 to 96 of hours and at least 88 of breakdowns"
    );
    Ok(if (88.0..=96.0).contains(&hours) && stops >= 88.0 {
        Verdict::Holds(seen)
    } else {
        Verdict::Fails(seen)
    })
}
