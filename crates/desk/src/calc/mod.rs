//! Arithmetic with no book: the same kernels, asked one at a time.

mod capacity;
mod convert;
mod grains;
mod network;
mod running;
mod stores;

pub use capacity::{CapacityAsked, capacity};
pub use convert::convert;
pub use grains::{
    Factors, GiveAwayAsked, ShrinkAsked, TicketAsked, give_away, grade, rejected, shrink, ticket,
};
pub use network::{NetworkAnswer, network};
pub use running::{CostAsked, TireAsked, cost, tires};
pub use stores::{BinAsked, PileAsked, bin, pile};

use crate::Why;
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

/// One figure of an answer, ready in both systems of units.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its key in JSON, with its unit ("dry_bu").
    pub key: &'static str,
    /// Its value in that unit.
    pub value: serde_json::Value,
    /// What it is, for a reader.
    pub label: String,
    /// In US units.
    pub us: String,
    /// In metric units.
    pub metric: String,
}

/// An answer: figures in order, then what to know about them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answer {
    /// The figures.
    pub figures: Vec<Figure>,
    /// Ends of ranges by their key, for JSON; a figure's text says them.
    pub ends: Vec<(&'static str, f64)>,
    /// What to know, one sentence each.
    pub notes: Vec<String>,
    /// Cautions for the act.
    pub cautions: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

impl Answer {
    fn say(
        &mut self,
        key: &'static str,
        value: impl Into<serde_json::Value>,
        label: impl Into<String>,
        us: impl Into<String>,
        metric: impl Into<String>,
    ) {
        self.figures.push(Figure {
            key,
            value: value.into(),
            label: label.into(),
            us: us.into(),
            metric: metric.into(),
        });
    }
    /// A figure that is the same in both systems.
    fn same(
        &mut self,
        key: &'static str,
        value: impl Into<serde_json::Value>,
        label: impl Into<String>,
        text: impl Into<String>,
    ) {
        let text = text.into();
        self.say(key, value, label, text.clone(), text);
    }
}

impl Serialize for Answer {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for figure in &self.figures {
            map.serialize_entry(figure.key, &figure.value)?;
        }
        for (key, value) in &self.ends {
            map.serialize_entry(key, value)?;
        }
        map.serialize_entry("notes", &self.notes)?;
        map.serialize_entry("cautions", &self.cautions)?;
        map.serialize_entry("why", &self.why)?;
        map.end()
    }
}

/// A decimal as a JSON number, its last digits rounded as a float must.
fn number(value: rust_decimal::Decimal) -> serde_json::Value {
    f64::try_from(value).unwrap_or(f64::NAN).into()
}
