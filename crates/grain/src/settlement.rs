//! What a settlement says, line by line.

use crate::{Factor, PayUnit};
use quantity::{BushelWeight, Bushels, Money};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// A ticket settled under a schedule, every line with its rule in words.
///
/// "Units" are the schedule's pay unit, named in `unit`: bushels of `unit_lb` pounds, or
/// hundredweights. Money taken is negative.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Settlement {
    /// The ticket's number.
    pub ticket: Option<String>,
    /// The schedule's name.
    pub schedule: String,
    /// Whether there is an answer.
    pub outcome: Outcome,
    /// What a unit is.
    pub unit: PayUnit,
    /// Pounds a unit.
    pub unit_lb: Decimal,
    /// Weight over the scale, lb.
    pub wet_lb: Decimal,
    /// Units as weighed, wet.
    pub gross_units: Decimal,
    /// Units paid for.
    pub net_units: Decimal,
    /// Price per unit, if the load is priced.
    pub price: Option<Decimal>,
    /// Net units times price.
    pub gross_value: Option<Money>,
    /// All discounts and premiums together (negative takes).
    pub discounts: Money,
    /// All assessments together (negative takes).
    pub assessments: Money,
    /// What is paid; none when rejected or not priced.
    pub net: Option<Money>,
    /// Line by line, in the order in which they worked.
    pub lines: Vec<SettledLine>,
    /// What a reader should know or ask.
    pub findings: Vec<SettleFinding>,
}

/// Whether a settlement has an answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Every line could be computed; with no price, every line that needs none.
    Settled,
    /// Some line could not be computed (see the findings); the amounts are without it.
    Incomplete,
    /// The buyer refuses the load under this schedule, and why. No money.
    Rejected {
        /// Each reason in words.
        reasons: Vec<String>,
    },
}

/// One line as it worked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SettledLine {
    /// What the sheet calls it.
    pub name: String,
    /// The factor, if it hangs on one.
    pub factor: Option<Factor>,
    /// The rule in words, with its numbers.
    pub rule: String,
    /// The factor's value used.
    pub value: Option<Decimal>,
    /// Cents a unit, per cent, or cents, as the rule says.
    pub rate: Decimal,
    /// Change in units (negative takes); zero for a money line.
    pub units: Decimal,
    /// Change in money (negative takes); zero for a weight line.
    pub money: Decimal,
    /// Units left after this line.
    pub running_units: Decimal,
    /// Money left after this line; none while the load has no price.
    pub running_money: Option<Decimal>,
}

/// Something about a settlement that a reader should know or ask.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum SettleFinding {
    /// The schedule has a line for a factor that the ticket does not print; nothing was assumed.
    NotOnTicket {
        /// The line.
        line: String,
        /// The factor.
        factor: Factor,
    },
    /// The ticket prints a factor or flag that no line of the schedule uses.
    NoLine {
        /// The factor or flag.
        factor: Factor,
    },
    /// The value is past the end of a printed table; the line was not computed.
    PastTable {
        /// The line.
        line: String,
        /// The value.
        value: Decimal,
        /// The table's last value.
        last: Decimal,
    },
    /// Net is not gross less tare; the printed net was used.
    NetDiffers {
        /// Gross less tare, lb.
        gross_less_tare_lb: Decimal,
        /// Net as printed, lb.
        net_lb: Decimal,
    },
    /// A line needs a price and the load has none.
    NoPrice {
        /// The line.
        line: String,
    },
    /// An average over several loads was used instead of the ticket's own value.
    Averaged {
        /// The factor.
        factor: Factor,
        /// How many loads.
        loads: usize,
        /// The load's own value.
        own: Decimal,
        /// The average used.
        used: Decimal,
    },
}

impl Settlement {
    /// The buyer's bushels, when he buys by the bushel and took the load.
    pub fn buyers_bushels(&self) -> Option<Bushels> {
        if self.unit != PayUnit::Bushel || matches!(self.outcome, Outcome::Rejected { .. }) {
            return None;
        }
        let weight = BushelWeight::from_decimal_lb(self.unit_lb).ok()?;
        Some(Bushels::buyers(self.net_units, weight))
    }

    /// Units that the weight lines took.
    pub fn shrink_units(&self) -> Decimal {
        self.gross_units - self.net_units
    }
}

impl std::fmt::Display for SettleFinding {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotOnTicket { line, factor } => write!(
                f,
                "not on the ticket: {}; line '{line}' was left out, nothing was assumed",
                factor.words()
            ),
            Self::NoLine { factor } => write!(
                f,
                "the ticket notes {}, and no line of the schedule uses it; ask the buyer",
                factor.words()
            ),
            Self::PastTable { line, value, last } => write!(
                f,
                "{value} is past the last entry of line '{line}' ({last}); the line was left out, ask the buyer"
            ),
            Self::NetDiffers {
                gross_less_tare_lb,
                net_lb,
            } => write!(
                f,
                "gross less tare is {gross_less_tare_lb} lb, the ticket prints {net_lb} lb net; the printed net was used"
            ),
            Self::NoPrice { line } => {
                write!(f, "line '{line}' needs a price; it was left open")
            }
            Self::Averaged {
                factor,
                loads,
                own,
                used,
            } => write!(
                f,
                "{} {used} is the average of {loads} loads; this load's own is {own}",
                factor.words()
            ),
        }
    }
}
