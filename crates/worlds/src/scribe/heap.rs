//! A heap of grain: true dry mass and true water.

/// Grain in a place, as it truly is.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Heap {
    pub(crate) dry_lb: f64,
    pub(crate) water_lb: f64,
}

impl Heap {
    pub(crate) fn of(wet_lb: f64, moisture_pct: f64) -> Self {
        let water_lb = wet_lb * moisture_pct / 100.0;
        Self {
            dry_lb: wet_lb - water_lb,
            water_lb,
        }
    }
    pub(crate) fn wet_lb(self) -> f64 {
        self.dry_lb + self.water_lb
    }
    pub(crate) fn moisture_pct(self) -> f64 {
        if self.wet_lb() > 0.0 {
            100.0 * self.water_lb / self.wet_lb()
        } else {
            0.0
        }
    }
    pub(super) fn part(self, share: f64) -> Self {
        Self {
            dry_lb: self.dry_lb * share,
            water_lb: self.water_lb * share,
        }
    }
    pub(super) fn add(&mut self, other: Self) {
        self.dry_lb += other.dry_lb;
        self.water_lb += other.water_lb;
    }
    pub(super) fn take(&mut self, other: Self) {
        self.dry_lb -= other.dry_lb;
        self.water_lb -= other.water_lb;
    }
}
