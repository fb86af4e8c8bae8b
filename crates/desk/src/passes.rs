//! What a file of raw combine points adds up to.

use crate::source::unpacked;
use crate::{DeskError, Why};
use facts::Crop;
use formats::delimited::{ColumnOverride, ReadOptions};
use formats::points::{self, Parts};
use formats::taskdata::{self, Files, LogUsed, PointsOptions};
use quantity::{Length, Moisture, TestWeight};
use serde::Serialize;
use std::io::Read;
use track::{CropBasis, RawPoint, Summary, Totals, Track};

pub use crate::source::Source;

/// What is asked about a file, as typed.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// Working width.
    pub swath: Option<String>,
    /// Crop.
    pub crop: String,
    /// Base moisture for dry bushels.
    pub base: Option<String>,
    /// `NAME=UNIT`, `NAME=ROLE` or `NAME=ROLE UNIT`.
    pub columns: Vec<String>,
    /// Refuse the file at the first bad row.
    pub strict: bool,
    /// Which log of task data; all that record yield if not said.
    pub log: Option<String>,
    /// Test weight, for logs that measure the volume of grain.
    pub test_weight: Option<String>,
}

/// The answer: totals with everything that was assumed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassAnswer {
    /// The totals.
    #[serde(flatten)]
    pub summary: Summary,
    /// The dry bushels as mass at their base moisture, tonnes.
    pub dry_at_base_t: f64,
    /// Units and moistures that nobody said and that were assumed, one sentence each.
    pub assumed: Vec<String>,
    /// What the file itself says of delays and offsets; nothing of it was applied.
    pub told: Vec<String>,
    /// The logs of task data that the points came from; none for delimited text.
    pub logs: Vec<LogUsed>,
    /// Bad rows and oddities, the first of each kind.
    pub shown_findings: Vec<track::Finding>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// Reads a file of points and adds it up, piece by piece; the points are not held.
///
/// # Errors
/// A file that is neither delimited points nor task data, or has no usable row; figures that cannot
/// be read; with `strict`, the first bad row.
pub fn summary<'a>(
    input: impl Into<Source<'a>>,
    file: &str,
    asked: &Asked,
) -> Result<PassAnswer, DeskError> {
    add_up(input.into(), file, asked, Unmeasured::Refused, &mut |_| {})
}

/// As [`summary`], with the points themselves, for a picture.
///
/// # Errors
/// As [`summary`].
pub fn summary_with_points<'a>(
    input: impl Into<Source<'a>>,
    file: &str,
    asked: &Asked,
) -> Result<(PassAnswer, Vec<RawPoint>), DeskError> {
    let mut points = Vec::new();
    let answer = add_up(
        input.into(),
        file,
        asked,
        Unmeasured::Refused,
        &mut |piece| {
            points.extend_from_slice(piece);
        },
    )?;
    Ok((answer, points))
}

/// As [`summary_with_points`], also for a machine that reads no moisture: records without one are
/// counted at the base, which is then said. For a map of what was read, never for the account.
///
/// # Errors
/// As [`summary`].
pub fn summary_at_base_with_points<'a>(
    input: impl Into<Source<'a>>,
    file: &str,
    asked: &Asked,
) -> Result<(PassAnswer, Vec<RawPoint>), DeskError> {
    let mut points = Vec::new();
    let mut answer = add_up(
        input.into(),
        file,
        asked,
        Unmeasured::AtBase,
        &mut |piece| {
            points.extend_from_slice(piece);
        },
    )?;
    let rows = answer.summary.moisture_assumed_rows;
    if rows > 0 {
        answer.assumed.push(format!(
            "{rows} of {} records have no moisture",
            answer.summary.n
        ));
    }
    Ok((answer, points))
}

/// What is done about a record without a moisture.
#[derive(Clone, Copy, PartialEq)]
enum Unmeasured {
    Refused,
    AtBase,
}

fn add_up(
    input: Source<'_>,
    file: &str,
    asked: &Asked,
    unmeasured: Unmeasured,
    each: &mut dyn FnMut(&[RawPoint]),
) -> Result<PassAnswer, DeskError> {
    let (basis, mut assumed) = basis(asked, unmeasured)?;
    let swath = swath(asked)?;
    // a width that is not given is the file's own, known with its first points
    let mut totals = swath
        .map(|width| Totals::new(width.m(), &basis))
        .transpose()?;
    let mut wrong: Option<DeskError> = None;
    let mut take = |piece: &[RawPoint]| {
        if totals.is_none() && wrong.is_none() {
            match piece.iter().find_map(|point| point.width_m) {
                Some(width) => match Totals::new(f64::from(width), &basis) {
                    Ok(begun) => totals = Some(begun),
                    Err(why) => wrong = Some(why.into()),
                },
                None => wrong = Some(no_width(file)),
            }
        }
        if let Some(totals) = &mut totals {
            totals.add(piece);
        }
        each(piece);
    };
    let read = read(input, file, asked, swath, &mut take)?;
    if let Some(why) = wrong {
        return Err(why);
    }
    let summary = totals.ok_or_else(|| no_width(file))?.finish(&read.track)?;
    assumed.extend(read.assumed);
    let why = whys(&summary);
    let shown_findings = summary.findings.shown.clone();
    let dry_at_base_t = summary.dry_bu * summary.lb_per_bu * track::KG_PER_LB / 1_000.0;
    Ok(PassAnswer {
        summary,
        dry_at_base_t,
        assumed,
        told: read.told,
        logs: read.logs,
        shown_findings,
        why,
    })
}

/// The crop's basis, and what was assumed of it.
fn basis(asked: &Asked, unmeasured: Unmeasured) -> Result<(CropBasis, Vec<String>), DeskError> {
    let crop: Crop = asked
        .crop
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let bushel = grain::legal_bushel(crop)?;
    let mut assumed = Vec::new();
    let base_moisture = base(crop, asked, &mut assumed)?;
    let basis = CropBasis {
        crop: crop.key().to_owned(),
        base_moisture,
        lb_per_bu: bushel.lb(),
        moisture_if_unmeasured: (unmeasured == Unmeasured::AtBase).then_some(base_moisture),
    };
    Ok((basis, assumed))
}

fn swath(asked: &Asked) -> Result<Option<Length>, DeskError> {
    let parse = |text: &str| Length::parse(text).map_err(|why| DeskError::figure("swath", why));
    asked.swath.as_deref().map(parse).transpose()
}

/// Every point of a file, held, with what the file and the question say of them.
pub(crate) struct Held {
    /// The points.
    pub track: Track,
    /// Working width, m.
    pub swath_m: f64,
    /// The crop's basis; records without a moisture count at the base.
    pub basis: CropBasis,
    /// Units and moistures that nobody said, one sentence each.
    pub assumed: Vec<String>,
    /// What the file itself says of delays and offsets.
    pub told: Vec<String>,
}

/// Reads a file and holds its points.
///
/// # Errors
/// As [`summary`].
pub(crate) fn held(input: Source<'_>, file: &str, asked: &Asked) -> Result<Held, DeskError> {
    let (basis, mut assumed) = basis(asked, Unmeasured::AtBase)?;
    let swath = swath(asked)?;
    let mut points = Vec::new();
    let found = read(input, file, asked, swath, &mut |piece| {
        points.extend_from_slice(piece);
    })?;
    let said = || points.iter().find_map(|point: &RawPoint| point.width_m);
    let swath_m = match swath {
        Some(width) => width.m(),
        None => f64::from(said().ok_or_else(|| no_width(file))?),
    };
    assumed.extend(found.assumed);
    Ok(Held {
        track: Track {
            points,
            ..found.track
        },
        swath_m,
        basis,
        assumed,
        told: found.told,
    })
}

fn read(
    input: Source<'_>,
    file: &str,
    asked: &Asked,
    swath: Option<Length>,
    take: &mut dyn FnMut(&[RawPoint]),
) -> Result<Found, DeskError> {
    match unpacked(input, file)? {
        Source::Stream(stream) => delimited(stream, file, asked, take),
        Source::Parts(files) => task_data(&files, file, asked, swath, take),
        Source::Layer(parts) => layer(&parts, file, asked, take),
    }
}

/// What came of reading: a track (whose points may have gone by), and what is to be said of it.
struct Found {
    track: Track,
    assumed: Vec<String>,
    told: Vec<String>,
    logs: Vec<LogUsed>,
}

/// How rows are to be read, as typed.
fn read_options(asked: &Asked, file: &str, what: &str) -> Result<ReadOptions, DeskError> {
    for (figure, typed) in [("log", &asked.log), ("test-weight", &asked.test_weight)] {
        if typed.is_some() {
            return Err(DeskError::figure(
                figure,
                format!("{file} is {what}, and only task data has use for it; leave it out"),
            ));
        }
    }
    Ok(ReadOptions {
        columns: asked
            .columns
            .iter()
            .map(|text| ColumnOverride::parse(text).map_err(|why| DeskError::figure("column", why)))
            .collect::<Result<_, _>>()?,
        strict: asked.strict,
        ..ReadOptions::default()
    })
}

fn layer(
    parts: &Parts,
    file: &str,
    asked: &Asked,
    take: &mut dyn FnMut(&[RawPoint]),
) -> Result<Found, DeskError> {
    let options = read_options(asked, file, "a layer of points")?;
    let read =
        points::read(parts, file, &options).map_err(|why| DeskError::Refused(why.to_string()))?;
    take(&read.track.points);
    Ok(Found {
        track: read.track,
        assumed: read.notes,
        told: Vec::new(),
        logs: Vec::new(),
    })
}

fn delimited(
    stream: Box<dyn Read + '_>,
    file: &str,
    asked: &Asked,
    take: &mut dyn FnMut(&[RawPoint]),
) -> Result<Found, DeskError> {
    let options = read_options(asked, file, "delimited text")?;
    let read = formats::delimited::read_each(stream, file, &options, take)
        .map_err(|why| DeskError::Refused(why.to_string()))?;
    Ok(Found {
        assumed: read.assumptions().into_iter().collect(),
        track: read.track,
        told: Vec::new(),
        logs: Vec::new(),
    })
}

fn task_data(
    files: &Files,
    file: &str,
    asked: &Asked,
    swath: Option<Length>,
    take: &mut dyn FnMut(&[RawPoint]),
) -> Result<Found, DeskError> {
    if !asked.columns.is_empty() {
        return Err(DeskError::figure(
            "column",
            format!("{file} is task data, which says itself what it records; leave it out"),
        ));
    }
    let options = PointsOptions {
        log: asked.log.clone(),
        strict: asked.strict,
        swath_m: swath.map(Length::m),
        test_weight_lb_per_bu: asked
            .test_weight
            .as_deref()
            .map(|text| {
                TestWeight::parse(text).map_err(|why| DeskError::figure("test-weight", why))
            })
            .transpose()?
            .map(TestWeight::lb_per_bu),
    };
    let refused = |why: formats::FormatError| DeskError::Refused(why.to_string());
    let data = taskdata::read(files, file).map_err(refused)?;
    let read = taskdata::points(&data, file, &options).map_err(refused)?;
    take(&read.track.points);
    Ok(Found {
        told: read.settled.sentences(),
        track: read.track,
        assumed: read.assumptions,
        logs: read.logs,
    })
}

fn no_width(file: &str) -> DeskError {
    DeskError::figure(
        "swath",
        format!("{file} does not say the working width; add it, e.g. --swath 30ft"),
    )
}

/// The base moisture asked for, or the crop's first customary one, which is then said.
fn base(crop: Crop, asked: &Asked, assumed: &mut Vec<String>) -> Result<Moisture, DeskError> {
    if let Some(text) = &asked.base {
        return Moisture::parse(text).map_err(|why| DeskError::figure("base", why));
    }
    let customary = facts::customary_bases(crop).first().ok_or_else(|| {
        DeskError::figure(
            "base",
            format!("{crop} has no customary base here; give --base, e.g. --base 10%"),
        )
    })?;
    assumed.push(format!(
        "dry bushels at {} %, the base of {}; your buyer's may differ (--base)",
        customary.base.value, customary.who
    ));
    Ok(Moisture::from_percent(customary.base.value)?)
}

fn whys(summary: &Summary) -> Vec<Why> {
    let own = "arithmetic of the logged records; no delay, overlap or outlier is treated here";
    vec![
        Why::new("wet", format!("{:.0} lb", summary.wet_lb), "sum of flow x seconds (or mass) over the records", own)
            .with("records", summary.n.to_string()),
        Why::new("area", format!("{:.4} ac", summary.area_ac), "sum of distance x swath with the head down; overlap counted twice", own)
            .with("swath", format!("{} in", summary.swath_in)),
        Why::new("dry bushels", format!("{:.3} bu", summary.dry_bu), "sum of wet x (100 - M) / (100 - base) / pounds a bushel, each record at its own moisture", "dry-matter rule; an elevator's shrink is another arithmetic")
            .with("base", format!("{} %", summary.base_moisture_pct))
            .with("pounds a bushel", summary.lb_per_bu.to_string()),
    ]
}

/// The points in plan, metres east and north of the first one, each with its own yield as logged in
/// dry bushels an acre cut; records that cut no ground are left out of the picture only.
pub fn plan(answer: &PassAnswer, points: &[RawPoint]) -> Vec<(f64, f64, f64)> {
    let Some(first) = points.first() else {
        return Vec::new();
    };
    let frame = track::LocalFrame::at(first.longitude_deg, first.latitude_deg);
    let summary = &answer.summary;
    let swath_m = summary.swath_in * 0.0254;
    let bushel_kg =
        (1.0 - summary.base_moisture_pct / 100.0) * summary.lb_per_bu * track::KG_PER_LB;
    points
        .iter()
        .filter_map(|point| {
            let acres = point.area_m2(swath_m) / track::M2_PER_AC;
            let dry_kg = point.mass_kg * (1.0 - point.moisture?);
            let (east, north) = frame.xy(point.longitude_deg, point.latitude_deg);
            (acres > 0.0).then(|| (east, north, dry_kg / bushel_kg / acres))
        })
        .collect()
}
