//! Square cells over a field.

use super::Ground;
use super::chain::Cleaned;
use crate::TrackError;
use serde::Serialize;

/// Which cells.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cells {
    /// South-west corner, meters in the frame of [`Cleaned`].
    pub corner: (f64, f64),
    /// Side, m.
    pub side_m: f64,
    /// Columns.
    pub wide: usize,
    /// Rows.
    pub high: usize,
}

impl Cells {
    /// Cells that hold the kept records, their corner at a whole number of sides.
    ///
    /// # Errors
    /// No record kept, a side under a meter, or more cells than any field needs.
    pub fn over(cleaned: &Cleaned, side_m: f64) -> Result<Self, TrackError> {
        let kept = cleaned.records.iter().filter(|r| r.flag.is_none());
        let whole = |side: f64, low: f64| (low / side).floor() * side;
        Self::from(kept.map(|r| r.at), side_m, whole)
    }

    /// Cells that hold places, their corner at the least easting and northing.
    ///
    /// # Errors
    /// As [`Cells::over`].
    pub fn holding(
        places: impl Iterator<Item = (f64, f64)>,
        side_m: f64,
    ) -> Result<Self, TrackError> {
        Self::from(places, side_m, |_, low| low)
    }

    fn from(
        places: impl Iterator<Item = (f64, f64)>,
        side_m: f64,
        corner: impl Fn(f64, f64) -> f64,
    ) -> Result<Self, TrackError> {
        const MOST: f64 = 4e6;
        if !(side_m.is_finite() && side_m >= 1.0) {
            return Err(TrackError::Map {
                what: format!("cells of {side_m} m, expected 1 m or more"),
            });
        }
        let mut low = (f64::INFINITY, f64::INFINITY);
        let mut high = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        for at in places {
            low = (low.0.min(at.0), low.1.min(at.1));
            high = (high.0.max(at.0), high.1.max(at.1));
        }
        if low.0 > high.0 {
            return Err(TrackError::Map {
                what: "no record is fit to be mapped".to_owned(),
            });
        }
        let corner = (corner(side_m, low.0), corner(side_m, low.1));
        let count = |from: f64, to: f64| ((to - from) / side_m).floor() + 1.0;
        let (wide, tall) = (count(corner.0, high.0), count(corner.1, high.1));
        if wide * tall > MOST {
            return Err(TrackError::Map {
                what: format!(
                    "{wide} by {tall} cells of {side_m} m: the records lie too far apart to be one field"
                ),
            });
        }
        Ok(Self {
            corner,
            side_m,
            wide: wide as usize,
            high: tall as usize,
        })
    }

    /// Middle of a cell.
    pub fn middle(&self, cell: usize) -> (f64, f64) {
        let (i, j) = (cell % self.wide, cell / self.wide);
        (
            self.corner.0 + (i as f64 + 0.5) * self.side_m,
            self.corner.1 + (j as f64 + 0.5) * self.side_m,
        )
    }

    /// The cell that holds a place.
    pub fn cell_of(&self, at: (f64, f64)) -> Option<usize> {
        let i = ((at.0 - self.corner.0) / self.side_m).floor();
        let j = ((at.1 - self.corner.1) / self.side_m).floor();
        let holds = i >= 0.0 && j >= 0.0 && (i as usize) < self.wide && (j as usize) < self.high;
        holds.then(|| j as usize * self.wide + i as usize)
    }

    pub(super) fn len(&self) -> usize {
        self.wide * self.high
    }
}

/// Share of a cell in the field, from 64 places in it.
pub(super) fn share(ground: &Ground, cells: &Cells, cell: usize) -> f64 {
    const SIDE: usize = 8;
    let middle = cells.middle(cell);
    let mut inside = 0;
    for a in 0..SIDE {
        for b in 0..SIDE {
            let at = |k: usize| ((k as f64 + 0.5) / SIDE as f64 - 0.5) * cells.side_m;
            inside += usize::from(ground.holds((middle.0 + at(a), middle.1 + at(b))));
        }
    }
    inside as f64 / (SIDE * SIDE) as f64
}
