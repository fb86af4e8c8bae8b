//! The checks that payloads share.

use crate::BookError;
use crate::error::short;
use quantity::Mass;
use rust_decimal::Decimal;

/// Heaviest load, stock or gross a slip may name: a slip of 200 t, a bin of 50,000 t.
const LOAD_MOST_KG: i64 = 200_000;
const STOCK_MOST_KG: i64 = 50_000_000;

/// The error for one field.
pub(crate) fn odd(kind: &'static str, field: &str, found: &str, expected: &str) -> BookError {
    BookError::Field {
        kind,
        field: field.to_owned(),
        found: short(found),
        expected: expected.to_owned(),
    }
}

/// A decimal within bounds, ends included.
pub(crate) fn within(
    kind: &'static str,
    field: &str,
    value: Option<Decimal>,
    (low, high): (i64, i64),
    unit: &str,
) -> Result<(), BookError> {
    match value {
        Some(v) if v < Decimal::from(low) || v > Decimal::from(high) => Err(odd(
            kind,
            field,
            &format!("{v} {unit}"),
            &format!("{low} to {high} {unit}"),
        )),
        _ => Ok(()),
    }
}

/// A load's mass: above nothing, at most 200 t.
pub(crate) fn load(kind: &'static str, field: &str, mass: Option<Mass>) -> Result<(), BookError> {
    match mass {
        Some(m) if m <= Mass::ZERO || m > kg(LOAD_MOST_KG) => Err(odd(
            kind,
            field,
            &format!("{:.1} lb", m.lb()),
            "a weight above 0, at most 200 t (440,924 lb)",
        )),
        _ => Ok(()),
    }
}

/// A stock's mass: nothing or more, at most 50,000 t.
pub(crate) fn stock(kind: &'static str, field: &str, mass: Mass) -> Result<(), BookError> {
    if mass < Mass::ZERO || mass > kg(STOCK_MOST_KG) {
        return Err(odd(
            kind,
            field,
            &format!("{:.1} lb", mass.lb()),
            "a weight of 0 to 50,000 t",
        ));
    }
    Ok(())
}

fn kg(kg: i64) -> Mass {
    Mass::from_units(kg * 100_000_000)
}

/// A list that names at least one thing, and none twice.
pub(crate) fn distinct<T: Ord + std::fmt::Display>(
    kind: &'static str,
    field: &str,
    names: &[T],
) -> Result<(), BookError> {
    let mut sorted: Vec<&T> = names.iter().collect();
    sorted.sort();
    match sorted.windows(2).find(|pair| pair[0] == pair[1]) {
        Some(pair) => Err(odd(
            kind,
            field,
            &format!("{} twice", pair[0]),
            "each named once",
        )),
        None if names.is_empty() => Err(odd(kind, field, "empty", "at least one")),
        None => Ok(()),
    }
}

/// Free text: at most 4,000 characters.
pub(crate) fn words(
    kind: &'static str,
    field: &str,
    text: &str,
    needed: bool,
) -> Result<(), BookError> {
    let length = text.chars().count();
    if length > 4_000 {
        return Err(odd(
            kind,
            field,
            &format!("{length} characters"),
            "at most 4,000 characters",
        ));
    }
    if needed && text.trim().is_empty() {
        return Err(odd(kind, field, "empty", "a few words"));
    }
    Ok(())
}

/// A crop year.
pub(crate) fn season(kind: &'static str, season: u16) -> Result<(), BookError> {
    if (1970..=2200).contains(&season) {
        Ok(())
    } else {
        Err(odd(
            kind,
            "season",
            &season.to_string(),
            "a year from 1970 to 2200",
        ))
    }
}
