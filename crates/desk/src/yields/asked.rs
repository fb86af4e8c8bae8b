//! What is asked of a combine's log beside its file, as typed or as the book knows it.

use crate::passes::{self, Held};
use crate::winter::fillings;
use crate::{DeskError, Farm};
use book::kinds::FilePurpose;
use formats::polygons::{Parts, PolygonLayer, Polygons};
use quantity::{Length, Mass, Moisture};
use std::path::Path;
use track::clean::{Known, Weighing};

/// Scale and grain left behind together, as a share of a weighing: a guess, from no source.
const WEIGHING_ERROR: f64 = 0.004;

/// A file beside the log: its name and its bytes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Beside {
    /// As the caller names it.
    pub file: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// What is asked of a log, as typed.
#[derive(Debug, Clone, Default)]
pub struct YieldAsked {
    /// Of the file of points.
    pub file: passes::Asked,
    /// Rows of a row crop's head.
    pub rows: Option<u32>,
    /// The field's outline, every polygon of the layer.
    pub boundary: Option<PolygonLayer>,
    /// Weighings, CSV with the columns loads, net and moisture.
    pub weighings: Option<Beside>,
    /// From the antenna forward to the head.
    pub antenna: Option<String>,
    /// A delay to take, s, in place of the one that is found.
    pub delay_s: Option<f64>,
    /// Seed of what is drawn by chance.
    pub seed: u64,
}

/// What the book knows of a field's log.
#[derive(Debug, Clone, Default)]
pub struct OfBook {
    /// The field.
    pub field: String,
    /// The crop planted there.
    pub crop: String,
    /// The season.
    pub season: u16,
    /// Its outline, GeoJSON.
    pub outline: Option<String>,
    /// The working width last written with a count.
    pub swath: Option<String>,
    /// The file of points, the latest: name and key.
    pub points: Option<(String, book::Sha256Key)>,
    /// Tickets: tanks by load card number, wet mass, moisture.
    tickets: Vec<(Vec<String>, Mass, Option<Moisture>)>,
    /// Tickets that no weighing can be made of, one sentence.
    pub left_out: Option<String>,
}

impl OfBook {
    /// What the book knows of a field and its crop in a season.
    ///
    /// # Errors
    /// No such field, or nothing planted there.
    pub fn field(farm: &Farm, field: &str, year: u16) -> Result<Self, DeskError> {
        let name = farm.field(field)?;
        let planting = crate::morning::plantings(farm, year)
            .into_iter()
            .find(|one| one.field == name)
            .ok_or_else(|| {
                DeskError::Entry(format!(
                    "nothing is planted in {name} in {year}; write the planting, or choose another season"
                ))
            })?;
        let mut out = Self {
            field: name.to_string(),
            crop: planting.crop.to_string(),
            season: year,
            swath: crate::winter::swath(farm, name.as_str(), year),
            outline: farm
                .fields
                .get(&name)
                .and_then(|one| one.says.boundary.as_ref())
                .map(|one| one.geojson().to_owned()),
            points: farm
                .files
                .iter()
                .rev()
                .find(|one| {
                    one.says.purpose == FilePurpose::CombinePoints && one.says.of.contains(&name)
                })
                .map(|one| (one.says.name.to_string(), one.says.sha256)),
            ..Self::default()
        };
        let mut left = 0;
        for one in fillings(farm, year) {
            let here = |tank: &&crate::Stands<book::kinds::Dump>| {
                tank.says.field == name && tank.says.crop == planting.crop
            };
            if !one.tanks.iter().any(here) {
                continue;
            }
            let numbers: Option<Vec<String>> = one
                .tanks
                .iter()
                .map(|tank| tank.says.number.as_ref().map(ToString::to_string))
                .collect();
            match numbers {
                Some(numbers) if !one.mixed && one.tanks.iter().all(here) => {
                    let says = &one.ticket.says;
                    out.tickets.push((
                        numbers,
                        says.weight.net,
                        says.moisture.as_ref().map(|read| read.value),
                    ));
                }
                _ => left += 1,
            }
        }
        if left > 0 {
            out.left_out = Some(format!(
                "{left} {} with grain of {name} not used to set the monitor: tanks have no load card number, or other grain lay on them",
                if left == 1 { "ticket" } else { "tickets" }
            ));
        }
        Ok(out)
    }
}

/// The log's points, and everything known beside them.
pub(super) struct Given {
    pub held: Held,
    pub known: Known,
    /// What could not be used, one sentence each.
    pub left_out: Vec<String>,
}

/// Puts together what was typed and what the book knows; what was typed comes first.
pub(super) fn given(
    held: Held,
    asked: &YieldAsked,
    of_book: Option<&OfBook>,
) -> Result<Given, DeskError> {
    let mut left_out: Vec<String> = of_book
        .and_then(|one| one.left_out.clone())
        .into_iter()
        .collect();
    let boundary = match (&asked.boundary, of_book) {
        (Some(layer), _) => Some(rings_of(&layer.features)),
        (None, Some(book)) => book.outline.as_deref().map(one_outline).transpose()?,
        _ => None,
    };
    let mut weighings = Vec::new();
    let typed = asked.weighings.as_ref().map(read_weighings).transpose()?;
    let of_log = |name: &String| {
        let at = held.track.loads.iter().position(|load| load == name);
        at.and_then(|at| u32::try_from(at).ok())
    };
    let tickets = typed
        .as_deref()
        .or(of_book.map(|book| book.tickets.as_slice()))
        .unwrap_or_default();
    let mut strange = Vec::new();
    for (numbers, mass, moisture) in tickets {
        let loads: Option<Vec<u32>> = numbers.iter().map(of_log).collect();
        match loads {
            Some(loads) => weighings.push(Weighing {
                loads,
                wet_kg: mass.to(quantity::MassUnit::Kg),
                moisture: moisture.map(Moisture::fraction),
                error: WEIGHING_ERROR,
            }),
            None => strange.push(numbers.join("+")),
        }
    }
    if !strange.is_empty() {
        let there: Vec<&str> = held
            .track
            .loads
            .iter()
            .map(String::as_str)
            .take(8)
            .collect();
        left_out.push(format!(
            "{} {} loads that the log does not have ({}); its loads are {}",
            strange.len(),
            if strange.len() == 1 {
                "weighing names"
            } else {
                "weighings name"
            },
            strange.join(", "),
            if there.is_empty() {
                "not named: say which column with --column NAME=load".to_owned()
            } else {
                there.join(", ")
            }
        ));
    }
    let antenna = asked
        .antenna
        .as_deref()
        .map(|text| Length::parse(text).map_err(|why| DeskError::figure("antenna", why)))
        .transpose()?;
    if let Some(odd) = asked
        .delay_s
        .filter(|s| !(s.is_finite() && s.abs() <= 60.0))
    {
        return Err(DeskError::figure(
            "delay",
            format!("found {odd} s, expected seconds, at most 60 either way"),
        ));
    }
    let base = held.basis.base_moisture.fraction();
    Ok(Given {
        known: Known {
            swath_m: held.swath_m,
            rows: asked.rows,
            boundary: boundary.unwrap_or_default(),
            offset_m: antenna.map_or(0.0, Length::m),
            weighings,
            base_moisture: base,
            moisture_if_unmeasured: Some(base),
            delay_s: asked.delay_s,
            seed: asked.seed,
        },
        held,
        left_out,
    })
}

pub(super) type Rings = Vec<Vec<(f64, f64)>>;

fn one_outline(geojson: &str) -> Result<Rings, DeskError> {
    let shape =
        formats::geojson::parse(geojson).map_err(|why| DeskError::Refused(why.to_string()))?;
    let rings = shape.polygons().iter().flatten();
    Ok(rings
        .map(|ring| ring.iter().map(|corner| (corner[0], corner[1])).collect())
        .collect())
}

/// Rings of polygons together.
pub(super) fn rings_of<'a>(all: impl IntoIterator<Item = &'a Polygons>) -> Rings {
    all.into_iter()
        .flat_map(|one| one.shape.polygons().iter().flatten())
        .map(|ring| ring.iter().map(|corner| (corner[0], corner[1])).collect())
        .collect()
}

/// Reads a layer of polygons in any of the open formats; every one of them must be usable.
///
/// # Errors
/// What cannot be read, or a polygon that cannot be used.
pub fn polygons(path: &Path) -> Result<PolygonLayer, DeskError> {
    let file = path.display().to_string();
    let refused = |why: formats::FormatError| DeskError::Refused(why.to_string());
    let parts = Parts::at(path, &file).map_err(refused)?;
    let layer = formats::polygons::read(&parts, &file).map_err(refused)?;
    match layer.findings.first() {
        None => Ok(layer),
        Some((row, why)) => Err(DeskError::File {
            file,
            why: format!("row {row}: {why}; mend it or leave it out"),
        }),
    }
}

/// One weighing of tanks: their load card numbers, what was weighed wet, and how moist it was.
type Weighed = (Vec<String>, Mass, Option<Moisture>);

/// Weighings as a sheet: `loads` (several joined by +), `net`, `moisture` if known.
fn read_weighings(file: &Beside) -> Result<Vec<Weighed>, DeskError> {
    let odd = |why: String| DeskError::File {
        file: file.file.clone(),
        why,
    };
    let sheet =
        formats::slips_csv::read(&file.bytes, &file.file).map_err(|why| odd(why.to_string()))?;
    if let Some(one) = sheet.findings.first() {
        return Err(odd(format!("row {}: {}", one.row, one.what)));
    }
    let mut out = Vec::new();
    for row in &sheet.rows {
        let cell = |names: &[&str]| {
            row.fields
                .iter()
                .find(|(name, _)| names.contains(&name.as_str()))
                .map(|(_, text)| text.as_str())
        };
        let missing = |name: &str, such: &str| {
            odd(format!(
                "row {}: no {name}; expected the columns loads, net and moisture, such as {such}",
                row.row
            ))
        };
        let at = |why: &dyn std::fmt::Display| odd(format!("row {}: {why}", row.row));
        let loads = cell(&["loads", "load"]).ok_or_else(|| missing("loads", "3+4"))?;
        let net = cell(&["net", "wet"]).ok_or_else(|| missing("net", "16,020 lb"))?;
        let mass = Mass::parse(net).map_err(|why| at(&why))?;
        if mass <= Mass::ZERO {
            return Err(at(&format!("found net {net}, expected more than nothing")));
        }
        let moisture = cell(&["moisture"])
            .map(|text| Moisture::parse(text).map_err(|why| at(&why)))
            .transpose()?;
        let numbers = loads.split(['+', ' ']).filter(|one| !one.is_empty());
        out.push((numbers.map(str::to_owned).collect(), mass, moisture));
    }
    if out.is_empty() {
        return Err(odd(
            "found no weighing, expected rows with loads and net".to_owned()
        ));
    }
    Ok(out)
}
