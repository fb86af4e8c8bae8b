//! Stocks measured, samples, files kept and notes.

use super::check::{distinct, odd, season, stock, within, words};
use super::slips::{is_no, readings};
use super::{MoistureReading, Name, stored};
use crate::{BookError, EntryId, Sha256Key};
use quantity::Mass;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The top of the grain in a round bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "top", rename_all = "snake_case", deny_unknown_fields)]
pub enum BinShape {
    /// Level.
    Level {},
    /// Heaped.
    Peak {
        /// Height above the grain at the wall, metres; `None` takes the crop's usual slope.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        height_m: Option<Decimal>,
    },
    /// Drawn down in the middle.
    Cone {
        /// Depth below the grain at the wall, metres.
        depth_m: Decimal,
    },
}

/// How much grain stands in a place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "snake_case", deny_unknown_fields)]
pub enum StockAmount {
    /// Nothing; exact.
    Empty {},
    /// A wet mass, weighed or taken over from another record.
    Mass {
        /// As written.
        #[serde(with = "stored::mass")]
        mass: Mass,
    },
    /// A round bin measured.
    Bin {
        /// Inside diameter, metres, where it is not the place's own.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        diameter_m: Option<Decimal>,
        /// Depth of grain at the wall, metres, at one point or several.
        wall_depths_m: Vec<Decimal>,
        /// The top of the grain.
        shape: BinShape,
        /// Test weight, pounds a Winchester bushel.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        test_weight_lb_bu: Option<Decimal>,
        /// Packed volume over loose volume, e.g. 1.04; `None` takes none.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        packing: Option<Decimal>,
    },
}

impl StockAmount {
    fn check(&self, kind: &'static str) -> Result<(), BookError> {
        match self {
            Self::Empty {} => Ok(()),
            Self::Mass { mass } => stock(kind, "mass", *mass),
            Self::Bin {
                diameter_m,
                wall_depths_m,
                shape,
                test_weight_lb_bu,
                packing,
            } => {
                within(kind, "diameter_m", *diameter_m, (1, 60), "m")?;
                if !(1..=24).contains(&wall_depths_m.len()) {
                    let found = format!("{} depths", wall_depths_m.len());
                    return Err(odd(kind, "wall_depths_m", &found, "1 to 24 depths"));
                }
                for depth in wall_depths_m {
                    within(kind, "wall_depths_m", Some(*depth), (0, 60), "m")?;
                }
                match shape {
                    BinShape::Level {} => {}
                    BinShape::Peak { height_m } => {
                        within(kind, "height_m", *height_m, (0, 30), "m")?;
                    }
                    BinShape::Cone { depth_m } => {
                        within(kind, "depth_m", Some(*depth_m), (0, 60), "m")?;
                    }
                }
                within(
                    kind,
                    "test_weight_lb_bu",
                    *test_weight_lb_bu,
                    (5, 100),
                    "lb/bu",
                )?;
                within(kind, "packing", *packing, (1, 2), "times loose")
            }
        }
    }
}

/// Grain that was already there when the season or the book began.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Where.
    pub place: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season, often the one before.
    pub season: u16,
    /// How much.
    pub amount: StockAmount,
    /// How wet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture: Option<MoistureReading>,
}

impl Opening {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("opening", self.season)?;
        self.amount.check("opening")
    }
}

/// A stock measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// Where.
    pub place: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// How much.
    pub amount: StockAmount,
    /// How wet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture: Option<MoistureReading>,
    /// Standard error, per cent of the mass, where it is not the usual one of its kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_percent: Option<Decimal>,
}

impl Measure {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("measure", self.season)?;
        within("measure", "sd_percent", self.sd_percent, (0, 100), "%")?;
        self.amount.check("measure")
    }
}

/// How a sample was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SampleHow {
    /// Picked and shelled by hand in the standing crop.
    HandShelled,
    /// Out of the machine's tank.
    Tank,
    /// Cut through the falling stream.
    Stream,
    /// With a probe.
    Probe,
    /// Off the top of a load.
    Grab,
    /// Out of a wagon, cart or truck, from several depths.
    Wagon,
    /// Out of a bin.
    Bin,
    /// Hot from the dryer: a meter reads such grain wrong until it has cooled.
    DryerHot,
}

/// How warm grain was, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Temperature {
    /// Degrees.
    pub degrees: Decimal,
    /// Of which scale.
    pub scale: TemperatureScale,
}

/// The scale that degrees were written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum TemperatureScale {
    /// Fahrenheit.
    F,
    /// Celsius.
    C,
}

/// Grain sampled and read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sample {
    /// Which place or field.
    pub of: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// How it was taken.
    pub how: SampleHow,
    /// Moisture readings, one or several, by one meter or several.
    pub readings: Vec<MoistureReading>,
    /// Test weight, pounds a Winchester bushel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_weight_lb_bu: Option<Decimal>,
    /// Other factors, each in its own unit.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub factors: BTreeMap<Name, Decimal>,
    /// How many handfuls, ears or probes were mixed into what was read, if anybody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// How warm the grain was when it was read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<Temperature>,
}

impl Sample {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("sample", self.season)?;
        let nothing =
            self.readings.is_empty() && self.test_weight_lb_bu.is_none() && self.factors.is_empty();
        if nothing || self.readings.len() > 100 {
            let found = format!("{} readings", self.readings.len());
            return Err(odd(
                "sample",
                "readings",
                &found,
                "1 to 100, or another factor",
            ));
        }
        if let Some(count) = self.count
            && !(1..=10_000).contains(&count)
        {
            return Err(odd("sample", "count", &count.to_string(), "1 to 10,000"));
        }
        if let Some(Temperature { degrees, scale }) = self.temperature {
            let (range, unit) = match scale {
                TemperatureScale::F => ((-40, 400), "F"),
                TemperatureScale::C => ((-40, 205), "C"),
            };
            within("sample", "temperature", Some(degrees), range, unit)?;
        }
        readings("sample", self.test_weight_lb_bu, &self.factors)
    }
}

/// What a file is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FilePurpose {
    /// A combine's points.
    CombinePoints,
    /// A photograph of a ticket or card.
    Ticket,
    /// A field's outline.
    Boundary,
    /// A photograph of something else.
    Photograph,
    /// Anything else.
    Other,
}

/// A raw file or photograph that was attached; the bytes are the attachment's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileKept {
    /// The attachment.
    pub sha256: Sha256Key,
    /// The file's name where it came from.
    pub name: Name,
    /// Its size in bytes.
    pub bytes: u64,
    /// What it is for.
    pub purpose: FilePurpose,
    /// Which field, machine or place it is of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub of: Vec<Name>,
}

impl FileKept {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        let bytes = Some(Decimal::from(self.bytes));
        within(
            "file",
            "bytes",
            bytes,
            (0, i64::from(crate::Attachment::MOST)),
            "bytes",
        )
    }
}

/// Anything worth remembering.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// In the writer's words.
    pub text: String,
    /// Which entries it is about.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub about: Vec<EntryId>,
    /// Which fields, machines or places it is of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub of: Vec<Name>,
    /// Whether it asks for an answer.
    #[serde(default, skip_serializing_if = "is_no")]
    pub question: bool,
}

impl Note {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        if !self.of.is_empty() {
            distinct("note", "of", &self.of)?;
        }
        words("note", "text", &self.text, true)
    }
}
