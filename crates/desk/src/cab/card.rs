//! The card at the scale: as the owner arranged it, else the planting's shares; a blank is asked.

use super::{Account, ScaleCard};
use crate::Farm;
use crate::held::{crop_name, share_lines, shares};
use book::kinds::{Arranged, Contract, Name};

/// One card a planted field, crop and buyer that something was arranged with, the latest arranged
/// first; where nothing was, one without a buyer.
pub(super) fn cards(farm: &Farm, year: u16) -> Vec<ScaleCard> {
    let mut out = Vec::new();
    let mut seen: Vec<(&Name, &Name)> = Vec::new();
    for planting in farm.plantings.iter().filter(|one| one.says.season == year) {
        let (field, crop) = (&planting.says.field, &planting.says.crop);
        if seen.contains(&(field, crop)) {
            continue;
        }
        seen.push((field, crop));
        let mut buyers: Vec<&Name> = Vec::new();
        for one in farm.arranged.iter().rev() {
            let says = &one.says;
            let fits = says.season == year
                && says.crop == *crop
                && says.field.as_ref().is_none_or(|of| of == field);
            if fits && !buyers.contains(&&says.buyer) {
                buyers.push(&says.buyer);
            }
        }
        for buyer in &buyers {
            let arranged = farm.arranged_for(buyer, crop, year, Some(field));
            out.push(card(farm, year, field, crop, arranged.map(|one| &one.says)));
        }
        if buyers.is_empty() {
            out.push(card(farm, year, field, crop, None));
        }
    }
    out
}

fn card(
    farm: &Farm,
    year: u16,
    field: &Name,
    crop: &Name,
    arranged: Option<&Arranged>,
) -> ScaleCard {
    let own = arranged.filter(|one| !one.split.is_empty());
    let split = match own {
        Some(one) => share_lines(&one.split),
        None => shares(farm, field, crop.as_str(), year),
    };
    let account = |person: &str| {
        let named = arranged.and_then(|one| {
            let mut all = one.accounts.iter();
            all.find(|(of, _)| of.as_str() == person)
        });
        named.map_or_else(|| person.to_owned(), |(_, account)| account.to_string())
    };
    let terms = arranged.and_then(|one| one.terms.as_ref());
    ScaleCard {
        field: Some(field.to_string()),
        crop: crop.to_string(),
        crop_name: crop_name(crop.as_str()),
        buyer: arranged.map(|one| one.buyer.to_string()),
        split: split
            .into_iter()
            .map(|share| Account {
                account: account(&share.person),
                person: share.person,
                percent: share.percent,
            })
            .collect(),
        split_arranged: own.is_some(),
        terms: terms.map(|terms| match terms {
            Contract::Sell { .. } => "sell",
            Contract::Store {} => "store",
            Contract::PriceLater {} => "price_later",
        }),
        contract: terms.and_then(|terms| match terms {
            Contract::Sell { number, .. } => number.as_ref().map(ToString::to_string),
            Contract::Store {} | Contract::PriceLater {} => None,
        }),
        remark: arranged
            .map(|one| one.remark.clone())
            .filter(|remark| !remark.is_empty()),
    }
}
