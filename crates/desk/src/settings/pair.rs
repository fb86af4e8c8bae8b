//! Which counts stand on which side of a change, and the judging of them.

use super::{Judged, NoMoney, Turn, Verdict, Waits, Worth};
use crate::{DeskError, Farm, Ranged, Stands, Why};
use book::kinds::{Count, Frame, FrameAt, Setting, SettingChange, Tail};
use facts::Crop;
use machine::change::{self, Grain, Setting as Ab, Side};
use machine::frame::Concentration;
use machine::loss::{Class, Counts, Estimate, Money, Prior, Relative, Seed};

/// Settings that are one trial: the first, and those that go back and forth between its two.
pub(super) struct Trial {
    /// Places in the log, the first first.
    pub members: Vec<usize>,
    /// Spans of time under each setting, UTC milliseconds, from (inclusive) and to.
    pub spans: Vec<(Ab, i64, i64)>,
}

/// What a setting puts each thing to.
fn goes_to(setting: &Setting, other: &[SettingChange], back: bool) -> bool {
    setting.changes.len() == other.len()
        && other.iter().all(|was| {
            let wanted = if back {
                was.from.as_ref()
            } else {
                Some(&was.to)
            };
            wanted.is_some()
                && setting
                    .changes
                    .iter()
                    .any(|now| now.what == was.what && Some(&now.to) == wanted)
        })
}

/// Cuts a log, sorted by time, into trials.
pub(super) fn trials(all: &[&Stands<Setting>]) -> Vec<Trial> {
    let mut out: Vec<Trial> = Vec::new();
    for (at, one) in all.iter().enumerate() {
        if out.iter().any(|trial| trial.members.contains(&at)) {
            continue;
        }
        let same = |other: &&Stands<Setting>| other.says.machine == one.says.machine;
        let before = all[..at].iter().rev().find(|other| same(other));
        let start = before.map_or(i64::MIN, |other| other.happened.at_ms());
        let mut members = vec![at];
        let mut spans = vec![(Ab::A, start, one.happened.at_ms())];
        let mut state = Ab::B;
        let mut since = one.happened.at_ms();
        let mut end = i64::MAX;
        for (later, other) in all.iter().enumerate().skip(at + 1) {
            if !same(other) {
                continue;
            }
            let next = if state == Ab::B && goes_to(&other.says, &one.says.changes, true) {
                Ab::A
            } else if state == Ab::A && goes_to(&other.says, &one.says.changes, false) {
                Ab::B
            } else {
                end = other.happened.at_ms();
                break;
            };
            spans.push((state, since, other.happened.at_ms()));
            members.push(later);
            (state, since) = (next, other.happened.at_ms());
        }
        spans.push((state, since, end));
        out.push(Trial { members, spans });
    }
    out
}

/// The counts of one side.
#[derive(Default)]
struct Counted {
    standing: Vec<f64>,
    head: Vec<f64>,
    machine: Vec<f64>,
    entries: Vec<String>,
}

impl Counted {
    fn take(&mut self, count: &Stands<Count>) {
        for found in &count.says.frames {
            let Some(seeds) = found.seeds.map(f64::from) else {
                continue;
            };
            match found.at {
                FrameAt::Standing => self.standing.push(seeds),
                FrameAt::BehindHead => self.head.push(seeds),
                FrameAt::BehindMachine => self.machine.push(seeds),
            }
        }
        self.entries.push(count.id.to_string());
    }

    fn counts(&self, frame_m2: f64) -> Result<Counts, DeskError> {
        let class = |found: &Vec<f64>| {
            (!found.is_empty())
                .then(|| Class::new(frame_m2, found.clone()))
                .transpose()
        };
        Ok(Counts {
            standing: class(&self.standing)?,
            behind_head: class(&self.head)?,
            behind_machine: class(&self.machine)?,
        })
    }

    /// Frames of the class that a change is judged on.
    fn judged(&self, at_head: bool) -> usize {
        if at_head && !self.head.is_empty() || self.machine.is_empty() {
            self.head.len()
        } else {
            self.machine.len()
        }
    }
}

fn f64_of(value: rust_decimal::Decimal) -> f64 {
    f64::try_from(value).unwrap_or(f64::NAN)
}

/// A frame as the arithmetic takes it.
fn frame_of(frame: Frame) -> machine::frame::Frame {
    match frame {
        Frame::Area { area_m2 } => machine::frame::Frame::Area {
            area_m2: f64_of(area_m2),
        },
        Frame::Sides { long_m, wide_m } => machine::frame::Frame::Sides {
            long_m: f64_of(long_m),
            wide_m: f64_of(wide_m),
        },
        Frame::Hoop { across_m } => machine::frame::Frame::Hoop {
            across_m: f64_of(across_m),
        },
    }
}

/// How many times thicker the tail lays it; `None` where nobody said.
fn thickness(count: &Count) -> Option<f64> {
    let cut = count.cut_width_m.map(f64_of);
    let tail = match count.tail {
        Tail::Spread { width_m: None } => machine::frame::Tail::Spread,
        Tail::Spread {
            width_m: Some(width),
        } => machine::frame::Tail::SpreadOver {
            width_m: f64_of(width),
            cut_m: cut?,
        },
        Tail::Windrow {
            width_m: Some(width),
        } => machine::frame::Tail::Windrow {
            width_m: f64_of(width),
            cut_m: cut?,
        },
        Tail::Windrow { width_m: None } | Tail::Unknown {} => return None,
    };
    match machine::frame::concentration(tail, frame_of(count.frame)).ok()? {
        Concentration::Yes { factor } => Some(factor),
        Concentration::No { .. } => None,
    }
}

/// A figure and its range 8 in 10.
fn ranged(estimate: &Estimate, factor: f64) -> Option<Ranged> {
    let doubt = estimate.doubt.as_ref()?;
    Some(
        Ranged {
            value: estimate.value,
            low: doubt.low,
            high: doubt.high,
        }
        .times(factor),
    )
}

type Told = Result<(Verdict, Vec<Why>), Waits>;

/// Judges a trial.
pub(super) fn judge(
    farm: &Farm,
    all: &[&Stands<Setting>],
    trial: &Trial,
    worth: Worth,
    now_ms: i64,
) -> Result<Told, DeskError> {
    let first = all[trial.members[0]];
    let (Some(field), Some(crop)) = (&first.says.field, &first.says.crop) else {
        return Ok(Err(Waits::NoField));
    };
    let of = |one: &&Stands<Count>| {
        one.says.field == *field && one.says.crop == *crop && one.says.season == first.says.season
    };
    let mut counts: Vec<&Stands<Count>> = farm.counts.iter().filter(of).collect();
    counts.sort_by_key(|one| (one.happened.at_ms(), one.id));
    let all_counts = counts.len();
    counts.retain(|one| {
        let machine = one.says.machine.as_ref();
        machine.is_none_or(|machine| *machine == first.says.machine)
            && one.happened.at_ms() <= now_ms
    });
    let state = |at_ms: i64| {
        let within = trial
            .spans
            .iter()
            .find(|(_, from, to)| (*from..*to).contains(&at_ms));
        within.map(|(state, _, _)| *state)
    };
    // the frame of the last count after the change is the one that is compared
    let Some(last) = counts
        .iter()
        .rev()
        .find(|one| state(one.happened.at_ms()) == Some(Ab::B))
    else {
        return Ok(Err(Waits::NoAfter));
    };
    let last = *last;
    let (frame, tail, cut) = (last.says.frame, last.says.tail, last.says.cut_width_m);
    counts.retain(|one| {
        one.says.frame == frame && one.says.tail == tail && one.says.cut_width_m == cut
    });
    let at_head = first.says.changes.iter().any(|one| one.what.at_head());
    // what is typed goes before what the count weighed, and that before the crop's usual weight
    let weighed = last.says.thousand_seeds_g.map(f64_of);
    let worth = Worth {
        thousand_g: worth.thousand_g.or(weighed),
        ..worth
    };
    let (mut a, mut b) = (Counted::default(), Counted::default());
    let (mut order, mut looks) = (Vec::new(), 0);
    for count in &counts {
        let Some(side) = state(count.happened.at_ms()) else {
            continue;
        };
        match side {
            Ab::A => a.take(count),
            Ab::B => b.take(count),
        }
        order.push(side);
        let enough = a.judged(at_head).min(b.judged(at_head)) >= 3;
        looks += usize::from(enough && count.happened.at_ms() >= first.happened.at_ms());
    }
    if a.entries.is_empty() {
        return Ok(Err(Waits::NoBefore));
    }
    let looks = looks.clamp(1, change::MOST_LOOKS);
    let frame_m2 = frame_of(frame).area_m2()?;
    let (before, after) = (a.counts(frame_m2)?, b.counts(frame_m2)?);
    let thick = thickness(&last.says);
    let prior = Prior::default();
    let both = |of: fn(&Counts) -> &Option<Class>| of(&before).as_ref().zip(of(&after).as_ref());
    let heads = both(|counts| &counts.behind_head);
    let machines = both(|counts| &counts.behind_machine);
    let head = heads
        .map(|(before, after)| change::judge(before, after, looks))
        .transpose()?;
    let side = |counts| Side {
        counts,
        concentration: thick.unwrap_or(1.0),
    };
    let (judged, said, head) = match (machines, head) {
        (Some(_), Some(head)) if at_head => {
            let by_four = change::judge_machine(side(&before), side(&after), prior, looks)?;
            (Judged::MachineByFour, by_four, Some(head))
        }
        (Some((before, after)), _) => (
            Judged::BehindMachine,
            change::judge(before, after, looks)?,
            None,
        ),
        (None, Some(head)) => (Judged::BehindHead, head, None),
        (None, None) => return Ok(Err(Waits::NoFrames)),
    };
    let saved = saved(judged, (&before, &after), thick, crop.as_str(), worth);
    let (money, no_money) = match saved {
        Ok((saved, lb)) => (
            Some((saved, lb)),
            worth.price_per_bu.is_none().then_some(NoMoney::Price),
        ),
        Err(why) => (None, Some(why)),
    };
    let bu = |lb: f64| 1.0 / machine::frame::kg_per_ha_of_one_bu_per_ac(lb);
    let ac_per_ha = machine::frame::M2_PER_AC / 10_000.0;
    let per_ha = money.and_then(|(saved, _)| saved.money_per_ha);
    let per_h = money.and_then(|(saved, _)| saved.money_per_h);
    let verdict = Verdict {
        judged,
        change: said,
        head,
        saved_bu_per_ac: money.and_then(|(saved, lb)| ranged(&saved.kg_per_ha, bu(lb))),
        saved_per_ac: per_ha.and_then(|one| ranged(&one, ac_per_ha)),
        saved_per_h: per_h.and_then(|one| ranged(&one, 1.0)),
        no_money,
        in_turn: change::in_turn(&order),
        tried: 1,
        ratio_less_luck: None,
        left_out: all_counts - a.entries.len() - b.entries.len(),
        before: a.entries,
        after: b.entries,
        schedule: schedule(farm, now_ms),
    };
    let why = why(&verdict, &first.id.to_string(), frame_m2, thick);
    Ok(Ok((verdict, why)))
}

/// What a change saves, and the pounds of the crop's bushel.
fn saved(
    judged: Judged,
    (before, after): (&Counts, &Counts),
    thick: Option<f64>,
    crop: &str,
    worth: Worth,
) -> Result<(change::Saved, f64), NoMoney> {
    let thick = thick.ok_or(NoMoney::Tail)?;
    let crop: Option<Crop> = crop.parse().ok();
    let lb = crop
        .and_then(facts::legal_bushel)
        .map(|fact| fact.value)
        .ok_or(NoMoney::Seed)?;
    let cv = |id: &str| facts::counting(id).map_or(0.08, |fact| fact.value);
    let seed = match worth.thousand_g {
        Some(thousand_g) => Seed {
            thousand_g,
            doubt: Relative::guess(cv("weighed_seed_cv")),
            frames_weighed: false,
        },
        None => Seed {
            thousand_g: crop
                .map(|crop| facts::thousand_seeds_g(crop).value)
                .ok_or(NoMoney::Seed)?,
            doubt: Relative::guess(cv("seed_weight_cv")),
            frames_weighed: false,
        },
    };
    let money = worth.price_per_bu.map(|price| Money {
        per_kg: price / (lb * machine::frame::G_PER_LB / 1_000.0),
        ha_per_h: worth
            .ac_per_h
            .map(|ac| ac * machine::frame::M2_PER_AC / 10_000.0),
    });
    let (a, b) = (
        weights(judged, before, thick),
        weights(judged, after, thick),
    );
    change::saved(&a, &b, Grain { seed, money }, Prior::default(), 0.8)
        .map(|saved| (saved, lb))
        .map_err(|_| NoMoney::Frames)
}

/// The classes that a saving is made of, each with its weight in the loss.
fn weights(judged: Judged, counts: &Counts, thick: f64) -> Vec<(f64, &Class)> {
    let (head, machine) = (&counts.behind_head, &counts.behind_machine);
    let parts = match judged {
        Judged::BehindMachine => [(0.0, head), (1.0 / thick, machine)],
        Judged::BehindHead => [(1.0, head), (0.0, machine)],
        Judged::MachineByFour => [(1.0 - 1.0 / thick, head), (1.0 / thick, machine)],
    };
    let told = parts.into_iter().filter(|(weight, _)| *weight != 0.0);
    told.filter_map(|(weight, class)| class.as_ref().map(|class| (weight, class)))
        .collect()
}

/// Eight counts from now, with time for four frames and a look at the knob between them.
fn schedule(farm: &Farm, now_ms: i64) -> Vec<Turn> {
    let minutes = facts::counting("minutes_a_frame").map_or(3.0, |fact| fact.value);
    let step_ms = (4.0 * minutes * 60_000.0) as i64;
    change::alternation(8)
        .into_iter()
        .zip(0_i64..)
        .map(|(setting, at)| {
            let at_ms = now_ms + at * step_ms;
            let local = crate::moment::local(farm, at_ms);
            Turn {
                setting,
                at_ms,
                at: local.rsplit(' ').next().unwrap_or_default().to_owned(),
            }
        })
        .collect()
}

fn why(verdict: &Verdict, entry: &str, frame_m2: f64, thick: Option<f64>) -> Vec<Why> {
    let value = verdict.change.better.map_or_else(
        || "too few frames to say".to_owned(),
        |better| format!("{:.1} % that less is lost now", better * 100.0),
    );
    let formula = match verdict.judged {
        Judged::BehindMachine | Judged::BehindHead => {
            "Student's t on log(found + 1/2) with pooled variance; the threshold tightens with every look"
        }
        Judged::MachineByFour => {
            "(behind machine - behind head) / concentration, after less before, Welch's t over four classes"
        }
    };
    let mut why = Why::new(
        "change",
        value,
        formula,
        "textbook two-sample tests; error spending over looks after Lan and DeMets 1983, from memory",
    )
    .with("frames", format!("{} before, {} after", verdict.change.frames.0, verdict.change.frames.1))
    .with("frame", format!("{frame_m2:.4} m2"))
    .with("look", format!("{}", verdict.change.looks))
    .with("threshold at this look", format!("{:.4}", verdict.change.level))
    .with("chance of luck alone", verdict.change.p.map_or_else(String::new, |p| format!("{p:.4}")))
    .with("cut over what the tail laid down", thick.map_or_else(|| "not known".to_owned(), |c| format!("{c:.3}")))
    .from_entry(entry);
    for id in verdict.before.iter().chain(&verdict.after) {
        why = why.from_entry(id.clone());
    }
    vec![why]
}
