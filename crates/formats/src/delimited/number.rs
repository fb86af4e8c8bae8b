//! Decimal text to a number, fast where it can be exact.

/// Powers of ten that a double holds exactly.
const EXACT_TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// A finite number, or `None`. Up to 15 or so digits and a small exponent are converted by one
/// exact division (Clinger 1990, PLDI, the fast path; from memory), so the result is the nearest
/// double, as the standard library gives; everything else goes to the standard library.
pub(super) fn number(text: &[u8], decimal_comma: bool) -> Option<f64> {
    let point = if decimal_comma { b',' } else { b'.' };
    let (negative, digits) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    };
    let mut mantissa = 0_u64;
    let mut decimals = None;
    let mut count = 0_usize;
    for (i, &byte) in digits.iter().enumerate() {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
            count += 1;
        } else if byte == point && decimals.is_none() {
            decimals = Some(digits.len() - i - 1);
        } else {
            return by_library(text, decimal_comma);
        }
    }
    let decimals = decimals.unwrap_or(0);
    // 19 digits cannot overflow the mantissa; 2^53 and 10^22 are exact
    if count == 0 || count > 19 || mantissa > 1 << 53 || decimals > 22 {
        return by_library(text, decimal_comma);
    }
    let value = mantissa as f64 / EXACT_TENS[decimals];
    Some(if negative { -value } else { value })
}

/// The number that begins the bytes and runs up to a delimiter or their end, and where it stops;
/// `None` when it is not written plainly (spaces, exponents, very many digits, nothing at all). In one
/// pass, for the many; [`number`] is for the rest and agrees with it.
#[inline]
pub(super) fn leading(bytes: &[u8], delimiter: u8, decimal_comma: bool) -> Option<(f64, usize)> {
    let point = if decimal_comma { b',' } else { b'.' };
    let negative = bytes.first() == Some(&b'-');
    let start = usize::from(negative);
    let mut mantissa = 0_u64;
    let mut dot = None;
    let mut at = start;
    for &byte in &bytes[start..] {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
        } else if byte == delimiter {
            break;
        } else if byte == point && dot.is_none() {
            dot = Some(at);
        } else {
            return None;
        }
        at += 1;
    }
    let (digits, decimals) = match dot {
        Some(dot) => (at - start - 1, at - dot - 1),
        None => (at - start, 0),
    };
    if digits == 0 || digits > 19 || mantissa > 1 << 53 {
        return None;
    }
    let value = mantissa as f64 / EXACT_TENS[decimals];
    Some((if negative { -value } else { value }, at))
}

#[cold]
fn by_library(text: &[u8], decimal_comma: bool) -> Option<f64> {
    let text = std::str::from_utf8(text).ok()?.trim();
    let value: f64 = if decimal_comma {
        if text.contains('.') {
            return None;
        }
        text.replace(',', ".").parse().ok()?
    } else {
        text.parse().ok()?
    };
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn written_numbers() {
        assert_eq!(number(b"-93.97842", false), Some(-93.97842));
        assert_eq!(number(b"16,54", true), Some(16.54));
        assert_eq!(number(b"1e308", false), Some(1e308));
        assert_eq!(number(b".5", false), Some(0.5));
        for bad in [
            "", "-", ".", "NaN", "inf", "1e999", "1,234.5", "12 3", "0x10", "1_000",
        ] {
            assert_eq!(number(bad.as_bytes(), false), None, "{bad}");
        }
        assert_eq!(number(b"1.5", true), None);
    }

    proptest! {
        #[test]
        fn agrees_with_the_standard_library(value in proptest::num::f64::NORMAL, places in 0_usize..25) {
            for text in [format!("{value}"), format!("{:.*}", places, value % 1e6), format!("{value:e}")] {
                prop_assert_eq!(number(text.as_bytes(), false), text.parse().ok());
            }
        }

        #[test]
        fn the_leading_number_is_the_field(text in "[-0-9.,e ]{0,24};?[0-9;]{0,4}", comma: bool) {
            let field = text.split(';').next().unwrap();
            if let Some((value, end)) = leading(text.as_bytes(), b';', comma) {
                prop_assert_eq!(end, field.len());
                prop_assert_eq!(number(field.as_bytes(), comma), Some(value));
            }
        }

        #[test]
        fn any_bytes(text in proptest::collection::vec(any::<u8>(), 0..30)) {
            let _ = number(&text, true);
            let expected = std::str::from_utf8(&text).ok().and_then(|t| t.trim().parse::<f64>().ok());
            prop_assert_eq!(number(&text, false), expected.filter(|v| v.is_finite()));
        }
    }
}
