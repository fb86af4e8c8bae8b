//! One record, and every step that it went through.

use super::{Worked, words};
use crate::DeskError;
use serde::Serialize;
use track::clean::Flag;
use track::{KG_PER_LB, M2_PER_AC};

/// One step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    /// What was done.
    pub step: &'static str,
    /// What came of it.
    pub found: String,
}

/// A record explained.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explained {
    /// Line of the file.
    pub row: u64,
    /// Its pass, from 1.
    pub pass: Option<u32>,
    /// Why it is not mapped; none where it is.
    pub cause: Option<Flag>,
    /// Every step, in order.
    pub steps: Vec<Step>,
    /// What became of it, in a sentence.
    pub says: String,
}

/// Explains the record of a line of the file.
///
/// # Errors
/// A line that holds no record.
pub fn explain(worked: &Worked, row: u64) -> Result<Explained, DeskError> {
    let points = &worked.held.track.points;
    let (first, last) = (
        points.first().map_or(0, |point| point.row),
        points.last().map_or(0, |point| point.row),
    );
    let at = points
        .iter()
        .position(|point| point.row == row)
        .ok_or_else(|| {
            DeskError::figure(
                "row",
                format!("found {row}, expected a row with a record; they go from {first} to {last}, less those that the reader set aside"),
            )
        })?;
    let (point, record) = (&points[at], &worked.cleaned.records[at]);
    let cleaned = &worked.cleaned;
    let to_bu = worked.bu_ac();
    let lb = |kg: f64| format!("{:.3} lb", kg / KG_PER_LB);
    let mut steps = vec![Step {
        step: "as logged",
        found: format!(
            "{} wet in {:.1} s over {:.2} m, {}",
            lb(point.mass_kg),
            point.interval_s,
            point.distance_m,
            point
                .moisture
                .map_or("no moisture".to_owned(), |m| format!("{:.1} %", 100.0 * m))
        ),
    }];
    let mut step = |step, found| steps.push(Step { step, found });
    if record.flag != Some(Flag::Repeated) {
        step(
            "pass",
            format!(
                "pass {}, {:.1} s from the log's beginning",
                record.pass + 1,
                record.t
            ),
        );
        step(
            "place",
            format!(
                "middle of its ground {:.1} m east and {:.1} m north of the log's first place",
                record.at.0, record.at.1
            ),
        );
        step(
            "set to the scale",
            match point.load {
                _ if cleaned.calibration.fitted.is_empty() => "nothing was weighed".to_owned(),
                _ => format!(
                    "{}, {:.4} of the monitor's",
                    lb(record.arrived_kg),
                    record.arrived_kg / point.mass_kg
                ),
            },
        );
        step(
            "shifted",
            record
                .cut_kg
                .map_or("the log does not reach its grain".to_owned(), |kg| {
                    format!(
                        "{} belong to its ground: what came over the sensor {:.1} s {}",
                        lb(kg),
                        cleaned.taken_s.abs(),
                        if cleaned.taken_s >= 0.0 {
                            "later"
                        } else {
                            "before"
                        }
                    )
                }),
        );
        step(
            "width",
            format!(
                "{:.2} m of {:.2} m: {:.2} m lie in the field, {:.2} m of them were not cut before",
                record.width_m, worked.known.swath_m, record.inside_m, record.fresh_m
            ),
        );
        step(
            "ground",
            format!(
                "{:.2} m2 ({:.5} ac)",
                record.area_m2,
                record.area_m2 / M2_PER_AC
            ),
        );
        step(
            "moisture",
            record.moisture.map_or("taken at the base".to_owned(), |m| {
                let set = cleaned.moisture_offset.map_or(String::new(), |by| {
                    format!(", {:+.2} points set to the tickets", 100.0 * by)
                });
                format!("{:.2} % when its grain passed{set}", 100.0 * m)
            }),
        );
        step(
            "yield",
            record
                .dry_kg_m2
                .map_or("none: no ground or no grain".to_owned(), |y| {
                    format!(
                        "{:.1} bu/ac dry at {} %",
                        y * to_bu,
                        worked.held.basis.base_moisture.percent()
                    )
                }),
        );
        if let Some(one) = record.unmixed {
            step(
                "mixing taken out",
                format!(
                    "{:.1} ± {:.1} bu/ac, one standard deviation, lag {:.1} s",
                    one.dry_kg_m2 * to_bu,
                    one.sd * to_bu,
                    cleaned.mixing.lag_s
                ),
            );
        }
    }
    let says = match record.flag {
        None => "It is mapped.".to_owned(),
        Some(flag) => format!(
            "It is not mapped ({}). {} Its grain stays in every total.",
            words::cause(record.flag),
            words::because(flag)
        ),
    };
    Ok(Explained {
        row,
        pass: (record.flag != Some(Flag::Repeated)).then_some(record.pass + 1),
        cause: record.flag,
        steps,
        says,
    })
}
