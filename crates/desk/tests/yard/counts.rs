//! Counts of the book: money an hour, what to try first, and what the phone is told.

use crate::farm::{Yard, at};
use desk::cab::snapshot;
use desk::count::{Counted, counts};
use facts::LostAt;
use std::collections::BTreeMap;

/// A count in the beans: one standing, nine behind the head, ten behind the machine, in three square feet each.
fn counted(more: &[(&str, &str)]) -> Yard {
    let mut yard = Yard::planted();
    let mut figures = vec![("field", "Bench"), ("frame", "1 ft2"), ("tail", "spread")];
    for (place, seeds) in [
        ("standing", "1"),
        ("behind-head", "9"),
        ("behind-machine", "10"),
    ] {
        figures.extend([(place, seeds); 3]);
    }
    figures.extend_from_slice(more);
    yard.write("2026-10-06 14:00", "count", &figures);
    yard
}

fn only(yard: &Yard) -> Counted {
    let mut all = counts(&yard.farm(), 2026, None);
    assert_eq!(all.len(), 1);
    all.pop().unwrap()
}

fn contract(yard: &mut Yard) {
    yard.write(
        "2026-10-01 09:00",
        "contract",
        &[
            ("number", "17"),
            ("buyer", "Mill"),
            ("crop", "soybean"),
            ("bushels", "1,000"),
            ("price", "$11/bu"),
        ],
    );
}

/// Nine seeds a square foot of 3.99972 a bushel are 2.2502 bu/ac and $24.75 at $11; 4 mph and 20 ft cut 4 x 20 / 8.25
/// acres an hour with no turns, so $240.02.
#[test]
fn speed_and_cut_of_a_count_make_money_an_hour() {
    let mut yard = counted(&[("speed", "4 mph"), ("cut-width", "20 ft")]);
    contract(&mut yard);
    let total = only(&yard).answer.unwrap().loss.total.unwrap();
    let (acre, hour) = (total.money_per_ac.unwrap(), total.money_per_h.unwrap());
    assert!((acre.value - 24.752).abs() < 2e-3, "{acre:?}");
    assert!(
        (hour.value - acre.value * 80.0 / 8.25).abs() < 0.02,
        "{hour:?}"
    );
    let (acre, hour) = (acre.range.unwrap(), hour.range.unwrap());
    assert!((hour.high / acre.high - 80.0 / 8.25).abs() < 1e-3);
}

#[test]
fn without_speed_cut_or_price_no_money_an_hour_is_made_up() {
    for (more, price) in [
        (&[("speed", "4 mph")][..], true),
        (&[("cut-width", "20 ft")], true),
        (&[("speed", "4 mph"), ("cut-width", "20 ft")], false),
    ] {
        let mut yard = counted(more);
        if price {
            contract(&mut yard);
        }
        let total = only(&yard).answer.unwrap().loss.total.unwrap();
        assert_eq!(total.money_per_h, None, "{more:?}");
        assert_eq!(total.money_per_ac.is_some(), price);
    }
}

#[test]
fn the_phone_is_told_speed_cut_and_whose_loss_a_try_is_for() {
    let yard = counted(&[("speed", "4 mph"), ("cut-width", "20 ft")]);
    let snap = snapshot(
        &yard.farm(),
        at("2026-10-06 15:00"),
        "cab-1",
        &BTreeMap::new(),
    )
    .unwrap();
    let one = &snap.counting.today[0];
    assert!((one.speed_m_s.unwrap() - 4.0 * 0.447_04).abs() < 1e-9);
    assert!((one.cut_m.unwrap() - 20.0 * 0.304_8).abs() < 1e-9);
    let answer = only(&yard).answer.unwrap();
    assert_eq!(answer.try_for, [LostAt::Head]);
    let phone: Vec<&str> = snap
        .tries
        .iter()
        .filter(|one| one.crop == "soybean" && one.lost_at == Some(LostAt::Head))
        .map(|one| one.text.en.as_str())
        .collect();
    let desk: Vec<&str> = answer.tries().iter().map(|one| one.text.as_str()).collect();
    assert_eq!(phone, desk);
    assert_eq!(desk.len(), 3);
    assert!(snap.tries.iter().all(|one| !one.text.es.is_empty()));
}
