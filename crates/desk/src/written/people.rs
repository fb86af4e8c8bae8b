//! Machines, meters, places, buyers and people, as written.

use super::{Figures, choice, name, pair, words};
use crate::DeskError;
use book::kinds::{
    Buyer, BuyerSchedule, Hours, Language, Machine, Meter, MeterKind, MonitorBasis, Name, Person,
    Place, PlaceKind, Receiving, Role,
};
use quantity::{Length, LengthUnit, Mass, Moisture};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

words! {
    MONITORS, MONITOR_WORDS: Option<MonitorBasis> {
        "wet" => Some(MonitorBasis::Wet),
        "dry" => Some(MonitorBasis::Dry),
        "none" => None,
    }
}
words! {
    METERS, METER_WORDS: MeterKind {
        "buyer" => MeterKind::Buyer,
        "hand" => MeterKind::Hand,
        "machine" => MeterKind::Machine,
    }
}
words! {
    PLACES, PLACE_WORDS: PlaceKind {
        "cart" => PlaceKind::Cart,
        "wagon" => PlaceKind::Wagon,
        "truck" => PlaceKind::Truck,
        "bin" => PlaceKind::Bin,
        "pile" => PlaceKind::Pile,
        "dryer" => PlaceKind::Dryer,
        "pit" => PlaceKind::Pit,
        "feed" => PlaceKind::Feed,
        "seed" => PlaceKind::Seed,
        "spill" => PlaceKind::Spill,
    }
}
words! {
    ROLES, ROLE_WORDS: Role {
        "grower" => Role::Grower,
        "landlord" => Role::Landlord,
        "operator" => Role::Operator,
        "driver" => Role::Driver,
        "help" => Role::Help,
        "custom" => Role::Custom,
    }
}
words! {
    LANGUAGES, LANGUAGE_WORDS: Language {
        "english" => Language::English,
        "spanish" => Language::Spanish,
    }
}

pub(super) fn machine(figures: &Figures) -> Result<Machine, DeskError> {
    Ok(Machine {
        name: Name::new(figures.must("name"))?,
        tank: figures.parsed("tank", Mass::parse)?,
        monitor: choice(figures, "monitor", MONITORS)?.flatten(),
    })
}

pub(super) fn meter(figures: &Figures) -> Result<Meter, DeskError> {
    Ok(Meter {
        name: Name::new(figures.must("name"))?,
        kind: choice(figures, "kind", METERS)?.expect("checked to be there"),
        of: figures.parsed("of", name)?,
    })
}

pub(super) fn place(figures: &Figures) -> Result<Place, DeskError> {
    Ok(Place {
        name: Name::new(figures.must("name"))?,
        kind: choice(figures, "kind", PLACES)?.expect("checked to be there"),
        capacity: figures.parsed("capacity", Mass::parse)?,
        tare: figures.parsed("tare", Mass::parse)?,
        diameter_m: length(figures, "across")?,
        wall_m: length(figures, "wall")?,
        location: figures.parsed("location", name)?,
    })
}

/// A length in metres to a tenth of a millimetre.
pub(super) fn length(figures: &Figures, name: &str) -> Result<Option<Decimal>, DeskError> {
    figures.parsed(name, metres)
}

pub(super) fn metres(text: &str) -> Result<Decimal, String> {
    let length = Length::parse(text).map_err(|why| why.to_string())?;
    Decimal::from_f64_retain(length.to(LengthUnit::M))
        .map(|m| m.round_dp(4).normalize())
        .ok_or_else(|| format!("found '{text}', expected a length like 18ft"))
}

pub(super) fn buyer(figures: &Figures, year: u16) -> Result<Buyer, DeskError> {
    let year = super::season(figures, year)?;
    let mut schedules = Vec::new();
    for text in figures.many("schedule") {
        let schedule = crate::schedule_from(text)?;
        schedules.push(BuyerSchedule {
            name: Name::new(&schedule.name)?,
            crop: Name::new(schedule.crop.key())?,
            season: year,
            schedule: serde_json::to_value(&schedule)
                .map_err(|why| DeskError::figure("schedule", why))?,
        });
    }
    let mut receiving: BTreeMap<Name, Receiving> = BTreeMap::new();
    let blank = |crop: Name| Receiving {
        crop,
        hours: vec![],
        top_moisture: None,
        vehicles: vec![],
    };
    for text in figures.many("hours") {
        let (crop, value) = crop_pair("hours", text)?;
        receiving
            .entry(crop.clone())
            .or_insert_with(|| blank(crop))
            .hours
            .extend(hours(value)?);
    }
    for text in figures.many("top-moisture") {
        let (crop, value) = crop_pair("top-moisture", text)?;
        let top = Moisture::parse(value).map_err(|why| DeskError::figure("top-moisture", why))?;
        receiving
            .entry(crop.clone())
            .or_insert_with(|| blank(crop))
            .top_moisture = Some(top);
    }
    for text in figures.many("takes") {
        let (crop, value) = crop_pair("takes", text)?;
        receiving
            .entry(crop.clone())
            .or_insert_with(|| blank(crop))
            .vehicles
            .push(Name::new(value)?);
    }
    Ok(Buyer {
        name: Name::new(figures.must("name"))?,
        schedules,
        receiving: receiving.into_values().collect(),
        location: figures.parsed("location", name)?,
    })
}

fn crop_pair<'t>(figure: &str, text: &'t str) -> Result<(Name, &'t str), DeskError> {
    let (crop, value) = pair(figure, text)?;
    let crop: facts::Crop = crop.parse().map_err(|why| DeskError::figure(figure, why))?;
    Ok((Name::new(crop.key())?, value))
}

pub(super) const DAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

/// `Mon-Sat 7:00-19:00`, or `Sun 13:00-17:00`.
fn hours(text: &str) -> Result<Vec<Hours>, DeskError> {
    let odd = || {
        DeskError::figure(
            "hours",
            format!("found '{text}', expected days and hours like Mon-Sat 7:00-19:00"),
        )
    };
    let (days, clock) = text.trim().split_once(' ').ok_or_else(odd)?;
    let day = |word: &str| {
        DAYS.iter()
            .position(|known| word.to_lowercase().starts_with(known))
    };
    let (first, last) = match days.split_once('-') {
        Some((first, last)) => (day(first).ok_or_else(odd)?, day(last).ok_or_else(odd)?),
        None => (day(days).ok_or_else(odd)?, day(days).ok_or_else(odd)?),
    };
    let minutes = |word: &str| -> Option<u16> {
        let (hour, minute) = word.trim().split_once(':')?;
        let (hour, minute): (u16, u16) = (hour.parse().ok()?, minute.parse().ok()?);
        (hour <= 24 && minute < 60).then_some(hour * 60 + minute)
    };
    let (opens, closes) = clock.split_once('-').ok_or_else(odd)?;
    let (opens_min, closes_min) = (
        minutes(opens).ok_or_else(odd)?,
        minutes(closes).ok_or_else(odd)?,
    );
    if first > last {
        return Err(odd());
    }
    Ok((first..=last)
        .map(|day| Hours {
            weekday: day as u8 + 1,
            opens_min,
            closes_min,
        })
        .collect())
}

pub(super) fn person(figures: &Figures) -> Result<Person, DeskError> {
    let mut roles = Vec::new();
    for text in figures.many("role") {
        let word = text.trim().to_lowercase();
        let role = ROLES
            .iter()
            .find(|(known, _)| *known == word)
            .map(|(_, role)| *role);
        roles.push(role.ok_or_else(|| {
            DeskError::figure(
                "role",
                format!(
                    "found '{text}', expected grower, landlord, operator, driver, help or custom"
                ),
            )
        })?);
    }
    Ok(Person {
        name: Name::new(figures.must("name"))?,
        roles,
        usual_share_percent: figures.parsed("usual-share", super::land::part)?,
        language: choice(figures, "language", LANGUAGES)?,
        telephone: figures.parsed("telephone", name)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_read_as_a_sign_at_the_gate_says_them() {
        let week = hours("Mon-Sat 7:00-19:00").unwrap();
        assert_eq!(week.len(), 6);
        assert_eq!(
            week[5],
            Hours {
                weekday: 6,
                opens_min: 420,
                closes_min: 1_140
            }
        );
        for odd in [
            "Mon",
            "Sat-Mon 7:00-19:00",
            "Mon 7-19",
            "Mon 7:00-19:75",
            "Xyz 7:00-19:00",
        ] {
            assert!(hours(odd).is_err(), "{odd}");
        }
    }
}
