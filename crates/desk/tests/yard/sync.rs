//! Phones: sent twice, out of order, interleaved, with a wrong clock, unreadable, forged.

use crate::farm::{Yard, at};
use crate::phone::{Handset, of_device, send, send_as, states};
use book::kinds::{Payload, Reading};
use desk::sync::{Rights, Sender, State, Written, is_outbox, outbox_file, take};

#[test]
fn a_batch_sent_twice_is_in_the_book_once() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:00");
    let entries: Vec<Written> = (1..=5).map(|n| phone.dump(&n.to_string())).collect();
    assert_eq!(
        states(&send(&mut yard, "cab-1", &entries)),
        [State::Kept; 5]
    );
    let before = yard.book.entries().unwrap();
    assert_eq!(
        states(&send(&mut yard, "cab-1", &entries)),
        [State::Known; 5]
    );
    assert_eq!(yard.book.entries().unwrap(), before);
    let farm = yard.farm();
    assert_eq!(farm.dumps.len(), 5);
    // id, seq, stamp and moment are the phone's own
    let kept = of_device(&yard, "cab-1");
    for (entry, written) in kept.iter().zip(&entries) {
        assert_eq!(entry.id.to_string(), written.id);
        assert_eq!((entry.seq, entry.stamp_ms), (written.seq, written.stamp_ms));
        assert_eq!(entry.happened.at_ms(), written.happened_ms);
        assert_eq!(entry.author.as_str(), "helper");
    }
    assert!(yard.book.check().unwrap().is_clean());
}

#[test]
fn order_and_pieces_do_not_matter() {
    let mut phone = Handset::new("cab-1", "2026-10-06 14:00");
    let mut entries: Vec<Written> = (1..=6).map(|n| phone.dump(&n.to_string())).collect();
    let undone = entries[2].id.clone();
    entries.push(phone.write("strike", &[("reason", "undone on the phone")], &[&undone]));
    let stands = |orders: &[&[usize]]| {
        let mut yard = Yard::planted();
        yard.clock.now_ms = at("2026-10-06 15:00");
        for order in orders {
            let piece: Vec<Written> = order.iter().map(|at| entries[*at].clone()).collect();
            let taken = send(&mut yard, "cab-1", &piece);
            assert!(
                states(&taken).iter().all(|state| *state != State::Refused),
                "{taken:?}"
            );
        }
        assert_eq!(of_device(&yard, "cab-1").len(), 7);
        let farm = yard.farm();
        farm.dumps
            .iter()
            .map(|one| one.id.to_string())
            .collect::<Vec<_>>()
    };
    let straight = stands(&[&[0, 1, 2, 3, 4, 5, 6]]);
    assert_eq!(straight.len(), 5);
    assert!(!straight.contains(&undone));
    assert_eq!(stands(&[&[6, 5, 4, 3, 2, 1, 0]]), straight);
    // the strike arrives before what it takes out, and pieces overlap
    assert_eq!(stands(&[&[6, 5], &[4, 5, 0], &[3, 2, 1, 0]]), straight);
}

#[test]
fn two_phones_interleave_without_harm() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 17:00");
    let (mut one, mut two) = (
        Handset::new("cab-1", "2026-10-06 14:00"),
        Handset::new("truck", "2026-10-06 14:00"),
    );
    let mine: Vec<Written> = (0..4).map(|n| one.dump(&(2 * n + 1).to_string())).collect();
    let theirs: Vec<Written> = (0..4).map(|n| two.dump(&(2 * n + 2).to_string())).collect();
    for at in 0..4 {
        let first = send(&mut yard, "cab-1", &mine[..=at]);
        let second = send(&mut yard, "truck", &theirs[..=at]);
        for taken in [first, second] {
            assert_eq!(states(&taken).last(), Some(&State::Kept));
            assert!(
                states(&taken)[..at]
                    .iter()
                    .all(|state| *state == State::Known)
            );
        }
    }
    let farm = yard.farm();
    assert_eq!(farm.dumps.len(), 8);
    assert_eq!(farm.devices.len(), 3);
}

#[test]
fn one_id_with_two_contents_keeps_the_first_and_says_so() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:00");
    let first = phone.dump("1");
    let mut other = phone.dump("2");
    other.id.clone_from(&first.id);
    let good = phone.dump("3");
    let taken = send(&mut yard, "cab-1", &[first.clone(), other.clone(), good]);
    assert_eq!(states(&taken), [State::Kept, State::Refused, State::Kept]);
    assert!(
        taken.results[1]
            .why
            .as_ref()
            .unwrap()
            .contains("another entry under this id")
    );
    // from another phone, too
    let taken = send(&mut yard, "truck", std::slice::from_ref(&first));
    assert_eq!(states(&taken), [State::Refused]);
    assert_eq!(yard.farm().dumps.len(), 2);
    assert_eq!(
        yard.farm().dumps[0].says.number.as_ref().unwrap().as_str(),
        "1"
    );
}

#[test]
fn what_cannot_be_read_is_kept_whole_under_its_own_id() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:00");
    let strange = phone.write(
        "dump",
        &[
            ("machine", "combine"),
            ("field", "Far Forty"),
            ("crop", "soybean"),
            ("to", "Gravity 1"),
        ],
        &[],
    );
    let newer = phone.write(
        "smell",
        &[("of", "Bench"), ("like", "rain, \"and\" dust\n")],
        &[],
    );
    let good = phone.dump("1");
    let all = [strange.clone(), newer.clone(), good];
    let taken = send(&mut yard, "cab-1", &all);
    assert_eq!(states(&taken), [State::Unread, State::Unread, State::Kept]);
    assert!(taken.results[0].why.as_ref().unwrap().contains("Far Forty"));
    let again = send(&mut yard, "cab-1", &all);
    assert_eq!(states(&again), [State::Unread, State::Unread, State::Known]);
    assert_eq!(again.results[0].why, taken.results[0].why);
    let farm = yard.farm();
    assert_eq!(farm.unread.len(), 2);
    let kept = &farm.unread[1];
    assert_eq!(kept.id.to_string(), newer.id);
    assert_eq!(
        (kept.says.sent_as.as_str(), &kept.says.figures),
        ("smell", &newer.figures)
    );
    assert_eq!(of_device(&yard, "cab-1").len(), 3);
    // an id that says another kind than what was kept
    let mut other = strange;
    other.kind = "note".to_owned();
    assert_eq!(
        states(&send(&mut yard, "cab-1", &[other])),
        [State::Refused]
    );
}

#[test]
fn a_clock_a_day_ahead_keeps_what_it_said_and_is_noted_once() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-07 14:00");
    let first = phone.dump("1");
    let sent_ms = phone.now_ms + 1_000;
    let taken = send_as(
        &mut yard,
        "cab-1",
        Rights::Helper,
        sent_ms,
        std::slice::from_ref(&first),
    );
    assert_eq!(states(&taken), [State::Kept]);
    assert_eq!(taken.clock_off_ms, sent_ms - at("2026-10-06 15:00"));
    assert_eq!(
        of_device(&yard, "cab-1")[0].happened.at_ms(),
        first.happened_ms
    );
    yard.clock.now_ms += 120_000;
    let second = phone.dump("2");
    send_as(
        &mut yard,
        "cab-1",
        Rights::Helper,
        phone.now_ms + 61_000,
        &[first, second],
    );
    let farm = yard.farm();
    assert_eq!(farm.notes.len(), 1, "noted once a day: {:?}", farm.notes);
    assert_eq!(farm.notes[0].says.about.len(), 1);
    let evening = desk::night::evening(&farm, yard.clock.now_ms, None).unwrap();
    let off = evening.look_at.iter().find_map(|one| match one {
        desk::night::LookAt::ClockOff {
            device,
            minutes,
            entries,
        } => Some((device.clone(), *minutes, *entries)),
        _ => None,
    });
    assert_eq!(off, Some(("the phone cab-1".to_owned(), 1_381, 1)));
    assert!(evening.notes.is_empty(), "it is no note of a person's");
}

#[test]
fn a_phone_with_a_dead_clock_is_not_asked_for_the_year() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "1970-01-02 09:00");
    let first = phone.dump("1");
    let sent_ms = phone.now_ms + 60_000;
    let taken = send_as(&mut yard, "cab-1", Rights::Helper, sent_ms, &[first]);
    assert_eq!(states(&taken), [State::Kept]);
    assert_eq!(yard.farm().dumps[0].says.season, 2026);
}

#[test]
fn every_kind_of_the_phone_is_read() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 19:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let sha = book::Sha256Key::of(b"a photograph").to_string();
    let stop = phone.write(
        "stop",
        &[("machine", "combine"), ("field", "Bench"), ("why", "wagon")],
        &[],
    );
    let go = phone.write("go", &[("stop", &stop.id)], &[]);
    let all = [
        phone.dump("1"),
        phone.write(
            "file",
            &[
                ("sha256", &sha),
                ("name", "t.jpg"),
                ("bytes", "12"),
                ("purpose", "ticket"),
                ("of", "Gravity 1"),
                ("of", "Mill"),
            ],
            &[],
        ),
        phone.write(
            "weighed",
            &[
                ("from", "Gravity 1"),
                ("to", "Mill"),
                ("buyer", "Mill"),
                ("crop", "soybean"),
                ("gross", "52,220 lb"),
                ("tare", "17,910 lb"),
                ("moisture", "13.2%"),
            ],
            &[],
        ),
        phone.write(
            "sample",
            &[
                ("of", "Bench"),
                ("crop", "soybean"),
                ("how", "hand-shelled"),
                ("moisture", "13.1%"),
                ("moisture", "13.4%"),
                ("meter", "hand meter"),
                ("count", "3"),
            ],
            &[],
        ),
        phone.write(
            "count",
            &[
                ("field", "Bench"),
                ("crop", "soybean"),
                ("frame", "1 ft2"),
                ("behind-machine", "4"),
                ("behind-machine", "6"),
                ("cut-width", "20 ft"),
                ("tail", "spread"),
            ],
            &[],
        ),
        stop,
        go,
        phone.write(
            "note",
            &[
                ("text", "bearing warm"),
                ("of", "combine"),
                ("question", "yes"),
            ],
            &[],
        ),
        phone.write("cover", &[("place", "Gravity 1"), ("covered", "yes")], &[]),
    ];
    let taken = send(&mut yard, "cab-1", &all);
    assert_eq!(states(&taken), [State::Kept; 9], "{taken:?}");
    let farm = yard.farm();
    assert_eq!(farm.running_stops().count(), 0);
    assert_eq!(
        (
            farm.counts.len(),
            farm.samples.len(),
            farm.covers.len(),
            farm.files.len()
        ),
        (1, 1, 1, 1)
    );
}

#[test]
fn an_outbox_file_is_taken_like_a_phone() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let (one, two) = (phone.dump("1"), phone.dump("2"));
    let sha = book::Sha256Key::of(b"foobar").to_string();
    let line = |value: serde_json::Value| format!("{value}\n");
    let mut text = line(
        serde_json::json!({"stook": "outbox", "device": "cab-1", "name": "cab", "person": "helper", "sent_ms": yard.clock.now_ms}),
    );
    text += &line(serde_json::to_value(&one).unwrap());
    text +=
        &line(serde_json::json!({"photograph": sha, "type": "image/jpeg", "base64": "Zm9vYmFy"}));
    text +=
        &line(serde_json::json!({"photograph": sha, "type": "image/jpeg", "base64": "Zm9vYmE="}));
    text +=
        &line(serde_json::json!({"photograph": sha, "type": "text/html", "base64": "Zm9vYmFy"}));
    text += &line(serde_json::to_value(&two).unwrap());
    text += "{\"id\":\"0199";
    assert!(is_outbox(&text) && !is_outbox("longitude,latitude\n1,2"));
    let outbox = outbox_file(&text).unwrap();
    assert_eq!(
        (outbox.person.as_str(), outbox.batches.len()),
        ("helper", 1)
    );
    assert_eq!(outbox.photographs.len(), 1);
    assert_eq!(outbox.photographs[0].bytes, b"foobar");
    let lines: Vec<usize> = outbox.set_aside.iter().map(|one| one.0).collect();
    assert_eq!(lines, [4, 5, 7]);
    let farm = yard.farm();
    let sender = Sender {
        person: &outbox.person,
        device: "cab-1",
        rights: Rights::Helper,
    };
    let taken = take(
        &mut yard.book,
        &farm,
        &sender,
        &outbox.batches[0],
        &mut yard.clock,
    )
    .unwrap();
    assert_eq!(states(&taken), [State::Kept; 2]);
    // the phone comes within reach later and sends the same
    assert_eq!(
        states(&send(&mut yard, "cab-1", &[one, two])),
        [State::Known; 2]
    );
    assert!(outbox_file("").is_err() && outbox_file("{}").is_err());
}

#[test]
fn a_struck_entry_can_be_read_from_its_void() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 15:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let own = phone.dump("1");
    let undo = phone.write("strike", &[("reason", "wrong wagon")], &[&own.id]);
    send(&mut yard, "cab-1", &[own, undo.clone()]);
    let kept = &of_device(&yard, "cab-1")[1];
    assert_eq!((kept.kind.as_str(), kept.id.to_string()), ("void", undo.id));
    let Reading::Known(Payload::Void(void)) = kept.read().unwrap() else {
        panic!("a void")
    };
    assert_eq!(void.reason, "wrong wagon");
}

#[test]
fn two_phones_end_one_stop_and_the_earliest_end_stands() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 16:00");
    let mut one = Handset::new("cab-1", "2026-10-06 14:00");
    let stop = one.write("stop", &[("why", "plug"), ("machine", "combine")], &[]);
    let id = stop.id.clone();
    assert_eq!(states(&send(&mut yard, "cab-1", &[stop])), [State::Kept]);
    let mut two = Handset::new("cab-2", "2026-10-06 14:20");
    let early = two.write("go", &[("stop", &id)], &[]);
    let mut late = Handset::new("cab-3", "2026-10-06 14:45");
    let later = late.write("go", &[("stop", &id)], &[]);
    assert_eq!(states(&send(&mut yard, "cab-3", &[later])), [State::Kept]);
    assert_eq!(states(&send(&mut yard, "cab-2", &[early])), [State::Kept]);
    let farm = yard.farm();
    assert_eq!(farm.goes.len(), 2, "both are kept");
    let asked = desk::stops::StopsAsked {
        season: 2026,
        ..Default::default()
    };
    let told = desk::stops::report(&farm, &asked, yard.clock.now_ms).unwrap();
    assert_eq!((told.stops[0].minutes, told.stops[0].ends), (Some(20), 2));
}

#[test]
fn an_end_before_its_stop_is_kept_whole_and_ends_nothing() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-10-06 16:00");
    let mut one = Handset::new("cab-1", "2026-10-06 14:00");
    let stop = one.write("stop", &[("why", "plug"), ("machine", "combine")], &[]);
    let id = stop.id.clone();
    send(&mut yard, "cab-1", &[stop]);
    let mut two = Handset::new("cab-2", "2026-10-06 13:00");
    let end = two.write("go", &[("stop", &id)], &[]);
    let taken = send(&mut yard, "cab-2", &[end]);
    assert_eq!(states(&taken), [State::Unread]);
    let why = taken.results[0].why.clone().unwrap_or_default();
    assert!(why.contains("2026-10-06 13:01"), "{why}");
    let farm = yard.farm();
    assert_eq!(farm.running_stops().count(), 1);
    assert_eq!(of_device(&yard, "cab-2").len(), 1, "nothing is lost");
}
