//! Child processes under watch: what they hold in memory, and their end.

use anyhow::{Context as _, bail};
use std::path::PathBuf;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::Duration;

/// A finished child.
#[derive(Debug)]
pub(crate) struct Finished {
    /// How it ended.
    pub(crate) status: ExitStatus,
    /// Most memory that it ever held at once, in MiB, as the kernel counts it (`VmHWM`).
    pub(crate) peak_mib: f64,
    /// What it said on stdout.
    pub(crate) stdout: String,
    /// What it said on stderr.
    pub(crate) stderr: String,
}

/// The built `stook`, which stands beside this program.
pub(crate) fn stook() -> anyhow::Result<PathBuf> {
    let here = std::env::current_exe().context("this program does not know where it is")?;
    let program = here.with_file_name("stook");
    let built = Command::new(env!("CARGO"))
        .args(["build", "--quiet", "--locked", "--package", "stook"])
        .args(
            here.parent()
                .is_some_and(|folder| folder.ends_with("release"))
                .then_some("--release"),
        )
        .status()
        .context("cargo did not start")?;
    if !built.success() || !program.is_file() {
        bail!("`stook` could not be built beside {}", here.display());
    }
    Ok(program)
}

/// Runs a command to its end, asking the kernel several times a millisecond how much it holds; one
/// that ends before it could be asked counts as 0.
///
/// The last answer misses what the child took on in its last moments; reading in chunks, as ours
/// do, that is little.
pub(crate) fn watch(command: &mut Command) -> anyhow::Result<Finished> {
    let mut out = tempfile::tempfile()?;
    let mut err = tempfile::tempfile()?;
    let mut child = command
        .stdin(Stdio::null())
        .stdout(out.try_clone()?)
        .stderr(err.try_clone()?)
        .spawn()
        .with_context(|| format!("{command:?} did not start"))?;
    let mut peak_mib = 0.0_f64;
    let status = loop {
        if let Some(mib) = peak(&child) {
            peak_mib = peak_mib.max(mib);
        }
        if let Some(status) = child.try_wait()? {
            break status;
        }
        std::thread::sleep(Duration::from_micros(200));
    };
    Ok(Finished {
        status,
        peak_mib,
        stdout: read_back(&mut out)?,
        stderr: read_back(&mut err)?,
    })
}

/// Most memory that a running child has held, in MiB.
fn peak(child: &Child) -> Option<f64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim()
        .strip_suffix("kB")?
        .trim()
        .parse::<f64>()
        .ok()
        .map(|kib| kib / 1024.0)
}

fn read_back(file: &mut std::fs::File) -> anyhow::Result<String> {
    use std::io::{Read as _, Seek as _};
    file.rewind()?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
