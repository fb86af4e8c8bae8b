//! What a field's edges cost, in the units of a farm.

use super::Worked;
use crate::{DeskError, Why};
use draw::{Chart, ChartLine, ChartMark, EvidencePart, Finding, Tick, both};
use quantity::{Length, Price, PriceUnit};
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;
use track::M2_PER_AC;
use track::edge::{Class, Curve, Edge, EdgeFound, EdgeLine, EdgeSettings, Edges, Meets, Verdict};

/// What is asked of edges.
#[derive(Debug, Clone, Default)]
pub struct EdgeAsked {
    /// Lines along edges, GeoJSON: the property `class` says what lies there, `height` how high trees stand.
    pub lines: Option<super::Beside>,
    /// Sides by compass: `north=trees 50ft`.
    pub sides: Vec<String>,
    /// Price, dollars a bushel.
    pub price: Option<f64>,
}

/// What one class of edge took.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EdgeLineTold {
    /// What lies there.
    pub class: Class,
    /// Whether passes run along it or end at it.
    pub meets: Meets,
    /// Its length, feet.
    pub length_ft: f64,
    /// Ground nearest to it that was looked at, acres.
    pub area_ac: f64,
    /// Lost bushels: figure and 90 % interval; none where its records do not tell.
    pub lost_bu: Option<[f64; 3]>,
    /// The same in dollars.
    pub lost_usd: Option<[f64; 3]>,
    /// Distance at which 95 parts in 100 of the loss are gone, feet.
    pub recovered_ft: Option<[f64; 3]>,
    /// Whether that is anything.
    pub verdict: Option<Verdict>,
    /// In a sentence.
    pub says: String,
}

/// What edges took.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EdgeAnswer {
    /// The file.
    pub file: String,
    /// The crop's key.
    pub crop: String,
    /// By class.
    pub each: Vec<EdgeLineTold>,
    /// All records that tell, bu/ac, and its standard error.
    pub with_edges_bu_ac: [f64; 2],
    /// Those deeper than any edge is seen to reach.
    pub inside_bu_ac: [f64; 2],
    /// What the field lost to classes that are told, bushels: figure and 90 % interval.
    pub lost_bu: Option<[f64; 3]>,
    /// The same in dollars.
    pub lost_usd: Option<[f64; 3]>,
    /// What it says.
    pub says: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// Reads a price, dollars a bushel.
///
/// # Errors
/// No price, or one of nothing.
pub fn price(text: &str) -> Result<f64, DeskError> {
    let read = Price::parse_or(text, PriceUnit::DollarPerBu)
        .map_err(|why| DeskError::figure("price", why))?;
    read.0.to_f64().filter(|price| *price > 0.0).ok_or_else(|| {
        DeskError::figure("price", format!("found {text}, expected more than nothing"))
    })
}

fn three(range: track::edge::Range, by: f64) -> [f64; 3] {
    [range.value * by, range.low * by, range.high * by]
}

fn class_of(text: &str) -> Option<Class> {
    Some(match text.trim().to_lowercase().as_str() {
        "trees" | "tree line" | "wood" | "woods" => Class::Trees,
        "fence" => Class::Fence,
        "road" | "lane" => Class::Road,
        "waterway" | "ditch" | "stream" => Class::Waterway,
        "turning ends" | "turning" | "headland" => Class::TurningEnds,
        "other" => Class::Other,
        _ => return None,
    })
}

const CLASSES: &str = "trees, fence, road, waterway, turning ends or other";

/// A class in print.
pub(super) fn class_words(class: Class) -> &'static str {
    match class {
        Class::Trees => "trees",
        Class::Fence => "fence",
        Class::Road => "road",
        Class::Waterway => "waterway",
        Class::TurningEnds => "turning ends",
        Class::Other => "other",
    }
}

/// Lines of a GeoJSON file.
fn lines(file: &super::Beside) -> Result<Vec<EdgeLine>, DeskError> {
    let odd = |why: String| DeskError::File {
        file: file.file.clone(),
        why,
    };
    let value: serde_json::Value = serde_json::from_slice(&file.bytes).map_err(|_| {
        odd("found no JSON, expected GeoJSON with LineStrings along the field's edges".to_owned())
    })?;
    let one = vec![value.clone()];
    let features = value["features"].as_array().unwrap_or(&one);
    let mut out = Vec::new();
    for (nth, feature) in (1..).zip(features) {
        let properties = &feature["properties"];
        let named = properties["class"].as_str().unwrap_or_default();
        let class = class_of(named).ok_or_else(|| {
            odd(format!(
                "feature {nth}: found the class '{named}', expected the property class to be {CLASSES}"
            ))
        })?;
        let tree_height_m = match &properties["height"] {
            serde_json::Value::Null => None,
            serde_json::Value::String(text) => Some(
                Length::parse(text)
                    .map_err(|why| odd(format!("feature {nth}: height: {why}")))?
                    .m(),
            ),
            other => {
                return Err(odd(format!(
                    "feature {nth}: found the height {other}, expected it with its unit, such as \"50 ft\""
                )));
            }
        };
        let geometry = &feature["geometry"];
        let runs: Vec<&serde_json::Value> = match geometry["type"].as_str() {
            Some("LineString") => vec![&geometry["coordinates"]],
            Some("MultiLineString") => geometry["coordinates"]
                .as_array()
                .into_iter()
                .flatten()
                .collect(),
            _ => {
                return Err(odd(format!(
                    "feature {nth}: expected a LineString along an edge"
                )));
            }
        };
        for run in runs {
            let places: Option<Vec<(f64, f64)>> = run
                .as_array()
                .into_iter()
                .flatten()
                .map(|place| {
                    let pair = (place.get(0)?.as_f64()?, place.get(1)?.as_f64()?);
                    (pair.0.abs() <= 180.0 && pair.1.abs() <= 90.0).then_some(pair)
                })
                .collect();
            let places = places.filter(|all| all.len() > 1).ok_or_else(|| {
                odd(format!(
                    "feature {nth}: expected at least two places as [longitude, latitude] in degrees"
                ))
            })?;
            out.push(EdgeLine {
                class,
                tree_height_m,
                places,
            });
        }
    }
    Ok(out)
}

/// Sides of the boundary by compass: those whose outward way lies within 45 degrees of it.
fn sides(worked: &Worked, typed: &[String]) -> Result<Vec<EdgeLine>, DeskError> {
    let wrong = |text: &str| {
        DeskError::figure(
            "side",
            format!(
                "found '{text}', expected a side and what lies there, such as 'north=trees 50ft' or 'east=road' ({CLASSES})"
            ),
        )
    };
    let mut out = Vec::new();
    for text in typed {
        let (side, rest) = text.split_once('=').ok_or_else(|| wrong(text))?;
        let toward = match side.trim().to_lowercase().as_str() {
            "north" | "n" => (0.0, 1.0),
            "east" | "e" => (1.0, 0.0),
            "south" | "s" => (0.0, -1.0),
            "west" | "w" => (-1.0, 0.0),
            _ => return Err(wrong(text)),
        };
        let (class, height) = if let Some(class) = class_of(rest) {
            (class, None)
        } else {
            let (words, height) = rest.trim().rsplit_once(' ').ok_or_else(|| wrong(text))?;
            let height = Length::parse(height).map_err(|why| DeskError::figure("side", why))?;
            let class = class_of(words).ok_or_else(|| wrong(text))?;
            (class, Some(height.m()))
        };
        if worked.known.boundary.is_empty() {
            return Err(DeskError::figure(
                "side",
                "sides are told by the field's outline: give it with --boundary, or draw lines and give them with --edges",
            ));
        }
        let frame = &worked.cleaned.frame;
        for ring in &worked.known.boundary {
            let places: Vec<(f64, f64)> = ring.iter().map(|p| frame.xy(p.0, p.1)).collect();
            let twice: f64 = places
                .windows(2)
                .map(|two| two[0].0 * two[1].1 - two[1].0 * two[0].1)
                .sum();
            // of a ring that turns left the outside is on the right
            let hand = if twice >= 0.0 { 1.0 } else { -1.0 };
            for (ends, degrees) in places.windows(2).zip(ring.windows(2)) {
                let along = (ends[1].0 - ends[0].0, ends[1].1 - ends[0].1);
                let length = along.0.hypot(along.1);
                let out_of = (hand * along.1 / length, -hand * along.0 / length);
                if out_of.0 * toward.0 + out_of.1 * toward.1 > std::f64::consts::FRAC_1_SQRT_2 {
                    out.push(EdgeLine {
                        class,
                        tree_height_m: height,
                        places: degrees.to_vec(),
                    });
                }
            }
        }
    }
    Ok(out)
}

/// Tells what edges cost.
///
/// # Errors
/// No line and no side; lines or sides that cannot be understood.
pub fn edges(worked: &Worked, asked: &EdgeAsked) -> Result<(EdgeAnswer, Edges), DeskError> {
    let mut all = asked
        .lines
        .as_ref()
        .map(lines)
        .transpose()?
        .unwrap_or_default();
    all.extend(sides(worked, &asked.sides)?);
    if all.is_empty() {
        return Err(DeskError::figure(
            "edges",
            "nothing says what lies along the field: add --side 'north=trees 50ft', or --edges with lines as GeoJSON",
        ));
    }
    let found = track::edge::edges(
        &worked.cleaned,
        &worked.known,
        &all,
        &EdgeSettings {
            lb_per_bu: worked.held.basis.lb_per_bu,
            price_usd_bu: asked.price,
            seed: worked.known.seed,
            ..EdgeSettings::default()
        },
    );
    let to_bu = worked.bu_ac();
    let mut out = EdgeAnswer {
        file: worked.file.clone(),
        crop: worked.held.basis.crop.clone(),
        each: found.each.iter().map(told).collect(),
        with_edges_bu_ac: [found.with_edges_kg_m2, found.with_edges_error].map(|y| y * to_bu),
        inside_bu_ac: [found.inside_kg_m2, found.inside_error].map(|y| y * to_bu),
        lost_bu: found.lost_bu.map(|range| three(range, 1.0)),
        lost_usd: found.lost_usd.map(|range| three(range, 1.0)),
        says: Vec::new(),
        why: vec![Why::new(
            "lost at an edge",
            "bushels over all ground near it",
            "level (1 - a exp(-d/L)) by class, fitted to records as means across their swath; errors of neighbors and of a pass counted together; seconds of filling and emptying left out",
            "crates/track/src/edge; held to a simulator whose edges are known (BENCHMARKS.md)",
        )],
    };
    out.says.push(match out.lost_bu {
        Some([lost, low, high]) => format!(
            "Edges took {lost:.0} bushels of this field (9 in 10: {low:.0} to {high:.0}){}.",
            out.lost_usd.map_or(String::new(), |usd| format!(
                ", ${:.0} (${:.0} to ${:.0})",
                usd[0], usd[1], usd[2]
            ))
        ),
        None => "No edge is told apart from the inside.".to_owned(),
    });
    out.says.push(format!(
        "The records average {:.1} ± {:.1} bu/ac, those beyond the reach of any edge {:.1} ± {:.1} (one standard error).",
        out.with_edges_bu_ac[0], out.with_edges_bu_ac[1], out.inside_bu_ac[0], out.inside_bu_ac[1]
    ));
    Ok((out, found))
}

const FT_PER_M: f64 = 1.0 / 0.3048;

fn told(edge: &Edge) -> EdgeLineTold {
    let curve: Option<&Curve> = match &edge.found {
        EdgeFound::Curve(curve) => Some(curve),
        EdgeFound::NotTold(_) => None,
    };
    let how = match edge.meets {
        Meets::Along => "along it",
        Meets::Ending => "where passes end",
    };
    let name = format!("{}, {how}", class_words(edge.class));
    let says = match &edge.found {
        EdgeFound::NotTold(why) => format!("{name}: not told, {why}."),
        EdgeFound::Curve(curve) => {
            let lost = &curve.lost_bu;
            let figures = format!(
                "{:.0} bu (9 in 10: {:.0} to {:.0})",
                lost.value, lost.low, lost.high
            );
            match curve.verdict {
                Verdict::Loses => format!(
                    "{name}: {figures} lost, {:.0} % at the edge itself{}.",
                    100.0 * curve.share_lost_at_edge.value,
                    curve.recovered_m.map_or(String::new(), |m| format!(
                        ", nearly gone after {:.0} ft{}",
                        m.value * FT_PER_M,
                        curve
                            .recovered_heights
                            .map_or(String::new(), |h| format!(" ({:.1} tree heights)", h.value))
                    ))
                ),
                Verdict::Gains => {
                    format!("{name}: it yields more than the inside, {figures} as a loss.")
                }
                Verdict::NotToldApart => {
                    format!("{name}: no loss is shown; {figures} is what it may be.")
                }
                Verdict::NotToldFromSoil => format!(
                    "{name}: {figures} as a loss, but soil that slopes toward it would explain that as well."
                ),
            }
        }
    };
    EdgeLineTold {
        class: edge.class,
        meets: edge.meets,
        length_ft: edge.length_m * FT_PER_M,
        area_ac: edge.area_m2 / M2_PER_AC,
        lost_bu: curve.map(|one| three(one.lost_bu, 1.0)),
        lost_usd: curve
            .and_then(|one| one.lost_usd)
            .map(|usd| three(usd, 1.0)),
        recovered_ft: curve
            .and_then(|one| one.recovered_m)
            .map(|m| three(m, FT_PER_M)),
        verdict: curve.map(|one| one.verdict),
        says,
    }
}

/// A part of the evidence for each edge that has a curve.
pub(super) fn parts(worked: &Worked, answer: &EdgeAnswer, found: &Edges) -> Vec<EvidencePart> {
    let to_bu = worked.bu_ac();
    let mut out = Vec::new();
    for (edge, told) in found.each.iter().zip(&answer.each) {
        let EdgeFound::Curve(curve) = &edge.found else {
            out.push(EvidencePart {
                head: class_words(edge.class).to_owned(),
                says: vec![told.says.clone()],
                ..EvidencePart::default()
            });
            continue;
        };
        let level = curve.level_kg_m2.value * to_bu;
        let chart = Chart {
            finding: Finding {
                title: told.says.clone(),
                desc: "Yield against distance from the edge: the curve with its band, 9 in 10, and means by swath without a curve".to_owned(),
            },
            across: "from the edge, ft".to_owned(),
            up: "yield, bu/ac".to_owned(),
            lines: vec![ChartLine {
                name: String::new(),
                at: (curve.bands.iter())
                    .map(|one| (one.distance_m * FT_PER_M, one.dry_kg_m2.value * to_bu))
                    .collect(),
                dashed: false,
            }],
            band: (curve.bands.iter())
                .map(|one| {
                    (
                        one.distance_m * FT_PER_M,
                        one.dry_kg_m2.low * to_bu,
                        one.dry_kg_m2.high * to_bu,
                    )
                })
                .collect(),
            marks: (curve.free.iter())
                .map(|bin| ChartMark {
                    x: 0.5 * (bin.from_m + bin.to_m) * FT_PER_M,
                    y: bin.of_level.value * level,
                    half: Some(0.5 * (bin.of_level.high - bin.of_level.low) * level),
                    open: false,
                })
                .collect(),
            named: curve
                .recovered_m
                .map(|m| Tick {
                    at: m.value * FT_PER_M,
                    text: "nearly gone".to_owned(),
                })
                .into_iter()
                .collect(),
            ..Chart::default()
        };
        out.push(EvidencePart {
            head: format!("edge: {}", class_words(edge.class)),
            says: vec![told.says.clone()],
            pictures: vec![both(|width| draw::chart(&chart, width))],
            table: None,
        });
    }
    out
}
