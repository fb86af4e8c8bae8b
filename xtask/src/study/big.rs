//! Big files: 200 MB of garbage is refused and 200 MB of good points is read, in bounded memory.
//!
//! Sample: 20 MB. Five kinds of garbage (random bytes; zeros; one endless line of digits; lines of
//! words with no header that is known; a good header and then bad rows only) must each be refused with one
//! sentence and exit code 2, holding at most 96 MiB. The good points must all be read; what the program
//! may then hold is the points themselves and a few blocks. Memory is the kernel's own count
//! of the real program's peak.

use super::{Request, Verdict, child, slips};
use anyhow::{Context as _, ensure};
use numeric::stream::Stream;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;
use std::process::Command;

/// Most that a refusal may hold, MiB, whatever the file's size.
const REFUSAL_MIB: f64 = 96.0;

/// What reading may hold besides the points: the program, blocks of text on their way, MiB.
const BESIDES_MIB: f64 = 128.0;

/// Bytes that a point may hold in memory (its fields, and room for a vector that grew by doubling).
const POINT_BYTES: f64 = 256.0;

/// Kinds of garbage.
const GARBAGE: &[&str] = &[
    "random bytes",
    "zeros",
    "one line of digits",
    "words",
    "bad rows under a good header",
];

/// The columns of good points; the units are in the names.
const HEADER: &str = "lat_deg,long_deg,flow_lb/s,time_s,seconds_s,dist_in,moist_%\n";

/// Writes each file, reads it with the real program and looks at memory, exit code and words.
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let bytes = request.size(200, 20) * 1_000_000;
    let stook = child::stook()?;
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("points.csv");
    println!(
        "| file of {} MB | outcome | peak memory |",
        bytes / 1_000_000
    );
    println!("| --- | --- | --- |");
    let mut worst = 0.0_f64;
    for kind in GARBAGE {
        garbage(kind, bytes, request.seed, &path)?;
        let finished = child::watch(&mut summary(&stook, &path))?;
        let said = finished.stderr.trim();
        println!(
            "| {kind} | exit {:?}: {said} | {:.0} MiB |",
            finished.status.code(),
            finished.peak_mib
        );
        worst = worst.max(finished.peak_mib);
        let told = if finished.status.code() != Some(2) {
            "was not refused with exit code 2"
        } else if said.is_empty() || said.lines().count() > 3 {
            "was not refused in one sentence"
        } else if finished.peak_mib > REFUSAL_MIB {
            "was refused with too much memory"
        } else {
            continue;
        };
        return Ok(Verdict::Fails(format!(
            "{kind} {told}: {:.0} MiB, {said}",
            finished.peak_mib
        )));
    }
    let points = good(bytes, request.seed, &path)?;
    let finished = child::watch(&mut summary(&stook, &path))?;
    let read = read_count(&finished.stdout);
    println!(
        "| {points} good points | {read:?} read | {:.0} MiB |",
        finished.peak_mib
    );
    let allowed = BESIDES_MIB + points as f64 * POINT_BYTES / f64::from(1 << 20);
    Ok(if !finished.status.success() || read != Some(points) {
        Verdict::Fails(format!(
            "{points} good points gave {read:?}: {}",
            finished.stderr.trim()
        ))
    } else if finished.peak_mib > allowed {
        let peak = finished.peak_mib;
        Verdict::Fails(format!(
            "{points} good points held {peak:.0} MiB; {allowed:.0} MiB are allowed"
        ))
    } else {
        Verdict::Holds(format!(
            "{} MB each: garbage refused within {worst:.0} MiB, {points} points read within {:.0} MiB",
            bytes / 1_000_000,
            finished.peak_mib
        ))
    })
}

/// `stook --json pass summary FILE` with all that it must be told.
fn summary(stook: &Path, path: &Path) -> Command {
    let mut command = Command::new(stook);
    // by its bare name, so that what it says can be printed anywhere
    if let (Some(folder), Some(name)) = (path.parent(), path.file_name()) {
        command
            .current_dir(folder)
            .args(["--json", "pass", "summary"])
            .arg(name);
    }
    command.args(["--swath", "30ft", "--crop", "corn"]);
    command
}

/// The count of points in the printed result.
fn read_count(json: &str) -> Option<u64> {
    let value: serde_json::Value = serde_json::from_str(json).ok()?;
    value
        .get("n")
        .or_else(|| value.get("summary")?.get("n"))?
        .as_u64()
}

/// Writes a file of garbage.
fn garbage(kind: &str, bytes: u64, seed: u64, path: &Path) -> anyhow::Result<()> {
    let mut stream = Stream::new(seed, kind, 0);
    let mut block = Vec::with_capacity(1 << 20);
    while block.len() < 1 << 20 {
        match kind {
            "random bytes" => block.extend(stream.bits().to_le_bytes()),
            "zeros" => block.push(0),
            "one line of digits" => block.extend(stream.whole(0, 9).to_string().bytes()),
            "words" => {
                let word = stream
                    .choice(&["rain", "field", "the", "wagon,", "and", "again\n"])
                    .context("words")?;
                block.extend(word.bytes().chain([b' ']));
            }
            _ => block.extend(format!("x,{},,-,n/a,?,\n", stream.whole(0, 999)).bytes()),
        }
    }
    let mut out = BufWriter::new(File::create(path)?);
    let mut written = 0;
    if kind == GARBAGE[GARBAGE.len() - 1] {
        out.write_all(HEADER.as_bytes())?;
    }
    while written < bytes {
        out.write_all(&block)?;
        written += block.len() as u64;
    }
    out.flush().context("the disk is full?")
}

/// Writes good points, and says how many: long passes up and down a field.
fn good(bytes: u64, seed: u64, path: &Path) -> anyhow::Result<u64> {
    let mut stream = Stream::new(seed, "good points", 0);
    let mut out = BufWriter::new(File::create(path)?);
    out.write_all(HEADER.as_bytes())?;
    let (mut written, mut count) = (0, 0u64);
    while written < bytes {
        let (pass, along) = (count / 400, count % 400);
        let along = if pass.is_multiple_of(2) {
            along
        } else {
            399 - along
        };
        let lat = 41.0 + along as f64 * 2e-5;
        let long = -93.0 + pass as f64 * 1.1e-4;
        let (flow, moist) = (stream.between(8.0, 28.0), stream.between(14.0, 22.0));
        let line = format!(
            "{lat:.6},{long:.6},{flow:.2},{},1,80,{moist:.1}\n",
            slips::BEGIN_MS / 1_000 + i64::try_from(count)?
        );
        out.write_all(line.as_bytes())?;
        written += line.len() as u64;
        count += 1;
    }
    out.flush().context("the disk is full?")?;
    ensure!(count > 0, "no point was written");
    Ok(count)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_good_points_are_good_to_the_reader() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("points.csv");
        let count = good(100_000, 1, &path).unwrap();
        let read = formats::delimited::read(
            File::open(&path).unwrap(),
            "points.csv",
            &formats::delimited::ReadOptions::default(),
        )
        .unwrap();
        assert_eq!(read.track.points.len() as u64, count);
        assert_eq!(read.assumptions(), None);
    }

    #[test]
    fn the_garbage_is_garbage_to_the_reader() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("points.csv");
        for kind in GARBAGE {
            garbage(kind, 2_000_000, 1, &path).unwrap();
            let file = File::open(&path).unwrap();
            assert!(
                formats::delimited::read(
                    file,
                    "points.csv",
                    &formats::delimited::ReadOptions::default()
                )
                .is_err(),
                "{kind}"
            );
        }
    }

    #[test]
    fn reads_the_count() {
        assert_eq!(read_count("{\"n\": 12}"), Some(12));
        assert_eq!(read_count("{\"summary\": {\"n\": 12}}"), Some(12));
        assert_eq!(read_count("no"), None);
    }
}
