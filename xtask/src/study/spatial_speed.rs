//! Kriging and variograms on larger data beside gstat (R): the same answers, and how long each takes.
//!
//! `cargo xtask study spatial-speed [--rounds 5] [--seed 1]`. Each side is a process of its own that reads the same
//! files, computes once and writes its answers; it says how long it computed, and the whole process is timed too. The
//! sides take turns. It holds or fails by the answers alone, never by the clock.

use super::{Request, Verdict, peers};
use anyhow::{Context as _, bail};
use numeric::stream::Stream;
use spatial::{Block, Estimator, Kind, Kriging, Model, Near, Pairs, Place, variogram};
use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

/// How near the answers must be, relative: values, distances and semivariances; kriging variances.
const NEAR: [f64; 2] = [1e-6, 1e-5];
/// Side of a cell, m.
const CELL_M: f64 = 10.0;
/// Distance of the lines on which points lie, m.
const LINES_M: f64 = 9.0;
/// As in `reference/gstat/speed.R`.
const MODEL: Model = Model {
    kind: Kind::Exponential,
    nugget: 37.0,
    sill: 105.0,
    range_m: 77.0,
};

/// One computation.
struct Task {
    /// `krige` or `variogram`.
    does: &'static str,
    points: u64,
    /// Cells along a side of the ground.
    side: u64,
}

impl Task {
    fn title(&self) -> String {
        match self.does {
            "krige" => format!("{} points to {} blocks", self.points, self.side * self.side),
            _ => format!("variogram of {} points to 100 m", self.points),
        }
    }
}

/// What one side took and told.
struct Side {
    name: &'static str,
    threads: usize,
    computed: Vec<f64>,
    whole: Vec<f64>,
    told: Vec<Vec<f64>>,
}

pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    if let Some(missing) = ["gstat", "sp"].iter().find(|library| !peers::in_r(library)) {
        return Ok(Verdict::Skipped(format!(
            "R with {missing} is not here (apt-get install r-base-core r-cran-gstat r-cran-sp)"
        )));
    }
    let rounds = match request.number("--rounds")? {
        Some(rounds) => rounds.max(1),
        None => request.size(5, 1),
    };
    let task = |does, points, side| Task { does, points, side };
    let tasks = if request.sample {
        [
            task("krige", 1_000, 20),
            task("krige", 3_000, 30),
            task("variogram", 3_000, 30),
        ]
    } else {
        [
            task("krige", 5_000, 61),
            task("krige", 100_000, 200),
            task("variogram", 100_000, 200),
        ]
    };
    let mut out = format!(
        "Medians of {rounds}, seconds\n\n\
         | what | whose | threads | computing | gstat's over this | whole process | gstat's over this | farthest apart |\n\
         | --- | --- | --- | --- | --- | --- | --- | --- |\n"
    );
    let (mut worst, mut fast) = ([0.0_f64; 2], Vec::new());
    for task in &tasks {
        let sides = measure(request, task, rounds)?;
        let [theirs, ours @ ..] = sides.as_slice() else {
            bail!("no side was measured");
        };
        for side in &sides {
            let apart = apart(&theirs.told, &side.told).with_context(|| task.title())?;
            worst = [0, 1].map(|of| worst[of].max(apart[of]));
            let times = |of: fn(&Side) -> &[f64]| middle(of(theirs)) / middle(of(side));
            writeln!(
                out,
                "| {} | {} | {} | {:.3} | {:.1} | {:.2} | {:.1} | {:.0e} |",
                task.title(),
                side.name,
                side.threads,
                middle(&side.computed),
                times(|one| &one.computed),
                middle(&side.whole),
                times(|one| &one.whole),
                apart[0].max(apart[1]),
            )?;
        }
        if let Some(last) = ours.last() {
            fast.push(middle(&theirs.computed) / middle(&last.computed));
        }
    }
    println!("{out}");
    let fast: Vec<String> = fast.iter().map(|times| format!("{times:.1}")).collect();
    let seen = format!(
        "answers at most {:.0e} apart, variances {:.0e} (wanted {:.0e} and {:.0e}); computing {} times as fast as gstat",
        worst[0],
        worst[1],
        NEAR[0],
        NEAR[1],
        fast.join(", ")
    );
    Ok(if worst[0] <= NEAR[0] && worst[1] <= NEAR[1] {
        Verdict::Holds(seen)
    } else {
        Verdict::Fails(seen)
    })
}

/// Runs all sides in turn, gstat first.
fn measure(request: &Request, task: &Task, rounds: u64) -> anyhow::Result<Vec<Side>> {
    let room = tempfile::tempdir()?;
    let [points, cells, answers] =
        ["points", "cells", "answers"].map(|name| room.path().join(name));
    grow(request.seed, task, &points, &cells)?;
    let here = std::env::current_exe().context("this program does not know where it is")?;
    let script = request.root.join("reference/gstat/speed.R");
    let side = |name, threads| Side {
        name,
        threads,
        computed: Vec::new(),
        whole: Vec::new(),
        told: Vec::new(),
    };
    let mut sides = vec![side("gstat", 1), side("ours", 1), side("ours", 2)];
    for _ in 0..rounds {
        for side in &mut sides {
            let mut command = if side.name == "gstat" {
                let mut command = Command::new("Rscript");
                command.arg(&script);
                command
            } else {
                let mut command = Command::new(&here);
                command.args(["child", "spatial"]);
                command
            };
            command
                .arg(task.does)
                .args([&points, &cells, &answers])
                .env("RAYON_NUM_THREADS", side.threads.to_string())
                .stdin(Stdio::null());
            let started = Instant::now();
            let ended = command
                .output()
                .with_context(|| format!("{command:?} did not start"))?;
            side.whole.push(started.elapsed().as_secs_f64());
            let said = String::from_utf8_lossy(&ended.stdout);
            let Some(seconds) = said.trim().parse().ok().filter(|_| ended.status.success()) else {
                bail!(
                    "{command:?} failed: {}",
                    String::from_utf8_lossy(&ended.stderr)
                );
            };
            side.computed.push(seconds);
            side.told = table(&answers)?;
            std::fs::remove_file(&answers)?;
        }
    }
    Ok(sides)
}

/// Writes points on lines over square ground, line after line as a machine logs them, and the middles of its cells.
///
/// The order matters: with the same points shuffled, gstat's variogram takes three times as long, and we would look
/// three times as good.
fn grow(seed: u64, task: &Task, points: &Path, cells: &Path) -> anyhow::Result<()> {
    let mut stream = Stream::new(seed, "spatial-speed", task.points);
    let size_m = CELL_M * task.side as f64;
    let lines = (size_m / LINES_M).floor();
    let mut places: Vec<(f64, f64)> = (0..task.points)
        .map(|_| {
            let line = stream.between(0.0, lines).floor();
            (line, stream.between(0.0, size_m))
        })
        .collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut text = "x,y,value\n".to_owned();
    for (line, y) in places {
        let x = LINES_M * (line + 0.5) + stream.between(-0.4, 0.4);
        let value = 180.0
            + 15.0 * (x / 40.0).sin() * (y / 55.0).cos()
            + 8.0 * ((x + y) / 23.0).sin()
            + 5.0 * stream.normal();
        writeln!(text, "{x:.4},{y:.4},{value:.3}")?;
    }
    std::fs::write(points, text)?;
    let mut text = "x,y\n".to_owned();
    for row in 0..task.side {
        for column in 0..task.side {
            let [x, y] = [column, row].map(|nth| CELL_M * (nth as f64 + 0.5));
            writeln!(text, "{x},{y}")?;
        }
    }
    Ok(std::fs::write(cells, text)?)
}

/// Our side: `xtask child spatial krige|variogram POINTS CELLS ANSWERS`; prints the seconds of the computation.
pub(crate) fn child(words: &[String]) -> anyhow::Result<()> {
    let [does, points, cells, answers] = words else {
        bail!("child spatial wants krige|variogram POINTS CELLS ANSWERS")
    };
    let rows = table(Path::new(points))?;
    let places: Vec<Place> = rows.iter().map(|row| [row[0], row[1]]).collect();
    let values: Vec<f64> = rows.iter().map(|row| row[2]).collect();
    let mut text = String::new();
    let seconds = if does == "krige" {
        let blocks: Vec<Block> = table(Path::new(cells))?
            .iter()
            .map(|row| Block {
                at: [row[0], row[1]],
                size: [CELL_M; 2],
            })
            .collect();
        let started = Instant::now();
        let told = Kriging::new(&places, &values, MODEL, Near::nearest(50))?.over(&blocks);
        let seconds = started.elapsed().as_secs_f64();
        text.push_str("value,variance\n");
        for one in told {
            let one = one.context("a block without neighbors")?;
            writeln!(text, "{},{}", one.value, one.variance)?;
        }
        seconds
    } else {
        let started = Instant::now();
        let bins = variogram(
            &places,
            &values,
            5.0,
            100.0,
            Estimator::Classical,
            Pairs::All,
        )?;
        let seconds = started.elapsed().as_secs_f64();
        text.push_str("pairs,distance,gamma\n");
        for bin in bins {
            writeln!(text, "{},{},{}", bin.pairs, bin.distance_m, bin.gamma)?;
        }
        seconds
    };
    std::fs::write(answers, text)?;
    println!("{seconds}");
    Ok(())
}

/// Rows of numbers under one line of heads.
fn table(path: &Path) -> anyhow::Result<Vec<Vec<f64>>> {
    let text = std::fs::read_to_string(path)?;
    let row = |line: &str| line.split(',').map(str::parse).collect::<Result<_, _>>();
    let rows: Result<_, _> = text.lines().skip(1).map(row).collect();
    rows.with_context(|| format!("{} holds something that is no number", path.display()))
}

/// The farthest that answers lie apart, relative: of kriging values and all of a variogram, and of kriging variances.
fn apart(theirs: &[Vec<f64>], ours: &[Vec<f64>]) -> anyhow::Result<[f64; 2]> {
    if theirs.is_empty() || theirs.len() != ours.len() {
        bail!("found {} answers, expected {}", ours.len(), theirs.len());
    }
    let mut worst = [0.0_f64; 2];
    for (a, b) in theirs.iter().zip(ours) {
        if a.len() != b.len() {
            bail!("found {} figures in a row, expected {}", b.len(), a.len());
        }
        for (nth, (x, y)) in a.iter().zip(b).enumerate() {
            let off = (x - y).abs() / x.abs();
            let of = usize::from(a.len() == 2 && nth == 1);
            // what is no number is as far as can be
            worst[of] = worst[of].max(if off.is_nan() { f64::INFINITY } else { off });
        }
    }
    Ok(worst)
}

fn middle(times: &[f64]) -> f64 {
    let mut sorted = times.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_that_differ_or_are_none_are_seen() {
        let row = |value: f64, variance: f64| vec![vec![value, variance]];
        let far = |ours: Vec<Vec<f64>>| apart(&row(2.0, 4.0), &ours).unwrap();
        assert_eq!(far(row(2.0, 4.0)), [0.0, 0.0]);
        assert_eq!(far(row(3.0, 5.0)), [0.5, 0.25]);
        assert_eq!(far(row(f64::NAN, 4.0))[0], f64::INFINITY);
        assert!(apart(&row(2.0, 4.0), &[]).is_err());
        assert_eq!(middle(&[3.0, 1.0, 2.0]), 2.0);
    }
}
