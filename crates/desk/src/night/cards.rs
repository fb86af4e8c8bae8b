//! Load cards: numbers missing from a pad, and numbers that two cards carry.

use super::tonight::{LookAt, MissingCards};
use crate::Farm;
use std::collections::{BTreeMap, BTreeSet};

/// Longest run of numbers that counts as cards lost from a pad; a longer one is another pad.
const GAP_MOST: u32 = 24;

/// A number as a pad prints it: what stands before its last digits, and the count that they are.
fn of_pad(number: &str) -> Option<(&str, u32)> {
    let number = number.trim();
    let digits = number.trim_end_matches(|c: char| c.is_ascii_digit()).len();
    let (before, count) = number.split_at(digits);
    Some((before, count.parse().ok()?))
}

/// Numbers that lie between two that a machine's loads carry, and that no other card has: two
/// machines may write on one pad, and a move has a card as well. A jump of more than two dozen is
/// another pad.
pub(super) fn missing_cards(farm: &Farm, year: u16, end_ms: i64) -> Vec<MissingCards> {
    let mut pads: BTreeMap<(&str, &str), BTreeMap<u32, &str>> = BTreeMap::new();
    let mut used: BTreeSet<(&str, u32)> = BTreeSet::new();
    for dump in farm
        .dumps
        .iter()
        .filter(|one| one.says.season == year && one.happened.at_ms() < end_ms)
    {
        let Some(number) = &dump.says.number else {
            continue;
        };
        if let Some((before, count)) = of_pad(number.as_str()) {
            used.insert((before, count));
            pads.entry((dump.says.machine.as_str(), before))
                .or_default()
                .insert(count, number.as_str());
        }
    }
    let moves = farm.moves.iter().filter(|one| one.says.season == year);
    used.extend(moves.filter_map(|one| of_pad(one.says.number.as_ref()?.as_str())));
    let mut out = Vec::new();
    for ((machine, before), numbers) in pads {
        let in_order: Vec<(u32, &str)> = numbers.into_iter().collect();
        for pair in in_order.windows(2) {
            let ((from, last), (to, next)) = (pair[0], pair[1]);
            if to - from > GAP_MOST {
                continue;
            }
            // as wide as its neighbor prints it: 007
            let width = last.len() - before.len();
            let missing: Vec<String> = (from + 1..to)
                .filter(|count| !used.contains(&(before, *count)))
                .map(|count| format!("{before}{count:0width$}"))
                .collect();
            if !missing.is_empty() {
                out.push(MissingCards {
                    machine: machine.to_owned(),
                    numbers: missing,
                    after: last.to_owned(),
                    before: next.to_owned(),
                });
            }
        }
    }
    out
}

/// Load cards of one machine under one number.
pub(super) fn twice(farm: &Farm, year: u16, end_ms: i64) -> Vec<LookAt> {
    let mut seen: BTreeMap<(&str, &str), Vec<String>> = BTreeMap::new();
    for dump in farm
        .dumps
        .iter()
        .filter(|one| one.says.season == year && one.happened.at_ms() < end_ms)
    {
        if let Some(number) = &dump.says.number {
            seen.entry((dump.says.machine.as_str(), number.as_str()))
                .or_default()
                .push(dump.id.to_string());
        }
    }
    seen.into_iter()
        .filter(|(_, entries)| entries.len() > 1)
        .map(|((machine, number), entries)| LookAt::NumberTwice {
            machine: machine.to_owned(),
            number: number.to_owned(),
            entries,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::of_pad;

    #[test]
    fn a_pad_is_what_stands_before_the_count() {
        assert_eq!(of_pad("14"), Some(("", 14)));
        assert_eq!(of_pad(" A-014 "), Some(("A-", 14)));
        assert_eq!(of_pad("12b"), None);
        assert_eq!(of_pad("99999999999"), None);
    }
}
