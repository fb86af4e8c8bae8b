//! Benchmarks: the tables of BENCHMARKS.md, measured on this machine and printed as markdown.
//!
//! Nothing here passes or fails: cores are shared, and times are for people to read.

use crate::study::large;
use anyhow::{Context as _, bail};
use std::path::Path;
use std::process::{Command, Stdio};

/// Benchmarks that are example programs of a room: title, crate, example.
const EXAMPLES: &[(&str, &str, &str)] = &[
    ("Reading points", "stook-formats", "points_bench"),
    ("Appending entries", "stook-book", "append_bench"),
];

/// Measures, and prints.
pub(crate) fn main(root: &Path) -> anyhow::Result<()> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    println!(
        "Measured by `cargo xtask bench` in release on {cores} cores ({}).\n",
        compiler()?
    );
    for (title, package, example) in EXAMPLES {
        println!("### {title}\n\n`cargo run --release -p {package} --example {example}`\n");
        let output = Command::new(env!("CARGO"))
            .args([
                "run",
                "--quiet",
                "--release",
                "--locked",
                "-p",
                package,
                "--example",
                example,
            ])
            .current_dir(root)
            .stderr(Stdio::inherit())
            .output()
            .context("cargo did not start")?;
        if !output.status.success() {
            bail!("the example {example} of {package} failed");
        }
        println!("{}", String::from_utf8_lossy(&output.stdout).trim_end());
        println!();
    }
    println!("### Squaring a large season\n\n`cargo xtask bench` (one thread)\n");
    println!("{}", large::table(1)?);
    Ok(())
}

/// The compiler's version.
fn compiler() -> anyhow::Result<String> {
    let output = Command::new("rustc")
        .arg("--version")
        .output()
        .context("rustc did not start")?;
    let said = String::from_utf8_lossy(&output.stdout);
    Ok(said
        .split(" (")
        .next()
        .unwrap_or_default()
        .trim()
        .to_owned())
}
