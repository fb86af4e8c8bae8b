//! Many seasons on the demo farm, in one book: what a farm that kept its book for years opens every day.

use super::enter::{self, SeasonClock};
use crate::written::read;
use crate::{DeskError, Farm, Pen};
use book::kinds::{Farm as FarmSays, Name};
use book::{Book, Device, Entry, Happened};
use std::path::Path;
use worlds::demo::DemoFarm;

/// A day.
const DAY_MS: i64 = 86_400_000;
/// Days of a mean calendar year, in ten thousandths.
const YEAR_DAYS_E4: i64 = 3_652_425;

/// Writes `years` seasons of the demo farm as typed, mistakes and all, the last of them the season of
/// `seed` in its own year, and gives back the book.
///
/// The land, people, machines and places are written once; each season has its own plantings, slips and
/// stocks, of seeds `seed + 1`, `seed + 2` and on for the years before, moved back by whole days. No raw
/// points are kept.
///
/// ```
/// let folder = tempfile::tempdir()?;
/// let book = desk::demo::seasons(&folder.path().join("farm.stook"), 3, 1)?;
/// let farm = desk::Farm::read(&book)?;
/// assert_eq!((farm.fields.len(), farm.plantings.len()), (6, 18));
/// assert_eq!(farm.latest_season(), Some(2025));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// A file that is there already or cannot be written.
pub fn seasons(path: &Path, years: u16, seed: u64) -> Result<Book, DeskError> {
    let last = worlds::demo::demo(seed);
    let first_ms = last.typed.slips.iter().map(|slip| slip.at_ms).min();
    let mut clock = SeasonClock::starting(
        seed,
        first_ms.unwrap_or(0) - back_ms(years.saturating_sub(1)) - DAY_MS,
    );
    let device = Device::new("demo-kitchen", "the laptop in the kitchen")?;
    let mut book = Book::create(path, &device, clock.now())?;
    let says = FarmSays {
        name: Name::new(&last.name)?,
        insured_name: None,
        zone: Name::new(&last.zone)?,
    };
    let name = Pen::new("owner", None, &last.zone, &mut clock)?.write(&mut book, says.into())?;
    let mut known = Farm::default();
    learn(&mut known, &name)?;
    for ago in (0..years).rev() {
        let farm = match ago {
            0 => last.clone(),
            _ => worlds::demo::demo(seed + u64::from(ago)),
        };
        let begun = ago + 1 < years;
        season(&mut book, &mut known, &mut clock, &farm, ago, begun)?;
    }
    Ok(book)
}

/// How far back a season of that many years ago lies.
fn back_ms(ago: u16) -> i64 {
    i64::from(ago) * YEAR_DAYS_E4 / 10_000 * DAY_MS
}

/// One season; `begun` says that the farm's land and gear are written already.
fn season(
    book: &mut Book,
    known: &mut Farm,
    clock: &mut SeasonClock,
    farm: &DemoFarm,
    ago: u16,
    begun: bool,
) -> Result<(), DeskError> {
    let year = u16::try_from(farm.year)
        .ok()
        .and_then(|year| year.checked_sub(ago))
        .ok_or_else(|| DeskError::Refused(format!("{ago} years ago is no season")))?;
    for (kind, mut figures) in enter::setup(farm) {
        if begun && kind != "planting" {
            continue;
        }
        if kind == "planting" {
            figures.set("season", vec![year.to_string()]);
        }
        let payload = read(kind, &figures, known, year)?;
        let entry = Pen::new("owner", None, &farm.zone, clock)?.write(book, payload)?;
        learn(known, &entry)?;
    }
    for (at_ms, _, item) in enter::in_order(farm) {
        let at_ms = at_ms - back_ms(ago);
        clock.reach(at_ms + 60_000);
        let (kind, figures) = enter::item_figures(farm, &item);
        let payload = read(kind, &figures, known, year)?;
        let mut pen = Pen::new("owner", None, &farm.zone, clock)?;
        pen.at = Some(Happened::new(at_ms, &farm.zone)?);
        let entry = pen.write(book, payload)?;
        learn(known, &entry)?;
    }
    Ok(())
}

/// What later entries may name.
fn learn(known: &mut Farm, entry: &Entry) -> Result<(), DeskError> {
    if let book::kinds::Reading::Known(payload) = entry.read()? {
        known.learn(entry.id, &entry.happened, false, payload);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Farm, season};
    use std::collections::BTreeSet;

    #[test]
    fn every_season_has_its_own_slips_and_the_last_is_the_demo() {
        let folder = tempfile::tempdir().unwrap();
        let book = seasons(&folder.path().join("farm.stook"), 4, 1).unwrap();
        let farm = Farm::read(&book).unwrap();
        let years: BTreeSet<u16> = farm.dumps.iter().map(|dump| dump.says.season).collect();
        assert_eq!(years, BTreeSet::from([2022, 2023, 2024, 2025]));
        let typed = worlds::demo::demo(1).typed;
        let last = farm.tickets.iter().filter(|t| t.says.season == 2025);
        let numbers: BTreeSet<String> = last
            .filter_map(|t| t.says.number.as_ref().map(ToString::to_string))
            .collect();
        let want: BTreeSet<String> = typed
            .slips
            .iter()
            .filter_map(|slip| slip.number.clone())
            .collect();
        assert!(
            numbers.is_subset(&want) && numbers.len() >= 8,
            "{numbers:?}"
        );
        for year in years {
            assert!(season(&farm, year).is_ok(), "{year}");
        }
        assert!(book.check().unwrap().is_clean());
    }

    #[test]
    fn whole_days_keep_the_hour() {
        assert_eq!(back_ms(1), 365 * DAY_MS);
        assert_eq!(back_ms(4), 1460 * DAY_MS);
        assert_eq!(back_ms(20), 7304 * DAY_MS);
    }
}
