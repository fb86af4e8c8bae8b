//! Invented slips for studies of the book: the same seed and index give the same slip.

use anyhow::Context as _;
use book::kinds::{
    Dump, Farm, Field, Machine, MoistureReading, MonitorBasis, MonitorReading, Name, Payload,
    Place, PlaceKind, ScaleClass, ScaleWeight, Weighed,
};
use book::{Book, EntryId, Happened, NewEntry, Sha256Key};
use numeric::stream::Stream;
use quantity::{Mass, MassUnit, Moisture};
use std::collections::BTreeMap;

/// The moment at which the studies' clock begins, UTC milliseconds.
pub(crate) const BEGIN_MS: i64 = 1_791_300_000_000;

/// One slip in this many is a ticket with a photograph of its paper.
const PHOTOGRAPHED: u64 = 6;

/// The clock at a slip: one slip every 90 seconds.
pub(crate) fn clock_ms(index: u64) -> anyhow::Result<i64> {
    Ok(BEGIN_MS + i64::try_from(index)? * 90_000)
}

/// An id that names the seed and the index.
pub(crate) fn id(seed: u64, index: u64) -> anyhow::Result<EntryId> {
    let mut chance = [0; 10];
    chance[..4].copy_from_slice(&seed.to_be_bytes()[4..]);
    chance[4..].copy_from_slice(&index.to_be_bytes()[2..]);
    Ok(EntryId::from_clock(clock_ms(index)?, chance)?)
}

/// The photograph of a slip's paper, if it has one: bytes that compress badly, as pictures do.
pub(crate) fn photograph(seed: u64, index: u64) -> Option<Vec<u8>> {
    index.is_multiple_of(PHOTOGRAPHED).then(|| {
        let mut stream = Stream::new(seed, "photograph", index);
        (0..4_096)
            .flat_map(|_| stream.bits().to_le_bytes())
            .collect()
    })
}

/// The slip of this index: a dump, or every third time a ticket.
pub(crate) fn payload(seed: u64, index: u64) -> anyhow::Result<Payload> {
    let mut stream = Stream::new(seed, "slip", index);
    let pounds = |number: i64| Mass::from_units(number * MassUnit::Lb.per());
    let moisture = |stream: &mut Stream| -> anyhow::Result<_> {
        let value = Moisture::from_ppm(u32::try_from(stream.whole(130, 240))? * 1_000)?;
        Ok(Some(MoistureReading { value, meter: None }))
    };
    let (field, wagon) = (
        ["creek", "bench", "far forty"],
        ["red wagon", "green wagon"],
    );
    let crop = Name::new("corn")?;
    if index.is_multiple_of(3) {
        let (gross, tare) = (stream.whole(1_700, 1_950) * 20, stream.whole(460, 520) * 20);
        return Ok(Payload::Weighed(Weighed {
            from: vec![Name::new(
                stream.choice(&wagon).context("there are wagons")?,
            )?],
            to: Name::new("pit")?,
            crop,
            season: 2026,
            weight: ScaleWeight {
                gross: Some(pounds(gross)),
                tare: Some(pounds(tare)),
                shared_tare: None,
                net: pounds(gross - tare),
                step: pounds(20),
                unit: MassUnit::Lb,
                class: ScaleClass::Certified,
            },
            moisture: moisture(&mut stream)?,
            test_weight_lb_bu: None,
            factors: BTreeMap::new(),
            number: Some(Name::new((40_000 + index).to_string())?),
            buyer: None,
            field: None,
            contract: None,
            split: Vec::new(),
            empties: true,
            paper: photograph(seed, index).map(|bytes| Sha256Key::of(&bytes)),
        }));
    }
    Ok(Payload::Dump(Dump {
        machine: Name::new("combine")?,
        field: Name::new(stream.choice(&field).context("there are fields")?)?,
        crop,
        season: 2026,
        into: Name::new(stream.choice(&wagon).context("there are wagons")?)?,
        fill: None,
        monitor: Some(MonitorReading {
            mass: pounds(stream.whole(9_000, 13_000)),
            unit: MassUnit::Lb,
            basis: MonitorBasis::Wet,
        }),
        moisture: moisture(&mut stream)?,
        number: None,
        paper: None,
        into_fill: None,
        covered: None,
        mixed: false,
        remark: String::new(),
    }))
}

/// Writes down what the slips name: the farm, its fields, the machine and the places.
pub(crate) fn set_up(book: &mut Book) -> anyhow::Result<Vec<EntryId>> {
    let place = |name: &str, kind| -> anyhow::Result<Payload> {
        Ok(Payload::Place(Place {
            name: Name::new(name)?,
            kind,
            capacity: None,
            tare: None,
            diameter_m: None,
            wall_m: None,
            location: None,
        }))
    };
    let mut payloads = vec![
        Payload::Farm(Farm {
            name: Name::new("study")?,
            insured_name: None,
            zone: Name::new("America/Chicago")?,
        }),
        Payload::Machine(Machine {
            name: Name::new("combine")?,
            tank: None,
            monitor: Some(MonitorBasis::Wet),
        }),
        place("red wagon", PlaceKind::Wagon)?,
        place("green wagon", PlaceKind::Wagon)?,
        place("pit", PlaceKind::Pit)?,
    ];
    for name in ["creek", "bench", "far forty"] {
        payloads.push(Payload::Field(Field {
            name: Name::new(name)?,
            boundary: None,
            farm_number: None,
            tract_number: None,
            field_number: None,
            unit_number: None,
            acres: Vec::new(),
        }));
    }
    let mut ids = Vec::new();
    for (index, payload) in (1..).zip(payloads) {
        let at_ms = BEGIN_MS - 3_600_000 + index;
        let mut chance = [0xff; 10];
        chance[9] = u8::try_from(index)?;
        let new = NewEntry {
            id: EntryId::from_clock(at_ms, chance)?,
            author: Name::new("grower")?,
            happened: Happened::new(at_ms, "America/Chicago")?,
            payload,
            replaces: Vec::new(),
        };
        ids.push(book.append(&new, at_ms)?.id);
    }
    Ok(ids)
}

/// The slip as an entry about to be written.
pub(crate) fn entry(seed: u64, index: u64) -> anyhow::Result<NewEntry> {
    Ok(NewEntry {
        id: id(seed, index)?,
        author: Name::new("grower")?,
        happened: Happened::new(clock_ms(index)?, "America/Chicago")?,
        payload: payload(seed, index)?,
        replaces: Vec::new(),
    })
}

/// Writes the slip into the book, its photograph first.
pub(crate) fn write(book: &mut Book, seed: u64, index: u64) -> anyhow::Result<EntryId> {
    if let Some(bytes) = photograph(seed, index) {
        book.attach(&bytes)?;
    }
    Ok(book.append(&entry(seed, index)?, clock_ms(index)?)?.id)
}
