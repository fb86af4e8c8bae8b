//! Yield against distance from an edge: `level - loss exp(-d/L)`, with what is not known of all three.
//!
//! For a given L the curve is two columns, and generalized least squares tells level and loss with a covariance that
//! counts what neighboring pieces and pieces of one pass share. L itself is taken from a list, each weighed by how well
//! its fit does and how wide its loss is left open (a posterior with a level prior on the level, on the loss up to
//! the whole yield either way, and on the log of L). Draws from that give the bands.
//!
//! Soil may fall toward an edge too. So a third column is a straight slope inward, held to some parts of 100 of the yield
//! over the depth looked at. What then looks like a loss is asked again with the slope left free: where it is gone, the
//! free fit is told, with the verdict that loss and soil are not told apart.

use super::strip::{Errors, Piece};
use super::{Band, Curve, FreeBin, Range, Verdict};
use numeric::distribution::normal_cdf;
use numeric::stream::Stream;
use spatial::{Correlated, Place, SpatialError};

/// Lengths tried.
const LENGTHS: usize = 24;
const DRAWS: usize = 2_000;
/// The longest, in depths looked at: at three lengths, where 95 parts of 100 are gone, a quarter of the depth is left to
/// tell the level.
const LONGEST: f64 = 1.0 / 4.0;
/// The shortest, in swaths: less than a swath tells no more than its mean.
const SHORTEST: f64 = 0.15;
/// Standard deviation of the soil's slope over the depth, of the level: a guess.
const SLOPE: f64 = 0.05;
/// Steps of the curve that is told.
const STEPS: u32 = 12;

/// What is fitted.
pub(super) struct Asked<'a> {
    pub pieces: &'a [Piece],
    pub swath_m: f64,
    pub depth_m: f64,
    /// Distances and areas of all ground of the edge, whether mapped or not.
    pub ground: &'a [(f64, f64, f64)],
    pub seed: u64,
}

/// A curve, and each draw's loss in kg.
pub(super) struct Fitted {
    pub curve: Curve,
    pub lost_kg: Vec<f64>,
}

/// Mean of `exp(-d/L)` from one distance to another.
pub(super) fn mean_fall(low_m: f64, high_m: f64, length_m: f64) -> f64 {
    let (a, b) = (low_m / length_m, high_m / length_m);
    if b - a < 1e-9 {
        return (-a).exp();
    }
    // exp_m1 keeps the digits where the line is short against the length
    (-a).exp() * -(a - b).exp_m1() / (b - a)
}

/// Pieces with their covariance factored.
struct Strip {
    measured: Correlated,
    values: Vec<f64>,
    /// From and to which distance each reaches, m.
    spans: Vec<(f64, f64)>,
    /// The middle value.
    usual: f64,
}

struct Draw {
    length: usize,
    level: f64,
    loss: f64,
}

/// Draws from what is known, and the lengths that they name.
struct Drawn {
    draws: Vec<Draw>,
    lengths: Vec<f64>,
    /// Loss of each, kg.
    lost_kg: Vec<f64>,
    /// By what the errors' variance is larger than was said.
    wider: f64,
}

impl Drawn {
    fn verdict(&self) -> Verdict {
        match Range::of(self.lost_kg.clone()) {
            lost if lost.low > 0.0 => Verdict::Loses,
            lost if lost.high < 0.0 => Verdict::Gains,
            _ => Verdict::NotToldApart,
        }
    }
}

pub(super) fn curve(asked: &Asked<'_>, errors: &Errors) -> Result<Fitted, String> {
    let strip = Strip::new(asked, errors).map_err(|why| why.to_string())?;
    let held = strip.draw(asked, 1.0 / (SLOPE * strip.usual).powi(2))?;
    let verdict = held.verdict();
    if verdict == Verdict::NotToldApart {
        return strip.told(asked, held, verdict);
    }
    let free = strip.draw(asked, 0.0)?;
    if free.verdict() == verdict {
        strip.told(asked, held, verdict)
    } else {
        strip.told(asked, free, Verdict::NotToldFromSoil)
    }
}

impl Strip {
    fn new(asked: &Asked<'_>, errors: &Errors) -> Result<Self, SpatialError> {
        let pieces = asked.pieces;
        let places: Vec<Place> = pieces.iter().map(|piece| piece.at).collect();
        let passes: Vec<u32> = pieces.iter().map(|piece| piece.pass).collect();
        let values: Vec<f64> = pieces.iter().map(|piece| piece.dry_kg_m2).collect();
        let middle = |mut all: Vec<f64>| crate::clean::median(&mut all).unwrap_or(1.0);
        // a piece shorter than the usual has more nugget
        let area = middle(pieces.iter().map(|piece| piece.area_m2).collect());
        let noise: Vec<f64> = pieces
            .iter()
            .map(|piece| errors.model.nugget * (area / piece.area_m2 - 1.0).max(0.0))
            .collect();
        Ok(Self {
            measured: Correlated::new(&places, &errors.model, &noise, &passes, errors.shared)?,
            usual: middle(values.clone()),
            values,
            spans: pieces
                .iter()
                .map(|piece| piece.near.map_or((0.0, 0.0), |near| (near.2, near.3)))
                .collect(),
        })
    }

    /// Draws, with the slope's precision beforehand.
    fn draw(&self, asked: &Asked<'_>, beforehand: f64) -> Result<Drawn, String> {
        let none = || "no loss from nothing to the whole yield fits its records".to_owned();
        let (short, long) = (SHORTEST * asked.swath_m, LONGEST * asked.depth_m);
        let step = (long / short).ln() / (LENGTHS - 1) as f64;
        let lengths: Vec<f64> = (0..LENGTHS)
            .map(|k| short * (step * k as f64).exp())
            .collect();
        let ones = vec![1.0; self.values.len()];
        let slope: Vec<f64> = (self.spans.iter())
            .map(|(low, high)| 0.5 * (low + high) / asked.depth_m - 0.5)
            .collect();
        let mut fits = Vec::with_capacity(LENGTHS);
        for length in &lengths {
            let spans = self.spans.iter();
            let falls = spans.map(|(low, high)| -mean_fall(*low, *high, *length));
            let columns = [ones.clone(), falls.collect(), slope.clone()];
            let fit = self
                .measured
                .regress(&self.values, &columns, &[0.0, 0.0, beforehand])
                .map_err(|why| why.to_string())?;
            fits.push(fit);
        }
        let best = fits
            .iter()
            .map(|fit| fit.rest)
            .fold(f64::INFINITY, f64::min);
        // where even the best leaves more than the errors say, they are larger than said
        let wider = (best / (self.values.len() as f64 - 4.0).max(1.0)).max(1.0);
        let weights: Vec<f64> = fits
            .iter()
            .map(|fit| {
                let (level, loss) = (fit.coefficients[0].abs(), fit.coefficients[1]);
                let sd = (wider * fit.covariance[1][1]).sqrt();
                let possible = normal_cdf((level - loss) / sd) - normal_cdf((-level - loss) / sd);
                (-0.5 * (fit.rest - best) / wider).exp() * sd * possible
            })
            .collect();
        let areas: Vec<f64> = lengths
            .iter()
            .map(|length| {
                let ground = asked.ground.iter();
                ground
                    .map(|(low, high, area)| area * mean_fall(*low, *high, *length))
                    .sum()
            })
            .collect();
        let mut stream = Stream::new(asked.seed, "edge", 0);
        let mut draws: Vec<Draw> = Vec::with_capacity(DRAWS);
        // what lies outside the bounds is drawn again
        for _ in 0..20 * DRAWS {
            if draws.len() == DRAWS {
                break;
            }
            let length = stream.weighted(&weights).ok_or_else(none)?;
            let (fit, covariance) = (&fits[length], &fits[length].covariance);
            let (a, b) = (stream.normal(), stream.normal());
            let loss = fit.coefficients[1] + (wider * covariance[1][1]).sqrt() * a;
            let slope = covariance[0][1] / covariance[1][1];
            let rest = wider * (covariance[0][0] - slope * covariance[0][1]);
            let level = fit.coefficients[0]
                + slope * (loss - fit.coefficients[1])
                + rest.max(0.0).sqrt() * b;
            if loss.abs() <= level {
                draws.push(Draw {
                    length,
                    level,
                    loss,
                });
            }
        }
        if draws.len() < DRAWS {
            return Err(none());
        }
        Ok(Drawn {
            lost_kg: draws.iter().map(|d| d.loss * areas[d.length]).collect(),
            draws,
            lengths,
            wider,
        })
    }

    fn told(&self, asked: &Asked<'_>, drawn: Drawn, verdict: Verdict) -> Result<Fitted, String> {
        let Drawn {
            draws,
            lengths,
            lost_kg,
            wider,
        } = drawn;
        let of = |pick: &dyn Fn(&Draw) -> f64| Range::of(draws.iter().map(pick).collect());
        let lost = Range::of(lost_kg.clone());
        let bands = (0..=STEPS).map(|k| {
            let d = asked.depth_m * f64::from(k) / f64::from(STEPS);
            Band {
                distance_m: d,
                dry_kg_m2: of(&|one| one.level - one.loss * (-d / lengths[one.length]).exp()),
            }
        });
        Ok(Fitted {
            curve: Curve {
                level_kg_m2: of(&|d| d.level),
                share_lost_at_edge: of(&|d| d.loss / d.level),
                length_m: of(&|d| lengths[d.length]),
                // exp(-ln 20) is 0.05
                recovered_m: (verdict == Verdict::Loses)
                    .then(|| of(&|d| 20.0_f64.ln() * lengths[d.length])),
                recovered_heights: None,
                bands: bands.collect(),
                free: self.free(asked, wider).map_err(|why| why.to_string())?,
                lost_dry_kg: lost,
                lost_bu: lost,
                lost_usd: None,
                verdict,
            },
            lost_kg,
        })
    }

    /// Means by swath from the edge against what lies beyond half the depth, with no curve between them.
    fn free(&self, asked: &Asked<'_>, wider: f64) -> Result<Vec<FreeBin>, SpatialError> {
        const LEAST: usize = 6;
        let bin_of = |(low, high): &(f64, f64)| {
            let middle = 0.5 * (low + high);
            (middle < 0.5 * asked.depth_m).then_some((middle / asked.swath_m) as usize)
        };
        let bins: Vec<Option<usize>> = self.spans.iter().map(bin_of).collect();
        let last = bins.iter().flatten().max().map_or(0, |bin| bin + 1);
        let count = |bin: usize| bins.iter().filter(|one| **one == Some(bin)).count();
        // a bin of few pieces has a column too, so that it does not count as the inside
        let used: Vec<usize> = (0..last).filter(|bin| count(*bin) > 0).collect();
        let mut columns = vec![vec![1.0; bins.len()]];
        columns.extend(used.iter().map(|bin| {
            let of = bins.iter().map(|one| *one == Some(*bin));
            of.map(|is| f64::from(u8::from(is))).collect()
        }));
        let nothing = vec![0.0; columns.len()];
        let fit = self.measured.regress(&self.values, &columns, &nothing)?;
        let level = fit.coefficients[0];
        Ok(used
            .iter()
            .enumerate()
            .filter(|(_, bin)| count(**bin) >= LEAST)
            .map(|(nth, bin)| {
                let off = fit.coefficients[nth + 1];
                let error = super::Z90 * (wider * fit.covariance[nth + 1][nth + 1]).sqrt();
                let at = |off: f64| 1.0 + off / level;
                FreeBin {
                    from_m: *bin as f64 * asked.swath_m,
                    to_m: (*bin + 1) as f64 * asked.swath_m,
                    pieces: count(*bin),
                    of_level: Range {
                        value: at(off),
                        low: at(off - error),
                        high: at(off + error),
                    },
                }
            })
            .collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_fall_is_the_integral() {
        let by_hand = |low: f64, high: f64, length: f64| {
            length * ((-low / length).exp() - (-high / length).exp()) / (high - low)
        };
        for (low, high, length) in [(0.0, 9.0, 7.0), (9.0, 18.0, 7.0), (3.0, 4.0, 300.0)] {
            let found = mean_fall(low, high, length);
            assert!((found - by_hand(low, high, length)).abs() < 1e-12);
        }
        assert!((mean_fall(5.0, 5.0, 10.0) - (-0.5_f64).exp()).abs() < 1e-12);
        // 1 - e^-1 over the first length
        assert!((mean_fall(0.0, 10.0, 10.0) - 0.632_120_558_828_557_7).abs() < 1e-12);
    }
}
