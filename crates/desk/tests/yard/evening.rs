//! The Night page.

use crate::farm::{Yard, tonight};
use desk::night::{Did, LookAt, TickState};

#[test]
fn photographs_wait_until_their_ticket_is_typed() {
    let mut yard = Yard::planted();
    let photograph = |yard: &mut Yard, when: &str, bytes: &[u8], of: &str| {
        let sha = book::Sha256Key::of(bytes).to_string();
        yard.write(
            when,
            "file",
            &[
                ("sha256", &sha),
                ("name", "t.jpg"),
                ("bytes", "9"),
                ("purpose", "ticket"),
                ("of", of),
            ],
        );
        sha
    };
    yard.dump("2026-10-06 14:00", "1", "Bench", "Gravity 1", "8,000 lb");
    let first = photograph(&mut yard, "2026-10-06 16:00", b"one", "Gravity 1");
    let second = photograph(&mut yard, "2026-10-06 18:00", b"two", "Gravity 2");
    let third = photograph(&mut yard, "2026-10-06 18:30", b"three", "Gravity 1");
    let now = tonight(&yard, "2026-10-06 21:00");
    let waits: Vec<&str> = now.untyped.iter().map(|one| one.sha256.as_str()).collect();
    assert_eq!(waits, [first.as_str(), second.as_str(), third.as_str()]);
    assert_eq!(now.untyped[0].author, "owner");
    assert!(now.held[0].held.ticket_waits);
    assert_eq!(
        now.ruler
            .tickets
            .iter()
            .filter(|one| one.state == TickState::Untyped)
            .count(),
        3
    );
    // typed with its paper named; and one typed for the same wagon within the quarter of an hour
    yard.write(
        "2026-10-06 16:00",
        "weighed",
        &[
            ("from", "Gravity 1"),
            ("to", "Mill"),
            ("buyer", "Mill"),
            ("crop", "soybean"),
            ("gross", "26,000 lb"),
            ("tare", "18,000 lb"),
            ("paper", &first),
        ],
    );
    yard.ticket(
        "2026-10-06 18:40",
        "2",
        "Gravity 1",
        "soybean",
        ("26,000 lb", "18,000 lb"),
        "13%",
    );
    let now = tonight(&yard, "2026-10-06 21:00");
    let waits: Vec<&str> = now.untyped.iter().map(|one| one.sha256.as_str()).collect();
    assert_eq!(waits, [second.as_str()]);
}

#[test]
fn cards_missing_from_a_pad_and_numbers_written_twice() {
    let mut yard = Yard::planted();
    for (minute, number) in ["12", "13", "15", "18", "18", "60"].iter().enumerate() {
        yard.dump(
            &format!("2026-10-06 14:{minute:02}"),
            number,
            "Bench",
            "Gravity 1",
            "8,000 lb",
        );
    }
    // a second combine writes on the same pad; a move took a card too
    yard.write("2026-10-06 14:30", "machine", &[("name", "other combine")]);
    yard.write(
        "2026-10-06 14:31",
        "dump",
        &[
            ("machine", "other combine"),
            ("field", "Eighty"),
            ("crop", "sorghum"),
            ("to", "Gravity 2"),
            ("number", "14"),
        ],
    );
    yard.write(
        "2026-10-06 14:32",
        "move",
        &[
            ("from", "Gravity 2"),
            ("to", "Bin 2"),
            ("crop", "sorghum"),
            ("number", "16"),
        ],
    );
    let now = tonight(&yard, "2026-10-06 21:00");
    let missing: Vec<(&str, &[String])> = now
        .missing_cards
        .iter()
        .map(|one| (one.machine.as_str(), one.numbers.as_slice()))
        .collect();
    assert_eq!(
        missing,
        [("combine", &["17".to_owned()][..])],
        "60 is another pad"
    );
    assert_eq!(
        (
            now.missing_cards[0].after.as_str(),
            now.missing_cards[0].before.as_str()
        ),
        ("15", "18")
    );
    let twice = now.look_at.iter().any(|one| matches!(one, LookAt::NumberTwice { number, entries, .. } if number == "18" && entries.len() == 2));
    assert!(twice);
}

#[test]
fn the_day_is_told_on_the_ruler() {
    let mut yard = Yard::planted();
    yard.dump("2026-10-06 13:00", "4", "Bench", "Gravity 1", "8,000 lb");
    let stop = yard.write(
        "2026-10-06 13:05",
        "stop",
        &[("machine", "combine"), ("why", "wagon")],
    );
    yard.write("2026-10-06 13:30", "go", &[("stop", &stop.to_string())]);
    yard.dump("2026-10-06 14:00", "5", "Bench", "Gravity 1", "8,000 lb");
    yard.dump("2026-10-06 16:00", "6", "Eighty", "Gravity 2", "8,000 lb");
    yard.write(
        "2026-10-06 16:10",
        "stop",
        &[
            ("machine", "combine"),
            ("why", "breakdown"),
            ("minutes", "39"),
            ("cost", "$104"),
        ],
    );
    yard.write(
        "2026-10-06 16:15",
        "stop",
        &[("machine", "another"), ("why", "rest")][1..],
    );
    let now = tonight(&yard, "2026-10-06 17:00");
    let ruler = &now.ruler;
    let numbers: Vec<&str> = ruler
        .dumps
        .iter()
        .filter_map(|one| one.number.as_deref())
        .collect();
    assert_eq!(numbers, ["4", "5", "6"]);
    let cut: Vec<(f64, f64, &str)> = ruler
        .spans
        .iter()
        .filter_map(|one| match &one.did {
            Did::Cut { field, .. } => Some((one.from_h, one.to_h, field.as_str())),
            _ => None,
        })
        .collect();
    let five_past = 13.0 + 5.0 / 60.0;
    assert_eq!(
        cut,
        [
            (12.0, 13.0, "Bench"),
            (13.0, five_past, "Bench"),
            (13.5, 14.0, "Bench"),
            (15.0, 16.0, "Eighty")
        ]
    );
    assert_eq!(ruler.cutting_minutes, 60 + 5 + 30 + 60);
    let moved: Vec<(f64, f64)> = ruler
        .spans
        .iter()
        .filter(|one| matches!(&one.did, Did::Moved { to } if to == "Eighty"))
        .map(|one| (one.from_h, one.to_h))
        .collect();
    assert_eq!(moved, [(14.0, 15.0)]);
    let by_why: Vec<(&str, i64)> = now
        .stops
        .by_why
        .iter()
        .map(|one| (one.why, one.minutes))
        .collect();
    assert_eq!(by_why, [("rest", 45), ("breakdown", 39), ("wagon", 25)]);
    assert!(now.stops.running.is_some());
    assert_eq!(now.stops.cost.as_deref(), Some("$104.00"));
    assert_eq!(now.fields[0].dumps_today + now.fields[1].dumps_today, 3);
}

#[test]
fn the_age_of_the_last_copy_and_what_waits_unread() {
    let mut yard = Yard::planted();
    assert_eq!(tonight(&yard, "2026-10-06 21:00").copy, None);
    yard.write(
        "2026-10-03 20:00",
        "copied",
        &[("to", "stick in the truck"), ("entries", "40")],
    );
    let now = tonight(&yard, "2026-10-06 21:00");
    let copy = now.copy.unwrap();
    assert_eq!(
        (copy.kept_at.as_str(), copy.entries, copy.days),
        ("stick in the truck", 40, 3)
    );
}

#[test]
fn own_grain_has_no_terms_to_ask_for() {
    let mut yard = Yard::planted();
    yard.write(
        "2026-10-06 15:00",
        "weighed",
        &[
            ("from", "Gravity 1"),
            ("to", "Bin 2"),
            ("crop", "sorghum"),
            ("gross", "26,000 lb"),
            ("tare", "18,000 lb"),
            ("scale", "farm"),
        ],
    );
    yard.ticket(
        "2026-10-06 16:00",
        "7",
        "Gravity 2",
        "sorghum",
        ("26,000 lb", "18,000 lb"),
        "14%",
    );
    let now = tonight(&yard, "2026-10-06 21:00");
    let blank: Vec<Option<&str>> = now
        .look_at
        .iter()
        .filter_map(|one| match one {
            LookAt::TermsBlank { number, .. } => Some(number.as_deref()),
            _ => None,
        })
        .collect();
    assert_eq!(blank, [Some("7")]);
    let bin = now
        .held
        .iter()
        .find(|one| one.held.place == "Bin 2")
        .unwrap();
    assert!(!bin.held.on_wheels && !bin.move_first && bin.held.unknown_field);
}
