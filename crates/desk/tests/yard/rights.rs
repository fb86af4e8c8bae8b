//! What a phone may not do, and that one refused entry stops no other.

use crate::farm::{Yard, at};
use crate::phone::{Handset, of_device, send, send_as, states};
use desk::sync::{Batch, Phone, Rights, Sender, Sent, State, take};

#[test]
fn a_helper_strikes_out_only_what_the_own_phone_wrote() {
    let mut yard = Yard::planted();
    let ticket = yard.ticket(
        "2026-10-06 14:00",
        "48213",
        "Gravity 1",
        "soybean",
        ("52,220 lb", "17,910 lb"),
        "13.2%",
    );
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let strike = phone.write("strike", &[("reason", "wrong")], &[&ticket.to_string()]);
    let own = phone.dump("1");
    let undo = phone.write("strike", &[], &[&own.id]);
    let nothing = phone.write("strike", &[], &[]);
    let taken = send(&mut yard, "cab-1", &[strike.clone(), own, undo, nothing]);
    assert_eq!(
        states(&taken),
        [State::Refused, State::Kept, State::Kept, State::Refused]
    );
    assert_eq!((yard.farm().tickets.len(), yard.farm().dumps.len()), (1, 0));
    // the owner may
    let now_ms = yard.clock.now_ms;
    let taken = send_as(&mut yard, "cab-1", Rights::Owner, now_ms, &[strike]);
    assert_eq!(states(&taken), [State::Kept]);
    assert_eq!(yard.farm().tickets.len(), 0);
}

#[test]
fn a_helper_writes_no_field_and_the_owner_none_twice() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let field = phone.write("field", &[("name", "Hill")], &[]);
    assert_eq!(states(&send(&mut yard, "cab-1", &[field])), [State::Unread]);
    assert_eq!(yard.farm().fields.len(), 2);
    let (new, taken_name) = (
        phone.write("field", &[("name", "Hill")], &[]),
        phone.write("field", &[("name", "Bench")], &[]),
    );
    let now_ms = yard.clock.now_ms;
    let taken = send_as(
        &mut yard,
        "cab-1",
        Rights::Owner,
        now_ms,
        &[new, taken_name],
    );
    assert_eq!(states(&taken), [State::Kept, State::Unread]);
    assert_eq!(yard.farm().fields.len(), 3);
}

#[test]
fn one_refused_entry_stops_no_other() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let good = phone.dump("1");
    let mut no_id = phone.dump("2");
    no_id.id = "7".to_owned();
    let mut no_seq = phone.dump("3");
    no_seq.seq = 0;
    let mut no_zone = phone.dump("4");
    no_zone.zone = "up the hill".to_owned();
    let mut long = phone.dump("5");
    long.figures
        .insert("remark".to_owned(), vec!["x".repeat(70_000)]);
    let text = serde_json::json!({
        "device": {"id": "cab-1", "name": "cab"},
        "sent_ms": yard.clock.now_ms,
        "entries": [good, no_id, {"id": "what", "seq": -1}, no_seq, 7, no_zone, long],
    });
    let batch: Batch = serde_json::from_value(text).unwrap();
    let farm = yard.farm();
    let sender = Sender {
        person: "helper",
        device: "cab-1",
        rights: Rights::Helper,
    };
    let taken = take(&mut yard.book, &farm, &sender, &batch, &mut yard.clock).unwrap();
    let mut want = vec![State::Refused; 7];
    want[0] = State::Kept;
    assert_eq!(states(&taken), want);
    assert_eq!(taken.results[2].id, "what");
    assert!(taken.results.iter().skip(1).all(|one| one.why.is_some()));
    assert_eq!(of_device(&yard, "cab-1").len(), 1);
}

#[test]
fn a_batch_of_another_device_or_of_too_many_is_refused_whole() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let one = phone.dump("1");
    let farm = yard.farm();
    let sender = Sender {
        person: "helper",
        device: "truck",
        rights: Rights::Owner,
    };
    let mut batch = Batch {
        device: Phone {
            id: "cab-1".to_owned(),
            name: "cab".to_owned(),
        },
        sent_ms: 0,
        entries: vec![Sent::Written(one.clone())],
    };
    assert!(take(&mut yard.book, &farm, &sender, &batch, &mut yard.clock).is_err());
    let sender = Sender {
        device: "cab-1",
        ..sender
    };
    batch.entries = vec![Sent::Written(one); 501];
    assert!(take(&mut yard.book, &farm, &sender, &batch, &mut yard.clock).is_err());
    assert!(of_device(&yard, "cab-1").is_empty());
    // an absurd clock is no reason to panic
    batch.entries.truncate(1);
    for sent_ms in [i64::MIN, i64::MAX] {
        batch.sent_ms = sent_ms;
        take(&mut yard.book, &farm, &sender, &batch, &mut yard.clock).unwrap();
    }
    assert_eq!(of_device(&yard, "cab-1").len(), 1);
}
