//! A phone, and what it sends.

use crate::farm::{Yard, ZONE, at};
use desk::sync::{Batch, Phone, Rights, Sender, Sent, State, Taken, Written, take};
use std::collections::BTreeMap;

/// A phone with its clock and its count.
pub(crate) struct Handset {
    id: &'static str,
    seq: u32,
    pub(crate) now_ms: i64,
}

impl Handset {
    pub(crate) fn new(id: &'static str, when: &str) -> Self {
        Self {
            id,
            seq: 0,
            now_ms: at(when),
        }
    }
    pub(crate) fn write(
        &mut self,
        kind: &str,
        figures: &[(&str, &str)],
        replaces: &[&str],
    ) -> Written {
        self.seq += 1;
        self.now_ms += 60_000;
        let mut chance = [9; 10];
        chance[..4].copy_from_slice(&self.seq.to_be_bytes());
        chance[4..6].copy_from_slice(&self.id.as_bytes()[..2]);
        let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (name, text) in figures {
            all.entry((*name).to_owned())
                .or_default()
                .push((*text).to_owned());
        }
        Written {
            id: book::EntryId::from_clock(self.now_ms, chance)
                .unwrap()
                .to_string(),
            seq: self.seq,
            stamp_ms: self.now_ms,
            happened_ms: self.now_ms,
            zone: ZONE.to_owned(),
            kind: kind.to_owned(),
            figures: all,
            replaces: replaces.iter().map(|id| (*id).to_owned()).collect(),
        }
    }
    pub(crate) fn dump(&mut self, number: &str) -> Written {
        self.write(
            "dump",
            &[
                ("machine", "combine"),
                ("field", "Bench"),
                ("crop", "soybean"),
                ("to", "Gravity 1"),
                ("now-full", "1/2"),
                ("number", number),
            ],
            &[],
        )
    }
}

pub(crate) fn send_as(
    yard: &mut Yard,
    phone: &str,
    rights: Rights,
    sent_ms: i64,
    entries: &[Written],
) -> Taken {
    let farm = yard.farm();
    let sender = Sender {
        person: "helper",
        device: phone,
        rights,
    };
    let batch = Batch {
        device: Phone {
            id: phone.to_owned(),
            name: format!("the phone {phone}"),
        },
        sent_ms,
        entries: entries.iter().cloned().map(Sent::Written).collect(),
    };
    take(&mut yard.book, &farm, &sender, &batch, &mut yard.clock).unwrap()
}

pub(crate) fn send(yard: &mut Yard, phone: &str, entries: &[Written]) -> Taken {
    let now_ms = yard.clock.now_ms;
    send_as(yard, phone, Rights::Helper, now_ms, entries)
}

pub(crate) fn states(taken: &Taken) -> Vec<State> {
    taken.results.iter().map(|one| one.state).collect()
}

pub(crate) fn of_device(yard: &Yard, phone: &str) -> Vec<book::Entry> {
    let all = yard.book.entries().unwrap();
    all.into_iter()
        .filter(|one| one.device.as_str() == phone)
        .collect()
}
