//! How a written number is read and a printed one grouped: the one grammar behind every parser.
//!
//! A number is an optional sign, digits with optional thousands separators, and an optional
//! decimal point: `52,220`, `−4.15`, `52 220` (with a no-break space), `.5`. A comma separates
//! thousands only, so `1,23` is refused rather than read as 1.23 or 123. No exponents, no NaN, no
//! infinity: nobody writes them on a ticket, and they are how absurd values come in.

use crate::QuantityError;
use crate::error::shortened;
use rust_decimal::{Decimal, RoundingStrategy};

/// Most digits a written number may have and still be read exactly.
const MOST_DIGITS: usize = 24;
/// Most characters that any quantity is read from; canonical text of an `f64` needs about 350.
const LONGEST: usize = 400;

/// A number as written (sign, digits and point only) and what follows it, trimmed.
pub(crate) struct Written<'a> {
    /// `-52220.5`: readable by `f64::from_str` and `Decimal::from_str_exact`.
    pub(crate) number: String,
    /// The rest: a unit, possibly empty.
    pub(crate) rest: &'a str,
}

impl Written<'_> {
    /// As a float; `None` where it overflows.
    pub(crate) fn float(&self) -> Option<f64> {
        self.number
            .parse::<f64>()
            .ok()
            .filter(|value| value.is_finite())
    }

    /// As an exact decimal; `None` beyond 24 digits.
    pub(crate) fn exact(&self) -> Option<Decimal> {
        let bare = self.number.trim_start_matches('-').trim_start_matches('0');
        let digits = bare.bytes().filter(u8::is_ascii_digit).count();
        if digits > MOST_DIGITS {
            None
        } else {
            Decimal::from_str_exact(&self.number).ok()
        }
    }
}

/// Spaces that a word processor puts inside a number: no-break, narrow no-break, thin, figure.
fn joins_groups(c: char) -> bool {
    matches!(c, '\u{a0}' | '\u{202f}' | '\u{2009}' | '\u{2007}')
}

/// Reads the number at the start of a text; `None` where there is none or it is ambiguous.
pub(crate) fn written(text: &str) -> Option<Written<'_>> {
    let text = text.trim();
    if text.len() > LONGEST {
        return None;
    }
    let (negative, body) = sign(text);
    let end = body
        .char_indices()
        .find(|&(at, c)| {
            let joined = joins_groups(c)
                && body[at + c.len_utf8()..].starts_with(|n: char| n.is_ascii_digit());
            !(c.is_ascii_digit() || c == ',' || c == '.' || joined)
        })
        .map_or(body.len(), |(at, _)| at);
    let number = ungrouped(&body[..end])?;
    let rest = body[end..].trim();
    // `12 34 lb`, `1e308 lb`: another digit after the number is not a unit
    if rest.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return None;
    }
    Some(Written {
        number: if negative {
            format!("-{number}")
        } else {
            number
        },
        rest,
    })
}

/// Takes an optional leading sign: `-`, `+` or the typographic minus.
pub(crate) fn sign(text: &str) -> (bool, &str) {
    for (mark, negative) in [('-', true), ('\u{2212}', true), ('+', false)] {
        if let Some(body) = text.strip_prefix(mark) {
            return (negative, body.trim_start());
        }
    }
    (false, text)
}

/// Removes thousands separators where they stand every three digits and all are the same.
fn ungrouped(text: &str) -> Option<String> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    if !fraction.bytes().all(|b| b.is_ascii_digit()) || (whole.is_empty() && fraction.is_empty()) {
        return None;
    }
    let mut digits = String::with_capacity(text.len());
    match whole.chars().find(|c| !c.is_ascii_digit()) {
        None => digits.push_str(if whole.is_empty() { "0" } else { whole }),
        Some(separator) => {
            for (at, group) in whole.split(separator).enumerate() {
                let fits = if at == 0 {
                    (1..=3).contains(&group.len())
                } else {
                    group.len() == 3
                };
                if !fits || !group.bytes().all(|b| b.is_ascii_digit()) {
                    return None;
                }
                digits.push_str(group);
            }
        }
    }
    if !fraction.is_empty() {
        digits.push('.');
        digits.push_str(fraction);
    }
    Some(digits)
}

/// Reads a number, or says that there was none.
pub(crate) fn number<'a>(
    text: &'a str,
    expected: &'static str,
) -> Result<Written<'a>, QuantityError> {
    written(text).ok_or_else(|| QuantityError::unreadable(text, expected))
}

/// The unit written after a number: the default where none is, an error where neither is.
pub(crate) fn unit_of<U>(
    text: &str,
    rest: &str,
    default: Option<U>,
    named: fn(&str) -> Option<U>,
    expected: &'static str,
) -> Result<U, QuantityError> {
    if rest.is_empty() {
        return default.ok_or_else(|| QuantityError::UnitMissing {
            found: shortened(text),
            expected,
        });
    }
    named(rest).ok_or_else(|| QuantityError::unreadable(text, expected))
}

/// A unit's name for comparing: lower case, one plain space between words, no final point.
pub(crate) fn plain(unit: &str) -> String {
    let words: Vec<&str> = unit.split_whitespace().collect();
    words.join(" ").trim_end_matches('.').to_lowercase()
}

/// Rounds half-even to some places and groups the thousands: `52,220.0`.
pub(crate) fn grouped(value: Decimal, places: u32) -> String {
    let rounded = value.round_dp_with_strategy(places, RoundingStrategy::MidpointNearestEven);
    group(&format!("{rounded:.*}", places as usize))
}

/// As [`grouped`], for a float of a kernel (finite by its constructor).
pub(crate) fn grouped_f64(value: f64, places: usize) -> String {
    group(&format!("{value:.places$}"))
}

/// As [`grouped`], with as many places as are needed and no more: `932.5`, `56`.
pub(crate) fn grouped_shortest(value: Decimal, most: u32) -> String {
    let rounded = value.round_dp_with_strategy(most, RoundingStrategy::MidpointNearestEven);
    group(&rounded.normalize().to_string())
}

fn group(plain: &str) -> String {
    let (negative, body) = sign(plain);
    let (whole, fraction) = body
        .split_once('.')
        .map_or((body, None), |(w, f)| (w, Some(f)));
    // "-0" and "-0.00" are a rounding's leavings, not a quantity
    let negative = negative && body.bytes().any(|b| b.is_ascii_digit() && b != b'0');
    let mut out = String::with_capacity(plain.len() + plain.len() / 3);
    if negative {
        out.push('-');
    }
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(fraction) = fraction {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Option<(String, String)> {
        written(text).map(|w| (w.number, w.rest.to_owned()))
    }

    #[test]
    fn numbers_as_people_write_them() {
        for (text, number, rest) in [
            ("30ft", "30", "ft"),
            (" 52,220 lb ", "52220", "lb"),
            ("1,234,567.50", "1234567.50", ""),
            ("52\u{a0}220\u{a0}kg", "52220", "kg"),
            ("\u{2212}4.15", "-4.15", ""),
            ("- 4.15", "-4.15", ""),
            ("+.5 m", "0.5", "m"),
            ("5. m", "5", "m"),
            ("007", "007", ""),
        ] {
            assert_eq!(read(text), Some((number.into(), rest.into())), "{text:?}");
        }
    }

    #[test]
    fn ambiguous_numbers_are_refused() {
        for text in [
            "",
            " ",
            "lb",
            "1,23",
            "1,2345",
            "12,34,567",
            ",5",
            "1,",
            "1.2.3",
            "1.234,5",
            "..",
            ".",
            "--5",
            "1 234 lb",
            "1,234\u{a0}567",
            "1\u{a0}23 lb",
            "12 . 5",
            "NaN",
            "inf",
            "٣ lb",
        ] {
            assert_eq!(read(text), None, "{text:?}");
        }
    }

    #[test]
    fn printed_numbers_are_grouped() {
        let d = |text: &str| text.parse::<Decimal>().unwrap();
        assert_eq!(grouped(d("52220"), 0), "52,220");
        assert_eq!(grouped(d("-1234567.895"), 2), "-1,234,567.90");
        assert_eq!(grouped(d("-0.4"), 0), "0");
        assert_eq!(grouped(d("0.125"), 2), "0.12");
        assert_eq!(grouped(d("932.5"), 3), "932.500");
        assert_eq!(grouped_shortest(d("932.500"), 4), "932.5");
        assert_eq!(grouped_f64(999.96, 1), "1,000.0");
    }
}
