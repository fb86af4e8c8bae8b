//! Thresholds that tighten with every look at the same change.

use crate::MachineError;
use numeric::distribution::{normal_cdf, normal_ln_density, normal_upper};

/// More looks than this at one change are refused: settings that close do not matter.
pub const MOST_LOOKS: usize = 20;

/// False claims allowed over all looks together.
const OVERALL: f64 = 0.1;

/// Levels for 1 to 20 looks, from [`level_by_integration`]; a test makes them again.
const LEVELS: [f64; MOST_LOOKS] = [
    0.100_000_000,
    0.060_734_553,
    0.046_350_667,
    0.038_695_392,
    0.033_864_409,
    0.030_500_113,
    0.028_001_661,
    0.026_060_357,
    0.024_500_515,
    0.023_214_373,
    0.022_131_941,
    0.021_205_656,
    0.020_401_986,
    0.019_696_564,
    0.019_071_225,
    0.018_512_129,
    0.018_008_532,
    0.017_551_953,
    0.017_135_604,
    0.016_753_980,
];

/// What p must fall below at each of so many looks, so that all looks together claim something false 10
/// times in 100 (Pocock 1977, Biometrika 64:191, from memory; the numbers are integrated here).
///
/// The level is that of looks so far, which somebody who stops at the first "real" never exceeds by much:
/// simulated, five looks at counts claim something false 10 to 11 times in 100.
///
/// ```
/// assert!((machine::change::level(5)? - 0.03386).abs() < 5e-6);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// No look, or more than [`MOST_LOOKS`].
pub fn level(looks: usize) -> Result<f64, MachineError> {
    looks
        .checked_sub(1)
        .and_then(|at| LEVELS.get(at).copied())
        .ok_or_else(|| {
            MachineError::odd(
                "looks",
                looks,
                format!("1 to {MOST_LOOKS}; start again with fresh frames"),
            )
        })
}

/// The same by numerical integration, equal steps of information between looks: the c at which a
/// walk of so many normal steps stays within c sqrt(k) at every look k with probability 0.9, as the
/// two-sided p of c (Armitage, McPherson and Rowe 1969, from memory).
pub fn level_by_integration(looks: usize) -> f64 {
    let off = |c: f64| stays(c, looks) - (1.0 - OVERALL);
    let (mut before, mut c) = (1.6, 2.4);
    let (mut off_before, mut off_c) = (off(before), off(c));
    for _ in 0..12 {
        if (c - before).abs() < 1e-11 || off_c == off_before {
            break;
        }
        // the secant's next
        let next = c - off_c * (c - before) / (off_c - off_before);
        (before, off_before) = (c, off_c);
        (c, off_c) = (next, off(next));
    }
    2.0 * normal_upper(c)
}

/// Probability of staying within c sqrt(k) at looks 1 to `looks`, by Simpson's rule.
fn stays(c: f64, looks: usize) -> f64 {
    const HALVES: usize = 100;
    let density = |z: f64| normal_ln_density(z).exp();
    let grid = |k: usize| -> (Vec<f64>, f64) {
        let edge = c * (k as f64).sqrt();
        let step = edge / HALVES as f64;
        (
            (0..=2 * HALVES).map(|i| i as f64 * step - edge).collect(),
            step,
        )
    };
    let simpson = |i: usize| -> f64 {
        if i == 0 || i == 2 * HALVES {
            1.0 / 3.0
        } else if i % 2 == 1 {
            4.0 / 3.0
        } else {
            2.0 / 3.0
        }
    };
    let mut held: Option<Vec<f64>> = None;
    for k in 1..looks {
        let (points, _) = grid(k);
        let next = match &held {
            None => points.iter().map(|s| density(*s)).collect(),
            Some(before) => {
                let (from, step) = grid(k - 1);
                points
                    .iter()
                    .map(|s| {
                        let sum: f64 = from
                            .iter()
                            .zip(before)
                            .enumerate()
                            .map(|(i, (u, f))| simpson(i) * f * density(s - u))
                            .sum();
                        sum * step
                    })
                    .collect()
            }
        };
        held = Some(next);
    }
    let edge = c * (looks as f64).sqrt();
    let Some(before) = held else {
        return normal_cdf(edge) - normal_cdf(-edge);
    };
    let (from, step) = grid(looks - 1);
    let sum: f64 = from
        .iter()
        .zip(&before)
        .enumerate()
        .map(|(i, (u, f))| simpson(i) * f * (normal_cdf(edge - u) - normal_cdf(-edge - u)))
        .sum();
    sum * step
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed critical values for an overall 10 % (Jennison and Turnbull 2000, table 2.1, from memory),
    /// three decimals of z. Tables of p made from them differ from ours in the fourth decimal.
    #[test]
    fn integration_makes_the_printed_levels() {
        for (looks, z, p) in [
            (1, 1.645, 0.1),
            (2, 1.875, 0.0608),
            (3, 1.992, 0.0464),
            (4, 2.067, 0.0388),
            (5, 2.122, 0.0338),
            (10, 2.270, 0.0233),
        ] {
            let ours = level_by_integration(looks);
            assert!((ours - p).abs() < 1.1e-4, "{looks}: {ours}");
            let of_z = 2.0 * normal_upper(z);
            let step = 2.0 * normal_ln_density(z).exp() * 5.1e-4;
            assert!((ours - of_z).abs() < step, "{looks}: {ours} {of_z}");
        }
    }

    #[test]
    fn the_table_is_what_integration_makes() {
        for looks in 1..=MOST_LOOKS {
            let ours = level_by_integration(looks);
            assert!(
                (level(looks).unwrap() - ours).abs() < 1e-8,
                "{looks}: {ours:.9}"
            );
        }
        assert!(level(0).is_err() && level(MOST_LOOKS + 1).is_err());
    }
}
