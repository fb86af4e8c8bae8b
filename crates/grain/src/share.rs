//! A settlement divided between the people who have a share in the grain.

use crate::{GrainError, Settlement};
use quantity::{Mass, Money, SplitRule, split_mass, split_money};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// A person's share, as a weight: 2 and 1 are two thirds and one third.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Share {
    /// Who.
    pub person: String,
    /// How much, against the others.
    pub parts: Decimal,
}

/// One person's part of a settlement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Who.
    pub person: String,
    /// Their wet weight, to 10 micrograms; the parts sum to the load.
    pub wet: Mass,
    /// Their units paid, exact.
    pub net_units: Decimal,
    /// Their gross value, if the load is priced.
    pub gross_value: Option<Money>,
    /// Their payment, to the cent; the parts sum to the settlement's net.
    pub net: Option<Money>,
}

/// Divides a settlement: mass to 10 micrograms and money to the cent, each by the named rule, so
/// that the parts sum to the whole exactly.
///
/// ```
/// use grain::{Share, Ticket, divide, settle};
/// use quantity::{Mass, Price, SplitRule};
/// let schedule: grain::Schedule = toml::from_str(
///     "name = 'plain'\nbuyer = 'river pit'\ncontract = 'cash'\ncrop = 'corn'\nbase_moisture_pct = 15\nunit_lb = 56",
/// )?;
/// let ticket = Ticket::of_net(facts::Crop::Corn, Mass::parse("5,600 lb")?);
/// let settled = settle(&ticket, &schedule, Some(Price("4.00".parse()?)))?;
/// let shares = [("tenant", 2), ("owner", 1)]
///     .map(|(person, parts)| Share { person: person.to_owned(), parts: parts.into() });
/// let parts = divide(&settled, ticket.net, &shares, SplitRule::LargestRemainder)?;
/// assert_eq!(parts[0].net.map(|net| net.show()).as_deref(), Some("$266.67"));
/// assert_eq!(parts[1].net.map(|net| net.show()).as_deref(), Some("$133.33"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Shares that are not shares: none, negative, or all zero.
pub fn divide(
    settled: &Settlement,
    wet: Mass,
    shares: &[Share],
    rule: SplitRule,
) -> Result<Vec<Part>, GrainError> {
    let parts: Vec<Decimal> = shares.iter().map(|share| share.parts).collect();
    let wet = split_mass(wet, &parts, Mass::from_units(1), rule)?;
    let money = |whole: Option<Money>| {
        whole
            .map(|whole| split_money(whole, &parts, Money::CENT, rule))
            .transpose()
    };
    let (gross, net) = (money(settled.gross_value)?, money(settled.net)?);
    let whole: Decimal = parts.iter().sum();
    Ok(shares
        .iter()
        .enumerate()
        .map(|(at, share)| Part {
            person: share.person.clone(),
            wet: wet[at],
            net_units: settled.net_units * share.parts / whole,
            gross_value: gross.as_ref().map(|parts| parts[at]),
            net: net.as_ref().map(|parts| parts[at]),
        })
        .collect())
}
