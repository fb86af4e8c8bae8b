//! The account of an evening: square or not, units and contracts.

use crate::farm::{Yard, at, tonight};
use desk::night::{Against, Counted, EveningSays, TickState, evening};

/// Five fillings of one wagon, weighed like one another, in pounds of 13 % soybeans.
fn five_loads(yard: &mut Yard) {
    for (day, net) in [
        ("01", 8_020),
        ("02", 7_960),
        ("03", 8_060),
        ("04", 7_980),
        ("05", 8_040),
    ] {
        let number: String = day.trim_start_matches('0').to_owned();
        yard.dump(
            &format!("2026-10-{day} 14:00"),
            &number,
            "Bench",
            "Gravity 1",
            &format!("{net} lb"),
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
}

#[test]
fn an_empty_book_an_unchecked_one_and_a_square_one_say_so() {
    let mut yard = Yard::planted();
    assert_eq!(
        tonight(&yard, "2026-10-06 21:00").says,
        EveningSays::Empty {}
    );
    yard.dump("2026-10-01 14:00", "1", "Bench", "Gravity 1", "8,020 lb");
    assert_eq!(
        tonight(&yard, "2026-10-01 21:00").says,
        EveningSays::Unchecked { slips: 1 }
    );
    let mut yard = Yard::planted();
    five_loads(&mut yard);
    let now = tonight(&yard, "2026-10-05 21:00");
    let EveningSays::Square {
        checked,
        slips,
        odd,
    } = &now.says
    else {
        panic!("{:?}", now.says)
    };
    assert_eq!((*checked, *slips, odd.len()), (10, 10, 0));
    let beans = &now.crops[0];
    // 40,060 lb at the base of 13 % over 60 lb a bushel
    assert!(
        (beans.sold.value - 40_060.0 / 60.0).abs() < 0.5,
        "{:?}",
        beans.sold
    );
    assert_eq!(
        (beans.sold_tickets, beans.fields.as_slice()),
        (5, &["Bench".to_owned()][..])
    );
    assert!(beans.sold.half_width() > 0.0 && beans.came_off.half_width() > 0.0);
    assert!(beans.on_wheels.value.abs() < 1e-9);
}

#[test]
fn a_tare_that_is_off_is_shown_beside_the_wagons_habit_and_never_filled() {
    let mut yard = Yard::planted();
    five_loads(&mut yard);
    yard.dump("2026-10-06 14:00", "6", "Bench", "Gravity 1", "34,300 lb");
    // the paper says 17,910; a digit slipped
    yard.ticket(
        "2026-10-06 16:41",
        "486",
        "Gravity 1",
        "soybean",
        ("52,220 lb", "27,910 lb"),
        "13.0%",
    );
    let now = tonight(&yard, "2026-10-06 21:00");
    let EveningSays::Suspect {
        short,
        slip,
        crop,
        field,
        off_by_dry_bu,
        likely,
        ..
    } = &now.says
    else {
        panic!("{:?}", now.says)
    };
    assert!(*short);
    assert_eq!(
        (crop.as_str(), field.as_deref()),
        ("soybean", Some("Bench"))
    );
    let gap = off_by_dry_bu.unwrap();
    // 10,000 lb of 13 % beans are 166.7 bushels
    assert!(
        gap.low < 166.7 && 166.7 < gap.high + 20.0 && gap.value > 100.0,
        "{gap:?}"
    );
    let first = &now.suspects[0];
    assert_eq!(&first.slip, slip);
    assert!(likely.is_some());
    let tare = first.figures.iter().find(|one| one.figure == "tare");
    if let Some(tare) = tare {
        let habit = tare.habit.as_ref().unwrap();
        assert_eq!(
            (habit.lowest.as_str(), habit.highest.as_str(), habit.slips),
            ("17,920 lb", "17,920 lb", 5)
        );
        assert!(habit.outside);
        assert_eq!(tare.typed, ["27910 lb"]);
    } else {
        // the tank of the same filling is told from it by no test
        assert!(first.alike.contains(&"ticket 486".to_owned()), "{first:?}");
    }
    let said = serde_json::to_string(&now).unwrap();
    assert!(
        !said.contains("17,910") && !said.contains("17910"),
        "the paper says it, not the calculation"
    );
    let tick = now
        .ruler
        .tickets
        .iter()
        .find(|one| one.number.as_deref() == Some("486"))
        .unwrap();
    assert!((tick.at_h - 16.683_333).abs() < 1e-3);
    assert!([TickState::Suspect, TickState::Typed].contains(&tick.state));
}

#[test]
fn units_stand_beside_their_call_at_yields() {
    let mut yard = Yard::planted();
    five_loads(&mut yard);
    yard.write(
        "2026-10-05 20:00",
        "call_at",
        &[
            ("unit", "A"),
            ("crop", "soybean"),
            ("yield", "34"),
            ("notice-by", "2026-10-21"),
            ("telephone", "555-0142"),
            ("agent", "the agent"),
        ],
    );
    yard.write(
        "2026-10-05 20:01",
        "call_at",
        &[("unit", "B"), ("crop", "sorghum"), ("yield", "60")],
    );
    let against = |yard: &Yard| {
        let now = tonight(yard, "2026-10-05 21:00");
        let unit = now
            .units
            .iter()
            .find(|one| one.unit.as_deref() == Some("A"))
            .unwrap()
            .clone();
        (
            unit.against,
            unit.which_acres,
            unit.bu_per_ac.map(|one| one.value),
            unit,
        )
    };
    // 668 bu over 30 planted acres, part of which stands
    let (how, which, bu, unit) = against(&yard);
    assert_eq!((how, which), (Some(Against::NotKnownYet), Some("planted")));
    assert!((bu.unwrap() - 668.0 / 30.0).abs() < 0.3, "{bu:?}");
    assert_eq!(
        (
            unit.telephone.as_deref(),
            unit.notice_by.as_deref(),
            unit.agent.as_deref()
        ),
        (Some("555-0142"), Some("2026-10-21"), Some("the agent"))
    );
    let cut = |yard: &mut Yard, acres: &str| {
        yard.write(
            "2026-10-05 20:30",
            "planting",
            &[
                ("field", "Bench"),
                ("crop", "soybean"),
                ("share", "owner=2/3"),
                ("share", "landowner=1/3"),
                ("cut", acres),
            ],
        );
    };
    cut(&mut yard, "16 ac"); // 41.7 bu/ac
    assert_eq!(against(&yard).0, Some(Against::Over));
    cut(&mut yard, "20 ac"); // 33.4: under
    assert_eq!(against(&yard).0, Some(Against::MayBeUnder));
    let now = tonight(&yard, "2026-10-05 21:00");
    let milo = now
        .units
        .iter()
        .find(|one| one.unit.as_deref() == Some("B"))
        .unwrap();
    assert_eq!(
        (milo.loads, milo.bu_per_ac, milo.against),
        (0, None, Some(Against::NotKnownYet))
    );
}

#[test]
fn a_contract_says_what_is_owed_and_how_it_was_counted() {
    let mut yard = Yard::planted();
    yard.write(
        "2026-09-01 09:00",
        "contract",
        &[
            ("buyer", "Mill"),
            ("crop", "soybean"),
            ("number", "C-7"),
            ("bushels", "1,000"),
            ("deliver-by", "2026-11-30"),
        ],
    );
    yard.write(
        "2026-09-01 09:01",
        "contract",
        &[("buyer", "Mill"), ("crop", "soybean"), ("bushels", "500")],
    );
    yard.dump("2026-10-06 14:00", "1", "Bench", "Gravity 1", "12,000 lb");
    yard.write(
        "2026-10-06 16:00",
        "weighed",
        &[
            ("from", "Gravity 1"),
            ("to", "Mill"),
            ("buyer", "Mill"),
            ("crop", "soybean"),
            ("gross", "30,000 lb"),
            ("tare", "18,000 lb"),
            ("moisture", "13%"),
            ("terms", "sell"),
            ("contract", "C-7"),
        ],
    );
    let now = tonight(&yard, "2026-10-06 21:00");
    let (first, second) = (&now.contracts[0], &now.contracts[1]);
    // no schedule settles it: 12,000 lb over 60
    assert_eq!(
        (
            first.delivered_bu,
            first.owed_bu,
            first.tickets,
            first.counted
        ),
        (200.0, 800.0, 1, Counted::AsWeighed)
    );
    assert_eq!(first.deliver_by.as_deref(), Some("2026-11-30"));
    assert_eq!((second.owed_bu, second.counted), (500.0, Counted::NoNumber));
}

#[test]
fn a_day_that_is_past_is_told_as_it_ended() {
    let mut yard = Yard::planted();
    five_loads(&mut yard);
    let third = evening(&yard.farm(), at("2026-10-09 12:00"), Some("2026-10-03")).unwrap();
    assert_eq!(
        (third.day.as_str(), third.crops[0].sold_tickets),
        ("2026-10-03", 3)
    );
    assert_eq!(third.day_ends_ms, at("2026-10-04 04:00"));
    assert_eq!(third.ruler.dumps.len(), 1);
    assert!(evening(&yard.farm(), 0, Some("yesterday")).is_err());
}
