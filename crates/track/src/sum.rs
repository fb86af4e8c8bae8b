//! A sum that does not lose the small change.

/// A running sum with Neumaier's correction (Z. Angew. Math. Mech. 54, 1974, 39-51; from memory):
/// a million records add to the last digit or so, in the order given.
///
/// ```
/// let total: track::Sum = [1e16, 1.0, -1e16].into_iter().collect();
/// assert_eq!(total.value(), 1.0); // a plain sum gives 0
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sum {
    total: f64,
    lost: f64,
}

impl Sum {
    /// Adds one term.
    pub fn add(&mut self, term: f64) {
        let total = self.total + term;
        self.lost += if self.total.abs() >= term.abs() {
            (self.total - total) + term
        } else {
            (term - total) + self.total
        };
        self.total = total;
    }

    /// Adds what another sum holds, its small change included.
    pub fn merge(&mut self, other: Self) {
        self.add(other.total);
        self.add(other.lost);
    }

    /// The sum so far.
    pub fn value(self) -> f64 {
        self.total + self.lost
    }
}

impl FromIterator<f64> for Sum {
    fn from_iter<I: IntoIterator<Item = f64>>(terms: I) -> Self {
        let mut sum = Self::default();
        for term in terms {
            sum.add(term);
        }
        sum
    }
}
