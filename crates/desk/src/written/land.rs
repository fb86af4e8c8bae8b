//! Fields, plantings and the season's settings, as written.

use super::Given::{File, Many, May, Must};
use super::{Figures, Form, figure, name, pair, season as season_of};
use crate::{DeskError, Farm};
use book::kinds::{Acres, AcresSource, Boundary, Field, Name, Planting, SeasonSettings, Share};
use quantity::{Area, AreaUnit};
use rust_decimal::Decimal;

pub(super) const FIELD: Form = Form {
    kind: "field",
    help: "A field: numbers, boundary and acres by source",
    figures: &[
        figure("name", Must, "What people call it"),
        figure(
            "boundary",
            File,
            "Its outline: GeoJSON polygon, a file or the text",
        ),
        figure("farm-number", May, "Agency farm number"),
        figure("tract", May, "Agency tract number"),
        figure("field-number", May, "Agency field number"),
        figure(
            "unit",
            May,
            "Insured unit; records of two units are kept apart",
        ),
        figure("reported", May, "Acres as reported, e.g. \"40 ac\""),
        figure("planted", May, "Acres planted"),
        figure("measured", May, "Acres measured from the outline"),
        figure("cut", May, "Acres cut"),
    ],
};

pub(super) const PLANTING: Form = Form {
    kind: "planting",
    help: "What is planted in a field, and who shares it",
    figures: &[
        figure("field", Must, "Which field"),
        figure("crop", Must, "Which crop, e.g. corn, soybean, wheat-srw"),
        figure("season", May, "The year it is harvested in"),
        figure(
            "share",
            Many,
            "Shares that sum to the whole, e.g. \"owner=2/3\" and \"landowner=1/3\"",
        ),
        figure("practice", May, "Practice, e.g. dryland, double crop"),
    ],
};

pub(super) const SEASON: Form = Form {
    kind: "season",
    help: "Settings of one season",
    figures: &[
        figure("season", Must, "The year"),
        figure(
            "day-begins",
            May,
            "Hour before which work belongs to the day before, e.g. 4",
        ),
        figure("remark", May, "Anything to remember with it"),
    ],
};

const SOURCES: [(&str, AcresSource); 4] = [
    ("reported", AcresSource::Reported),
    ("planted", AcresSource::Planted),
    ("measured", AcresSource::Measured),
    ("cut", AcresSource::Cut),
];

pub(super) fn field(figures: &Figures) -> Result<Field, DeskError> {
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
    Ok(Field {
        name: Name::new(figures.must("name"))?,
        boundary: figures.parsed("boundary", boundary)?,
        farm_number: figures.parsed("farm-number", name)?,
        tract_number: figures.parsed("tract", name)?,
        field_number: figures.parsed("field-number", name)?,
        unit_number: figures.parsed("unit", name)?,
        acres,
    })
}

/// A GeoJSON geometry, or the first one inside a feature or a collection of one.
fn boundary(text: &str) -> Result<Boundary, String> {
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
        acres: Vec::new(),
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

/// A share of something full: `2/3`, `80%`.
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
        assert!(part("1/0").is_err() && part("most").is_err() && part("-5%").is_err());
    }
}
