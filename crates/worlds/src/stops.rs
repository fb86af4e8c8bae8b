//! Machines that break, with known truth: acres between breakdowns, and how long each is mended.
//!
//! Acres between two breakdowns are Weibull: shape 1 has no memory, above 1 wears, below 1 breaks again soon
//! after a repair that did not hold. Hours of a repair are normal on the log. The first breakdown of a season is
//! waited for from a repair, as if the machine came freshly mended out of the shed.
//!
//! Limitations: one machine, one rate all season; no parts, no nights, no shops that shut.

use crate::counts::gamma;
use numeric::stream::Stream;

/// A machine as it truly is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// Mean acres from one breakdown to the next.
    pub between_ac: f64,
    /// Shape of the acres between: 1 no memory, above 1 wear, below 1 flocks.
    pub shape: f64,
    /// The middle repair, clock hours.
    pub repair_h: f64,
    /// Standard deviation of the log of a repair's hours.
    pub repair_log_sd: f64,
}

/// One breakdown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Broke {
    /// Acres cut since the season began.
    pub at_ac: f64,
    /// Clock hours until it ran again.
    pub hours: f64,
}

/// Which farms the machines come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Farms {
    /// Mean breakdowns on 100 acres over the farms.
    pub on_100_ac: f64,
    /// Squared coefficient of variation of that rate from farm to farm.
    pub rate_spread: f64,
    /// Whether rates are log-normal over the farms, rather than gamma.
    pub long_tail: bool,
    /// Shape of the acres between breakdowns.
    pub shape: f64,
    /// The middle repair of the middle farm, clock hours.
    pub repair_h: f64,
    /// Typical variance of the log of a repair's hours.
    pub log_variance: f64,
    /// Degrees of freedom by which that variance differs from farm to farm; small differs more.
    pub freedom: f64,
}

impl Farms {
    /// One farm's machine.
    pub fn machine(&self, stream: &mut Stream) -> Machine {
        let rate = if self.long_tail {
            let v = self.rate_spread.ln_1p();
            (v.sqrt() * stream.normal() - 0.5 * v).exp()
        } else {
            gamma(stream, self.rate_spread)
        };
        // a variance over a gamma of mean 1 is a scaled inverse chi-square
        let variance = self.log_variance / gamma(stream, 2.0 / self.freedom);
        let log_sd = variance.sqrt();
        Machine {
            between_ac: 100.0 / (self.on_100_ac * rate),
            shape: self.shape,
            repair_h: self.repair_h * (log_sd * stream.normal()).exp(),
            repair_log_sd: log_sd,
        }
    }
}

/// Mean of a Weibull of scale 1: the gamma function of `1 + 1/shape`, by Simpson's rule on `u = -ln(1 - p)`.
fn weibull_mean(shape: f64) -> f64 {
    // with u = t^4 the integrand u^(1/shape) e^-u has no steep start
    const STEPS: u32 = 2_000;
    let end = 60.0_f64.powf(0.25);
    let step = end / f64::from(STEPS);
    let at = |k: u32| {
        let t = f64::from(k) * step;
        let u = t.powi(4);
        u.powf(1.0 / shape) * (-u).exp() * 4.0 * t.powi(3)
    };
    let inner: f64 = (1..STEPS)
        .map(|k| at(k) * if k % 2 == 1 { 4.0 } else { 2.0 })
        .sum();
    (at(0) + inner + at(STEPS)) * step / 3.0
}

/// Every breakdown of so many acres, in order.
///
/// ```
/// use numeric::stream::Stream;
/// let machine = worlds::stops::Machine { between_ac: 50.0, shape: 1.0, repair_h: 2.0, repair_log_sd: 0.5 };
/// let broke = worlds::stops::season(&mut Stream::new(1, "season", 0), machine, 50_000.0);
/// assert!((900..1_100).contains(&broke.len()));
/// ```
pub fn season(stream: &mut Stream, machine: Machine, acres: f64) -> Vec<Broke> {
    let scale = machine.between_ac / weibull_mean(machine.shape);
    let mut out = Vec::new();
    let mut at_ac = 0.0;
    loop {
        let waited = -(1.0 - stream.uniform()).ln();
        at_ac += scale * waited.powf(1.0 / machine.shape);
        // a machine that breaks every few yards is sold
        if !(at_ac <= acres && out.len() < 10_000) {
            return out;
        }
        let hours = machine.repair_h * (machine.repair_log_sd * stream.normal()).exp();
        out.push(Broke { at_ac, hours });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `G(1 + 1/k)`: 1 for k 1, the square root of pi over 2 for k 2, 2 for k 1/2.
    #[test]
    fn weibull_mean_is_the_gamma_function() {
        for (shape, wanted) in [
            (1.0, 1.0),
            (2.0, std::f64::consts::PI.sqrt() / 2.0),
            (0.5, 2.0),
        ] {
            let found = weibull_mean(shape);
            assert!((found - wanted).abs() < 1e-8, "{shape}: {found}");
        }
    }

    /// Long seasons break as often as they must, whatever the shape; repairs have their median and spread.
    #[test]
    fn acres_between_and_repairs_are_as_asked() {
        for (nth, shape) in [0.7, 1.0, 1.6].into_iter().enumerate() {
            let machine = Machine {
                between_ac: 200.0,
                shape,
                repair_h: 1.5,
                repair_log_sd: 0.8,
            };
            let mut stream = Stream::new(3, "worn", nth as u64);
            let broke = season(&mut stream, machine, 1_000_000.0);
            let n = broke.len() as f64;
            // renewals in T: variance n cv^2; cv^2 of a Weibull of shape .7 is 2.14
            assert!((n - 5_000.0).abs() < 5.0 * (2.2 * n).sqrt(), "{shape}: {n}");
            let logs: Vec<f64> = broke.iter().map(|one| one.hours.ln()).collect();
            let mean = logs.iter().sum::<f64>() / n;
            let sd = (logs.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt();
            assert!((mean - 1.5_f64.ln()).abs() < 5.0 * 0.8 / n.sqrt());
            assert!((sd - 0.8).abs() < 5.0 * 0.8 / (2.0 * n).sqrt());
            assert!(broke.windows(2).all(|two| two[0].at_ac < two[1].at_ac));
        }
    }

    /// Over the farms the mean rate is the one asked, gamma or log-normal.
    #[test]
    fn farms_have_the_mean_rate_that_was_asked() {
        for long_tail in [false, true] {
            let farms = Farms {
                on_100_ac: 0.45,
                rate_spread: 2.0 / 3.0,
                long_tail,
                shape: 1.0,
                repair_h: 1.5,
                log_variance: 1.21,
                freedom: 4.0,
            };
            let mut stream = Stream::new(3, "farms", u64::from(long_tail));
            let n = 40_000;
            let sum: f64 = (0..n)
                .map(|_| 100.0 / farms.machine(&mut stream).between_ac)
                .sum();
            let se = 0.45 * (2.0 / 3.0 / f64::from(n)).sqrt();
            assert!((sum / f64::from(n) - 0.45).abs() < 5.0 * se);
        }
    }
}
