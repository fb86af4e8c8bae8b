//! What the demo season holds besides slips: photographs of the paper, what agent and buyer agreed,
//! counts, settings, stops, samples, notes, lists, tarps and a copy of the book. Made up, seeded by nothing but
//! the slips themselves, so that the same seed tells the same season.

use super::enter::{SeasonClock, slip_figures, write};
use crate::written::Figures;
use crate::{DeskError, Pen};
use book::kinds::{FileKept, FilePurpose, Name, Payload};
use book::{Book, Sha256Key};
use worlds::demo::DemoFarm;
use worlds::paper::{PlaceKind, Slip};

/// An hour.
const HOUR_MS: i64 = 3_600_000;

/// A kind, its figures, and when it happened.
type Told = (i64, &'static str, Figures);

fn figures(pairs: &[(&str, &str)]) -> Figures {
    let mut out = Figures::default();
    for (name, text) in pairs {
        out.add(name, *text);
    }
    out
}

/// Names as people on this farm would say them: `red-wagon` is the Red wagon, `creek-bench` is Creek
/// Bench.
pub(super) fn spoken(farm: &DemoFarm, id: &str) -> String {
    let field = farm.fields.iter().any(|field| field.id == id);
    let mut out = String::with_capacity(id.len());
    let mut large = true;
    for c in id.chars() {
        if c == '-' {
            out.push(' ');
            large = field;
        } else if large {
            out.extend(c.to_uppercase());
            large = false;
        } else {
            out.push(c);
        }
    }
    out
}

/// What a slip's paper looks like, line by line, as the mill's printer would have it.
fn printed(farm: &DemoFarm, slip: &Slip) -> Vec<String> {
    let (_, figures) = slip_figures(farm, slip);
    let mut lines = vec![
        format!("WEIGH TICKET {}", figures.one("number").unwrap_or("")),
        String::new(),
    ];
    if let Ok(zone) = jiff::tz::TimeZone::get(&farm.zone)
        && let Ok(at) = jiff::Timestamp::from_millisecond(slip.at_ms)
    {
        lines.push(
            at.to_zoned_datetime(zone)
                .strftime("%Y-%m-%d  %H:%M")
                .to_string(),
        );
    }
    lines.push(format!("{}  {}", slip.crop, spoken(farm, &slip.from[0])));
    lines.push(String::new());
    for (word, name) in [("GROSS", "gross"), ("TARE", "tare"), ("NET", "net")] {
        if let Some(text) = figures.one(name) {
            lines.push(format!("{word:<8}{text:>14}"));
        }
    }
    if figures.one("net").is_none()
        && let worlds::paper::Weight::Scale { net, unit, .. } = &slip.weight
    {
        lines.push(format!(
            "{:<8}{:>14}",
            "NET",
            format!("{net} {}", unit.symbol())
        ));
    }
    lines.push(String::new());
    for (word, name) in [("MOIST", "moisture"), ("TEST WT", "test-weight")] {
        if let Some(text) = figures.one(name) {
            lines.push(format!("{word:<8}{text:>14}"));
        }
    }
    lines.push(String::new());
    lines.push("DRIVER COPY".to_owned());
    lines
}

/// Attaches the photograph of a slip's paper, if it has one; the slip as on paper, not as typed.
pub(super) fn photograph(
    book: &mut Book,
    farm: &DemoFarm,
    name: &str,
) -> Result<Option<Sha256Key>, DeskError> {
    let Some(slip) = farm.paper.slip(name) else {
        return Ok(None);
    };
    let (kind, figures) = slip_figures(farm, slip);
    if kind != "weighed" || figures.one("number").is_none() {
        return Ok(None);
    }
    Ok(Some(book.attach(&draw::paper_slip(&printed(farm, slip)))?))
}

/// A ticket that the driver photographed and nobody typed: what the season's missing slip left behind.
pub(super) fn untyped(
    book: &mut Book,
    farm: &DemoFarm,
    clock: &mut SeasonClock,
) -> Result<(), DeskError> {
    let found = farm.paper.slips.iter().find(|slip| {
        farm.typed.slip(&slip.id).is_none() && slip_figures(farm, slip).0 == "weighed"
    });
    let Some(slip) = found else { return Ok(()) };
    let Some(sha256) = photograph(book, farm, &slip.id)? else {
        return Ok(());
    };
    let bytes = book
        .attachment(sha256)?
        .map_or(0, |bytes| bytes.len() as u64);
    let mut of = Vec::new();
    for name in &slip.from {
        of.push(Name::new(spoken(farm, name))?);
    }
    let kept = FileKept {
        sha256,
        name: Name::new("ticket.png")?,
        bytes,
        purpose: FilePurpose::Ticket,
        of,
    };
    clock.reach(slip.at_ms + 60_000);
    let mut pen = Pen::new("driver", None, &farm.zone, clock)?;
    pen.at = Some(book::Happened::new(slip.at_ms, &farm.zone)?);
    pen.write(book, Payload::File(kept))?;
    Ok(())
}

/// What was agreed before the first slip: agent, buyer, lists.
pub(super) fn agreed(
    book: &mut Book,
    farm: &DemoFarm,
    clock: &mut SeasonClock,
) -> Result<(), DeskError> {
    let year = farm.year.to_string();
    let buyer = spoken(farm, &farm.buyer);
    let mut told: Vec<(&str, &str, Figures)> = Vec::new();
    for field in &farm.fields {
        // the agent's yields: low enough for the oats to stay clear of theirs, near enough for the corn
        let call_at = match field.crop.as_str() {
            "corn" => "118",
            "oats" => "48",
            _ => "41",
        };
        if !told
            .iter()
            .any(|(unit, crop, _)| *unit == field.unit && *crop == field.crop)
        {
            let f = figures(&[
                ("unit", &field.unit),
                ("crop", &field.crop),
                ("season", &year),
                ("yield", call_at),
                ("notice-by", &format!("{year}-12-10")),
                ("agent", "the crop agent"),
                ("telephone", "555-0142"),
            ]);
            told.push((&field.unit, &field.crop, f));
        }
    }
    for (_, _, f) in told {
        write(book, clock, &farm.zone, None, "call_at", &f)?;
    }
    for contract in &farm.contracts {
        let Some(price) = &contract.price_per_bu else {
            continue;
        };
        let f = figures(&[
            ("number", &contract.id),
            ("buyer", &buyer),
            ("crop", &contract.crop),
            ("season", &year),
            (
                "bushels",
                if contract.crop == "corn" {
                    "3,000"
                } else {
                    "900"
                },
            ),
            ("price", &format!("${}/bu", price.trim_start_matches('$'))),
            ("deliver-by", &format!("{year}-12-15")),
        ]);
        write(book, clock, &farm.zone, None, "contract", &f)?;
        let f = figures(&[
            ("buyer", &buyer),
            ("crop", &contract.crop),
            ("season", &year),
            ("terms", "sell"),
            ("contract", &contract.id),
            ("account", "owner=HERON BENCH"),
        ]);
        write(book, clock, &farm.zone, None, "arranged", &f)?;
    }
    for (list, text) in [
        ("walk-round", "Oil, coolant, belts; feel the bearings"),
        ("walk-round", "Blow the chaff off engine and exhaust"),
        ("walk-round", "Two extinguishers, charged"),
        ("walk-round", "Stone trap empty"),
        ("bring", "Hand meter and count frame"),
        ("bring", "Ticket book and pen"),
        ("bring", "Water for the headland"),
    ] {
        write(
            book,
            clock,
            &farm.zone,
            None,
            "ready",
            &figures(&[("list", list), ("text", text)]),
        )?;
    }
    Ok(())
}

/// A loss count of four frames in each place: field, crop, machine, and what lay behind the machine.
fn counted((field, crop, machine): (&str, &str, &str), behind: [&str; 4]) -> Figures {
    let mut count = figures(&[
        ("field", field),
        ("crop", crop),
        ("machine", machine),
        ("frame", "1 ft2"),
        ("cut-width", "15 ft"),
        ("tail", "spread"),
    ]);
    for (place, seeds) in [
        ("standing", ["1", "0", "2", "1"]),
        ("behind-head", ["3", "2", "4", "2"]),
        ("behind-machine", behind),
    ] {
        for one in seeds {
            count.add(place, one);
        }
    }
    count
}

/// One thing set on the machine, with a look into the tank before it.
fn set((field, crop, machine): (&str, &str, &str), change: &str, remark: &str) -> Figures {
    figures(&[
        ("machine", machine),
        ("field", field),
        ("crop", crop),
        ("change", change),
        ("cracked", "1.5%"),
        ("dirt", "some"),
        ("remark", remark),
    ])
}

/// What happened around the slips: on each day that something was cut, a stop; on some a count, a
/// sample, a note; twice something is set on the machine, and once counted again after it.
pub(super) fn around(farm: &DemoFarm) -> Vec<Told> {
    let machine = farm.typed.machines.first().cloned().unwrap_or_default();
    let machine = spoken(farm, &machine);
    let standing = |name: &String| {
        farm.typed
            .places
            .iter()
            .any(|place| place.id == *name && place.kind == PlaceKind::Standing)
    };
    let mut days: Vec<&Slip> = Vec::new();
    for slip in farm
        .typed
        .slips
        .iter()
        .filter(|slip| slip.from.first().is_some_and(standing))
    {
        let new_day = days
            .last()
            .is_none_or(|last| slip.at_ms - last.at_ms > 14 * HOUR_MS);
        if new_day {
            days.push(slip);
        }
    }
    let reasons = [
        ("wagon", "25", ""),
        ("moving", "35", ""),
        ("plug", "20", "feeder house"),
        ("fuel-grease", "15", ""),
        ("breakdown", "70", "cross auger bearing"),
    ];
    let notes = [
        "Cross auger bearing ran warm. Grease before start.",
        "Low ground by the creek holds water; leave it for last.",
        "Neighbor's dryer is free from Thursday.",
    ];
    let mut out: Vec<Told> = Vec::new();
    for (number, first) in days.iter().enumerate() {
        let field = spoken(farm, &first.from[0]);
        let at = first.at_ms;
        let (why, minutes, part) = reasons[number % reasons.len()];
        let stop = figures(&[
            ("machine", &machine),
            ("field", &field),
            ("why", why),
            ("minutes", minutes),
            ("part", part),
        ]);
        out.push((at + HOUR_MS, "stop", stop));
        let wet = if first.crop == "corn" {
            "19.4%"
        } else {
            "13.6%"
        };
        let mut sample = figures(&[
            ("of", &field),
            ("crop", &first.crop),
            ("how", "hand-shelled"),
            ("moisture", wet),
        ]);
        if let Some(meter) = farm
            .typed
            .meters
            .iter()
            .find(|one| one.kind == worlds::paper::MeterKind::Hand)
        {
            sample.add("meter", spoken(farm, &meter.id));
        }
        out.push((at - HOUR_MS / 2, "sample", sample));
        if number % 2 == 0 {
            let place = (field.as_str(), first.crop.as_str(), machine.as_str());
            let count = counted(place, ["6", "4", "8", "5"]);
            out.push((at + HOUR_MS / 2, "count", count));
            match number {
                // clean grain over the sieves: the fan slower, and counted again
                0 => {
                    out.push((
                        at + HOUR_MS * 3 / 4,
                        "setting",
                        set(place, "fan 900 to 850 rpm", "Clean grain on the ground."),
                    ));
                    let again = counted(place, ["3", "4", "2", "3"]);
                    out.push((at + HOUR_MS * 3 / 2, "count", again));
                }
                // set late in the day; nobody has counted since
                2 => out.push((
                    at + HOUR_MS * 5,
                    "setting",
                    set(place, "rotor 420 to 400 rpm", "Cracked grain in the tank."),
                )),
                _ => {}
            }
        }
        out.push((
            at + 8 * HOUR_MS,
            "note",
            figures(&[("text", notes[number % notes.len()])]),
        ));
    }
    if let Some(last) = days.last() {
        out.push((
            last.at_ms - 72 * HOUR_MS,
            "copied",
            figures(&[("to", "stick in the truck"), ("entries", "120")]),
        ));
    }
    out.sort_by_key(|(at_ms, ..)| *at_ms);
    out
}
