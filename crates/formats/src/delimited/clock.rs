//! Dates and times of a log to seconds.

/// Seconds of a field: a plain number times its unit, a clock (`14:03:07`, seconds of the day), or a
/// date and time (`2013-10-05T14:03:07.5Z`, `2013-10-05 14:03`), in seconds since 1970-01-01 UTC.
/// A date and time without an offset counts as UTC: only differences are used.
pub(super) fn seconds(text: &[u8], to_si: f64, decimal_comma: bool) -> Option<f64> {
    if !text.contains(&b':') {
        return super::number::number(text, decimal_comma).map(|value| value * to_si);
    }
    let text = std::str::from_utf8(text).ok()?;
    let Some((date, clock)) = text.split_once(['T', 't', ' ']) else {
        return clock_seconds(text);
    };
    let mut parts = date.splitn(3, '-');
    let (year, month, day) = (
        whole(parts.next()?)?,
        whole(parts.next()?)?,
        whole(parts.next()?)?,
    );
    if !(1900..=2200).contains(&year) || !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    let (clock, offset) = without_offset(clock.trim())?;
    Some(days_from_1970(year, month, day) as f64 * 86_400.0 + clock_seconds(clock)? - offset)
}

fn without_offset(clock: &str) -> Option<(&str, f64)> {
    if let Some(clock) = clock.strip_suffix(['Z', 'z']) {
        return Some((clock, 0.0));
    }
    match clock.find(['+', '-']) {
        None => Some((clock, 0.0)),
        Some(at) => {
            let sign = if clock[at..].starts_with('-') {
                -1.0
            } else {
                1.0
            };
            let (hours, minutes) = clock[at + 1..]
                .split_once(':')
                .unwrap_or((&clock[at + 1..], "0"));
            let (hours, minutes) = (whole(hours)?, whole(minutes)?);
            ((0..=14).contains(&hours) && (0..60).contains(&minutes))
                .then(|| (&clock[..at], sign * (hours * 3600 + minutes * 60) as f64))
        }
    }
}

fn clock_seconds(clock: &str) -> Option<f64> {
    let mut parts = clock.splitn(3, ':');
    let (hours, minutes) = (whole(parts.next()?)?, whole(parts.next()?)?);
    let seconds = match parts.next() {
        Some(text) => super::number::number(text.as_bytes(), false)?,
        None => 0.0,
    };
    ((0..=24).contains(&hours) && (0..60).contains(&minutes) && (0.0..=60.0).contains(&seconds))
        .then(|| (hours * 3600 + minutes * 60) as f64 + seconds)
}

fn whole(text: &str) -> Option<i64> {
    (text.len() <= 4 && text.bytes().all(|b| b.is_ascii_digit()))
        .then(|| text.parse().ok())
        .flatten()
}

/// Days from 1970-01-01 in the Gregorian calendar (years counted from March, 146,097 days in 400).
fn days_from_1970(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let march_month = (month + 9) % 12;
    let day_of_year = (153 * march_month + 2) / 5 + day - 1;
    365 * year + year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400) + day_of_year
        - 719_468
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_times() {
        let at = |text: &str| seconds(text.as_bytes(), 1.0, false);
        assert_eq!(at("16359"), Some(16_359.0));
        assert_eq!(at("14:03:07.5"), Some(50_587.5));
        assert_eq!(at("1970-01-01T00:00:00Z"), Some(0.0));
        assert_eq!(at("2000-03-01 00:00"), Some(951_868_800.0)); // `date -u -d 2000-03-01 +%s`
        assert_eq!(at("2013-10-05T14:03:07-05:00"), Some(1_380_999_787.0)); // `date -u -d ... +%s`
        for bad in [
            "",
            "noon",
            "25:99",
            "2013-13-05T14:03",
            "2013-10-05T",
            ":",
            "1:2:3:4",
            "-:-",
        ] {
            assert_eq!(at(bad), None, "{bad}");
        }
        assert_eq!(seconds(b"1500", 0.001, false), Some(1.5));
    }
}
