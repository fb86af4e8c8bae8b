//! What a person should look at before an entry is saved. It refuses nothing: what is odd may
//! well be so.

use crate::Farm;
use book::kinds::{Name, Payload, PlaceKind};

/// Things about an entry that are not wrong in themselves and are seldom meant: one sentence each.
///
/// It looks at one entry against the setup only; what slips say together is the account's to find.
pub fn odd(payload: &Payload, farm: &Farm) -> Vec<String> {
    let mut out = Vec::new();
    match payload {
        Payload::Dump(dump) => {
            planted(&mut out, farm, &dump.field, &dump.crop, dump.season);
            if kind_of(farm, &dump.into) == Some(PlaceKind::Pit) {
                out.push(format!(
                    "{} is a buyer's pit; a tank goes into a cart, a wagon or a truck first",
                    dump.into
                ));
            }
        }
        Payload::Count(count) => {
            planted(&mut out, farm, &count.field, &count.crop, count.season);
        }
        Payload::Setting(setting) => {
            if setting.changes.len() > 1 {
                out.push(
                    "several changes at once can only be judged together; one at a time says which"
                        .to_owned(),
                );
            }
            if let (Some(field), Some(crop)) = (&setting.field, &setting.crop) {
                planted(&mut out, farm, field, crop, setting.season);
            }
        }
        Payload::Sample(sample) if farm.fields.contains_key(&sample.of) => {
            planted(&mut out, farm, &sample.of, &sample.crop, sample.season);
        }
        Payload::Weighed(weighed) => match &weighed.field {
            Some(field) => planted(&mut out, farm, field, &weighed.crop, weighed.season),
            None => grown(&mut out, farm, &weighed.crop, weighed.season),
        },
        Payload::Move(moved) => grown(&mut out, farm, &moved.crop, moved.season),
        Payload::Contract(one) => grown(&mut out, farm, &one.crop, one.season),
        Payload::Arranged(one) => match &one.field {
            Some(field) => planted(&mut out, farm, field, &one.crop, one.season),
            None => grown(&mut out, farm, &one.crop, one.season),
        },
        Payload::CallAt(call) => {
            let unit = |name: &Option<Name>| name.as_ref() == Some(&call.unit);
            if !farm
                .fields
                .values()
                .any(|field| unit(&field.says.unit_number))
            {
                out.push(format!("no field is of the insured unit {}", call.unit));
            }
            grown(&mut out, farm, &call.crop, call.season);
        }
        Payload::Go(go) if !farm.stops.iter().any(|stop| stop.id == go.stop) => {
            out.push("the stop that it ends is not in the book".to_owned());
        }
        Payload::Ticked(tick) if !farm.ready.iter().any(|line| line.id == tick.item) => {
            out.push("the line that it ticks is not in the book".to_owned());
        }
        _ => {}
    }
    out
}

fn kind_of(farm: &Farm, place: &Name) -> Option<PlaceKind> {
    farm.places.get(place).map(|place| place.says.kind)
}

/// Whether the crop is planted in the field that season.
fn planted(out: &mut Vec<String>, farm: &Farm, field: &Name, crop: &Name, season: u16) {
    let here: Vec<&str> = farm
        .plantings
        .iter()
        .filter(|one| one.says.field == *field && one.says.season == season)
        .map(|one| one.says.crop.as_str())
        .collect();
    if here.is_empty() {
        out.push(format!("nothing is planted in {field} in {season}"));
    } else if !here.contains(&crop.as_str()) {
        let here = here.join(", ");
        out.push(format!(
            "{crop} is not planted in {field} in {season}; {here} is"
        ));
    }
}

/// Whether the crop of that season was planted anywhere, or was there already.
fn grown(out: &mut Vec<String>, farm: &Farm, crop: &Name, season: u16) {
    let planted = farm
        .plantings
        .iter()
        .map(|one| (&one.says.crop, one.says.season));
    let there = farm
        .openings
        .iter()
        .map(|one| (&one.says.crop, one.says.season));
    if !planted.chain(there).any(|one| one == (crop, season)) {
        out.push(format!("{crop} of {season} is planted in no field"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::written::{Figures, read};
    use book::{EntryId, Happened};

    fn farm() -> Farm {
        let mut farm = Farm::default();
        let at = Happened::new(1_790_000_000_000, "America/Chicago").unwrap();
        let setup: &[(&str, &[(&str, &str)])] = &[
            ("field", &[("name", "Willow Bench"), ("unit", "0001")]),
            (
                "planting",
                &[("field", "Willow Bench"), ("crop", "soybean")],
            ),
            ("machine", &[("name", "combine")]),
            ("place", &[("name", "Gravity 1"), ("kind", "wagon")]),
            ("place", &[("name", "Pit"), ("kind", "pit")]),
        ];
        for (n, (kind, figures)) in (0u8..).zip(setup) {
            let payload = read(kind, &typed(figures), &farm, 2026).unwrap();
            let id = EntryId::from_clock(1_790_000_000_000, [n; 10]).unwrap();
            farm.learn(id, &at, false, payload);
        }
        farm
    }

    fn typed(figures: &[(&str, &str)]) -> Figures {
        let mut out = Figures::default();
        for (name, text) in figures {
            out.add(name, *text);
        }
        out
    }

    fn said(kind: &str, figures: &[(&str, &str)]) -> Vec<String> {
        let farm = farm();
        odd(&read(kind, &typed(figures), &farm, 2026).unwrap(), &farm)
    }

    #[test]
    fn a_load_of_what_is_planted_is_not_odd() {
        let usual = [
            ("machine", "combine"),
            ("field", "willow bench"),
            ("to", "Gravity 1"),
        ];
        assert_eq!(said("dump", &usual), Vec::<String>::new());
    }

    #[test]
    fn another_crop_year_unit_or_place_is_asked_about() {
        let to = |place| {
            [
                ("machine", "combine"),
                ("field", "Willow Bench"),
                ("to", place),
            ]
        };
        let corn = [&to("Gravity 1")[..], &[("crop", "corn")]].concat();
        assert_eq!(
            said("dump", &corn),
            ["corn is not planted in Willow Bench in 2026; soybean is"]
        );
        let last = [&corn[..], &[("season", "2025")]].concat();
        assert_eq!(
            said("dump", &last),
            ["nothing is planted in Willow Bench in 2025"]
        );
        assert!(said("dump", &to("Pit"))[0].contains("pit"));
        let call = [("unit", "0002"), ("crop", "soybean"), ("yield", "38")];
        assert_eq!(
            said("call_at", &call),
            ["no field is of the insured unit 0002"]
        );
    }

    #[test]
    fn a_crop_is_left_out_only_where_one_is_planted() {
        let mut farm = farm();
        let dump = [
            ("machine", "combine"),
            ("field", "Willow Bench"),
            ("to", "Gravity 1"),
        ];
        let Payload::Dump(one) = read("dump", &typed(&dump), &farm, 2026).unwrap() else {
            panic!()
        };
        assert_eq!(one.crop.as_str(), "soybean");
        let why = read("dump", &typed(&dump), &farm, 2025)
            .unwrap_err()
            .to_string();
        assert!(why.contains("needs crop"), "{why}");
        let two = typed(&[("field", "Willow Bench"), ("crop", "corn")]);
        let two = read("planting", &two, &farm, 2026).unwrap();
        let at = Happened::new(1_790_000_000_000, "America/Chicago").unwrap();
        let id = EntryId::from_clock(1_790_000_000_000, [9; 10]).unwrap();
        farm.learn(id, &at, false, two);
        let why = read("dump", &typed(&dump), &farm, 2026)
            .unwrap_err()
            .to_string();
        assert!(why.contains("which of corn, soybean"), "{why}");
    }

    #[test]
    fn a_phones_load_reads_as_it_was_tapped() {
        let tapped = [
            ("machine", "combine"),
            ("field", "Willow Bench"),
            ("to", "Gravity 1"),
            ("now-full", "heap"),
            ("monitor", "240 bu"),
            ("covered", "no"),
            ("mixed", "yes"),
        ];
        let Payload::Dump(dump) = read("dump", &typed(&tapped), &farm(), 2026).unwrap() else {
            panic!()
        };
        assert_eq!(dump.into_fill.unwrap().percent.to_string(), "110");
        // 240 bushels of 60 lb
        assert_eq!(
            dump.monitor.unwrap().mass,
            quantity::Mass::from_units(14_400 * 45_359_237)
        );
        assert_eq!((dump.covered, dump.mixed), (Some(false), true));
    }
}
