//! What stands after corrections and voids, whatever the order entries arrive in.
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

mod common;

use book::kinds::{Correction, Payload, Void};
use book::{Effective, Entry, EntryId, OddClock, effective};
use common::{entry, id, later, new, note};
use proptest::prelude::*;

/// Entry number `n`, stamped `n` ms after the start, by device `dev`.
fn says(dev: &str, n: u32, text: &str) -> Entry {
    entry(dev, n, i64::from(n), &new(n, note(text), &[]))
}

fn corrects(dev: &str, n: u32, of: u32, text: &str, seen: &[u32]) -> Entry {
    let now = Box::new(note(text));
    let payload = Correction {
        of: id(of),
        reason: "paper".into(),
        now,
    };
    let mut replaces = vec![id(of)];
    replaces.extend(seen.iter().map(|n| id(*n)));
    entry(dev, n, i64::from(n), &new(n, payload, &replaces))
}

fn voids(dev: &str, n: u32, of: &[u32]) -> Entry {
    let replaces: Vec<EntryId> = of.iter().map(|n| id(*n)).collect();
    entry(
        dev,
        n,
        i64::from(n),
        &new(
            n,
            Void {
                reason: "twice".into(),
            },
            &replaces,
        ),
    )
}

/// The texts that stand, in order.
fn texts(fold: &Effective) -> Vec<String> {
    let said = fold
        .entries
        .iter()
        .map(|standing| match standing.read().unwrap().known() {
            Some(Payload::Note(note)) => note.text,
            other => panic!("{other:?}"),
        });
    said.collect()
}

#[test]
fn a_correction_holds_and_keeps_the_first_id() {
    let fold = effective(&[corrects("b", 2, 1, "right", &[]), says("a", 1, "wrong")]);
    assert_eq!(texts(&fold), ["right"]);
    assert_eq!((fold.entries[0].id, fold.entries[0].holder), (id(1), id(2)));
    assert_eq!(fold.entries[0].corrections, [id(2)]);
    assert!(fold.conflicts.is_empty() && fold.waiting.is_empty() && fold.clock_odd.is_empty());
}

#[test]
fn a_correction_of_a_correction_holds() {
    let set = [
        says("a", 1, "wrong"),
        corrects("a", 2, 1, "still wrong", &[]),
        corrects("b", 3, 1, "right", &[2]),
    ];
    let fold = effective(&set);
    assert_eq!(texts(&fold), ["right"]);
    assert!(fold.conflicts.is_empty());
}

#[test]
fn two_corrections_unaware_of_each_other_conflict_and_the_last_holds() {
    let set = [
        says("a", 1, "wrong"),
        corrects("a", 2, 1, "one", &[]),
        corrects("b", 3, 1, "other", &[]),
    ];
    let fold = effective(&set);
    assert_eq!(texts(&fold), ["other"]);
    assert_eq!(fold.conflicts.len(), 1);
    assert_eq!(
        (fold.conflicts[0].id, fold.conflicts[0].holds),
        (id(1), id(3))
    );
    assert_eq!(fold.conflicts[0].survivors, [id(2), id(3)]);
    // a third that has seen both settles it
    let settled = corrects("a", 4, 1, "settled", &[2, 3]);
    let fold = effective(&[set.as_slice(), &[settled]].concat());
    assert_eq!(texts(&fold), ["settled"]);
    assert!(fold.conflicts.is_empty());
}

#[test]
fn a_void_of_a_correction_brings_the_earlier_back() {
    let mut set = vec![
        says("a", 1, "first"),
        corrects("a", 2, 1, "second", &[]),
        voids("a", 3, &[2]),
    ];
    assert_eq!(texts(&effective(&set)), ["first"]);
    set.push(corrects("a", 4, 1, "third", &[2]));
    assert_eq!(texts(&effective(&set)), ["third"]);
    set.push(voids("a", 5, &[4]));
    assert_eq!(texts(&effective(&set)), ["first"]);
    // the void of the second is itself voided: the second is back
    set.push(voids("a", 6, &[3]));
    let fold = effective(&set);
    assert_eq!(texts(&fold), ["second"]);
    assert!(fold.conflicts.is_empty() && fold.voided.is_empty());
}

#[test]
fn a_void_takes_out_and_a_void_of_it_brings_back() {
    let mut set = vec![
        says("a", 1, "x"),
        corrects("a", 2, 1, "y", &[]),
        voids("a", 3, &[1, 2]),
    ];
    let fold = effective(&set);
    assert!(fold.entries.is_empty() && fold.conflicts.is_empty());
    assert_eq!(
        (fold.voided[0].id, fold.voided[0].by.as_slice()),
        (id(1), [id(3)].as_slice())
    );
    set.push(voids("b", 4, &[3]));
    assert_eq!(texts(&effective(&set)), ["y"]);
    set.push(voids("b", 5, &[4]));
    assert!(effective(&set).entries.is_empty());
}

#[test]
fn a_void_against_a_correction_is_a_conflict_either_way() {
    // correction last: it holds
    let fold = effective(&[
        says("a", 1, "x"),
        voids("a", 2, &[1]),
        corrects("b", 3, 1, "y", &[]),
    ]);
    assert_eq!(texts(&fold), ["y"]);
    assert_eq!(fold.conflicts[0].survivors, [id(2), id(3)]);
    // void last: nothing stands, and both are shown
    let fold = effective(&[
        says("a", 1, "x"),
        corrects("b", 2, 1, "y", &[]),
        voids("a", 3, &[1]),
    ]);
    assert!(fold.entries.is_empty());
    assert_eq!((fold.conflicts[0].holds, fold.voided[0].id), (id(3), id(1)));
}

#[test]
fn the_order_is_stamp_device_seq_id() {
    let same =
        |dev: &str, n: u32, seq: u32, text: &str| entry(dev, seq, 5, &new(n, note(text), &[]));
    let set = [
        same("b", 1, 1, "3"),
        same("a", 4, 2, "2"),
        same("a", 2, 1, "1"),
        same("b", 9, 1, "4"),
    ];
    assert_eq!(texts(&effective(&set)), ["1", "2", "3", "4"]);
}

#[test]
fn what_has_not_arrived_is_waited_for() {
    let fold = effective(&[corrects("b", 2, 1, "right", &[]), voids("b", 4, &[3])]);
    assert_eq!(texts(&fold), ["right"]);
    assert_eq!(fold.waiting, [(id(2), id(1)), (id(4), id(3))]);
}

#[test]
fn a_later_program_is_named_and_changes_nothing() {
    let mut reworded = corrects("b", 3, 1, "right", &[]);
    reworded.version = 7;
    let fold = effective(&[says("a", 1, "x"), later(2), reworded]);
    assert_eq!(fold.entries.len(), 2);
    assert_eq!(fold.entries[1].kind, "moonphase");
    let named: Vec<EntryId> = fold.needs_newer.iter().map(|one| one.id).collect();
    assert_eq!(named, [id(2), id(3)]);
    assert_eq!(fold.needs_newer[1].touches, [id(1)]);
}

#[test]
fn a_circle_and_a_misaimed_correction_change_nothing() {
    let set = [
        says("a", 1, "x"),
        voids("a", 2, &[1, 3]),
        voids("a", 3, &[2]),
    ];
    let fold = effective(&set);
    assert_eq!(fold.circular, [id(2), id(3)]);
    assert!(fold.entries.is_empty(), "the edge out of the circle counts");
    let mut aimed = corrects("a", 3, 2, "y", &[]);
    let fold = effective(&[
        says("a", 1, "x"),
        corrects("a", 2, 1, "z", &[]),
        aimed.clone(),
    ]);
    assert_eq!(texts(&fold), ["z"]);
    assert_eq!(fold.unreadable.len(), 1);
    aimed = corrects("a", 3, 1, "y", &[]);
    let ticket = entry("a", 1, 1, &new(1, common::each::ticket(), &[]));
    let fold = effective(&[ticket, aimed]);
    assert_eq!(
        (fold.entries[0].kind.as_str(), fold.unreadable.len()),
        ("weighed", 1)
    );
}

#[test]
fn clocks_that_disagree_are_shown() {
    let mut jumped = says("a", 1, "x");
    jumped.stamp_ms += 3_600_000;
    let early = corrects("b", 2, 1, "y", &[]);
    let mut ahead = says("c", 3, "z");
    ahead.happened = book::Happened::new(common::NOW + 7_200_000, "America/Chicago").unwrap();
    let fold = effective(&[jumped, early, ahead]);
    let odd: Vec<_> = fold
        .clock_odd
        .iter()
        .map(|odd| (odd.id, odd.what))
        .collect();
    assert_eq!(
        odd,
        [
            (id(2), OddClock::BeforeItsCause),
            (id(3), OddClock::HappenedLater),
            (id(1), OddClock::StampFromId)
        ]
    );
    assert_eq!(fold.clock_odd[2].by_ms, 3_600_000);
    assert_eq!(
        texts(&fold),
        ["z", "y"],
        "the first entry keeps its place in the order"
    );
}

/// A set of notes, and corrections and voids of anything before them, by two devices.
fn sets() -> impl Strategy<Value = Vec<Entry>> {
    let step = (
        0u8..10,
        any::<prop::sample::Index>(),
        any::<bool>(),
        prop::collection::vec(any::<prop::sample::Index>(), 0..4),
    );
    prop::collection::vec(step, 1..40).prop_map(|steps| {
        let mut all: Vec<Entry> = Vec::new();
        let mut firsts: Vec<u32> = Vec::new();
        for (n, (what, pick, device, more)) in (1u32..).zip(steps) {
            let dev = if device { "a" } else { "b" };
            let made = match what {
                0..=3 => None,
                4..=7 => (!firsts.is_empty()).then(|| {
                    let of = firsts[pick.index(firsts.len())];
                    let earlier: Vec<u32> = all
                        .iter()
                        .filter(|e| e.kind == "correction" && e.replaces[0] == id(of))
                        .filter_map(|e| (1..n).find(|n| id(*n) == e.id))
                        .collect();
                    let mut seen: Vec<u32> = more
                        .iter()
                        .filter(|_| !earlier.is_empty())
                        .map(|i| earlier[i.index(earlier.len())])
                        .collect();
                    seen.sort_unstable();
                    seen.dedup();
                    corrects(dev, n, of, &format!("c{n}"), &seen)
                }),
                _ => (n > 1).then(|| {
                    let mut of: Vec<u32> = more
                        .iter()
                        .map(|i| 1 + i.index(n as usize - 1) as u32)
                        .collect();
                    of.push(1 + pick.index(n as usize - 1) as u32);
                    of.sort_unstable();
                    of.dedup();
                    voids(dev, n, &of)
                }),
            };
            all.push(made.unwrap_or_else(|| {
                firsts.push(n);
                says(dev, n, &format!("n{n}"))
            }));
        }
        all
    })
}

/// The rule word for word, by trying every entry, without the maps and orders of the real fold.
fn by_the_words(set: &[Entry]) -> Vec<(EntryId, EntryId)> {
    fn void_stands(set: &[Entry], void: &Entry) -> bool {
        !set.iter()
            .any(|e| e.kind == "void" && e.replaces.contains(&void.id) && void_stands(set, e))
    }
    fn covers(set: &[Entry], by: &Entry, one: EntryId) -> bool {
        by.kind == "correction"
            && by
                .replaces
                .iter()
                .any(|id| *id == one || set.iter().any(|e| e.id == *id && covers(set, e, one)))
    }
    let voided = |one: EntryId| {
        set.iter()
            .any(|v| v.kind == "void" && v.replaces.contains(&one) && void_stands(set, v))
    };
    let mut out = Vec::new();
    for first in set.iter().filter(|e| e.kind == "note") {
        let mine: Vec<&Entry> = set
            .iter()
            .filter(|e| e.id == first.id || (e.kind == "correction" && e.replaces[0] == first.id))
            .collect();
        let mut left: Vec<&Entry> = mine
            .iter()
            .copied()
            .filter(|e| {
                !voided(e.id) && !mine.iter().any(|c| !voided(c.id) && covers(set, c, e.id))
            })
            .collect();
        if !left.is_empty() {
            left.extend(set.iter().filter(|v| {
                v.kind == "void" && v.replaces.contains(&first.id) && void_stands(set, v)
            }));
        }
        left.sort_by(|a, b| a.order().cmp(&b.order()));
        if let Some(last) = left.last().filter(|last| last.kind != "void") {
            out.push((first.id, last.id));
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn the_fold_is_the_rule_word_for_word(set in sets()) {
        let fold = effective(&set);
        let holds: Vec<(EntryId, EntryId)> = fold.entries.iter().map(|s| (s.id, s.holder)).collect();
        prop_assert_eq!(holds, by_the_words(&set));
        // every first entry either stands or is listed as taken out
        let firsts = set.iter().filter(|e| e.kind == "note").count();
        prop_assert_eq!(fold.entries.len() + fold.voided.len(), firsts);
        prop_assert!(fold.circular.is_empty() && fold.waiting.is_empty() && fold.unreadable.is_empty());
    }

    #[test]
    fn the_order_of_arrival_does_not_matter(
        (set, mixed) in sets().prop_flat_map(|set| (Just(set.clone()), Just(set).prop_shuffle()))
    ) {
        let twice = [mixed.as_slice(), mixed.as_slice()].concat();
        prop_assert_eq!(effective(&mixed), effective(&set));
        prop_assert_eq!(effective(&twice), effective(&set));
    }
}
