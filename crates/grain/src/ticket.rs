//! A weigh ticket, as the paper says.

use crate::Factor;
use facts::Crop;
use quantity::{Mass, Moisture};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// One weigh ticket. Weights and factors are the record and are never changed here.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ticket {
    /// The printed number.
    #[serde(default)]
    pub number: Option<String>,
    /// Which crop.
    pub crop: Crop,
    /// Loaded, if printed.
    #[serde(default)]
    pub gross: Option<Mass>,
    /// Empty, if printed.
    #[serde(default)]
    pub tare: Option<Mass>,
    /// Net, water and dockage included.
    pub net: Mass,
    /// What the bench measured, each in the factor's own unit.
    #[serde(default)]
    pub factors: BTreeMap<Factor, Decimal>,
    /// What was noted without a number: "musty", "sour", "live_insects".
    #[serde(default)]
    pub flags: BTreeSet<Factor>,
}

impl Ticket {
    /// A ticket from its net weight, with nothing measured yet.
    pub fn of_net(crop: Crop, net: Mass) -> Self {
        Self {
            number: None,
            crop,
            gross: None,
            tare: None,
            net,
            factors: BTreeMap::new(),
            flags: BTreeSet::new(),
        }
    }

    /// A ticket from its gross and tare, with nothing measured yet.
    pub fn of_gross_and_tare(crop: Crop, gross: Mass, tare: Mass) -> Self {
        Self {
            gross: Some(gross),
            tare: Some(tare),
            ..Self::of_net(crop, gross - tare)
        }
    }

    /// The same ticket with one factor measured.
    #[must_use]
    pub fn with(mut self, factor: Factor, value: Decimal) -> Self {
        self.factors.insert(factor, value);
        self
    }

    /// The same ticket with one thing noted.
    #[must_use]
    pub fn flagged(mut self, flag: Factor) -> Self {
        self.flags.insert(flag);
        self
    }

    /// Moisture, if it was measured and can be one.
    pub fn moisture(&self) -> Option<Moisture> {
        let percent = f64::try_from(*self.factors.get(&Factor::Moisture)?).ok()?;
        Moisture::from_percent(percent).ok()
    }
}
