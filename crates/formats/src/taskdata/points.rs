//! Logs to points of a track.

use super::log::Log;
use super::maker::Maker;
use super::parts::{Task, TaskData};
use super::roles::{self, Roles, Source, Yield};
use super::settled::Settled;
use crate::FormatError;
use serde::Serialize;
use std::collections::BTreeMap;
use track::{Done, Finding, FindingKind, Track};

/// How to turn logs into points; the default takes every log that records yield.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PointsOptions {
    /// Only this log (`TLG00001`), in any letter case.
    pub log: Option<String>,
    /// Fail at the first record that would be set aside.
    pub strict: bool,
    /// Cutting width where the log has none, m.
    pub swath_m: Option<f64>,
    /// Pounds that a bushel of this grain was weighed at, for logs that measure volume.
    pub test_weight_lb_per_bu: Option<f64>,
}

/// Points of one or several logs, in the order of the file, and how they were made.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TaskPoints {
    /// The points; a row is a record, counted from 1 through all logs used. Loads are the log's own
    /// load numbers, or the tasks where several are used.
    pub track: Track,
    /// What nobody said and was assumed, one sentence each.
    pub assumptions: Vec<String>,
    /// What the file says of delays and offsets; nothing of it is applied.
    pub settled: Settled,
    /// The logs used.
    pub logs: Vec<LogUsed>,
}

/// One log that points came from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LogUsed {
    /// Task.
    pub task: String,
    /// Log.
    pub log: String,
    /// Records read.
    pub records: u64,
    /// What its mass was made of.
    pub mass_from: String,
}

/// Turns the logs of a transfer into points; `file` is its name for messages.
///
/// Mass of a record is the flow (entry 87) times the time since the record before; else the mass an
/// area (84) times the ground cut; else the difference of the mass counter (90), which may start anew.
/// Volume (86, 83, 89) becomes mass only with a test weight. After a pause of the logger a record
/// covers the usual interval only, and a finding says so; a counter keeps its whole difference.
/// Distance is the difference of the distance counters (117, 118), else speed (397) times the interval,
/// else the way between positions.
///
/// # Errors
/// No log, no log of the name asked for, no log that records yield, volume without a test weight,
/// mass an area without a width, no usable record; with `strict`, the first bad record.
pub fn points(
    data: &TaskData,
    file: &str,
    options: &PointsOptions,
) -> Result<TaskPoints, FormatError> {
    let refuse = |what: String| FormatError::Columns {
        file: file.to_owned(),
        what,
    };
    let chosen = chosen(data, options).map_err(refuse)?;
    let mut out = TaskPoints::default();
    for problem in &data.problems {
        out.track.note(Finding {
            row: None,
            byte: None,
            kind: FindingKind::MissingPart,
            what: problem.clone(),
            done: Done::Warned,
            mass_kg: None,
        });
    }
    let mut without = Vec::new();
    let mut used = Vec::new();
    for (task, log) in chosen {
        let (yielding, roles) = Roles::of(log, &mut out.assumptions);
        match yielding {
            Some(yielding) => used.push((task, log, yielding, roles)),
            None => without.push(log),
        }
    }
    let Some(first) = used.first() else {
        let recorded = without.first().map_or_else(String::new, |log| {
            format!("; {} records {}", log.name, roles::recorded(log))
        });
        return Err(refuse(format!(
            "found no log that records yield, expected mass flow, mass an area or a mass counter (entries 87, 84, 90){recorded}"
        )));
    };
    let several = used.iter().any(|(task, ..)| task.id != first.0.id);
    if !without.is_empty() {
        let names: Vec<&str> = without
            .iter()
            .take(5)
            .map(|log| log.name.as_str())
            .collect();
        out.assumptions.push(format!(
            "{} of {} logs record no yield and were left out: {}",
            without.len(),
            without.len() + used.len(),
            names.join(", ")
        ));
    }
    let mut first_bad = None;
    let mut loads = BTreeMap::new();
    for (task, log, yielding, roles) in &used {
        let maker = Maker::new(data, log, *yielding, roles, options, &mut out.assumptions)
            .map_err(refuse)?;
        out.settled
            .see(log, &data.devices, &log.channels[yielding.place].element);
        let before = out.track.rows_read;
        maker.make(&mut out, &mut loads, task, several);
        if let Some(bad) = first_bad_of(&out.track, before) {
            if options.strict {
                return Err(FormatError::BadRow {
                    file: file.to_owned(),
                    row: bad.0,
                    what: bad.1,
                });
            }
            first_bad.get_or_insert(bad);
        }
        out.logs.push(LogUsed {
            task: task.called().to_owned(),
            log: log.name.clone(),
            records: out.track.rows_read - before,
            mass_from: source_name(yielding).to_owned(),
        });
    }
    if out.track.points.is_empty() {
        return Err(match first_bad {
            Some((_, first)) => FormatError::NoUsableRow {
                file: file.to_owned(),
                rows: out.track.rows_read,
                first,
            },
            None => {
                refuse("found logs without a single record, expected combine points".to_owned())
            }
        });
    }
    Ok(out)
}

/// The first record set aside among rows after `before`, if its words are still kept.
fn first_bad_of(track: &Track, before: u64) -> Option<(u64, String)> {
    let mut shown = track.findings.shown().iter();
    shown
        .find(|one| one.done == Done::SetAside && one.row.is_some_and(|row| row > before))
        .map(|one| (one.row.unwrap_or_default(), one.what.clone()))
}

/// The logs asked for.
fn chosen<'a>(
    data: &'a TaskData,
    options: &PointsOptions,
) -> Result<Vec<(&'a Task, &'a Log)>, String> {
    let all: Vec<(&Task, &Log)> = data
        .tasks
        .iter()
        .flat_map(|task| task.logs.iter().map(move |log| (task, log)))
        .collect();
    if all.is_empty() {
        let why = data
            .problems
            .first()
            .map_or_else(String::new, |problem| format!("; {problem}"));
        return Err(format!(
            "found no log that can be read (tasks: {}), expected logs of a harvest (TLG){why}",
            data.tasks.len()
        ));
    }
    let Some(wanted) = &options.log else {
        return Ok(all);
    };
    let found: Vec<_> = all
        .iter()
        .copied()
        .filter(|(_, log)| log.name.eq_ignore_ascii_case(wanted.trim()))
        .collect();
    if found.is_empty() {
        let names: Vec<String> = all
            .iter()
            .take(12)
            .map(|(task, log)| format!("{} ({})", log.name, task.called()))
            .collect();
        return Err(format!(
            "found no log '{wanted}', expected one of {}",
            names.join(", ")
        ));
    }
    Ok(found)
}

fn source_name(yielding: &Yield) -> &'static str {
    match (yielding.source, yielding.volume) {
        (Source::Flow, false) => "mass flow x interval",
        (Source::PerArea, false) => "mass an area x area cut",
        (Source::Counter, false) => "difference of the mass counter",
        (Source::Flow, true) => "volume flow x interval x test weight",
        (Source::PerArea, true) => "volume an area x area cut x test weight",
        (Source::Counter, true) => "difference of the volume counter x test weight",
    }
}
