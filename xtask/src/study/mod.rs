//! Studies: the long checks, each run by name, each with a sample that `./check` runs.
//!
//! A study is a plain function from a [`Request`] to a [`Verdict`]. It prints its table to stdout
//! (as the markdown that BENCHMARKS.md may hold) and its progress to stderr. To add one: write
//! `study/NAME.rs` with `pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict>`, and give it a
//! line in [`STUDIES`]. The samples of all studies together are allowed two minutes.

mod ask;
mod big;
mod chain;
mod child;
mod counts;
mod crowd;
mod edge;
mod field;
mod fuzz;
mod kill;
pub(crate) mod large;
mod merge;
mod pages;
mod peers;
mod served;
mod slips;
mod spatial_speed;
mod squaring;
mod stops;
mod wagon;
mod zones;

use anyhow::{Context as _, bail};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// What was asked of a study.
#[derive(Debug, Clone)]
pub(crate) struct Request {
    /// Only the short form that `./check` runs.
    pub(crate) sample: bool,
    /// The seed of everything random in it; the same seed gives the same table.
    pub(crate) seed: u64,
    /// Further words of the command line, for the study itself to read.
    pub(crate) rest: Vec<String>,
    /// The repository's root.
    pub(crate) root: PathBuf,
}

impl Request {
    /// `full` of something in a whole study, `sample` of it in a sample.
    pub(crate) fn size(&self, full: u64, sample: u64) -> u64 {
        if self.sample { sample } else { full }
    }

    /// The whole number after `flag` among the further words, if it is there.
    pub(crate) fn number(&self, flag: &str) -> anyhow::Result<Option<u64>> {
        let Some(at) = self.rest.iter().position(|word| word == flag) else {
            return Ok(None);
        };
        let text = self
            .rest
            .get(at + 1)
            .with_context(|| format!("{flag} wants a number"))?;
        let number = text
            .parse()
            .with_context(|| format!("{flag} `{text}` is not a number"))?;
        Ok(Some(number))
    }
}

/// How a study ended; an error is for a study that could not be run at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// It holds; the sentence says what was seen, with numbers.
    Holds(String),
    /// It does not hold; the sentence says what was seen and what was wanted.
    Fails(String),
    /// It could not be tried here; the sentence says why and what would make it run.
    Skipped(String),
}

/// One study of the register.
struct Study {
    /// The word after `cargo xtask study`.
    name: &'static str,
    /// What question it answers.
    asks: &'static str,
    /// The study.
    run: fn(&Request) -> anyhow::Result<Verdict>,
}

/// Every study, in the order in which `all` runs them.
const STUDIES: &[Study] = &[
    Study {
        name: "squaring",
        asks: "does squaring find what was planted, and blame nothing else?",
        run: squaring::run,
    },
    Study {
        name: "demo",
        asks: "are the demo farm's eight mistakes found, over many seeds?",
        run: squaring::demo::run,
    },
    Study {
        name: "counts",
        asks: "do a loss's intervals hold, and is a change seldom called real that is not?",
        run: counts::run,
    },
    Study {
        name: "stops",
        asks: "do forecasts of breakdowns, of hours lost and of the next repair hold what they say?",
        run: stops::run,
    },
    Study {
        name: "wagon",
        asks: "does the room for the rest of a field hold it as often as is said?",
        run: wagon::run,
    },
    Study {
        name: "chain",
        asks: "how far is the map from the truth, and does it know?",
        run: chain::run,
    },
    Study {
        name: "field",
        asks: "does the chain do on the one real field what a careful hand did?",
        run: field::run,
    },
    Study {
        name: "edge",
        asks: "do the intervals of what edges take hold, and is a loss seldom claimed where there is none?",
        run: edge::run,
    },
    Study {
        name: "zones",
        asks: "do the intervals of zones and of their differences hold?",
        run: zones::run,
    },
    Study {
        name: "spatial-speed",
        asks: "do variograms and kriging of much data give gstat's answers, and how fast?",
        run: spatial_speed::run,
    },
    Study {
        name: "kill",
        asks: "is an acknowledged slip ever lost when the writer is killed?",
        run: kill::run,
    },
    Study {
        name: "merge",
        asks: "do parts of a book merge to the same book in any order?",
        run: merge::run,
    },
    Study {
        name: "big",
        asks: "are big files refused or read in bounded memory?",
        run: big::run,
    },
    Study {
        name: "peers",
        asks: "do the scripts in reference/ still make the committed numbers?",
        run: peers::run,
    },
    Study {
        name: "fuzz",
        asks: "do the readers of foreign bytes survive hostile ones?",
        run: fuzz::run,
    },
    Study {
        name: "pages",
        asks: "does every page come within 200 ms with twenty seasons in the book?",
        run: pages::run,
    },
    Study {
        name: "crowd",
        asks: "do many devices at once read without error and lose no entry?",
        run: crowd::run,
    },
];

/// Runs the study named in `words` (`all` for every one), and fails when one does not hold.
pub(crate) fn main(words: &[String], root: PathBuf) -> anyhow::Result<()> {
    let (name, request) = read(words, root)?;
    let chosen: Vec<&Study> = STUDIES
        .iter()
        .filter(|study| name == "all" || study.name == name)
        .collect();
    if chosen.is_empty() {
        bail!("there is no study called `{name}`\n\n{}", usage());
    }
    let mut failed = Vec::new();
    for study in chosen {
        let started = Instant::now();
        println!("study {}: {}", study.name, study.asks);
        let verdict = (study.run)(&request)
            .with_context(|| format!("study {} could not be run", study.name))?;
        let seconds = started.elapsed().as_secs_f64();
        match verdict {
            Verdict::Holds(seen) => println!("holds: {} ({seconds:.1} s): {seen}", study.name),
            Verdict::Skipped(why) => println!("skipped: study {}: {why}", study.name),
            Verdict::Fails(seen) => {
                println!("fails: {} ({seconds:.1} s): {seen}", study.name);
                failed.push(study.name);
            }
        }
    }
    if failed.is_empty() {
        Ok(())
    } else {
        bail!("these studies do not hold: {}", failed.join(", "))
    }
}

/// A part of a study that runs in a process of its own.
pub(crate) fn child(words: &[String]) -> anyhow::Result<()> {
    match words.first().map(String::as_str) {
        Some("append") => kill::child_append(&words[1..]),
        Some("spatial") => spatial_speed::child(&words[1..]),
        _ => bail!("`child` is for studies to call"),
    }
}

/// The folder of real field data: STOOK_TEST_DATA, or ../shared/data where that is there.
pub(crate) fn test_data(root: &Path) -> Option<PathBuf> {
    let named = std::env::var_os("STOOK_TEST_DATA").map(PathBuf::from);
    let beside = || root.parent().map(|above| above.join("shared/data"));
    named.or_else(beside).filter(|folder| folder.is_dir())
}

/// Splits the command line into the study's name and the request.
fn read(words: &[String], root: PathBuf) -> anyhow::Result<(String, Request)> {
    let mut request = Request {
        sample: false,
        seed: 1,
        rest: Vec::new(),
        root,
    };
    let mut name = None;
    let mut words = words.iter();
    while let Some(word) = words.next() {
        match word.as_str() {
            "--sample" => request.sample = true,
            "--seed" => {
                let text = words
                    .next()
                    .context("--seed wants a whole number after it")?;
                request.seed = text
                    .parse()
                    .with_context(|| format!("--seed `{text}` is not a whole number"))?;
            }
            _ if name.is_none() && !word.starts_with('-') => name = Some(word.clone()),
            _ => request.rest.push(word.clone()),
        }
    }
    Ok((name.with_context(usage)?, request))
}

/// The register as help text.
fn usage() -> String {
    let mut text =
        "cargo xtask study NAME [--sample] [--seed N], where NAME is `all` or one of\n".to_owned();
    for study in STUDIES {
        let _ = writeln!(text, "  {:<10} {}", study.name, study.asks);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(words: &str) -> anyhow::Result<(String, Request)> {
        let words: Vec<String> = words.split_whitespace().map(str::to_owned).collect();
        read(&words, PathBuf::new())
    }

    #[test]
    fn reads_what_is_asked() {
        let (name, request) = asked("kill --sample --seed 9 --seconds 5").unwrap();
        assert_eq!(
            (name.as_str(), request.sample, request.seed),
            ("kill", true, 9)
        );
        assert_eq!(request.size(200, 8), 8);
        assert_eq!(request.number("--seconds").unwrap(), Some(5));
        assert_eq!(request.number("--seasons").unwrap(), None);
        assert_eq!(asked("kill").unwrap().1.size(200, 8), 200);
    }

    #[test]
    fn says_what_it_did_not_understand() {
        assert!(
            asked("")
                .unwrap_err()
                .to_string()
                .contains("cargo xtask study NAME")
        );
        assert!(
            asked("kill --seed x")
                .unwrap_err()
                .to_string()
                .contains("not a whole number")
        );
        let gone = main(&["gone".to_owned()], PathBuf::new()).unwrap_err();
        assert!(gone.to_string().contains("no study called `gone`"));
    }

    #[test]
    fn names_no_study_twice() {
        let mut names: Vec<_> = STUDIES.iter().map(|study| study.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), STUDIES.len());
    }
}
