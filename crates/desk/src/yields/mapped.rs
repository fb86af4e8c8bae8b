//! What a map says, in the units of a farm.

use super::Worked;
use crate::{Ranged, Why, winter};
use serde::Serialize;
use track::M2_PER_AC;
use track::clean::Map;

/// How sure the cells are: half of the range, 8 in 10, bushels an acre.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Doubt {
    /// The surest cell in ten.
    pub least: f64,
    /// The middle cell.
    pub middle: f64,
    /// The least sure cell in ten.
    pub most: f64,
}

/// What a map says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MapAnswer {
    /// The file.
    pub file: String,
    /// The crop's key.
    pub crop: String,
    /// The bushels' base, per cent.
    pub base_moisture_pct: f64,
    /// Side of a cell, m.
    pub cell_m: f64,
    /// Cells that are told.
    pub cells: usize,
    /// Ground of those, acres in the field.
    pub area_ac: f64,
    /// All of them together, dry bushels at the base.
    pub dry_bu: f64,
    /// Over their ground.
    pub bu_per_ac: f64,
    /// The 10th, 50th and 90th per cent of cells, bushels an acre.
    pub tenths: [f64; 3],
    /// How sure the cells are.
    pub doubt: Doubt,
    /// Nugget and sill of the variogram used, (bu/ac)^2, and its range, m.
    pub nugget: f64,
    /// Sill besides the nugget.
    pub sill: f64,
    /// Range parameter of the exponential curve, m.
    pub range_m: f64,
    /// The range ran away: the field is not known to level out.
    pub runaway: bool,
    /// Passes left out and foretold from the others.
    pub passes_left_out: usize,
    /// Root mean square of that against what the sensor read, bu/ac.
    pub pass_out_bu_ac: Option<f64>,
    /// What the model's standard errors were multiplied by.
    pub inflation: Option<f64>,
    /// Whether the machine's mixing was taken out.
    pub unmixed: bool,
    /// What every cell was multiplied by so that the sum is the scale's.
    pub closed_by: Option<f64>,
    /// What it says, a sentence each.
    pub says: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// A part of sorted values.
pub(super) fn part(sorted: &[f64], share: f64) -> f64 {
    let at = ((sorted.len().max(1) - 1) as f64 * share).round() as usize;
    sorted.get(at).copied().unwrap_or(f64::NAN)
}

pub(super) fn answer(worked: &Worked, map: &Map) -> MapAnswer {
    let to_bu = worked.bu_ac();
    let cell_ac = map.cells.side_m * map.cells.side_m / M2_PER_AC;
    let (mut yields, mut halves) = (Vec::new(), Vec::new());
    let (mut area_ac, mut dry_bu) = (0.0, 0.0);
    for (told, share) in map.told.iter().zip(&map.share) {
        let Some(told) = told else { continue };
        yields.push(told.dry_kg_m2 * to_bu);
        halves.push(Ranged::half(told.error_kg_m2 * to_bu));
        area_ac += share * cell_ac;
        dry_bu += told.dry_kg_m2 * to_bu * share * cell_ac;
    }
    let cells = yields.len();
    yields.sort_by(f64::total_cmp);
    halves.sort_by(f64::total_cmp);
    let square = to_bu * to_bu;
    let mut out = MapAnswer {
        file: worked.file.clone(),
        crop: worked.held.basis.crop.clone(),
        base_moisture_pct: worked.held.basis.base_moisture.percent(),
        cell_m: map.cells.side_m,
        cells,
        area_ac,
        dry_bu,
        bu_per_ac: dry_bu / area_ac,
        tenths: [0.1, 0.5, 0.9].map(|share| part(&yields, share)),
        doubt: Doubt {
            least: part(&halves, 0.1),
            middle: part(&halves, 0.5),
            most: part(&halves, 0.9),
        },
        nugget: map.model.nugget * square,
        sill: map.model.sill * square,
        range_m: map.model.range_m,
        runaway: map.runaway,
        passes_left_out: map.pass_out.as_ref().map_or(0, |one| one.passes),
        pass_out_bu_ac: map.pass_out.as_ref().map(|one| {
            one.rmse_unmixed_kg_m2
                .filter(|_| map.unmixed)
                .unwrap_or(one.rmse_shifted_kg_m2)
                * to_bu
        }),
        inflation: map.pass_out.as_ref().map(|one| one.inflation),
        unmixed: map.unmixed,
        closed_by: map.closed_by,
        says: Vec::new(),
        why: Vec::new(),
    };
    out.says = sentences(&out);
    out.why = vec![
        Why::new(
            "map",
            format!("{} cells of {} m", out.cells, out.cell_m),
            "ordinary block kriging of records as means across their swath, 64 nearest, exponential curve fitted to pairs from different passes by N/h2",
            "crates/spatial; crates/track/src/clean/map.rs",
        )
        .with("nugget", format!("{:.1} (bu/ac)2", out.nugget))
        .with("sill", format!("{:.1} (bu/ac)2", out.sill))
        .with("range", format!("{:.1} m", out.range_m)),
        Why::new(
            "doubt",
            format!("± {:.1} bu/ac in the middle cell, 8 in 10", out.doubt.middle),
            "kriging variance, widened to what whole passes left out bear out",
            "crates/spatial/src/cross.rs; held to a simulator whose truth is known (BENCHMARKS.md)",
        )
        .with(
            "widened by",
            out.inflation.map_or("not at all".to_owned(), |by| format!("{by:.2}")),
        ),
    ];
    out
}

fn sentences(one: &MapAnswer) -> Vec<String> {
    let mut out = vec![format!(
        "{} cells of {} m: {:.1} bu/ac over {:.1} acres; one cell in ten is under {:.0}, one in ten over {:.0}.",
        one.cells, one.cell_m, one.bu_per_ac, one.area_ac, one.tenths[0], one.tenths[2]
    )];
    out.push(format!(
        "The middle cell is known to ± {:.1} bu/ac (8 in 10), the least sure in ten to ± {:.1} or worse.",
        one.doubt.middle, one.doubt.most
    ));
    match one.pass_out_bu_ac {
        Some(off) => out.push(format!(
            "{} passes were left out one by one and foretold from the others: {off:.1} bu/ac off, which is what the doubt rests on.",
            one.passes_left_out
        )),
        None => out.push(
            "Too few passes to leave one out, so the doubt is the model's own and is too small."
                .to_owned(),
        ),
    }
    if one.runaway {
        out.push(
            "The variogram does not level out within 100 m, so its range is not known; nearby cells are little affected."
                .to_owned(),
        );
    }
    out
}

/// The map as cells that a page or a picture shows: bushels an acre, with the standard error of each.
pub(crate) fn cells(worked: &Worked, map: &Map) -> winter::Cells {
    let to_bu = worked.bu_ac();
    let grid = &map.cells;
    let frame = &worked.cleaned.frame;
    let edge = |nth: usize, corner: f64| corner + nth as f64 * grid.side_m;
    let lon_edges: Vec<f64> = (0..=grid.wide)
        .map(|nth| frame.degrees(edge(nth, grid.corner.0), grid.corner.1).0)
        .collect();
    let lat_edges: Vec<f64> = (0..=grid.high)
        .map(|nth| frame.degrees(grid.corner.0, edge(nth, grid.corner.1)).1)
        .collect();
    let mut records = vec![0_u32; map.told.len()];
    let kept = worked.cleaned.records.iter().filter(|r| r.flag.is_none());
    for cell in kept.filter_map(|r| grid.cell_of(r.at)) {
        records[cell] += 1;
    }
    let summary = worked.clean_answer();
    let mut out = winter::Cells {
        crop: worked.held.basis.crop.clone(),
        cell_m: grid.side_m,
        enlarged: false,
        unit: "dry_bu_per_ac",
        base_moisture_pct: Some(worked.held.basis.base_moisture.percent()),
        bounds: [
            lon_edges[0],
            lat_edges[0],
            lon_edges[grid.wide],
            lat_edges[grid.high],
        ],
        lon_edges,
        lat_edges,
        column: Vec::new(),
        row: Vec::new(),
        mean: Vec::new(),
        se: Vec::new(),
        n: Vec::new(),
        quantiles: [0.0; 5],
        range: [0.0; 2],
        points: worked.held.track.points.len() as u64,
        rows: worked.held.track.rows_read,
        set_aside: worked.held.track.findings.set_aside_rows(),
        no_ground: summary
            .by_cause
            .iter()
            .filter(|one| one.cause.is_some())
            .map(|one| one.records as u64)
            .sum(),
        flagged: 0,
        assumed: worked.held.assumed.clone(),
    };
    for (cell, told) in map.told.iter().enumerate() {
        let Some(told) = told else { continue };
        out.column
            .push(u32::try_from(cell % grid.wide).unwrap_or_default());
        out.row
            .push(u32::try_from(cell / grid.wide).unwrap_or_default());
        out.mean.push((told.dry_kg_m2 * to_bu * 1e3).round() / 1e3);
        out.se
            .push(Some((told.error_kg_m2 * to_bu * 1e3).round() / 1e3));
        out.n.push(records[cell]);
    }
    let mut sorted = out.mean.clone();
    sorted.sort_by(f64::total_cmp);
    out.quantiles = [0.02, 0.25, 0.5, 0.75, 0.98].map(|share| part(&sorted, share));
    out.range = [part(&sorted, 0.0), part(&sorted, 1.0)];
    out
}
