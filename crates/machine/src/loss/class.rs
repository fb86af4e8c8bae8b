//! One class of frames: its mean, and how sure that mean is.

use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};

/// Frames that lay in one kind of place: all of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Class {
    /// Ground in each frame, square meters.
    pub frame_m2: f64,
    /// What was found in each: seeds, ears, or grams where seeds are too small to count.
    pub found: Vec<f64>,
}

impl Class {
    /// Frames of one size.
    ///
    /// # Errors
    /// No frame at all, a size that is not above zero, a count below nothing.
    pub fn new(frame_m2: f64, found: Vec<f64>) -> Result<Self, MachineError> {
        above_zero("frame", frame_m2, "m2")?;
        if found.is_empty() {
            return Err(MachineError::odd(
                "frames",
                "none",
                "one count a frame, 0 too",
            ));
        }
        match found.iter().find(|one| !one.is_finite() || **one < 0.0) {
            Some(odd) => Err(MachineError::odd(
                "count",
                odd,
                "0 or more found in a frame",
            )),
            None => Ok(Self { frame_m2, found }),
        }
    }

    /// Frames as they come, each with its size in square meters: all must be of one size.
    ///
    /// # Errors
    /// Frames of two sizes, and whatever [`Class::new`] refuses.
    pub fn of_frames(frames: &[(f64, f64)]) -> Result<Self, MachineError> {
        let first = frames.first().map_or(0.0, |frame| frame.0);
        if let Some((other, _)) = frames
            .iter()
            .find(|(size, _)| (size - first).abs() > 1e-6 * first.abs())
        {
            return Err(MachineError::Refused(format!(
                "found frames of {:.2} ft2 and {:.2} ft2 in one place; a mean needs frames of one size: write those of each size as a count of their own",
                first / crate::frame::M2_PER_FT2,
                other / crate::frame::M2_PER_FT2
            )));
        }
        Self::new(first, frames.iter().map(|frame| frame.1).collect())
    }

    /// The same ground with every count times a factor (grams to seeds).
    #[must_use]
    pub(crate) fn times(&self, factor: f64) -> Self {
        Self {
            frame_m2: self.frame_m2,
            found: self.found.iter().map(|one| one * factor).collect(),
        }
    }

    /// Mean and variance of the mean, per frame.
    pub fn summary(&self, prior: Prior) -> Summary {
        let n = self.found.len() as f64;
        let mean = self.found.iter().sum::<f64>() / n;
        let squares: f64 = self.found.iter().map(|one| (one - mean).powi(2)).sum();
        let near = mean + 0.5 / n;
        let guess = near + prior.alpha * near * near;
        let df = n - 1.0 + prior.frames;
        let spread = if df > 0.0 {
            (squares + prior.frames * guess) / df
        } else {
            0.0
        };
        Summary {
            frames: self.found.len(),
            frame_m2: self.frame_m2,
            mean,
            variance: spread,
            variance_of_mean: spread / n,
            df,
        }
    }
}

/// What was found in each kind of place. Any may be missing; what can be told apart then shrinks.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Counts {
    /// In the standing crop, out of the reel's reach: lost before the machine came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standing: Option<Class>,
    /// Between head and tail, the machine backed up: that, and what the head lost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub behind_head: Option<Class>,
    /// Behind the machine: all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub behind_machine: Option<Class>,
}

/// What is believed of the scatter before any frame is looked at: variance of a count of mean m is
/// m + alpha m^2, weighed as if it came from so many frames.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Prior {
    /// Dispersion. 0.3 is our default, a guess (0.05 to 0.8 are plausible): no published figure for
    /// combine losses could be found. It moves to the farm's own once there are frames enough.
    pub alpha: f64,
    /// How many frames it weighs.
    pub frames: f64,
}

impl Default for Prior {
    fn default() -> Self {
        Self {
            alpha: 0.3,
            frames: 0.5,
        }
    }
}

/// A class in a few numbers, per frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    /// Frames looked at.
    pub frames: usize,
    /// Ground in each, square meters.
    pub frame_m2: f64,
    /// Mean found in a frame.
    pub mean: f64,
    /// Variance between frames, steadied by the prior.
    pub variance: f64,
    /// Variance of the mean.
    pub variance_of_mean: f64,
    /// Degrees of freedom of that variance.
    pub df: f64,
}

impl Summary {
    /// Fewer frames than this say nothing of their own scatter.
    pub const FEWEST: usize = 3;

    /// Mean per square meter.
    pub fn mean_per_m2(&self) -> f64 {
        self.mean / self.frame_m2
    }
}
