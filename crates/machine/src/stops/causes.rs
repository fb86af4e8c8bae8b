//! Stops by cause, longest first: where the hours went, and whether the first is more frequent than the second.

use serde::Serialize;
use stats::rates::Rate;

/// Fewer stops than this are too few to rank.
pub const LEAST_STOPS: u64 = 5;
/// Events that a cause is worth before any is seen (Jeffreys' prior of a Poisson rate).
const PRIOR_EVENTS: f64 = 0.5;

/// One cause and what it took.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cause<K> {
    /// Why it stood.
    pub why: K,
    /// How many times.
    pub stops: u64,
    /// Clock hours.
    pub hours: f64,
    /// Share of all hours up to and with this one, 0 to 1.
    pub cumulative: f64,
}

/// The causes in order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Causes<K> {
    /// Longest first; of equal hours the more frequent, then by name.
    pub causes: Vec<Cause<K>>,
    /// Probability that the first stops it more often than the second; none under two causes or when too few.
    pub p_first_more_often: Option<f64>,
    /// Whether there are too few stops to say which is worst.
    pub too_few: bool,
}

/// Probability that a cause seen `first` times is more frequent than one seen `second` times in the same exposure.
///
/// ```
/// assert!((machine::stops::causes::more_often(4, 2) - 0.791026).abs() < 1e-6);
/// ```
pub fn more_often(first: u64, second: u64) -> f64 {
    let seen = |events: u64| Rate {
        events: PRIOR_EVENTS + events as f64,
        exposure: 1.0,
    };
    seen(first).exceeds(seen(second))
}

/// Puts stops, each a cause and its clock hours, in order of the hours.
pub fn causes<K: Ord + Clone>(stops: &[(K, f64)]) -> Causes<K> {
    let mut by = std::collections::BTreeMap::<K, (u64, f64)>::new();
    for (why, hours) in stops {
        let row = by.entry(why.clone()).or_default();
        row.0 += 1;
        row.1 += hours.max(0.0);
    }
    let all: f64 = by.values().map(|row| row.1).sum();
    let mut rows: Vec<_> = by.into_iter().collect();
    // stable: equal rows stay in order of name
    rows.sort_by(|(_, a), (_, b)| b.1.total_cmp(&a.1).then(b.0.cmp(&a.0)));
    let mut sum = 0.0;
    let causes: Vec<Cause<K>> = rows
        .into_iter()
        .map(|(why, (stops, hours))| {
            sum += hours;
            let cumulative = if all > 0.0 { sum / all } else { 0.0 };
            Cause {
                why,
                stops,
                hours,
                cumulative,
            }
        })
        .collect();
    let too_few = (stops.len() as u64) < LEAST_STOPS;
    let p_first_more_often = match causes.as_slice() {
        [first, second, ..] if !too_few => Some(more_often(first.stops, second.stops)),
        _ => None,
    };
    Causes {
        causes,
        p_first_more_often,
        too_few,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn longest_cause_comes_first_and_few_say_nothing() {
        let mut stops = vec![
            ("plug", 0.5),
            ("breakdown", 3.0),
            ("plug", 0.25),
            ("wagon", 0.25),
        ];
        let few = causes(&stops);
        assert!(few.too_few && few.p_first_more_often.is_none());
        stops.push(("plug", 0.0));
        let found = causes(&stops);
        let order: Vec<_> = found.causes.iter().map(|c| (c.why, c.stops)).collect();
        assert_eq!(order, [("breakdown", 1), ("plug", 3), ("wagon", 1)]);
        assert!((found.causes[1].cumulative - 3.75 / 4.0).abs() < 1e-12);
        let p = found.p_first_more_often.unwrap_or(1.0);
        assert!(p < 0.5, "{p}");
        assert!((p + more_often(3, 1) - 1.0).abs() < 1e-12);
    }
}
