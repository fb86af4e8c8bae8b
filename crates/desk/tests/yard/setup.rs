//! Getting started, and the list before the first pass.

use crate::farm::Yard;
use desk::setup::{BeforeKind, BeforeLine, BeforeState, Setup, StepKind, setup};

fn line(setup: &Setup, what: BeforeKind) -> &BeforeLine {
    setup.before.iter().find(|one| one.what == what).unwrap()
}

#[test]
fn an_empty_book_is_led_from_step_to_step() {
    let mut yard = Yard::empty();
    let next = |yard: &Yard| setup(&yard.farm(), 2026).next;
    let begun = setup(&yard.farm(), 2026);
    assert!(begun.empty);
    assert_eq!(begun.next, Some(StepKind::Fields));
    assert!(begun.steps[0].done, "the farm has its name");
    yard.write("2026-08-01 10:00", "field", &[("name", "Bench")]);
    let now = setup(&yard.farm(), 2026);
    assert_eq!(now.steps[1].lacking, ["Bench"], "not planted");
    assert!(!now.steps[1].done && !now.empty);
    yard.write(
        "2026-08-01 10:01",
        "planting",
        &[("field", "Bench"), ("crop", "soybean")],
    );
    assert_eq!(next(&yard), Some(StepKind::Machine));
    yard.write("2026-08-01 10:02", "machine", &[("name", "combine")]);
    yard.write(
        "2026-08-01 10:03",
        "place",
        &[("name", "Gravity 1"), ("kind", "wagon")],
    );
    let now = setup(&yard.farm(), 2026);
    assert_eq!(now.next, Some(StepKind::Places));
    assert_eq!(now.steps[3].lacking, ["pit"]);
    yard.write(
        "2026-08-01 10:04",
        "place",
        &[("name", "Mill"), ("kind", "pit")],
    );
    assert_eq!(next(&yard), Some(StepKind::Buyer));
    yard.write("2026-08-01 10:05", "buyer", &[("name", "Mill")]);
    assert_eq!(next(&yard), None);
    assert_eq!(
        setup(&yard.farm(), 2027).next,
        Some(StepKind::Fields),
        "a new season is planted anew"
    );
}

#[test]
fn entries_settle_the_lines_that_they_can() {
    let mut yard = Yard::planted();
    let before = setup(&yard.farm(), 2026);
    for what in [
        BeforeKind::TareWagons,
        BeforeKind::CheckMeter,
        BeforeKind::CarryOverBins,
        BeforeKind::Schedules,
        BeforeKind::Contracts,
        BeforeKind::CallAt,
    ] {
        assert_eq!(line(&before, what).state, BeforeState::Open, "{what:?}");
    }
    assert_eq!(
        line(&before, BeforeKind::TareWagons).open,
        ["Gravity 1", "Gravity 2"]
    );
    assert_eq!(
        line(&before, BeforeKind::UnitNumbers).state,
        BeforeState::Settled
    );
    // Bench has a split; of Eighty nobody said
    let splits = line(&before, BeforeKind::Splits);
    assert_eq!(
        (splits.state, splits.open.as_slice()),
        (BeforeState::Partly, &["Eighty".to_owned()][..])
    );
    assert_eq!(
        line(&before, BeforeKind::Extinguishers).state,
        BeforeState::OnPaper
    );

    yard.write(
        "2026-09-01 09:00",
        "place",
        &[("name", "Truck"), ("kind", "truck"), ("tare", "14,000 lb")],
    );
    yard.write(
        "2026-09-01 09:10",
        "measure",
        &[("place", "Bin 2"), ("crop", "sorghum"), ("empty", "yes")],
    );
    yard.write(
        "2026-09-01 09:20",
        "contract",
        &[
            ("buyer", "Mill"),
            ("crop", "soybean"),
            ("number", "C-7"),
            ("bushels", "1,640"),
        ],
    );
    yard.write(
        "2026-09-01 09:30",
        "call_at",
        &[("unit", "A"), ("crop", "soybean"), ("yield", "34")],
    );
    yard.write(
        "2026-09-02 09:00",
        "sample",
        &[
            ("of", "Gravity 1"),
            ("crop", "soybean"),
            ("how", "wagon"),
            ("moisture", "13.4%"),
            ("meter", "hand meter"),
        ],
    );
    let now = setup(&yard.farm(), 2026);
    assert_eq!(
        line(&now, BeforeKind::TareWagons).state,
        BeforeState::Partly
    );
    assert_eq!(
        line(&now, BeforeKind::CarryOverBins).state,
        BeforeState::Settled
    );
    assert_eq!(line(&now, BeforeKind::Contracts).settled, ["soybean"]);
    assert_eq!(line(&now, BeforeKind::CallAt).open, ["B"]);
    assert_eq!(
        line(&now, BeforeKind::CheckMeter).state,
        BeforeState::Open,
        "one meter alone checks nothing"
    );
    yard.write(
        "2026-09-02 11:00",
        "sample",
        &[
            ("of", "Gravity 1"),
            ("crop", "soybean"),
            ("how", "wagon"),
            ("moisture", "13.0%"),
            ("meter", "mill meter"),
        ],
    );
    assert_eq!(
        line(&setup(&yard.farm(), 2026), BeforeKind::CheckMeter).state,
        BeforeState::Settled
    );
}
