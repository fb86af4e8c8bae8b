//! What was agreed with others: contracts, how deliveries are arranged, an agent's call-at yields.

use super::check::{odd, season, within, words};
use super::{Contract, Day, Name, Share};
use crate::BookError;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The yield of an insured unit below which the agent wants a call before anything is finished,
/// mixed, fed or destroyed there. It says nothing of what is covered. A later entry of the same
/// unit, crop and season holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CallAt {
    /// The insured unit, as the fields name it.
    pub unit: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// The agent's yield, insurance bushels an acre.
    pub insurance_bu_ac: Decimal,
    /// Last day to give notice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notice_by: Option<Day>,
    /// What people call the agent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub agent: Option<Name>,
    /// The agent's telephone number, as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub telephone: Option<Name>,
    /// What else the agent said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl CallAt {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("call_at", self.season)?;
        let given = Some(self.insurance_bu_ac);
        within("call_at", "insurance_bu_ac", given, (0, 1_000), "bu/ac")?;
        words("call_at", "remark", &self.remark, false)
    }
}

/// Grain promised to a buyer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrainContract {
    /// The contract's number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<Name>,
    /// Which buyer.
    pub buyer: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// How much, in the buyer's bushels.
    pub buyers_bu: Decimal,
    /// Money per the buyer's bushel, where it is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_per_bu: Option<Decimal>,
    /// Last day of delivery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deliver_by: Option<Day>,
    /// Anything else that was agreed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl GrainContract {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("contract", self.season)?;
        if self.buyers_bu <= Decimal::ZERO {
            let found = format!("{} bu", self.buyers_bu);
            return Err(odd("contract", "buyers_bu", &found, "more than 0 bu"));
        }
        let promised = Some(self.buyers_bu);
        within("contract", "buyers_bu", promised, (0, 100_000_000), "bu")?;
        price("contract", self.price_per_bu)?;
        words("contract", "remark", &self.remark, false)
    }
}

/// How the owner arranged deliveries to a buyer: what the driver says at the scale. A later entry of
/// the same buyer, crop, season and field holds from then on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Arranged {
    /// Which buyer.
    pub buyer: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// For grain of this field only; `None` for any other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<Name>,
    /// On what terms; `None` means that the driver asks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<Contract>,
    /// How the ticket is to be split; empty where the planting's shares hold.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub split: Vec<Share>,
    /// By person, the name of the account as the buyer writes it.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub accounts: BTreeMap<Name, Name>,
    /// What else to say at the scale.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl Arranged {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("arranged", self.season)?;
        if let Some(Contract::Sell { price_per_bu, .. }) = &self.terms {
            price("arranged", *price_per_bu)?;
        }
        if !self.split.is_empty() {
            super::land::whole("arranged", "split", &self.split)?;
        }
        if self.accounts.len() > 100 {
            let found = format!("{} accounts", self.accounts.len());
            return Err(odd("arranged", "accounts", &found, "at most 100"));
        }
        words("arranged", "remark", &self.remark, false)
    }
}

fn price(kind: &'static str, price: Option<Decimal>) -> Result<(), BookError> {
    within(kind, "price_per_bu", price, (0, 1_000), "a bushel")
}
