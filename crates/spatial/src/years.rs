//! Several years of one piece of ground: where is it always good, always poor, or one year this and the next that?
//!
//! Each year counts relative to its own mean over the cells that every year tells, so that a dry year and another crop
//! weigh alike. A cell's relative values `r_y` are taken as `r_y = level + swing_y + error_y`: the level is what it
//! comes to over many years, the swings are normal with the cell's own standard deviation, the errors normal with the
//! kriging variances given. A few years say little of one cell's swing, so the cells of the field tell each other:
//! the level is normal about 1 and the swing one of a list of sizes, and how often each size occurs is what makes the
//! field's values likeliest (an empirical Bayes estimate by expectation-maximization: Laird 1978, from memory).
//! Of each cell then comes the probability that it swings more than a limit, or does not and lies above or below
//! the mean. A cell has a class only where one probability is at least what is asked, 0.8 if nothing else; errors of
//! kriging thereby make cells unknown, not unsteady.
//!
//! Limitations: at least three years. Swings are normal and without trend; a cell that slowly goes bad is unsteady.
//! Errors of neighboring cells go together, which moves no cell's probability but makes wrong classes come in
//! patches. Weather that no year of the record had is not in it.

use crate::SpatialError;
use numeric::distribution::normal_cdf;
use serde::{Deserialize, Serialize};

/// A value with the variance of its error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Known {
    /// The value.
    pub value: f64,
    /// Variance of its error.
    pub variance: f64,
}

/// One year on the grid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Year {
    /// Its name.
    pub name: String,
    /// Each cell; none where nothing is known.
    pub cells: Vec<Option<Known>>,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Steady {
    /// Standard deviation from year to year, as a fraction of the mean, above which ground is unsteady. 0.15 unless
    /// said: common practice, no source.
    pub limit: f64,
    /// Probability from which a class is told. 0.8 unless said: of cells so classed one in five or fewer is wrong.
    pub sure: f64,
}

impl Default for Steady {
    fn default() -> Self {
        Self {
            limit: 0.15,
            sure: 0.8,
        }
    }
}

/// How ground does over the years.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Habit {
    /// Above the mean, year after year.
    SteadyHigh,
    /// Below it, year after year.
    SteadyLow,
    /// Some years good and some poor.
    Unsteady,
    /// The years do not tell.
    NotKnown,
}

impl Habit {
    /// All of them.
    pub const ALL: [Self; 4] = [
        Self::SteadyHigh,
        Self::SteadyLow,
        Self::Unsteady,
        Self::NotKnown,
    ];
}

/// One cell over the years.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OverYears {
    /// Years that tell it.
    pub years: usize,
    /// Mean of its relative values; 1 is the field's own.
    pub mean: f64,
    /// Standard deviation of them from year to year with the share of kriging's error taken out; 0 where that is all.
    pub spread: f64,
    /// Level that many years would come to, and its standard error.
    pub level: f64,
    /// Standard error of the level.
    pub level_error: f64,
    /// Probability that it is steady and above the mean.
    pub steady_high: f64,
    /// Probability that it is steady and below.
    pub steady_low: f64,
    /// Probability that it is unsteady.
    pub unsteady: f64,
    /// The class that is sure enough.
    pub habit: Habit,
}

/// A class and its cells.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HabitShare {
    /// The class.
    pub habit: Habit,
    /// Share of the cells told that are so classed.
    pub classed: f64,
    /// Share that would be if everything were known: the mean probability. None for what is not known.
    pub expected: Option<f64>,
}

/// What the years say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Habits {
    /// Mean of each year that its cells were divided by, over cells told by all years.
    pub year_means: Vec<f64>,
    /// Cells told by all years.
    pub common: usize,
    /// Each cell; none where fewer than three years tell it.
    pub cells: Vec<Option<OverYears>>,
    /// Every class and its share.
    pub shares: Vec<HabitShare>,
    /// Standard deviation of the cells' levels about the mean.
    pub level_sd: f64,
    /// What was asked.
    pub asked: Steady,
}

/// Years without which nothing is said.
const LEAST: usize = 3;
/// Sizes that a swing may have, as fractions of the mean: from nothing much to everything.
const SIZES: usize = 24;
const SMALLEST: f64 = 0.01;
const LARGEST: f64 = 0.8;

/// Classes each cell over the years.
///
/// ```
/// use spatial::{Habit, Known, Steady, Year, habits};
/// // fifty good cells, fifty poor ones, five years; one bushel's error
/// let year = |n: u32| Year {
///     name: format!("{n}"),
///     cells: (0..100)
///         .map(|c| Some(Known { value: 150.0 + f64::from(n) + if c < 50 { 20.0 } else { -20.0 }, variance: 1.0 }))
///         .collect(),
/// };
/// let told = habits(&(0..5).map(year).collect::<Vec<_>>(), Steady::default())?;
/// assert_eq!(told.cells[10].unwrap().habit, Habit::SteadyHigh);
/// assert_eq!(told.cells[90].unwrap().habit, Habit::SteadyLow);
/// # Ok::<(), spatial::SpatialError>(())
/// ```
///
/// # Errors
/// Fewer than three years, or fewer than three cells told by all of them; years of different lengths; values that are
/// not numbers, variances below 0, a mean that is not above 0; a limit or a probability out of range.
pub fn habits(years: &[Year], asked: Steady) -> Result<Habits, SpatialError> {
    check(years, asked)?;
    let cells = years[0].cells.len();
    let common: Vec<usize> = (0..cells)
        .filter(|c| years.iter().all(|year| year.cells[*c].is_some()))
        .collect();
    if common.len() < LEAST {
        return Err(SpatialError::TooFew {
            what: "cells told by every year",
            found: common.len(),
            wanted: LEAST,
        });
    }
    let mut year_means = Vec::with_capacity(years.len());
    for year in years {
        let all = common.iter().filter_map(|c| year.cells[*c]);
        let mean = all.map(|one| one.value).sum::<f64>() / common.len() as f64;
        if mean <= 0.0 {
            return Err(SpatialError::odd("a year's mean", mean, "above 0"));
        }
        year_means.push(mean);
    }
    let relative: Vec<Vec<Known>> = (0..cells)
        .map(|c| {
            let of_year = years.iter().zip(&year_means);
            of_year
                .filter_map(|(year, mean)| {
                    year.cells[c].map(|one| Known {
                        value: one.value / mean,
                        variance: one.variance / (mean * mean),
                    })
                })
                .collect()
        })
        .collect();
    let field = Field::of(relative.iter().filter(|one| one.len() >= LEAST));
    let told: Vec<Option<OverYears>> = relative
        .iter()
        .map(|one| (one.len() >= LEAST).then(|| field.tell(one, asked)))
        .collect();
    Ok(Habits {
        year_means,
        common: common.len(),
        shares: shares(&told),
        cells: told,
        level_sd: field.level_variance.sqrt(),
        asked,
    })
}

fn check(years: &[Year], asked: Steady) -> Result<(), SpatialError> {
    if years.len() < LEAST {
        return Err(SpatialError::TooFew {
            what: "years",
            found: years.len(),
            wanted: LEAST,
        });
    }
    if let Some(bad) = years
        .iter()
        .find(|year| year.cells.len() != years[0].cells.len())
    {
        return Err(SpatialError::odd(
            "cells of a year",
            format!("{} in {}", bad.cells.len(), bad.name),
            "as many as in the first year: all on one grid",
        ));
    }
    let fine = |one: &Known| one.value.is_finite() && (0.0..f64::INFINITY).contains(&one.variance);
    for year in years {
        if let Some(bad) = year.cells.iter().flatten().find(|one| !fine(one)) {
            return Err(SpatialError::odd(
                "a cell",
                format!(
                    "{} with variance {} in {}",
                    bad.value, bad.variance, year.name
                ),
                "a number, and a variance of 0 or more",
            ));
        }
    }
    if !(SMALLEST..LARGEST).contains(&asked.limit) || !(0.5..1.0).contains(&asked.sure) {
        return Err(SpatialError::odd(
            "limit and probability",
            format!("{} and {}", asked.limit, asked.sure),
            "a limit from 0.01 to 0.8 and a probability from 0.5 to 1",
        ));
    }
    Ok(())
}

fn shares(told: &[Option<OverYears>]) -> Vec<HabitShare> {
    let n = told.iter().flatten().count().max(1) as f64;
    let mean = |of: &dyn Fn(&OverYears) -> f64| told.iter().flatten().map(of).sum::<f64>() / n;
    Habit::ALL
        .iter()
        .map(|habit| HabitShare {
            habit: *habit,
            classed: mean(&|one| f64::from(u8::from(one.habit == *habit))),
            expected: match habit {
                Habit::SteadyHigh => Some(mean(&|one| one.steady_high)),
                Habit::SteadyLow => Some(mean(&|one| one.steady_low)),
                Habit::Unsteady => Some(mean(&|one| one.unsteady)),
                Habit::NotKnown => None,
            },
        })
        .collect()
}

/// What all cells together say of levels and swings.
struct Field {
    level_variance: f64,
    /// Sizes of swings, and how often each occurs.
    sizes: Vec<(f64, f64)>,
}

/// A cell given one size of swing.
struct Given {
    /// Log of the likelihood.
    fit: f64,
    level: f64,
    variance: f64,
}

impl Field {
    fn of<'a>(cells: impl Iterator<Item = &'a Vec<Known>>) -> Self {
        const ROUNDS: usize = 200;
        let step = (LARGEST / SMALLEST).ln() / (SIZES - 1) as f64;
        let size = |k: usize| SMALLEST * (step * k as f64).exp();
        let mut field = Self {
            level_variance: 0.02,
            sizes: (0..SIZES).map(|k| (size(k), 1.0 / SIZES as f64)).collect(),
        };
        let cells: Vec<&Vec<Known>> = cells.collect();
        for _ in 0..ROUNDS {
            let mut often = [0.0; SIZES];
            let mut spread = 0.0;
            for cell in &cells {
                for (k, (share, given)) in field.each(cell).into_iter().enumerate() {
                    often[k] += share;
                    spread += share * (given.variance + (given.level - 1.0).powi(2));
                }
            }
            let n = cells.len() as f64;
            let before = field.level_variance;
            field.level_variance = (spread / n).max(1e-8);
            let mut moved = (field.level_variance / before - 1.0).abs();
            for ((_, share), sum) in field.sizes.iter_mut().zip(often) {
                moved = moved.max((*share - sum / n).abs());
                *share = sum / n;
            }
            if moved < 1e-4 {
                break;
            }
        }
        field
    }

    /// Probability of each size for a cell, and what the cell's level then is.
    fn each(&self, cell: &[Known]) -> Vec<(f64, Given)> {
        let given: Vec<Given> = (self.sizes.iter().map(|one| one.0))
            .map(|size| self.given(cell, size))
            .collect();
        let best = given
            .iter()
            .map(|one| one.fit)
            .fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = (given.iter().zip(&self.sizes))
            .map(|(one, (_, often))| often * (one.fit - best).exp())
            .collect();
        let sum: f64 = weights.iter().sum();
        weights.into_iter().map(|w| w / sum).zip(given).collect()
    }

    fn given(&self, cell: &[Known], size: f64) -> Given {
        // normal about a level that is itself normal about 1
        let (mut precision, mut pull, mut square, mut log) = (0.0, 0.0, 0.0, 0.0);
        for one in cell {
            let variance = size * size + one.variance;
            let off = one.value - 1.0;
            precision += 1.0 / variance;
            pull += off / variance;
            square += off * off / variance;
            log += variance.ln();
        }
        let variance = 1.0 / (precision + 1.0 / self.level_variance);
        Given {
            fit: -0.5
                * (log + (self.level_variance / variance).ln() + square - pull * pull * variance),
            level: 1.0 + pull * variance,
            variance,
        }
    }

    fn tell(&self, cell: &[Known], asked: Steady) -> OverYears {
        let n = cell.len() as f64;
        let mean = cell.iter().map(|one| one.value).sum::<f64>() / n;
        let square: f64 = cell.iter().map(|one| (one.value - mean).powi(2)).sum();
        let error = cell.iter().map(|one| one.variance).sum::<f64>() / n;
        let (mut high, mut low, mut unsteady, mut level, mut second) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for ((share, given), (size, _)) in self.each(cell).into_iter().zip(&self.sizes) {
            level += share * given.level;
            second += share * (given.variance + given.level * given.level);
            if *size > asked.limit {
                unsteady += share;
            } else {
                let above = normal_cdf((given.level - 1.0) / given.variance.sqrt());
                high += share * above;
                low += share * (1.0 - above);
            }
        }
        let habit = match asked.sure {
            sure if high >= sure => Habit::SteadyHigh,
            sure if low >= sure => Habit::SteadyLow,
            sure if unsteady >= sure => Habit::Unsteady,
            _ => Habit::NotKnown,
        };
        OverYears {
            years: cell.len(),
            mean,
            spread: (square / (n - 1.0) - error).max(0.0).sqrt(),
            level,
            level_error: (second - level * level).max(0.0).sqrt(),
            steady_high: high,
            steady_low: low,
            unsteady,
            habit,
        }
    }
}

#[cfg(test)]
mod tests;
