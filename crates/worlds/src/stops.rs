//! A machine that breaks: acres between breakdowns, hours of each repair, with known truth.

use crate::counts::gamma;
use numeric::stream::Stream;

/// How a machine truly is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// Breakdowns an acre.
    pub per_ac: f64,
    /// Mean of the log of a repair's hours.
    pub log_mean: f64,
    /// Standard deviation of that log.
    pub log_sd: f64,
}

/// What machines are like: a rate of this mean and relative variance, repairs about a median.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machines {
    /// Mean breakdowns an acre.
    pub per_ac: f64,
    /// Relative variance of that between machines.
    pub rate_spread: f64,
    /// Median hours of a repair.
    pub median_h: f64,
    /// Degrees of freedom of the log's variance between machines, an inverse chi-square.
    pub freedom: f64,
    /// Its scale.
    pub log_variance: f64,
    /// Repairs that the log's mean is worth between machines.
    pub repairs: f64,
}

/// One machine of many.
pub fn machine(stream: &mut Stream, many: Machines) -> Machine {
    let per_ac = many.per_ac * gamma(stream, many.rate_spread);
    // a gamma of mean 1 and relative variance 2/v is a chi-square over its degrees v
    let variance = many.log_variance / gamma(stream, 2.0 / many.freedom);
    let log_sd = variance.sqrt();
    Machine {
        per_ac,
        log_mean: stream.normal_of(many.median_h.ln(), log_sd / many.repairs.sqrt()),
        log_sd,
    }
}

/// Hours of each repair over so many acres.
pub fn repairs(stream: &mut Stream, machine: Machine, acres: f64) -> Vec<f64> {
    let mut out = Vec::new();
    let mut at = stream.exponential(1.0) / machine.per_ac;
    while at < acres && out.len() < 10_000 {
        out.push(stream.normal_of(machine.log_mean, machine.log_sd).exp());
        at += stream.exponential(1.0) / machine.per_ac;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A known machine breaks rate x acres times, its repairs have the median that was asked.
    #[test]
    fn it_breaks_as_often_and_as_long_as_it_is() {
        let mut stream = Stream::new(3, "stops", 0);
        let one = Machine {
            per_ac: 0.01,
            log_mean: 1.5_f64.ln(),
            log_sd: 1.0,
        };
        let mut all: Vec<f64> = Vec::new();
        for _ in 0..2_000 {
            all.extend(repairs(&mut stream, one, 100.0));
        }
        let mean = all.len() as f64 / 2_000.0;
        assert!((mean - 1.0).abs() < 5.0 / 2_000.0_f64.sqrt(), "{mean}");
        all.sort_by(f64::total_cmp);
        let median = all[all.len() / 2];
        assert!((median.ln() - 1.5_f64.ln()).abs() < 0.15, "{median}");
    }
}
