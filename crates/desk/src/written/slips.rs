//! Slips, as written: dumps, weigh tickets and other movements.

use super::Given::{Flag, Many, May, Must, MustMany};
use super::land::{crop, part, shares};
use super::{Figures, Form, choice, figure, name, pair, season};
use crate::{DeskError, Farm};
use book::kinds::{
    Contract, Dump, Fill, MoistureReading, MonitorBasis, MonitorReading, Move, MoveWeight, Name,
    ScaleClass, ScaleWeight, Weighed,
};
use quantity::{Mass, MassUnit, Moisture, Price, TestWeight};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

pub(super) const DUMP: Form = Form {
    kind: "dump",
    help: "The machine's tank emptied into a place",
    figures: &[
        figure("machine", Must, "Which combine"),
        figure("field", Must, "Which field it was cut in"),
        figure("crop", Must, "Which crop"),
        figure("season", May, "The year, if not the one it happened in"),
        figure("to", Must, "Into which place"),
        figure("full", May, "How full the tank was, e.g. 2/3 or 80%"),
        figure(
            "monitor",
            May,
            "What the monitor showed for this tank, e.g. \"13,610 lb\"",
        ),
        figure("moisture", May, "Moisture, e.g. 17.4%"),
        figure("meter", May, "Which meter"),
        figure("number", May, "Load card number"),
    ],
};
pub(super) const WEIGHED: Form = Form {
    kind: "weighed",
    help: "A weigh ticket",
    figures: &[
        figure(
            "from",
            MustMany,
            "What was emptied over the scale; again for more wagons",
        ),
        figure("to", Must, "Where the grain went"),
        figure("crop", Must, "Which crop"),
        figure("season", May, "The year, if not the one it happened in"),
        figure("gross", May, "Loaded weight, e.g. \"78,460 lb\""),
        figure("tare", May, "Empty weight, e.g. \"26,240 lb\""),
        figure(
            "net",
            May,
            "Net weight as printed; worked out from gross and tare if left out",
        ),
        figure(
            "step",
            May,
            "The step that the scale prints; 20 lb if left out",
        ),
        figure(
            "scale",
            May,
            "certified, cart or farm; certified if left out",
        ),
        figure(
            "shared-tare",
            May,
            "Name of a tare weighed once and used for many tickets",
        ),
        figure("moisture", May, "Moisture, e.g. 17.4%"),
        figure("meter", May, "Which meter"),
        figure("test-weight", May, "Test weight, e.g. \"54.0 lb/bu\""),
        figure("factor", Many, "Other factors as printed, e.g. dockage=0.8"),
        figure("number", May, "Ticket number"),
        figure("buyer", May, "Which buyer settles it"),
        figure("field", May, "The field written on the ticket"),
        figure(
            "terms",
            May,
            "sell, store or price-later; leave it out to ask",
        ),
        figure("contract", May, "The contract's number, when sold"),
        figure("price", May, "Price, when sold, e.g. \"$4.15/bu\""),
        figure(
            "split",
            Many,
            "How the ticket splits the grain, e.g. owner=2/3",
        ),
        figure("not-emptied", Flag, "The wagon was not emptied"),
    ],
};
pub(super) const MOVE: Form = Form {
    kind: "move",
    help: "Any other movement: bin to truck, feed, seed, spill, dryer",
    figures: &[
        figure("from", MustMany, "From which place"),
        figure("to", Must, "To which place"),
        figure("crop", Must, "Which crop"),
        figure("season", May, "The year, if not the one it happened in"),
        figure("weight", May, "Wet weight, e.g. \"9,200 lb\""),
        figure("gross", May, "Loaded weight, if weighed"),
        figure("tare", May, "Empty weight, if weighed"),
        figure(
            "known-by",
            May,
            "scale, fill, dumps or full; fill if left out",
        ),
        figure(
            "scale",
            May,
            "Which scale, if weighed: certified, cart or farm; farm if left out",
        ),
        figure(
            "step",
            May,
            "The step that the scale prints; 20 lb if left out",
        ),
        figure("moisture", May, "Moisture"),
        figure("meter", May, "Which meter"),
        figure("number", May, "Load card number"),
        figure(
            "empties",
            Flag,
            "The place it came from is empty afterwards",
        ),
        figure("remark", May, "Why, or how it came about"),
    ],
};

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

pub(super) fn dump(figures: &Figures, farm: &Farm, year: u16) -> Result<Dump, DeskError> {
    let machine = farm.machine(figures.must("machine"))?;
    let monitor = figures
        .parsed("monitor", written_mass)?
        .map(|(mass, unit)| MonitorReading {
            mass,
            unit,
            basis: machine.monitor.unwrap_or(MonitorBasis::Wet),
        });
    Ok(Dump {
        machine: machine.name.clone(),
        field: farm.field(figures.must("field"))?,
        crop: crop(figures)?,
        season: season(figures, year)?,
        into: farm.place(figures.must("to"))?,
        fill: figures
            .parsed("full", part)?
            .map(|percent| Fill { percent }),
        monitor,
        moisture: moisture(figures, farm)?,
        number: figures.parsed("number", name)?,
        paper: None,
        into_fill: None,
        covered: None,
        mixed: false,
        remark: String::new(),
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
    let classes = [
        ("certified", ScaleClass::Certified),
        ("cart", ScaleClass::Cart),
        ("farm", ScaleClass::Farm),
    ];
    let usual = Mass::from_lb(20.0).expect("a small mass");
    Ok(ScaleWeight {
        gross: gross.map(|(mass, _)| mass),
        tare: tare.map(|(mass, _)| mass),
        shared_tare: figures.parsed("shared-tare", name)?,
        net: worked,
        step: figures.parsed("step", Mass::parse)?.unwrap_or(usual),
        unit,
        class: choice(figures, "scale", &classes)?.unwrap_or(class),
    })
}

#[derive(Clone, Copy)]
enum Terms {
    Sell,
    Store,
    Later,
}

pub(super) fn weighed(figures: &Figures, farm: &Farm, year: u16) -> Result<Weighed, DeskError> {
    let number = figures.parsed("contract", name)?;
    let price = figures.parsed("price", Price::parse)?.map(|price| price.0);
    let words = [
        ("sell", Terms::Sell),
        ("store", Terms::Store),
        ("price-later", Terms::Later),
    ];
    let contract = match choice(figures, "terms", &words)? {
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
    };
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
        contract,
        split: if split.is_empty() {
            Vec::new()
        } else {
            shares("split", split)?
        },
        empties: !figures.flag("not-emptied"),
        paper: None,
    })
}

#[derive(Clone, Copy, PartialEq)]
enum By {
    Scale,
    Fill,
    Dumps,
    Full,
}

pub(super) fn moved(figures: &Figures, farm: &Farm, year: u16) -> Result<Move, DeskError> {
    let words = [
        ("scale", By::Scale),
        ("fill", By::Fill),
        ("dumps", By::Dumps),
        ("full", By::Full),
    ];
    let by = choice(figures, "known-by", &words)?;
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
        paper: None,
    })
}
