//! Progress of long reading, on stderr, only when a person is looking.

use std::io::{IsTerminal, Read, Write};

/// A reader that says how far it is.
pub(crate) struct Progress<R> {
    inner: R,
    total: u64,
    read: u64,
    said: u64,
    looking: bool,
}

impl<R: Read> Progress<R> {
    /// Wraps a reader of `total` bytes.
    pub(crate) fn new(inner: R, total: u64) -> Self {
        Self {
            inner,
            total,
            read: 0,
            said: 0,
            looking: std::io::stderr().is_terminal() && total > 8 << 20,
        }
    }
}

impl<R: Read> Read for Progress<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = self.inner.read(buffer)?;
        self.read += count as u64;
        if self.looking {
            let percent = self.read * 100 / self.total.max(1);
            if percent != self.said || count == 0 {
                self.said = percent;
                let end = if count == 0 { "\n" } else { "" };
                let _ = write!(std::io::stderr(), "\rreading {percent} %{end}");
            }
        }
        Ok(count)
    }
}
