//! Slips: entries that move grain.

use super::check::{distinct, load, odd, season, within, words};
use super::{Name, Share, stored};
use crate::{BookError, Sha256Key};
use quantity::{Mass, MassUnit, Moisture};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One moisture reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoistureReading {
    /// As read, wet basis.
    #[serde(with = "stored::moisture")]
    pub value: Moisture,
    /// By which meter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter: Option<Name>,
}

/// What the combine's monitor showed for one tank.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MonitorReading {
    /// As read.
    #[serde(with = "stored::mass")]
    pub mass: Mass,
    /// The unit that the digits were written in.
    pub unit: MassUnit,
    /// Wet, or already reduced to a base moisture.
    pub basis: super::MonitorBasis,
}

/// How full something was, by eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fill {
    /// Per cent of level full; a heaped tank may pass 100.
    pub percent: Decimal,
}

/// The machine's tank emptied into something.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dump {
    /// Which machine.
    pub machine: Name,
    /// Which field it was cut in.
    pub field: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// Into what.
    pub into: Name,
    /// How full the tank was, if anybody looked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill: Option<Fill>,
    /// What the monitor showed, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub monitor: Option<MonitorReading>,
    /// How wet, if anybody measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture: Option<MoistureReading>,
    /// The number on the load card.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<Name>,
    /// A photograph of the card.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper: Option<Sha256Key>,
    /// How full the receiving place is now, if anybody looked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub into_fill: Option<Fill>,
    /// Whether the receiving place was covered or left open afterwards, if anybody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covered: Option<bool>,
    /// Whether it was put, knowingly, on grain of another crop, insured unit or owner.
    #[serde(default, skip_serializing_if = "is_no")]
    pub mixed: bool,
    /// Anything else.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands over a reference to the field"
)]
pub(super) fn is_no(flag: &bool) -> bool {
    !*flag
}

impl Dump {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("dump", self.season)?;
        for (field, fill) in [("fill", self.fill), ("into_fill", self.into_fill)] {
            within("dump", field, fill.map(|fill| fill.percent), (0, 150), "%")?;
        }
        words("dump", "remark", &self.remark, false)?;
        load(
            "dump",
            "monitor",
            self.monitor.as_ref().map(|monitor| monitor.mass),
        )
    }
}

/// Which kind of scale weighed, and therefore how much it is believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScaleClass {
    /// A buyer's or other certified truck scale.
    Certified,
    /// Weigh wagon or cart scale.
    Cart,
    /// Farm platform or axle pads.
    Farm,
}

/// What a scale printed. The net stands as printed even where it is not gross less tare: the
/// account looks for such slips.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScaleWeight {
    /// Loaded.
    #[serde(
        default,
        with = "stored::some_mass",
        skip_serializing_if = "Option::is_none"
    )]
    pub gross: Option<Mass>,
    /// Empty; below the gross.
    #[serde(
        default,
        with = "stored::some_mass",
        skip_serializing_if = "Option::is_none"
    )]
    pub tare: Option<Mass>,
    /// Names a tare that several slips share (one weighing, one error).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shared_tare: Option<Name>,
    /// Net, as printed or worked out.
    #[serde(with = "stored::mass")]
    pub net: Mass,
    /// The step that the scale prints, e.g. 20 lb.
    #[serde(with = "stored::mass")]
    pub step: Mass,
    /// The unit that the digits were written in.
    pub unit: MassUnit,
    /// Which kind of scale.
    pub class: ScaleClass,
}

impl ScaleWeight {
    /// Net as printed less (gross - tare); `None` unless both were taken.
    pub fn net_off_by(&self) -> Option<Mass> {
        Some(self.net - (self.gross? - self.tare?))
    }

    fn check(&self, kind: &'static str) -> Result<(), BookError> {
        load(kind, "gross", self.gross)?;
        load(kind, "tare", self.tare)?;
        load(kind, "net", Some(self.net))?;
        if self.step < Mass::ZERO || self.step.kg() > 1_000.0 {
            return Err(odd(
                kind,
                "step",
                &format!("{:.1} lb", self.step.lb()),
                "0 to 1,000 kg",
            ));
        }
        match (self.gross, self.tare) {
            (Some(gross), Some(tare)) if tare >= gross => Err(odd(
                kind,
                "tare",
                &format!("{:.0} lb", tare.lb()),
                &format!("less than the gross, {:.0} lb", gross.lb()),
            )),
            _ => Ok(()),
        }
    }
}

/// On what terms grain was delivered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "terms", rename_all = "snake_case", deny_unknown_fields)]
pub enum Contract {
    /// Sold, for cash on the day or on a contract.
    Sell {
        /// The contract's number.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        number: Option<Name>,
        /// Money per the buyer's bushel.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        price_per_bu: Option<Decimal>,
    },
    /// Stored by the buyer for the farm.
    Store {},
    /// Delivered, title passed, price set later.
    PriceLater {},
}

/// A weigh ticket.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weighed {
    /// Out of one place, or several emptied over one ticket.
    pub from: Vec<Name>,
    /// Into what.
    pub to: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// What the scale printed.
    pub weight: ScaleWeight,
    /// How wet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture: Option<MoistureReading>,
    /// Test weight as printed, pounds a Winchester bushel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_weight_lb_bu: Option<Decimal>,
    /// Other factors as printed, in the ticket's own unit, e.g. `foreign material` 1.2.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub factors: BTreeMap<Name, Decimal>,
    /// The number printed on the ticket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<Name>,
    /// Which buyer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buyer: Option<Name>,
    /// The field written on the ticket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<Name>,
    /// On what terms; `None` where the ticket leaves it blank.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contract: Option<Contract>,
    /// How the ticket splits the grain between people; empty where it does not.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub split: Vec<Share>,
    /// Whether the places it came out of are empty afterwards.
    pub empties: bool,
    /// A photograph of the ticket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper: Option<Sha256Key>,
}

impl Weighed {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("weighed", self.season)?;
        ways("weighed", &self.from, &self.to)?;
        self.weight.check("weighed")?;
        readings("weighed", self.test_weight_lb_bu, &self.factors)?;
        if let Some(Contract::Sell { price_per_bu, .. }) = &self.contract {
            within(
                "weighed",
                "price_per_bu",
                *price_per_bu,
                (0, 1_000),
                "a bushel",
            )?;
        }
        if !self.split.is_empty() {
            super::land::whole("weighed", "split", &self.split)?;
        }
        Ok(())
    }
}

/// How much moved, where it is not a weigh ticket.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "snake_case", deny_unknown_fields)]
pub enum MoveWeight {
    /// Over a scale.
    Scale {
        /// What it printed.
        weight: ScaleWeight,
    },
    /// A share of a wagon's or tank's capacity, by eye.
    Fill {
        /// Wet mass guessed.
        #[serde(with = "stored::mass")]
        mass: Mass,
    },
    /// A count of tank dumps.
    Dumps {
        /// Wet mass guessed.
        #[serde(with = "stored::mass")]
        mass: Mass,
    },
    /// A wagon level full.
    Full {
        /// Wet mass guessed.
        #[serde(with = "stored::mass")]
        mass: Mass,
    },
    /// Nobody said how much.
    Unknown {},
}

/// Any other slip: bin to truck, wagon to bin, feed, seed, spill, through the dryer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Move {
    /// Out of which places.
    pub from: Vec<Name>,
    /// Into what.
    pub to: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// How much.
    pub weight: MoveWeight,
    /// How wet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture: Option<MoistureReading>,
    /// The number on the load card.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<Name>,
    /// Whether the places it came out of are empty afterwards.
    pub empties: bool,
    /// Why, or how it came about.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
    /// A photograph of the card.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper: Option<Sha256Key>,
}

impl Move {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("move", self.season)?;
        ways("move", &self.from, &self.to)?;
        words("move", "remark", &self.remark, false)?;
        match &self.weight {
            MoveWeight::Scale { weight } => weight.check("move"),
            MoveWeight::Fill { mass } | MoveWeight::Dumps { mass } | MoveWeight::Full { mass } => {
                load("move", "mass", Some(*mass))
            }
            MoveWeight::Unknown {} => Ok(()),
        }
    }
}

/// Grain leaves places, each named once, for another.
fn ways(kind: &'static str, from: &[Name], to: &Name) -> Result<(), BookError> {
    distinct(kind, "from", from)?;
    if from.contains(to) {
        return Err(odd(
            kind,
            "to",
            to.as_str(),
            "another place than it came from",
        ));
    }
    Ok(())
}

/// Test weight and factors as printed.
pub(crate) fn readings(
    kind: &'static str,
    test_weight: Option<Decimal>,
    factors: &BTreeMap<Name, Decimal>,
) -> Result<(), BookError> {
    within(kind, "test_weight_lb_bu", test_weight, (5, 100), "lb/bu")?;
    for (name, value) in factors {
        within(
            kind,
            name.as_str(),
            Some(*value),
            (0, 1_000_000),
            "in the ticket's unit",
        )?;
    }
    Ok(())
}
