//! A figure with its range: where the truth lies 8 times in 10.

use serde::Serialize;

/// A figure and the ends between which the truth lies 8 times in 10.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ranged {
    /// The figure.
    pub value: f64,
    /// One in ten lies below this.
    pub low: f64,
    /// One in ten lies above this.
    pub high: f64,
}

impl Ranged {
    /// The chance that lies on each side of the range.
    const OUTSIDE: f64 = 0.1;

    /// A figure whose error is normal with this standard error: value ± 1.2816 standard errors.
    ///
    /// ```
    /// let range = desk::Ranged::of(100.0, 10.0);
    /// assert!((range.high - 112.8155).abs() < 1e-3 && (range.low - 87.1845).abs() < 1e-3);
    /// ```
    pub fn of(value: f64, standard_error: f64) -> Self {
        let half = Self::half(standard_error);
        Self {
            value,
            low: value - half,
            high: value + half,
        }
    }

    /// Half the width of the range for a standard error.
    pub fn half(standard_error: f64) -> f64 {
        numeric::distribution::normal_quantile(1.0 - Self::OUTSIDE) * standard_error
    }

    /// Half the width of the range.
    pub fn half_width(self) -> f64 {
        (self.high - self.low) / 2.0
    }

    /// A sum whose parts err apart from each other: half widths add in squares.
    ///
    /// ```
    /// let part = desk::Ranged::of(10.0, 3.0);
    /// let sum = desk::Ranged::together(20.0, [part, desk::Ranged::of(10.0, 4.0)].into_iter());
    /// assert!((sum.half_width() - desk::Ranged::half(5.0)).abs() < 1e-9);
    /// ```
    pub fn together(sum: f64, parts: impl Iterator<Item = Self>) -> Self {
        let half = parts
            .map(|part| part.half_width().powi(2))
            .sum::<f64>()
            .sqrt();
        Self {
            value: sum,
            low: sum - half,
            high: sum + half,
        }
    }

    /// Half the width, where the range reaches as far below the figure as above; else its two ends say it.
    pub fn even(self) -> Option<f64> {
        let (below, above) = (self.value - self.low, self.high - self.value);
        let half = self.half_width();
        ((above - below).abs() <= 0.1 * half.abs()).then_some(half)
    }

    /// The same in another unit.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        let (one, other) = (self.low * factor, self.high * factor);
        Self {
            value: self.value * factor,
            low: one.min(other),
            high: one.max(other),
        }
    }
}
