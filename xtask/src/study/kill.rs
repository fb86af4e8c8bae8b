//! Kills: a process that adds slips is ended with SIGKILL at random moments; nothing may be lost.
//!
//! Whole: 200 kills, half of them of a small writer that appends to the book and says each id as it is
//! acknowledged, half of the real `stook write lines --one-by-one`. Sample: 8. The moment is drawn by
//! count (after so many acknowledged slips, none included) and then by time (up to 6 ms more), so
//! that kills fall in opening, in writing, between slips and in the last checkpoint. After each:
//! every acknowledged slip is there as it was written, at most the one in flight came besides, every
//! slip is whole, and the book's own check is clean.

use super::{Request, Verdict, child, slips};
use anyhow::{Context as _, bail, ensure};
use book::{Book, Device, Entry, EntryId};
use numeric::stream::Stream;
use std::collections::BTreeMap;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// Most slips that a writer may have acknowledged when it is killed.
const MOST_ACKNOWLEDGED: i64 = 14;

/// Slips given to a writer: more than it lives to write.
const GIVEN: u64 = 40;

/// Who writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Writer {
    /// This program's own child, straight into the book.
    Plain,
    /// The real program, fed with lines.
    Stook,
}

/// Kills, and looks after each.
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let kills = request.size(200, 8);
    let stook = child::stook()?;
    let mut said = Vec::new();
    for (writer, kills) in [
        (Writer::Plain, kills / 2),
        (Writer::Stook, kills - kills / 2),
    ] {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("farm.stook");
        drop(Book::create(
            &path,
            &Device::new("kitchen", "kitchen laptop")?,
            slips::BEGIN_MS,
        )?);
        let mut tally = Tally {
            set_up: slips::set_up(&mut Book::open(&path)?)?,
            ..Tally::default()
        };
        for kill in 0..kills {
            let mut stream = Stream::new(request.seed, writer.name(), kill);
            if let Err(error) = one(writer, &stook, &path, request.seed, &mut stream, &mut tally) {
                return Ok(Verdict::Fails(format!(
                    "{} kill {}: {error:#}",
                    writer.name(),
                    kill + 1
                )));
            }
        }
        if tally.acknowledged == 0 {
            return Ok(Verdict::Fails(format!(
                "{}: no slip was ever acknowledged",
                writer.name()
            )));
        }
        said.push(format!(
            "{} {kills} kills, {} acknowledged and all there, {} in flight that came to be, {} that did not or were not begun",
            writer.name(),
            tally.acknowledged,
            tally.in_flight,
            kills - tally.in_flight
        ));
    }
    Ok(Verdict::Holds(said.join("; ")))
}

impl Writer {
    fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain writer",
            Self::Stook => "stook write lines",
        }
    }
}

/// What became of the slips so far.
#[derive(Debug, Default)]
struct Tally {
    /// Entries that name the field, the machine and the places; no slips.
    set_up: Vec<EntryId>,
    acknowledged: u64,
    in_flight: u64,
    known: BTreeMap<EntryId, Entry>,
}

/// One writer's life, end and inheritance.
fn one(
    writer: Writer,
    stook: &Path,
    path: &Path,
    seed: u64,
    stream: &mut Stream,
    tally: &mut Tally,
) -> anyhow::Result<()> {
    let begun = tally.known.len() as u64;
    let mut child = match writer {
        Writer::Plain => Command::new(std::env::current_exe()?)
            .args(["child", "append"])
            .arg(path)
            .args([seed.to_string(), begun.to_string()])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()?,
        Writer::Stook => {
            let mut child = Command::new(stook)
                .arg("--book")
                .arg(path)
                .args(["write", "lines", "--one-by-one"])
                .stdin(Stdio::piped())
                .stdout(Stdio::piped())
                .spawn()?;
            feed(&mut child, seed, begun)?;
            child
        }
    };
    let acknowledged = live_and_die(&mut child, stream)?;
    inspect(path, seed, &acknowledged, tally)
}

/// Gives a writer its slips, one a line. They fit into the pipe, so this never waits.
fn feed(child: &mut Child, seed: u64, begun: u64) -> anyhow::Result<()> {
    let mut lines = String::new();
    for index in begun..begun + GIVEN {
        lines.push_str(&line(seed, index)?);
        lines.push('\n');
    }
    ensure!(
        lines.len() < 60_000,
        "{} bytes do not fit into a pipe",
        lines.len()
    );
    let mut input = child.stdin.take().context("stdin is a pipe")?;
    // a writer that has died already is what this study is about
    let _ = input.write_all(lines.as_bytes());
    Ok(())
}

/// A slip as `stook write lines` reads it; photographs stay out, since they come by another way.
fn line(seed: u64, index: u64) -> anyhow::Result<String> {
    let payload = without_paper(seed, index)?;
    let figures = desk::written::figures_of(&payload).context("a slip has figures")?;
    let figures: BTreeMap<&str, &[String]> = figures.iter().collect();
    let line = serde_json::json!({ "kind": payload.kind(), "figures": figures });
    Ok(line.to_string())
}

fn without_paper(seed: u64, index: u64) -> anyhow::Result<book::kinds::Payload> {
    let mut payload = slips::payload(seed, index)?;
    if let book::kinds::Payload::Weighed(weighed) = &mut payload {
        weighed.paper = None;
    }
    Ok(payload)
}

/// Reads acknowledgements until the moment drawn, kills, and reads what was still on its way.
fn live_and_die(child: &mut Child, stream: &mut Stream) -> anyhow::Result<Vec<String>> {
    let wanted = usize::try_from(stream.whole(0, MOST_ACKNOWLEDGED))?;
    let pause = Duration::from_micros(u64::try_from(stream.whole(0, 6_000))?);
    let mut output = BufReader::new(child.stdout.take().context("stdout is a pipe")?);
    let mut told = String::new();
    for _ in 0..wanted {
        if output.read_line(&mut told)? == 0 {
            let status = child.wait()?;
            bail!("the writer ended by itself ({status}) after saying {told:?}");
        }
    }
    std::thread::sleep(pause);
    child.kill()?;
    child.wait()?;
    output.read_to_string(&mut told)?;
    // a line without its end was not said
    let whole = told.rfind('\n').map_or("", |end| &told[..end]);
    Ok(whole.lines().map(str::to_owned).collect())
}

/// Looks at what the dead writer left.
fn inspect(
    path: &Path,
    seed: u64,
    acknowledged: &[String],
    tally: &mut Tally,
) -> anyhow::Result<()> {
    let book = Book::open(path).context("the book does not open")?;
    let report = book.check()?;
    ensure!(
        report.is_clean(),
        "the book's check found: {:?}",
        report.findings
    );
    let entries = book.entries()?;
    let begun = tally.known.len() as u64;
    let mut fresh = Vec::new();
    let mut kept = 0;
    for entry in entries {
        if tally.set_up.contains(&entry.id) {
            continue;
        }
        match tally.known.get(&entry.id) {
            Some(before) => {
                ensure!(*before == entry, "entry {} is not what it was", entry.id);
                kept += 1;
            }
            None => fresh.push(entry),
        }
    }
    ensure!(
        kept == begun,
        "{} of {begun} earlier slips are gone",
        begun - kept
    );
    for said in acknowledged {
        let there = fresh.iter().any(|entry| entry.id.to_string() == *said);
        ensure!(there, "slip {said} was acknowledged and is not there");
    }
    let besides = fresh.len() - acknowledged.len();
    ensure!(
        besides <= 1,
        "{besides} slips came that were never acknowledged"
    );
    fresh.sort_by_key(|entry| entry.seq);
    for (index, entry) in (begun..).zip(&fresh) {
        let meant = [slips::payload(seed, index)?, without_paper(seed, index)?];
        let whole = meant
            .iter()
            .any(|payload| payload.text() == entry.payload.as_str());
        ensure!(
            whole,
            "slip {} is not as it was written: {}",
            entry.id,
            entry.payload.as_str()
        );
    }
    tally.acknowledged += acknowledged.len() as u64;
    tally.in_flight += besides as u64;
    tally
        .known
        .extend(fresh.into_iter().map(|entry| (entry.id, entry)));
    Ok(())
}

/// The plain writer: appends slips one by one and says each id once it is on the disk.
///
/// `xtask child append BOOK SEED FIRST`; it never ends by itself while slips are left.
pub(crate) fn child_append(words: &[String]) -> anyhow::Result<()> {
    let [path, seed, first] = words else {
        bail!("child append wants BOOK SEED FIRST")
    };
    let (seed, first): (u64, u64) = (seed.parse()?, first.parse()?);
    let mut book = Book::open(path)?;
    let mut out = std::io::stdout().lock();
    for index in first.. {
        let id = slips::write(&mut book, seed, index)?;
        writeln!(out, "{id}")?;
        out.flush()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use book::kinds::Name;

    fn book(folder: &Path, count: u64) -> (std::path::PathBuf, Vec<String>) {
        let path = folder.join("farm.stook");
        let mut book = Book::create(
            &path,
            &Device::new("kitchen", "laptop").unwrap(),
            slips::BEGIN_MS,
        )
        .unwrap();
        let ids = (0..count)
            .map(|index| slips::write(&mut book, 7, index).unwrap().to_string())
            .collect();
        (path, ids)
    }

    #[test]
    fn is_content_when_all_are_there_and_one_was_in_flight() {
        let folder = tempfile::tempdir().unwrap();
        let (path, ids) = book(folder.path(), 5);
        let mut tally = Tally::default();
        inspect(&path, 7, &ids[..4], &mut tally).unwrap();
        assert_eq!((tally.acknowledged, tally.in_flight), (4, 1));
    }

    #[test]
    fn sees_what_was_lost_and_what_was_never_said() {
        let folder = tempfile::tempdir().unwrap();
        let (path, mut ids) = book(folder.path(), 5);
        let lost = slips::id(7, 5).unwrap().to_string();
        assert!(inspect(&path, 7, &ids[..3], &mut Tally::default()).is_err());
        ids.push(lost);
        assert!(
            inspect(&path, 7, &ids, &mut Tally::default())
                .unwrap_err()
                .to_string()
                .contains("is not there")
        );
        assert!(inspect(&path, 8, &ids[..5], &mut Tally::default()).is_err());
    }

    #[test]
    fn sees_an_earlier_slip_change_or_go() {
        let folder = tempfile::tempdir().unwrap();
        let (path, ids) = book(folder.path(), 3);
        let mut tally = Tally::default();
        inspect(&path, 7, &ids, &mut tally).unwrap();
        let first = tally.known.values_mut().next().unwrap();
        first.author = Name::new("somebody else").unwrap();
        assert!(
            inspect(&path, 7, &[], &mut tally)
                .unwrap_err()
                .to_string()
                .contains("not what it was")
        );
    }
}
