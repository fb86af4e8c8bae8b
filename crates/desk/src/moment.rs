//! Local time: harvest days, seasons and the hour ruler.

use crate::{DeskError, Farm};
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// The farm's time zone; UTC where this program does not know it.
pub(crate) fn zone(farm: &Farm) -> TimeZone {
    TimeZone::get(&farm.zone).unwrap_or(TimeZone::UTC)
}

/// A moment on the farm's own clock.
pub(crate) fn zoned(farm: &Farm, at_ms: i64) -> jiff::ZonedDateTime {
    jiff::Timestamp::from_millisecond(at_ms)
        .unwrap_or(jiff::Timestamp::UNIX_EPOCH)
        .to_zoned_datetime(zone(farm))
}

/// The harvest day that a moment belongs to.
pub(crate) fn harvest_day(farm: &Farm, year: u16, at_ms: i64) -> Date {
    let local = zoned(farm, at_ms);
    if local.hour() < farm.day_begins(year) {
        local.date().yesterday().unwrap_or(local.date())
    } else {
        local.date()
    }
}

/// When a harvest day ends (the next begins), UTC milliseconds.
pub(crate) fn day_end_ms(farm: &Farm, year: u16, day: Date) -> Result<i64, DeskError> {
    let next = day
        .tomorrow()
        .map_err(|why| DeskError::figure("day", why))?;
    day_begin_ms(farm, year, next)
}

/// When a harvest day begins, UTC milliseconds.
pub(crate) fn day_begin_ms(farm: &Farm, year: u16, day: Date) -> Result<i64, DeskError> {
    let begin = day
        .at(farm.day_begins(year), 0, 0, 0)
        .to_zoned_datetime(zone(farm))
        .map_err(|why| DeskError::figure("day", why))?;
    Ok(begin.timestamp().as_millisecond())
}

/// `Oct 6 16:41`.
pub(crate) fn local(farm: &Farm, at_ms: i64) -> String {
    zoned(farm, at_ms).strftime("%b %-d %H:%M").to_string()
}

/// The season that a moment belongs to: its local year where anything is planted or cut in it, else
/// the latest before it that has something, else its year.
pub(crate) fn season_at(farm: &Farm, at_ms: i64) -> u16 {
    let year = u16::try_from(zoned(farm, at_ms).year()).unwrap_or(1970);
    let years = farm
        .plantings
        .iter()
        .map(|one| one.says.season)
        .chain(farm.dumps.iter().map(|one| one.says.season))
        .chain(farm.tickets.iter().map(|one| one.says.season))
        .chain(farm.moves.iter().map(|one| one.says.season));
    years.filter(|one| *one <= year).max().unwrap_or(year)
}

/// Local hours since the midnight that a harvest day is named for: half past one in the night after
/// is 25.5.
pub(crate) fn hours_of_day(farm: &Farm, day: Date, at_ms: i64) -> f64 {
    let local = zoned(farm, at_ms);
    let days = day
        .until(local.date())
        .map_or(0, |span| i64::from(span.get_days()));
    let seconds = i64::from(local.hour()) * 3_600
        + i64::from(local.minute()) * 60
        + i64::from(local.second());
    (days * 86_400 + seconds) as f64 / 3_600.0
}

/// Hours from one moment to a later one.
pub(crate) fn hours_between(from_ms: i64, to_ms: i64) -> f64 {
    (to_ms - from_ms) as f64 / 3_600_000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn farm() -> Farm {
        Farm {
            zone: "America/Chicago".to_owned(),
            ..Farm::default()
        }
    }
    fn at(text: &str) -> i64 {
        crate::happened(text, "America/Chicago").unwrap().at_ms()
    }

    #[test]
    fn the_night_belongs_to_the_day_before() {
        let day = |text: &str| harvest_day(&farm(), 2026, at(text)).to_string();
        assert_eq!(day("2026-10-06 16:41"), "2026-10-06");
        assert_eq!(day("2026-10-07 03:59"), "2026-10-06");
        assert_eq!(day("2026-10-07 04:00"), "2026-10-07");
        let six: Date = "2026-10-06".parse().unwrap();
        assert_eq!(
            day_end_ms(&farm(), 2026, six).unwrap(),
            at("2026-10-07 04:00")
        );
    }

    #[test]
    fn hours_run_on_past_midnight() {
        let six: Date = "2026-10-06".parse().unwrap();
        let hours = |text: &str| hours_of_day(&farm(), six, at(text));
        assert!((hours("2026-10-06 16:30") - 16.5).abs() < 1e-12);
        assert!((hours("2026-10-07 01:30") - 25.5).abs() < 1e-12);
        assert!((hours("2026-10-05 23:00") + 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_season_is_the_latest_that_has_something() {
        assert_eq!(season_at(&farm(), at("2027-02-01 09:00")), 2027);
    }
}
