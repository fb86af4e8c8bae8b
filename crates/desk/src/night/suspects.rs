//! Slips that look wrong, each beside what its wagon or machine had on earlier slips.

use super::basis;
use super::tonight::{Habit, Likely, Suspicion, TypedFigure};
use crate::held::photograph_of;
use crate::square::{Squaring, SuspectSlip};
use crate::written::{FORMS, figures_of};
use crate::{Farm, Ranged, Season};
use account::square::{Field as SlipField, Hypothesis};
use book::EntryId;
use book::kinds::{Payload, Reading, Weighed};
use quantity::{Mass, MassUnit, Moisture};
use std::collections::BTreeSet;

/// Figures that a reader looks up on the paper, in the order of a ticket; others follow.
const FIRST: [&str; 6] = ["gross", "tare", "net", "monitor", "weight", "moisture"];

pub(super) fn suspicions(farm: &Farm, season: &Season, squaring: &Squaring) -> Vec<Suspicion> {
    let wrong: BTreeSet<EntryId> = squaring
        .suspects
        .iter()
        .filter_map(|one| season.entries.get(&one.slip).copied())
        .collect();
    squaring
        .suspects
        .iter()
        .map(|one| suspicion(farm, season, one, &wrong))
        .collect()
}

fn likely(one: &Hypothesis, per_kg: f64, in_bushels: bool) -> Likely {
    Likely {
        kind: one.kind,
        field: one.field,
        chance: one.chance,
        change: one.change_dry_kg * per_kg,
        in_bushels,
    }
}

fn suspicion(
    farm: &Farm,
    season: &Season,
    one: &SuspectSlip,
    wrong: &BTreeSet<EntryId>,
) -> Suspicion {
    let lb_per_kg = MassUnit::Kg.per() as f64 / MassUnit::Lb.per() as f64;
    let per_lb = one.crop.as_ref().and_then(basis).map(|(_, per)| per);
    let per_kg = lb_per_kg * per_lb.unwrap_or(1.0);
    let id = season.entries.get(&one.slip).copied();
    let standing = id.and_then(|id| {
        farm.effective
            .entries
            .iter()
            .find(|standing| standing.id == id)
    });
    let payload = standing.and_then(|standing| match standing.read() {
        Ok(Reading::Known(payload)) => Some(payload),
        _ => None,
    });
    let mine = || {
        one.suspect
            .hypotheses
            .iter()
            .filter(|other| other.slip == one.slip)
    };
    // the figure of the likeliest mistake, where that is on this slip at all
    let odd = one
        .suspect
        .hypotheses
        .first()
        .filter(|first| first.slip == one.slip)
        .map(|first| first.field);
    let ticket = id.and_then(|id| farm.tickets.iter().find(|ticket| ticket.id == id));
    Suspicion {
        slip: one.slip.0.clone(),
        entry: one.entry.clone(),
        kind: standing.map_or_else(String::new, |standing| standing.kind.clone()),
        crop: one.crop.as_ref().map(|crop| crop.0.clone()),
        at_ms: season.happened.get(&one.slip).map(book::Happened::at_ms),
        off_by: Ranged::of(one.off_by_dry_lb, one.se_dry_lb).times(per_lb.unwrap_or(1.0)),
        in_bushels: per_lb.is_some(),
        likely: mine()
            .map(|other| likely(other, per_kg, per_lb.is_some()))
            .collect(),
        noise: one.suspect.noise,
        something_else: one.suspect.something_else,
        alike: one
            .suspect
            .set
            .iter()
            .filter(|id| **id != one.slip)
            .map(|id| id.0.clone())
            .collect(),
        figures: payload.map_or_else(Vec::new, |payload| figures(farm, id, &payload, odd, wrong)),
        photograph: ticket
            .and_then(|ticket| photograph_of(farm, ticket))
            .or_else(|| {
                let dump = farm.dumps.iter().find(|dump| Some(dump.id) == id)?;
                dump.says.paper.map(|key| key.to_string())
            }),
        question: id.and_then(|id| {
            let open = crate::morning::questions(farm, i64::MAX);
            let asks = farm
                .notes
                .iter()
                .filter(|note| note.says.question && note.says.about.contains(&id));
            asks.map(|note| note.id.to_string())
                .find(|note| open.iter().any(|line| line.id == *note))
        }),
    }
}

fn figure_of(field: SlipField) -> Option<&'static str> {
    Some(match field {
        SlipField::Gross => "gross",
        SlipField::Tare => "tare",
        SlipField::Net => "net",
        SlipField::Reading => "monitor",
        SlipField::Moisture => "moisture",
        SlipField::From => "from",
        SlipField::To => "to",
        SlipField::Crop => "crop",
        SlipField::Unit | SlipField::Slip => return None,
    })
}

fn figures(
    farm: &Farm,
    id: Option<EntryId>,
    payload: &Payload,
    odd: Option<SlipField>,
    wrong: &BTreeSet<EntryId>,
) -> Vec<TypedFigure> {
    let Some(typed) = figures_of(payload) else {
        return Vec::new();
    };
    let form = FORMS.iter().find(|form| form.kind == payload.kind());
    let order = form.map_or(&[][..], |form| form.figures);
    let odd = odd.and_then(figure_of);
    let habits = Habits::of(farm, id, payload, wrong);
    let mut out: Vec<TypedFigure> = Vec::new();
    for figure in order {
        let texts = typed.many(figure.name);
        if texts.is_empty() || matches!(figure.name, "paper" | "season" | "step" | "scale") {
            continue;
        }
        out.push(TypedFigure {
            figure: figure.name.to_owned(),
            typed: texts.to_vec(),
            worked_out: false,
            odd: odd == Some(figure.name),
            habit: habits.of_figure(figure.name),
        });
    }
    if let Payload::Weighed(says) = payload
        && out.iter().all(|one| one.figure != "net")
    {
        out.push(TypedFigure {
            figure: "net".to_owned(),
            typed: vec![says.weight.net.show_in(says.weight.unit, 0)],
            worked_out: true,
            odd: odd == Some("net"),
            habit: habits.of_figure("net"),
        });
    }
    let place = |name: &str| {
        FIRST
            .iter()
            .position(|first| *first == name)
            .unwrap_or(FIRST.len())
    };
    out.sort_by_key(|one| place(&one.figure));
    out
}

/// Earlier figures of the same wagon (a ticket) or machine (a tank).
struct Habits {
    unit: MassUnit,
    masses: Vec<(&'static str, Vec<Mass>, Mass)>,
    moistures: Vec<Moisture>,
    moisture: Option<Moisture>,
}

impl Habits {
    fn of(farm: &Farm, id: Option<EntryId>, payload: &Payload, wrong: &BTreeSet<EntryId>) -> Self {
        match payload {
            Payload::Weighed(says) => Self::of_ticket(farm, id, says, wrong),
            Payload::Dump(says) => {
                let others: Vec<_> = farm
                    .dumps
                    .iter()
                    .filter(|one| Some(one.id) != id && !wrong.contains(&one.id))
                    .filter(|one| {
                        one.says.machine == says.machine
                            && one.says.crop == says.crop
                            && one.says.season == says.season
                    })
                    .collect();
                let unit = says.monitor.as_ref().map_or(MassUnit::Lb, |one| one.unit);
                let read = others
                    .iter()
                    .filter_map(|one| Some(one.says.monitor.as_ref()?.mass))
                    .collect();
                Self {
                    unit,
                    masses: says
                        .monitor
                        .as_ref()
                        .map(|one| ("monitor", read, one.mass))
                        .into_iter()
                        .collect(),
                    moistures: others
                        .iter()
                        .filter_map(|one| Some(one.says.moisture.as_ref()?.value))
                        .collect(),
                    moisture: says.moisture.as_ref().map(|one| one.value),
                }
            }
            _ => Self {
                unit: MassUnit::Lb,
                masses: Vec::new(),
                moistures: Vec::new(),
                moisture: None,
            },
        }
    }

    fn of_ticket(
        farm: &Farm,
        id: Option<EntryId>,
        says: &Weighed,
        wrong: &BTreeSet<EntryId>,
    ) -> Self {
        let others: Vec<_> = farm
            .tickets
            .iter()
            .filter(|one| Some(one.id) != id && !wrong.contains(&one.id))
            .filter(|one| one.says.season == says.season && one.says.from == says.from)
            .collect();
        let all = |of: fn(&Weighed) -> Option<Mass>| {
            others.iter().filter_map(|one| of(&one.says)).collect()
        };
        let mut masses = Vec::new();
        if let Some(gross) = says.weight.gross {
            masses.push(("gross", all(|one| one.weight.gross), gross));
        }
        if let Some(tare) = says.weight.tare {
            masses.push(("tare", all(|one| one.weight.tare), tare));
        }
        masses.push(("net", all(|one| Some(one.weight.net)), says.weight.net));
        let of_crop = others.iter().filter(|one| one.says.crop == says.crop);
        Self {
            unit: says.weight.unit,
            masses,
            moistures: of_crop
                .filter_map(|one| Some(one.says.moisture.as_ref()?.value))
                .collect(),
            moisture: says.moisture.as_ref().map(|one| one.value),
        }
    }

    fn of_figure(&self, name: &str) -> Option<Habit> {
        if name == "moisture" {
            let mine = self.moisture?;
            let percents = self.moistures.iter().map(|one| one.percent());
            let (low, high) = ends(percents)?;
            let shown = |percent: f64| format!("{percent:.1} %");
            return Some(Habit {
                lowest: shown(low),
                highest: shown(high),
                slips: self.moistures.len(),
                outside: !(low..=high).contains(&mine.percent()),
            });
        }
        let (_, earlier, mine) = self.masses.iter().find(|one| one.0 == name)?;
        let (low, high) = (earlier.iter().min()?, earlier.iter().max()?);
        Some(Habit {
            lowest: low.show_in(self.unit, 0),
            highest: high.show_in(self.unit, 0),
            slips: earlier.len(),
            outside: mine < low || mine > high,
        })
    }
}

fn ends(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |ends, value| {
        let (low, high) = ends.unwrap_or((value, value));
        Some((f64::min(low, value), f64::max(high, value)))
    })
}
