//! The ordered dump: JSON lines, the same for the same set of entries and attachments.
//!
//! Line 1 says what it is; then one line an entry, in the one order; then one line an attachment,
//! by key (its bytes are not in the dump: save them beside it from [`Book::attachment`]).

use super::{Book, Merged};
use crate::entry::PayloadText;
use crate::{Attachment, BookError, Entry};
use serde::{Deserialize, Serialize};
use std::io::{BufRead, Write};

/// First line of every dump.
const HEAD: &str = r#"{"stook_dump":1}"#;
/// Longest line: a payload and what stands around it.
const LINE_MOST: u64 = PayloadText::MOST as u64 + 100_000;

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Line {
    Entry(Entry),
    Attachment(Attachment),
}

impl Book {
    /// Writes the ordered dump.
    ///
    /// # Errors
    /// As [`Book::entries`]; [`BookError::Io`] when it cannot be written.
    pub fn dump_to(&self, out: &mut dyn Write) -> Result<(), BookError> {
        let io = |source| BookError::Io {
            path: "the dump".to_owned(),
            source,
        };
        let mut put = |line: &str| out.write_all(format!("{line}\n").as_bytes()).map_err(io);
        put(HEAD)?;
        let entries = self.entries()?.into_iter().map(Line::Entry);
        let attachments = self.attachments()?.into_iter().map(Line::Attachment);
        for line in entries.chain(attachments) {
            put(&serde_json::to_string(&line).expect("entries hold only text and numbers"))?;
        }
        Ok(())
    }

    /// The ordered dump as text.
    ///
    /// # Errors
    /// As [`Book::entries`].
    pub fn dump(&self) -> Result<String, BookError> {
        let mut out = Vec::new();
        self.dump_to(&mut out)?;
        Ok(String::from_utf8(out).expect("JSON is UTF-8"))
    }

    /// Takes in a dump, all or nothing; entries that are here already change nothing. Returns what
    /// it brought, and the attachments that it names and this book does not hold yet.
    ///
    /// # Errors
    /// [`BookError::DumpLine`] for a line that does not read, [`BookError::SameId`].
    pub fn import_dump(
        &mut self,
        from: &mut dyn BufRead,
    ) -> Result<(Merged, Vec<Attachment>), BookError> {
        let (entries, attachments) = read(from)?;
        let merged = self.take_in(&entries)?;
        let here = self.attachments()?;
        let missing = attachments
            .into_iter()
            .filter(|one| !here.contains(one))
            .collect();
        Ok((merged, missing))
    }
}

fn read(from: &mut dyn BufRead) -> Result<(Vec<Entry>, Vec<Attachment>), BookError> {
    let (mut entries, mut attachments) = (Vec::new(), Vec::new());
    let mut line = 0;
    loop {
        line += 1;
        let odd = |why: String| BookError::DumpLine { line, why };
        let mut bytes = Vec::new();
        let limited = &mut std::io::Read::take(&mut *from, LINE_MOST);
        let count = limited
            .read_until(b'\n', &mut bytes)
            .map_err(|error| odd(error.to_string()))?;
        if count == 0 && line > 1 {
            return Ok((entries, attachments));
        }
        let text = std::str::from_utf8(&bytes).map_err(|error| odd(error.to_string()))?;
        let text = text.trim_end_matches(['\n', '\r']);
        if line == 1 {
            if text != HEAD {
                return Err(odd(format!("a dump begins with {HEAD}")));
            }
        } else if count as u64 == LINE_MOST {
            return Err(odd(format!("it is longer than {LINE_MOST} bytes")));
        } else {
            match serde_json::from_str(text).map_err(|error| odd(error.to_string()))? {
                Line::Entry(entry) => {
                    entry.check().map_err(|error| odd(error.to_string()))?;
                    entries.push(entry);
                }
                Line::Attachment(one) => attachments.push(one),
            }
        }
    }
}
