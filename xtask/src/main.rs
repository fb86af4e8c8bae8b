//! The workshop: tidy, studies, benchmarks and generated documents.
//!
//! `cargo tidy` builds only the first of these (no room of the house, a few seconds); `cargo xtask
//! study NAME` and `cargo xtask bench` build everything in release.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a command line whose answer is its output"
)]

#[cfg(feature = "rooms")]
mod bench;
#[cfg(feature = "rooms")]
mod study;
mod tidy;

use anyhow::{Context as _, bail};
use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("xtask: {error:#}");
            ExitCode::FAILURE
        }
    }
}

/// Reads the command line and does what it says.
fn run() -> anyhow::Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let root = root()?;
    match words.first().map(String::as_str) {
        #[cfg(feature = "rooms")]
        Some("study") => study::main(&words[1..], root),
        #[cfg(feature = "rooms")]
        Some("bench") => bench::main(&root),
        #[cfg(feature = "rooms")]
        Some("child") => study::child(&words[1..]),
        Some("tidy") => tidy::main(&root),
        Some(word) => bail!("`{word}` is nothing that the workshop does:\n\n{USAGE}"),
        None => {
            println!("{USAGE}");
            Ok(())
        }
    }
}

/// What this program can do.
const USAGE: &str = "\
cargo tidy                             what clippy cannot see: arrows, doors, docs, sources
cargo xtask study NAME [--sample]      a long check, or its sample; `all` runs every one
cargo xtask bench                      the tables of BENCHMARKS.md, measured here";

/// The repository's root: the folder above this crate's.
fn root() -> anyhow::Result<PathBuf> {
    let here = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    Ok(here
        .parent()
        .context("xtask lies in the repository's root")?
        .to_path_buf())
}
