//! The demo farm, told from its first slip to a squared account: an invented season with eight
//! planted mistakes is written into a book as it was typed, squared, looked up on its paper where
//! squaring points, corrected as the paper shows, and squared again.

mod day;
mod enter;
mod paper;
mod seasons;

pub use seasons::seasons;

use crate::night::{Night, night};
use crate::square::{Squaring, square};
use crate::{DeskError, Farm, season};
use book::{Book, Device};
use enter::SeasonClock;
use serde::Serialize;
use std::path::Path;

/// The file that says a folder is the demo's own to rebuild, and which files in it are.
pub const MARKER: &str = ".stook-demo";
const BOOK: &str = "farm.stook";
/// The same book before any correction, to try one's own hand on.
const AS_TYPED: &str = "as-typed.stook";
/// The printed sheet; the face draws it.
pub const PAGE: &str = "day-sheet.html";
/// Files that the faces add to what the desk writes.
const DRAWN: [&str; 3] = [PAGE, "tests-before.svg", "tests-after.svg"];

/// What the demo did.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Demo {
    /// The seed.
    pub seed: u64,
    /// The book.
    pub book: String,
    /// The sheet to print.
    pub page: String,
    /// Entries in the book at the end.
    pub entries: u64,
    /// Squared as typed.
    pub before: Squaring,
    /// Planted mistakes that squaring led to.
    pub named: usize,
    /// Planted mistakes in all.
    pub planted: usize,
    /// Corrections entered, as the paper shows.
    pub mended: Vec<Mended>,
    /// What the paper did not settle.
    pub open: Vec<String>,
    /// Squared after the corrections.
    pub after: Squaring,
    /// The day sheet of the whole season.
    pub night: Night,
}

/// One correction.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mended {
    /// The slip, by the name people know.
    pub slip: String,
    /// What the paper showed and what was entered.
    pub what: String,
    /// The new entry.
    pub entry: String,
}

/// Builds the demo in a folder and plays it through.
///
/// # Errors
/// A folder that holds something and is not the demo's own, or cannot be written.
pub fn run(folder: &Path, seed: u64) -> Result<Demo, DeskError> {
    let farm = worlds::demo::demo(seed);
    prepare(folder)?;
    write_raw(folder, &farm)?;
    let path = folder.join(BOOK);
    let mut clock = SeasonClock::new(seed, &farm);
    let mut book = Book::create(
        &path,
        &Device::new("demo-kitchen", "the laptop in the kitchen")?,
        clock.now(),
    )?;
    let mut entered = enter::enter(&mut book, &farm, &mut clock)?;
    let year = u16::try_from(farm.year)
        .map_err(|_| DeskError::Refused(format!("{} is no season", farm.year)))?;
    book.backup(folder.join(AS_TYPED))?;
    let before = squared(&book, year)?;
    let mut mended: Vec<Mended> = Vec::new();
    let mut now = before.clone();
    // what one correction uncovers, the next round sees; the paper runs out long before twelve
    for _ in 0..12 {
        let round = paper::look_up(&mut book, &farm, &mut entered, &mut clock, &now)?;
        let done = round.is_empty();
        mended.extend(round);
        now = squared(&book, year)?;
        if done || now.squared.square {
            break;
        }
    }
    let named = entered.settled(&farm);
    let open = open_questions(&now);
    let standing = Farm::read(&book)?;
    let night = night(&standing, &season(&standing, year)?, None, crate::LEVEL)?;
    Ok(Demo {
        seed,
        book: path.display().to_string(),
        page: folder.join(PAGE).display().to_string(),
        entries: book.entries()?.len() as u64,
        before,
        named,
        planted: farm.truth.mistakes.len(),
        mended,
        open,
        after: now,
        night,
    })
}

fn squared(book: &Book, year: u16) -> Result<Squaring, DeskError> {
    let farm = Farm::read(book)?;
    square(&season(&farm, year)?, crate::LEVEL)
}

fn open_questions(squaring: &Squaring) -> Vec<String> {
    if !squaring.squared.square && squaring.suspects.is_empty() {
        return vec![
            "the alarm that is left may be chance; its paper agrees with what was typed".to_owned(),
        ];
    }
    squaring
        .suspects
        .iter()
        .map(|one| {
            format!(
                "{} still does not fit and its paper agrees with what was typed",
                one.slip
            )
        })
        .collect()
}

/// Makes the folder, or empties one that carries the demo's marker of the files listed there.
fn prepare(folder: &Path) -> Result<(), DeskError> {
    let wrong = |why: std::io::Error| DeskError::file(folder, why);
    if folder.exists() {
        let marker = folder.join(MARKER);
        let Ok(list) = std::fs::read_to_string(&marker) else {
            let empty = std::fs::read_dir(folder).map_err(wrong)?.next().is_none();
            return if empty {
                Ok(())
            } else {
                Err(DeskError::file(
                    folder,
                    "the folder holds something and does not carry the demo's marker; choose another with --folder, nothing was touched",
                ))
            };
        };
        for name in list
            .lines()
            .filter(|name| !name.is_empty() && !name.contains(['/', '\\']))
        {
            match std::fs::remove_file(folder.join(name)) {
                Err(why) if why.kind() != std::io::ErrorKind::NotFound => return Err(wrong(why)),
                _ => {}
            }
        }
        return Ok(());
    }
    std::fs::create_dir_all(folder).map_err(wrong)
}

/// The raw files of the farm beside the book: paper tickets, schedules, points, and the truth.
fn write_raw(folder: &Path, farm: &worlds::demo::DemoFarm) -> Result<(), DeskError> {
    let mut files: Vec<(String, String)> = vec![farm.points.clone()];
    for (crop, text) in &farm.schedules {
        files.push((format!("schedule-{crop}.toml"), text.clone()));
    }
    files.push(("paper.json".to_owned(), json(&farm.paper)));
    files.push(("truth.json".to_owned(), json(&farm.truth)));
    let mut names: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
    let books = [BOOK, AS_TYPED];
    names.extend(
        books
            .iter()
            .flat_map(|book| ["", "-wal", "-shm"].map(|end| format!("{book}{end}"))),
    );
    names.extend(DRAWN.map(str::to_owned));
    // the marker goes first: whatever stops us after this, the folder can be rebuilt
    let marker = folder.join(MARKER);
    std::fs::write(&marker, names.join("\n")).map_err(|why| DeskError::file(&marker, why))?;
    for (name, text) in files {
        let path = folder.join(name);
        std::fs::write(&path, text).map_err(|why| DeskError::file(&path, why))?;
    }
    Ok(())
}

/// Plain data as JSON text.
fn json(value: &impl Serialize) -> String {
    serde_json::to_string_pretty(value).expect("plain data has a JSON text")
}
