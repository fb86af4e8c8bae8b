//! Before anybody has read a moisture: a tank that was judged by eye is in its wagon all the same, so
//! that the phone warns before grain of another field is put on it.

use desk::written::Figures;
use desk::{Clock, Farm, Pen};
use std::collections::BTreeMap;

const ZONE: &str = "America/Chicago";

struct Hands(i64, u8);

impl Clock for Hands {
    fn now_ms(&mut self) -> i64 {
        self.0
    }
    fn chance(&mut self) -> [u8; 10] {
        self.1 += 1;
        [self.1; 10]
    }
}

#[test]
fn the_first_tank_of_a_season_stands_in_its_wagon() {
    let when = "2026-10-06 10:00";
    let mut clock = Hands(desk::happened(when, ZONE).unwrap().at_ms(), 0);
    let folder = tempfile::tempdir().unwrap();
    let device = book::Device::new("kitchen", "the laptop").unwrap();
    let path = folder.path().join("farm.stook");
    let (mut book, _) =
        desk::books::create(&path, "Bench", ZONE, "owner", &device, &mut clock).unwrap();
    let lines: [(&str, &[(&str, &str)]); 5] = [
        ("field", &[("name", "Bench"), ("unit", "A")]),
        ("planting", &[("field", "Bench"), ("crop", "soybean")]),
        ("machine", &[("name", "combine"), ("tank", "9,000 lb")]),
        ("place", &[("name", "Gravity 1"), ("kind", "wagon")]),
        (
            "dump",
            &[
                ("machine", "combine"),
                ("field", "Bench"),
                ("to", "Gravity 1"),
                ("now-full", "1/2"),
            ],
        ),
    ];
    for (kind, figures) in lines {
        let farm = Farm::read(&book).unwrap();
        let mut typed = Figures::default();
        for (name, text) in figures {
            typed.add(name, *text);
        }
        let mut pen = Pen::new("owner", Some(when), ZONE, &mut clock).unwrap();
        desk::write(&mut book, &farm, &mut pen, kind, &typed).unwrap();
    }
    let farm = Farm::read(&book).unwrap();
    let snapshot =
        desk::cab::snapshot(&farm, clock.now_ms() + 60_000, "phone", &BTreeMap::new()).unwrap();
    let holds = snapshot.places[0].holds.as_ref().unwrap();
    assert_eq!(holds.crop, "soybean");
    assert_eq!(
        (&holds.fields[..], &holds.units[..]),
        (&["Bench".to_owned()][..], &["A".to_owned()][..])
    );
}
