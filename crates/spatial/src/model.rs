//! Curves of covariance: a nugget and one structure.

use serde::{Deserialize, Serialize};

/// The shape of the structure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// `exp(-h/r)`.
    Exponential,
    /// `1 - 1.5 h/r + 0.5 (h/r)^3` up to the range, nothing beyond.
    Spherical,
    /// `exp(-(h/r)^2)`.
    Gaussian,
    /// Matern of smoothness 3/2: `(1 + h/r) exp(-h/r)`. (Smoothness 1/2 is the exponential.)
    Matern32,
    /// Matern of smoothness 5/2: `(1 + h/r + (h/r)^2/3) exp(-h/r)`.
    Matern52,
}

/// Nugget, partial sill and range. The range is the formula's own parameter, not where the curve levels out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Model {
    /// Shape.
    pub kind: Kind,
    /// Variance at no distance.
    pub nugget: f64,
    /// Variance of the structure.
    pub sill: f64,
    /// Range, m.
    pub range_m: f64,
}

impl Kind {
    /// Correlation at a distance of `t` ranges.
    #[inline]
    pub fn correlation(self, t: f64) -> f64 {
        match self {
            Self::Exponential => (-t).exp(),
            Self::Spherical if t < 1.0 => 1.0 - t * (1.5 - 0.5 * t * t),
            Self::Spherical => 0.0,
            Self::Gaussian => (-t * t).exp(),
            Self::Matern32 => (1.0 + t) * (-t).exp(),
            Self::Matern52 => (1.0 + t + t * t / 3.0) * (-t).exp(),
        }
    }

    /// Ranges over which 95 parts in 100 of the structure are reached.
    pub fn reach(self) -> f64 {
        match self {
            Self::Exponential => 2.995_732,
            Self::Spherical => 0.811_4,
            Self::Gaussian => 1.730_818,
            Self::Matern32 => 4.743_865,
            Self::Matern52 => 5.918_4,
        }
    }
}

impl Model {
    /// Semivariance at a distance; 0 at none.
    ///
    /// ```
    /// use spatial::{Kind, Model};
    /// let model = Model { kind: Kind::Spherical, nugget: 1.0, sill: 2.0, range_m: 50.0 };
    /// assert_eq!((model.semivariance(0.0), model.semivariance(80.0)), (0.0, 3.0));
    /// ```
    pub fn semivariance(&self, h_m: f64) -> f64 {
        if h_m == 0.0 {
            return 0.0;
        }
        self.nugget + self.sill * (1.0 - self.kind.correlation(h_m / self.range_m))
    }

    /// Covariance of the structure at a distance; the nugget is not in it.
    #[inline]
    pub fn covariance(&self, h_m: f64) -> f64 {
        self.sill * self.kind.correlation(h_m / self.range_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ninety_five_parts_are_reached_where_it_says() {
        for kind in [
            Kind::Exponential,
            Kind::Spherical,
            Kind::Gaussian,
            Kind::Matern32,
            Kind::Matern52,
        ] {
            assert!(
                (kind.correlation(kind.reach()) - 0.05).abs() < 2e-4,
                "{kind:?}"
            );
            assert!((kind.correlation(0.0) - 1.0).abs() < 1e-12);
        }
    }
}
