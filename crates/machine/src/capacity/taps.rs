//! Field efficiency from starts and stops, with no receiver.

use crate::MachineError;
use serde::{Deserialize, Serialize};

/// One pass: how long it ran, and how long until the next began.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pass {
    /// Seconds in the crop.
    pub run_s: f64,
    /// Seconds of turning, unloading and waiting after it; stops that were written down and lunch are left out.
    pub gap_s: f64,
}

/// Share of the time in the field that the machine cut.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Efficiency {
    /// The share.
    pub share: f64,
    /// Its standard error, by leaving out one pass at a time; `None` for fewer than three.
    pub standard_error: Option<f64>,
    /// Passes.
    pub passes: usize,
}

/// sum of run / sum of (run + gap); its standard error by the jackknife over passes.
///
/// ```
/// use machine::capacity::{Pass, from_taps};
/// let passes = [(300.0, 60.0), (290.0, 180.0), (310.0, 60.0)].map(|(run_s, gap_s)| Pass { run_s, gap_s });
/// let found = from_taps(&passes)?;
/// assert!((found.share - 0.75).abs() < 1e-12); // 900 of 1,200 seconds
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// No pass, or times below nothing.
pub fn from_taps(passes: &[Pass]) -> Result<Efficiency, MachineError> {
    for one in passes {
        if !(one.run_s.is_finite() && one.run_s > 0.0 && one.gap_s.is_finite() && one.gap_s >= 0.0)
        {
            return Err(MachineError::odd(
                "times of a pass",
                format!("{} s cutting and {} s until the next", one.run_s, one.gap_s),
                "a start before its stop, and a stop before the next start",
            ));
        }
    }
    if passes.is_empty() {
        return Err(MachineError::odd(
            "passes",
            "none",
            "one start and stop or more",
        ));
    }
    let run: f64 = passes.iter().map(|one| one.run_s).sum();
    let all: f64 = passes.iter().map(|one| one.run_s + one.gap_s).sum();
    let n = passes.len() as f64;
    let without: Vec<f64> = passes
        .iter()
        .map(|one| (run - one.run_s) / (all - one.run_s - one.gap_s))
        .collect();
    let mean = without.iter().sum::<f64>() / n;
    let spread: f64 = without.iter().map(|one| (one - mean).powi(2)).sum();
    Ok(Efficiency {
        share: run / all,
        standard_error: (passes.len() >= 3).then(|| (spread * (n - 1.0) / n).sqrt()),
        passes: passes.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_passes_leave_no_doubt_and_odd_ones_some() {
        let pass = Pass {
            run_s: 300.0,
            gap_s: 100.0,
        };
        let same = from_taps(&[pass; 5]).unwrap();
        assert!((same.share - 0.75).abs() < 1e-12 && same.standard_error.unwrap() < 1e-12);
        // by hand: 300/400, 300/400, 300/600 -> leaving out one: .6, .6, .75; mean .65
        let odd = from_taps(&[
            pass,
            pass,
            Pass {
                run_s: 300.0,
                gap_s: 300.0,
            },
        ])
        .unwrap();
        let by_hand = (2.0 / 3.0 * (0.0025 + 0.0025 + 0.01_f64)).sqrt();
        assert!((odd.standard_error.unwrap() - by_hand).abs() < 1e-12);
        assert!(from_taps(&[pass, pass]).unwrap().standard_error.is_none());
        assert!(
            from_taps(&[Pass {
                run_s: 300.0,
                gap_s: -1.0
            }])
            .is_err()
        );
        assert!(from_taps(&[]).is_err());
    }
}
