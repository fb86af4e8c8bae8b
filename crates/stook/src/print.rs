//! Printing: JSON exactly as the result is, or aligned text.

use crate::args::{Typed, UnitsTyped};
use anyhow::Result;
use desk::Why;
use quantity::Units;
use serde::Serialize;
use std::fmt::Write as _;
use std::io::Write as _;

/// Everything that goes to stdout, gathered and written at once.
pub(crate) struct Out {
    text: String,
    /// Whether JSON is wanted.
    pub json: bool,
    /// Which units.
    pub units: Units,
    /// Whether explanations are wanted.
    pub why: bool,
}

impl Out {
    /// As the arguments say.
    pub(crate) fn new(typed: &Typed) -> Self {
        let units = match typed.units {
            UnitsTyped::Us => Units::Us,
            UnitsTyped::Metric => Units::Metric,
        };
        Self {
            text: String::new(),
            json: typed.json,
            units,
            why: typed.why,
        }
    }

    /// One line.
    pub(crate) fn line(&mut self, text: impl AsRef<str>) {
        self.text.push_str(text.as_ref());
        self.text.push('\n');
    }

    /// A result as JSON.
    pub(crate) fn json(&mut self, result: &impl Serialize) -> Result<()> {
        let text = serde_json::to_string_pretty(result)?;
        self.line(text);
        Ok(())
    }

    /// Two columns, the left padded.
    pub(crate) fn pairs(&mut self, pairs: &[(String, String)]) {
        let wide = pairs
            .iter()
            .map(|pair| pair.0.chars().count())
            .max()
            .unwrap_or(0);
        for (label, value) in pairs {
            let pad = wide - label.chars().count();
            self.line(format!("{label}{}  {value}", " ".repeat(pad)));
        }
    }

    /// A table: heads, then rows; columns named in `right` are set flush right.
    pub(crate) fn table(&mut self, heads: &[&str], right: &[usize], rows: &[Vec<String>]) {
        let columns = heads.len();
        let width = |column: usize| {
            rows.iter()
                .map(|row| row[column].chars().count())
                .chain([heads[column].chars().count()])
                .max()
                .unwrap_or(0)
        };
        let widths: Vec<usize> = (0..columns).map(width).collect();
        let mut set = |cells: &[String]| {
            let mut line = String::new();
            for (column, cell) in cells.iter().enumerate() {
                let pad = " ".repeat(widths[column] - cell.chars().count());
                if column > 0 {
                    line.push_str("  ");
                }
                if right.contains(&column) {
                    let _ = write!(line, "{pad}{cell}");
                } else {
                    let _ = write!(line, "{cell}{pad}");
                }
            }
            self.line(line.trim_end());
        };
        set(&heads
            .iter()
            .map(|head| (*head).to_owned())
            .collect::<Vec<_>>());
        set(&widths
            .iter()
            .map(|wide| "-".repeat(*wide))
            .collect::<Vec<_>>());
        for row in rows {
            set(row);
        }
    }

    /// Cautions, one a line.
    pub(crate) fn cautions(&mut self, cautions: &[String]) {
        for caution in cautions {
            self.line(format!("Caution: {caution}"));
        }
    }

    /// Explanations, when they are wanted.
    pub(crate) fn whys(&mut self, whys: &[Why]) {
        if !self.why {
            return;
        }
        for why in whys {
            self.line("");
            self.line(format!("why {}: {}", why.figure, why.value));
            for (name, value) in &why.inputs {
                if !value.is_empty() {
                    self.line(format!("  {name}: {value}"));
                }
            }
            self.line(format!("  formula: {}", why.formula));
            self.line(format!("  source: {}", why.source));
            if !why.entries.is_empty() {
                self.line(format!("  entries: {}", why.entries.join(", ")));
            }
        }
    }

    /// Writes what was gathered; a reader who left early (a pager, `head`) is no error.
    pub(crate) fn flush(&mut self) {
        let text = std::mem::take(&mut self.text);
        let mut stdout = std::io::stdout().lock();
        let _ = stdout
            .write_all(text.as_bytes())
            .and_then(|()| stdout.flush());
    }
}

/// Something said to the person, not part of the answer.
pub(crate) fn say(text: impl AsRef<str>) {
    let _ = writeln!(std::io::stderr(), "{}", text.as_ref());
}

/// What went wrong, in one sentence.
pub(crate) fn complain(why: &anyhow::Error) {
    let missing = why
        .root_cause()
        .downcast_ref::<std::io::Error>()
        .is_some_and(|io| io.kind() == std::io::ErrorKind::NotFound);
    if missing {
        say(format!(
            "stook: {why} is not there; check the name and the folder"
        ));
    } else {
        say(format!("stook: {why:#}"));
    }
}

/// Words that cannot be understood: one line and where the help is. Help itself is an answer.
pub(crate) fn usage(why: &clap::Error) -> std::process::ExitCode {
    use clap::error::ErrorKind;
    if matches!(
        why.kind(),
        ErrorKind::DisplayHelp
            | ErrorKind::DisplayVersion
            | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
    ) {
        let _ = why.print();
        return std::process::ExitCode::from(u8::try_from(why.exit_code()).unwrap_or(2));
    }
    let text = why.to_string();
    let said: Vec<&str> = text
        .lines()
        .map(str::trim)
        .take_while(|line| !line.starts_with("Usage:") && !line.starts_with("For more"))
        .filter(|line| !line.is_empty())
        .collect();
    let said = said.join(" ");
    let said = said.strip_prefix("error: ").unwrap_or(&said);
    say(format!(
        "stook: {said}; --help after the command lists what it takes"
    ));
    std::process::ExitCode::from(2)
}
