//! `stook serve`: the day in the browser.

use crate::args::{ServeTyped, Typed};
use crate::clock::{self, MachineClock, SetClock};
use crate::print::{Out, say};
use anyhow::{Context, Result};
use std::path::PathBuf;
use web::{Said, Settings};

/// Serves the book until it is interrupted. A book that is not there yet is made by the first page.
pub(crate) fn serve(asked: &ServeTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let mut clock = MachineClock;
    let device = clock::device(&typed.book)?;
    let mut book = desk::books::open_or_make(&typed.book, &device, &mut clock)?;
    desk::books::sign(&mut book, &device, &mut clock)?;
    let zone = desk::Farm::read(&book)?.zone;
    let at_ms = match &asked.clock {
        Some(text) => {
            Some(desk::happened(text, if zone.is_empty() { "UTC" } else { &zone })?.at_ms())
        }
        None => None,
    };
    let settings = Settings {
        port: asked.port,
        lan: asked.lan,
        behind: asked.behind.clone(),
        hosts: asked.host.clone(),
        certificate: asked.cert.clone().zip(asked.key.clone()),
        new_authority: asked.new_authority,
        state: match &asked.state {
            Some(folder) => folder.clone(),
            None => state_folder()?,
        },
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("the server cannot start")?;
    let open_it = !asked.no_open;
    let json = out.json;
    let said = move |said: Said| match said {
        Said::Open(url) => {
            if json {
                println_line(&format!("{{\"open\":\"{url}\"}}"));
            } else {
                println_line(&format!(
                    "The day is at {url} (this link works once). Stop with Ctrl-C."
                ));
            }
            if open_it {
                open_browser(&url);
            }
        }
        Said::Phones(url) => println_line(&format!("Phones: {url}")),
        Said::Note(note) => say(&note),
    };
    runtime.block_on(web::serve(
        book,
        Box::new(SetClock::new(at_ms)),
        settings,
        said,
        stopped(),
    ))?;
    Ok(0)
}

/// Ctrl-C, or the system's polite end.
async fn stopped() {
    let _ = tokio::signal::ctrl_c().await;
}

/// One line on stdout at once: whoever started the server may wait for it.
fn println_line(line: &str) {
    use std::io::Write;
    let mut stdout = std::io::stdout().lock();
    // a reader that went away does not stop the server
    let _ = writeln!(stdout, "{line}").and_then(|()| stdout.flush());
}

/// Where state is kept that is no part of the book.
fn state_folder() -> Result<PathBuf> {
    std::env::var_os("XDG_STATE_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/state")))
        .or_else(|| std::env::var_os("LOCALAPPDATA").map(PathBuf::from))
        .map(|folder| folder.join("stook"))
        .context("there is no folder for the server's state (HOME is not set); name one with --state FOLDER")
}

/// Asks the system to open an address; where it cannot, the printed line is enough.
fn open_browser(url: &str) {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("cmd", &["/C", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    let _ = std::process::Command::new(program)
        .args(before)
        .arg(url)
        .stdin(std::process::Stdio::null())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn();
}
