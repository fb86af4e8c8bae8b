//! The farm's one file: new, check, backup, merge, export to CSV and GeoPackage, and back.

use crate::{Clock, DeskError, Farm, Pen};
use book::kinds::{Farm as FarmSays, Name};
use book::{Book, CheckReport, Device, Entry, Merged};
use serde::Serialize;
use std::path::Path;

/// A book that was made.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Made {
    /// The file.
    pub book: String,
    /// The farm.
    pub farm: String,
    /// Its time zone.
    pub zone: String,
}

/// Makes a new book; an existing file is never touched.
///
/// # Errors
/// A file that is there already, or a zone that this program does not know.
pub fn create(
    path: &Path,
    farm: &str,
    zone: &str,
    author: &str,
    device: &Device,
    clock: &mut dyn Clock,
) -> Result<(Book, Made), DeskError> {
    let name = Name::new(farm).map_err(|why| DeskError::figure("farm", why))?;
    jiff::tz::TimeZone::get(zone).map_err(|_| {
        DeskError::figure(
            "zone",
            format!("found '{zone}', expected a name like America/Chicago"),
        )
    })?;
    let now_ms = clock.now_ms();
    let mut book = Book::create(path, device, now_ms)?;
    let says = FarmSays {
        name,
        insured_name: None,
        zone: Name::new(zone)?,
    };
    Pen::new(author, None, zone, clock)?.write(&mut book, says.into())?;
    let made = Made {
        book: path.display().to_string(),
        farm: farm.to_owned(),
        zone: zone.to_owned(),
    };
    Ok((book, made))
}

/// Opens the book; it is not touched until something is written.
///
/// # Errors
/// A file that is not there or is not a book.
pub fn open(path: &Path) -> Result<Book, DeskError> {
    if !path.exists() {
        return Err(DeskError::File {
            file: path.display().to_string(),
            why: "there is no book here; make one with stook book new --farm NAME, or name it with --book FILE".to_owned(),
        });
    }
    Ok(Book::open(path)?)
}

/// What a check found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checked {
    /// Whether nothing was found.
    pub clean: bool,
    /// The report.
    pub report: CheckReport,
}

/// Looks the whole book over.
///
/// # Errors
/// A file that cannot be read at all.
pub fn check(book: &Book) -> Result<Checked, DeskError> {
    let report = book.check()?;
    Ok(Checked {
        clean: report.is_clean(),
        report,
    })
}

/// A copy that was made and checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BackedUp {
    /// The copy.
    pub copy: String,
    /// Entries in it.
    pub entries: u64,
}

/// Copies the book while it is in use.
///
/// # Errors
/// A file that is there already or cannot be written.
pub fn backup(book: &Book, to: &Path) -> Result<BackedUp, DeskError> {
    let entries = book.backup(to)?;
    Ok(BackedUp {
        copy: to.display().to_string(),
        entries,
    })
}

/// A copy of the book as bytes, for a face that hands it out: made beside the book, checked, read and
/// taken away again.
///
/// # Errors
/// A folder that cannot be written to.
pub fn copied(book: &Book) -> Result<Vec<u8>, DeskError> {
    let mut beside = book.path().as_os_str().to_owned();
    beside.push(".copy");
    let beside = std::path::PathBuf::from(beside);
    // what an interrupted copy left behind
    let _ = std::fs::remove_file(&beside);
    book.backup(&beside)?;
    let bytes = std::fs::read(&beside).map_err(|why| DeskError::file(&beside, why));
    unmake(&beside);
    bytes
}

/// Brings in every entry of another book.
///
/// # Errors
/// A file that is not a book of this farm; then nothing is merged.
pub fn merge(book: &mut Book, from: &Path) -> Result<Merged, DeskError> {
    Ok(book.merge_from(from)?)
}

/// What an export wrote.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Exported {
    /// The folder.
    pub folder: String,
    /// Entries in `entries.csv`.
    pub entries: u64,
    /// Files in `attachments/`.
    pub attachments: u64,
    /// Outlines in `fields.gpkg`.
    pub fields: u64,
}

/// The files of an export.
const ENTRIES: &str = "entries.csv";
const FIELDS: &str = "fields.gpkg";
const ATTACHMENTS: &str = "attachments";

/// Writes the whole book into an empty or new folder: `entries.csv` (every entry, without loss),
/// `attachments/` (raw files by their SHA-256) and `fields.gpkg` (outlines, to look at elsewhere).
///
/// # Errors
/// A folder that holds something, or a file that cannot be written.
pub fn export(book: &Book, folder: &Path) -> Result<Exported, DeskError> {
    if folder.exists() {
        let mut inside = std::fs::read_dir(folder).map_err(|why| DeskError::file(folder, why))?;
        if inside.next().is_some() {
            return Err(DeskError::file(
                folder,
                "the folder is not empty; choose a new one, nothing was written",
            ));
        }
    }
    std::fs::create_dir_all(folder.join(ATTACHMENTS))
        .map_err(|why| DeskError::file(folder, why))?;
    let entries = book.entries()?;
    let rows: Vec<Vec<String>> = entries
        .iter()
        .map(|entry| entry.record().to_vec())
        .collect();
    let path = folder.join(ENTRIES);
    let text = formats::entries_csv::write(&Entry::COLUMNS, &rows)
        .map_err(|why| DeskError::file(&path, why))?;
    std::fs::write(&path, text).map_err(|why| DeskError::file(&path, why))?;
    let mut attachments = 0;
    for one in book.attachments()? {
        if let Some(bytes) = book.attachment(one.sha256)? {
            let path = folder.join(ATTACHMENTS).join(one.sha256.to_string());
            std::fs::write(&path, bytes).map_err(|why| DeskError::file(&path, why))?;
            attachments += 1;
        }
    }
    let fields = export_fields(&Farm::read(book)?, &folder.join(FIELDS))?;
    Ok(Exported {
        folder: folder.display().to_string(),
        entries: entries.len() as u64,
        attachments,
        fields,
    })
}

fn export_fields(farm: &Farm, path: &Path) -> Result<u64, DeskError> {
    let wrong = |why: formats::FormatError| DeskError::file(path, why);
    let mut features = Vec::new();
    for (name, field) in &farm.fields {
        let Some(boundary) = &field.says.boundary else {
            continue;
        };
        let shape = formats::geojson::parse(boundary.geojson()).map_err(wrong)?;
        let text = |name: Option<&Name>| name.map_or_else(String::new, ToString::to_string);
        features.push(formats::geopackage::Feature {
            shape,
            text: vec![
                ("name".to_owned(), name.to_string()),
                (
                    "farm_number".to_owned(),
                    text(field.says.farm_number.as_ref()),
                ),
                (
                    "tract_number".to_owned(),
                    text(field.says.tract_number.as_ref()),
                ),
                (
                    "field_number".to_owned(),
                    text(field.says.field_number.as_ref()),
                ),
                (
                    "unit_number".to_owned(),
                    text(field.says.unit_number.as_ref()),
                ),
            ],
            real: Vec::new(),
        });
    }
    formats::geopackage::write(path, "fields", &features).map_err(wrong)?;
    Ok(features.len() as u64)
}

/// Opens the book to import into: a file that is not there yet is made, with nothing of its own in
/// it, so that it ends with exactly the entries of the export.
///
/// # Errors
/// A file that is there and is not a book.
pub fn open_or_make(
    path: &Path,
    device: &Device,
    clock: &mut dyn Clock,
) -> Result<Book, DeskError> {
    if path.exists() {
        return open(path);
    }
    Ok(Book::create(path, device, clock.now_ms())?)
}

/// Makes this device the one that the book writes as from now on.
///
/// # Errors
/// Whatever the book refuses.
pub fn sign(book: &mut Book, device: &Device, clock: &mut dyn Clock) -> Result<(), DeskError> {
    if book.device().id != device.id {
        book.take_device(device, clock.now_ms())?;
    }
    Ok(())
}

/// Takes back a book that was just made for an import that failed.
pub fn unmake(path: &Path) {
    for end in ["", "-wal", "-shm"] {
        let mut name = path.as_os_str().to_owned();
        name.push(end);
        // what is not there need not go
        let _ = std::fs::remove_file(name);
    }
}

/// The entries of an export's `entries.csv`.
fn exported(path: &Path, bytes: &[u8]) -> Result<Vec<Entry>, DeskError> {
    let rows = formats::entries_csv::read(bytes, &Entry::COLUMNS)
        .map_err(|why| DeskError::file(path, why))?;
    let mut entries = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        let fields: Vec<&str> = row.iter().map(String::as_str).collect();
        let entry = Entry::from_record(&fields).map_err(|why| DeskError::Row {
            file: path.display().to_string(),
            row: index as u64 + 2,
            why: format!("{why}; nothing was imported"),
        })?;
        entries.push(entry);
    }
    Ok(entries)
}

/// Reads the entries of an export back into a book, without the files beside them.
///
/// # Errors
/// A text that is not such entries, or a row that typed input could not have made; then no entry
/// is imported.
pub fn import_entries(book: &mut Book, file: &str, bytes: &[u8]) -> Result<Merged, DeskError> {
    let entries = exported(Path::new(file), bytes)?;
    Ok(book.take_in(&entries)?)
}

/// Reads an export back into a book; entries that are there already are left as they are.
///
/// # Errors
/// A folder without `entries.csv`, a row that typed input could not have made, an attachment whose
/// bytes are not what its name says. Then no entry is imported.
pub fn import(book: &mut Book, folder: &Path) -> Result<Merged, DeskError> {
    let path = folder.join(ENTRIES);
    let bytes = std::fs::read(&path).map_err(|why| {
        DeskError::file(
            &path,
            format!("{why}; expected a folder made by stook book export"),
        )
    })?;
    let entries = exported(&path, &bytes)?;
    // attachments first: they are keyed by their own bytes, so one without an entry does no harm
    let kept = folder.join(ATTACHMENTS);
    let mut attachments_added = 0;
    if kept.is_dir() {
        let before = book.attachments()?.len() as u64;
        let mut files: Vec<_> = std::fs::read_dir(&kept)
            .map_err(|why| DeskError::file(&kept, why))?
            .collect::<Result<_, _>>()
            .map_err(|why| DeskError::file(&kept, why))?;
        files.sort_by_key(std::fs::DirEntry::file_name);
        for file in files {
            let path = file.path();
            let bytes = std::fs::read(&path).map_err(|why| DeskError::file(&path, why))?;
            let name = file.file_name().to_string_lossy().into_owned();
            if book::Sha256Key::of(&bytes).to_string() != name {
                return Err(DeskError::file(
                    &path,
                    "its bytes are not those that its name says; it is damaged, nothing was imported",
                ));
            }
            book.attach(&bytes)?;
        }
        attachments_added = book.attachments()?.len() as u64 - before;
    }
    let mut merged = book.take_in(&entries)?;
    merged.attachments_added = attachments_added;
    Ok(merged)
}
