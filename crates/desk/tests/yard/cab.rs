//! The phone's snapshot.

use crate::farm::{Yard, at};
use desk::cab::{Holds, Snapshot, snapshot};
use std::collections::BTreeMap;

fn snap(yard: &Yard, when: &str) -> Snapshot {
    let names = BTreeMap::from([("truck".to_owned(), "the phone in the truck".to_owned())]);
    snapshot(&yard.farm(), at(when), "cab-1", &names).unwrap()
}

fn holds<'a>(snap: &'a Snapshot, place: &str) -> Option<&'a Holds> {
    let place = snap.places.iter().find(|one| one.name == place).unwrap();
    place.holds.as_ref()
}

#[test]
fn a_wagon_holds_what_went_in_since_it_was_emptied() {
    let mut yard = Yard::planted();
    yard.dump("2026-10-05 14:00", "1", "Eighty", "Gravity 1", "8,000 lb");
    yard.ticket(
        "2026-10-05 16:00",
        "1",
        "Gravity 1",
        "sorghum",
        ("25,000 lb", "17,000 lb"),
        "17.0%",
    );
    assert_eq!(holds(&snap(&yard, "2026-10-05 17:00"), "Gravity 1"), None);
    let tank = |yard: &mut Yard, when: &str, full: &str, covered: &str| {
        yard.write(
            when,
            "dump",
            &[
                ("machine", "combine"),
                ("field", "Bench"),
                ("crop", "soybean"),
                ("to", "Gravity 1"),
                ("now-full", full),
                ("covered", covered),
            ],
        )
    };
    tank(&mut yard, "2026-10-06 14:00", "1/2", "no");
    tank(&mut yard, "2026-10-06 14:40", "3/4", "yes");
    let snap = snap(&yard, "2026-10-06 15:00");
    let held = holds(&snap, "Gravity 1").unwrap();
    assert_eq!(
        (held.crop.as_str(), held.crop_name.as_str()),
        ("soybean", "soybeans")
    );
    assert_eq!(held.fields, ["Bench"]);
    assert_eq!(held.units, ["A"]);
    assert_eq!(held.owners, ["landowner", "owner"]);
    assert_eq!(held.full, Some(75.0));
    assert_eq!(held.covered, Some(true));
    assert_eq!(held.since_ms, Some(at("2026-10-06 14:00")));
    assert_eq!(held.last_ms, Some(at("2026-10-06 14:40")));
    assert!(held.other_crops.is_empty() && !held.unknown_field);
    assert_eq!(holds(&snap, "Gravity 2"), None);
    let running = snap.running.unwrap();
    assert_eq!(
        (running.field.as_str(), running.into.as_str()),
        ("Bench", "Gravity 1")
    );
    assert_eq!(snap.today.dumps, 2);
    assert_eq!(snap.today.last_dump_ms, Some(at("2026-10-06 14:40")));
}

#[test]
fn two_crops_in_one_wagon_are_both_told() {
    let mut yard = Yard::planted();
    yard.dump("2026-10-06 14:00", "1", "Eighty", "Gravity 2", "8,000 lb");
    yard.dump("2026-10-06 15:00", "2", "Bench", "Gravity 2", "7,000 lb");
    let snap = snap(&yard, "2026-10-06 16:00");
    let held = holds(&snap, "Gravity 2").unwrap();
    assert_eq!(
        (held.crop.as_str(), held.other_crops.as_slice()),
        ("soybean", &["sorghum".to_owned()][..])
    );
    assert_eq!(held.units, ["A", "B"]);
    assert_eq!(held.fields, ["Bench", "Eighty"]);
    assert_eq!(snap.next_load, 3);
}

#[test]
fn a_photographed_ticket_empties_the_wagon_for_the_phone() {
    let mut yard = Yard::planted();
    yard.dump("2026-10-06 14:00", "1", "Bench", "Gravity 1", "8,000 lb");
    yard.write(
        "2026-10-06 15:00",
        "file",
        &[
            ("sha256", &book::Sha256Key::of(b"a ticket").to_string()),
            ("name", "ticket.jpg"),
            ("bytes", "8"),
            ("purpose", "ticket"),
            ("of", "Gravity 1"),
        ],
    );
    assert_eq!(holds(&snap(&yard, "2026-10-06 15:30"), "Gravity 1"), None);
    // what is dumped into it after is there again
    yard.dump("2026-10-06 16:00", "2", "Bench", "Gravity 1", "8,000 lb");
    assert!(holds(&snap(&yard, "2026-10-06 16:30"), "Gravity 1").is_some());
}

#[test]
fn last_years_bin_is_told_before_new_crop_goes_in() {
    let mut yard = Yard::planted();
    yard.write(
        "2026-08-02 09:00",
        "opening",
        &[
            ("place", "Bin 2"),
            ("crop", "sorghum"),
            ("season", "2025"),
            ("weight", "20,000 lb"),
            ("moisture", "13%"),
        ],
    );
    let before = snap(&yard, "2026-09-20 09:00");
    let held = holds(&before, "Bin 2").unwrap();
    assert_eq!(
        (held.crop.as_str(), held.carried_from),
        ("sorghum", Some(2025))
    );
    assert!(held.unknown_field, "an opening has no field");
}

#[test]
fn the_card_at_the_scale_is_what_was_arranged_and_a_blank_is_asked() {
    let mut yard = Yard::planted();
    let before = snap(&yard, "2026-09-01 09:00");
    let beans = before
        .arranged
        .iter()
        .find(|one| one.crop == "soybean")
        .unwrap();
    assert_eq!(
        (beans.buyer.as_deref(), beans.terms, beans.split_arranged),
        (None, None, false)
    );
    let shares: Vec<(&str, &str)> = beans
        .split
        .iter()
        .map(|one| (one.person.as_str(), one.percent.as_str()))
        .collect();
    assert_eq!(
        shares,
        [("owner", "66.66666667"), ("landowner", "33.33333333")]
    );
    yard.write(
        "2026-09-02 09:00",
        "arranged",
        &[
            ("buyer", "Mill"),
            ("crop", "soybean"),
            ("terms", "sell"),
            ("contract", "C-7"),
            ("split", "owner=60%"),
            ("split", "landowner=40%"),
            ("account", "landowner=BENCH TRUST"),
        ],
    );
    yard.write(
        "2026-09-03 09:00",
        "arranged",
        &[("buyer", "Mill"), ("crop", "sorghum")],
    );
    let snap = snap(&yard, "2026-09-04 09:00");
    let beans = snap
        .arranged
        .iter()
        .find(|one| one.crop == "soybean")
        .unwrap();
    assert_eq!(
        (
            beans.buyer.as_deref(),
            beans.terms,
            beans.contract.as_deref()
        ),
        (Some("Mill"), Some("sell"), Some("C-7"))
    );
    assert!(beans.split_arranged);
    let accounts: Vec<(&str, &str)> = beans
        .split
        .iter()
        .map(|one| (one.account.as_str(), one.percent.as_str()))
        .collect();
    assert_eq!(accounts, [("owner", "60"), ("BENCH TRUST", "40")]);
    let milo = snap
        .arranged
        .iter()
        .find(|one| one.crop == "sorghum")
        .unwrap();
    assert_eq!(
        (milo.buyer.as_deref(), milo.terms),
        (Some("Mill"), None),
        "blank terms are asked"
    );
}

#[test]
fn a_stop_runs_until_somebody_ends_it() {
    let mut yard = Yard::planted();
    let stop = yard.write(
        "2026-10-06 13:00",
        "stop",
        &[("machine", "combine"), ("why", "wagon")],
    );
    let at_noon = snap(&yard, "2026-10-06 13:25");
    let running = at_noon.stop.unwrap();
    assert_eq!(
        (running.id, running.why, running.since_ms),
        (stop.to_string(), "wagon", at("2026-10-06 13:00"))
    );
    assert_eq!(at_noon.today.stop_minutes, 25);
    yard.write("2026-10-06 13:40", "go", &[("stop", &stop.to_string())]);
    // one written afterwards, and one that overlaps it counts its minutes once
    yard.write(
        "2026-10-06 15:00",
        "stop",
        &[("why", "plug"), ("minutes", "30")],
    );
    yard.write(
        "2026-10-06 15:20",
        "stop",
        &[("why", "rest"), ("minutes", "20")],
    );
    let later = snap(&yard, "2026-10-06 18:00");
    assert_eq!(later.stop, None);
    assert_eq!((later.today.stops, later.today.stop_minutes), (3, 40 + 40));
    assert_eq!(snap(&yard, "2026-10-07 09:00").today.stop_minutes, 0);
}

#[test]
fn names_lists_and_cautions_are_there() {
    let yard = Yard::planted();
    let snap = snap(&yard, "2026-10-06 09:00");
    assert_eq!(
        (snap.farm.name.as_str(), snap.season, snap.day_begins_hour),
        ("Two Fields", 2026, 4)
    );
    assert_eq!(snap.machines[0].monitor, Some("wet"));
    assert_eq!(
        (
            snap.fields.len(),
            snap.places.len(),
            snap.meters.len(),
            snap.buyers.len()
        ),
        (2, 4, 2, 1)
    );
    assert_eq!(snap.entries, yard.book.entries().unwrap().len());
    assert_eq!(snap.next_load, 1);
    for caution in [
        &snap.cautions.load,
        &snap.cautions.count,
        &snap.cautions.stop,
        &snap.cautions.bin,
    ] {
        assert!(caution.en.len() > 20 && caution.es.len() > 20 && caution.en != caution.es);
    }
    assert_eq!(snap.heard.len(), 1, "the kitchen");
    let empty = crate::farm::Yard::empty();
    let snap = snapshot(
        &empty.farm(),
        at("2026-10-06 09:00"),
        "cab-1",
        &BTreeMap::new(),
    )
    .unwrap();
    assert!(snap.fields.is_empty() && snap.running.is_none());
}
