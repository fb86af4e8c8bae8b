//! A figure and its doubt.

use numeric::distribution::{t_cdf, t_quantile};
use serde::{Deserialize, Serialize};

/// A figure that may have too few frames behind it to say how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The figure; a difference of means may fall below nothing by chance, and is kept as it fell.
    pub value: f64,
    /// How sure it is; `None` is "too few to say": fewer than three frames in some class.
    pub doubt: Option<Doubt>,
}

/// How sure a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Doubt {
    /// Standard error.
    pub se: f64,
    /// Degrees of freedom.
    pub df: f64,
    /// Lower end, cut at 0 for what cannot be negative.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Lower end before it was cut.
    pub raw_low: f64,
    /// Share of cases between the two ends, e.g. 0.9.
    pub confidence: f64,
}

/// Doubt that goes with the size of a figure: of a seed's weight, of a measured width.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Relative {
    /// Standard error / value.
    pub cv: f64,
    /// Degrees of freedom behind it; `None` where it is a guess, taken as it stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub df: Option<f64>,
}

impl Relative {
    /// No doubt at all.
    pub const NONE: Self = Self { cv: 0.0, df: None };

    /// Taken as it stands.
    pub const fn guess(cv: f64) -> Self {
        Self { cv, df: None }
    }
}

/// A variance with the degrees of freedom behind it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Share {
    pub(crate) variance: f64,
    pub(crate) df: Option<f64>,
}

impl Share {
    pub(crate) fn relative(value: f64, relative: Relative) -> Self {
        Self {
            variance: (value * relative.cv).powi(2),
            df: relative.df,
        }
    }
}

/// Sum of variances and its degrees of freedom (Welch 1938, Satterthwaite 1946, from memory):
/// (sum v)^2 / sum v^2/df; a share without degrees of freedom is taken as known.
pub(crate) fn together(shares: &[Share]) -> (f64, f64) {
    let variance: f64 = shares.iter().map(|share| share.variance).sum();
    let below: f64 = shares
        .iter()
        .filter_map(|share| share.df.map(|df| share.variance * share.variance / df))
        .sum();
    let df = if below > 0.0 {
        (variance * variance / below).min(MOST_DF)
    } else {
        MOST_DF
    };
    (variance, df)
}

/// Degrees of freedom are stated no higher: there t is the normal to a thousandth of its width, and
/// the number stays one that prints.
const MOST_DF: f64 = 1_000.0;

impl Estimate {
    /// A figure that cannot be negative: the lower end is cut at 0.
    pub(crate) fn of_amount(value: f64, shares: Option<&[Share]>, confidence: f64) -> Self {
        let mut out = Self::of_difference(value, shares, confidence);
        if let Some(doubt) = &mut out.doubt {
            doubt.low = doubt.low.max(0.0);
            doubt.high = doubt.high.max(0.0);
        }
        out
    }

    /// A figure that may be of either sign.
    pub(crate) fn of_difference(value: f64, shares: Option<&[Share]>, confidence: f64) -> Self {
        let doubt = shares.map(|shares| {
            let (variance, df) = together(shares);
            let se = variance.sqrt();
            let half = t_quantile(0.5 + confidence / 2.0, df) * se;
            Doubt {
                se,
                df,
                low: value - half,
                high: value + half,
                raw_low: value - half,
                confidence,
            }
        });
        Self { value, doubt }
    }

    /// What shares of variance it has, to build further on it.
    pub(crate) fn share(&self) -> Option<Share> {
        self.doubt.map(|doubt| Share {
            variance: doubt.se * doubt.se,
            df: Some(doubt.df),
        })
    }

    /// The same in another unit; the factor is positive and has no doubt of its own.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            doubt: self.doubt.map(|doubt| Doubt {
                se: doubt.se * factor,
                low: doubt.low * factor,
                high: doubt.high * factor,
                raw_low: doubt.raw_low * factor,
                ..doubt
            }),
        }
    }

    /// The probability that the truth lies above a threshold in the same unit:
    /// t-cdf((value - threshold) / se, df). `None` with too few frames.
    pub fn chance_above(self, threshold: f64) -> Option<f64> {
        self.doubt
            .map(|doubt| t_cdf((self.value - threshold) / doubt.se, doubt.df))
    }

    /// Through a curve that rises: the ends go through it as the value does.
    #[must_use]
    pub(crate) fn through(self, rising: impl Fn(f64) -> f64, slope: f64) -> Self {
        Self {
            value: rising(self.value),
            doubt: self.doubt.map(|doubt| Doubt {
                se: doubt.se * slope,
                low: rising(doubt.low),
                high: rising(doubt.high),
                raw_low: rising(doubt.raw_low),
                ..doubt
            }),
        }
    }
}
