//! `stook serve` as a child, with its owner come in by the printed address.

use super::ask::Client;
use anyhow::{Context as _, bail, ensure};
use std::io::{BufRead as _, BufReader};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// A server that is ended when this is dropped.
#[derive(Debug)]
pub(crate) struct Served {
    child: Child,
    /// Where it listens.
    pub(crate) address: SocketAddr,
    /// The path of the one-time address, with its token.
    enter: String,
}

impl Drop for Served {
    fn drop(&mut self) {
        // it may have ended by itself
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Served {
    /// Serves a book on a free port; its state goes into a folder of its own.
    pub(crate) fn start(stook: &Path, book: &Path, state: &Path) -> anyhow::Result<Self> {
        let mut child = Command::new(stook)
            .arg("--book")
            .arg(book)
            .arg("serve")
            .arg("--state")
            .arg(state)
            .args(["--port", "0", "--no-open"])
            .env("STOOK_DEVICE", "kitchen")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .context("stook serve did not start")?;
        let out = child.stdout.take().context("its stdout is a pipe")?;
        let mut served = Self {
            child,
            address: SocketAddr::from(([127, 0, 0, 1], 0)),
            enter: String::new(),
        };
        for line in BufReader::new(out).lines() {
            if let Some((address, path)) = opened(&line?) {
                (served.address, served.enter) = (address, path);
                return Ok(served);
            }
        }
        bail!("stook serve ended before it said where")
    }

    /// The owner's browser, come in.
    pub(crate) fn owner(&self) -> anyhow::Result<Client> {
        let mut owner = Client::new(self.address);
        let answer = owner.get(&self.enter)?;
        ensure!(
            answer.status == 303,
            "the printed address answers {}: {}",
            answer.status,
            answer.text()
        );
        Ok(owner)
    }

    /// A helper's phone, paired as people do it by hand: the owner lets somebody in, the code that is
    /// shown is typed on the phone.
    pub(crate) fn paired(&self, owner: &mut Client, name: &str) -> anyhow::Result<Client> {
        let told = [("name", name), ("role", "helper"), ("language", "")];
        let shown = owner.form("/people/add", &told)?;
        let code = code(&shown.text())
            .with_context(|| format!("/people/add shows no code ({})", shown.status))?;
        let mut phone = Client::new(self.address);
        let answer = phone.form("/pair", &[("code", &code), ("device", name)])?;
        ensure!(
            answer.status == 303,
            "pairing {name} answers {}: {}",
            answer.status,
            answer.text()
        );
        Ok(phone)
    }
}

/// The pairing code on the owner's page.
fn code(page: &str) -> Option<String> {
    let (_, rest) = page.split_once("class=\"typed\"")?;
    let (_, rest) = rest.split_once('>')?;
    let (code, _) = rest.split_once('<')?;
    Some(code.trim().to_owned())
}

/// Address and path of the first link in a line.
fn opened(line: &str) -> Option<(SocketAddr, String)> {
    let url = line
        .split_whitespace()
        .find_map(|word| word.strip_prefix("http://"))?;
    let (address, path) = url.split_once('/')?;
    Some((address.parse().ok()?, format!("/{path}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_address_in_what_is_said() {
        let said = "The day is at http://127.0.0.1:4711/enter?token=a1 (this link works once).";
        let (address, path) = opened(said).unwrap();
        assert_eq!((address.port(), path.as_str()), (4711, "/enter?token=a1"));
        assert!(opened("nothing here").is_none());
    }

    #[test]
    fn finds_the_code_on_the_page() {
        let page = "<p>Type</p><p class=\"typed\" id=\"c\">ABCD EFGH</p>";
        assert_eq!(code(page).unwrap(), "ABCD EFGH");
    }
}
