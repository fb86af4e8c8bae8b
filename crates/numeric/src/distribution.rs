//! Probabilities and quantiles of the distributions that tests are read against.
//!
//! Plain functions over `statrs`, so that no other room names it. Every quantile takes a
//! probability in (0, 1) and every parameter must be positive; outside of that the answer is NaN,
//! never a panic, because these are called in the middle of arithmetic.
//!
//! Limitations: the normal is good to about 1e-11; quantiles of t and F are found by bisection inside the library and agree with
//! printed tables to about 1e-9, not to the last bit.

use statrs::distribution::{
    ChiSquared, Continuous, ContinuousCDF, FisherSnedecor, Normal, StudentsT,
};

fn inside(p: f64) -> bool {
    p > 0.0 && p < 1.0
}

/// Probability that a standard normal is at most `z`.
///
/// ```
/// assert!((numeric::distribution::normal_cdf(1.959_963_984_540_054) - 0.975).abs() < 1e-10);
/// ```
pub fn normal_cdf(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// Probability that a standard normal exceeds `z`, accurate far into the tail.
///
/// ```
/// let p = numeric::distribution::normal_upper(10.0);
/// assert!((p / 7.619_853_024_160_527e-24 - 1.0).abs() < 1e-9);
/// ```
pub fn normal_upper(z: f64) -> f64 {
    Normal::standard().sf(z)
}

/// The `z` that a standard normal stays below with probability `p`.
///
/// ```
/// assert!((numeric::distribution::normal_quantile(0.975) - 1.959_963_984_540_054).abs() < 1e-9);
/// assert!(numeric::distribution::normal_quantile(1.0).is_nan());
/// ```
pub fn normal_quantile(p: f64) -> f64 {
    if inside(p) {
        Normal::standard().inverse_cdf(p)
    } else {
        f64::NAN
    }
}

/// Natural logarithm of the standard normal density at `z`.
pub fn normal_ln_density(z: f64) -> f64 {
    -0.5 * (z * z + std::f64::consts::TAU.ln())
}

/// Probability that a chi-square on `dof` degrees of freedom is at most `x`.
pub fn chi_square_cdf(x: f64, dof: f64) -> f64 {
    ChiSquared::new(dof).map_or(f64::NAN, |d| if x <= 0.0 { 0.0 } else { d.cdf(x) })
}

/// Probability that a chi-square on `dof` degrees of freedom exceeds `x`.
pub fn chi_square_upper(x: f64, dof: f64) -> f64 {
    ChiSquared::new(dof).map_or(f64::NAN, |d| if x <= 0.0 { 1.0 } else { d.sf(x) })
}

/// The value that a chi-square on `dof` degrees of freedom stays below with probability `p`.
///
/// ```
/// // the 5 % point on 4 degrees of freedom, 9.488 in every printed table
/// assert!((numeric::distribution::chi_square_quantile(0.95, 4.0) - 9.487_729_036_78).abs() < 1e-6);
/// ```
pub fn chi_square_quantile(p: f64, dof: f64) -> f64 {
    match ChiSquared::new(dof) {
        Ok(d) if inside(p) => d.inverse_cdf(p),
        _ => f64::NAN,
    }
}

/// Probability that Student's t on `dof` degrees of freedom is at most `t`.
pub fn t_cdf(t: f64, dof: f64) -> f64 {
    StudentsT::new(0.0, 1.0, dof).map_or(f64::NAN, |d| d.cdf(t))
}

/// The value that Student's t on `dof` degrees of freedom stays below with probability `p`.
///
/// ```
/// // 2.228 for 10 degrees of freedom in every printed table
/// assert!((numeric::distribution::t_quantile(0.975, 10.0) - 2.228_138_852).abs() < 1e-6);
/// ```
pub fn t_quantile(p: f64, dof: f64) -> f64 {
    match StudentsT::new(0.0, 1.0, dof) {
        Ok(d) if inside(p) => {
            // the library stops up to 1e-8 short on many degrees of freedom: two steps of Newton close that
            let mut t = d.inverse_cdf(p);
            for _ in 0..2 {
                let step = (d.cdf(t) - p) / d.pdf(t);
                if step.is_finite() {
                    t -= step;
                }
            }
            t
        }
        _ => f64::NAN,
    }
}

/// Probability that F on `top` and `bottom` degrees of freedom is at most `f`.
pub fn f_cdf(f: f64, top: f64, bottom: f64) -> f64 {
    FisherSnedecor::new(top, bottom).map_or(f64::NAN, |d| if f <= 0.0 { 0.0 } else { d.cdf(f) })
}

/// The value that F on `top` and `bottom` degrees of freedom stays below with probability `p`.
///
/// ```
/// // F(2, 10) at 95 %: 4.103 in every printed table
/// assert!((numeric::distribution::f_quantile(0.95, 2.0, 10.0) - 4.102_821).abs() < 1e-5);
/// ```
pub fn f_quantile(p: f64, top: f64, bottom: f64) -> f64 {
    match FisherSnedecor::new(top, bottom) {
        Ok(d) if inside(p) => d.inverse_cdf(p),
        _ => f64::NAN,
    }
}

/// Probability that a gamma of this shape and rate (mean `shape / rate`) is at most `x`.
///
/// ```
/// // shape 1 is the exponential
/// let p = numeric::distribution::gamma_cdf(2.0, 1.0, 0.5);
/// assert!((p - (1.0 - (-1.0_f64).exp())).abs() < 1e-12);
/// ```
pub fn gamma_cdf(x: f64, shape: f64, rate: f64) -> f64 {
    if !(shape > 0.0 && rate > 0.0) || x.is_nan() {
        return f64::NAN;
    }
    if x <= 0.0 {
        return 0.0;
    }
    if x.is_infinite() {
        return 1.0;
    }
    statrs::function::gamma::gamma_lr(shape, x * rate)
}

/// The value that a gamma of this shape and rate stays below with probability `p`.
///
/// Found by halving an interval of the logarithm until it cannot be halved, so that small shapes,
/// whose lower quantiles lie many powers of ten below their mean, are met too.
pub fn gamma_quantile(p: f64, shape: f64, rate: f64) -> f64 {
    if !(inside(p) && shape > 0.0 && rate > 0.0) {
        return f64::NAN;
    }
    let (mut low, mut high) = (-700.0_f64, (shape + 50.0 * (shape.sqrt() + 1.0)).ln());
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if gamma_cdf(middle.exp(), shape, 1.0) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    (0.5 * (low + high)).exp() / rate
}

/// Probability that a beta with parameters `a` and `b` is at most `x`.
pub fn beta_cdf(x: f64, a: f64, b: f64) -> f64 {
    if !(a > 0.0 && b > 0.0) || x.is_nan() {
        return f64::NAN;
    }
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    statrs::function::beta::beta_reg(a, b, x)
}

/// Probability of exactly `k` under a negative binomial of this size and success probability `p`
/// (mean `size (1 - p) / p`; the size need not be whole).
///
/// ```
/// // size 1 is the geometric: .4 x .6^2
/// let p = numeric::distribution::negative_binomial_pmf(2, 1.0, 0.4);
/// assert!((p - 0.4 * 0.6 * 0.6).abs() < 1e-12);
/// ```
pub fn negative_binomial_pmf(k: u64, size: f64, p: f64) -> f64 {
    if !(size > 0.0 && p > 0.0 && p <= 1.0) {
        return f64::NAN;
    }
    if p == 1.0 {
        return if k == 0 { 1.0 } else { 0.0 };
    }
    let count = k as f64;
    let ln_gamma = statrs::function::gamma::ln_gamma;
    let ways = if k == 0 {
        0.0
    } else {
        ln_gamma(count + size) - ln_gamma(size) - ln_gamma(count + 1.0)
    };
    (ways + size * p.ln() + count * (-p).ln_1p()).exp()
}

/// Probability of at most `k` under a negative binomial of this size and success probability `p`.
pub fn negative_binomial_cdf(k: u64, size: f64, p: f64) -> f64 {
    if !(size > 0.0 && p > 0.0 && p <= 1.0) {
        return f64::NAN;
    }
    beta_cdf(p, size, k as f64 + 1.0)
}

/// The smallest count that a negative binomial stays at or below with probability at least `q`;
/// none where `q` is not inside (0, 1) or the parameters are not those of a distribution.
pub fn negative_binomial_quantile(q: f64, size: f64, p: f64) -> Option<u64> {
    if !(inside(q) && size > 0.0 && p > 0.0 && p <= 1.0) {
        return None;
    }
    let reached = |k: u64| negative_binomial_cdf(k, size, p) >= q;
    let mut high = 1_u64;
    while !reached(high) {
        high = high.checked_mul(2).filter(|k| *k < 1 << 52)?;
    }
    let mut low = 0_u64;
    while low < high {
        let middle = u64::midpoint(low, high);
        if reached(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Some(high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points printed in standard tables (from memory, four figures).
    #[test]
    fn printed_table_points() {
        assert!((chi_square_quantile(0.95, 1.0) - 3.841).abs() < 5e-4);
        assert!((chi_square_quantile(0.99, 10.0) - 23.209).abs() < 5e-4);
        assert!((t_quantile(0.95, 5.0) - 2.015).abs() < 5e-4);
        assert!((f_quantile(0.99, 3.0, 12.0) - 5.953).abs() < 5e-4);
        assert!((normal_quantile(0.995) - 2.5758).abs() < 5e-5);
    }

    /// R 4's `qt`, where few or many degrees of freedom make the inverse hard.
    #[test]
    fn t_quantile_agrees_with_r_at_awkward_degrees_of_freedom() {
        for (p, dof, r) in [
            (0.95, 0.5, 41.136_000_092_879_87),
            (0.95, 2.656_8, 2.482_624_019_170_333),
            (0.9, 3.921_28, 1.539_175_789_089_176),
            (0.9, 1_000.0, 1.282_398_721_460_925),
            (0.9, 3_000.0, 1.281_833_823_908_842),
        ] {
            let ours = t_quantile(p, dof);
            assert!((ours / r - 1.0).abs() < 1e-10, "{p} {dof} {ours}");
        }
    }

    #[test]
    fn quantile_undoes_cdf() {
        for p in [0.001, 0.05, 0.3, 0.5, 0.9, 0.999] {
            assert!((normal_cdf(normal_quantile(p)) - p).abs() < 1e-9);
            assert!((chi_square_cdf(chi_square_quantile(p, 7.0), 7.0) - p).abs() < 1e-7);
            assert!((t_cdf(t_quantile(p, 7.0), 7.0) - p).abs() < 1e-7);
            assert!((f_cdf(f_quantile(p, 3.0, 9.0), 3.0, 9.0) - p).abs() < 1e-7);
        }
    }

    #[test]
    fn bad_input_is_nan_not_a_panic() {
        assert!(chi_square_quantile(0.5, 0.0).is_nan());
        assert!(t_quantile(1.5, 3.0).is_nan());
        assert!(f_cdf(1.0, -1.0, 2.0).is_nan());
        assert_eq!(chi_square_upper(-1.0, 2.0), 1.0);
    }
}
