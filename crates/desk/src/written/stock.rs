//! Opening stocks, bins measured, samples and notes, as written.

use super::Given::{Flag, Many, May, Must};
use super::land::crop;
use super::people::{length, metres};
use super::slips::{factors, moisture, test_weight};
use super::{Figures, Form, choice, figure, season};
use crate::{DeskError, Farm};
use book::kinds::{
    BinShape, Measure, MoistureReading, Note, Opening, Sample, SampleHow, StockAmount,
};
use quantity::{Mass, Moisture};
use rust_decimal::Decimal;

pub(super) const OPENING: Form = Form {
    kind: "opening",
    help: "Grain already in a place when the season or the book began",
    figures: &[
        figure("place", Must, "Where"),
        figure("crop", Must, "Which crop"),
        figure("season", May, "Of which year's harvest"),
        figure("weight", Must, "Wet weight, e.g. \"12,000 lb\""),
        figure("moisture", May, "Moisture"),
        figure("meter", May, "Which meter"),
    ],
};
pub(super) const MEASURE: Form = Form {
    kind: "measure",
    help: "A bin measured, or a wagon known empty (from the hatch: never step in)",
    figures: &[
        figure("place", Must, "Where"),
        figure("crop", Must, "Which crop"),
        figure("season", May, "Of which year's harvest"),
        figure("empty", Flag, "It is empty"),
        figure("weight", May, "Wet weight found"),
        figure(
            "depth",
            Many,
            "Depth of grain at the wall, e.g. 12ft; again for more points",
        ),
        figure(
            "peak",
            May,
            "Height of the peak above the grain at the wall",
        ),
        figure(
            "hollow",
            May,
            "Depth of the hollow below the grain at the wall",
        ),
        figure(
            "across",
            May,
            "Inside diameter, where it is not the place's own",
        ),
        figure("test-weight", May, "Test weight, e.g. \"58 lb/bu\""),
        figure("packing", May, "Packed over loose volume, e.g. 1.04"),
        figure("moisture", May, "Moisture"),
        figure("meter", May, "Which meter"),
        figure(
            "doubt",
            May,
            "Standard error in per cent, where it is not the usual 3 %",
        ),
    ],
};
pub(super) const SAMPLE: Form = Form {
    kind: "sample",
    help: "Grain sampled and read",
    figures: &[
        figure("of", Must, "Which place or field"),
        figure("crop", Must, "Which crop"),
        figure("season", May, "Of which year's harvest"),
        figure("how", Must, "standing, tank, stream, probe or grab"),
        figure("moisture", Many, "Readings, e.g. 17.1% and again 17.4%"),
        figure("meter", May, "Which meter"),
        figure("test-weight", May, "Test weight, e.g. \"58 lb/bu\""),
        figure(
            "factor",
            Many,
            "Other factors, e.g. \"foreign material=1.2\"",
        ),
    ],
};
pub(super) const NOTE: Form = Form {
    kind: "note",
    help: "Anything worth remembering",
    figures: &[figure("text", Must, "In your words")],
};

pub(super) fn opening(figures: &Figures, farm: &Farm, year: u16) -> Result<Opening, DeskError> {
    let mass = figures
        .parsed("weight", Mass::parse)?
        .expect("checked to be there");
    Ok(Opening {
        place: farm.place(figures.must("place"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        amount: StockAmount::Mass { mass },
        moisture: moisture(figures, farm)?,
    })
}

fn number(text: &str) -> Result<Decimal, String> {
    text.trim()
        .trim_end_matches('%')
        .trim()
        .parse()
        .map_err(|_| format!("found '{text}', expected a number"))
}

pub(super) fn measure(figures: &Figures, farm: &Farm, year: u16) -> Result<Measure, DeskError> {
    let depths = figures.many("depth");
    let mass = figures.parsed("weight", Mass::parse)?;
    let ways = [figures.flag("empty"), mass.is_some(), !depths.is_empty()];
    if ways.iter().filter(|way| **way).count() != 1 {
        return Err(DeskError::Refused(
            "a measure needs one of empty, weight or depth; give exactly one".to_owned(),
        ));
    }
    let amount = match mass {
        Some(mass) => StockAmount::Mass { mass },
        None if depths.is_empty() => StockAmount::Empty {},
        None => {
            let shape = match (length(figures, "peak")?, length(figures, "hollow")?) {
                (None, None) => BinShape::Level {},
                (Some(height), None) => BinShape::Peak {
                    height_m: Some(height),
                },
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
    };
    Ok(Measure {
        place: farm.place(figures.must("place"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        amount,
        moisture: moisture(figures, farm)?,
        sd_percent: figures.parsed("doubt", number)?,
    })
}

/// How samples are taken, in the order of the form's help.
pub(super) const HOW: [(&str, SampleHow); 9] = [
    ("hand-shelled", SampleHow::HandShelled),
    ("tank", SampleHow::Tank),
    ("stream", SampleHow::Stream),
    ("probe", SampleHow::Probe),
    ("grab", SampleHow::Grab),
    ("wagon", SampleHow::Wagon),
    ("bin", SampleHow::Bin),
    ("dryer-hot", SampleHow::DryerHot),
    // what the first version of a sample called it
    ("standing", SampleHow::HandShelled),
];

pub(super) fn sample(figures: &Figures, farm: &Farm, year: u16) -> Result<Sample, DeskError> {
    let meter = figures
        .one("meter")
        .map(|name| farm.meter(name))
        .transpose()?;
    let mut readings = Vec::new();
    for text in figures.many("moisture") {
        let value = Moisture::parse(text).map_err(|why| DeskError::figure("moisture", why))?;
        readings.push(MoistureReading {
            value,
            meter: meter.clone(),
        });
    }
    Ok(Sample {
        of: farm.place_or_field(figures.must("of"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        how: choice(figures, "how", &HOW)?.expect("checked to be there"),
        readings,
        test_weight_lb_bu: test_weight(figures)?,
        factors: factors(figures)?,
        count: None,
        temperature: None,
    })
}

pub(super) fn note(figures: &Figures) -> Note {
    Note {
        text: figures.must("text").to_owned(),
        about: Vec::new(),
        of: Vec::new(),
        question: false,
    }
}
