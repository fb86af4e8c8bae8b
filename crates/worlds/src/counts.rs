//! Frames of lost seed with known truth: means, how much they scatter, and what drifts through the day.
//!
//! A count of mean m and dispersion a is Poisson around a gamma mean: variance m + a m^2, the negative
//! binomial. Draws are made here by other means than any that read them: gamma by Marsaglia and Tsang
//! (2000, from memory), Poisson by splitting a gamma arrival off large means (Ahrens and Dieter 1974,
//! from memory) and multiplying uniforms for small ones.

use numeric::stream::Stream;

/// One kind of place: the mean count in a frame, and its dispersion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Mean count in a frame.
    pub mean: f64,
    /// Dispersion: variance is mean + dispersion x mean^2.
    pub dispersion: f64,
}

/// A gamma draw of mean 1 and variance `spread`; 1 where nothing spreads.
///
/// ```
/// use numeric::stream::Stream;
/// let mut stream = Stream::new(1, "gamma", 0);
/// let mean = (0..20_000).map(|_| worlds::counts::gamma(&mut stream, 0.3)).sum::<f64>() / 20_000.0;
/// assert!((mean - 1.0).abs() < 0.02);
/// ```
pub fn gamma(stream: &mut Stream, spread: f64) -> f64 {
    if spread <= 0.0 {
        return 1.0;
    }
    of_shape(stream, 1.0 / spread) * spread
}

/// A gamma draw of this shape and scale 1.
fn of_shape(stream: &mut Stream, shape: f64) -> f64 {
    if shape < 1.0 {
        // a draw of one shape more, drawn back
        let boost = (1.0 - stream.uniform()).powf(1.0 / shape);
        return of_shape(stream, shape + 1.0) * boost;
    }
    let d = shape - 1.0 / 3.0;
    let c = 1.0 / (9.0 * d).sqrt();
    loop {
        let x = stream.normal();
        let v = (1.0 + c * x).powi(3);
        if v > 0.0 {
            let u = 1.0 - stream.uniform();
            if u.ln() < 0.5 * x * x + d - d * v + d * v.ln() {
                return d * v;
            }
        }
    }
}

/// A Poisson draw of this mean; 0 where it is not above nothing.
///
/// ```
/// use numeric::stream::Stream;
/// let mut stream = Stream::new(1, "poisson", 0);
/// let mean = (0..20_000).map(|_| f64::from(worlds::counts::poisson(&mut stream, 60.0))).sum::<f64>() / 20_000.0;
/// assert!((mean - 60.0).abs() < 0.3);
/// ```
pub fn poisson(stream: &mut Stream, mut mean: f64) -> u32 {
    let mut count = 0;
    while mean > 12.0 {
        // the time of the m-th arrival is gamma: what came before it is known, the rest is a smaller draw
        let m = (mean * 7.0 / 8.0).floor();
        let at = of_shape(stream, m);
        if at > mean {
            return count + binomial(stream, m as u32 - 1, mean / at);
        }
        count += m as u32;
        mean -= at;
    }
    if mean <= 0.0 {
        return count;
    }
    let floor = (-mean).exp();
    let mut product = 1.0 - stream.uniform();
    while product > floor {
        count += 1;
        product *= 1.0 - stream.uniform();
    }
    count
}

fn binomial(stream: &mut Stream, of: u32, probability: f64) -> u32 {
    (0..of).map(|_| u32::from(stream.chance(probability))).sum()
}

/// What lies in one frame.
pub fn frame(stream: &mut Stream, place: Place) -> u32 {
    let mean = place.mean * gamma(stream, place.dispersion);
    poisson(stream, mean)
}

/// So many frames of one place, as the numbers that are written down.
pub fn frames(stream: &mut Stream, place: Place, count: usize) -> Vec<f64> {
    (0..count)
        .map(|_| f64::from(frame(stream, place)))
        .collect()
}

/// Frames one after another through an afternoon in which the loss rises steadily: the last frame's mean is
/// `rise` times the first's.
pub fn afternoon(stream: &mut Stream, place: Place, count: usize, rise: f64) -> Vec<f64> {
    let last = count.saturating_sub(1).max(1) as f64;
    (0..count)
        .map(|at| {
            let mean = place.mean * (1.0 + (rise - 1.0) * at as f64 / last);
            f64::from(frame(stream, Place { mean, ..place }))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(draws: &[f64]) -> (f64, f64) {
        let n = draws.len() as f64;
        let mean = draws.iter().sum::<f64>() / n;
        let variance = draws.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0);
        (mean, variance)
    }

    /// Means and variances within five standard errors of m and m + a m^2.
    #[test]
    fn frames_have_the_moments_that_were_asked() {
        for (nth, (mean, dispersion)) in [
            (0.5, 0.3),
            (10.0, 0.1),
            (28.0, 0.6),
            (120.0, 0.0),
            (9.0, 3.0),
        ]
        .into_iter()
        .enumerate()
        {
            let mut stream = Stream::new(5, "moments", nth as u64);
            let place = Place { mean, dispersion };
            let n = 40_000;
            let draws = frames(&mut stream, place, n);
            let (m, v) = moments(&draws);
            let wanted = mean + dispersion * mean * mean;
            assert!(
                (m - mean).abs() < 5.0 * (wanted / n as f64).sqrt(),
                "mean {m} for {mean}"
            );
            // kurtosis of the negative binomial: 3 + 6a + 1/variance (and Poisson's 1/m where a is 0)
            let excess = 6.0 * dispersion + 1.0 / wanted;
            let se = wanted * ((2.0 + excess) / n as f64).sqrt();
            assert!(
                (v - wanted).abs() < 5.0 * se,
                "variance {v} for {wanted} (se {se})"
            );
        }
    }

    /// A loss that doubles from the first frame to the last: 10, 15, 20 on average of three.
    #[test]
    fn an_afternoon_rises_as_asked() {
        let place = Place {
            mean: 10.0,
            dispersion: 0.2,
        };
        let mut stream = Stream::new(5, "afternoon", 0);
        let n = 20_000_u32;
        let mut sums = [0.0; 3];
        for _ in 0..n {
            let three = afternoon(&mut stream, place, 3, 2.0);
            for (sum, found) in sums.iter_mut().zip(three) {
                *sum += found;
            }
        }
        for (sum, wanted) in sums.iter().zip([10.0, 15.0, 20.0_f64]) {
            let se = ((wanted + 0.2 * wanted * wanted) / f64::from(n)).sqrt();
            assert!((sum / f64::from(n) - wanted).abs() < 5.0 * se, "{sums:?}");
        }
    }

    /// P(0) of a negative binomial is (1 + a m)^(-1/a).
    #[test]
    fn empty_frames_are_as_frequent_as_they_must_be() {
        let mut stream = Stream::new(5, "zeros", 0);
        let place = Place {
            mean: 2.0,
            dispersion: 0.5,
        };
        let n = 40_000;
        let zeros = frames(&mut stream, place, n)
            .iter()
            .filter(|found| **found == 0.0)
            .count() as f64;
        let p = (1.0 + 0.5 * 2.0_f64).powf(-2.0);
        let se = (p * (1.0 - p) / n as f64).sqrt();
        assert!((zeros / n as f64 - p).abs() < 5.0 * se, "{zeros}");
    }
}
