//! What a stop says: why, part and cost as its beginning told them and as its ends did.
//!
//! The beginning counts. What an end tells counts only where the beginning said nothing (`other` says nothing
//! of why); where both said something and differ, the beginning's still counts and the end's is shown beside
//! it, so that a person decides with a correction.

use crate::{Farm, Stands};
use book::kinds::{Name, Stop, StopWhy};
use quantity::Money;

/// What counts of a stop, and what was told otherwise.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Told {
    /// Why it stood.
    pub why: StopWhy,
    /// Which part.
    pub part: Option<Name>,
    /// Parts and labor.
    pub cost: Option<Money>,
    /// Other reasons that an end told.
    pub other_whys: Vec<StopWhy>,
    /// Other parts that an end told.
    pub other_parts: Vec<Name>,
    /// Other costs that an end told.
    pub other_costs: Vec<Money>,
    /// What was done, by the remarks of the ends.
    pub done: Vec<String>,
}

/// The first that was said, and each later one that differs.
fn first_and_others<T: PartialEq>(said: impl Iterator<Item = T>) -> (Option<T>, Vec<T>) {
    let mut distinct: Vec<T> = Vec::new();
    for one in said {
        if !distinct.contains(&one) {
            distinct.push(one);
        }
    }
    if distinct.is_empty() {
        return (None, distinct);
    }
    let first = distinct.remove(0);
    (Some(first), distinct)
}

/// What a stop says with all that its ends add, the earliest end first.
pub(super) fn told(farm: &Farm, stop: &Stands<Stop>) -> Told {
    let mut ends: Vec<_> = farm
        .goes
        .iter()
        .filter(|go| go.says.stop == stop.id)
        .collect();
    ends.sort_by_key(|go| (go.happened.at_ms(), go.id));
    let says = ends.iter().map(|go| &go.says);
    let (why, other_whys) = first_and_others(
        std::iter::once(stop.says.why)
            .chain(says.clone().filter_map(|go| go.why))
            .filter(|why| *why != StopWhy::Other),
    );
    let (part, other_parts) = first_and_others(
        (stop.says.part.clone().into_iter()).chain(says.clone().filter_map(|go| go.part.clone())),
    );
    let (cost, other_costs) =
        first_and_others((stop.says.cost.into_iter()).chain(says.clone().filter_map(|go| go.cost)));
    Told {
        why: why.unwrap_or(StopWhy::Other),
        part,
        cost,
        other_whys,
        other_parts,
        other_costs,
        done: says
            .filter(|go| !go.remark.is_empty())
            .map(|go| go.remark.clone())
            .collect(),
    }
}

impl Told {
    /// Whether its hours are money in the bill: something broke or plugged.
    pub(crate) fn broke(&self) -> bool {
        matches!(self.why, StopWhy::Breakdown | StopWhy::Plug)
    }
}

#[cfg(test)]
mod tests {
    use super::first_and_others;

    #[test]
    fn the_first_counts_and_the_same_again_is_no_other() {
        assert_eq!(
            first_and_others([3, 3, 5, 3, 4].into_iter()),
            (Some(3), vec![5, 4])
        );
        assert_eq!(first_and_others(std::iter::empty::<i32>()), (None, vec![]));
    }
}
