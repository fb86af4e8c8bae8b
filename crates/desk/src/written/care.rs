//! Ready lists, tarps and copies, as written.

use super::{Figures, choice, day, decimal, name, whole, words, yes_no};
use crate::{DeskError, Farm};
use book::EntryId;
use book::kinds::{Copied, Cover, Often, Ready, ReadyReading, Ticked};

words! {
    OFTEN, OFTEN_WORDS: Often {
        "daily" => Often::Daily,
        "once" => Often::Once,
    }
}

pub(super) fn ready(figures: &Figures) -> Result<Ready, DeskError> {
    let (least, most) = (
        figures.parsed("least", decimal)?,
        figures.parsed("most", decimal)?,
    );
    let reading = match (
        figures.parsed("reading", name)?,
        figures.parsed("unit", name)?,
    ) {
        (Some(what), Some(unit)) => Some(ReadyReading {
            what,
            unit,
            least,
            most,
        }),
        (None, None) if least.is_none() && most.is_none() => None,
        (what, _) => {
            let missing = if what.is_some() { "unit" } else { "reading" };
            return Err(DeskError::Missing {
                kind: "ready".to_owned(),
                figure: missing.to_owned(),
                help: "a reading has a name and a unit, e.g. torque in lb ft".to_owned(),
            });
        }
    };
    Ok(Ready {
        text: figures.must("text").to_owned(),
        list: name(figures.must("list"))?,
        often: choice(figures, "often", OFTEN)?.unwrap_or(Often::Daily),
        reading,
        every_engine_h: figures.parsed("every", decimal)?,
    })
}

pub(super) fn ticked(figures: &Figures, farm: &Farm) -> Result<Ticked, DeskError> {
    let item = figures.must("item").trim();
    let item = match EntryId::parse(item) {
        Ok(id) => id,
        Err(_) => farm
            .ready
            .iter()
            .rev()
            .find(|line| line.says.text.trim() == item)
            .map(|line| line.id)
            .ok_or_else(|| {
                DeskError::figure(
                    "item",
                    format!("found '{item}', expected a line of a ready list, its text or its id"),
                )
            })?,
    };
    Ok(Ticked {
        item,
        day: figures.parsed("day", day)?.expect("checked to be there"),
        value: figures.parsed("value", decimal)?,
        engine_h: figures.parsed("engine-hours", decimal)?,
    })
}

pub(super) fn cover(figures: &Figures, farm: &Farm) -> Result<Cover, DeskError> {
    Ok(Cover {
        place: farm.place(figures.must("place"))?,
        covered: figures
            .parsed("covered", yes_no)?
            .expect("checked to be there"),
    })
}

pub(super) fn copied(figures: &Figures) -> Result<Copied, DeskError> {
    Ok(Copied {
        kept_at: name(figures.must("to"))?,
        entries: figures
            .parsed("entries", whole)?
            .expect("checked to be there"),
    })
}
