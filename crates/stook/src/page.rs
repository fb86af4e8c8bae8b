//! Writing a picture or page to a file.

use anyhow::{Context, Result, bail};
use std::io::Read;
use std::path::Path;

/// Writes a picture or page whole, under a name of its own first. A file that is there already is
/// written over only if it is such a drawing itself: never a book, never raw data.
pub(crate) fn write(path: &Path, text: &str) -> Result<()> {
    let name = || path.display().to_string();
    if path.exists() {
        let mut start = [0_u8; 15];
        let read = std::fs::File::open(path).and_then(|mut file| file.read(&mut start));
        let read = read.with_context(name)?;
        let ours = start[..read].starts_with(b"<svg xmlns=")
            || start[..read].starts_with(b"<!doctype html>");
        if !ours {
            bail!(
                "{}: it holds something else than a drawing and was left as it is; choose another name",
                name()
            );
        }
    }
    let mut beside = path.as_os_str().to_owned();
    beside.push(".new");
    std::fs::write(&beside, text).with_context(name)?;
    std::fs::rename(&beside, path).with_context(name)
}
