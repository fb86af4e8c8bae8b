//! Yields of a field's parts, in the units of a farm.

use super::asked::rings_of;
use super::{Worked, words_of_list};
use crate::{DeskError, Ranged, Why};
use draw::{Chart, ChartMark, EvidencePart, Finding, SheetTable, both};
use formats::polygons::{PolygonLayer, Polygons};
use serde::Serialize;
use std::collections::BTreeMap;
use track::M2_PER_AC;
use track::clean::Map;

/// One zone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ZoneTold {
    /// Its name.
    pub name: String,
    /// Ground in the field, acres.
    pub area_ac: f64,
    /// Kept records in it.
    pub records: usize,
    /// Dry yield, bu/ac: figure and the range of 8 in 10.
    pub bu_per_ac: Ranged,
    /// All of it, dry bushels.
    pub dry_bu: Ranged,
    /// Share of its ground that the map tells, per cent.
    pub told_pct: f64,
}

/// One zone less another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Apart {
    /// The one.
    pub of: String,
    /// The other.
    pub less: String,
    /// Difference, bu/ac, and the range of 8 in 10.
    pub bu_per_ac: Ranged,
    /// Whether the range leaves nothing out on one side only.
    pub told_apart: bool,
}

/// Zones of a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ZonesAnswer {
    /// The file.
    pub file: String,
    /// The crop's key.
    pub crop: String,
    /// What names the zones: an attribute.
    pub by: Option<String>,
    /// Zones, the best first.
    pub each: Vec<ZoneTold>,
    /// Every pair, the better less the poorer.
    pub apart: Vec<Apart>,
    /// Zones of the layer that lie outside the map.
    pub outside: Vec<String>,
    /// What it says.
    pub says: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// The attribute that names polygons: what was asked, else `name`, else one whose texts tell most of them apart.
fn named<'a>(layer: &'a PolygonLayer, by: Option<&str>) -> Result<Option<&'a str>, DeskError> {
    let find = |wanted: &str| {
        let all = layer.columns.iter().map(String::as_str);
        all.into_iter()
            .find(|column| column.eq_ignore_ascii_case(wanted))
    };
    match by {
        None => Ok(find("name")
            .or_else(|| find("musym"))
            .or_else(|| find("zone"))),
        Some(wanted) => find(wanted).map(Some).ok_or_else(|| {
            DeskError::figure(
                "by",
                format!(
                    "found '{wanted}', expected an attribute of the layer: {}",
                    words_of_list(&layer.columns)
                ),
            )
        }),
    }
}

/// Tells the zones of a layer apart; polygons of one name are one zone.
///
/// # Errors
/// An attribute that the layer does not have, or no zone on the map.
pub fn zones(
    worked: &Worked,
    map: &Map,
    layer: &PolygonLayer,
    by: Option<&str>,
) -> Result<ZonesAnswer, DeskError> {
    let column = named(layer, by)?;
    let mut groups: BTreeMap<String, Vec<&Polygons>> = BTreeMap::new();
    for one in &layer.features {
        let name = column
            .and_then(|column| one.attribute(column))
            .map_or_else(|| format!("polygon {}", one.row), str::to_owned);
        groups.entry(name).or_default().push(one);
    }
    let (mut regions, mut outside) = (Vec::new(), Vec::new());
    for (name, polygons) in &groups {
        let region = worked
            .cleaned
            .region(name, &rings_of(polygons.iter().copied()))
            .map_err(|why| DeskError::Refused(format!("zone {name}: {why}")))?;
        let touches = (0..map.told.len())
            .any(|cell| map.told[cell].is_some() && region.holds(map.cells.middle(cell).into()));
        if touches {
            regions.push(region);
        } else {
            outside.push(name.clone());
        }
    }
    if regions.is_empty() {
        return Err(DeskError::figure(
            "zones",
            format!(
                "none of its {} polygons lies on the map of this field",
                layer.features.len()
            ),
        ));
    }
    let found = track::clean::zones(
        &worked.held.track,
        &worked.cleaned,
        &worked.known,
        map,
        &regions,
    )?;
    let to_bu = worked.bu_ac();
    let per_kg = worked.bu_per_kg();
    let each: Vec<ZoneTold> = found
        .each
        .iter()
        .map(|one| ZoneTold {
            name: one.name.clone(),
            area_ac: one.area_m2 / M2_PER_AC,
            records: one.records,
            bu_per_ac: Ranged::of(one.dry_kg_m2 * to_bu, one.error_kg_m2 * to_bu),
            dry_bu: Ranged::of(one.dry_kg * per_kg, one.error_kg * per_kg),
            told_pct: 100.0 * one.told,
        })
        .collect();
    let mut apart: Vec<Apart> = found
        .differences
        .iter()
        .map(|one| {
            let sign = if one.dry_kg_m2 >= 0.0 { 1.0 } else { -1.0 };
            let (of, less) = if sign > 0.0 {
                (one.of, one.less)
            } else {
                (one.less, one.of)
            };
            let range = Ranged::of(sign * one.dry_kg_m2 * to_bu, one.error_kg_m2 * to_bu);
            Apart {
                of: each[of].name.clone(),
                less: each[less].name.clone(),
                bu_per_ac: range,
                told_apart: range.low > 0.0,
            }
        })
        .collect();
    apart.sort_by(|a, b| b.bu_per_ac.value.total_cmp(&a.bu_per_ac.value));
    let mut sorted = each;
    sorted.sort_by(|a, b| b.bu_per_ac.value.total_cmp(&a.bu_per_ac.value));
    let says = sentences(&sorted, &apart, &outside);
    Ok(ZonesAnswer {
        file: worked.file.clone(),
        crop: worked.held.basis.crop.clone(),
        by: column.map(str::to_owned),
        each: sorted,
        apart,
        outside,
        says,
        why: vec![Why::new(
            "yield of a zone",
            "mean of the map's cells in it",
            "mean of kriged cells by their ground in the zone; its error counts that cells near each other err together, and what the gains of loads are not known to",
            "crates/track/src/clean/zone.rs; held to a simulator whose zones are known (BENCHMARKS.md)",
        )],
    })
}

fn sentences(each: &[ZoneTold], apart: &[Apart], outside: &[String]) -> Vec<String> {
    let mut out = Vec::new();
    if let (Some(best), Some(worst), true) = (each.first(), each.last(), each.len() > 1) {
        out.push(format!(
            "{} made most, {:.1} bu/ac ({:.1} to {:.1}, 8 in 10); {} least, {:.1} ({:.1} to {:.1}).",
            best.name,
            best.bu_per_ac.value,
            best.bu_per_ac.low,
            best.bu_per_ac.high,
            worst.name,
            worst.bu_per_ac.value,
            worst.bu_per_ac.low,
            worst.bu_per_ac.high
        ));
        let told = apart.iter().filter(|one| one.told_apart).count();
        out.push(format!(
            "{told} of {} pairs of zones are told apart by this year's map; one year says little of the next.",
            apart.len()
        ));
    }
    if !outside.is_empty() {
        out.push(format!("Not on this map: {}.", words_of_list(outside)));
    }
    out
}

/// The zones as a part of the evidence.
pub(super) fn part(answer: &ZonesAnswer) -> EvidencePart {
    let chart = Chart {
        finding: Finding {
            title: answer.says.first().cloned().unwrap_or_default(),
            desc: "Yield of each zone, the best first, with the range of 8 in 10".to_owned(),
        },
        across: "zones, as in the table".to_owned(),
        up: "yield, bu/ac".to_owned(),
        marks: (1..)
            .zip(&answer.each)
            .map(|(nth, one)| ChartMark {
                x: f64::from(nth),
                y: one.bu_per_ac.value,
                half: Some(one.bu_per_ac.half_width()),
                open: false,
            })
            .collect(),
        ..Chart::default()
    };
    EvidencePart {
        head: "zones".to_owned(),
        says: answer.says.clone(),
        pictures: vec![both(|width| draw::chart(&chart, width))],
        table: Some(SheetTable {
            title: "yield by zone".to_owned(),
            note: "Ranges hold 8 cases in 10.".to_owned(),
            heads: ["", "zone", "acres", "bu/ac", "range"]
                .map(str::to_owned)
                .to_vec(),
            right: vec![2, 3],
            rows: (1..)
                .zip(&answer.each)
                .map(|(nth, one)| {
                    vec![
                        format!("{nth}"),
                        one.name.clone(),
                        format!("{:.2}", one.area_ac),
                        format!("{:.1}", one.bu_per_ac.value),
                        format!("{:.1} to {:.1}", one.bu_per_ac.low, one.bu_per_ac.high),
                    ]
                })
                .collect(),
        }),
    }
}
