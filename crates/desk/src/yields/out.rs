//! Records and cells as files for other programs.

use super::{Worked, mapped, words};
use crate::DeskError;
use formats::geojson::Shape;
use formats::geopackage::Feature;
use formats::raster::{Raster, RasterBand, geotiff, png};
use serde_json::json;
use std::fmt::Write as _;
use std::path::Path;
use track::clean::Map;

/// What a file's name asks for.
fn ending(path: &Path) -> String {
    path.extension()
        .map_or_else(String::new, |end| end.to_string_lossy().to_lowercase())
}

fn refused(why: &dyn std::fmt::Display, path: &Path) -> DeskError {
    DeskError::File {
        file: path.display().to_string(),
        why: why.to_string(),
    }
}

/// Writes a new file whole: under another name first, and never over one that is there.
fn whole(path: &Path, bytes: &[u8]) -> Result<(), DeskError> {
    fresh(path)?;
    let mut beside = path.as_os_str().to_owned();
    beside.push(".new");
    let put = || {
        std::fs::write(&beside, bytes)?;
        std::fs::rename(&beside, path)
    };
    put().map_err(|why| refused(&why, path))
}

fn fresh(path: &Path) -> Result<(), DeskError> {
    if path.exists() {
        return Err(refused(
            &"it is there already; choose a new name or move it away, nothing was written",
            path,
        ));
    }
    Ok(())
}

/// Seven decimals of a degree are a centimeter.
fn degrees(worked: &Worked, at: (f64, f64)) -> (f64, f64) {
    let place = worked.cleaned.frame.degrees(at.0, at.1);
    let short = |d: f64| (d * 1e8).round() / 1e8;
    (short(place.0), short(place.1))
}

/// Every record, with what became of it: CSV or GeoJSON.
///
/// # Errors
/// Another ending, a file that is there already, or what the machine says.
pub fn write_records(worked: &Worked, path: &Path) -> Result<(), DeskError> {
    let to_bu = worked.bu_ac();
    let points = &worked.held.track.points;
    match ending(path).as_str() {
        "csv" => {
            let mut text = String::from(
                "row,longitude_deg,latitude_deg,pass,time_s,wet_lb,width_m,area_m2,moisture_pct,dry_bu_per_ac,cause\n",
            );
            for r in &worked.cleaned.records {
                let place = degrees(worked, r.at);
                let some = |value: Option<f64>, places: usize| {
                    value.map_or_else(String::new, |v| format!("{v:.places$}"))
                };
                let pass = (r.pass != u32::MAX).then(|| (r.pass + 1).to_string());
                let _ = writeln!(
                    text,
                    "{},{},{},{},{},{:.4},{:.3},{:.3},{},{},{}",
                    points[r.point].row,
                    place.0,
                    place.1,
                    pass.unwrap_or_default(),
                    some(Some(r.t).filter(|t| t.is_finite()), 2),
                    r.arrived_kg / track::KG_PER_LB,
                    r.width_m,
                    r.area_m2,
                    some(r.moisture.map(|m| 100.0 * m), 2),
                    some(r.dry_kg_m2.map(|y| y * to_bu), 2),
                    words::cause(r.flag)
                );
            }
            whole(path, text.as_bytes())
        }
        "geojson" | "json" => {
            let features: Vec<serde_json::Value> = worked
                .cleaned
                .records
                .iter()
                .map(|r| {
                    let place = degrees(worked, r.at);
                    json!({
                        "type": "Feature",
                        "geometry": { "type": "Point", "coordinates": [place.0, place.1] },
                        "properties": {
                            "row": points[r.point].row,
                            "wet_lb": r.arrived_kg / track::KG_PER_LB,
                            "width_m": r.width_m,
                            "area_m2": r.area_m2,
                            "moisture_pct": r.moisture.map(|m| 100.0 * m),
                            "dry_bu_per_ac": r.dry_kg_m2.map(|y| y * to_bu),
                            "cause": words::cause(r.flag),
                        },
                    })
                })
                .collect();
            let all = json!({ "type": "FeatureCollection", "features": features });
            whole(path, all.to_string().as_bytes())
        }
        other => Err(refused(
            &format!("found the ending '{other}', expected .csv or .geojson"),
            path,
        )),
    }
}

/// The map: GeoTIFF, PNG, CSV, GeoJSON or GeoPackage.
///
/// # Errors
/// Another ending, a file that is there already, or what the machine says.
pub fn write_map(worked: &Worked, map: &Map, path: &Path) -> Result<(), DeskError> {
    let to_bu = worked.bu_ac();
    let grid = &map.cells;
    let told =
        |cell: usize| map.told[cell].map(|one| (one.dry_kg_m2 * to_bu, one.error_kg_m2 * to_bu));
    let all = || (0..map.told.len()).filter_map(|cell| Some((cell, told(cell)?)));
    let ring = |cell: usize| -> Vec<[f64; 2]> {
        let (x, y) = grid.middle(cell);
        let half = 0.5 * grid.side_m;
        [
            (-half, -half),
            (half, -half),
            (half, half),
            (-half, half),
            (-half, -half),
        ]
        .iter()
        .map(|by| degrees(worked, (x + by.0, y + by.1)).into())
        .collect()
    };
    match ending(path).as_str() {
        "tif" | "tiff" => {
            let band = |name: &str, of: &dyn Fn((f64, f64)) -> f64| RasterBand {
                name: name.to_owned(),
                unit: "bu/ac".to_owned(),
                values: (0..map.told.len())
                    .map(|cell| told(cell).map_or(f32::NAN, |one| of(one) as f32))
                    .collect(),
            };
            let raster = Raster {
                origin: worked.cleaned.frame.degrees(0.0, 0.0),
                corner: grid.corner,
                side_m: grid.side_m,
                wide: grid.wide,
                high: grid.high,
                bands: vec![
                    band("yield", &|one| one.0),
                    band("standard error", &|one| one.1),
                ],
            };
            let bytes = geotiff(&raster).map_err(|why| refused(&why, path))?;
            whole(path, &bytes)
        }
        "png" => {
            let cells = mapped::cells(worked, map);
            let (low, high) = (cells.quantiles[0], cells.quantiles[4]);
            let mut pixels = vec![[0_u8; 4]; map.told.len()];
            for (cell, (value, _)) in all() {
                let share = if high > low {
                    (value - low) / (high - low)
                } else {
                    0.5
                };
                let [r, g, b] = draw::ramp_bytes(share);
                let (column, row) = (cell % grid.wide, grid.high - 1 - cell / grid.wide);
                pixels[row * grid.wide + column] = [r, g, b, 255];
            }
            let bytes = png(grid.wide, grid.high, &pixels).map_err(|why| refused(&why, path))?;
            whole(path, &bytes)
        }
        "csv" => {
            let mut text = String::from(
                "longitude_deg,latitude_deg,east_m,north_m,share_in_field,dry_bu_per_ac,standard_error_bu_per_ac\n",
            );
            for (cell, one) in all() {
                let at = grid.middle(cell);
                let place = degrees(worked, at);
                let _ = writeln!(
                    text,
                    "{},{},{:.2},{:.2},{:.4},{:.3},{:.3}",
                    place.0, place.1, at.0, at.1, map.share[cell], one.0, one.1
                );
            }
            whole(path, text.as_bytes())
        }
        "geojson" | "json" => {
            let features: Vec<serde_json::Value> = all()
                .map(|(cell, one)| {
                    json!({
                        "type": "Feature",
                        "geometry": { "type": "Polygon", "coordinates": [ring(cell)] },
                        "properties": {
                            "dry_bu_per_ac": one.0,
                            "standard_error_bu_per_ac": one.1,
                            "share_in_field": map.share[cell],
                        },
                    })
                })
                .collect();
            let whole_file = json!({ "type": "FeatureCollection", "features": features });
            whole(path, whole_file.to_string().as_bytes())
        }
        "gpkg" => {
            fresh(path)?;
            let features: Result<Vec<Feature>, _> = all()
                .map(|(cell, one)| {
                    Ok(Feature {
                        shape: Shape::new(vec![vec![ring(cell)]])?,
                        text: Vec::new(),
                        real: vec![
                            ("dry_bu_per_ac".to_owned(), one.0),
                            ("standard_error_bu_per_ac".to_owned(), one.1),
                            ("share_in_field".to_owned(), map.share[cell]),
                        ],
                    })
                })
                .collect();
            features
                .and_then(|features| formats::geopackage::write(path, "cells", &features))
                .map_err(|why| refused(&why, path))
        }
        other => Err(refused(
            &format!("found the ending '{other}', expected .tif, .png, .csv, .geojson or .gpkg"),
            path,
        )),
    }
}
