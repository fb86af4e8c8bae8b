//! The settings log: what was changed on the combine, and what the counts say of each change.
//!
//! A change is judged by the counts of the same field, crop and season before it and after it, with the same
//! frame. Settings that go back and forth between the same two (A B B A) are one trial: all frames under A
//! stand against all under B, and the hour of the day weighs on both alike.

mod pair;
mod says;
mod worth;

pub use says::{change_words, next_turns, sentences};
pub use worth::Worth;

use crate::{DeskError, Farm, Ranged, Stands, Why};
use book::kinds::{Seen, Setting, TankSeen};
use serde::Serialize;

/// The log of a season.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingLog {
    /// The season.
    pub season: u16,
    /// Every setting, the latest first.
    pub lines: Vec<SettingLine>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// One entry of the log.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingLine {
    /// Its entry.
    pub entry: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// The same on the farm's clock: `Oct 6 16:41`.
    pub at: String,
    /// Which machine.
    pub machine: String,
    /// In which field.
    pub field: Option<String>,
    /// In which crop, by key.
    pub crop: Option<String>,
    /// What was changed, as written: `fan 900 to 850 rpm`.
    pub changes: Vec<String>,
    /// In the writer's words.
    pub remark: String,
    /// The tank's grain before it.
    pub tank_before: TankShown,
    /// The tank's grain after it: as written with it, else as seen before the next change.
    pub tank_after: TankShown,
    /// The earlier entry that this one goes back from or back to: both are one trial, judged there.
    pub part_of: Option<String>,
    /// What the counts say.
    pub verdict: Option<Verdict>,
    /// Why there is no verdict yet.
    pub waits: Option<Waits>,
}

/// Why a change cannot be judged yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Waits {
    /// It does not say in which field or crop.
    NoField,
    /// No count before it.
    NoBefore,
    /// No count after it with the same frame.
    NoAfter,
    /// Neither has frames behind the head or the machine.
    NoFrames,
}

/// What a handful from the tank looked like.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct TankShown {
    /// Splits or cracked, per cent.
    pub cracked_pct: Option<f64>,
    /// Foreign matter, per cent.
    pub foreign_pct: Option<f64>,
    /// Unthreshed: none, some, much.
    pub unthreshed: Option<&'static str>,
    /// Dirt: none, some, much.
    pub dirt: Option<&'static str>,
}

impl TankShown {
    pub(crate) fn of(tank: TankSeen) -> Self {
        let word = |seen: Seen| match seen {
            Seen::None => "none",
            Seen::Some => "some",
            Seen::Much => "much",
        };
        let share =
            |value: Option<rust_decimal::Decimal>| value.and_then(|v| f64::try_from(v).ok());
        Self {
            cracked_pct: share(tank.cracked_pct),
            foreign_pct: share(tank.foreign_pct),
            unthreshed: tank.unthreshed.map(word),
            dirt: tank.dirt.map(word),
        }
    }
}

/// What the frames were judged on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Judged {
    /// Frames behind the machine alone.
    BehindMachine,
    /// Frames behind the head alone.
    BehindHead,
    /// What the machine lost, all four classes, since the head was touched.
    MachineByFour,
}

/// What the counts say of a change.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// On what it was judged.
    pub judged: Judged,
    /// The verdict: is it real, at which look, against which threshold.
    pub change: machine::change::Verdict,
    /// With the head touched, what its own frames say.
    pub head: Option<machine::change::Verdict>,
    /// Grain saved, bushels an acre cut; below 0 where more is lost now.
    pub saved_bu_per_ac: Option<Ranged>,
    /// Money saved an acre cut.
    pub saved_per_ac: Option<Ranged>,
    /// Money saved an hour.
    pub saved_per_h: Option<Ranged>,
    /// Why there is no money.
    pub no_money: Option<NoMoney>,
    /// Whether the two settings were counted in turn, so that the hour explains little.
    pub in_turn: bool,
    /// Changes judged in this field and crop, this one too: with several, the best looks better than it is.
    pub tried: usize,
    /// Loss after / before, less the luck of the best of several.
    pub ratio_less_luck: Option<f64>,
    /// Counts of the field and crop left out: another frame, another machine, or another time.
    pub left_out: usize,
    /// Entries of the counts before and after.
    pub before: Vec<String>,
    /// Entries of the counts after.
    pub after: Vec<String>,
    /// A B B A A B B A from now on: which setting to count under next, with the time.
    pub schedule: Vec<Turn>,
}

/// One place of the schedule.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Turn {
    /// As it was, or as it is tried.
    pub setting: machine::change::Setting,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// The same on the farm's clock: `16:41`.
    pub at: String,
}

/// Why a change has no money.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoMoney {
    /// The tail's width or the cut's is not known.
    Tail,
    /// No usual weight of the crop's seed or bushel, and none typed.
    Seed,
    /// No price.
    Price,
    /// Frames behind the head are missing on one side.
    Frames,
}

/// The log of a season as it stands at `now_ms`.
///
/// # Errors
/// Counts that cannot be compared at all: frames of no size.
pub fn settings(
    farm: &Farm,
    season: u16,
    worth: Worth,
    now_ms: i64,
) -> Result<SettingLog, DeskError> {
    let mut all: Vec<&Stands<Setting>> = farm
        .settings
        .iter()
        .filter(|one| one.says.season == season && one.happened.at_ms() <= now_ms)
        .collect();
    all.sort_by_key(|one| (one.happened.at_ms(), one.id));
    let trials = pair::trials(&all);
    let mut lines = Vec::new();
    let mut whys = Vec::new();
    let mut verdicts = Vec::new();
    for (at, one) in all.iter().enumerate() {
        let trial = trials.iter().find(|trial| trial.members.contains(&at));
        let first = trial.map_or(at, |trial| trial.members[0]);
        let judged = (first == at)
            .then(|| trial.map(|trial| pair::judge(farm, &all, trial, worth, now_ms)))
            .flatten()
            .transpose()?;
        let (verdict, waits) = match judged {
            Some(Ok((verdict, why))) => {
                whys.extend(why);
                (Some(verdict), None)
            }
            Some(Err(waits)) => (None, Some(waits)),
            None => (None, None),
        };
        verdicts.push(verdict);
        let next = all[at + 1..].iter().find(|next| {
            next.says.machine == one.says.machine && next.says.field == one.says.field
        });
        let after = if one.says.tank_after.is_empty() {
            next.map_or_else(TankSeen::default, |next| next.says.tank_before)
        } else {
            one.says.tank_after
        };
        lines.push(SettingLine {
            entry: one.id.to_string(),
            at_ms: one.happened.at_ms(),
            at: crate::moment::local(farm, one.happened.at_ms()),
            machine: one.says.machine.to_string(),
            field: one.says.field.as_ref().map(ToString::to_string),
            crop: one.says.crop.as_ref().map(ToString::to_string),
            changes: one
                .says
                .changes
                .iter()
                .map(crate::written::change_text)
                .collect(),
            remark: one.says.remark.clone(),
            tank_before: TankShown::of(one.says.tank_before),
            tank_after: TankShown::of(after),
            part_of: (first != at).then(|| all[first].id.to_string()),
            verdict: None,
            waits,
        });
    }
    // the best of several settings in one field looks better than it is
    let tried = |at: usize| {
        (0..lines.len())
            .filter(|other| {
                verdicts[*other].is_some()
                    && lines[*other].field == lines[at].field
                    && lines[*other].crop == lines[at].crop
            })
            .count()
    };
    let counted: Vec<usize> = (0..lines.len()).map(tried).collect();
    for ((line, verdict), tried) in lines.iter_mut().zip(verdicts).zip(counted) {
        line.verdict = verdict.map(|mut verdict| {
            verdict.tried = tried;
            if tried > 1
                && let (Some(ratio), Some(se)) = (verdict.change.ratio, verdict.change.se)
            {
                let tau = facts::counting("setting_log_sd").map_or(0.35, |fact| fact.value);
                verdict.ratio_less_luck = Some(machine::change::shrunk(ratio.ln(), se, tau).exp());
            }
            verdict
        });
    }
    lines.reverse();
    Ok(SettingLog {
        season,
        lines,
        why: whys,
    })
}
