//! The order of settings that an afternoon cannot fool.

use serde::{Deserialize, Serialize};

/// One of two settings that are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Setting {
    /// As it was.
    A,
    /// As it is tried.
    B,
}

/// A B B A, again and again: `counts` places at which to set and count. A loss that rises steadily
/// then weighs on both settings alike.
///
/// ```
/// use machine::change::{alternation, Setting::{A, B}};
/// assert_eq!(alternation(8), [A, B, B, A, A, B, B, A]);
/// ```
pub fn alternation(counts: usize) -> Vec<Setting> {
    (0..counts)
        .map(|at| match at % 4 {
            0 | 3 => Setting::A,
            _ => Setting::B,
        })
        .collect()
}

/// Whether frames of the two settings were taken in turn, so that the hour explains little: the
/// settings' mean positions in the order of counting lie within a tenth of the whole, with both counted more
/// than once apart. All of one before all of the other is not.
pub fn in_turn(order: &[Setting]) -> bool {
    let mean = |which: Setting| {
        let places: Vec<f64> = order
            .iter()
            .enumerate()
            .filter(|(_, setting)| **setting == which)
            .map(|(at, _)| at as f64)
            .collect();
        (!places.is_empty()).then(|| places.iter().sum::<f64>() / places.len() as f64)
    };
    let changes = order.windows(2).filter(|pair| pair[0] != pair[1]).count();
    mean(Setting::A)
        .zip(mean(Setting::B))
        .is_some_and(|(a, b)| changes >= 2 && (a - b).abs() <= 0.1 * order.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::Setting::{A, B};
    use super::*;

    #[test]
    fn before_and_after_is_not_in_turn() {
        assert!(in_turn(&alternation(4)));
        assert!(in_turn(&alternation(12)));
        assert!(!in_turn(&[A, A, A, B, B, B]));
        assert!(!in_turn(&[A, A, A]));
        assert!(!in_turn(&[]));
    }

    /// A steady rise of loss, the same to both: the difference of means is nothing.
    #[test]
    fn a_steady_rise_cancels() {
        let order = alternation(8);
        let sum = |which| -> f64 {
            order
                .iter()
                .enumerate()
                .filter(|(_, setting)| **setting == which)
                .map(|(at, _)| at as f64)
                .sum()
        };
        assert_eq!(sum(A), sum(B));
    }
}
