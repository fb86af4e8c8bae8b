//! The records of one log to points.

use super::log::{Log, Record};
use super::parts::{Task, TaskData};
use super::points::{PointsOptions, TaskPoints};
use super::roles::{self, Roles, Source, Yield};
use crate::limits::{MOST_KG, MOST_KG_S, MOST_M, MOST_MOISTURE, MOST_S, MOST_WIDTH_M};
use std::collections::BTreeMap;
use track::{Done, Finding, FindingKind, KG_PER_LB, LocalFrame, RawPoint};

/// Liters in a United States bushel, exact: 2,150.42 cubic inches.
const L_PER_BU: f64 = 2_150.42 * 0.016_387_064;
/// A pause of the logger: longer than this many usual intervals, and than [`PAUSE_S`]; common
/// practice, no source.
const PAUSE_INTERVALS: f64 = 5.0;
/// See [`PAUSE_INTERVALS`].
const PAUSE_S: f64 = 10.0;
/// More loads than any season: the number is something else.
const MOST_LOADS: usize = 100_000;

/// Makes the points of one log.
pub(super) struct Maker<'a> {
    log: &'a Log,
    yielding: Yield,
    roles: &'a Roles,
    /// Raw yield to kg.
    to_kg: f64,
    /// Seconds from record to record, usually; 0 when there is only one.
    usual_s: f64,
    /// Width where the log has none, when the caller gives none or sections narrow it.
    width_m: Option<f64>,
    /// Width for area where no record has one.
    swath_m: f64,
    /// Moisture before the first one logged.
    first_moisture: Option<i32>,
}

/// What the record before left behind.
#[derive(Default)]
struct Before {
    time_s: Option<f64>,
    fix: Option<(f64, (f64, f64))>,
    counter: Option<i32>,
    driven: (Option<i32>, Option<i32>),
}

impl<'a> Maker<'a> {
    /// Learns of a log what its records need; what it assumes is said in `assumed`.
    pub(super) fn new(
        data: &TaskData,
        log: &'a Log,
        yielding: Yield,
        roles: &'a Roles,
        options: &PointsOptions,
        assumed: &mut Vec<String>,
    ) -> Result<Self, String> {
        let kg_per_l = match (yielding.volume, options.test_weight_lb_per_bu) {
            (false, _) => 1.0,
            (true, Some(lb)) => lb * KG_PER_LB / L_PER_BU,
            (true, None) => {
                return Err(format!(
                    "log {} records the volume of grain and not its mass; give the test weight that it was weighed at, in pounds a bushel (--test-weight)",
                    log.name
                ));
            }
        };
        let element = &log.channels[yielding.place].element;
        let described = roles::described_width(&data.devices, element);
        if let (None, None, Some(width)) = (roles.width, options.swath_m, described) {
            assumed.push(format!(
                "{}: working width {width} m, as the machine describes itself",
                log.name
            ));
        }
        let width_m = options.swath_m.or(described);
        if yielding.source == Source::PerArea && roles.width.is_none() && width_m.is_none() {
            return Err(format!(
                "log {} records mass an area and no working width; give one, e.g. --swath 30ft",
                log.name
            ));
        }
        let first_moisture = roles.moisture.and_then(|place| {
            let mut filled = log.filled();
            let mut late = 0_u64;
            while let Some((_, values)) = filled.next_record() {
                if let Some(first) = values[place] {
                    if late > 0 {
                        assumed.push(format!(
                            "{}: the first {late} records come before any moisture and take the first one, {} %",
                            log.name,
                            f64::from(first) / 1e4
                        ));
                    }
                    return Some(first);
                }
                late += 1;
            }
            None
        });
        Ok(Self {
            log,
            yielding,
            roles,
            to_kg: yielding.factor * kg_per_l,
            usual_s: usual_interval(log),
            width_m: if options.swath_m.is_some() {
                None
            } else {
                described
            },
            swath_m: width_m.unwrap_or(0.0),
            first_moisture,
        })
    }

    /// Adds the points and findings to `out`; `loads` are the places of its loads by name.
    pub(super) fn make(
        &self,
        out: &mut TaskPoints,
        loads: &mut BTreeMap<String, u32>,
        task: &Task,
        several: bool,
    ) {
        let mut before = Before::default();
        let mut frame = None;
        let mut filled = self.log.filled();
        let mut latest_load: Option<(String, u32)> = None;
        while let Some((record, values)) = filled.next_record() {
            out.track.rows_read += 1;
            let row = out.track.rows_read;
            let finding = |kind, what: String, done, mass_kg| Finding {
                row: Some(row),
                byte: Some(record.byte),
                kind,
                what: format!("{}: {what}", self.log.name),
                done,
                mass_kg,
            };
            let (mut point, pause) = self.point(row, record, values, &mut before, &mut frame);
            if let Err((kind, what)) = self.judge(&point, record) {
                let mass = (0.0..=MOST_KG)
                    .contains(&point.mass_kg)
                    .then_some(point.mass_kg);
                out.track.note(finding(kind, what, Done::SetAside, mass));
                continue;
            }
            if let Some(elapsed) = pause {
                let what = format!(
                    "the logger paused for {elapsed} s; this record covers the usual {} s of it",
                    self.usual_s
                );
                out.track
                    .note(finding(FindingKind::Interval, what, Done::Kept, None));
            }
            let load = self.roles.load.and_then(|place| values[place]);
            let name = match (load, several) {
                (Some(load), false) => Some(load.to_string()),
                (Some(load), true) => Some(format!("{} {load}", task.called())),
                (None, true) => Some(task.called().to_owned()),
                (None, false) => None,
            };
            point.load = name.and_then(|name| match &latest_load {
                Some((latest, index)) if *latest == name => Some(*index),
                _ => {
                    let index = load_index(&mut out.track.loads, loads, &name)?;
                    latest_load = Some((name, index));
                    Some(index)
                }
            });
            out.track.points.push(point);
        }
        if let Some(cut) = &self.log.cut_short {
            out.track.rows_read += 1;
            out.track.note(Finding {
                row: Some(out.track.rows_read),
                byte: Some(cut.byte),
                kind: FindingKind::CutShort,
                what: format!(
                    "{}: {}; the last {} bytes were left unread, expected whole records: copy the log from the terminal again",
                    self.log.name, cut.why, cut.left
                ),
                done: Done::SetAside,
                mass_kg: None,
            });
        }
    }

    /// The point of a record, right or wrong, and the seconds of a pause before it.
    fn point(
        &self,
        row: u64,
        record: &Record,
        values: &[Option<i32>],
        before: &mut Before,
        frame: &mut Option<LocalFrame>,
    ) -> (RawPoint, Option<f64>) {
        let time = record.local_s();
        let elapsed = before.time_s.map(|then| time - then);
        before.time_s = Some(time);
        let counted = self.yielding.source == Source::Counter;
        let pause = elapsed.filter(|s| *s > (PAUSE_INTERVALS * self.usual_s).max(PAUSE_S));
        let interval_s = match elapsed {
            // a counter knows what came during a pause
            Some(s) if counted && (0.0..=MOST_S).contains(&s) => s,
            Some(s) if s >= 0.0 && pause.is_none() => s,
            _ => self.usual_s,
        };
        let pause = pause.filter(|_| !counted);
        let fix = record.position.and_then(|position| position.fix());
        let (latitude_deg, longitude_deg) = fix.unwrap_or((0.0, 0.0));
        let moved = fix.and_then(|(north, east)| {
            let here = frame
                .get_or_insert_with(|| LocalFrame::at(east, north))
                .xy(east, north);
            let moved = before.fix.map(|(then, there)| {
                let far = (here.0 - there.0).hypot(here.1 - there.1);
                // of a longer way only what belongs to this record
                let share = if time > then {
                    interval_s / (time - then)
                } else {
                    1.0
                };
                far * share.min(1.0)
            });
            before.fix = Some((time, here));
            moved
        });
        let driven = (
            self.roles.in_work.and_then(|place| values[place]),
            self.roles.out_of_work.and_then(|place| values[place]),
        );
        let counted_m =
            counter_m(before.driven.0, driven.0, self.roles.in_work.is_some()).map(|m| {
                m + counter_m(before.driven.1, driven.1, self.roles.out_of_work.is_some())
                    .unwrap_or(0.0)
            });
        before.driven = driven;
        let speed = self.roles.speed.and_then(|place| values[place]);
        let distance_m = counted_m
            .or_else(|| speed.map(|mm_s| f64::from(mm_s).abs() / 1_000.0 * interval_s))
            .or(moved)
            .unwrap_or(0.0);

        let mut point = RawPoint::new(
            row,
            longitude_deg,
            latitude_deg,
            0.0,
            interval_s,
            distance_m,
        );
        point.time_s = Some(time);
        point.head = self.roles.head(values);
        let logged = self.roles.width.and_then(|place| values[place]);
        point.width_m = match (logged, self.roles.share_on(values)) {
            (Some(mm), _) => Some(mm as f32 / 1_000.0),
            (None, Some(share)) if self.swath_m > 0.0 => Some((self.swath_m * share) as f32),
            (None, _) => self.width_m.map(|m| m as f32),
        };
        let up = record.position.and_then(|position| position.up_mm);
        point.elevation_m = up
            .filter(|mm| *mm != i32::MAX)
            .map(|mm| mm as f32 / 1_000.0);
        let moisture = self.roles.moisture.and_then(|place| values[place]);
        point.moisture = moisture
            .or(self.first_moisture)
            .map(|ppm| f64::from(ppm) / 1e6);
        let raw = values[self.yielding.place];
        point.mass_kg = match self.yielding.source {
            Source::Flow => f64::from(raw.unwrap_or(0)) * self.to_kg * interval_s,
            Source::PerArea => {
                f64::from(raw.unwrap_or(0)) * self.to_kg * point.area_m2(self.swath_m)
            }
            Source::Counter => {
                let counted = difference(before.counter, raw).unwrap_or(0);
                before.counter = raw.or(before.counter);
                counted as f64 * self.to_kg
            }
        };
        (point, pause)
    }

    /// What is wrong with a point, if anything.
    fn judge(&self, point: &RawPoint, record: &Record) -> Result<(), (FindingKind, String)> {
        let fixed = record.position.and_then(|position| position.fix());
        if fixed.is_none() {
            let what = match record.position {
                None => "the log records no position",
                Some(_) => "the receiver had no fix",
            };
            return Err((FindingKind::NoFix, what.to_owned()));
        }
        if point.latitude_deg.abs() > 90.0 || point.longitude_deg.abs() > 180.0 {
            return Err((
                FindingKind::OffEarth,
                format!(
                    "position {} {}, expected longitude -180 to 180 and latitude -90 to 90",
                    point.longitude_deg, point.latitude_deg
                ),
            ));
        }
        let width = f64::from(point.width_m.unwrap_or(0.0));
        let rate = match self.yielding.source {
            Source::Flow if point.interval_s > 0.0 => point.mass_kg / point.interval_s,
            _ => 0.0,
        };
        let limits = [
            (
                FindingKind::Moisture,
                "moisture %",
                point.moisture.unwrap_or(0.0) * 100.0,
                MOST_MOISTURE * 100.0,
            ),
            (
                FindingKind::Distance,
                "distance m",
                point.distance_m,
                MOST_M,
            ),
            (
                FindingKind::Interval,
                "interval s",
                point.interval_s,
                MOST_S,
            ),
            (FindingKind::Width, "width m", width, MOST_WIDTH_M),
            (FindingKind::Mass, "flow kg/s", rate, MOST_KG_S),
            (FindingKind::Mass, "mass kg", point.mass_kg, MOST_KG),
        ];
        for (kind, name, value, most) in limits {
            if !(0.0..=most).contains(&value) {
                return Err((kind, format!("{name} {value}, expected 0 to {most}")));
            }
        }
        Ok(())
    }
}

/// The difference of a counter, which may have started anew at 0.
fn difference(before: Option<i32>, now: Option<i32>) -> Option<i64> {
    let (before, now) = (i64::from(before?), i64::from(now?));
    Some(if now < before { now } else { now - before })
}

/// Meters of a distance counter in mm: `None` when the log has none, 0 until it has been seen twice.
fn counter_m(before: Option<i32>, now: Option<i32>, logged: bool) -> Option<f64> {
    logged.then(|| difference(before, now).unwrap_or(0) as f64 / 1_000.0)
}

/// The median time from record to record, s.
fn usual_interval(log: &Log) -> f64 {
    let mut steps: Vec<f64> = log
        .records
        .windows(2)
        .map(|two| two[1].local_s() - two[0].local_s())
        .filter(|s| *s > 0.0)
        .collect();
    if steps.is_empty() {
        return 0.0;
    }
    let middle = steps.len() / 2;
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// The place of a load's name, added if it is new; `None` when there are too many.
fn load_index(
    loads: &mut Vec<String>,
    places: &mut BTreeMap<String, u32>,
    name: &str,
) -> Option<u32> {
    if let Some(place) = places.get(name) {
        return Some(*place);
    }
    if loads.len() >= MOST_LOADS {
        return None;
    }
    let place = u32::try_from(loads.len()).ok()?;
    loads.push(name.to_owned());
    places.insert(name.to_owned(), place);
    Some(place)
}
