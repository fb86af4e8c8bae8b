//! People and buyers.

use super::Name;
use super::check::{distinct, odd, season, within};
use crate::BookError;
use quantity::Moisture;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What somebody is to the harvest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Grows the crop.
    Grower,
    /// Owns land that is farmed on shares.
    Landlord,
    /// Runs the combine.
    Operator,
    /// Drives grain.
    Driver,
    /// Helps.
    Help,
    /// Does it for hire.
    Custom,
}

/// Somebody. A later entry of the same name holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// What people call them.
    pub name: Name,
    /// What they are to the harvest.
    pub roles: Vec<Role>,
    /// Their usual share of a crop, per cent; a planting's own shares hold where they are given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub usual_share_percent: Option<Decimal>,
    /// The language they read, where it is not the farm's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub language: Option<Language>,
    /// Their telephone number, as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub telephone: Option<Name>,
}

/// A language that people of the farm read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Language {
    /// English.
    English,
    /// Spanish.
    Spanish,
}

impl Person {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        let mut roles = self.roles.clone();
        roles.sort_unstable();
        roles.dedup();
        if roles.len() != self.roles.len() {
            return Err(odd("person", "roles", "one twice", "each named once"));
        }
        within(
            "person",
            "usual_share_percent",
            self.usual_share_percent,
            (0, 100),
            "%",
        )
    }
}

/// Hours of one day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hours {
    /// Day of the week, 1 Monday to 7 Sunday.
    pub weekday: u8,
    /// Opens, minutes after local midnight.
    pub opens_min: u16,
    /// Closes, minutes after local midnight; after `opens_min`.
    pub closes_min: u16,
}

/// When and how a buyer takes a crop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Receiving {
    /// Which crop.
    pub crop: Name,
    /// When the pit is open.
    pub hours: Vec<Hours>,
    /// Wettest grain taken.
    #[serde(
        default,
        with = "some_moisture",
        skip_serializing_if = "Option::is_none"
    )]
    pub top_moisture: Option<Moisture>,
    /// What kinds of vehicle the pit takes, e.g. `hopper trailer`, `gravity wagon`; empty takes any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vehicles: Vec<Name>,
}

mod some_moisture {
    use crate::kinds::stored;
    use quantity::Moisture;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    #[derive(Serialize, Deserialize)]
    #[serde(transparent)]
    struct Stored(#[serde(with = "stored::moisture")] Moisture);

    #[expect(
        clippy::ref_option,
        clippy::trivially_copy_pass_by_ref,
        reason = "serde's `with` hands over a reference to the field"
    )]
    pub(super) fn serialize<S: Serializer>(m: &Option<Moisture>, to: S) -> Result<S::Ok, S::Error> {
        m.map(Stored).serialize(to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<Moisture>, D::Error> {
        Ok(Option::<Stored>::deserialize(from)?.map(|stored| stored.0))
    }
}

/// One of a buyer's schedules.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuyerSchedule {
    /// What people call it, e.g. `2026 corn, cash`.
    pub name: Name,
    /// Which crop.
    pub crop: Name,
    /// Which season.
    pub season: u16,
    /// The schedule itself: a `grain::Schedule` as JSON, checked as one, kept as it was written.
    pub schedule: serde_json::Value,
}

/// A buyer. A later entry of the same name holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Buyer {
    /// What people call it.
    pub name: Name,
    /// Its schedules.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub schedules: Vec<BuyerSchedule>,
    /// When and how it takes what.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub receiving: Vec<Receiving>,
    /// Miles and roads, a remark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub location: Option<Name>,
}

impl Buyer {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        let names: Vec<&Name> = self.schedules.iter().map(|one| &one.name).collect();
        if !names.is_empty() {
            distinct("buyer", "schedules", &names)?;
        }
        for one in &self.schedules {
            season("buyer", one.season)?;
            serde_json::from_value::<grain::Schedule>(one.schedule.clone())
                .map_err(|error| error.to_string())
                .and_then(|schedule| schedule.check().map_err(|error| error.to_string()))
                .map_err(|why| {
                    odd(
                        "buyer",
                        one.name.as_str(),
                        &why,
                        "a schedule that settles a ticket",
                    )
                })?;
        }
        for hours in self.receiving.iter().flat_map(|one| &one.hours) {
            let good = (1..=7).contains(&hours.weekday)
                && hours.opens_min < hours.closes_min
                && hours.closes_min <= 24 * 60;
            if !good {
                let found = format!(
                    "day {}, {} to {} min",
                    hours.weekday, hours.opens_min, hours.closes_min
                );
                return Err(odd(
                    "buyer",
                    "hours",
                    &found,
                    "day 1 to 7, opening before closing, within the day",
                ));
            }
        }
        Ok(())
    }
}
