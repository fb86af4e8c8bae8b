//! Thresholds that tighten with every look at the same change.

use crate::MachineError;

/// More looks than this at one change are refused: settings that close do not matter.
pub const MOST_LOOKS: usize = 20;

/// Levels for the first to the twentieth look; a test integrates them again.
const LEVELS: [f64; MOST_LOOKS] = [
    0.050_000_000,
    0.028_326_366,
    0.019_327_421,
    0.014_404_560,
    0.011_328_664,
    0.009_242_653,
    0.007_745_639,
    0.006_625_552,
    0.005_760_091,
    0.005_074_016,
    0.004_518_644,
    0.004_061_172,
    0.003_678_744,
    0.003_354_979,
    0.003_077_854,
    0.002_838_359,
    0.002_629_618,
    0.002_446_304,
    0.002_284_224,
    0.002_140_043,
];

/// What p must fall below at each look, so that somebody who looks after every few frames, and stops at
/// the first "real", claims something false at most 10 times in 100, however often that is.
///
/// Nobody knows beforehand how often they will look, so no constant threshold will do: that of two looks,
/// each used as if it had been planned, claims 17 false in 100 by the fifth look. Instead the ten in a hundred
/// are spent bit by bit, so that k looks together have spent 10 k/(k + 1) of them: 5, 6.7, 7.5, 8, 8.3 (error
/// spending: Lan and DeMets 1983, Biometrika 70:659, from memory). The levels come from integrating a walk of
/// equal steps of information; looks at other steps move them little. `cargo xtask study counts` tries it.
///
/// ```
/// assert!((machine::change::level(1)? - 0.05).abs() < 1e-9);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// No look, or more than [`MOST_LOOKS`].
pub fn level(looks: usize) -> Result<f64, MachineError> {
    looks
        .checked_sub(1)
        .and_then(|at| LEVELS.get(at).copied())
        .ok_or_else(|| {
            MachineError::odd(
                "looks",
                looks,
                format!("1 to {MOST_LOOKS}; start again with fresh frames"),
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use numeric::distribution::{normal_cdf, normal_ln_density, normal_quantile, normal_upper};

    const HALVES: usize = 200;

    fn density(z: f64) -> f64 {
        normal_ln_density(z).exp()
    }

    fn simpson(i: usize) -> f64 {
        match i {
            0 => 1.0 / 3.0,
            i if i == 2 * HALVES => 1.0 / 3.0,
            i if i % 2 == 1 => 4.0 / 3.0,
            _ => 2.0 / 3.0,
        }
    }

    /// A walk of standard normal steps that has stayed inside its edges so far (Armitage, McPherson
    /// and Rowe 1969, from memory), as a density on a grid.
    struct Walk {
        looks: usize,
        edge: f64,
        held: Vec<f64>,
    }

    impl Walk {
        fn at(&self, i: usize) -> f64 {
            (i as f64 / HALVES as f64 - 1.0) * self.edge
        }

        /// Probability that the next step leaves [-edge, edge].
        fn leaves(&self, edge: f64) -> f64 {
            if self.looks == 0 {
                return 2.0 * normal_upper(edge);
            }
            let step = self.edge / HALVES as f64;
            let sum: f64 = (0..=2 * HALVES)
                .map(|i| {
                    let from = self.at(i);
                    simpson(i)
                        * self.held[i]
                        * (normal_cdf(-edge - from) + normal_upper(edge - from))
                })
                .sum();
            sum * step
        }

        /// The walk after a step that stayed within the edge.
        fn step(&self, edge: f64) -> Self {
            let mut next = Self {
                looks: self.looks + 1,
                edge,
                held: Vec::new(),
            };
            let step = self.edge / HALVES as f64;
            next.held = (0..=2 * HALVES)
                .map(|i| {
                    let to = next.at(i);
                    if self.looks == 0 {
                        return density(to);
                    }
                    (0..=2 * HALVES)
                        .map(|j| simpson(j) * self.held[j] * density(to - self.at(j)))
                        .sum::<f64>()
                        * step
                })
                .collect();
            next
        }
    }

    const START: Walk = Walk {
        looks: 0,
        edge: 0.0,
        held: Vec::new(),
    };

    /// Probability of ever leaving c sqrt(k) at looks 1 to `looks`.
    fn ever(c: f64, looks: usize) -> f64 {
        let mut walk = START;
        let mut out = 0.0;
        for k in 1..=looks {
            let edge = c * (k as f64).sqrt();
            out += walk.leaves(edge);
            walk = walk.step(edge);
        }
        out
    }

    /// Printed constants of group sequential tests for an overall 10 % (Pocock's; Jennison and Turnbull
    /// 2000, table 2.1, from memory): the integration is right.
    #[test]
    fn the_walk_makes_printed_constants() {
        for (looks, z) in [
            (1, 1.645),
            (2, 1.875),
            (3, 1.992),
            (4, 2.067),
            (5, 2.122),
            (10, 2.270),
        ] {
            assert!(ever(z - 6e-4, looks) > 0.1, "{looks}");
            assert!(ever(z + 6e-4, looks) < 0.1, "{looks}");
        }
    }

    #[test]
    fn the_table_spends_what_it_says_at_each_look() {
        let spent = |looks: f64| 0.1 * looks / (looks + 1.0);
        let mut walk = START;
        for look in 1..=MOST_LOOKS {
            let spend = spent(look as f64) - spent(look as f64 - 1.0);
            let root = (look as f64).sqrt();
            let (mut low, mut high) = (0.5 * root, 9.0 * root);
            for _ in 0..60 {
                let middle = f64::midpoint(low, high);
                if walk.leaves(middle) > spend {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            let ours = 2.0 * normal_upper(low / root);
            let kept = level(look).unwrap();
            assert!((kept / ours - 1.0).abs() < 1e-5, "{look}: {kept} {ours:.9}");
            walk = walk.step(-root * normal_quantile(kept / 2.0));
        }
        assert!(level(0).is_err() && level(MOST_LOOKS + 1).is_err());
    }
}
