//! A combine's log, cleaned and mapped: what was done to each record, what is mapped, and how sure it is.
//!
//! The account keeps the bushels; a map only lays them out. Every record stays, under the first cause for which it
//! is not mapped or under none.

mod asked;
mod cleaned;
mod edge;
mod explain;
mod mapped;
mod out;
mod pictures;
mod words;
mod zones;

pub use asked::{Beside, OfBook, YieldAsked, polygons};
pub use cleaned::{Cause, CleanAnswer, DelayTold, LoadSet};
pub use edge::{EdgeAnswer, EdgeAsked, EdgeLineTold, edges, price};
pub use explain::{Explained, Step, explain};
pub use mapped::{Doubt, MapAnswer};
pub use out::{write_map, write_records};
pub use pictures::{Also, evidence, picture};
pub use zones::{Apart, ZoneTold, ZonesAnswer, zones};

use crate::DeskError;
use crate::passes::{self, Held, Source};
use asked::Given;
pub use track::clean::Map;
use track::clean::{Cells, Cleaned, Known};

/// A log that was cleaned.
pub struct Worked {
    pub(crate) file: String,
    pub(crate) held: Held,
    pub(crate) known: Known,
    pub(crate) cleaned: Cleaned,
    pub(crate) left_out: Vec<String>,
    /// A field's name, where the book has one.
    pub(crate) field: Option<String>,
}

/// Reads and cleans a log; `of_book` is what the book knows of its field.
///
/// # Errors
/// What cannot be read; a swath that no head has; a file beside it that cannot be used.
pub fn work(
    input: Source<'_>,
    file: &str,
    asked: &YieldAsked,
    of_book: Option<&OfBook>,
) -> Result<Worked, DeskError> {
    let held = passes::held(input, file, &asked.file)?;
    let Given {
        held,
        known,
        left_out,
    } = asked::given(held, asked, of_book)?;
    let cleaned = track::clean::clean(&held.track, &known)?;
    Ok(Worked {
        file: file.to_owned(),
        held,
        known,
        cleaned,
        left_out,
        field: of_book.map(|one| one.field.clone()),
    })
}

impl Worked {
    /// Dry bushels at the base of a kilogram dry at the base.
    pub(crate) fn bu_per_kg(&self) -> f64 {
        1.0 / (self.held.basis.lb_per_bu * track::KG_PER_LB)
    }

    /// Bushels an acre of a kilogram a square meter.
    pub(crate) fn bu_ac(&self) -> f64 {
        self.bu_per_kg() * track::M2_PER_AC
    }

    /// What was done, and what is mapped.
    pub fn clean_answer(&self) -> CleanAnswer {
        cleaned::answer(self)
    }

    /// The map, in cells of a side.
    ///
    /// # Errors
    /// No record fit to be mapped, a side under a meter, or records too far apart to be one field.
    pub fn map(&self, side_m: f64) -> Result<Map, DeskError> {
        let cells = match self.cleaned.ground(&self.known) {
            // cells count from the field's own corner, so that every season's fall together
            Some(ground) => Cells::holding(ground.rings.iter().flatten().copied(), side_m),
            None => Cells::over(&self.cleaned, side_m),
        }?;
        Ok(track::clean::map(&self.cleaned, &self.known, cells)?)
    }

    /// What the map says.
    pub fn map_answer(&self, map: &Map) -> MapAnswer {
        mapped::answer(self, map)
    }
}

/// At most eight of a list, and how many more there are.
fn words_of_list(all: &[String]) -> String {
    const MOST: usize = 8;
    let some = all
        .iter()
        .take(MOST)
        .cloned()
        .collect::<Vec<_>>()
        .join(", ");
    match all.len().saturating_sub(MOST) {
        0 => some,
        more => format!("{some} and {more} more"),
    }
}
