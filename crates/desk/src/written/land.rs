//! Fields, plantings and the season's settings, as written.

use super::{Figures, name, pair, season as season_of};
use crate::{DeskError, Farm};
use book::kinds::{Acres, AcresSource, Boundary, Field, Name, Planting, SeasonSettings, Share};
use quantity::{Area, AreaUnit};
use quantity::{Money, MoneyUnit};
use rust_decimal::Decimal;

const SOURCES: [(&str, AcresSource); 4] = [
    ("reported", AcresSource::Reported),
    ("planted", AcresSource::Planted),
    ("measured", AcresSource::Measured),
    ("cut", AcresSource::Cut),
];

pub(super) fn field(figures: &Figures) -> Result<Field, DeskError> {
    Ok(Field {
        name: Name::new(figures.must("name"))?,
        boundary: figures.parsed("boundary", boundary)?,
        farm_number: figures.parsed("farm-number", name)?,
        tract_number: figures.parsed("tract", name)?,
        field_number: figures.parsed("field-number", name)?,
        unit_number: figures.parsed("unit", name)?,
        acres: acres(figures)?,
    })
}

fn acres(figures: &Figures) -> Result<Vec<Acres>, DeskError> {
    let mut acres = Vec::new();
    for (name, source) in SOURCES {
        if let Some(area) = figures.parsed(name, Area::parse)? {
            let area_ac = Decimal::from_f64_retain(area.to(AreaUnit::Ac))
                .ok_or_else(|| DeskError::figure(name, "not a number"))?
                .round_dp(4)
                .normalize();
            acres.push(Acres { source, area_ac });
        }
    }
    Ok(acres)
}

/// A GeoJSON geometry, or the first one inside a feature or a collection of one.
fn boundary(text: &str) -> Result<Boundary, String> {
    // a geometry stays as it is written, to the byte
    if let Ok(boundary) = Boundary::new(text.trim()) {
        return Ok(boundary);
    }
    let value: serde_json::Value = serde_json::from_str(text)
        .map_err(|_| "found no JSON, expected a GeoJSON polygon".to_owned())?;
    let feature = match value.get("features").and_then(|list| list.as_array()) {
        Some(list) if list.len() == 1 => &list[0],
        Some(list) => {
            return Err(format!(
                "found {} features, expected one field's outline",
                list.len()
            ));
        }
        None => &value,
    };
    let geometry = feature.get("geometry").unwrap_or(feature);
    Boundary::new(geometry.to_string()).map_err(|why| why.to_string())
}

pub(super) fn planting(figures: &Figures, farm: &Farm, year: u16) -> Result<Planting, DeskError> {
    Ok(Planting {
        field: farm.field(figures.must("field"))?,
        crop: crop(figures)?,
        season: season_of(figures, year)?,
        shares: shares("share", figures.many("share"))?,
        practice: figures.parsed("practice", name)?,
        acres: acres(figures)?,
    })
}

pub(super) fn season(figures: &Figures) -> Result<SeasonSettings, DeskError> {
    let hour = |text: &str| {
        text.trim()
            .parse()
            .map_err(|_| format!("found '{text}', expected an hour from 0 to 12"))
    };
    Ok(SeasonSettings {
        season: season_of(figures, 0)?,
        day_begins_hour: figures.parsed("day-begins", hour)?.unwrap_or(4),
        hour: figures.parsed("hour", |text| Money::parse_or(text, MoneyUnit::Dollar))?,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

/// The crop's key, e.g. `corn`.
pub(super) fn crop(figures: &Figures) -> Result<Name, DeskError> {
    let known: facts::Crop = figures
        .parsed("crop", str::parse)?
        .expect("required figures are checked before they are read");
    Ok(Name::new(known.key())?)
}

/// The crop as written; left out, the one crop that is planted in the field.
pub(super) fn crop_in(
    figures: &Figures,
    farm: &Farm,
    kind: &str,
    (field, season): (Option<&Name>, u16),
) -> Result<Name, DeskError> {
    if figures.one("crop").is_some() {
        return crop(figures);
    }
    let plantings = farm
        .plantings
        .iter()
        .filter(|one| Some(&one.says.field) == field && one.says.season == season);
    let mut crops: Vec<&Name> = plantings.map(|one| &one.says.crop).collect();
    crops.sort_unstable();
    crops.dedup();
    if let [one] = crops.as_slice() {
        return Ok((*one).clone());
    }
    let several: Vec<&str> = crops.iter().map(|crop| crop.as_str()).collect();
    Err(DeskError::Missing {
        kind: kind.to_owned(),
        figure: "crop".to_owned(),
        help: if several.is_empty() {
            "which crop, e.g. corn, soybean, wheat-srw".to_owned()
        } else {
            format!("which of {}", several.join(", "))
        },
    })
}

/// Shares as people say them: `owner=2/3`, `owner=60%`, `owner=60`. Nobody named: the owner has all.
///
/// Thirds do not end in decimals; the last share is what is left of the whole, so that the parts
/// always sum to exactly 100 %.
pub(super) fn shares(name: &str, texts: &[String]) -> Result<Vec<Share>, DeskError> {
    if texts.is_empty() {
        return Ok(vec![Share {
            person: Name::new("owner")?,
            percent: Decimal::ONE_HUNDRED,
        }]);
    }
    let mut shares = Vec::new();
    let mut exact = true;
    for text in texts {
        let (person, part) = pair(name, text)?;
        let (percent, ends) = part_of(part).ok_or_else(|| {
            DeskError::figure(
                name,
                format!("found '{part}', expected a share like 2/3 or 60%"),
            )
        })?;
        exact &= ends;
        shares.push(Share {
            person: Name::new(person)?,
            percent,
        });
    }
    if !exact {
        let sum: Decimal = shares.iter().map(|share| share.percent).sum();
        let off = Decimal::ONE_HUNDRED - sum;
        if off.abs() < Decimal::new(1, 6) {
            shares.last_mut().expect("not empty").percent += off;
        }
    }
    Ok(shares)
}

/// A part in per cent, and whether its decimals end.
fn part_of(text: &str) -> Option<(Decimal, bool)> {
    if let Some((top, bottom)) = text.split_once('/') {
        let (top, bottom): (Decimal, Decimal) =
            (top.trim().parse().ok()?, bottom.trim().parse().ok()?);
        if bottom.is_zero() {
            return None;
        }
        let percent = (top * Decimal::ONE_HUNDRED)
            .checked_div(bottom)?
            .round_dp(8);
        return Some((
            percent.normalize(),
            percent * bottom == top * Decimal::ONE_HUNDRED,
        ));
    }
    Some((text.trim_end_matches('%').trim().parse().ok()?, true))
}

/// How full something is: `2/3`, `¾`, `80%`, `full`, `heap`. Heaped counts as 110 % (common
/// practice, no source).
pub(super) fn full(text: &str) -> Result<Decimal, String> {
    let percent = match text.trim().to_lowercase().as_str() {
        "empty" => 0,
        "\u{bc}" => 25,
        "half" | "\u{bd}" => 50,
        "\u{be}" => 75,
        "full" => 100,
        "heap" | "heaped" => 110,
        _ => {
            return part(text).map_err(|_| {
                format!("found '{text}', expected how full it is, like 3/4, 80%, full or heap")
            });
        }
    };
    Ok(Decimal::from(percent))
}

/// A share of something: `2/3`, `80%`.
pub(super) fn part(text: &str) -> Result<Decimal, String> {
    part_of(text)
        .map(|(percent, _)| percent)
        .filter(|percent| !percent.is_sign_negative())
        .ok_or_else(|| format!("found '{text}', expected a share like 2/3 or 80%"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_sum_to_the_whole() {
        let texts = [
            "owner=1/3".to_owned(),
            "a=1/3".to_owned(),
            "b=1/3".to_owned(),
        ];
        let shares = shares("share", &texts).unwrap();
        assert_eq!(
            shares.iter().map(|s| s.percent).sum::<Decimal>(),
            Decimal::ONE_HUNDRED
        );
        assert_eq!(shares[0].percent.to_string(), "33.33333333");
        assert_eq!(shares[2].percent.to_string(), "33.33333334");
    }

    #[test]
    fn shares_that_do_not_sum_stay_as_written_and_the_book_refuses_them() {
        let texts = ["owner=60%".to_owned(), "a=30".to_owned()];
        let shares = shares("share", &texts).unwrap();
        assert_eq!(shares[1].percent, Decimal::new(30, 0));
    }

    #[test]
    fn a_part_is_read_as_people_say_it() {
        assert_eq!(part("3/4"), Ok(Decimal::new(75, 0)));
        assert_eq!(part("80 %"), Ok(Decimal::new(80, 0)));
        assert_eq!(full("heap"), Ok(Decimal::new(110, 0)));
        assert_eq!(full("\u{be}"), full("3/4"));
        assert_eq!(full("Full"), Ok(Decimal::ONE_HUNDRED));
        assert!(full("brimming").unwrap_err().contains("heap"));
        assert!(part("1/0").is_err() && part("most").is_err() && part("-5%").is_err());
    }
}
