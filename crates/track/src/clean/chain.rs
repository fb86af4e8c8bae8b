//! The whole chain, one step after another. Nothing is deleted: a record that is not mapped carries the first cause.

use super::alone::{Candidate, alone};
use super::area::{Asked, Ground, widths};
use super::close::{close_area, scale_dry};
use super::delay::{Delay, Seen, estimate};
use super::ends::{self, Ends};
use super::flag::Flag;
use super::lag::{Fed, Mixing, find, unmix};
use super::moist;
use super::place::{Place, places};
use super::scale::{Calibration, Read, Weighing, calibrate};
use super::speed;
use super::stream::{Stream, usual_interval};
use crate::{Head, LocalFrame, Pass, RawPoint, Track, TrackError, passes};
use serde::Serialize;

/// What is known of a field besides its log.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// Width of the head, m.
    pub swath_m: f64,
    /// Rows of a row crop's head.
    pub rows: Option<u32>,
    /// Rings of the field, degrees east and north: inside is what an odd number of them holds.
    pub boundary: Vec<Vec<(f64, f64)>>,
    /// Meters from the antenna forward to the head, where it is known.
    pub offset_m: f64,
    /// Scale tickets.
    pub weighings: Vec<Weighing>,
    /// Moisture at which dry grain is counted, fraction.
    pub base_moisture: f64,
    /// Moisture of records that carry none, fraction.
    pub moisture_if_unmeasured: Option<f64>,
    /// A delay to take in place of the estimate, s.
    pub delay_s: Option<f64>,
    /// Seed of the bootstrap.
    pub seed: u64,
}

/// Yield of a record's ground with the machine's mixing taken out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Unmixed {
    /// Dry at the base, kg/m2.
    pub dry_kg_m2: f64,
    /// Its standard deviation given the stream.
    pub sd: f64,
}

/// One record, with every step that it went through.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Record {
    /// Its point in the track.
    pub point: usize,
    /// Its pass, from 0.
    pub pass: u32,
    /// Middle of its ground, meters east and north.
    pub at: (f64, f64),
    /// Way of travel, a unit vector.
    pub ahead: (f64, f64),
    /// End of it, s from the first.
    pub t: f64,
    /// Mass by the scale as it came over the sensor, wet kg.
    pub arrived_kg: f64,
    /// Mass of its ground: what came over the sensor a delay later, wet kg; none where the log does not reach.
    pub cut_kg: Option<f64>,
    /// What came over the sensor a dead time later, wet kg: its ground's mass and its neighbors', mixed.
    pub mixed_kg: Option<f64>,
    /// Length, s.
    pub dt: f64,
    /// Moisture of that, fraction.
    pub moisture: Option<f64>,
    /// Width of its cross line in the field, m.
    pub inside_m: f64,
    /// Of that what was not cut before, as the receiver says, m.
    pub fresh_m: f64,
    /// Width taken to be cut, m.
    pub width_m: f64,
    /// Ground cut, m2.
    pub area_m2: f64,
    /// Dry at the base, kg/m2, as shifted.
    pub dry_kg_m2: Option<f64>,
    /// The same with the mixing taken out.
    pub unmixed: Option<Unmixed>,
    /// Why it is not mapped.
    pub flag: Option<Flag>,
}

/// A log, cleaned, and what was found on the way.
#[derive(Debug, Clone)]
pub struct Cleaned {
    /// One a point, in the order of the log.
    pub records: Vec<Record>,
    /// Passes, as ranges of the points that are not repeated.
    pub passes: Vec<Pass>,
    /// Frame of the meters.
    pub frame: LocalFrame,
    /// Delay.
    pub delay: Delay,
    /// Delay that was taken out, s.
    pub taken_s: f64,
    /// Dead time of the machine, s, beside its lag.
    pub dead_s: f64,
    /// Lag, and the ground's scatter along the way.
    pub mixing: Mixing,
    /// Monitor against scale.
    pub calibration: Calibration,
    /// Ticket's moisture less the monitor's, fraction.
    pub moisture_offset: Option<f64>,
    /// Ends of passes.
    pub ends: Ends,
    /// Mass that the shift brings to no ground, wet kg.
    pub unplaced_kg: f64,
    /// Ground of all records over the boundary's; what each area was divided by. None without a boundary, or where
    /// they differ by more than a tenth.
    pub area_closed_by: Option<f64>,
    /// All weighings dry at the base, kg; none without one.
    pub scale_dry_kg: Option<f64>,
    /// Moisture at which dry grain is counted, fraction.
    pub base_moisture: f64,
}

impl Record {
    /// Dry at the base of a kilogram of its grain.
    pub(super) fn dry_share(&self, cleaned: &Cleaned) -> f64 {
        let wet = self.moisture.unwrap_or(cleaned.base_moisture);
        (1.0 - wet) / (1.0 - cleaned.base_moisture)
    }
}

impl Cleaned {
    /// The boundary in the frame's meters.
    pub fn ground(&self, known: &Known) -> Option<Ground> {
        ground(&self.frame, known)
    }
}

fn ground(frame: &LocalFrame, known: &Known) -> Option<Ground> {
    let ring = |ring: &Vec<(f64, f64)>| ring.iter().map(|p| frame.xy(p.0, p.1)).collect();
    (!known.boundary.is_empty()).then(|| Ground {
        rings: known.boundary.iter().map(ring).collect(),
    })
}

/// Cleans a log.
///
/// # Errors
/// A swath that no head has, or no point.
pub fn clean(track: &Track, known: &Known) -> Result<Cleaned, TrackError> {
    if !(0.3..=30.0).contains(&known.swath_m) {
        return Err(TrackError::Swath {
            found_m: known.swath_m,
        });
    }
    let points = &track.points;
    let first = points.first().ok_or(TrackError::Empty)?;
    let frame = LocalFrame::at(first.longitude_deg, first.latitude_deg);
    let same = |a: &RawPoint, b: &RawPoint| {
        a.time_s.is_some()
            && a.time_s == b.time_s
            && (a.longitude_deg, a.latitude_deg) == (b.longitude_deg, b.latitude_deg)
    };
    // a record written twice is no mass, no time and no ground
    let repeated: Vec<bool> = (0..points.len())
        .map(|i| i > 0 && same(&points[i - 1], &points[i]))
        .collect();
    let logged: Vec<RawPoint> = points
        .iter()
        .zip(&repeated)
        .filter(|(_, again)| !**again)
        .map(|(point, _)| *point)
        .collect();
    let mut out = chain(&logged, known, frame, track.loads.len());
    let mut rest = std::mem::take(&mut out.records).into_iter();
    out.records = repeated
        .iter()
        .enumerate()
        .filter_map(|(i, again)| {
            if *again {
                return Some(set_aside(i, &points[i], &frame));
            }
            rest.next().map(|one| Record { point: i, ..one })
        })
        .collect();
    Ok(out)
}

fn set_aside(point: usize, at: &RawPoint, frame: &LocalFrame) -> Record {
    Record {
        point,
        pass: u32::MAX,
        at: frame.xy(at.longitude_deg, at.latitude_deg),
        ahead: (0.0, 0.0),
        t: f64::NAN,
        arrived_kg: 0.0,
        cut_kg: None,
        mixed_kg: None,
        dt: 0.0,
        moisture: at.moisture,
        inside_m: 0.0,
        fresh_m: 0.0,
        width_m: 0.0,
        area_m2: 0.0,
        dry_kg_m2: None,
        unmixed: None,
        flag: Some(Flag::Repeated),
    }
}

/// Records narrower than this share of the head are not mapped: their yield is mostly the error of their width.
const NARROW: f64 = 0.25;

fn chain(points: &[RawPoint], known: &Known, frame: LocalFrame, loads: usize) -> Cleaned {
    let n = points.len();
    let passes = passes::cut(points, known.swath_m);
    let places = places(points, &passes, &frame);
    let stream = Stream::of(points);
    let ground = ground(&frame, known);
    let mut flags: Vec<Option<Flag>> = points
        .iter()
        .zip(&places)
        .map(|(point, place)| match (point.head, place.jump) {
            (Head::Up, _) => Some(Flag::HeadUp),
            (_, true) => Some(Flag::Jump),
            _ => None,
        })
        .collect();
    // ground counts as cut even where its record is flagged for its speed
    let cuts: Vec<bool> = (0..n)
        .map(|i| flags[i].is_none() && points[i].distance_m > 0.05)
        .collect();
    speed::flag(points, &passes, &stream, &cuts, &mut flags);
    let widths = widths(
        points,
        &passes,
        &places,
        &Asked {
            swath_m: known.swath_m,
            rows: known.rows,
            ground: ground.as_ref(),
            offset_m: known.offset_m,
            cuts: &cuts,
        },
    );
    let area = |i: usize| {
        if cuts[i] {
            widths.cut[i] * points[i].distance_m
        } else {
            0.0
        }
    };
    for i in 0..n {
        if cuts[i] && widths.cut[i] < NARROW * known.swath_m {
            flags[i].get_or_insert(Flag::OldGround);
        }
    }
    let calibration = set(points, &places, &stream, &cuts, loads, known);
    let scaled: Vec<RawPoint> = (0..n)
        .map(|i| RawPoint {
            mass_kg: calibration.set(
                points[i].load,
                points[i].mass_kg,
                points[i].mass_kg / stream.dt[i],
            ),
            ..points[i]
        })
        .collect();
    let arrived = Stream::of(&scaled);
    let tells: Vec<bool> = flags.iter().map(Option::is_none).collect();
    let mut delay = estimate(&Seen {
        points,
        passes: &passes,
        places: &places,
        stream: &arrived,
        cuts: &tells,
        width_m: &widths.cut,
        swath_m: known.swath_m,
        seed: known.seed,
    });
    let shift = known.delay_s.or(delay.seconds).unwrap_or(0.0);
    let feed = |dead_s: f64| -> Vec<Fed> {
        let usual = usual_interval(points);
        (0..n)
            .map(|i| Fed {
                dt: stream.dt[i],
                area: area(i),
                moved: points[i].distance_m.max(0.1),
                mass: arrived
                    .shifted_one(i, dead_s, usual)
                    .filter(|_| flags[i] != Some(Flag::Jump)),
                begins: i == 0 || arrived.run_of(i) != arrived.run_of(i - 1),
            })
            .collect()
    };
    let mut yields: Vec<f64> = (0..n)
        .filter(|i| tells[*i] && area(*i) > 0.0)
        .map(|i| scaled[i].mass_kg / area(i))
        .collect();
    let mean = super::median(&mut yields).unwrap_or(1.0);
    let (dead_s, mixing) = find(&feed, Mixing::usual(mean), shift);
    let fed = feed(dead_s);
    let unmixed = unmix(&fed, &mixing);
    delay.take_half_point(mixing.lag_s);
    let shifted = arrived.shifted(|_| shift);
    let moisture_offset = moist::offset(points, &known.weighings);
    let wet = moist::passing(points, &stream, shift, known.moisture_if_unmeasured);
    let pass_of = super::pass_of_each(&passes, n);
    let mut records: Vec<Record> = (0..n)
        .map(|i| {
            let moisture = wet[i].map(|m| m + moisture_offset.unwrap_or(0.0));
            let to_dry = moisture.map(|m| (1.0 - m) / (1.0 - known.base_moisture));
            let (area_m2, cut_kg) = (area(i), shifted.mass_kg[i]);
            if cut_kg.is_none() {
                flags[i].get_or_insert(Flag::Unlogged);
            }
            Record {
                point: i,
                pass: pass_of[i],
                at: places[i].middle(points[i].distance_m, known.offset_m),
                ahead: places[i].ahead,
                t: stream.t[i],
                arrived_kg: scaled[i].mass_kg,
                cut_kg,
                mixed_kg: fed[i].mass,
                dt: stream.dt[i],
                moisture,
                inside_m: widths.inside[i],
                fresh_m: widths.fresh[i],
                width_m: widths.cut[i],
                area_m2,
                dry_kg_m2: cut_kg
                    .zip(to_dry)
                    .filter(|_| area_m2 > 0.0)
                    .map(|(mass, dry)| mass * dry / area_m2),
                unmixed: to_dry.map(|dry| Unmixed {
                    dry_kg_m2: (dry * unmixed[i].0).max(0.0),
                    sd: dry * unmixed[i].1.sqrt(),
                }),
                flag: flags[i],
            }
        })
        .collect();
    let ends = ends::flag(&mut records, &passes);
    short(&mut records, &passes);
    beyond(&mut records);
    lonely(&mut records);
    let area_closed_by = close_area(&mut records, ground.as_ref());
    Cleaned {
        records,
        passes,
        frame,
        delay,
        taken_s: shift,
        dead_s,
        mixing,
        calibration,
        moisture_offset,
        ends,
        unplaced_kg: shifted.unplaced_kg,
        area_closed_by,
        scale_dry_kg: scale_dry(points, known, moisture_offset),
        base_moisture: known.base_moisture,
    }
}

/// Sets the monitor to the scale.
fn set(
    points: &[RawPoint],
    places: &[Place],
    stream: &Stream,
    cuts: &[bool],
    loads: usize,
    known: &Known,
) -> Calibration {
    let flow = |i: usize| points[i].mass_kg / stream.dt[i];
    let (mass, time) = (0..points.len())
        .filter(|i| cuts[*i] && points[*i].mass_kg > 0.0)
        .fold((0.0, 0.0), |sum, i| {
            (sum.0 + points[i].mass_kg, sum.1 + stream.dt[i])
        });
    if time <= 0.0 || known.weighings.is_empty() {
        return Calibration::none(loads);
    }
    let mean = mass / time;
    let mut reads = vec![Read::default(); loads];
    let mut time = vec![(0.0, 0.0); loads];
    for i in 0..points.len() {
        let Some(load) = points[i].load.map(|l| l as usize).filter(|l| *l < loads) else {
            continue;
        };
        reads[load].mass_kg += points[i].mass_kg;
        reads[load].bend_kg += points[i].mass_kg * Calibration::bend(flow(i), mean);
        time[load].0 += stream.dt[i];
        if i > 0 && points[i - 1].load == points[i].load {
            time[load].1 += silent_in_crop(i, places, stream, known.swath_m);
        }
    }
    for (read, (on, off)) in reads.iter_mut().zip(&time) {
        read.unlogged = if on + off > 0.0 {
            off / (on + off)
        } else {
            0.0
        };
    }
    calibrate(&reads, mean, &known.weighings)
}

/// Seconds not logged before a record while the machine went on in line: crop that was cut and not seen.
fn silent_in_crop(i: usize, places: &[Place], stream: &Stream, swath_m: f64) -> f64 {
    let gap = stream.t[i] - stream.t[i - 1] - stream.dt[i];
    if gap <= 1.0 {
        return 0.0;
    }
    let (a, b) = (&places[i - 1], &places[i]);
    let d = (b.at.0 - a.at.0, b.at.1 - a.at.1);
    let same = a.ahead.0 * b.ahead.0 + a.ahead.1 * b.ahead.1 > 0.9;
    let along = d.0 * a.ahead.0 + d.1 * a.ahead.1;
    let across = (d.1 * a.ahead.0 - d.0 * a.ahead.1).abs();
    if same && along > 0.5 * gap && across < 0.5 * swath_m {
        gap
    } else {
        0.0
    }
}

/// Runs of too few kept records.
fn short(records: &mut [Record], passes: &[Pass]) {
    const LEAST: usize = 12;
    for pass in passes {
        let of = &mut records[pass.start..pass.end];
        if of.iter().filter(|r| r.flag.is_none()).count() < LEAST {
            for r in of {
                r.flag.get_or_insert(Flag::ShortPass);
            }
        }
    }
}

/// Too little or too much to be a crop: below 3 parts in 100 of the middle record, or above 2.2 times it.
fn beyond(records: &mut [Record]) {
    const CROP: std::ops::RangeInclusive<f64> = 0.03..=2.2;
    let kept = |r: &Record| r.flag.is_none();
    let mut all: Vec<f64> = records
        .iter()
        .filter(|r| kept(r))
        .filter_map(|r| r.dry_kg_m2)
        .collect();
    let Some(middle) = super::median(&mut all) else {
        return;
    };
    for r in records.iter_mut().filter(|r| kept(r)) {
        if !r.dry_kg_m2.is_some_and(|y| CROP.contains(&(y / middle))) {
            r.flag = Some(Flag::Beyond);
        }
    }
}

fn lonely(records: &mut [Record]) {
    let (chosen, candidates): (Vec<usize>, Vec<Candidate>) = records
        .iter()
        .enumerate()
        .filter(|(_, r)| r.flag.is_none())
        .filter_map(|(i, r)| {
            let one = Candidate {
                at: r.at,
                value: r.dry_kg_m2?,
                pass: r.pass,
                t: r.t,
            };
            Some((i, one))
        })
        .unzip();
    for (i, is_alone) in chosen.iter().zip(alone(&candidates)) {
        if is_alone {
            records[*i].flag = Some(Flag::Alone);
        }
    }
}
