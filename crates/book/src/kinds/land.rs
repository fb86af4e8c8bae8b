//! The farm, its fields, what is planted in them, and a season's settings.

use super::Name;
use super::check::{distinct, odd, season, within, words};
use crate::BookError;
use quantity::Money;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// The farm; a book begins with it, and two books merge only when they share one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Farm {
    /// What people call it.
    pub name: Name,
    /// The insured name on weight tickets, where it differs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insured_name: Option<Name>,
    /// The farm's usual time zone, e.g. `America/Chicago`.
    pub zone: Name,
}

impl Farm {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        crate::Happened::new(1, self.zone.as_str()).map(|_| ())
    }
}

/// Where an acreage comes from; no figure per acre is printed without it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AcresSource {
    /// Reported to an agency or insurer.
    Reported,
    /// Planted, by the planter or by count of bags.
    Planted,
    /// Measured from a boundary.
    Measured,
    /// Cut, by the machine's own swaths.
    Cut,
}

/// One acreage of a field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Acres {
    /// Where it comes from.
    pub source: AcresSource,
    /// International acres.
    pub area_ac: Decimal,
}

/// A field's outline: GeoJSON geometry (RFC 7946) of type Polygon or MultiPolygon, kept as text,
/// longitude and latitude in degrees on WGS 84, every ring closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Boundary(String);

#[derive(Deserialize)]
#[serde(tag = "type")]
enum Geometry {
    Polygon {
        coordinates: Vec<Vec<Vec<f64>>>,
    },
    MultiPolygon {
        coordinates: Vec<Vec<Vec<Vec<f64>>>>,
    },
}

impl Boundary {
    /// Checks and keeps a GeoJSON geometry.
    ///
    /// # Errors
    /// [`BookError::Field`] when it is not a Polygon or MultiPolygon, a ring is open or has fewer
    /// than three corners, or a corner is not a longitude and latitude.
    pub fn new(geojson: impl Into<String>) -> Result<Self, BookError> {
        let geojson = geojson.into();
        let expected = "a GeoJSON Polygon or MultiPolygon in longitude and latitude";
        let polygons = match serde_json::from_str(&geojson) {
            Ok(Geometry::Polygon { coordinates }) => vec![coordinates],
            Ok(Geometry::MultiPolygon { coordinates }) => coordinates,
            Err(why) => return Err(odd("field", "boundary", &why.to_string(), expected)),
        };
        if polygons.is_empty() || polygons.iter().any(Vec::is_empty) {
            return Err(odd("field", "boundary", "empty", expected));
        }
        for ring in polygons.iter().flatten() {
            if ring.len() < 4 || ring.first() != ring.last() {
                let found = format!("a ring of {} corners", ring.len());
                return Err(odd(
                    "field",
                    "boundary",
                    &found,
                    "closed rings of at least 4 positions",
                ));
            }
            for corner in ring {
                let good = (2..=3).contains(&corner.len())
                    && corner[0].abs() <= 180.0
                    && corner[1].abs() <= 90.0;
                if !good {
                    let found = format!("{corner:?}");
                    return Err(odd(
                        "field",
                        "boundary",
                        &found,
                        "[longitude, latitude] in degrees",
                    ));
                }
            }
        }
        Ok(Self(geojson))
    }

    /// The GeoJSON geometry as given.
    pub fn geojson(&self) -> &str {
        &self.0
    }
}
impl TryFrom<String> for Boundary {
    type Error = BookError;
    fn try_from(text: String) -> Result<Self, BookError> {
        Self::new(text)
    }
}
impl From<Boundary> for String {
    fn from(boundary: Boundary) -> Self {
        boundary.0
    }
}

/// A field. A later entry of the same name holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Field {
    /// What people call it.
    pub name: Name,
    /// Its outline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boundary: Option<Boundary>,
    /// Agency farm number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub farm_number: Option<Name>,
    /// Agency tract number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tract_number: Option<Name>,
    /// Agency field number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field_number: Option<Name>,
    /// Insured unit; records of two units are kept apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit_number: Option<Name>,
    /// Its acreages, at most one of each source.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub acres: Vec<Acres>,
}

impl Field {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        acres("field", &self.acres)
    }
}

fn acres(kind: &'static str, acres: &[Acres]) -> Result<(), BookError> {
    for one in acres {
        if one.area_ac <= Decimal::ZERO {
            return Err(odd(
                kind,
                "acres",
                &one.area_ac.to_string(),
                "more than 0 ac",
            ));
        }
        within(kind, "acres", Some(one.area_ac), (0, 100_000), "ac")?;
        if acres
            .iter()
            .filter(|other| other.source == one.source)
            .count()
            > 1
        {
            return Err(odd(
                kind,
                "acres",
                "two of one source",
                "at most one of each source",
            ));
        }
    }
    Ok(())
}

/// One person's share of a planting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Share {
    /// Whose.
    pub person: Name,
    /// Their share of the crop, per cent.
    pub percent: Decimal,
}

/// A crop in a field in a season; a field may carry two crops in one year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Planting {
    /// Which field.
    pub field: Name,
    /// Which crop, e.g. `corn`, `wheat-hrw`.
    pub crop: Name,
    /// The year it is harvested in.
    pub season: u16,
    /// Who has which share; they sum to exactly 100 %.
    pub shares: Vec<Share>,
    /// Practice, e.g. irrigated, no-till, following another crop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub practice: Option<Name>,
    /// Acreages of this planting where they differ from the field's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub acres: Vec<Acres>,
}

impl Planting {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("planting", self.season)?;
        acres("planting", &self.acres)?;
        whole("planting", "shares", &self.shares)
    }
}

/// Shares of distinct people that sum to exactly 100 %.
pub(super) fn whole(kind: &'static str, field: &str, shares: &[Share]) -> Result<(), BookError> {
    let people: Vec<&Name> = shares.iter().map(|share| &share.person).collect();
    distinct(kind, field, &people)?;
    for share in shares {
        within(kind, field, Some(share.percent), (0, 100), "%")?;
    }
    let sum: Decimal = shares.iter().map(|share| share.percent).sum();
    if sum != Decimal::ONE_HUNDRED {
        return Err(odd(
            kind,
            field,
            &format!("{} % in all", sum.normalize()),
            "100 % in all",
        ));
    }
    Ok(())
}

/// Settings of one season.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeasonSettings {
    /// Which season.
    pub season: u16,
    /// The local hour before which work still belongs to the day before: 4 means that a load at
    /// 3:30 in the morning is yesterday's. Common practice, no source.
    pub day_begins_hour: u8,
    /// What an hour that the combine stands costs, machine and crew, where the owner says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hour: Option<Money>,
    /// Anything the grower wants remembered with them.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl SeasonSettings {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("season", self.season)?;
        if self.day_begins_hour > 12 {
            let found = self.day_begins_hour.to_string();
            return Err(odd(
                "season",
                "day_begins_hour",
                &found,
                "an hour from 0 to 12",
            ));
        }
        if let Some(hour) = self.hour
            && !(Money::ZERO..=Money::from_units(100_000_000)).contains(&hour)
        {
            return Err(odd("season", "hour", &hour.show(), "$0 to $10,000"));
        }
        words("season", "remark", &self.remark, false)
    }
}
