//! A small farm in a book of its own: two fields in two insured units, two wagons, a bin, a mill.

use desk::written::Figures;
use desk::{Clock, Farm, Pen};

/// A clock that a test sets.
pub(crate) struct Hands {
    pub(crate) now_ms: i64,
    count: u64,
}

impl Clock for Hands {
    fn now_ms(&mut self) -> i64 {
        self.now_ms
    }
    fn chance(&mut self) -> [u8; 10] {
        self.count += 1;
        let mut chance = [7; 10];
        chance[2..].copy_from_slice(&self.count.to_be_bytes());
        chance
    }
}

/// The book with its clock.
pub(crate) struct Yard {
    pub(crate) book: book::Book,
    pub(crate) clock: Hands,
    _folder: tempfile::TempDir,
}

pub(crate) const ZONE: &str = "America/Chicago";

/// Local time in the yard, UTC milliseconds.
pub(crate) fn at(text: &str) -> i64 {
    desk::happened(text, ZONE).unwrap().at_ms()
}

impl Yard {
    /// A farm with only its name.
    pub(crate) fn empty() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut clock = Hands {
            now_ms: at("2026-08-01 09:00"),
            count: 0,
        };
        let device = book::Device::new("kitchen", "the laptop in the kitchen").unwrap();
        let path = folder.path().join("farm.stook");
        let (book, _) =
            desk::books::create(&path, "Two Fields", ZONE, "owner", &device, &mut clock).unwrap();
        Self {
            book,
            clock,
            _folder: folder,
        }
    }

    /// The farm with its fields, wagons, bin, mill and plantings of 2026.
    pub(crate) fn planted() -> Self {
        let mut yard = Self::empty();
        let when = "2026-08-01 10:00";
        yard.write(
            when,
            "person",
            &[("name", "landowner"), ("role", "landlord")],
        );
        for (name, unit, acres) in [("Bench", "A", "30 ac"), ("Eighty", "B", "78 ac")] {
            yard.write(
                when,
                "field",
                &[("name", name), ("unit", unit), ("planted", acres)],
            );
        }
        yard.write(
            when,
            "planting",
            &[
                ("field", "Bench"),
                ("crop", "soybean"),
                ("share", "owner=2/3"),
                ("share", "landowner=1/3"),
            ],
        );
        yard.write(
            when,
            "planting",
            &[("field", "Eighty"), ("crop", "sorghum")],
        );
        yard.write(
            when,
            "machine",
            &[
                ("name", "combine"),
                ("monitor", "wet"),
                ("tank", "9,000 lb"),
            ],
        );
        yard.write(when, "meter", &[("name", "hand meter"), ("kind", "hand")]);
        yard.write(when, "meter", &[("name", "mill meter"), ("kind", "buyer")]);
        for (name, kind) in [
            ("Gravity 1", "wagon"),
            ("Gravity 2", "wagon"),
            ("Bin 2", "bin"),
            ("Mill", "pit"),
        ] {
            yard.write(when, "place", &[("name", name), ("kind", kind)]);
        }
        yard.write(when, "buyer", &[("name", "Mill")]);
        yard
    }

    pub(crate) fn farm(&self) -> Farm {
        Farm::read(&self.book).unwrap()
    }

    /// Writes one entry that happened at a local time; the clock stands then as well.
    pub(crate) fn write(
        &mut self,
        when: &str,
        kind: &str,
        figures: &[(&str, &str)],
    ) -> book::EntryId {
        self.clock.now_ms = self.clock.now_ms.max(at(when));
        let farm = self.farm();
        let mut typed = Figures::default();
        for (name, text) in figures {
            typed.add(name, *text);
        }
        let mut pen = Pen::new("owner", Some(when), ZONE, &mut self.clock).unwrap();
        desk::write(&mut self.book, &farm, &mut pen, kind, &typed)
            .unwrap()
            .id
    }

    /// A tank of a crop out of a field into a place.
    pub(crate) fn dump(
        &mut self,
        when: &str,
        number: &str,
        field: &str,
        into: &str,
        lb: &str,
    ) -> book::EntryId {
        let crop = if field == "Bench" {
            "soybean"
        } else {
            "sorghum"
        };
        self.write(
            when,
            "dump",
            &[
                ("machine", "combine"),
                ("field", field),
                ("crop", crop),
                ("to", into),
                ("number", number),
                ("monitor", lb),
                (
                    "moisture",
                    if crop == "soybean" { "13.0%" } else { "17.0%" },
                ),
            ],
        )
    }

    /// A ticket at the mill.
    pub(crate) fn ticket(
        &mut self,
        when: &str,
        number: &str,
        from: &str,
        crop: &str,
        (gross, tare): (&str, &str),
        moisture: &str,
    ) -> book::EntryId {
        self.write(
            when,
            "weighed",
            &[
                ("from", from),
                ("to", "Mill"),
                ("buyer", "Mill"),
                ("crop", crop),
                ("number", number),
                ("gross", gross),
                ("tare", tare),
                ("moisture", moisture),
                ("meter", "mill meter"),
            ],
        )
    }
}

/// The evening of a moment.
pub(crate) fn tonight(yard: &Yard, when: &str) -> desk::night::Evening {
    desk::night::evening(&yard.farm(), at(when), None).unwrap()
}
