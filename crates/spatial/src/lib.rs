//! Variograms, kriging and neighbors in the plane. General: it knows nothing of grain, and no coordinates but
//! meters.
//!
//! - [`Grid`]: points by square cell, for what lies near;
//! - [`variogram()`]: how values differ with distance; [`Model`]: a curve for it; [`fit()`]: the curve fitted;
//! - [`Kriging`]: values and their variance where nothing was measured, at places and over blocks;
//! - [`Region`]: polygons with holes; [`Means`]: means over them and how their errors go together;
//! - [`habits()`]: several years of one grid: where ground is steady, and where not;
//! - [`Correlated`]: least squares where neighbors err together;
//! - [`Cross`]: how well it foretells points, or whole groups, that it was not shown.
//!
//! Work is cut into fixed pieces and put together in order: results do not depend on the number of threads.

mod ask;
mod correlated;
mod cross;
mod error;
mod fit;
mod grid;
mod krige;
mod model;
mod region;
mod solve;
mod variogram;
mod years;

pub use ask::{Block, Estimate, Near, Shared, Without};
pub use correlated::{Correlated, Regression};
pub use cross::{Cross, Held, LeaveOut};
pub use error::SpatialError;
pub use fit::{Fit, Weights, fit};
pub use grid::Grid;
pub use krige::{Kriging, Means};
pub use model::{Kind, Model};
pub use region::Region;
pub use variogram::{Bin, Estimator, Pairs, variogram};
pub use years::{Habit, HabitShare, Habits, Known, OverYears, Steady, Year, habits};

/// A place, meters east and north.
pub type Place = [f64; 2];
