//! Slips, as written: dumps, weigh tickets and other movements.

use super::land::{crop, crop_in, full, shares};
use super::{Figures, choice, name, pair, season, sha, words, yes_no};
use crate::{DeskError, Farm};
use book::kinds::{
    Contract, Dump, Fill, MoistureReading, MonitorBasis, MonitorReading, Move, MoveWeight, Name,
    ScaleClass, ScaleWeight, Weighed,
};
use quantity::{Mass, MassUnit, Moisture, Price, TestWeight};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// A mass with the unit that its digits were written in.
pub(super) fn written_mass(text: &str) -> Result<(Mass, MassUnit), String> {
    let mass = Mass::parse(text).map_err(|why| why.to_string())?;
    let unit = text
        .trim()
        .trim_start_matches(|c: char| !c.is_alphabetic() && c != '#');
    Ok((mass, MassUnit::parse(unit).map_err(|why| why.to_string())?))
}

pub(super) fn moisture(
    figures: &Figures,
    farm: &Farm,
) -> Result<Option<MoistureReading>, DeskError> {
    let meter = figures
        .one("meter")
        .map(|name| farm.meter(name))
        .transpose()?;
    let value = figures.parsed("moisture", Moisture::parse)?;
    match (value, meter) {
        (Some(value), meter) => Ok(Some(MoistureReading { value, meter })),
        (None, None) => Ok(None),
        (None, Some(_)) => Err(DeskError::figure(
            "meter",
            "a meter without a moisture; add moisture",
        )),
    }
}

pub(super) fn factors(figures: &Figures) -> Result<BTreeMap<Name, Decimal>, DeskError> {
    let mut factors = BTreeMap::new();
    for text in figures.many("factor") {
        let (name, value) = pair("factor", text)?;
        let value = value.trim_end_matches('%').trim().parse().map_err(|_| {
            DeskError::figure(
                "factor",
                format!("found '{value}', expected a number like 1.2"),
            )
        })?;
        let key = name.to_lowercase().replace([' ', '-'], "_");
        if factors.insert(Name::new(&key)?, value).is_some() {
            return Err(DeskError::figure(
                "factor",
                format!("{name} is there twice; leave one"),
            ));
        }
    }
    Ok(factors)
}

pub(super) fn test_weight(figures: &Figures) -> Result<Option<Decimal>, DeskError> {
    Ok(figures
        .parsed("test-weight", TestWeight::parse)?
        .map(TestWeight::decimal))
}

words! {
    BASES, BASIS_WORDS: MonitorBasis {
        "wet" => MonitorBasis::Wet,
        "dry" => MonitorBasis::Dry,
    }
}
words! {
    SCALES, SCALE_WORDS: ScaleClass {
        "certified" => ScaleClass::Certified,
        "cart" => ScaleClass::Cart,
        "farm" => ScaleClass::Farm,
    }
}
words! {
    TERMS, TERMS_WORDS: Terms {
        "sell" => Terms::Sell,
        "store" => Terms::Store,
        "price-later" => Terms::Later,
    }
}
words! {
    KNOWN, KNOWN_WORDS: By {
        "scale" => By::Scale,
        "fill" => By::Fill,
        "dumps" => By::Dumps,
        "full" => By::Full,
    }
}

/// What a monitor showed: a mass, or bushels of the crop's legal weight, kept in pounds.
fn shown(text: &str, crop: &Name) -> Result<(Mass, MassUnit), String> {
    let lower = text.trim().to_lowercase();
    let Some(digits) = ["bushels", "bushel", "bu"]
        .iter()
        .find_map(|unit| lower.strip_suffix(unit))
    else {
        return written_mass(text);
    };
    let bushels = super::decimal(digits)?;
    let legal = crop
        .as_str()
        .parse()
        .ok()
        .and_then(facts::legal_bushel)
        .and_then(|pounds| Decimal::from_f64_retain(pounds.value))
        .ok_or_else(|| format!("{crop} has no legal bushel; give the weight, e.g. 13,610 lb"))?;
    let pounds = bushels.checked_mul(legal.round_dp(4));
    let mass = pounds.and_then(|pounds| Mass::from_decimal(pounds, MassUnit::Lb).ok());
    mass.map(|mass| (mass, MassUnit::Lb))
        .ok_or_else(|| format!("found '{text}', expected what one tank holds"))
}

pub(super) fn dump(figures: &Figures, farm: &Farm, year: u16) -> Result<Dump, DeskError> {
    let machine = farm.machine(figures.must("machine"))?;
    let field = farm.field(figures.must("field"))?;
    let season = season(figures, year)?;
    let crop = crop_in(figures, farm, "dump", (Some(&field), season))?;
    let basis = choice(figures, "monitor-basis", BASES)?;
    let monitor = figures
        .parsed("monitor", |text| shown(text, &crop))?
        .map(|(mass, unit)| MonitorReading {
            mass,
            unit,
            basis: basis.or(machine.monitor).unwrap_or(MonitorBasis::Wet),
        });
    let fill = |figure| -> Result<Option<Fill>, DeskError> {
        let percent = figures.parsed(figure, full)?;
        Ok(percent.map(|percent| Fill { percent }))
    };
    Ok(Dump {
        machine: machine.name.clone(),
        field,
        crop,
        season,
        into: farm.place(figures.must("to"))?,
        fill: fill("full")?,
        monitor,
        moisture: moisture(figures, farm)?,
        number: figures.parsed("number", name)?,
        paper: figures.parsed("paper", sha)?,
        into_fill: fill("now-full")?,
        covered: figures.parsed("covered", yes_no)?,
        mixed: figures.flag("mixed"),
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

fn scale(figures: &Figures, class: ScaleClass) -> Result<ScaleWeight, DeskError> {
    let gross = figures.parsed("gross", written_mass)?;
    let tare = figures.parsed("tare", written_mass)?;
    let net_name = if figures.one("weight").is_some() {
        "weight"
    } else {
        "net"
    };
    let net = figures.parsed(net_name, written_mass)?;
    if let (Some((loaded, _)), Some((empty, _))) = (gross, tare)
        && empty >= loaded
    {
        let (empty, loaded) = (figures.must("tare"), figures.must("gross"));
        let why = format!(
            "found {empty}, expected less than the gross, {loaded}; look at the paper again"
        );
        return Err(DeskError::figure("tare", why));
    }
    let worked = match (gross, tare, net) {
        (_, _, Some((net, _))) => net,
        (Some((gross, _)), Some((tare, _)), None) => gross - tare,
        _ => {
            return Err(DeskError::Missing {
                kind: "weigh ticket".to_owned(),
                figure: "gross and tare, or net".to_owned(),
                help: "weights with units, e.g. \"52,220 lb\"".to_owned(),
            });
        }
    };
    let units: Vec<MassUnit> = [gross, tare, net]
        .into_iter()
        .flatten()
        .map(|(_, unit)| unit)
        .collect();
    let unit = units[0];
    let usual = Mass::from_lb(20.0).expect("a small mass");
    Ok(ScaleWeight {
        gross: gross.map(|(mass, _)| mass),
        tare: tare.map(|(mass, _)| mass),
        shared_tare: figures.parsed("shared-tare", name)?,
        net: worked,
        step: figures.parsed("step", Mass::parse)?.unwrap_or(usual),
        unit,
        class: choice(figures, "scale", SCALES)?.unwrap_or(class),
    })
}

/// The word for the terms, before number and price are added.
#[derive(Clone, Copy)]
pub(super) enum Terms {
    Sell,
    Store,
    Later,
}

/// The terms, with the contract's number and price where the grain is sold.
pub(super) fn contract(figures: &Figures) -> Result<Option<Contract>, DeskError> {
    let number = figures.parsed("contract", name)?;
    let price = figures.parsed("price", Price::parse)?.map(|price| price.0);
    Ok(match choice(figures, "terms", TERMS)? {
        None if number.is_none() && price.is_none() => None,
        Some(Terms::Sell) | None => Some(Contract::Sell {
            number,
            price_per_bu: price,
        }),
        Some(_) if price.is_some() => {
            return Err(DeskError::figure(
                "price",
                "only what is sold has a price; change terms or leave it out",
            ));
        }
        Some(Terms::Store) => Some(Contract::Store {}),
        Some(Terms::Later) => Some(Contract::PriceLater {}),
    })
}

pub(super) fn weighed(figures: &Figures, farm: &Farm, year: u16) -> Result<Weighed, DeskError> {
    let split = figures.many("split");
    Ok(Weighed {
        from: figures
            .many("from")
            .iter()
            .map(|name| farm.place(name))
            .collect::<Result<_, _>>()?,
        to: farm.place(figures.must("to"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        weight: scale(figures, ScaleClass::Certified)?,
        moisture: moisture(figures, farm)?,
        test_weight_lb_bu: test_weight(figures)?,
        factors: factors(figures)?,
        number: figures.parsed("number", name)?,
        buyer: figures
            .one("buyer")
            .map(|name| farm.buyer(name))
            .transpose()?,
        field: figures
            .one("field")
            .map(|name| farm.field(name))
            .transpose()?,
        contract: contract(figures)?,
        split: if split.is_empty() {
            Vec::new()
        } else {
            shares("split", split)?
        },
        empties: !figures.flag("not-emptied"),
        paper: figures.parsed("paper", sha)?,
    })
}

/// How a movement's weight is known.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum By {
    Scale,
    Fill,
    Dumps,
    Full,
}

pub(super) fn moved(figures: &Figures, farm: &Farm, year: u16) -> Result<Move, DeskError> {
    let by = choice(figures, "known-by", KNOWN)?;
    let weighed = figures.one("gross").is_some() || figures.one("tare").is_some();
    let by = by.unwrap_or(if weighed { By::Scale } else { By::Fill });
    let mass = figures.parsed("weight", Mass::parse)?;
    let weight = match (by, mass) {
        (By::Scale, _) => MoveWeight::Scale {
            weight: scale(figures, ScaleClass::Farm)?,
        },
        (_, None) => MoveWeight::Unknown {},
        (By::Fill, Some(mass)) => MoveWeight::Fill { mass },
        (By::Dumps, Some(mass)) => MoveWeight::Dumps { mass },
        (By::Full, Some(mass)) => MoveWeight::Full { mass },
    };
    Ok(Move {
        from: figures
            .many("from")
            .iter()
            .map(|name| farm.place(name))
            .collect::<Result<_, _>>()?,
        to: farm.place(figures.must("to"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        weight,
        moisture: moisture(figures, farm)?,
        number: figures.parsed("number", name)?,
        empties: figures.flag("empties"),
        remark: figures.one("remark").unwrap_or_default().to_owned(),
        paper: figures.parsed("paper", sha)?,
    })
}
