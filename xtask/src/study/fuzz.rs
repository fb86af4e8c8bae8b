//! Fuzzing: what reads foreign bytes is fed ten minutes of hostile ones.
//!
//! Whole: each target of `fuzz/fuzz_targets` is built with `cargo +nightly fuzz` and run for ten
//! minutes (`--seconds N` for another time). Sample: targets that were built before run for 20
//! seconds; nothing is built, since a build alone takes longer than all samples may.

use super::{Request, Verdict};
use anyhow::Context as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Seconds that each target runs: whole, and as a sample.
const SECONDS: (u64, u64) = (600, 20);

/// Where cargo-fuzz leaves its programs, under cargo's target folder.
const BUILT: &str = "x86_64-unknown-linux-gnu/release";

/// Runs every target, or every one already built.
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let targets = targets(&request.root)?;
    if targets.is_empty() {
        return Ok(Verdict::Fails(
            "there is no target in fuzz/fuzz_targets".to_owned(),
        ));
    }
    let seconds = match request.number("--seconds")? {
        Some(seconds) => seconds,
        None => request.size(SECONDS.0, SECONDS.1),
    };
    let mut ran = Vec::new();
    for target in &targets {
        let mut command = if request.sample {
            let program = built(&request.root).join(target);
            if !program.exists() {
                continue;
            }
            let mut command = Command::new(program);
            command.arg(corpus(&request.root, target)?);
            command.current_dir(request.root.join("fuzz"));
            command
        } else {
            if let Some(missing) = missing() {
                return Ok(Verdict::Skipped(missing));
            }
            let mut command = Command::new("cargo");
            command.args(["+nightly", "fuzz", "run", target, "--"]);
            command.current_dir(&request.root);
            command
        };
        command
            .arg(format!("-max_total_time={seconds}"))
            .arg("-print_final_stats=1");
        let output = command
            .output()
            .with_context(|| format!("the fuzz target {target} did not start"))?;
        let told = String::from_utf8_lossy(&output.stderr);
        if !output.status.success() {
            let tail: Vec<&str> = told.lines().rev().take(25).collect();
            for line in tail.into_iter().rev() {
                println!("  {line}");
            }
            return Ok(Verdict::Fails(format!(
                "the target {target} found something; see fuzz/artifacts/{target}"
            )));
        }
        let count =
            stat(&told, "stat::number_of_executed_units:").unwrap_or("an unknown number of");
        ran.push(format!("{target} {count} inputs"));
    }
    if ran.is_empty() {
        let why = "no target is built (`cargo xtask study fuzz` builds and runs them; it needs nightly and cargo-fuzz)";
        return Ok(Verdict::Skipped(why.to_owned()));
    }
    Ok(Verdict::Holds(format!(
        "{seconds} s each, clean: {}",
        ran.join(", ")
    )))
}

/// Names of the targets, in order.
fn targets(root: &Path) -> anyhow::Result<Vec<String>> {
    let folder = root.join("fuzz/fuzz_targets");
    let mut names = Vec::new();
    if folder.is_dir() {
        for entry in std::fs::read_dir(&folder)? {
            let path = entry?.path();
            if path.extension().is_some_and(|ending| ending == "rs") {
                names.extend(
                    path.file_stem()
                        .map(|stem| stem.to_string_lossy().into_owned()),
                );
            }
        }
    }
    names.sort();
    Ok(names)
}

/// The folder of built targets.
fn built(root: &Path) -> PathBuf {
    let named = std::env::var_os("CARGO_TARGET_DIR").map(PathBuf::from);
    named
        .unwrap_or_else(|| root.join("fuzz/target"))
        .join(BUILT)
}

/// The target's own corpus folder, made if it is not there.
fn corpus(root: &Path, target: &str) -> anyhow::Result<PathBuf> {
    let folder = root.join("fuzz/corpus").join(target);
    std::fs::create_dir_all(&folder)
        .with_context(|| format!("{} could not be made", folder.display()))?;
    Ok(folder)
}

/// What is missing for a build, if anything.
fn missing() -> Option<String> {
    let there = |words: &[&str]| {
        let status = Command::new("cargo")
            .args(words)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        status.is_ok_and(|status| status.success())
    };
    if !there(&["+nightly", "--version"]) {
        return Some("nightly Rust is not installed (rustup toolchain install nightly)".to_owned());
    }
    if !there(&["fuzz", "--version"]) {
        return Some(
            "cargo-fuzz is not installed (cargo install cargo-fuzz --locked, about a minute)"
                .to_owned(),
        );
    }
    None
}

/// A number of libFuzzer's closing table.
fn stat<'a>(told: &'a str, name: &str) -> Option<&'a str> {
    told.lines()
        .find_map(|line| line.strip_prefix(name))
        .map(str::trim)
}
