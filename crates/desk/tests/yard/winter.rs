//! The winter sheet.

use crate::farm::{Yard, at};
use desk::winter::{field, season};

fn harvested() -> Yard {
    let mut yard = Yard::planted();
    for (day, net, read) in [("01", 8_000, 8_200), ("02", 8_000, 8_000)] {
        let number = day.trim_start_matches('0');
        yard.dump(
            &format!("2026-10-{day} 14:00"),
            number,
            "Bench",
            "Gravity 1",
            &format!("{read} lb"),
        );
        let gross = format!("{} lb", net + 17_920);
        yard.ticket(
            &format!("2026-10-{day} 16:00"),
            &format!("48{number}"),
            "Gravity 1",
            "soybean",
            (&gross, "17,920 lb"),
            "13.0%",
        );
    }
    yard
}

#[test]
fn a_field_is_told_in_bushels_pounds_and_shares() {
    let yard = harvested();
    let sheet = field(&yard.farm(), "bench", None, 2026).unwrap();
    let line = &sheet.line;
    // 16,000 lb of 13 % beans: 13,920 lb dry, 266.7 bu at 13 %
    assert!(
        (line.dry_lb.value - 13_920.0).abs() < 0.01,
        "{:?}",
        line.dry_lb
    );
    assert!((line.dry_bu.unwrap().value - 16_000.0 / 60.0).abs() < 0.01);
    assert!(line.dry_bu.unwrap().half_width() > 0.0);
    assert_eq!(
        (line.loads, line.dumps, line.unit.as_deref()),
        (2, 2, Some("A"))
    );
    let acres = line.acres.as_ref().unwrap();
    assert_eq!((acres.which, acres.area_ac), ("planted", 30.0));
    assert!((line.yields.unwrap().value - 16_000.0 / 60.0 / 30.0).abs() < 1e-3);
    let parts: Vec<(&str, f64)> = sheet
        .parts
        .iter()
        .map(|one| (one.person.as_str(), one.dry_lb))
        .collect();
    assert_eq!(parts.len(), 2);
    assert!(
        (parts.iter().map(|one| one.1).sum::<f64>() - 13_920.0).abs() < 1e-6,
        "parts sum to the whole"
    );
    assert!(
        (sheet.first_ms, sheet.last_ms)
            == (Some(at("2026-10-01 14:00")), Some(at("2026-10-02 14:00")))
    );
    assert_eq!(
        sheet.not_audited.len(),
        2,
        "no schedule settles them, and that is said"
    );
    assert!(sheet.cleaned.is_none() && sheet.zones.is_none());
}

#[test]
fn the_monitor_stands_beside_the_scale_load_by_load() {
    let yard = harvested();
    let sheet = field(&yard.farm(), "Bench", Some("soybean"), 2026).unwrap();
    let over: Vec<f64> = sheet
        .against_scale
        .iter()
        .map(|one| one.over_percent)
        .collect();
    assert_eq!(over.len(), 2);
    assert!((over[0] - 2.5).abs() < 1e-9 && over[1].abs() < 1e-9);
    let all = sheet.against_scale_together.unwrap();
    assert!((all.over_percent - 1.25).abs() < 1e-9 && all.all_this_field);
    let log: Vec<(Option<&str>, Option<&str>)> = sheet
        .log
        .iter()
        .map(|one| (one.number.as_deref(), one.ticket.as_deref()))
        .collect();
    assert_eq!(
        log,
        [
            (Some("1"), Some("ticket 481")),
            (Some("2"), Some("ticket 482"))
        ]
    );
}

#[test]
fn a_season_lists_every_planting_and_an_empty_year_none() {
    let yard = harvested();
    let lines = season(&yard.farm(), 2026).unwrap();
    let names: Vec<(&str, usize)> = lines
        .iter()
        .map(|one| (one.field.as_str(), one.loads))
        .collect();
    assert_eq!(names, [("Bench", 2), ("Eighty", 0)]);
    assert_eq!(season(&yard.farm(), 2020).unwrap(), []);
    assert!(field(&yard.farm(), "Bench", None, 2020).is_err());
    assert!(field(&yard.farm(), "Hill", None, 2026).is_err());
}
