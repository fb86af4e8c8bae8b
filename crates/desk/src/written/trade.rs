//! Contracts, arranged deliveries and call-at yields, as written.

use super::land::{crop, shares};
use super::slips::contract as terms;
use super::{Figures, day, decimal, name, pair, season};
use crate::{DeskError, Farm};
use book::kinds::{Arranged, CallAt, GrainContract, Name};
use quantity::Price;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

pub(super) fn call_at(figures: &Figures, year: u16) -> Result<CallAt, DeskError> {
    let yields = |text: &str| {
        let digits = text.trim().trim_end_matches("bu/ac");
        decimal(digits)
            .map_err(|_| format!("found '{text}', expected insurance bushels an acre, like 131.5"))
    };
    Ok(CallAt {
        unit: name(figures.must("unit"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        insurance_bu_ac: figures
            .parsed("yield", yields)?
            .expect("checked to be there"),
        notice_by: figures.parsed("notice-by", day)?,
        agent: figures.parsed("agent", name)?,
        telephone: figures.parsed("telephone", name)?,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

pub(super) fn contract(
    figures: &Figures,
    farm: &Farm,
    year: u16,
) -> Result<GrainContract, DeskError> {
    let bushels = |text: &str| -> Result<Decimal, String> {
        let digits = text.trim().trim_end_matches("bu");
        decimal(digits)
            .map_err(|_| format!("found '{text}', expected the buyer's bushels, like 5,000"))
    };
    Ok(GrainContract {
        number: figures.parsed("number", name)?,
        buyer: farm.buyer(figures.must("buyer"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        buyers_bu: figures
            .parsed("bushels", bushels)?
            .expect("checked to be there"),
        price_per_bu: figures.parsed("price", Price::parse)?.map(|price| price.0),
        deliver_by: figures.parsed("deliver-by", day)?,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

pub(super) fn arranged(figures: &Figures, farm: &Farm, year: u16) -> Result<Arranged, DeskError> {
    let split = figures.many("split");
    let mut accounts: BTreeMap<Name, Name> = BTreeMap::new();
    for text in figures.many("account") {
        let (person, account) = pair("account", text)?;
        let account = name(account).map_err(|why| DeskError::figure("account", why))?;
        if accounts.insert(name(person)?, account).is_some() {
            return Err(DeskError::figure(
                "account",
                format!("{person} is there twice; leave one"),
            ));
        }
    }
    Ok(Arranged {
        buyer: farm.buyer(figures.must("buyer"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        field: figures
            .one("field")
            .map(|name| farm.field(name))
            .transpose()?,
        terms: terms(figures)?,
        split: if split.is_empty() {
            Vec::new()
        } else {
            shares("split", split)?
        },
        accounts,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}
