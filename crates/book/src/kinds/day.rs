//! A calendar day, where an entry means the day and not an instant.

use crate::BookError;
use crate::error::short;
use serde::{Deserialize, Serialize};

/// A day of the calendar from 1970 to 2200, written year, month, day: `2026-10-06`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Day {
    year: u16,
    month: u8,
    of_month: u8,
}

impl Day {
    /// Checks and makes one.
    ///
    /// # Errors
    /// [`BookError::Field`] when the calendar has no such day, or it is outside 1970 to 2200.
    pub fn new(year: u16, month: u8, day: u8) -> Result<Self, BookError> {
        let one = Self {
            year,
            month,
            of_month: day,
        };
        let good = (1970..=2200).contains(&year)
            && (1..=12).contains(&month)
            && (1..=last_of(year, month)).contains(&day);
        if good {
            Ok(one)
        } else {
            Err(odd(&one.to_string()))
        }
    }

    /// Reads the written form, `2026-10-06`, and no other.
    ///
    /// # Errors
    /// [`BookError::Field`] on anything else.
    pub fn parse(text: &str) -> Result<Self, BookError> {
        let digits = |range: std::ops::Range<usize>| {
            let part = text.get(range)?;
            let plain = part.bytes().all(|b| b.is_ascii_digit());
            plain.then(|| part.parse::<u16>().ok()).flatten()
        };
        let small = |range| digits(range).and_then(|n| u8::try_from(n).ok());
        let dashes = text.len() == 10 && text.get(4..5) == Some("-") && text.get(7..8) == Some("-");
        match (dashes, digits(0..4), small(5..7), small(8..10)) {
            (true, Some(year), Some(month), Some(day)) => {
                Self::new(year, month, day).map_err(|_| odd(text))
            }
            _ => Err(odd(text)),
        }
    }

    /// The year.
    pub const fn year(self) -> u16 {
        self.year
    }
    /// The month, from 1.
    pub const fn month(self) -> u8 {
        self.month
    }
    /// The day of the month, from 1.
    pub const fn day(self) -> u8 {
        self.of_month
    }
}

fn odd(found: &str) -> BookError {
    BookError::Field {
        kind: "entry",
        field: "day".to_owned(),
        found: short(found),
        expected: "a day like 2026-10-06, from 1970 to 2200".to_owned(),
    }
}

/// The last day of a month of the Gregorian calendar.
fn last_of(year: u16, month: u8) -> u8 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.of_month)
    }
}
impl TryFrom<String> for Day {
    type Error = BookError;
    fn try_from(text: String) -> Result<Self, BookError> {
        Self::parse(&text)
    }
}
impl From<Day> for String {
    fn from(day: Day) -> Self {
        day.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_of_the_calendar_are_read() {
        for good in ["2026-10-06", "2024-02-29", "2000-02-29", "1970-01-01"] {
            assert_eq!(Day::parse(good).unwrap().to_string(), good);
        }
        for bad in [
            "2026-02-29",
            "2100-02-29",
            "2026-13-01",
            "2026-04-31",
            "2026-00-10",
            "2026-1-06",
            "06-10-2026",
            "+026-10-06",
            "2026-10-06 ",
            "1969-12-31",
            "2026\u{2010}10\u{2010}06",
        ] {
            assert!(Day::parse(bad).is_err(), "{bad}");
        }
    }
}
