//! The first entry of a new book: which farm it is, and in which time zone.

use crate::{DeskError, Farm, Pen};
use book::kinds::{Farm as FarmSays, Name};
use book::{Book, Entry};

/// Zones that are offered first: where the crops of this program are mostly grown.
const FIRST: [&str; 12] = [
    "America/Chicago",
    "America/New_York",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Indiana/Indianapolis",
    "America/Winnipeg",
    "America/Regina",
    "America/Edmonton",
    "America/Toronto",
    "America/Mexico_City",
    "America/Argentina/Buenos_Aires",
];

/// Time zones by name: the usual ones first, then every other that has a place in its name.
pub fn zones() -> Vec<String> {
    let mut all: Vec<String> = FIRST.iter().map(|zone| (*zone).to_owned()).collect();
    let mut others: Vec<String> = jiff::tz::db()
        .available()
        .map(|zone| zone.as_str().to_owned())
        .filter(|zone| zone.contains('/') && !zone.starts_with("Etc/"))
        .filter(|zone| !FIRST.contains(&zone.as_str()))
        .collect();
    others.sort_unstable();
    others.dedup();
    all.append(&mut others);
    all
}

/// Writes which farm the book is of. The pen's own zone may be empty: it takes the farm's.
///
/// # Errors
/// A book that is a farm's already, a name that is none, or a zone that this program does not know.
pub fn begin(
    book: &mut Book,
    farm: &Farm,
    pen: &mut Pen<'_>,
    name: &str,
    insured_name: Option<&str>,
    zone: &str,
) -> Result<Entry, DeskError> {
    if !farm.name.is_empty() {
        return Err(DeskError::Refused(format!(
            "this book is the one of {} already; a second farm has a book of its own",
            farm.name
        )));
    }
    let zone = zone.trim();
    jiff::tz::TimeZone::get(zone).map_err(|_| {
        DeskError::figure(
            "zone",
            format!("found '{zone}', expected a name like America/Chicago"),
        )
    })?;
    let says = FarmSays {
        name: Name::new(name.trim()).map_err(|why| DeskError::figure("name", why))?,
        insured_name: insured_name
            .map(str::trim)
            .filter(|name| !name.is_empty())
            .map(Name::new)
            .transpose()
            .map_err(|why| DeskError::figure("insured-name", why))?,
        zone: Name::new(zone)?,
    };
    zone.clone_into(&mut pen.zone);
    pen.write(book, says.into())
}
