//! How long a breakdown lasts: normal on the log of its hours, with a conjugate prior.
//!
//! Limitations: the predictive is a t on the log and has no finite mean. For days use its quantiles;
//! for money [`Repair::mean_capped_h`], a mean of hours no longer than the cap, which the face must say.

use super::fact;
use crate::MachineError;
use crate::error::above_zero;
use numeric::distribution::{normal_cdf, t_cdf, t_quantile};
use serde::{Deserialize, Serialize};

/// What is known of the log of a repair's hours: normal-inverse-chi-square.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Repair {
    /// Repairs that the mean is worth.
    pub repairs: f64,
    /// Mean of the log of hours.
    pub log_mean: f64,
    /// Degrees of freedom of the spread.
    pub freedom: f64,
    /// Variance of the log of hours.
    pub log_variance: f64,
    /// Hours beyond which money stops counting: working hours.
    pub cap_h: f64,
}

impl Repair {
    /// What is taken before the farm has written any: our default, a guess.
    pub fn usual() -> Self {
        Self {
            repairs: fact("repair_prior_repairs"),
            log_mean: fact("repair_prior_median").ln(),
            freedom: fact("repair_prior_freedom"),
            log_variance: fact("repair_prior_log_variance"),
            cap_h: fact("repair_cap"),
        }
    }

    /// After repairs of so many hours.
    ///
    /// # Errors
    /// [`MachineError::Odd`] for a repair that took no time or less.
    pub fn seen(self, hours: &[f64]) -> Result<Self, MachineError> {
        let mut logs = Vec::with_capacity(hours.len());
        for h in hours {
            logs.push(above_zero("hours of a repair", *h, "h")?.ln());
        }
        if logs.is_empty() {
            return Ok(self);
        }
        let n = logs.len() as f64;
        let mean = logs.iter().sum::<f64>() / n;
        let squares: f64 = logs.iter().map(|x| (x - mean).powi(2)).sum();
        let repairs = self.repairs + n;
        let freedom = self.freedom + n;
        let apart = self.repairs * n / repairs * (mean - self.log_mean).powi(2);
        Ok(Self {
            repairs,
            log_mean: (self.repairs * self.log_mean + n * mean) / repairs,
            freedom,
            log_variance: (self.freedom * self.log_variance + squares + apart) / freedom,
            cap_h: self.cap_h,
        })
    }

    /// Scale of the t that the log of the next repair follows.
    fn scale(self) -> f64 {
        (self.log_variance * (1.0 + 1.0 / self.repairs)).sqrt()
    }

    /// Hours that the next repair stays below with probability `p`.
    pub fn quantile_h(self, p: f64) -> f64 {
        (self.log_mean + self.scale() * t_quantile(p, self.freedom)).exp()
    }

    /// Probability that the next repair takes at most so many hours.
    pub fn cdf(self, hours: f64) -> f64 {
        if hours <= 0.0 {
            return 0.0;
        }
        t_cdf((hours.ln() - self.log_mean) / self.scale(), self.freedom)
    }

    /// The log's spread for money: the posterior mean of its variance.
    fn money_variance(self) -> f64 {
        // the prior has 4 degrees, so that the mean exists
        self.log_variance * self.freedom / (self.freedom - 2.0).max(1.0)
    }

    /// `E[min(R, cap)^k]` of a log-normal `R`.
    fn capped_moment(self, k: f64) -> f64 {
        let (m, v) = (self.log_mean, self.money_variance());
        let (s, cap) = (v.sqrt(), self.cap_h.ln());
        let within = (k * m + 0.5 * k * k * v).exp() * normal_cdf((cap - m) / s - k * s);
        within + (k * cap).exp() * (1.0 - normal_cdf((cap - m) / s))
    }

    /// Mean hours of a repair, each counted up to the cap: for money.
    pub fn mean_capped_h(self) -> f64 {
        self.capped_moment(1.0)
    }

    /// Variance of the hours of a repair, each counted up to the cap.
    pub fn variance_capped_h2(self) -> f64 {
        self.capped_moment(2.0) - self.capped_moment(1.0).powi(2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: prior log 1.5 worth one; repairs of 1 h and e^2 h: logs 0 and 2, mean 1, squares 2.
    #[test]
    fn two_repairs_by_hand() {
        let prior = Repair::usual();
        let after = prior.seen(&[1.0, 2.0_f64.exp()]).unwrap();
        let m0 = 1.5_f64.ln();
        assert!((after.log_mean - (m0 + 2.0) / 3.0).abs() < 1e-12);
        let sum = 4.0 * 1.21 + 2.0 + 2.0 / 3.0 * (1.0 - m0).powi(2);
        assert!((after.log_variance - sum / 6.0).abs() < 1e-12);
        assert_eq!((after.repairs, after.freedom), (3.0, 6.0));
    }

    #[test]
    fn predictive_quantile_undoes_its_cdf_and_order_does_not_matter() {
        let one = Repair::usual().seen(&[0.5, 3.0, 1.2]).unwrap();
        let other = Repair::usual()
            .seen(&[1.2])
            .unwrap()
            .seen(&[3.0, 0.5])
            .unwrap();
        for p in [0.05, 0.5, 0.95] {
            assert!((one.cdf(one.quantile_h(p)) - p).abs() < 1e-9);
            assert!((one.quantile_h(p) / other.quantile_h(p) - 1.0).abs() < 1e-9);
        }
    }

    /// Without a cap that matters the mean is exp(m + v/2) and the variance (e^v - 1) e^(2m + v).
    #[test]
    fn cap_far_away_leaves_the_log_normals_own_mean() {
        let far = Repair {
            cap_h: 1e9,
            freedom: 1e9,
            log_variance: 0.5,
            ..Repair::usual()
        };
        let (m, v) = (far.log_mean, 0.5_f64);
        assert!((far.mean_capped_h() / (m + v / 2.0).exp() - 1.0).abs() < 1e-6);
        let variance = v.exp_m1() * (2.0 * m + v).exp();
        assert!((far.variance_capped_h2() / variance - 1.0).abs() < 1e-5);
        assert!(Repair::usual().mean_capped_h() < 24.0);
        assert!(Repair::usual().seen(&[0.0]).is_err());
    }
}
