//! What a file of raw combine points adds up to.

use crate::{DeskError, Why};
use facts::Crop;
use formats::delimited::{ColumnOverride, PointsRead, ReadOptions};
use quantity::{Length, Moisture};
use serde::Serialize;
use std::io::Read;
use track::{CropBasis, Summary};

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
}

/// The answer: totals with everything that was assumed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassAnswer {
    /// The totals.
    #[serde(flatten)]
    pub summary: Summary,
    /// Units and moistures that nobody said and that were assumed, one sentence each.
    pub assumed: Vec<String>,
    /// Bad rows and oddities, the first of each kind.
    pub shown_findings: Vec<track::Finding>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// Reads a file of points and adds it up.
///
/// # Errors
/// A file that is not delimited points or has no usable row; figures that cannot be read; with
/// `strict`, the first bad row.
pub fn summary(
    input: impl Read,
    file: &str,
    asked: &Asked,
) -> Result<(PassAnswer, PointsRead), DeskError> {
    let crop: Crop = asked
        .crop
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let bushel = grain::legal_bushel(crop)?;
    let mut assumed = Vec::new();
    let base = if let Some(text) = &asked.base {
        Moisture::parse(text).map_err(|why| DeskError::figure("base", why))?
    } else {
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
        Moisture::from_percent(customary.base.value)?
    };
    let options = ReadOptions {
        columns: asked
            .columns
            .iter()
            .map(|text| ColumnOverride::parse(text).map_err(|why| DeskError::figure("column", why)))
            .collect::<Result<_, _>>()?,
        strict: asked.strict,
        ..ReadOptions::default()
    };
    let swath = asked
        .swath
        .as_deref()
        .map(|text| Length::parse(text).map_err(|why| DeskError::figure("swath", why)))
        .transpose()?;
    let read = formats::delimited::read(input, file, &options)
        .map_err(|why| DeskError::Refused(why.to_string()))?;
    assumed.extend(read.assumptions());
    let basis = CropBasis {
        crop: crop.key().to_owned(),
        base_moisture: base,
        lb_per_bu: bushel.lb(),
        moisture_if_unmeasured: None,
    };
    let width = match swath {
        Some(length) => length.m(),
        None => own_width(&read).ok_or_else(|| {
            DeskError::figure(
                "swath",
                format!("{file} has no column of the working width; add it, e.g. --swath 30ft"),
            )
        })?,
    };
    let summary = track::summary(&read.track, width, &basis)?;
    let why = whys(&summary);
    let shown_findings = read.track.findings.shown().to_vec();
    Ok((
        PassAnswer {
            summary,
            assumed,
            shown_findings,
            why,
        },
        read,
    ))
}

/// The first logged width, where the file logs one.
fn own_width(read: &PointsRead) -> Option<f64> {
    read.track
        .points
        .iter()
        .find_map(|point| point.width_m.map(f64::from))
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
pub fn plan(answer: &PassAnswer, read: &PointsRead) -> Vec<(f64, f64, f64)> {
    let points = &read.track.points;
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
