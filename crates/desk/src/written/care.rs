//! Ready lists, tarps and copies, as written.

use super::{Figures, choice, day, name, whole, words, yes_no};
use crate::{DeskError, Farm};
use book::EntryId;
use book::kinds::{Copied, Cover, Often, Ready, Ticked};

words! {
    OFTEN, OFTEN_WORDS: Often {
        "daily" => Often::Daily,
        "once" => Often::Once,
    }
}

pub(super) fn ready(figures: &Figures) -> Result<Ready, DeskError> {
    Ok(Ready {
        text: figures.must("text").to_owned(),
        list: name(figures.must("list"))?,
        often: choice(figures, "often", OFTEN)?.unwrap_or(Often::Daily),
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
