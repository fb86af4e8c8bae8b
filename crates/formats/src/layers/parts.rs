//! A file and what belongs to it, from a path, an archive or memory.

use super::{Form, MOST_BYTES, refuse, told_by};
use crate::FormatError;
use crate::archive::{Archive, Limits, plain};
use std::io::{Read, Seek};
use std::path::Path;

/// Files beside a Shapefile that are read.
const BESIDE: [&str; 3] = ["dbf", "prj", "cpg"];
/// Bytes by which a file in an archive may be known.
const WANTED: &str = "a file that can be unpacked";

/// A file of one layer with the files that belong to it, all in memory.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Parts {
    main: Vec<u8>,
    beside: Vec<(&'static str, Vec<u8>)>,
}

impl Parts {
    /// A file that stands alone.
    pub fn of(main: Vec<u8>) -> Self {
        Self {
            main,
            beside: Vec::new(),
        }
    }

    /// Files at hand: the first is the main one, the others are told by the ends of their names.
    pub fn with(main: Vec<u8>, beside: impl IntoIterator<Item = (String, Vec<u8>)>) -> Self {
        let beside = beside.into_iter().filter_map(|(name, bytes)| {
            let (_, end) = name.rsplit_once('.').unwrap_or(("", &name));
            BESIDE
                .into_iter()
                .find(|known| end.eq_ignore_ascii_case(known))
                .map(|known| (known, bytes))
        });
        Self {
            main,
            beside: beside.collect(),
        }
    }

    /// The file at a path; for a Shapefile, told by its content, with its parts of the same name.
    ///
    /// # Errors
    /// What cannot be read, or is larger than 512 MB.
    pub fn at(path: &Path, file: &str) -> Result<Self, FormatError> {
        let main = whole(path, file)?;
        if told_by(&main) != Some(Form::Shapefile) {
            return Ok(Self::of(main));
        }
        let folder = match path.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        let unreachable = |source| FormatError::Unreachable {
            file: file.to_owned(),
            source,
        };
        let mut beside = Vec::new();
        for entry in std::fs::read_dir(folder).map_err(unreachable)? {
            let other = entry.map_err(unreachable)?.path();
            let same = other.file_stem() == path.file_stem();
            let end = other.extension().map(|end| end.to_string_lossy());
            let end = end.and_then(|end| {
                BESIDE
                    .into_iter()
                    .find(|known| end.eq_ignore_ascii_case(known))
            });
            if let (true, Some(end)) = (same, end) {
                beside.push((end, whole(&other, file)?));
            }
        }
        Ok(Self { main, beside })
    }

    /// Whether an archive holds layers, by the ends of its names.
    pub(crate) fn in_archive(names: &[String]) -> bool {
        names.iter().any(|name| is_main(name))
    }

    /// The one layer in an archive.
    ///
    /// # Errors
    /// None, or several; then their names are said.
    pub(crate) fn from_archive(
        archive: &mut Archive<impl Read + Seek>,
        file: &str,
    ) -> Result<Self, FormatError> {
        let names = archive.names().to_vec();
        let mains: Vec<usize> = (0..names.len()).filter(|i| is_main(&names[*i])).collect();
        let [main] = mains[..] else {
            let listed: Vec<String> = mains.iter().take(5).map(|i| plain(&names[*i])).collect();
            return Err(refuse(
                file,
                format!(
                    "a zip archive of {} layers ({})",
                    mains.len(),
                    listed.join(", ")
                ),
                "one; unpack the archive and give the file that you mean",
            ));
        };
        let stem = |name: &str| name.rsplit_once('.').map(|(stem, _)| stem.to_owned());
        let bytes = archive.unpack(main, WANTED)?;
        let mut beside = Vec::new();
        for (i, name) in names.iter().enumerate() {
            if i != main
                && stem(name) == stem(&names[main])
                && BESIDE.iter().any(|end| ends(name, end))
            {
                beside.push((name.clone(), archive.unpack(i, WANTED)?));
            }
        }
        Ok(Self::with(bytes, beside))
    }

    /// The file itself.
    pub(crate) fn main(&self) -> &[u8] {
        &self.main
    }

    /// A file beside it, by the end of its name.
    pub(crate) fn beside(&self, end: &str) -> Option<&[u8]> {
        let found = self.beside.iter().find(|(known, _)| *known == end)?;
        Some(&found.1)
    }
}

/// What of an archive is a layer; what it is, its content tells.
fn is_main(name: &str) -> bool {
    // hidden copies that some machines put into archives are no files of the farm
    let own = name.rsplit('/').next().unwrap_or_default();
    let hidden = own.starts_with('.') || name.split('/').any(|part| part == "__MACOSX");
    let known = [
        "shp",
        "geojson",
        "json",
        "gpkg",
        "fgb",
        "parquet",
        "geoparquet",
    ];
    !hidden && known.iter().any(|end| ends(name, end))
}

fn ends(name: &str, end: &str) -> bool {
    name.rsplit_once('.')
        .is_some_and(|(_, own)| own.eq_ignore_ascii_case(end))
}

/// The bytes of a file, within the limit.
fn whole(path: &Path, file: &str) -> Result<Vec<u8>, FormatError> {
    let mut bytes = Vec::new();
    std::fs::File::open(path)
        .and_then(|opened| opened.take(MOST_BYTES + 1).read_to_end(&mut bytes))
        .map_err(|source| FormatError::Unreachable {
            file: file.to_owned(),
            source,
        })?;
    within(&bytes, file)?;
    Ok(bytes)
}

/// Refuses more bytes than are taken into memory.
fn within(bytes: &[u8], file: &str) -> Result<(), FormatError> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(refuse(
            file,
            "more than 512 MB",
            "a file that fits into memory; export the points as CSV, which is read piece by piece",
        ));
    }
    Ok(())
}

/// What a stream of bytes holds that is not delimited text.
#[derive(Debug)]
pub enum Unpacked {
    /// A layer.
    Layer(Parts),
    /// Task data.
    TaskData(crate::taskdata::Files),
}

/// Takes a zip archive apart: task data, if TASKDATA.XML is in it, else the one layer.
///
/// # Errors
/// An archive that cannot be read, is beyond the limits, or holds neither.
pub fn unpacked(bytes: &[u8], file: &str) -> Result<Unpacked, FormatError> {
    within(bytes, file)?;
    let input = std::io::Cursor::new(bytes);
    let mut archive = Archive::open(input, file, &Limits::default())?;
    let task_data = archive.names().iter().any(|name| {
        let own = name.rsplit('/').next().unwrap_or_default();
        own.eq_ignore_ascii_case("TASKDATA.XML")
    });
    if !task_data && Parts::in_archive(archive.names()) {
        return Parts::from_archive(&mut archive, file).map(Unpacked::Layer);
    }
    crate::taskdata::Files::from_archive(&mut archive, file).map(Unpacked::TaskData)
}
