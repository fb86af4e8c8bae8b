//! The one real field at hand: delay, what is set aside, the variogram of what is kept, and passes left out.
//!
//! `cargo xtask study field`, with the field's points in STOOK_TEST_DATA. Its boundary and weighings are unknown, so
//! nothing here is truth; the lines are what a careful hand cleaning of the same points reached.

use super::{Request, Verdict, test_data};
use formats::delimited::{ReadOptions, read_bytes};
use spatial::{Estimator, Kind, Pairs, Weights, fit, variogram};
use std::collections::BTreeSet;
use track::clean::{Cells, Known, clean, map};
use track::{KG_PER_LB, M2_PER_AC};

const POINTS: &str = "yield-points-minnesota-corn.tsv";
/// Twelve rows of 30 inches, m.
const SWATH_M: f64 = 9.144;
/// Corn, lb a bushel.
const LB_PER_BU: f64 = 56.0;
/// Seconds between which the delay lies by several estimators; most of the records set aside, per cent; nugget,
/// (bu/ac)^2; root mean square of passes left out, bu/ac.
const DELAY_S: std::ops::RangeInclusive<f64> = -5.0..=-1.0;
const FLAGGED_PCT: f64 = 12.0;
const NUGGET: f64 = 38.0;
const PASS_OUT: f64 = 8.42;

pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let found = test_data(&request.root).map(|folder| folder.join(POINTS));
    let Some(path) = found.filter(|path| path.is_file()) else {
        return Ok(Verdict::Skipped(format!(
            "no {POINTS}; set STOOK_TEST_DATA to the folder of test data"
        )));
    };
    let read = read_bytes(&std::fs::read(&path)?, POINTS, &ReadOptions::default())?;
    let known = Known {
        swath_m: SWATH_M,
        rows: Some(12),
        base_moisture: 0.155,
        seed: request.seed,
        ..Known::default()
    };
    let cleaned = clean(&read.track, &known)?;
    let to_bu = M2_PER_AC / (LB_PER_BU * KG_PER_LB);
    let kept: Vec<_> = cleaned
        .records
        .iter()
        .filter(|r| r.flag.is_none())
        .collect();
    let places: Vec<_> = kept.iter().map(|r| [r.at.0, r.at.1]).collect();
    let yields: Vec<f64> = kept
        .iter()
        .filter_map(|r| r.dry_kg_m2.map(|y| y * to_bu))
        .collect();
    let passes: BTreeSet<u32> = kept.iter().map(|r| r.pass).collect();
    let bins = variogram(
        &places,
        &yields,
        10.0,
        250.0,
        Estimator::Classical,
        Pairs::All,
    )?;
    let model = fit(&bins, Kind::Exponential, Weights::PairsOverDistance2)?.model;
    let made = map(&cleaned, &known, Cells::over(&cleaned, 10.0)?)?;
    let (pass_out, asked) = made.pass_out.map_or((f64::NAN, 0), |one| {
        (one.rmse_shifted_kg_m2 * to_bu, one.passes)
    });
    let all = cleaned.records.len();
    let flagged = 100.0 * (all - kept.len()) as f64 / all as f64;
    let delay = cleaned.delay.seconds.unwrap_or(f64::NAN);
    let seen = format!(
        "delay {delay:.2} s ({:.2} to {:.2}), {flagged:.1} % of {all} records flagged, {} passes, nugget {:.1}, partial sill {:.1}, range {:.1} m, \
         {asked} passes left out one by one {pass_out:.2} bu/ac; wanted -5 to -1 s, at most {FLAGGED_PCT} %, {NUGGET} and {PASS_OUT}",
        cleaned.delay.low,
        cleaned.delay.high,
        passes.len(),
        model.nugget,
        model.sill,
        model.range_m,
    );
    let fine = DELAY_S.contains(&delay)
        && flagged <= FLAGGED_PCT
        && model.nugget <= NUGGET
        && pass_out <= PASS_OUT;
    Ok(if fine {
        Verdict::Holds(seen)
    } else {
        Verdict::Fails(seen)
    })
}
