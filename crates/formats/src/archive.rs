//! A zip archive from outside, unpacked in memory within limits; nothing is ever written to disk.

use crate::FormatError;
use std::io::{Read, Seek};

/// How much an archive or a folder may hold. A year of a combine's logs is some 100 files and 200 MB; these
/// limits keep a damaged or hostile archive from filling the memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Entries in the archive or folder.
    pub entries: usize,
    /// Bytes of all files read, unpacked.
    pub unpacked_bytes: u64,
    /// Unpacked bytes over packed bytes of one file, once it is past 1 MiB. Deflate reaches 1,032;
    /// logs reach about 30.
    pub ratio: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            entries: 20_000,
            unpacked_bytes: 512 << 20,
            ratio: 200,
        }
    }
}

/// Unpacked bytes of one file below which its ratio says nothing.
const RATIO_FROM: u64 = 1 << 20;

/// An archive whose names were all looked at.
pub(crate) struct Archive<R> {
    zip: zip::ZipArchive<R>,
    file: String,
    names: Vec<String>,
    left: u64,
    ratio: u64,
}

impl<R: Read + Seek> Archive<R> {
    /// Opens an archive; `file` is its name for messages.
    ///
    /// # Errors
    /// Not a zip archive, a damaged one, more entries than `limits` allow, or a name that leads out of it.
    pub(crate) fn open(input: R, file: &str, limits: &Limits) -> Result<Self, FormatError> {
        let refuse = |found: String, expected: &str| FormatError::NotThis {
            file: file.to_owned(),
            found,
            expected: expected.to_owned(),
        };
        let mut zip = zip::ZipArchive::new(input).map_err(|why| damaged(file, &why))?;
        if zip.len() > limits.entries {
            return Err(refuse(
                format!("a zip archive of {} files", zip.len()),
                &format!("at most {}", limits.entries),
            ));
        }
        let mut names = Vec::new();
        for index in 0..zip.len() {
            let entry = zip.by_index_raw(index).map_err(|why| damaged(file, &why))?;
            let name = String::from_utf8_lossy(entry.name_raw()).replace('\\', "/");
            if escapes(&name) {
                return Err(refuse(
                    format!(
                        "a zip archive with the name '{}', which leads out of it",
                        plain(&name)
                    ),
                    "names inside the archive; nothing was unpacked, and this archive is not to be trusted",
                ));
            }
            names.push(name);
        }
        Ok(Self {
            zip,
            file: file.to_owned(),
            names,
            left: limits.unpacked_bytes,
            ratio: limits.ratio,
        })
    }

    /// Names, with `/` between folders, in the archive's own order.
    pub(crate) fn names(&self) -> &[String] {
        &self.names
    }

    /// Unpacks one file; `wanted` says what was expected when it cannot be.
    ///
    /// # Errors
    /// An encrypted or damaged file, one packed in a way that is not read, or one beyond the limits.
    pub(crate) fn unpack(&mut self, index: usize, wanted: &str) -> Result<Vec<u8>, FormatError> {
        let entry = self
            .zip
            .by_index_raw(index)
            .map_err(|why| damaged(&self.file, &why))?;
        let bytes = unpack(entry, self.left, self.ratio).map_err(|found| FormatError::NotThis {
            file: self.file.clone(),
            found: format!("'{}' {found}", plain(&self.names[index])),
            expected: wanted.to_owned(),
        })?;
        self.left -= bytes.len() as u64;
        Ok(bytes)
    }
}

fn damaged(file: &str, why: &dyn std::fmt::Display) -> FormatError {
    FormatError::NotThis {
        file: file.to_owned(),
        found: format!("a zip archive that cannot be read ({why})"),
        expected: "a whole archive; copy it again".to_owned(),
    }
}

/// Whether a name leads out of the archive: from the root, from a drive, or up.
fn escapes(name: &str) -> bool {
    name.starts_with('/') || name.contains(':') || name.split('/').any(|part| part == "..")
}

/// A name for a message: short, and without control characters.
pub(crate) fn plain(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_control())
        .take(80)
        .collect::<String>()
}

/// Unpacks one file, or says what is wrong with it.
fn unpack<R: Read>(
    entry: zip::read::ZipFile<'_, R>,
    left: u64,
    ratio: u64,
) -> Result<Vec<u8>, String> {
    if entry.encrypted() {
        return Err("is encrypted".to_owned());
    }
    let (method, crc, packed) = (entry.compression(), entry.crc32(), entry.compressed_size());
    let most = left.min(packed.saturating_mul(ratio).max(RATIO_FROM));
    let mut bytes = Vec::new();
    let got = match method {
        zip::CompressionMethod::Stored => entry.take(most + 1).read_to_end(&mut bytes),
        zip::CompressionMethod::Deflated => flate2::read::DeflateDecoder::new(entry)
            .take(most + 1)
            .read_to_end(&mut bytes),
        other => return Err(format!("is packed as {other}, which is not read here")),
    };
    if bytes.len() as u64 > left {
        return Err("unpacks to more than the whole archive may".to_owned());
    }
    if bytes.len() as u64 > most {
        return Err(format!(
            "unpacks to more than {ratio} times its packed size, as no such file does"
        ));
    }
    got.map_err(|why| format!("cannot be unpacked ({why})"))?;
    let mut sum = flate2::Crc::new();
    sum.update(&bytes);
    if sum.sum() != crc {
        return Err("does not match its checksum; copy the archive again".to_owned());
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_out_are_known() {
        for bad in ["/a", "../a", "a/../../b", "C:/a", "a/.."] {
            assert!(escapes(bad), "{bad}");
        }
        for good in ["TASKDATA/TLG00001.bin", "a..b", "..a/b"] {
            assert!(!escapes(good), "{good}");
        }
    }
}
