//! Looking suspects up on their paper, and entering what it shows. Nothing here reads the truth:
//! only what squaring named, and the paper.

use super::Mended;
use super::day;
use super::enter::{Entered, SeasonClock, slip_figures, write};
use crate::square::Squaring;
use crate::written::Figures;
use crate::{DeskError, Farm, Pen};
use account::slip::SlipId;
use account::square::MistakeKind;
use book::{Book, EntryId};
use std::collections::BTreeSet;
use worlds::demo::DemoFarm;
use worlds::paper::Slip;

/// One round: every slip that squaring points at is looked up; where the paper differs from what
/// stands, a correction is entered; a slip that the paper does not have is struck out; a ticket on
/// the pile that the book lacks, from a wagon that squaring found short, is entered.
pub(super) fn look_up(
    book: &mut Book,
    farm: &DemoFarm,
    entered: &mut Entered,
    clock: &mut SeasonClock,
    squaring: &Squaring,
) -> Result<Vec<Mended>, DeskError> {
    let mut done = Vec::new();
    for suspect in &squaring.suspects {
        let mut named: Vec<&SlipId> = vec![&suspect.slip];
        named.extend(suspect.suspect.hypotheses.iter().map(|one| &one.slip));
        named.extend(
            suspect
                .suspect
                .hypotheses
                .iter()
                .filter_map(|one| one.other.as_ref()),
        );
        named.extend(&suspect.suspect.set);
        let mut seen: BTreeSet<&SlipId> = BTreeSet::new();
        named.retain(|id| seen.insert(id));
        for id in named {
            let Some(entry) = squaring.entries.get(id) else {
                continue;
            };
            let Some(name) = entered.slip_of(entry).map(str::to_owned) else {
                continue;
            };
            if entered.settled.contains(&name) {
                continue;
            }
            if let Some(one) = compare(book, farm, entered, clock, &name, id)? {
                entered.settled.insert(name);
                done.push(one);
            }
        }
        let short = suspect
            .suspect
            .hypotheses
            .iter()
            .any(|one| one.kind == MistakeKind::Missing);
        if short
            && let Some(one) = missing(
                book,
                farm,
                entered,
                clock,
                squaring,
                suspect.suspect.set.as_slice(),
            )?
        {
            done.push(one);
        }
    }
    Ok(done)
}

/// What stands of a slip beside its paper.
fn compare(
    book: &mut Book,
    farm: &DemoFarm,
    entered: &Entered,
    clock: &mut SeasonClock,
    name: &str,
    id: &SlipId,
) -> Result<Option<Mended>, DeskError> {
    let Some(typed) = farm.typed.slip(name) else {
        return Ok(None);
    };
    let standing = Farm::read(book)?;
    let Some(entry) = entered.entries.get(name).copied() else {
        return Ok(None);
    };
    if !standing.effective.entries.iter().any(|one| one.id == entry) {
        return Ok(None);
    }
    let Some(paper) = farm.paper.slip(name) else {
        let mut pen = Pen::new("owner", None, &farm.zone, clock)?;
        let struck = crate::strike(
            book,
            &standing,
            &mut pen,
            entry,
            "there is one paper ticket, entered twice",
        )?;
        return Ok(Some(Mended {
            slip: id.0.clone(),
            what: "no paper of its own: entered twice, struck out".to_owned(),
            entry: struck.id.to_string(),
        }));
    };
    let (kind, was) = slip_figures(farm, typed);
    let (paper_kind, shows) = slip_figures(farm, paper);
    let mut set = differences(&was, &shows);
    if kind != paper_kind || set.iter().next().is_none() {
        return Ok(None);
    }
    // a net that was typed by hand gives way to gross less tare as the paper has them
    if shows.one("net").is_none() && was.one("net").is_some() {
        set.set_given("net", Vec::new());
    }
    let words: Vec<String> = set
        .iter()
        .filter(|(_, texts)| !texts.is_empty())
        .map(|(figure, texts)| {
            let before = was.many(figure).join(" + ");
            let before = if before.is_empty() {
                "nothing".to_owned()
            } else {
                before
            };
            format!("{figure} {} where {before} was typed", texts.join(" + "))
        })
        .collect();
    let what = format!("the paper shows {}", words.join(", "));
    let entry = mend(book, farm, clock, entry, &set, &what)?;
    Ok(Some(Mended {
        slip: id.0.clone(),
        what,
        entry: entry.to_string(),
    }))
}

fn mend(
    book: &mut Book,
    farm: &DemoFarm,
    clock: &mut SeasonClock,
    entry: EntryId,
    set: &Figures,
    reason: &str,
) -> Result<EntryId, DeskError> {
    let standing = Farm::read(book)?;
    let mut pen = Pen::new("owner", None, &farm.zone, clock)?;
    Ok(crate::mend(book, &standing, &mut pen, entry, set, reason)?.id)
}

/// Figures that the paper shows otherwise than they were typed.
fn differences(was: &Figures, shows: &Figures) -> Figures {
    let mut set = Figures::default();
    for (figure, texts) in shows.iter() {
        if was.many(figure) != texts {
            set.set_given(figure, texts.to_vec());
        }
    }
    for (figure, _) in was.iter() {
        if shows.one(figure).is_none() {
            set.set_given(figure, Vec::new());
        }
    }
    set
}

/// A paper on the pile that is not in the book: the one nearest in time that concerns the same place.
fn missing(
    book: &mut Book,
    farm: &DemoFarm,
    entered: &mut Entered,
    clock: &mut SeasonClock,
    squaring: &Squaring,
    set: &[SlipId],
) -> Result<Option<Mended>, DeskError> {
    let around: Vec<&Slip> = set
        .iter()
        .filter_map(|id| farm.typed.slip(entered.slip_of(squaring.entries.get(id)?)?))
        .collect();
    let concerns = |slip: &Slip| {
        around.iter().any(|other| {
            slip.crop == other.crop
                && (slip
                    .from
                    .iter()
                    .any(|place| other.from.contains(place) || other.to == *place)
                    || other.from.contains(&slip.to)
                    || other.to == slip.to && !other.from.is_empty() && slip.from == other.from)
        })
    };
    let nearest = |slip: &Slip| {
        around
            .iter()
            .map(|other| (other.at_ms - slip.at_ms).abs())
            .min()
            .unwrap_or(i64::MAX)
    };
    let found = farm
        .paper
        .slips
        .iter()
        .filter(|slip| !entered.entries.contains_key(&slip.id) && concerns(slip))
        .min_by_key(|slip| nearest(slip))
        .cloned();
    let Some(slip) = found else { return Ok(None) };
    let (kind, mut figures) = slip_figures(farm, &slip);
    if let Some(paper) = day::photograph(book, farm, &slip.id)? {
        figures.add("paper", paper.to_string());
    }
    let entry = write(book, clock, &farm.zone, Some(slip.at_ms), kind, &figures)?;
    entered.entries.insert(slip.id.clone(), entry);
    entered.settled.insert(slip.id.clone());
    let number = slip.number.clone().unwrap_or_else(|| slip.id.clone());
    Ok(Some(Mended {
        slip: format!(
            "{} {number}",
            if kind == "weighed" { "ticket" } else { kind }
        ),
        what: "a paper on the pile that was never typed, now entered".to_owned(),
        entry: entry.to_string(),
    }))
}
