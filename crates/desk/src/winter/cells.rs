//! Raw points put into square cells, as read: no delay, overlap or outlier is treated.

use crate::passes::{Asked, summary_at_base_with_points};
use crate::{DeskError, Farm};
use serde::Serialize;

/// Most cells; past that the cells are made larger.
pub const MOST_CELLS: usize = 12_000;

/// What is asked about a file of points.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CellsAsked {
    /// The crop's key.
    pub crop: String,
    /// Working width as typed, where the file has none.
    pub swath: Option<String>,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// The field's outline, GeoJSON; cells are counted from its south-west corner.
    pub outline: Option<String>,
}

/// Cells of a field, one list a column so that it stays small; cell `i` lies between
/// `lon_edges[column[i]]` and the next edge, and `lat_edges[row[i]]` and the next.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cells {
    /// The crop's key.
    pub crop: String,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Whether cells were made larger than asked to stay under [`MOST_CELLS`].
    pub enlarged: bool,
    /// `dry_bu_per_ac` or, where the file has no moisture, `wet_lb_per_ac`.
    pub unit: &'static str,
    /// The bushels' base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Edges of columns, degrees east, from the west.
    pub lon_edges: Vec<f64>,
    /// Edges of rows, degrees north, from the south.
    pub lat_edges: Vec<f64>,
    /// Column of each cell.
    pub column: Vec<u32>,
    /// Row of each cell.
    pub row: Vec<u32>,
    /// Mean yield of each cell, mass over area cut.
    pub mean: Vec<f64>,
    /// Standard error of that mean from its points alone; none for one point.
    pub se: Vec<Option<f64>>,
    /// Points in each cell.
    pub n: Vec<u32>,
    /// The 2nd, 25th, 50th, 75th and 98th per cent of the cells' means, for a scale of shades.
    pub quantiles: [f64; 5],
    /// Lowest and highest mean.
    pub range: [f64; 2],
    /// Least and greatest longitude and latitude: west, south, east, north.
    pub bounds: [f64; 4],
    /// Points read.
    pub points: u64,
    /// Records in the file: points + set aside.
    pub rows: u64,
    /// Records set aside by the reader.
    pub set_aside: u64,
    /// Points that cut no ground: kept in every total, in no cell.
    pub no_ground: u64,
    /// Points that the checks flagged (kept).
    pub flagged: u64,
    /// What was assumed about units, widths and moistures, English.
    pub assumed: Vec<String>,
}

/// Degrees of a corner, kept short: 1e-7 degrees are a centimetre.
fn short(degrees: f64) -> f64 {
    (degrees * 1e7).round() / 1e7
}

/// What one cell has gathered.
#[derive(Default, Clone)]
struct Gathered {
    grain: f64,
    acres: f64,
    yields: Vec<f64>,
}

/// Puts the points of a file into cells.
///
/// # Errors
/// A file that is not delimited points, no working width in it or given, a cell that is not between 2
/// and 200 metres.
pub fn cells(bytes: &[u8], file: &str, asked: &CellsAsked) -> Result<Cells, DeskError> {
    if !(2.0..=200.0).contains(&asked.cell_m) {
        return Err(DeskError::figure(
            "cell",
            format!("found {} m, expected 2 to 200 m", asked.cell_m),
        ));
    }
    let of = Asked {
        swath: asked.swath.clone(),
        crop: asked.crop.clone(),
        ..Asked::default()
    };
    let (answer, points) = summary_at_base_with_points(bytes, file, &of)?;
    let summary = &answer.summary;
    let swath_m = summary.swath_in * M_PER_IN;
    let bushel_kg =
        (1.0 - summary.base_moisture_pct / 100.0) * summary.lb_per_bu * track::KG_PER_LB;
    let wet_only = points.iter().all(|point| point.moisture.is_none());
    let outline = asked.outline.as_deref().map(corners).unwrap_or_default();
    let (west, south, east, north) = bounds(&points, &outline);
    let frame = track::LocalFrame::at(west, south);
    let (wide, _) = frame.xy(east, south);
    let (_, tall) = frame.xy(west, north);
    let mut cell_m = asked.cell_m;
    let count = |cell: f64| ((wide / cell).floor() + 1.0, (tall / cell).floor() + 1.0);
    while count(cell_m).0 * count(cell_m).1 > MOST_CELLS as f64 {
        cell_m *= 1.25;
    }
    let (columns, rows) = (count(cell_m).0 as usize, count(cell_m).1 as usize);
    let mut gathered = vec![Gathered::default(); columns * rows];
    let mut no_ground = 0;
    for point in &points {
        let acres = point.area_m2(swath_m) / track::M2_PER_AC;
        if acres <= 0.0 {
            no_ground += 1;
            continue;
        }
        let grain = if wet_only {
            point.mass_kg / track::KG_PER_LB
        } else {
            match point.moisture {
                Some(moisture) => point.mass_kg * (1.0 - moisture) / bushel_kg,
                // the reader sets such records aside where others have a moisture
                None => continue,
            }
        };
        let (x, y) = frame.xy(point.longitude_deg, point.latitude_deg);
        let column = ((x / cell_m).max(0.0) as usize).min(columns - 1);
        let row = ((y / cell_m).max(0.0) as usize).min(rows - 1);
        let cell = &mut gathered[row * columns + column];
        cell.grain += grain;
        cell.acres += acres;
        cell.yields.push(grain / acres);
    }
    let edge = |count: usize, from: f64, per_m: f64| -> Vec<f64> {
        (0..=count)
            .map(|at| short(from + at as f64 * cell_m * per_m))
            .collect()
    };
    // the frame is linear: degrees a metre follow from its own far corner
    let lon_per_m = if wide > 0.0 {
        (east - west) / wide
    } else {
        0.0
    };
    let lat_per_m = if tall > 0.0 {
        (north - south) / tall
    } else {
        0.0
    };
    let mut out = Cells {
        crop: asked.crop.clone(),
        cell_m,
        enlarged: cell_m > asked.cell_m,
        unit: if wet_only {
            "wet_lb_per_ac"
        } else {
            "dry_bu_per_ac"
        },
        base_moisture_pct: (!wet_only).then_some(summary.base_moisture_pct),
        lon_edges: edge(columns, west, lon_per_m),
        lat_edges: edge(rows, south, lat_per_m),
        column: Vec::new(),
        row: Vec::new(),
        mean: Vec::new(),
        se: Vec::new(),
        n: Vec::new(),
        quantiles: [0.0; 5],
        range: [0.0; 2],
        bounds: [west, south, east, north],
        points: points.len() as u64,
        rows: summary.rows_read,
        set_aside: summary.findings.set_aside_rows,
        no_ground,
        flagged: summary
            .findings
            .counts
            .values()
            .sum::<u64>()
            .saturating_sub(summary.findings.set_aside_rows),
        assumed: answer.assumed.clone(),
    };
    for (at, cell) in gathered
        .iter()
        .enumerate()
        .filter(|(_, cell)| !cell.yields.is_empty())
    {
        out.column
            .push(u32::try_from(at % columns).unwrap_or_default());
        out.row
            .push(u32::try_from(at / columns).unwrap_or_default());
        out.mean.push(round(cell.grain / cell.acres));
        out.se.push(standard_error(&cell.yields).map(round));
        out.n
            .push(u32::try_from(cell.yields.len()).unwrap_or(u32::MAX));
    }
    let mut sorted = out.mean.clone();
    sorted.sort_by(f64::total_cmp);
    if let (Some(first), Some(last)) = (sorted.first(), sorted.last()) {
        out.range = [*first, *last];
        out.quantiles = [0.02, 0.25, 0.5, 0.75, 0.98].map(|part| quantile(&sorted, part));
    }
    Ok(out)
}

/// Metres in an inch, exact.
const M_PER_IN: f64 = 0.0254;

/// Three decimals are more than a monitor knows.
fn round(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}

/// A quantile of sorted values, between the nearest two.
fn quantile(sorted: &[f64], part: f64) -> f64 {
    let at = part * (sorted.len() - 1) as f64;
    let (low, high) = (sorted[at.floor() as usize], sorted[at.ceil() as usize]);
    low + (high - low) * at.fract()
}

/// Standard error of a mean of points taken as independent: they are not, so it is too small; the
/// doubt of the map comes with its cleaning.
fn standard_error(yields: &[f64]) -> Option<f64> {
    let n = yields.len() as f64;
    if yields.len() < 2 {
        return None;
    }
    let mean = yields.iter().sum::<f64>() / n;
    let sum: f64 = yields.iter().map(|one| (one - mean).powi(2)).sum();
    Some((sum / (n - 1.0) / n).sqrt())
}

fn bounds(points: &[track::RawPoint], outline: &[(f64, f64)]) -> (f64, f64, f64, f64) {
    let all = points
        .iter()
        .map(|point| (point.longitude_deg, point.latitude_deg))
        .chain(outline.iter().copied());
    let start = (
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    );
    all.fold(start, |(west, south, east, north), (lon, lat)| {
        (west.min(lon), south.min(lat), east.max(lon), north.max(lat))
    })
}

/// Corners of an outline's rings; none where it cannot be read (the book keeps none such).
pub(crate) fn corners(geojson: &str) -> Vec<(f64, f64)> {
    rings(geojson).into_iter().flatten().collect()
}

/// Rings of an outline, degrees.
pub(crate) fn rings(geojson: &str) -> Vec<Vec<(f64, f64)>> {
    fn walk(value: &serde_json::Value, out: &mut Vec<Vec<(f64, f64)>>) {
        let Some(list) = value.as_array() else { return };
        let ring: Option<Vec<(f64, f64)>> = list
            .iter()
            .map(|corner| {
                let pair = corner.as_array()?;
                Some((pair.first()?.as_f64()?, pair.get(1)?.as_f64()?))
            })
            .collect();
        match ring {
            Some(ring) if !ring.is_empty() => out.push(ring),
            _ => list.iter().for_each(|one| walk(one, out)),
        }
    }
    let mut out = Vec::new();
    if let Ok(value) = serde_json::from_str::<serde_json::Value>(geojson) {
        walk(&value["coordinates"], &mut out);
    }
    out
}

/// The map of cells in metres from its south-west corner, for a picture: outline rings, and cells as
/// (x, y, side, mean, standard error).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plan {
    /// Outline.
    pub rings: Vec<Vec<(f64, f64)>>,
    /// Cells: middle east, middle north, mean, standard error.
    pub cells: Vec<(f64, f64, f64, Option<f64>)>,
}

/// Cells in plan.
pub fn plan(cells: &Cells, outline: Option<&str>) -> Plan {
    let frame = track::LocalFrame::at(cells.bounds[0], cells.bounds[1]);
    let ring = |ring: Vec<(f64, f64)>| {
        ring.into_iter()
            .map(|(lon, lat)| frame.xy(lon, lat))
            .collect()
    };
    Plan {
        rings: outline
            .map(rings)
            .unwrap_or_default()
            .into_iter()
            .map(ring)
            .collect(),
        cells: (0..cells.mean.len())
            .map(|at| {
                let x = (f64::from(cells.column[at]) + 0.5) * cells.cell_m;
                let y = (f64::from(cells.row[at]) + 0.5) * cells.cell_m;
                (x, y, cells.mean[at], cells.se[at])
            })
            .collect(),
    }
}

/// The working width last written with a count in a field, or anywhere that season; as it is typed.
pub fn swath(farm: &Farm, field: &str, year: u16) -> Option<String> {
    let counts = || {
        farm.counts
            .iter()
            .rev()
            .filter(|one| one.says.season == year)
    };
    let own =
        counts().find(|one| one.says.field.as_str() == field && one.says.cut_width_m.is_some());
    let any = own.or_else(|| counts().find(|one| one.says.cut_width_m.is_some()))?;
    any.says.cut_width_m.map(|metres| format!("{metres} m"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fmt::Write as _;

    const HEAD: &str = "longitude,latitude,flow (lb/s),interval (s),distance (ft),moisture (%)\n";

    fn asked(cell_m: f64) -> CellsAsked {
        CellsAsked {
            crop: "corn".to_owned(),
            swath: Some("15 ft".to_owned()),
            cell_m,
            outline: None,
        }
    }

    #[test]
    fn cells_hold_every_point_that_cut_ground() {
        let mut file = HEAD.to_owned();
        for at in 0..60 {
            let lon = -90.85 + f64::from(at % 10) * 1e-4;
            let lat = 44.04 + f64::from(at / 10) * 1e-4;
            writeln!(file, "{lon:.6},{lat:.6},10,1,6,15.5").unwrap();
        }
        let cells = cells(file.as_bytes(), "x.csv", &asked(20.0)).unwrap();
        assert_eq!(cells.n.iter().sum::<u32>(), 60);
        // 10 lb over 6 ft by 15 ft at the base: 10 / 56 bu on 90 ft2
        let want = 10.0 / 56.0 / (90.0 / 43_560.0);
        for mean in &cells.mean {
            assert!((mean - want).abs() < 0.01, "{mean} {want}");
        }
        let plan = plan(&cells, None);
        assert_eq!(plan.cells.len(), cells.mean.len());
    }

    #[test]
    fn every_point_is_in_a_cell_or_counted_out() {
        let mut file = HEAD.to_owned();
        for at in 0..40 {
            let lon = -90.85 + f64::from(at % 8) * 1e-4;
            let lat = 44.04 + f64::from(at / 8) * 1e-4;
            let distance = if at % 10 == 3 { "0" } else { "6" };
            let moisture = if at % 8 == 5 { "" } else { "15.5" };
            writeln!(file, "{lon:.6},{lat:.6},10,1,{distance},{moisture}").unwrap();
        }
        let cells = cells(file.as_bytes(), "x.csv", &asked(20.0)).unwrap();
        // 5, 13, 21, 29 and 37 have no moisture and are set aside; of the others 3, 23 and 33 cut no ground
        assert_eq!((cells.set_aside, cells.no_ground), (5, 3));
        let inside: u64 = cells.n.iter().map(|n| u64::from(*n)).sum();
        assert_eq!(inside + cells.no_ground, cells.points);
        assert_eq!((cells.points + cells.set_aside, cells.rows), (40, 40));
    }

    #[test]
    fn a_large_field_gets_larger_cells() {
        let file = format!("{HEAD}-90.85,44.04,10,1,6,15\n-90.80,44.08,10,1,6,15\n");
        let cells = cells(file.as_bytes(), "x.csv", &asked(5.0)).unwrap();
        assert!(cells.enlarged && cells.lon_edges.len() * cells.lat_edges.len() < 13_000);
    }

    #[test]
    fn a_machine_without_a_moisture_sensor_has_a_map_of_wet_pounds() {
        let dry = "longitude,latitude,flow (lb/s),interval (s),distance (ft)\n";
        let file =
            format!("{dry}-90.85,44.04,10,1,6\n-90.8499,44.04,10,1,6\n-90.8498,44.04,10,1,0\n");
        let wet = cells(file.as_bytes(), "x.csv", &asked(20.0)).unwrap();
        assert_eq!((wet.unit, wet.base_moisture_pct), ("wet_lb_per_ac", None));
        // 10 lb on 90 ft2
        assert!((wet.mean[0] - 10.0 / (90.0 / 43_560.0)).abs() < 0.01);
        assert_eq!((wet.points, wet.no_ground), (3, 1));
        let said = |text: &str| wet.assumed.iter().any(|one| one.contains(text));
        assert!(said("3 of 3 records have no moisture"), "{:?}", wet.assumed);
    }

    #[test]
    fn rings_of_polygons_and_of_several() {
        let one = r#"{"type":"Polygon","coordinates":[[[1,2],[3,4],[5,6],[1,2]]]}"#;
        let two = r#"{"type":"MultiPolygon","coordinates":[[[[1,2],[3,4],[1,2]]],[[[5,6],[7,8],[5,6]]]]}"#;
        assert_eq!(rings(one).len(), 1);
        assert_eq!(rings(two).len(), 2);
        assert!(rings("{").is_empty());
    }
}
