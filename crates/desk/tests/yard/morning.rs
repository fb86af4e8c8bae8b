//! The morning page.

use crate::farm::{Yard, at};
use desk::MoveWhy;
use desk::morning::{Morning, MorningSays, morning};

fn see(yard: &Yard, when: &str) -> Morning {
    morning(&yard.farm(), at(when)).unwrap()
}

#[test]
fn an_empty_book_and_a_planted_one_say_so() {
    let empty = see(&Yard::empty(), "2026-10-06 07:00");
    assert_eq!(empty.says, MorningSays::NoField);
    let planted = see(&Yard::planted(), "2026-10-06 07:00");
    assert_eq!(
        planted.says,
        MorningSays::NotBegun {
            fields: 2,
            planted_ac: Some(108.0)
        }
    );
    assert_eq!(planted.day_of_harvest, None);
    assert_eq!(planted.day, "2026-10-06");
    assert!(
        planted
            .fields
            .iter()
            .all(|one| one.cut_ac == Some(0.0) && one.standing_ac == one.planted_ac)
    );
    let next_year = see(&Yard::planted(), "2027-10-06 07:00");
    assert_eq!(next_year.season, 2026, "nothing is planted in 2027 yet");
}

#[test]
fn what_stands_is_known_only_where_acres_cut_are_written() {
    let mut yard = Yard::planted();
    yard.dump("2026-10-05 15:00", "1", "Bench", "Gravity 1", "8,000 lb");
    let bench = |morning: &Morning| {
        morning
            .fields
            .iter()
            .find(|one| one.field == "Bench")
            .unwrap()
            .clone()
    };
    let now = see(&yard, "2026-10-06 07:00");
    assert_eq!(
        (bench(&now).cut_ac, bench(&now).standing_ac),
        (None, None),
        "not known, and not 0"
    );
    assert_eq!(now.fields[0].field, "Bench", "the field last cut leads");
    yard.write(
        "2026-10-05 21:00",
        "planting",
        &[
            ("field", "Bench"),
            ("crop", "soybean"),
            ("share", "owner=2/3"),
            ("share", "landowner=1/3"),
            ("cut", "9 ac"),
        ],
    );
    let now = see(&yard, "2026-10-06 07:00");
    assert_eq!(
        (
            bench(&now).planted_ac,
            bench(&now).cut_ac,
            bench(&now).standing_ac
        ),
        (Some(30.0), Some(9.0), Some(21.0))
    );
    let MorningSays::Underway {
        day_of_harvest,
        field,
        cut_ac,
        planted_ac,
        on_wheels,
        ..
    } = now.says
    else {
        panic!("{:?}", now.says)
    };
    assert_eq!((day_of_harvest, field.as_str(), on_wheels), (2, "Bench", 1));
    assert_eq!(
        (cut_ac, planted_ac),
        (Some(9.0), Some(108.0)),
        "9 of Bench and 0 of Eighty"
    );
}

#[test]
fn the_latest_sample_is_told_with_its_spread_and_age() {
    let mut yard = Yard::planted();
    yard.write(
        "2026-10-05 12:00",
        "sample",
        &[
            ("of", "Bench"),
            ("crop", "soybean"),
            ("how", "hand-shelled"),
            ("moisture", "13.8%"),
        ],
    );
    yard.write(
        "2026-10-05 17:00",
        "sample",
        &[
            ("of", "Bench"),
            ("crop", "soybean"),
            ("how", "hand-shelled"),
            ("moisture", "12.7%"),
            ("moisture", "13.3%"),
            ("meter", "hand meter"),
        ],
    );
    let now = see(&yard, "2026-10-06 07:00");
    let sample = now
        .fields
        .iter()
        .find(|one| one.field == "Bench")
        .unwrap()
        .sample
        .clone()
        .unwrap();
    assert!((sample.moisture_pct - 13.0).abs() < 1e-9 && (sample.age_h - 14.0).abs() < 1e-9);
    assert_eq!(
        (sample.readings, sample.how, sample.meter.as_deref()),
        (2, "hand_shelled", Some("hand meter"))
    );
    assert!((sample.low_pct - 12.7).abs() < 1e-9 && (sample.high_pct - 13.3).abs() < 1e-9);
    // a tank read later is newer
    yard.dump("2026-10-05 18:00", "1", "Bench", "Gravity 1", "8,000 lb");
    let now = see(&yard, "2026-10-06 07:00");
    let sample = now.fields[0].sample.clone().unwrap();
    assert_eq!((sample.how, sample.readings), ("dump", 1));
    assert_eq!(now.fields[1].sample, None, "Eighty: none");
}

#[test]
fn wet_grain_on_wheels_moves_first() {
    let mut yard = Yard::planted();
    yard.dump("2026-10-04 15:00", "1", "Bench", "Gravity 1", "8,000 lb"); // 13 %: at its base, two days old
    yard.dump("2026-10-06 15:00", "2", "Eighty", "Gravity 2", "8,000 lb"); // 17 %: wet
    let now = see(&yard, "2026-10-06 17:00");
    assert_eq!(now.wheels[0].held.place, "Gravity 2");
    assert!(
        matches!(now.wheels[0].why.as_slice(), [MoveWhy::Wet { moisture_pct, .. }] if (moisture_pct - 17.0).abs() < 1e-6)
    );
    assert_eq!(now.wheels[0].hours, Some(2.0));
    assert!(
        matches!(now.wheels[1].why.as_slice(), [MoveWhy::LongFilled { hours }] if (hours - 50.0).abs() < 1e-9)
    );
    // a sample of the wagon itself says more than the tank's monitor
    yard.write(
        "2026-10-06 16:00",
        "sample",
        &[
            ("of", "Gravity 2"),
            ("crop", "sorghum"),
            ("how", "wagon"),
            ("moisture", "12.0%"),
        ],
    );
    let now = see(&yard, "2026-10-06 17:00");
    let second = now
        .wheels
        .iter()
        .find(|one| one.held.place == "Gravity 2")
        .unwrap();
    assert!(second.held.moisture_sampled && second.why.is_empty());
    // read hot from the dryer it says nothing of what it will be
    yard.write(
        "2026-10-06 16:30",
        "sample",
        &[
            ("of", "Gravity 2"),
            ("crop", "sorghum"),
            ("how", "dryer-hot"),
            ("moisture", "10.0%"),
        ],
    );
    let now = see(&yard, "2026-10-06 17:00");
    let second = now
        .wheels
        .iter()
        .find(|one| one.held.place == "Gravity 2")
        .unwrap();
    assert_eq!(second.held.moisture_pct, Some(12.0));
}

#[test]
fn the_ready_list_is_ticked_a_day_at_a_time() {
    let mut yard = Yard::planted();
    let grease = yard.write(
        "2026-10-05 07:00",
        "ready",
        &[("text", "grease the cross auger"), ("list", "walk-round")],
    );
    let sieve = yard.write(
        "2026-10-05 07:01",
        "ready",
        &[
            ("text", "put the soybean sieve in"),
            ("list", "head-change"),
            ("often", "once"),
        ],
    );
    for item in [grease, sieve] {
        yard.write(
            "2026-10-05 07:30",
            "ticked",
            &[("item", &item.to_string()), ("day", "2026-10-05")],
        );
    }
    let that_day = see(&yard, "2026-10-05 08:00");
    assert_eq!(that_day.ready.len(), 2);
    assert!(
        that_day
            .ready
            .iter()
            .all(|one| one.ticked.is_some() && one.ticked_by.as_deref() == Some("owner"))
    );
    let next = see(&yard, "2026-10-06 07:00");
    assert_eq!(next.ready.len(), 1, "done for good drops out");
    assert_eq!(
        (next.ready[0].id.clone(), next.ready[0].ticked.clone()),
        (grease.to_string(), None)
    );
    // half past three in the night is still the day before
    assert!(
        see(&yard, "2026-10-06 03:30")
            .ready
            .iter()
            .all(|one| one.ticked.is_some())
    );
}

#[test]
fn notes_of_last_night_and_open_questions() {
    let mut yard = Yard::planted();
    yard.write("2026-10-03 20:00", "note", &[("text", "old")]);
    let asks = yard.write(
        "2026-10-03 21:00",
        "note",
        &[("text", "is slip 6 right?"), ("question", "yes")],
    );
    let other = yard.write(
        "2026-10-04 21:00",
        "note",
        &[("text", "whose is the tarp?"), ("question", "yes")],
    );
    yard.write(
        "2026-10-05 22:00",
        "note",
        &[("text", "bearing warm"), ("of", "combine")],
    );
    yard.write(
        "2026-10-06 06:00",
        "note",
        &[("text", "greased"), ("about", &other.to_string())],
    );
    let now = see(&yard, "2026-10-06 07:00");
    let texts: Vec<&str> = now.notes.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(texts, ["greased", "bearing warm"]);
    assert_eq!(
        (now.notes[1].author.as_str(), now.notes[1].of.as_slice()),
        ("owner", &["combine".to_owned()][..])
    );
    let open: Vec<&str> = now.questions.iter().map(|one| one.id.as_str()).collect();
    assert_eq!(
        open,
        [asks.to_string()],
        "what a later note is about is answered"
    );
}

#[test]
fn what_is_not_worked_out_yet_has_its_place_and_nothing_in_it() {
    let now = see(&Yard::planted(), "2026-10-06 07:00");
    let json = serde_json::to_value(&now).unwrap();
    for place in ["fit_hours", "field_order", "haul"] {
        assert!(json[place].is_null());
    }
}
