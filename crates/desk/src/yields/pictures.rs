//! The chain's findings as pictures: draw's plain inputs, with every text formatted.

use super::mapped::cells;
use super::{CleanAnswer, EdgeAnswer, MapAnswer, Worked, ZonesAnswer, edge, words, zones};
use crate::{Ranged, reader, winter};
use draw::{
    Chart, ChartLine, ChartMark, Evidence, EvidencePart, Finding, Panel, Panels, SheetTable, Tick,
    both,
};
use quantity::Units;
use std::collections::BTreeMap;
use track::clean::{Flag, Map};
use track::edge::Edges;

/// What else the page tells.
#[derive(Debug, Clone, Copy, Default)]
pub struct Also<'a> {
    /// What edges cost.
    pub edges: Option<(&'a EdgeAnswer, &'a Edges)>,
    /// Yields of zones.
    pub zones: Option<&'a ZonesAnswer>,
}

/// The page of a field's map: the map beside its doubt, and everything that they rest on.
pub fn evidence(worked: &Worked, map: &Map, also: Also<'_>, units: Units) -> String {
    let clean = worked.clean_answer();
    let told = worked.map_answer(map);
    let crop = crate::held::crop_name(&clean.crop);
    let mean = reader::per_acre(&clean.crop, Ranged::of(told.bu_per_ac, 0.0), units);
    let mut parts = vec![maps(worked, map, &told, units)];
    if let Some((answer, found)) = also.edges {
        parts.extend(edge::parts(worked, answer, found));
    }
    parts.extend(also.zones.map(zones::part));
    parts.extend(delay(worked, &clean));
    parts.push(causes(worked, &clean, units));
    parts.push(variogram(map, &told));
    parts.extend(loads(&clean));
    parts.extend(passes(map, worked.bu_ac()));
    let of = worked.field.clone().unwrap_or_else(|| worked.file.clone());
    draw::evidence(&Evidence {
        of,
        what: crop.clone(),
        lede: format!(
            "{}: {:.places$} {} over {:.1} acres mapped.",
            begins(&crop),
            mean.figure.value,
            mean.unit,
            told.area_ac,
            places = mean.places
        ),
        standfirst: told.says[1..].join(" "),
        parts,
        foot: format!(
            "Made by stook from {}. Dry at {} %, {} lb a bushel. {}",
            worked.file,
            clean.base_moisture_pct,
            clean.lb_per_bu,
            clean.assumed.join("; ")
        ),
    })
}

/// With a capital, as a sentence begins.
fn begins(text: &str) -> String {
    let mut rest = text.chars();
    rest.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(rest).collect()
    })
}

/// The map beside its doubt as one picture that stands alone (SVG).
pub fn picture(worked: &Worked, map: &Map, units: Units) -> String {
    let told = worked.map_answer(map);
    let (picture, _) = drawn(worked, map, &told, units);
    let clean = worked.clean_answer();
    draw::field_map_alone(
        &picture,
        &format!(
            "{} From {}, dry at {} %; ranges hold 8 cases in 10.",
            told.says[0], worked.file, clean.base_moisture_pct
        ),
    )
}

/// The map with its doubt, and the unit of both.
fn drawn(
    worked: &Worked,
    map: &Map,
    told: &MapAnswer,
    units: Units,
) -> (draw::FieldMap, &'static str) {
    let outline = outline(worked);
    let live = winter::live(cells(worked, map), outline.as_deref(), units);
    let picture = winter::picture(
        &live,
        outline.as_deref(),
        winter::MapWords {
            finding: format!("Yield, {}", live.unit),
            doubt: format!("How sure, {}: larger dots are less sure", live.unit),
            desc: told.says[0].clone(),
            north: "N".to_owned(),
            metric: units == Units::Metric,
        },
    );
    (picture, live.unit)
}

fn maps(worked: &Worked, map: &Map, told: &MapAnswer, units: Units) -> EvidencePart {
    let (picture, unit) = drawn(worked, map, told, units);
    EvidencePart {
        head: format!("yield and how sure it is, {unit}"),
        says: vec![told.says[0].clone()],
        pictures: vec![
            both(|width| draw::field_map(&picture, width).values),
            both(|width| draw::field_map(&picture, width).doubt),
        ],
        table: None,
    }
}

/// The boundary as GeoJSON again, for pictures.
fn outline(worked: &Worked) -> Option<String> {
    let rings = &worked.known.boundary;
    (!rings.is_empty()).then(|| {
        let rings: Vec<Vec<[f64; 2]>> = rings
            .iter()
            .map(|ring| ring.iter().map(|p| [p.0, p.1]).collect())
            .collect();
        serde_json::json!({ "type": "Polygon", "coordinates": rings }).to_string()
    })
}

fn delay(worked: &Worked, clean: &CleanAnswer) -> Option<EvidencePart> {
    let found = &worked.cleaned.delay;
    if found.curve.is_empty() {
        return None;
    }
    let lowest = found
        .curve
        .iter()
        .map(|one| one.1)
        .fold(f64::INFINITY, f64::min);
    Some(EvidencePart {
        head: "how late grain is written".to_owned(),
        says: clean.says.iter().take(1).cloned().collect(),
        pictures: vec![both(|width| {
            draw::chart(
                &Chart {
                    finding: Finding {
                        title: clean.says[0].clone(),
                        desc: "Disagreement of records side by side on opposite passes at each trial delay, over its least".to_owned(),
                    },
                    across: "trial delay, s".to_owned(),
                    up: "disagreement, least is 1".to_owned(),
                    lines: vec![ChartLine {
                        name: String::new(),
                        at: found
                            .curve
                            .iter()
                            .map(|one| (one.0, one.1 / lowest))
                            .collect(),
                        dashed: false,
                    }],
                    named: found
                        .seconds
                        .map(|s| Tick {
                            at: s,
                            text: format!("{s:.1} s"),
                        })
                        .into_iter()
                        .collect(),
                    between: found.seconds.map(|_| (found.low, found.high)),
                    ..Chart::default()
                },
                width,
            )
        })],
        table: None,
    })
}

/// Grain of a cause as its reader counts it.
fn grain(clean: &CleanAnswer, bu: f64, units: Units) -> String {
    let read = reader::bushels(&clean.crop, Ranged::of(bu, 0.0), units);
    format!("{:.1$}", read.figure.value, read.places)
}

fn causes(worked: &Worked, clean: &CleanAnswer, units: Units) -> EvidencePart {
    let records = &worked.cleaned.records;
    let mut lines: BTreeMap<u32, Vec<(f64, f64)>> = BTreeMap::new();
    for one in records.iter().filter(|one| one.area_m2 > 0.0).step_by(8) {
        lines.entry(one.pass).or_default().push(one.at);
    }
    let panels: Vec<Panel> = clean
        .by_cause
        .iter()
        .filter_map(|one| {
            let flag = one.cause?;
            (flag != Flag::HeadUp).then(|| Panel {
                name: words::cause(Some(flag)).to_owned(),
                note: format!("{} records", one.records),
                places: records
                    .iter()
                    .filter(|r| r.flag == Some(flag))
                    .map(|r| r.at)
                    .collect(),
            })
        })
        .collect();
    let metric = units == Units::Metric;
    let picture = Panels {
        finding: Finding {
            title: clean
                .says
                .iter()
                .find(|one| one.contains("not mapped"))
                .cloned()
                .unwrap_or_default(),
            desc: "One small map for each cause, its records marked on the passes".to_owned(),
        },
        ground: lines.into_values().collect(),
        panels,
        bar: Some(Tick {
            at: if metric { 100.0 } else { 91.44 },
            text: if metric { "100 m" } else { "300 ft" }.to_owned(),
        }),
        north: "N".to_owned(),
    };
    let one = reader::bushels(&clean.crop, Ranged::of(1.0, 0.0), units);
    let area = reader::acres(Ranged::of(1.0, 0.0), units);
    EvidencePart {
        head: "what is not mapped, and why".to_owned(),
        says: vec![picture.finding.title.clone()],
        pictures: if picture.panels.is_empty() {
            Vec::new()
        } else {
            vec![both(|width| draw::panels(&picture, width))]
        },
        table: Some(SheetTable {
            title: "records, grain and ground by cause".to_owned(),
            note: "Every record is in one row. Grain that arrived with the head up was cut before."
                .to_owned(),
            heads: ["cause", "records", one.unit, area.unit]
                .map(str::to_owned)
                .to_vec(),
            right: vec![1, 2, 3],
            rows: clean
                .by_cause
                .iter()
                .chain([&clean.all])
                .map(|cause| {
                    vec![
                        cause.words.to_owned(),
                        cause.records.to_string(),
                        grain(clean, cause.dry_bu, units),
                        format!("{:.2}", cause.area_ac * area.figure.value),
                    ]
                })
                .collect(),
        }),
    }
}

fn variogram(map: &Map, told: &MapAnswer) -> EvidencePart {
    let scale = told.sill / map.model.sill.max(1e-300);
    let farthest = map.bins.last().map_or(100.0, |bin| bin.distance_m);
    let curve = |model: &spatial::Model| -> Vec<(f64, f64)> {
        (1..=100)
            .map(|step| {
                let h = farthest * f64::from(step) / 100.0;
                (h, model.semivariance(h) * scale)
            })
            .collect()
    };
    let fitted = map.fitted.nugget * scale;
    let says = format!(
        "Records of different passes differ the more the farther apart they lie: nugget {fitted:.0}, sill {:.0} (bu/ac)², range {:.0} m.",
        told.sill, told.range_m
    );
    let used = if told.nugget > fitted {
        format!(
            "A nugget of {:.0} was used, for passes that were left out are foretold best with it: records of one pass err together.",
            told.nugget
        )
    } else {
        "It was used as it is.".to_owned()
    };
    EvidencePart {
        head: "how alike neighbors are".to_owned(),
        says: vec![says.clone(), used],
        pictures: vec![both(|width| {
            draw::chart(
                &Chart {
                    finding: Finding {
                        title: says.clone(),
                        desc: "Semivariance of pairs from different passes, and the curve used: its nugget is raised until passes left out are foretold best".to_owned(),
                    },
                    across: "apart, m".to_owned(),
                    up: "half the squared difference, (bu/ac)²".to_owned(),
                    lines: vec![
                        ChartLine {
                            name: "used".to_owned(),
                            at: curve(&map.model),
                            dashed: false,
                        },
                        ChartLine {
                            name: "fitted".to_owned(),
                            at: curve(&map.fitted),
                            dashed: true,
                        },
                    ],
                    marks: map
                        .bins
                        .iter()
                        .map(|bin| ChartMark {
                            x: bin.distance_m,
                            y: bin.gamma * scale,
                            half: None,
                            open: false,
                        })
                        .collect(),
                    from_nothing: true,
                    ..Chart::default()
                },
                width,
            )
        })],
        table: None,
    }
}

fn loads(clean: &CleanAnswer) -> Option<EvidencePart> {
    let factor = clean.factor?;
    let says = clean
        .says
        .iter()
        .find(|one| one.contains("weighings"))?
        .clone();
    let end = clean.loads.len().max(1) as f64;
    let drift = clean.drift.map_or(0.0, |one| one[0]);
    let middle = 0.5 * (end + 1.0);
    Some(EvidencePart {
        head: "monitor against scale".to_owned(),
        says: vec![says.clone()],
        pictures: vec![both(|width| {
            draw::chart(
                &Chart {
                    finding: Finding {
                        title: says.clone(),
                        desc: "Scale over monitor, weighing by weighing; open rings were not used, for the log has gaps there".to_owned(),
                    },
                    across: "weighings, in order".to_owned(),
                    up: "scale over monitor".to_owned(),
                    lines: vec![ChartLine {
                        name: "factor and drift".to_owned(),
                        at: [1.0, end]
                            .map(|nth| (nth, factor * (1.0 + drift * (nth - middle))))
                            .to_vec(),
                        dashed: true,
                    }],
                    marks: (1..)
                        .zip(&clean.loads)
                        .map(|(nth, one)| ChartMark {
                            x: f64::from(nth),
                            y: one.ratio,
                            half: Some(Ranged::half(one.gain_se * factor))
                                .filter(|half| half.is_finite()),
                            open: !one.used,
                        })
                        .collect(),
                    ..Chart::default()
                },
                width,
            )
        })],
        table: None,
    })
}

fn passes(map: &Map, to_bu: f64) -> Option<EvidencePart> {
    let out = map.pass_out.as_ref()?;
    let says = format!(
        "{} passes were left out one by one and foretold from the others.",
        out.each.len()
    );
    Some(EvidencePart {
        head: "passes left out".to_owned(),
        says: vec![says.clone()],
        pictures: vec![both(|width| {
            draw::chart(
                &Chart {
                    finding: Finding {
                        title: says.clone(),
                        desc: "Foretold less measured of each pass: mean and the range of 8 records in 10".to_owned(),
                    },
                    across: "pass".to_owned(),
                    up: "foretold less measured, bu/ac".to_owned(),
                    lines: vec![ChartLine {
                        name: String::new(),
                        at: [out.each.first(), out.each.last()]
                            .into_iter()
                            .flatten()
                            .map(|one| (f64::from(one.pass + 1), 0.0))
                            .collect(),
                        dashed: true,
                    }],
                    marks: out
                        .each
                        .iter()
                        .map(|one| ChartMark {
                            x: f64::from(one.pass + 1),
                            y: one.mean_kg_m2 * to_bu,
                            half: Some(Ranged::half(one.sd_kg_m2 * to_bu)),
                            open: false,
                        })
                        .collect(),
                    ..Chart::default()
                },
                width,
            )
        })],
        table: None,
    })
}
