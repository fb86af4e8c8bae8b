//! What the rest of a field will yield, told anew after each tank.
//!
//! Log yield is a level that the whole field shares plus what changes along the order of cutting, with
//! covariance `within^2 exp(-d/reach)` in hectares cut. The mean of what is cut and the mean of what is left are
//! then two correlated normals, and the rest is the one given the other: simple kriging of a mean by a mean.
//! Means of an exponential covariance over neighbouring stretches a and b (hectares), L the reach:
//! `var = 2 s^2 (L/a) (1 - (L/a)(1 - e^(-a/L)))`, `cov = s^2 L^2/(a b) (1 - e^(-a/L)) (1 - e^(-b/L))`.
//!
//! Limitations: the log of a mean is taken for the mean of a log; a field whose poor end is cut last, as its
//! drowned or headland ground may be, is foretold too high.

use super::wagon::Rest;
use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};

/// What is expected of a field before a tank has come off it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Expected {
    /// Yield, kilograms a hectare.
    pub kg_per_ha: f64,
    /// Standard deviation of the log of the field's level about it.
    pub level_sd: f64,
    /// Standard deviation of the log of yield within the field.
    pub within_sd: f64,
    /// Hectares of cutting over which yield keeps to itself.
    pub reach_ha: f64,
}

/// What has come off a field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CameOff {
    /// Grain, kilograms.
    pub kg: f64,
    /// Its standard error, as a share.
    pub error: f64,
    /// Area cut, hectares.
    pub cut_ha: f64,
}

/// Variance of the mean over `a` of an exponential covariance of variance 1, lengths in reaches.
fn variance_of_mean(a: f64) -> f64 {
    if a < 1e-4 {
        // the series, where the closed form loses its digits
        return 1.0 - a / 3.0;
    }
    2.0 / a * (1.0 + (-a).exp_m1() / a)
}

/// Covariance of the means over neighbouring stretches.
fn covariance_of_means(a: f64, b: f64) -> f64 {
    let part = |x: f64| if x < 1e-8 { 1.0 } else { -(-x).exp_m1() / x };
    part(a) * part(b)
}

impl Expected {
    /// Defaults of a farm with no record of its own: level 20 %, within 12 % over 1.2 ha. Guesses: on the one open
    /// corn field that was at hand, means over 4 ha in the order of cutting scattered 6 %, where these say 8 %.
    pub fn usual(kg_per_ha: f64) -> Self {
        Self {
            kg_per_ha,
            level_sd: 0.20,
            within_sd: 0.12,
            reach_ha: 1.2,
        }
    }

    /// The rest of the field: `left_ha` with its standard deviation, told by what came off if anything did.
    ///
    /// An error in the area left is one in the area cut too, the other way: what is thought left but is cut
    /// already makes both the rest and its yield look too large. All of it is in the scatter returned, whose own
    /// doubt of the area is none.
    ///
    /// ```
    /// use machine::capacity::{CameOff, Expected};
    /// let usual = Expected::usual(11_000.0);
    /// let before = usual.rest(None, 5.0, 0.0)?;
    /// let after = usual.rest(Some(CameOff { kg: 90_000.0, error: 0.02, cut_ha: 10.0 }), 5.0, 0.0)?;
    /// assert!(after.kg_per_ha < 9_500.0 && after.yield_cv < 0.5 * before.yield_cv);
    /// # Ok::<(), machine::MachineError>(())
    /// ```
    ///
    /// # Errors
    /// Figures that cannot be meant.
    pub fn rest(
        self,
        came_off: Option<CameOff>,
        left_ha: f64,
        left_sd_ha: f64,
    ) -> Result<Rest, MachineError> {
        let mean = above_zero("yield expected", self.kg_per_ha, "kg/ha")?.ln();
        let left = above_zero("area left", left_ha, "ha")?;
        let reach = above_zero("reach", self.reach_ha, "ha")?;
        if !(left_sd_ha.is_finite() && left_sd_ha >= 0.0) {
            return Err(MachineError::odd(
                "doubt of the area left",
                left_sd_ha,
                "a number of 0 or more",
            ));
        }
        let (level, within) = (self.level_sd.powi(2), self.within_sd.powi(2));
        let area = left_sd_ha.powi(2);
        let prior = level + within * variance_of_mean(left / reach) + area / left.powi(2);
        let rest = |shift: f64, variance: f64| Rest {
            kg_per_ha: (mean + shift).exp(),
            yield_cv: variance.max(0.0).sqrt(),
            left_ha,
            left_sd_ha: 0.0,
        };
        let Some(seen) = came_off else {
            return Ok(rest(0.0, prior));
        };
        let cut = above_zero("area cut", seen.cut_ha, "ha")?;
        let read = (above_zero("grain that came off", seen.kg, "kg")? / cut).ln();
        let doubt = level
            + within * variance_of_mean(cut / reach)
            + seen.error.powi(2)
            + area / cut.powi(2);
        let shared =
            level + within * covariance_of_means(cut / reach, left / reach) - area / (cut * left);
        Ok(rest(
            shared / doubt * (read - mean),
            prior - shared * shared / doubt,
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The means' variance and covariance by adding up 400 small pieces.
    #[test]
    fn closed_forms_are_the_sums() {
        let (a, b, n) = (2.5_f64, 0.7_f64, 400_u32);
        let pieces = |from: f64, length: f64| -> Vec<f64> {
            (0..n)
                .map(|k| from + length * (f64::from(k) + 0.5) / f64::from(n))
                .collect()
        };
        let mean = |one: &[f64], other: &[f64]| {
            let sum: f64 = one
                .iter()
                .flat_map(|x| other.iter().map(move |y| (-(x - y).abs()).exp()))
                .sum();
            sum / f64::from(n) / f64::from(n)
        };
        let (cut, left) = (pieces(0.0, a), pieces(a, b));
        assert!((mean(&cut, &cut) - variance_of_mean(a)).abs() < 1e-5);
        assert!((mean(&cut, &left) - covariance_of_means(a, b)).abs() < 1e-5);
        assert!((variance_of_mean(1e-4) - variance_of_mean(1.000_01e-4)).abs() < 1e-7);
        assert!((variance_of_mean(0.0) - 1.0).abs() < 1e-12);
        assert!((covariance_of_means(0.0, 0.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn much_seen_is_believed_and_little_is_not() {
        let usual = Expected::usual(10_000.0);
        let off = |cut_ha: f64, error: f64| CameOff {
            kg: 8_000.0 * cut_ha,
            error,
            cut_ha,
        };
        let much = usual.rest(Some(off(40.0, 0.0)), 4.0, 0.0).unwrap();
        let little = usual.rest(Some(off(0.2, 0.0)), 4.0, 0.0).unwrap();
        let vague = usual.rest(Some(off(40.0, 0.5)), 4.0, 0.0).unwrap();
        assert!(much.kg_per_ha < little.kg_per_ha && little.kg_per_ha < vague.kg_per_ha);
        assert!(much.yield_cv < little.yield_cv && little.yield_cv < vague.yield_cv);
        // the area's error counts on both sides: with the yield known, 10 % of the rest is 20 % of its grain
        let sure = usual.rest(Some(off(4.0, 0.0)), 4.0, 0.0).unwrap();
        let unsure = usual.rest(Some(off(4.0, 0.0)), 4.0, 0.4).unwrap();
        let added = (unsure.yield_cv.powi(2) - sure.yield_cv.powi(2)).sqrt();
        assert!((0.15..0.2).contains(&added), "{added}");
        // a tank off hardly any known ground says nothing
        let none = usual.rest(Some(off(0.01, 0.0)), 4.0, 0.4).unwrap();
        assert!((none.kg_per_ha - 10_000.0).abs() < 100.0, "{none:?}");
        assert!(usual.rest(Some(off(0.0, 0.0)), 4.0, 0.0).is_err());
        assert!(usual.rest(None, 4.0, -1.0).is_err());
    }
}
