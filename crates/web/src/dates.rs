//! Days and times in the reader's words, on the farm's own clock.

use crate::text::{Language, Text};
use jiff::civil::{Date, Time, Weekday};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, ZonedDateTime};
use std::collections::BTreeSet;

/// A moment on the farm's clock.
pub(crate) fn local(zone: &str, at_ms: i64) -> ZonedDateTime {
    Timestamp::from_millisecond(at_ms)
        .unwrap_or(Timestamp::UNIX_EPOCH)
        .to_zoned_datetime(TimeZone::get(zone).unwrap_or(TimeZone::UTC))
}

/// A day as stored, `2026-10-06`.
pub(crate) fn day(text: &str) -> Option<Date> {
    quantity::parse_date(text).ok()
}

fn weekday(text: Text, day: Weekday) -> String {
    match day {
        Weekday::Monday => text.say("Monday"),
        Weekday::Tuesday => text.say("Tuesday"),
        Weekday::Wednesday => text.say("Wednesday"),
        Weekday::Thursday => text.say("Thursday"),
        Weekday::Friday => text.say("Friday"),
        Weekday::Saturday => text.say("Saturday"),
        Weekday::Sunday => text.say("Sunday"),
    }
    .into_owned()
}

fn month(text: Text, month: i8) -> String {
    match month {
        1 => text.say("January"),
        2 => text.say("February"),
        3 => text.say("March"),
        4 => text.say("April"),
        5 => text.say("May"),
        6 => text.say("June"),
        7 => text.say("July"),
        8 => text.say("August"),
        9 => text.say("September"),
        10 => text.say("October"),
        11 => text.say("November"),
        _ => text.say("December"),
    }
    .into_owned()
}

fn month_short(text: Text, month: i8) -> String {
    match month {
        1 => text.say("Jan"),
        2 => text.say("Feb"),
        3 => text.say("Mar"),
        4 => text.say("Apr"),
        // a short name of its own, for in English it is the long one
        5 => text.say("May."),
        6 => text.say("Jun"),
        7 => text.say("Jul"),
        8 => text.say("Aug"),
        9 => text.say("Sep"),
        10 => text.say("Oct"),
        11 => text.say("Nov"),
        _ => text.say("Dec"),
    }
    .trim_end_matches('.')
    .to_owned()
}

/// The harvest day that a moment belongs to, on the farm's clock.
pub(crate) fn harvest_day(farm: &desk::Farm, at_ms: i64) -> Date {
    let local = local(&farm.zone, at_ms);
    let year = u16::try_from(local.year()).unwrap_or_default();
    let ends = Time::new(farm.day_begins(year), 0, 0, 0).unwrap_or(quantity::HARVEST_DAY_ENDS);
    match quantity::Zone::parse(&farm.zone) {
        Ok(zone) => quantity::harvest_day(local.timestamp(), &zone, ends),
        Err(_) => local.date(),
    }
}

/// Days on which a slip was written down, in order: of one season, or of the last that has any.
pub(crate) fn harvest_days(farm: &desk::Farm, season: Option<u16>) -> Vec<Date> {
    let Some(season) = season.or_else(|| farm.latest_season()) else {
        return Vec::new();
    };
    let dumps = farm
        .dumps
        .iter()
        .filter(|one| one.says.season == season)
        .map(|one| one.happened.at_ms());
    let tickets = farm
        .tickets
        .iter()
        .filter(|one| one.says.season == season)
        .map(|one| one.happened.at_ms());
    let days: BTreeSet<Date> = dumps
        .chain(tickets)
        .map(|at_ms| harvest_day(farm, at_ms))
        .collect();
    days.into_iter().collect()
}

/// "Tuesday, October 6".
pub(crate) fn long(text: Text, day: Date) -> String {
    let (name, rest) = (weekday(text, day.weekday()), month_day(text, day));
    match text.0 {
        Language::En => format!("{name}, {rest}"),
        Language::Es => format!("{name} {rest}"),
    }
}

/// "October 6".
pub(crate) fn month_day(text: Text, day: Date) -> String {
    let (name, number) = (month(text, day.month()), day.day());
    match text.0 {
        Language::En => format!("{name} {number}"),
        Language::Es => format!("{number} de {name}"),
    }
}

/// "Oct 6".
pub(crate) fn short(text: Text, day: Date) -> String {
    let (name, number) = (month_short(text, day.month()), day.day());
    match text.0 {
        Language::En => format!("{name} {number}"),
        Language::Es => format!("{number} {name}"),
    }
}

/// A stored day in words; as it is where it is none.
pub(crate) fn said(text: Text, stored: &str) -> String {
    day(stored).map_or_else(|| stored.to_owned(), |day| month_day(text, day))
}

/// "7:50 pm".
pub(crate) fn clock(zone: &str, at_ms: i64) -> String {
    local(zone, at_ms).strftime("%-I:%M %P").to_string()
}

/// "Oct 6, 7:50 pm".
pub(crate) fn moment(text: Text, zone: &str, at_ms: i64) -> String {
    let day = short(text, local(zone, at_ms).date());
    format!("{day}, {}", clock(zone, at_ms))
}

/// "5 h 20", "64 min" under two hours.
pub(crate) fn lasted(text: Text, minutes: i64) -> String {
    const SHORT: i64 = 100;
    if minutes < SHORT {
        return text.fill("{0} min", &[&minutes]);
    }
    let (hours, rest) = hours_and_minutes(minutes);
    text.fill("{0} h {1}", &[&hours, &format!("{rest:02}")])
}

fn hours_and_minutes(minutes: i64) -> (i64, i64) {
    let whole = SignedDuration::from_mins(minutes);
    let hours = whole.as_hours();
    (hours, (whole - SignedDuration::from_hours(hours)).as_mins())
}

/// The hours of the ruler with their words.
pub(crate) fn hour_marks(text: Text) -> Vec<draw::Tick> {
    let words = [
        (6.0, text.say("6 am")),
        (8.0, text.say("8")),
        (10.0, text.say("10")),
        (12.0, text.say("noon")),
        (14.0, text.say("2")),
        (16.0, text.say("4")),
        (18.0, text.say("6")),
        (20.0, text.say("8")),
        (22.0, text.say("10 pm")),
    ];
    words
        .into_iter()
        .map(|(at, word)| draw::Tick {
            at,
            text: word.into_owned(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_said_in_both_languages() {
        let day = day("2026-10-06").unwrap();
        assert_eq!(long(Text(Language::En), day), "Tuesday, October 6");
        assert_eq!(long(Text(Language::Es), day), "martes 6 de octubre");
        assert_eq!(short(Text(Language::En), day), "Oct 6");
    }

    #[test]
    fn times_are_on_the_farms_clock() {
        assert_eq!(clock("America/Chicago", 1_791_333_000_000), "7:30 pm");
        assert_eq!(lasted(Text(Language::En), 64), "64 min");
        assert_eq!(lasted(Text(Language::En), 320), "5 h 20");
    }
}
