//! Merging as union: any order, any halves, the same book.
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

mod common;

use book::kinds::Farm;
use book::{Book, BookError, Entry, NewEntry};
use common::{NOW, book, entry, later, name, new, note, quick_folder};
use proptest::prelude::*;
use rand_free::shuffle;

/// A shuffle without a random crate: a linear congruential sequence (Knuth, MMIX constants, from memory).
mod rand_free {
    pub(crate) fn shuffle<T>(list: &mut [T], seed: u64) {
        let mut state = seed;
        for at in (1..list.len()).rev() {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            list.swap(at, ((state >> 33) as usize) % (at + 1));
        }
    }
}

/// A season of two devices: one payload of every kind on each, a few notes, and one from later.
fn season() -> Vec<Entry> {
    let mut all = vec![later(999)];
    for (dev, start) in [("a", 1), ("b", 101)] {
        for (n, payload) in (0..).zip(common::each::all()) {
            let replaces = match payload.kind() {
                "correction" | "void" => vec![common::id(1)],
                _ => vec![],
            };
            all.push(entry(
                dev,
                n + 1,
                i64::from(n * 7),
                &new(start + n, payload, &replaces),
            ));
        }
    }
    all
}

#[test]
fn two_halves_merged_in_fifty_orders_give_one_dump() {
    let folder = quick_folder();
    let all = season();
    let mut whole = book(&folder.path().join("whole.stook"), "w");
    whole.take_in(&all).unwrap();
    whole.attach(b"a photograph").unwrap();
    whole.attach(b"points").unwrap();
    let wanted = whole.dump().unwrap();
    for seed in 0..50u64 {
        let mut mixed = all.clone();
        shuffle(&mut mixed, seed);
        let (one, other) = mixed.split_at(mixed.len() * (1 + seed as usize % 9) / 10);
        let paths = ["one", "other"].map(|half| folder.path().join(format!("{half}{seed}.stook")));
        let mut halves = paths.clone().map(|path| book(&path, "h"));
        // the halves overlap a little
        halves[0].take_in(one).unwrap();
        halves[1].take_in(other).unwrap();
        halves[1].take_in(&one[..one.len() / 3]).unwrap();
        halves[0].attach(b"a photograph").unwrap();
        halves[1].attach(b"a photograph").unwrap();
        halves[1].attach(b"points").unwrap();
        let mut union = book(&folder.path().join(format!("union{seed}.stook")), "u");
        for at in [seed as usize % 2, 1 - seed as usize % 2, 0] {
            let merged = union.merge_any_farm(&paths[at]).unwrap();
            assert_eq!(merged.read, merged.added + merged.already);
        }
        assert_eq!(union.dump().unwrap(), wanted, "seed {seed}");
        // and each into the other
        let [mut a, mut b] = halves;
        a.merge_any_farm(&paths[1]).unwrap();
        b.merge_any_farm(&paths[0]).unwrap();
        assert_eq!(a.dump().unwrap(), wanted, "seed {seed}");
        assert_eq!(b.dump().unwrap(), wanted, "seed {seed}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn any_split_any_order_one_dump(
        mixed in Just(season()).prop_shuffle(),
        cuts in prop::collection::vec(any::<prop::sample::Index>(), 1..5),
    ) {
        let folder = quick_folder();
        let mut whole = book(&folder.path().join("whole.stook"), "w");
        whole.take_in(&season()).unwrap();
        let mut union = book(&folder.path().join("union.stook"), "u");
        let mut cuts: Vec<usize> = cuts.iter().map(|cut| cut.index(mixed.len())).collect();
        cuts.extend([0, mixed.len()]);
        cuts.sort_unstable();
        for part in cuts.windows(2) {
            union.take_in(&mixed[part[0]..part[1]]).unwrap();
        }
        prop_assert_eq!(union.dump().unwrap(), whole.dump().unwrap());
    }
}

#[test]
fn one_id_that_says_two_things_is_refused_and_both_are_named() {
    let folder = quick_folder();
    let path = folder.path().join("other.stook");
    let mut ours = book(&folder.path().join("ours.stook"), "a");
    let mut theirs = book(&path, "b");
    ours.append(&new(1, note("x"), &[]), NOW).unwrap();
    theirs
        .append_all(&[new(2, note("fine"), &[]), new(1, note("y"), &[])], NOW)
        .unwrap();
    let before = ours.dump().unwrap();
    let error = ours.merge_from(&path).unwrap_err();
    let said = error.to_string();
    assert!(
        said.contains("(a no. 1)") && said.contains("(b no. 2)"),
        "{said}"
    );
    assert_eq!(ours.dump().unwrap(), before);
}

#[test]
fn a_neighbours_book_is_refused_unless_asked_for() {
    let folder = quick_folder();
    let farm = |number: u32, called: &str| -> NewEntry {
        let zone = name("America/Chicago");
        new(
            number,
            Farm {
                name: name(called),
                insured_name: None,
                zone,
            },
            &[],
        )
    };
    let path = folder.path().join("theirs.stook");
    let mut ours = book(&folder.path().join("ours.stook"), "a");
    let mut theirs = book(&path, "b");
    ours.append(&farm(1, "hill farm"), NOW).unwrap();
    theirs.append(&farm(2, "creek farm"), NOW).unwrap();
    let error = ours.merge_from(&path).unwrap_err();
    assert!(matches!(error, BookError::OtherFarm { .. }), "{error}");
    assert_eq!(ours.entries().unwrap().len(), 1);
    assert_eq!(ours.merge_any_farm(&path).unwrap().added, 1);
    assert_eq!(
        ours.merge_from(&path).unwrap().already,
        1,
        "now they have a farm in common"
    );
}

#[test]
fn a_book_that_is_open_elsewhere_merges_with_its_log() {
    let folder = quick_folder();
    let path = folder.path().join("other.stook");
    let mut ours = book(&folder.path().join("ours.stook"), "a");
    let mut theirs = book(&path, "b");
    theirs
        .append(&new(1, note("still in the log"), &[]), NOW)
        .unwrap();
    assert_eq!(ours.merge_from(&path).unwrap().added, 1);
    theirs.append(&new(2, note("after"), &[]), NOW).unwrap();
    assert_eq!(ours.merge_from(&path).unwrap().added, 1);
    assert!(matches!(
        ours.merge_from(folder.path().join("none")),
        Err(BookError::Missing { .. })
    ));
    assert_eq!(Book::open(&path).unwrap().entries().unwrap().len(), 2);
}
