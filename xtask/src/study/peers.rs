//! Peers: the scripts that made the reference numbers are run again, and must make them again.
//!
//! A folder of `reference/` whose PROVENANCE.md has a line ``Run: `COMMAND` `` is copied, the files
//! on its line ``Makes: `FILE` `FILE` `` are removed from the copy, the command is run there, and
//! each file made is compared with the committed one: word by word, numbers to a relative 1e-9, or to what a line
//! ``Near: `NUMBER` `` says and gives a reason for.
//! A folder with a `package.json` gets what that names from npm first. A command whose program, Python
//! library or package is not to be had on this machine is skipped, and said to be.

use super::{Request, Verdict};
use anyhow::{Context as _, bail};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// How near a number must come, relative to its size (or to 1, for small ones).
const NEAR: f64 = 1e-9;

/// Libraries that scripts may need, with the Debian package of each.
const LIBRARIES: &[(&str, &str)] = &[
    ("numpy", "python3-numpy"),
    ("scipy", "python3-scipy"),
    ("mpmath", "python3-mpmath"),
];

/// The same of R.
const LIBRARIES_OF_R: &[(&str, &str)] = &[("gstat", "r-cran-gstat"), ("sp", "r-cran-sp")];

/// Runs every script again; a sample leaves nothing out, since each takes seconds.
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let mut folders: Vec<PathBuf> = Vec::new();
    let reference = request.root.join("reference");
    for entry in std::fs::read_dir(&reference).context("reference/ could not be listed")? {
        let path = entry?.path();
        if path.is_dir() {
            folders.push(path);
        }
    }
    folders.sort();
    let data = super::test_data(&request.root);
    let (mut same, mut skipped, mut differ) = (Vec::new(), 0, Vec::new());
    for folder in &folders {
        let name = folder
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let paper = std::fs::read_to_string(folder.join("PROVENANCE.md"))
            .with_context(|| format!("reference/{name}/PROVENANCE.md could not be read"))?;
        let Some(recipe) = recipe(&paper) else {
            skipped += 1;
            println!(
                "skipped: peer {name}: its PROVENANCE.md has no line `Run:` (numbers from a document, not a script)"
            );
            continue;
        };
        match again(folder, &recipe, data.as_deref())? {
            Again::Same(numbers) => same.push(format!("{name} ({numbers} numbers)")),
            Again::Missing(what) => {
                skipped += 1;
                println!("skipped: peer {name}: {what}");
            }
            Again::Differs(how) => differ.push(format!("{name}: {how}")),
        }
    }
    Ok(if !differ.is_empty() {
        Verdict::Fails(differ.join("; "))
    } else if same.is_empty() {
        Verdict::Skipped(format!("none of the {skipped} peers could be run here"))
    } else {
        Verdict::Holds(format!(
            "made again to {NEAR:e}: {}; {skipped} skipped",
            same.join(", ")
        ))
    })
}

/// How a folder's numbers are made.
#[derive(Debug, PartialEq)]
struct Recipe {
    command: String,
    makes: Vec<String>,
    near: f64,
}

/// Reads the lines `Run:` and `Makes:`.
fn recipe(paper: &str) -> Option<Recipe> {
    let ticked = |start: &str| -> Vec<String> {
        let line = paper.lines().find_map(|line| line.strip_prefix(start));
        line.map(|line| {
            line.split('`')
                .skip(1)
                .step_by(2)
                .map(str::to_owned)
                .collect()
        })
        .unwrap_or_default()
    };
    let command = ticked("Run:").into_iter().next()?;
    Some(Recipe {
        command,
        makes: ticked("Makes:"),
        near: ticked("Near:")
            .first()
            .and_then(|text| text.parse().ok())
            .unwrap_or(NEAR),
    })
}

/// What came of running a script again.
enum Again {
    /// The same numbers, and how many.
    Same(usize),
    /// Something it needs is not here.
    Missing(String),
    /// Other numbers, and which.
    Differs(String),
}

fn again(folder: &Path, recipe: &Recipe, data: Option<&Path>) -> anyhow::Result<Again> {
    if recipe.makes.is_empty() {
        bail!(
            "{}: PROVENANCE.md has a line `Run:` but none `Makes:`",
            folder.display()
        );
    }
    if recipe.command.contains("STOOK_TEST_DATA") && data.is_none() {
        return Ok(Again::Missing(
            "STOOK_TEST_DATA is not set, and its input is not kept here".to_owned(),
        ));
    }
    let room = tempfile::tempdir()?;
    let copy = room
        .path()
        .join("reference")
        .join(folder.file_name().unwrap_or_default());
    copy_folder(folder, &copy)?;
    let scripts = scripts(folder)?;
    let needs: Vec<&(&str, &str)> = LIBRARIES
        .iter()
        .filter(|(library, _)| imports(&scripts, library))
        .collect();
    let program = recipe.command.split_whitespace().next().unwrap_or_default();
    if program == "python3" {
        let Some(python) = python(&needs) else {
            let packages: Vec<&str> = needs.iter().map(|(_, package)| *package).collect();
            return Ok(Again::Missing(format!(
                "no python3 with {} here (apt-get install {0})",
                packages.join(" ")
            )));
        };
        // the interpreter found goes by its plain name, ahead of every other
        std::fs::create_dir(room.path().join("bin"))?;
        std::os::unix::fs::symlink(python, room.path().join("bin/python3"))?;
    } else if on_path(program).is_empty() {
        return Ok(Again::Missing(format!(
            "`{program}` is not on this machine"
        )));
    }
    if program == "Rscript"
        && let Some((library, package)) = LIBRARIES_OF_R
            .iter()
            .find(|(library, _)| scripts.contains(&format!("library({library})")) && !in_r(library))
    {
        return Ok(Again::Missing(format!(
            "R has no {library} here (apt-get install {package})"
        )));
    }
    if copy.join("package.json").exists()
        && let Some(missing) = packages(&copy)
    {
        return Ok(Again::Missing(missing));
    }
    let mut committed = Vec::new();
    for name in &recipe.makes {
        let text = std::fs::read_to_string(folder.join(name))
            .with_context(|| format!("{name} could not be read"))?;
        std::fs::remove_file(copy.join(name))?;
        committed.push(text);
    }
    let path = std::env::join_paths(std::iter::once(room.path().join("bin")).chain(
        std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default()),
    ))?;
    let output = Command::new("bash")
        .args(["-euo", "pipefail", "-c", &recipe.command])
        .current_dir(&copy)
        .env("PATH", path)
        .envs(data.map(|folder| ("STOOK_TEST_DATA", folder)))
        .stdin(Stdio::null())
        .output()
        .context("bash did not start")?;
    if !output.status.success() {
        let told = String::from_utf8_lossy(&output.stderr);
        return Ok(Again::Differs(format!(
            "`{}` failed: {}",
            recipe.command,
            told.trim()
        )));
    }
    let mut numbers = 0;
    for (name, committed) in recipe.makes.iter().zip(&committed) {
        let Ok(made) = std::fs::read_to_string(copy.join(name)) else {
            return Ok(Again::Differs(format!(
                "`{}` did not make {name}",
                recipe.command
            )));
        };
        match compare(committed, &made, recipe.near) {
            Ok(count) => numbers += count,
            Err(how) => return Ok(Again::Differs(format!("{name}: {how}"))),
        }
    }
    Ok(Again::Same(numbers))
}

/// Fetches what a `package.json` names, running no script of theirs; says what is missing, if anything.
fn packages(folder: &Path) -> Option<String> {
    let status = Command::new("npm")
        .args(["install", "--ignore-scripts", "--no-audit", "--no-fund"])
        .current_dir(folder)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    match status {
        Ok(status) if status.success() => None,
        Ok(_) => Some("npm could not fetch what its package.json names".to_owned()),
        Err(_) => Some("`npm` is not on this machine".to_owned()),
    }
}

/// The text of every Python script beside the numbers.
fn scripts(folder: &Path) -> anyhow::Result<String> {
    let mut all = String::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|ending| ending == "py") {
            all.push_str(&std::fs::read_to_string(&path)?);
        }
    }
    Ok(all)
}

fn imports(scripts: &str, library: &str) -> bool {
    scripts.lines().map(str::trim_start).any(|line| {
        ["import ", "from "].iter().any(|word| {
            line.strip_prefix(word)
                .is_some_and(|rest| rest.starts_with(library))
        })
    })
}

/// The first Python on the path that has all of `libraries`.
fn python(libraries: &[&(&str, &str)]) -> Option<PathBuf> {
    let wanted: Vec<String> = libraries
        .iter()
        .map(|(library, _)| format!("import {library}"))
        .collect();
    let script = if wanted.is_empty() {
        "pass".to_owned()
    } else {
        wanted.join("; ")
    };
    on_path("python3").into_iter().find(|python| {
        let tried = Command::new(python)
            .args(["-c", &script])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        tried.is_ok_and(|status| status.success())
    })
}

/// Whether R finds a library.
pub(crate) fn in_r(library: &str) -> bool {
    let asked = Command::new("Rscript")
        .args(["-e", &format!("library({library})")])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    asked.is_ok_and(|status| status.success())
}

/// Every program of this name on the path.
fn on_path(program: &str) -> Vec<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path)
        .map(|folder| folder.join(program))
        .filter(|file| file.is_file())
        .collect()
}

fn copy_folder(from: &Path, to: &Path) -> anyhow::Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let (source, target) = (entry.path(), to.join(entry.file_name()));
        if entry.file_type()?.is_dir() {
            copy_folder(&source, &target)?;
        } else {
            std::fs::copy(&source, &target)?;
        }
    }
    Ok(())
}

/// Compares two texts word by word; says how many numbers agreed, or where they part.
fn compare(committed: &str, made: &str, near: f64) -> Result<usize, String> {
    let (left, right) = (words(committed), words(made));
    let mut numbers = 0;
    for (index, (a, b)) in left.iter().zip(&right).enumerate() {
        match (a.parse::<f64>(), b.parse::<f64>()) {
            (Ok(x), Ok(y)) => {
                numbers += 1;
                let close = (x - y).abs() <= near * x.abs().max(1.0) || (x.is_nan() && y.is_nan());
                if !close {
                    return Err(format!(
                        "word {} is {a} as committed and {b} as made again",
                        index + 1
                    ));
                }
            }
            _ if a != b => {
                return Err(format!(
                    "word {} is `{a}` as committed and `{b}` as made again",
                    index + 1
                ));
            }
            _ => {}
        }
    }
    if left.len() == right.len() {
        Ok(numbers)
    } else {
        Err(format!(
            "{} words as committed, {} as made again",
            left.len(),
            right.len()
        ))
    }
}

fn words(text: &str) -> Vec<&str> {
    let between = |c: char| c.is_whitespace() || ",;:()[]{}\"'=|".contains(c);
    text.split(between)
        .filter(|word| !word.is_empty())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_a_recipe() {
        let paper = "Source: x.\nRun: `python3 make.py > expected.json`\nMakes: `expected.json` and `two.csv`\n";
        let recipe = recipe(paper).unwrap();
        assert_eq!(recipe.command, "python3 make.py > expected.json");
        assert_eq!(recipe.makes, ["expected.json", "two.csv"]);
        assert_eq!(super::recipe("Source: a printed table.\n"), None);
    }

    #[test]
    fn compares_numbers_by_size_and_words_by_letter() {
        assert_eq!(
            compare(
                "{\"a\": 1.0, \"b\": 2e3}",
                "{\"a\": 1, \"b\": 2000.0000001}",
                NEAR,
            ),
            Ok(2)
        );
        assert!(compare("a 1.0", "a 1.00001", NEAR).is_err());
        assert!(compare("a 1.0", "b 1.0", NEAR).is_err());
        assert!(compare("1 2", "1 2 3", NEAR).is_err());
    }

    #[test]
    fn makes_numbers_again_and_sees_when_they_differ() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("expected.txt"), "sum 3.0\n").unwrap();
        let makes = vec!["expected.txt".to_owned()];
        let recipe = |command: &str| Recipe {
            command: command.to_owned(),
            makes: makes.clone(),
            near: NEAR,
        };
        let same = again(folder.path(), &recipe("echo sum 3 > expected.txt"), None).unwrap();
        assert!(matches!(same, Again::Same(1)));
        let other = again(folder.path(), &recipe("echo sum 4 > expected.txt"), None).unwrap();
        assert!(matches!(other, Again::Differs(_)));
        let nothing = again(folder.path(), &recipe("true"), None).unwrap();
        assert!(matches!(nothing, Again::Differs(_)));
        let missing = again(folder.path(), &recipe("no-such-program-at-all"), None).unwrap();
        assert!(matches!(missing, Again::Missing(_)));
        // no npm can fetch what this names, and on many machines there is none
        std::fs::write(folder.path().join("package.json"), "{").unwrap();
        let unfetched = again(folder.path(), &recipe("echo sum 3 > expected.txt"), None).unwrap();
        assert!(matches!(unfetched, Again::Missing(_)));
    }

    #[test]
    fn sees_what_a_script_imports() {
        assert!(imports("import math\nimport numpy as np\n", "numpy"));
        assert!(imports("from scipy.stats import t\n", "scipy"));
        assert!(!imports("# import numpy is not needed\n", "numpy"));
    }
}
