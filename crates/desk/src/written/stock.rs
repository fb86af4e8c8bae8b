//! Opening stocks, bins measured, samples, notes and files, as written.

use super::land::{crop, crop_in};
use super::people::{length, metres};
use super::slips::{factors, moisture, test_weight};
use super::{Figures, choice, name, season, sha, whole, words};
use crate::{DeskError, Farm};
use book::EntryId;
use book::kinds::{
    BinShape, FileKept, FilePurpose, Measure, MoistureReading, Name, Note, Opening, Sample,
    SampleHow, StockAmount, Temperature, TemperatureScale,
};
use quantity::{Mass, Moisture};
use rust_decimal::Decimal;

pub(super) fn opening(figures: &Figures, farm: &Farm, year: u16) -> Result<Opening, DeskError> {
    Ok(Opening {
        place: farm.place(figures.must("place"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        amount: amount("opening", figures)?,
        moisture: moisture(figures, farm)?,
    })
}

/// The word for a peak at the crop's usual slope.
pub(super) const USUAL: &str = "usual";

fn number(text: &str) -> Result<Decimal, String> {
    text.trim()
        .trim_end_matches('%')
        .trim()
        .parse()
        .map_err(|_| format!("found '{text}', expected a number"))
}

/// The stock found: empty, weighed, or measured at the wall.
fn amount(kind: &str, figures: &Figures) -> Result<StockAmount, DeskError> {
    let depths = figures.many("depth");
    let mass = figures.parsed("weight", Mass::parse)?;
    let ways = [figures.flag("empty"), mass.is_some(), !depths.is_empty()];
    if ways.iter().filter(|way| **way).count() != 1 {
        return Err(DeskError::Refused(format!(
            "a {kind} needs one of empty, weight or depth; give exactly one"
        )));
    }
    Ok(match mass {
        Some(mass) => StockAmount::Mass { mass },
        None if depths.is_empty() => StockAmount::Empty {},
        None => {
            let usual = figures.one("peak").is_some_and(|text| text.trim() == USUAL);
            let peak = if usual {
                Some(None)
            } else {
                length(figures, "peak")?.map(Some)
            };
            let shape = match (peak, length(figures, "hollow")?) {
                (None, None) => BinShape::Level {},
                (Some(height_m), None) => BinShape::Peak { height_m },
                (None, Some(depth_m)) => BinShape::Cone { depth_m },
                (Some(_), Some(_)) => {
                    return Err(DeskError::figure(
                        "hollow",
                        "a peak and a hollow at once; leave one out",
                    ));
                }
            };
            StockAmount::Bin {
                diameter_m: length(figures, "across")?,
                wall_depths_m: depths
                    .iter()
                    .map(|text| metres(text).map_err(|why| DeskError::figure("depth", why)))
                    .collect::<Result<_, _>>()?,
                shape,
                test_weight_lb_bu: test_weight(figures)?,
                packing: figures.parsed("packing", number)?,
            }
        }
    })
}

pub(super) fn measure(figures: &Figures, farm: &Farm, year: u16) -> Result<Measure, DeskError> {
    Ok(Measure {
        place: farm.place(figures.must("place"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        amount: amount("measure", figures)?,
        moisture: moisture(figures, farm)?,
        sd_percent: figures.parsed("doubt", number)?,
    })
}

words! {
    HOW, HOW_WORDS: SampleHow {
        "hand-shelled" => SampleHow::HandShelled,
        "tank" => SampleHow::Tank,
        "stream" => SampleHow::Stream,
        "probe" => SampleHow::Probe,
        "grab" => SampleHow::Grab,
        "wagon" => SampleHow::Wagon,
        "bin" => SampleHow::Bin,
        "dryer-hot" => SampleHow::DryerHot,
        // what the first version of a sample called the hand-shelled one
        "standing" => SampleHow::HandShelled,
    }
}
words! {
    PURPOSES, PURPOSE_WORDS: FilePurpose {
        "ticket" => FilePurpose::Ticket,
        "photograph" => FilePurpose::Photograph,
        "boundary" => FilePurpose::Boundary,
        "combine-points" => FilePurpose::CombinePoints,
        "other" => FilePurpose::Other,
    }
}

/// Degrees with their scale: `72 F`, `22.5 °C`.
fn temperature(text: &str) -> Result<Temperature, String> {
    let odd = || format!("found '{text}', expected degrees with F or C, like 72 F");
    let plain = text.trim().replace(['\u{b0}', '\u{ba}'], " ");
    let last = plain.trim_end().chars().next_back().ok_or_else(odd)?;
    let scale = match last {
        'F' | 'f' => TemperatureScale::F,
        'C' | 'c' => TemperatureScale::C,
        _ => return Err(odd()),
    };
    let degrees = plain.trim_end().trim_end_matches(last);
    let degrees = degrees.trim().parse().map_err(|_| odd())?;
    Ok(Temperature { degrees, scale })
}

pub(super) fn sample(figures: &Figures, farm: &Farm, year: u16) -> Result<Sample, DeskError> {
    let meter = figures
        .one("meter")
        .map(|name| farm.meter(name))
        .transpose()?;
    let mut readings = Vec::new();
    for text in figures.many("moisture") {
        let (text, meter) = match text.split_once(" by ") {
            Some((value, by)) => (value, Some(farm.meter(by)?)),
            None => (text.as_str(), meter.clone()),
        };
        let value = Moisture::parse(text).map_err(|why| DeskError::figure("moisture", why))?;
        readings.push(MoistureReading { value, meter });
    }
    let of = farm.place_or_field(figures.must("of"))?;
    let season = season(figures, year)?;
    Ok(Sample {
        crop: crop_in(figures, farm, "sample", (Some(&of), season))?,
        of,
        season,
        how: choice(figures, "how", HOW)?.expect("checked to be there"),
        readings,
        test_weight_lb_bu: test_weight(figures)?,
        factors: factors(figures)?,
        count: figures.parsed("count", whole)?,
        temperature: figures.parsed("temperature", temperature)?,
    })
}

/// Names of what a note or file is of: as the book has them, else as typed, since a phone may name
/// what it does not know.
fn names(figures: &Figures, farm: &Farm) -> Result<Vec<Name>, DeskError> {
    let mut names: Vec<Name> = Vec::new();
    for text in figures.many("of") {
        let name = farm
            .known(text)
            .map_or_else(|| name(text), Ok)
            .map_err(|why| DeskError::figure("of", why))?;
        if !names.contains(&name) {
            names.push(name);
        }
    }
    Ok(names)
}

pub(super) fn note(figures: &Figures, farm: &Farm) -> Result<Note, DeskError> {
    Ok(Note {
        text: figures.must("text").to_owned(),
        about: figures
            .many("about")
            .iter()
            .map(|id| EntryId::parse(id.trim()).map_err(|why| DeskError::figure("about", why)))
            .collect::<Result<_, _>>()?,
        of: names(figures, farm)?,
        question: figures.flag("question"),
    })
}

pub(super) fn file(figures: &Figures, farm: &Farm) -> Result<FileKept, DeskError> {
    Ok(FileKept {
        sha256: figures.parsed("sha256", sha)?.expect("checked to be there"),
        name: name(figures.must("name"))?,
        bytes: figures
            .parsed("bytes", whole)?
            .expect("checked to be there"),
        purpose: choice(figures, "purpose", PURPOSES)?.unwrap_or(FilePurpose::Photograph),
        of: names(figures, farm)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degrees_are_read_with_their_scale() {
        let warm = temperature("71.5 \u{b0}F").unwrap();
        assert_eq!(
            (warm.degrees, warm.scale),
            (Decimal::new(715, 1), TemperatureScale::F)
        );
        assert_eq!(temperature("-2c").unwrap().degrees, Decimal::from(-2));
        for odd in ["72", "F", "", "warm", "72 K", "72 FC"] {
            assert!(temperature(odd).is_err(), "{odd}");
        }
    }
}
