//! Rates of rare events: gamma posterior of a Poisson rate, and the counts still to come.
//!
//! Events come independently at a constant rate per unit of exposure (acres, hours); before any is
//! seen the rate is a gamma, `events` of it seen in `exposure`. After `s` events in `T` it is a gamma
//! again with both added, and the count in a further `M` is negative binomial: Poisson scatter and
//! the doubt of the rate together (conjugate forms, in any textbook of Bayesian statistics).
//!
//! Checked against R in `reference/stops`.
//!
//! Limitations: a rate that grows with wear, or stops that come in flocks, are not in the model;
//! none seen in little exposure leaves the prior nearly as it was, which is the point of having one.

use numeric::distribution::{
    beta_cdf, gamma_cdf, gamma_quantile, negative_binomial_cdf, negative_binomial_pmf,
    negative_binomial_quantile,
};
use serde::{Deserialize, Serialize};

/// What is known of a rate: a gamma with mean `events / exposure`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rate {
    /// Shape: events seen, and those that the prior is worth.
    pub events: f64,
    /// Rate parameter: exposure seen, and that of the prior, in its own unit.
    pub exposure: f64,
}

impl Rate {
    /// A rate from what it is worth; none unless both are finite and above zero.
    ///
    /// ```
    /// use stats::rates::Rate;
    /// let usual = Rate::new(1.5, 332.6048).unwrap();
    /// let now = usual.seen(3, 210.0);
    /// assert!((100.0 * now.mean() - 0.829333).abs() < 1e-6); // stops on 100 acres
    /// ```
    pub fn new(events: f64, exposure: f64) -> Option<Self> {
        let sound = |x: f64| x.is_finite() && x > 0.0;
        (sound(events) && sound(exposure)).then_some(Self { events, exposure })
    }

    /// The rate after so many further events in so much further exposure; exposure below zero counts as none.
    #[must_use]
    pub fn seen(self, events: u64, exposure: f64) -> Self {
        Self {
            events: self.events + events as f64,
            exposure: self.exposure + exposure.max(0.0),
        }
    }

    /// Mean of the rate, events per unit of exposure.
    pub fn mean(self) -> f64 {
        self.events / self.exposure
    }

    /// Mean exposure from one event to the next: of `1 / rate`. Infinite up to one event.
    pub fn mean_between(self) -> f64 {
        if self.events > 1.0 {
            self.exposure / (self.events - 1.0)
        } else {
            f64::INFINITY
        }
    }

    /// The rate that it stays below with probability `p`.
    pub fn quantile(self, p: f64) -> f64 {
        gamma_quantile(p, self.events, self.exposure)
    }

    /// Probability that the rate is at most `rate`.
    pub fn cdf(self, rate: f64) -> f64 {
        gamma_cdf(rate, self.events, self.exposure)
    }

    /// The interval that holds the rate with probability `level`, as much left out below as above.
    pub fn interval(self, level: f64) -> (f64, f64) {
        let out = 0.5 * (1.0 - level);
        (self.quantile(out), self.quantile(1.0 - out))
    }

    /// How many events further exposure will bring; below zero counts as none.
    pub fn ahead(self, exposure: f64) -> Ahead {
        Ahead {
            size: self.events,
            none: self.exposure / (self.exposure + exposure.max(0.0)),
        }
    }

    /// Probability that this rate is greater than another, the two independent.
    ///
    /// `P(X > Y) = I_x(a_Y, a_X)`, `x = b_Y / (b_X + b_Y)`, `I` the regularized incomplete beta.
    ///
    /// ```
    /// use stats::rates::Rate;
    /// let four = Rate::new(4.5, 1.0).unwrap();
    /// let two = Rate::new(2.5, 1.0).unwrap();
    /// assert!((four.exceeds(two) - 0.791026).abs() < 1e-6);
    /// ```
    pub fn exceeds(self, other: Self) -> f64 {
        let x = other.exposure / (self.exposure + other.exposure);
        beta_cdf(x, other.events, self.events)
    }
}

/// How many events will come: negative binomial.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ahead {
    /// Size: the events that the rate is known by.
    pub size: f64,
    /// Share of the known exposure in known and further together.
    pub none: f64,
}

impl Ahead {
    /// Mean count.
    pub fn mean(self) -> f64 {
        self.size * (1.0 - self.none) / self.none
    }

    /// Variance of the count.
    pub fn variance(self) -> f64 {
        self.mean() / self.none
    }

    /// Probability of exactly `count`.
    pub fn pmf(self, count: u64) -> f64 {
        negative_binomial_pmf(count, self.size, self.none)
    }

    /// Probability of at most `count`.
    pub fn cdf(self, count: u64) -> f64 {
        negative_binomial_cdf(count, self.size, self.none)
    }

    /// Probability of `count` or more.
    pub fn at_least(self, count: u64) -> f64 {
        count.checked_sub(1).map_or(1.0, |below| {
            beta_cdf(1.0 - self.none, below as f64 + 1.0, self.size)
        })
    }

    /// Probability of no event.
    pub fn p_none(self) -> f64 {
        self.none.powf(self.size)
    }

    /// The smallest count that is not exceeded with probability `p` or more.
    pub fn quantile(self, p: f64) -> Option<u64> {
        negative_binomial_quantile(p, self.size, self.none)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beans() -> Rate {
        // .451 stops on 100 acres worth one and a half, then three in 210 acres
        Rate::new(1.5, 332.604_8).unwrap().seen(3, 210.0)
    }

    /// Worked with R beforehand: 1.5 in 332.6048 acres and 3 in 210; 140 acres to come.
    #[test]
    fn three_stops_in_two_hundred_acres() {
        let rate = beans();
        assert!((100.0 * rate.mean() - 0.829_333).abs() < 5e-7);
        let (low, high) = rate.interval(0.9);
        assert!((100.0 * low - 0.306_403).abs() < 5e-7);
        assert!((100.0 * high - 1.559_051).abs() < 1e-6, "{high}");
        let ahead = rate.ahead(140.0);
        assert!((ahead.p_none() - 0.355_971).abs() < 5e-7);
        assert!((ahead.mean() - 1.161_066).abs() < 5e-7);
        let counts = [0.05, 0.5, 0.95].map(|p| ahead.quantile(p).unwrap());
        assert_eq!(counts, [0, 1, 3]);
        assert!((ahead.at_least(2) - 0.315_491).abs() < 5e-7);
    }

    /// Mean and variance from the gamma's own: E = M m, V = M m + M^2 v.
    #[test]
    fn count_ahead_has_the_mixtures_mean_and_variance() {
        let rate = beans();
        let (mean, variance) = (rate.mean(), rate.events / rate.exposure.powi(2));
        let ahead = rate.ahead(140.0);
        assert!((ahead.mean() - 140.0 * mean).abs() < 1e-12);
        let mixed = 140.0 * mean + 140.0_f64.powi(2) * variance;
        assert!((ahead.variance() - mixed).abs() < 1e-12);
        let summed =
            |f: &dyn Fn(f64) -> f64| (0..400).map(|k| f(k as f64) * ahead.pmf(k)).sum::<f64>();
        assert!((summed(&|_| 1.0) - 1.0).abs() < 1e-10);
        assert!((summed(&|k| k) - ahead.mean()).abs() < 1e-9);
        let square = summed(&|k| k * k) - ahead.mean().powi(2);
        assert!((square - ahead.variance()).abs() < 1e-8);
    }

    #[test]
    fn nothing_ahead_brings_nothing_and_none_seen_is_no_promise() {
        let ahead = beans().ahead(0.0);
        assert_eq!((ahead.p_none(), ahead.mean()), (1.0, 0.0));
        assert_eq!(ahead.quantile(0.99), Some(0));
        let quiet = Rate::new(1.5, 332.604_8).unwrap().seen(0, 300.0);
        assert!(quiet.ahead(300.0).p_none() < 0.65);
        assert_eq!(Rate::new(0.0, 3.0), None);
    }

    #[test]
    fn one_of_two_rates_is_greater() {
        let (a, b) = (beans(), Rate::new(0.7, 55.0).unwrap());
        assert!((a.exceeds(b) + b.exceeds(a) - 1.0).abs() < 1e-12);
        assert!((a.exceeds(a) - 0.5).abs() < 1e-12);
    }
}
