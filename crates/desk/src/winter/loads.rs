//! Tanks and the tickets that weighed them: the load log, and the monitor against the scale.

use super::{AgainstScale, LoadLine};
use crate::{Farm, Ranged, Season, Stands};
use account::slip::SlipId;
use book::kinds::{Dump, Name, Planting, Weighed};
use quantity::Mass;
use std::collections::BTreeMap;

/// One ticket and the tanks that it emptied over the scale.
pub(crate) struct Filling<'a> {
    /// The ticket.
    pub ticket: &'a Stands<Weighed>,
    /// Its tanks, in order of time.
    pub tanks: Vec<&'a Stands<Dump>>,
    /// Whether grain came in or went out by another way, so that the tanks are not all of it.
    pub mixed: bool,
}

/// What each ticket of a season weighed: every tank dumped into its wagons since they were last emptied.
pub(crate) fn fillings(farm: &Farm, year: u16) -> Vec<Filling<'_>> {
    let mut events: Vec<(i64, u8, usize)> = Vec::new();
    let dumps: Vec<&Stands<Dump>> = farm
        .dumps
        .iter()
        .filter(|one| one.says.season == year)
        .collect();
    let tickets: Vec<&Stands<Weighed>> = farm
        .tickets
        .iter()
        .filter(|one| one.says.season == year)
        .collect();
    let moves: Vec<_> = farm
        .moves
        .iter()
        .filter(|one| one.says.season == year)
        .collect();
    events.extend(
        dumps
            .iter()
            .enumerate()
            .map(|(at, one)| (one.happened.at_ms(), 0, at)),
    );
    events.extend(
        moves
            .iter()
            .enumerate()
            .map(|(at, one)| (one.happened.at_ms(), 1, at)),
    );
    events.extend(
        tickets
            .iter()
            .enumerate()
            .map(|(at, one)| (one.happened.at_ms(), 2, at)),
    );
    events.sort_unstable();
    let mut inside: BTreeMap<&Name, (Vec<&Stands<Dump>>, bool)> = BTreeMap::new();
    let mut out = Vec::new();
    for (_, kind, at) in events {
        match kind {
            0 => inside
                .entry(&dumps[at].says.into)
                .or_default()
                .0
                .push(dumps[at]),
            1 => {
                let says = &moves[at].says;
                inside.entry(&says.to).or_default().1 = true;
                for from in &says.from {
                    if says.empties {
                        inside.remove(from);
                    } else {
                        inside.entry(from).or_default().1 = true;
                    }
                }
            }
            _ => {
                let ticket = tickets[at];
                let mut tanks = Vec::new();
                let mut mixed = !ticket.says.empties;
                for from in &ticket.says.from {
                    if let Some((some, other)) = inside.get(from) {
                        tanks.extend(some.iter().copied());
                        mixed |= *other;
                    }
                    if ticket.says.empties {
                        inside.remove(from);
                    } else {
                        inside.entry(from).or_default().1 = true;
                    }
                }
                tanks.sort_by_key(|one| (one.happened.at_ms(), one.id));
                out.push(Filling {
                    ticket,
                    tanks,
                    mixed,
                });
            }
        }
    }
    out
}

fn name(ticket: &Stands<Weighed>) -> String {
    ticket.says.number.as_ref().map_or_else(
        || format!("ticket of entry {}", ticket.id),
        |number| format!("ticket {number}"),
    )
}

/// The fields of the tanks that a ticket weighed.
pub(crate) fn fields_of(farm: &Farm, ticket: &Stands<Weighed>) -> Vec<String> {
    fillings(farm, ticket.says.season)
        .into_iter()
        .find(|one| one.ticket.id == ticket.id)
        .map_or_else(Vec::new, |one| {
            one.tanks
                .iter()
                .map(|tank| tank.says.field.to_string())
                .collect()
        })
}

/// The tanks of one planting, each with the ticket that weighed it.
pub(super) fn log(farm: &Farm, planting: &Planting, fillings: &[Filling<'_>]) -> Vec<LoadLine> {
    let mut out: Vec<LoadLine> = farm
        .dumps
        .iter()
        .filter(|one| {
            one.says.field == planting.field
                && one.says.crop == planting.crop
                && one.says.season == planting.season
        })
        .map(|one| line(one, fillings))
        .collect();
    out.sort_by(|a, b| (a.at_ms, &a.entry).cmp(&(b.at_ms, &b.entry)));
    out
}

fn line(one: &Stands<Dump>, fillings: &[Filling<'_>]) -> LoadLine {
    let weighed = fillings
        .iter()
        .find(|filling| filling.tanks.iter().any(|tank| tank.id == one.id));
    LoadLine {
        entry: one.id.to_string(),
        number: one.says.number.as_ref().map(ToString::to_string),
        at_ms: one.happened.at_ms(),
        machine: one.says.machine.to_string(),
        into: one.says.into.to_string(),
        monitor: one
            .says
            .monitor
            .as_ref()
            .map(|read| read.mass.show_in(read.unit, 0)),
        moisture_pct: one.says.moisture.as_ref().map(|read| read.value.percent()),
        tank_percent: one
            .says
            .fill
            .and_then(|fill| f64::try_from(fill.percent).ok()),
        ticket: weighed.map(|filling| name(filling.ticket)),
    }
}

/// The load log of a whole season.
pub fn loads(farm: &Farm, year: u16) -> Vec<(String, LoadLine)> {
    let fillings = fillings(farm, year);
    let mut out: Vec<(String, LoadLine)> = farm
        .dumps
        .iter()
        .filter(|one| one.says.season == year)
        .map(|one| (one.says.field.to_string(), line(one, &fillings)))
        .collect();
    out.sort_by(|a, b| (a.1.at_ms, &a.1.entry).cmp(&(b.1.at_ms, &b.1.entry)));
    out
}

/// The monitor beside the scale, ticket by ticket, where every tank of a ticket was read; and all of
/// those together.
pub(super) fn against_scale(
    season: &Season,
    fillings: &[&Filling<'_>],
    field: &Name,
    sd_lb: &BTreeMap<SlipId, f64>,
) -> (Vec<AgainstScale>, Option<AgainstScale>) {
    let slip_of: BTreeMap<_, _> = season
        .entries
        .iter()
        .map(|(slip, id)| (*id, slip))
        .collect();
    let mut out = Vec::new();
    for one in fillings
        .iter()
        .filter(|one| !one.mixed && !one.tanks.is_empty())
    {
        let read: Option<Vec<Mass>> = one.tanks.iter().map(|tank| wet(tank)).collect();
        let Some(read) = read else { continue };
        let monitor: Mass = read.into_iter().sum();
        let scale = one.ticket.says.weight.net;
        if scale <= Mass::ZERO {
            continue;
        }
        let moisture = one
            .ticket
            .says
            .moisture
            .as_ref()
            .map(|read| read.value.percent());
        // the slip's error is of dry matter; of the wet weight it is larger by the water
        let dry_share = moisture
            .map_or(1.0, |percent| 1.0 - percent / 100.0)
            .max(0.1);
        let sd = slip_of
            .get(&one.ticket.id)
            .and_then(|slip| sd_lb.get(*slip))
            .copied()
            .unwrap_or(0.0)
            / dry_share;
        out.push(AgainstScale {
            ticket: Some(name(one.ticket)),
            entry: Some(one.ticket.id.to_string()),
            at_ms: Some(one.ticket.happened.at_ms()),
            from: one
                .ticket
                .says
                .from
                .iter()
                .map(ToString::to_string)
                .collect(),
            dumps: one.tanks.len(),
            numbers: one
                .tanks
                .iter()
                .filter_map(|tank| Some(tank.says.number.as_ref()?.to_string()))
                .collect(),
            monitor_lb: monitor.lb(),
            scale_lb: Ranged::of(scale.lb(), sd),
            moisture_pct: moisture,
            over_percent: (monitor.lb() / scale.lb() - 1.0) * 100.0,
            all_this_field: one.tanks.iter().all(|tank| tank.says.field == *field),
        });
    }
    let together = (out.len() > 1).then(|| {
        let (monitor, scale): (f64, f64) = (
            out.iter().map(|one| one.monitor_lb).sum(),
            out.iter().map(|one| one.scale_lb.value).sum(),
        );
        AgainstScale {
            ticket: None,
            entry: None,
            at_ms: None,
            from: Vec::new(),
            dumps: out.iter().map(|one| one.dumps).sum(),
            numbers: Vec::new(),
            monitor_lb: monitor,
            scale_lb: Ranged::together(scale, out.iter().map(|one| one.scale_lb)),
            moisture_pct: None,
            over_percent: (monitor / scale - 1.0) * 100.0,
            all_this_field: out.iter().all(|one| one.all_this_field),
        }
    });
    (out, together)
}

/// What the monitor read, wet; a dry reading has no wet mass without its base.
fn wet(tank: &Stands<Dump>) -> Option<Mass> {
    let read = tank.says.monitor.as_ref()?;
    (read.basis == book::kinds::MonitorBasis::Wet).then_some(read.mass)
}
