//! Each ticket recomputed under its buyer's schedule, line by line, beside what the sheet paid.

use crate::{DeskError, Farm, Stands, Why};
use book::kinds::{Contract, Name, Weighed};
use facts::Crop;
use grain::{Factor, Outcome, Schedule, Settlement, Ticket};
use quantity::{Bushels, Moisture, Money, Price};
use rust_decimal::Decimal;
use serde::Serialize;

/// One ticket, settled.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Audited {
    /// The ticket, by the name people know.
    pub ticket: String,
    /// Its entry.
    pub entry: String,
    /// The buyer.
    pub buyer: String,
    /// The schedule that was applied, and why this one.
    pub schedule: String,
    /// The settlement, line by line.
    pub settlement: Settlement,
    /// The several honest bushel counts of this load, each under its name.
    pub counts: Option<grain::Counts>,
    /// What the buyer's sheet paid, if given.
    pub paid: Option<Money>,
    /// Paid less recomputed.
    pub paid_less_recomputed: Option<Money>,
    /// Net payment divided by the split on the ticket or the field's shares; sums to the net exactly.
    pub split: Vec<(String, Money)>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// What could not be settled, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotAudited {
    /// The ticket.
    pub ticket: String,
    /// Its entry.
    pub entry: String,
    /// Why, and what to do.
    pub why: String,
}

/// All tickets asked for.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Audit {
    /// Settled.
    pub audited: Vec<Audited>,
    /// Not settled.
    pub not_audited: Vec<NotAudited>,
    /// Whether every figure given as paid agrees with the recomputed one.
    pub agrees: bool,
}

/// Audits one ticket or all of them. `price` holds where the ticket names none; `paid` is what the
/// buyer's sheet paid for this ticket.
///
/// # Errors
/// A price or payment that cannot be read.
pub fn audit(
    farm: &Farm,
    only: Option<book::EntryId>,
    price: Option<&str>,
    paid: Option<&str>,
) -> Result<Audit, DeskError> {
    let price = price
        .map(|text| Price::parse(text).map_err(|why| DeskError::figure("price", why)))
        .transpose()?;
    let paid = paid
        .map(|text| Money::parse(text).map_err(|why| DeskError::figure("paid", why)))
        .transpose()?;
    if paid.is_some() && only.is_none() {
        return Err(DeskError::figure(
            "paid",
            "it is for one ticket; name the ticket",
        ));
    }
    let mut out = Audit {
        agrees: true,
        ..Audit::default()
    };
    for stands in farm
        .tickets
        .iter()
        .filter(|stands| only.is_none_or(|id| stands.id == id))
    {
        let name = ticket_name(stands);
        match one(farm, stands, &name, price, paid) {
            Ok(audited) => {
                out.agrees &= audited.settlement.outcome != Outcome::Incomplete;
                out.agrees &= audited
                    .paid_less_recomputed
                    .is_none_or(|off| off == Money::ZERO);
                out.audited.push(audited);
            }
            Err(why) => {
                out.agrees &= paid.is_none();
                out.not_audited.push(NotAudited {
                    ticket: name,
                    entry: stands.id.to_string(),
                    why: why.to_string(),
                });
            }
        }
    }
    if out.audited.is_empty() && out.not_audited.is_empty() {
        return Err(DeskError::Entry(match only {
            Some(id) => format!("entry {id} is no weigh ticket that stands; name a ticket"),
            None => {
                "the book has no weigh ticket yet; write one with stook write weighed".to_owned()
            }
        }));
    }
    Ok(out)
}

/// Audits every ticket of a season; an empty one is no error.
///
/// # Errors
/// As [`audit`].
pub fn season(farm: &Farm, year: u16) -> Result<Audit, DeskError> {
    let mut out = Audit {
        agrees: true,
        ..Audit::default()
    };
    for ticket in farm.tickets.iter().filter(|one| one.says.season == year) {
        let one = audit(farm, Some(ticket.id), None, None)?;
        out.agrees &= one.agrees;
        out.audited.extend(one.audited);
        out.not_audited.extend(one.not_audited);
    }
    Ok(out)
}

/// The fields whose grain a ticket may carry: the one written on it, and those of the tanks dumped
/// into its wagons that season.
pub fn fields_of(farm: &Farm, entry: &str) -> Vec<String> {
    let Some(ticket) = farm.tickets.iter().find(|one| one.id.to_string() == entry) else {
        return Vec::new();
    };
    let mut out: Vec<String> = crate::winter::fields_of(farm, ticket);
    out.extend(ticket.says.field.as_ref().map(ToString::to_string));
    out.sort();
    out.dedup();
    out
}

fn ticket_name(stands: &Stands<Weighed>) -> String {
    stands.says.number.as_ref().map_or_else(
        || format!("ticket of entry {}", stands.id),
        |n| format!("ticket {n}"),
    )
}

/// The ticket of the grain room from the book's.
pub(crate) fn ticket_of(says: &Weighed) -> Result<Ticket, DeskError> {
    let crop: Crop = says
        .crop
        .as_str()
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let mut ticket = Ticket::of_net(crop, says.weight.net);
    ticket.gross = says.weight.gross;
    ticket.tare = says.weight.tare;
    ticket.number = says.number.as_ref().map(ToString::to_string);
    if let Some(moisture) = &says.moisture {
        ticket = ticket.with(Factor::Moisture, moisture.value.decimal_percent());
    }
    if let Some(pounds) = says.test_weight_lb_bu {
        ticket = ticket.with(Factor::TestWeight, pounds);
    }
    for (name, value) in &says.factors {
        ticket = ticket.with(Factor::from(name.as_str()), *value);
    }
    Ok(ticket)
}

/// The buyer's schedule for a ticket: same buyer, crop and season; the contract's kind decides
/// between several.
pub(crate) fn schedule_of(farm: &Farm, says: &Weighed) -> Result<(Name, Schedule), DeskError> {
    let buyer = says
        .buyer
        .as_ref()
        .or_else(|| farm.buyers.contains_key(&says.to).then_some(&says.to));
    let Some(buyer) = buyer else {
        return Err(DeskError::Refused(
            "the ticket names no buyer; mend it with --set buyer=NAME".to_owned(),
        ));
    };
    let stands = farm.buyers.get(buyer).ok_or_else(|| {
        DeskError::Refused(format!(
            "the buyer {buyer} is not in the book; write it with its schedule"
        ))
    })?;
    let mut fitting = Vec::new();
    for one in &stands.says.schedules {
        if one.crop == says.crop && one.season == says.season {
            let schedule: Schedule =
                serde_json::from_value(one.schedule.clone()).map_err(|why| {
                    DeskError::Refused(format!("the schedule '{}' cannot be read: {why}", one.name))
                })?;
            fitting.push(schedule);
        }
    }
    let wanted: &[&str] = match &says.contract {
        Some(Contract::Store {}) => &["stor"],
        Some(Contract::PriceLater {}) => &["later", "delayed", "price"],
        Some(Contract::Sell { .. }) => &["cash", "sell", "contract"],
        None => &[],
    };
    let by_contract = fitting.iter().position(|schedule| {
        let kind = schedule.contract.to_lowercase();
        wanted.iter().any(|word| kind.contains(word))
    });
    match (fitting.len(), by_contract) {
        (0, _) => Err(DeskError::Refused(format!(
            "{buyer} has no schedule for {} of {}; mend it: stook mend \"buyer {buyer}\" with --set schedule=FILE for each, those it has included",
            says.crop, says.season
        ))),
        (1, _) => Ok((buyer.clone(), fitting.remove(0))),
        (_, Some(index)) => Ok((buyer.clone(), fitting.remove(index))),
        (count, None) => Err(DeskError::Refused(format!(
            "{buyer} has {count} schedules for {}; say on which terms it was delivered: mend the ticket with --set terms=sell, store or price-later",
            says.crop
        ))),
    }
}

fn one(
    farm: &Farm,
    stands: &Stands<Weighed>,
    name: &str,
    price: Option<Price>,
    paid: Option<Money>,
) -> Result<Audited, DeskError> {
    let says = &stands.says;
    let (buyer, schedule) = schedule_of(farm, says)?;
    let ticket = ticket_of(says)?;
    let on_ticket = match &says.contract {
        Some(Contract::Sell {
            price_per_bu: Some(price),
            ..
        }) => Some(Price(*price)),
        _ => None,
    };
    // grain on store or priced later has no price yet, whatever the day's is
    let open = matches!(
        says.contract,
        Some(Contract::Store {} | Contract::PriceLater {})
    );
    let price = if open { None } else { on_ticket.or(price) };
    let settlement = grain::settle(&ticket, &schedule, price)?;
    let counts = counts(&ticket, &schedule, &settlement, says);
    let paid_less_recomputed = match (paid, settlement.net) {
        (Some(paid), Some(net)) => Some(paid - net),
        (Some(_), None) => {
            return Err(DeskError::Refused(format!(
                "{name} has no recomputed payment to compare ({}); give --price",
                outcome(&settlement.outcome)
            )));
        }
        _ => None,
    };
    let split = match settlement.net {
        Some(net) => split(farm, says, net)?,
        None => Vec::new(),
    };
    let why = whys(stands, &schedule, &settlement);
    Ok(Audited {
        ticket: name.to_owned(),
        entry: stands.id.to_string(),
        buyer: buyer.to_string(),
        schedule: schedule.name.clone(),
        settlement,
        counts,
        paid,
        paid_less_recomputed,
        split,
        why,
    })
}

fn outcome(outcome: &Outcome) -> String {
    match outcome {
        Outcome::Settled => "settled without a price".to_owned(),
        Outcome::Incomplete => "some line could not be computed".to_owned(),
        Outcome::Rejected { reasons } => format!("rejected: {}", reasons.join("; ")),
    }
}

/// As weighed, the buyer's, crop insurance's and dry at the buyer's base.
fn counts(
    ticket: &Ticket,
    schedule: &Schedule,
    settlement: &Settlement,
    says: &Weighed,
) -> Option<grain::Counts> {
    let moisture = says.moisture.as_ref()?.value;
    let bushel = grain::legal_bushel(ticket.crop).ok()?;
    let base = Moisture::from_decimal_percent(schedule.base_moisture_pct).ok()?;
    grain::counts(
        ticket.crop,
        ticket.net,
        moisture,
        bushel,
        base,
        Some(settlement),
    )
    .ok()
}

/// Shares of a payment: the ticket's own split, else the shares of its field's planting, else none.
fn split(farm: &Farm, says: &Weighed, net: Money) -> Result<Vec<(String, Money)>, DeskError> {
    let planted = says.field.as_ref().and_then(|field| {
        farm.plantings
            .iter()
            .rev()
            .find(|planting| {
                planting.says.field == *field
                    && planting.says.crop == says.crop
                    && planting.says.season == says.season
            })
            .map(|planting| planting.says.shares.clone())
    });
    let shares = if says.split.is_empty() {
        planted.unwrap_or_default()
    } else {
        says.split.clone()
    };
    if shares.len() < 2 {
        return Ok(Vec::new());
    }
    let weights: Vec<Decimal> = shares.iter().map(|share| share.percent).collect();
    let parts = quantity::split_money(
        net,
        &weights,
        Money::CENT,
        quantity::SplitRule::LargestRemainder,
    )?;
    Ok(shares
        .iter()
        .map(|share| share.person.to_string())
        .zip(parts)
        .collect())
}

fn whys(stands: &Stands<Weighed>, schedule: &Schedule, settlement: &Settlement) -> Vec<Why> {
    let unit = settlement.unit.word();
    let mut out = vec![
        Why::new(
            "bushels as weighed",
            format!("{} {unit}", settlement.gross_units.normalize()),
            "net weight over the schedule's pounds a unit",
            &format!("schedule '{}' of {}", schedule.name, schedule.buyer),
        )
        .with(
            "net weight",
            format!("{} lb", settlement.wet_lb.normalize()),
        )
        .with("pounds a unit", settlement.unit_lb.normalize().to_string())
        .from_entry(stands.id.to_string()),
    ];
    for line in &settlement.lines {
        let value = if line.units.is_zero() {
            format!("${}", line.money)
        } else {
            format!("{} {unit}", line.units)
        };
        let mut why = Why::new(
            &line.name,
            value,
            &line.rule,
            &format!("schedule '{}' of {}", schedule.name, schedule.buyer),
        )
        .from_entry(stands.id.to_string());
        if let (Some(factor), Some(value)) = (&line.factor, line.value) {
            why = why.with(
                &factor.words(),
                format!("{} {}", value.normalize(), factor.unit()),
            );
        }
        out.push(why);
    }
    out
}

/// Buyer's bushels of a ticket under its schedule, for a claim; `None` where it cannot be settled.
pub(crate) fn buyers_bushels(farm: &Farm, says: &Weighed) -> Option<(String, Bushels)> {
    let (_, schedule) = schedule_of(farm, says).ok()?;
    let settlement = grain::settle(&ticket_of(says).ok()?, &schedule, None).ok()?;
    Some((schedule.name, settlement.buyers_bushels()?))
}
