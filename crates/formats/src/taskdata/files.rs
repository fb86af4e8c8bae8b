//! The files of a transfer, from a zip archive, a folder or memory, within limits.

use crate::FormatError;
use crate::archive::{Archive, Limits, plain};
use std::collections::BTreeMap;
use std::io::{Read, Seek};
use std::path::Path;

/// What a transfer should hold, for messages.
pub(super) const WANTED: &str = "task data (ISO 11783-10): TASKDATA.XML with the TLG files beside it, as a zip archive or a folder";

/// Files by name, found in any letter case. Only XML and BIN files of the folder that holds
/// TASKDATA.XML are kept; nothing is ever written to disk.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Files {
    by_name: BTreeMap<String, Vec<u8>>,
}

impl Files {
    /// Files at hand, as names and bytes; of two names that differ in letter case only, the last holds.
    pub fn of(list: impl IntoIterator<Item = (String, Vec<u8>)>) -> Self {
        Self {
            by_name: list
                .into_iter()
                .map(|(name, bytes)| (name.to_ascii_uppercase(), bytes))
                .collect(),
        }
    }

    /// The bytes of a file, whatever the case of its name.
    pub fn get(&self, name: &str) -> Option<&[u8]> {
        self.by_name
            .get(&name.to_ascii_uppercase())
            .map(Vec::as_slice)
    }

    /// Names in capitals, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.by_name.keys().map(String::as_str)
    }

    /// Unpacks a zip archive in memory; `file` is its name for messages.
    ///
    /// # Errors
    /// Not a zip archive; a damaged one; one with an encrypted file or a packing other than deflate;
    /// a name that leads out of the archive; more than `limits` allow; no task data in it.
    pub fn from_zip(
        input: impl Read + Seek,
        file: &str,
        limits: &Limits,
    ) -> Result<Self, FormatError> {
        let mut archive = Archive::open(input, file, limits)?;
        Self::from_archive(&mut archive, file)
    }

    /// As [`Self::from_zip`], from an archive whose names were looked at.
    pub(crate) fn from_archive(
        archive: &mut Archive<impl Read + Seek>,
        file: &str,
    ) -> Result<Self, FormatError> {
        let names = archive.names().to_vec();
        let folder = folder_of(&names, file)?;
        let mut list = Vec::new();
        for (index, name) in names.iter().enumerate() {
            let Some(own) = name.strip_prefix(folder.as_str()).filter(|own| wanted(own)) else {
                continue;
            };
            list.push((own.to_owned(), archive.unpack(index, WANTED)?));
        }
        Ok(Self::of(list))
    }

    /// Reads the folder that holds TASKDATA.XML: `path` itself or its folder `TASKDATA`; or the path
    /// of TASKDATA.XML under whatever name. `file` is its name for messages.
    ///
    /// # Errors
    /// A folder that cannot be read, has no TASKDATA.XML, or holds more than `limits` allow.
    pub fn from_folder(path: &Path, file: &str, limits: &Limits) -> Result<Self, FormatError> {
        let unreachable = |source| FormatError::Unreachable {
            file: file.to_owned(),
            source,
        };
        let refuse = |found: String| FormatError::NotThis {
            file: file.to_owned(),
            found,
            expected: WANTED.to_owned(),
        };
        // a file named by its path is the main one, whatever it is called
        let main = path.is_file().then_some(path);
        let start = match main {
            Some(main) => main.parent().filter(|p| !p.as_os_str().is_empty()),
            None => Some(path),
        };
        let mut folder = start.unwrap_or_else(|| Path::new(".")).to_owned();
        let list = |folder: &Path| -> Result<Vec<(String, std::path::PathBuf)>, FormatError> {
            let mut found = Vec::new();
            for entry in std::fs::read_dir(folder).map_err(unreachable)? {
                let entry = entry.map_err(unreachable)?;
                found.push((
                    entry.file_name().to_string_lossy().into_owned(),
                    entry.path(),
                ));
                if found.len() > limits.entries {
                    return Err(refuse(format!(
                        "a folder of more than {} files",
                        limits.entries
                    )));
                }
            }
            found.sort();
            Ok(found)
        };
        let mut inside = list(&folder)?;
        if main.is_none()
            && !inside.iter().any(|(name, _)| is_main(name))
            && let Some((_, below)) = inside
                .iter()
                .find(|(name, path)| name.eq_ignore_ascii_case("TASKDATA") && path.is_dir())
        {
            folder.clone_from(below);
            inside = list(&folder)?;
        }
        if let Some(main) = main {
            inside.retain(|(name, _)| !is_main(name));
            inside.push(("TASKDATA.XML".to_owned(), main.to_owned()));
        } else if !inside.iter().any(|(name, _)| is_main(name)) {
            return Err(refuse("a folder without TASKDATA.XML".to_owned()));
        }
        let mut left = limits.unpacked_bytes;
        let mut files = Vec::new();
        for (name, path) in inside {
            if !wanted(&name) || !path.is_file() {
                continue;
            }
            let mut bytes = Vec::new();
            std::fs::File::open(&path)
                .and_then(|opened| opened.take(left + 1).read_to_end(&mut bytes))
                .map_err(unreachable)?;
            left = left.checked_sub(bytes.len() as u64).ok_or_else(|| {
                refuse(format!(
                    "more than {} bytes of files",
                    limits.unpacked_bytes
                ))
            })?;
            files.push((name, bytes));
        }
        Ok(Self::of(files))
    }
}

/// Whether a name is that of the file everything starts from.
fn is_main(name: &str) -> bool {
    name.eq_ignore_ascii_case("TASKDATA.XML")
}

/// Whether a file of the transfer's own folder can be a part of it that is read: XML, and the records of
/// logs; grids and points of application (GRD, PNT) are left packed.
fn wanted(own: &str) -> bool {
    let own = own.to_ascii_uppercase();
    let applied = own.starts_with("GRD") || own.starts_with("PNT");
    match own.rsplit_once('.') {
        Some((name, "XML")) => !name.contains('/'),
        Some((name, "BIN")) => !name.contains('/') && !applied,
        _ => false,
    }
}

/// The folder inside the archive that holds the one TASKDATA.XML, with its `/`.
fn folder_of(names: &[String], file: &str) -> Result<String, FormatError> {
    let mains: Vec<&String> = names
        .iter()
        .filter(|name| is_main(name.rsplit('/').next().unwrap_or_default()))
        .collect();
    let refuse = |found: String, expected: &str| FormatError::NotThis {
        file: file.to_owned(),
        found,
        expected: expected.to_owned(),
    };
    match mains.as_slice() {
        [one] => Ok(one[..one.len() - "TASKDATA.XML".len()].to_owned()),
        [] => Err(refuse(
            "a zip archive without TASKDATA.XML (a spreadsheet workbook is such an archive too)"
                .to_owned(),
            "task data (ISO 11783-10), or the points exported as CSV (UTF-8)",
        )),
        several => Err(refuse(
            format!(
                "{} files TASKDATA.XML ({})",
                several.len(),
                several
                    .iter()
                    .take(3)
                    .map(|name| plain(name))
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
            "one; unpack the archive and name the folder of the one you mean",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_read_is_wanted() {
        for good in ["TASKDATA.XML", "tlg00001.bin", "Pfd00001.xml"] {
            assert!(wanted(good), "{good}");
        }
        for bad in [
            "GRD00001.BIN",
            "pnt00001.bin",
            "notes.txt",
            "a/b.xml",
            "bin",
        ] {
            assert!(!wanted(bad), "{bad}");
        }
    }

    #[test]
    fn files_are_found_in_any_case() {
        let files = Files::of([("tlg00001.BIN".to_owned(), vec![1])]);
        assert_eq!(files.get("TLG00001.bin"), Some(&[1][..]));
        assert_eq!(files.names().collect::<Vec<_>>(), ["TLG00001.BIN"]);
    }
}
