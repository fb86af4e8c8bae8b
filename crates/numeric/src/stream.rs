//! Random numbers by name: one stream for each thing that needs chance.
//!
//! A stream is derived from a seed, a label and an index, so that what one field, load or
//! simulated day draws never depends on how many numbers another drew, nor on the order or the
//! number of threads. The generator is PCG XSL-RR 128/64 (O'Neill 2014, from memory; `rand_pcg`'s
//! `Pcg64`), whose output for a given state is fixed by its authors. Everything above the raw bits
//! is written here with operations that IEEE 754 rounds exactly (+ - x / sqrt), so the same stream
//! gives the same bits on every platform; the system's `ln` and `cos`, which differ in the last
//! bit, are not used.

use rand::Rng;
use rand_pcg::Pcg64;

/// A named, seeded stream of random numbers.
///
/// ```
/// use numeric::stream::Stream;
/// let mut moisture = Stream::new(7, "moisture", 0);
/// let mut tares = Stream::new(7, "tare", 0);
/// assert_ne!(moisture.bits(), tares.bits());
/// assert_eq!(Stream::new(7, "tare", 3).uniform(), Stream::new(7, "tare", 3).uniform());
/// ```
#[derive(Debug, Clone)]
pub struct Stream {
    generator: Pcg64,
    /// Second half of the last pair of normals.
    spare: Option<f64>,
}

/// One round of SplitMix64 (Steele, Lea & Flood 2014, from memory): scatters a word.
fn scatter(mut word: u64) -> u64 {
    word = word.wrapping_add(0x9e37_79b9_7f4a_7c15);
    word = (word ^ (word >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    word = (word ^ (word >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    word ^ (word >> 31)
}

fn absorb(mut state: u64, label: &str, index: u64) -> u64 {
    for chunk in label.as_bytes().chunks(8) {
        let mut word = [0_u8; 8];
        word[..chunk.len()].copy_from_slice(chunk);
        state = scatter(state ^ u64::from_le_bytes(word));
    }
    state = scatter(state ^ label.len() as u64);
    scatter(state ^ index)
}

impl Stream {
    /// The stream of this seed, label and index.
    pub fn new(seed: u64, label: &str, index: u64) -> Self {
        let key = |salt: u64| u128::from(absorb(scatter(seed ^ scatter(salt)), label, index));
        let state = (key(1) << 64) | key(2);
        let which = (key(3) << 64) | key(4);
        Self {
            generator: Pcg64::new(state, which),
            spare: None,
        }
    }

    /// 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.generator.next_u64()
    }

    /// Uniform in [0, 1), a multiple of 2^-53.
    pub fn uniform(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Uniform between `low` and `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// A whole number from 0 to `count` - 1, each equally likely; 0 when `count` is 0.
    pub fn below(&mut self, count: usize) -> usize {
        let count = count as u64;
        if count < 2 {
            return 0;
        }
        // the last, incomplete run of `count` is thrown back, so that no number is favoured
        let limit = u64::MAX - u64::MAX % count;
        loop {
            let bits = self.bits();
            if bits < limit {
                return (bits % count) as usize;
            }
        }
    }

    /// A whole number from `low` to `high`, both included (`low` when they are the wrong way round).
    pub fn whole(&mut self, low: i64, high: i64) -> i64 {
        if high <= low {
            return low;
        }
        low.saturating_add_unsigned(self.below((high - low + 1) as usize) as u64)
    }

    /// True with this probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.uniform() < probability
    }

    /// Standard normal, by Marsaglia's polar method (1964, from memory).
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let u = 2.0 * self.uniform() - 1.0;
            let v = 2.0 * self.uniform() - 1.0;
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                let scale = (-2.0 * exact_ln(s) / s).sqrt();
                self.spare = Some(v * scale);
                return u * scale;
            }
        }
    }

    /// Normal with this mean and standard deviation.
    pub fn normal_of(&mut self, mean: f64, sd: f64) -> f64 {
        mean + sd * self.normal()
    }

    /// Exponential with this mean.
    pub fn exponential(&mut self, mean: f64) -> f64 {
        -mean * exact_ln(1.0 - self.uniform())
    }

    /// Gamma of this shape, scale 1, by Marsaglia and Tsang (2000, from memory); 0 where the shape is not above 0.
    ///
    /// ```
    /// let mut stream = numeric::stream::Stream::new(1, "gamma", 0);
    /// let mean = (0..20_000).map(|_| stream.gamma(2.5)).sum::<f64>() / 20_000.0;
    /// assert!((mean - 2.5).abs() < 5.0 * (2.5_f64 / 20_000.0).sqrt());
    /// ```
    pub fn gamma(&mut self, shape: f64) -> f64 {
        if !(shape.is_finite() && shape > 0.0) {
            return 0.0;
        }
        if shape < 1.0 {
            // a draw of one shape more, drawn back
            let back = (1.0 - self.uniform()).powf(1.0 / shape);
            return self.gamma(shape + 1.0) * back;
        }
        let d = shape - 1.0 / 3.0;
        let c = 1.0 / (9.0 * d).sqrt();
        loop {
            let x = self.normal();
            let v = (1.0 + c * x).powi(3);
            if v > 0.0 {
                let u = 1.0 - self.uniform();
                if u.ln() < 0.5 * x * x + d - d * v + d * v.ln() {
                    return d * v;
                }
            }
        }
    }

    /// One of these, each equally likely; `None` when there are none.
    pub fn choice<'a, T>(&mut self, from: &'a [T]) -> Option<&'a T> {
        if from.is_empty() {
            None
        } else {
            Some(&from[self.below(from.len())])
        }
    }

    /// Index drawn in proportion to these weights; negative ones count as 0, all 0 gives `None`.
    pub fn weighted(&mut self, weights: &[f64]) -> Option<usize> {
        let total: f64 = weights.iter().map(|w| w.max(0.0)).sum();
        if total.is_nan() || total <= 0.0 {
            return None;
        }
        let mut left = self.uniform() * total;
        let mut last = None;
        for (index, weight) in weights.iter().enumerate() {
            if *weight > 0.0 {
                last = Some(index);
                if left < *weight {
                    return last;
                }
                left -= weight;
            }
        }
        last
    }

    /// Puts these in random order (Fisher and Yates).
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for end in (1..items.len()).rev() {
            items.swap(end, self.below(end + 1));
        }
    }
}

/// Natural logarithm from operations that every platform rounds alike; error below 4e-16 relative
/// to max(1, |ln x|).
fn exact_ln(x: f64) -> f64 {
    let bits = x.to_bits();
    let mut exponent = ((bits >> 52) & 0x7ff) as i32 - 1023;
    let mut mantissa = f64::from_bits((bits & 0x000f_ffff_ffff_ffff) | 0x3ff0_0000_0000_0000);
    if mantissa > std::f64::consts::SQRT_2 {
        mantissa /= 2.0;
        exponent += 1;
    }
    let t = (mantissa - 1.0) / (mantissa + 1.0);
    let square = t * t;
    let mut sum = 0.0;
    for odd in (0..13).rev() {
        sum = sum * square + 1.0 / f64::from(2 * odd + 1);
    }
    2.0 * t * sum + f64::from(exponent) * std::f64::consts::LN_2
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Frozen outputs: a change here silently changes every simulated season.
    #[test]
    fn bits_are_frozen() {
        let mut s = Stream::new(1, "tank", 2);
        assert_eq!(
            [s.bits(), s.bits()],
            [6_233_316_081_791_915_741, 18_251_154_006_203_324_890]
        );
        assert_eq!(s.normal().to_bits(), 13_821_915_441_573_748_211);
    }

    #[test]
    fn streams_differ_by_every_part_of_the_name() {
        let first = |seed, label, index| Stream::new(seed, label, index).bits();
        let here = first(1, "a", 0);
        for other in [
            first(2, "a", 0),
            first(1, "b", 0),
            first(1, "a", 1),
            first(1, "a\0", 0),
            first(1, "", 0),
        ] {
            assert_ne!(here, other);
        }
    }

    #[test]
    fn logarithm_agrees_with_the_systems() {
        for x in [1e-300, 1e-9, 0.3, 0.7, 1.0, 1.4143, 2.0, 7.5, 1e12] {
            assert!(
                (exact_ln(x) - x.ln()).abs() <= 4e-16 * x.ln().abs().max(1.0),
                "{x}"
            );
        }
    }

    /// Moments within five standard errors of what they must be.
    #[test]
    fn moments_of_uniform_and_normal() {
        let n = 200_000;
        let mut s = Stream::new(3, "moments", 0);
        let (mut sum, mut square, mut fourth, mut uniform) = (0.0, 0.0, 0.0, 0.0);
        for _ in 0..n {
            let z = s.normal();
            sum += z;
            square += z * z;
            fourth += z.powi(4);
            uniform += s.uniform();
        }
        let root = f64::from(n).sqrt();
        assert!((sum / f64::from(n)).abs() < 5.0 / root);
        assert!((square / f64::from(n) - 1.0).abs() < 5.0 * 2.0_f64.sqrt() / root);
        assert!((fourth / f64::from(n) - 3.0).abs() < 5.0 * 96.0_f64.sqrt() / root);
        assert!((uniform / f64::from(n) - 0.5).abs() < 5.0 / 12.0_f64.sqrt() / root);
    }

    #[test]
    fn below_is_even_and_in_range() {
        let mut s = Stream::new(4, "below", 0);
        let mut seen = [0_u32; 6];
        for _ in 0..60_000 {
            seen[s.below(6)] += 1;
        }
        for count in seen {
            assert!((f64::from(count) - 10_000.0).abs() < 5.0 * 91.3, "{seen:?}");
        }
        assert_eq!(s.below(0), 0);
        assert_eq!(s.whole(3, 3), 3);
    }

    #[test]
    fn shuffle_keeps_everything_and_weights_are_respected() {
        let mut s = Stream::new(5, "shuffle", 0);
        let mut items: Vec<u32> = (0..50).collect();
        s.shuffle(&mut items);
        assert_ne!(items, (0..50).collect::<Vec<_>>());
        items.sort_unstable();
        assert_eq!(items, (0..50).collect::<Vec<_>>());
        assert_eq!(s.weighted(&[0.0, 2.0, 0.0]), Some(1));
        assert_eq!(s.weighted(&[0.0, -1.0]), None);
        assert!(s.choice::<u8>(&[]).is_none());
    }
}
