//! Hours that the exposure left will still cost: a negative binomial count of stops, each a repair.
//!
//! Mean and variance are the compound sum's with each repair counted up to the cap:
//! `E = E[N] E[R]`, `Var = E[N] Var R + Var N E[R]^2`. Quantiles come from seeded draws of the
//! predictive itself: rate and repair are drawn anew for each season, so that one season's repairs
//! share what is not known of them; draws are not capped.
//!
//! Clock hours become hours fit for work by a function of the caller (nights, closed shops).

use super::repair::Repair;
use numeric::stream::Stream;
use serde::Serialize;
use stats::rates::Rate;

/// Draws for the quantiles.
pub const DRAWS: usize = 20_000;
/// Stops in one drawn season at most, so that an absurd exposure ends.
const MOST_STOPS: u32 = 10_000;

/// What is still to be lost.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lost {
    /// Probability that it does not break down again.
    pub p_none: f64,
    /// Mean number of breakdowns.
    pub stops: f64,
    /// Mean clock hours, each repair counted up to the cap: for money.
    pub mean_h: f64,
    /// Standard deviation of those.
    pub sd_h: f64,
    /// Hours fit for work lost in each drawn season, smallest first: for days.
    #[serde(skip)]
    pub drawn_h: Vec<f64>,
}

impl Lost {
    /// Hours that the loss stays below with probability `p`, between the draws' order statistics.
    pub fn quantile_h(&self, p: f64) -> f64 {
        let Some(last) = self.drawn_h.len().checked_sub(1) else {
            return f64::NAN;
        };
        let at = p.clamp(0.0, 1.0) * last as f64;
        let below = (at.floor() as usize).min(last);
        let (low, high) = (self.drawn_h[below], self.drawn_h[(below + 1).min(last)]);
        low + (at - below as f64) * (high - low)
    }
}

/// Clock hours lost in one season of this exposure.
fn season(
    stream: &mut Stream,
    rate: Rate,
    repair: Repair,
    exposure: f64,
    fit: &dyn Fn(f64) -> f64,
) -> f64 {
    let per = stream.gamma(rate.events) / rate.exposure;
    // chi-square on v degrees is a gamma of shape v/2 and rate 1/2
    let chi = 2.0 * stream.gamma(0.5 * repair.freedom);
    let sd = (repair.freedom * repair.log_variance / chi).sqrt();
    let mean = repair.log_mean + sd / repair.repairs.sqrt() * stream.normal();
    let mut run = 0.0;
    let mut sum = 0.0;
    for _ in 0..MOST_STOPS {
        run += stream.exponential(1.0) / per;
        if run > exposure {
            break;
        }
        sum += fit((mean + sd * stream.normal()).exp());
    }
    sum
}

/// Hours lost for the exposure left (in the rate's unit), as a distribution of [`DRAWS`] seasons.
///
/// `fit` turns the clock hours of one repair into hours fit for work that it costs; `|h| h` where
/// every hour would have been worked.
pub fn lost(
    rate: Rate,
    repair: Repair,
    exposure: f64,
    seed: u64,
    fit: &dyn Fn(f64) -> f64,
) -> Lost {
    let ahead = rate.ahead(exposure);
    let (mean_r, var_r) = (repair.mean_capped_h(), repair.variance_capped_h2());
    let mut stream = Stream::new(seed, "hours lost", 0);
    let mut drawn_h: Vec<f64> = (0..DRAWS)
        .map(|_| season(&mut stream, rate, repair, exposure.max(0.0), fit))
        .collect();
    drawn_h.sort_by(f64::total_cmp);
    Lost {
        p_none: ahead.p_none(),
        stops: ahead.mean(),
        mean_h: ahead.mean() * mean_r,
        sd_h: (ahead.mean() * var_r + ahead.variance() * mean_r.powi(2)).sqrt(),
        drawn_h,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Repairs known to last 2 h within a hair, so that the sum is twice a negative binomial.
    #[test]
    fn sure_repairs_make_the_sum_a_count() {
        let repair = Repair {
            repairs: 1e9,
            log_mean: 2.0_f64.ln(),
            freedom: 100.0,
            log_variance: 1e-10,
            cap_h: 24.0,
        };
        let rate = Rate::new(4.5, 542.6048).unwrap();
        let all = lost(rate, repair, 140.0, 7, &|h| h);
        let ahead = rate.ahead(140.0);
        assert!((all.mean_h - 2.0 * ahead.mean()).abs() < 1e-6);
        assert!((all.sd_h.powi(2) - 4.0 * ahead.variance()).abs() < 1e-5);
        assert!((all.quantile_h(0.95) - 6.0).abs() < 0.01);
        assert_eq!(all.quantile_h(0.3), 0.0);
        let share = all.drawn_h.iter().filter(|h| **h == 0.0).count() as f64 / DRAWS as f64;
        // four standard errors of 20,000 draws
        assert!((share - all.p_none).abs() < 0.014, "{share}");
        let mean = all.drawn_h.iter().sum::<f64>() / DRAWS as f64;
        assert!((mean - all.mean_h).abs() < 4.0 * all.sd_h / (DRAWS as f64).sqrt());
    }

    #[test]
    fn nothing_left_loses_nothing_and_nights_take_nothing() {
        let (rate, repair) = (Rate::new(1.5, 300.0).unwrap(), Repair::usual());
        let done = lost(rate, repair, 0.0, 1, &|h| h);
        assert_eq!((done.p_none, done.quantile_h(0.99)), (1.0, 0.0));
        let all = lost(rate, repair, 400.0, 1, &|h| h);
        let half = lost(rate, repair, 400.0, 1, &|h| h / 2.0);
        assert!((half.quantile_h(0.9) - all.quantile_h(0.9) / 2.0).abs() < 1e-9);
        assert_eq!(all, lost(rate, repair, 400.0, 1, &|h| h));
    }
}
