//! GeoTIFFs and PNGs as GDAL reads them (Debian `gdal-bin`, run by the test where it is), and by their own bytes.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]
#![expect(clippy::print_stdout, reason = "what is skipped is said")]

use formats::raster::{Raster, RasterBand, geotiff, png};
use std::path::Path;
use std::process::Command;

/// Longitude and latitude of the origin.
const ORIGIN: (f64, f64) = (-93.9758, 43.9242);

/// 700 by 300 cells of 2 m, the first band the cell's number, the second its column; every 1,000th cell not told.
fn some() -> Raster {
    let (wide, high) = (700, 300);
    let value = |cell: usize, of: usize| {
        if cell.is_multiple_of(1_000) {
            f32::NAN
        } else {
            of as f32
        }
    };
    let band = |name: &str, unit: &str, of: &dyn Fn(usize) -> usize| RasterBand {
        name: name.to_owned(),
        unit: unit.to_owned(),
        values: (0..wide * high).map(|cell| value(cell, of(cell))).collect(),
    };
    Raster {
        origin: ORIGIN,
        corner: (-200.0, -150.0),
        side_m: 2.0,
        wide,
        high,
        bands: vec![
            band("yield", "bu/ac", &|cell| cell),
            band("standard error", "bu/ac", &|cell| cell % wide),
        ],
    }
}

fn gdal(program: &str, words: &[&str]) -> Option<String> {
    let ran = match Command::new(program).args(words).output() {
        Ok(ran) => ran,
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => {
            println!("skipped: no {program} here (apt-get install gdal-bin)");
            return None;
        }
        Err(why) => panic!("{program}: {why}"),
    };
    assert!(
        ran.status.success(),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    Some(String::from_utf8(ran.stdout).unwrap())
}

fn write(folder: &Path, name: &str, bytes: &[u8]) -> String {
    let path = folder.join(name);
    std::fs::write(&path, bytes).unwrap();
    path.display().to_string()
}

#[test]
fn gdal_opens_a_geotiff_with_everything_it_says() {
    let room = tempfile::tempdir().unwrap();
    let file = write(room.path(), "map.tif", &geotiff(&some()).unwrap());
    let Some(text) = gdal("gdalinfo", &["-json", "-stats", &file]) else {
        return;
    };
    let told: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(told["size"], serde_json::json!([700, 300]));
    let system = told["coordinateSystem"]["wkt"].as_str().unwrap();
    assert!(
        system.contains("Transverse Mercator") && system.contains("WGS 84"),
        "{system}"
    );
    for (nth, name) in ["yield", "standard error"].iter().enumerate() {
        let band = &told["bands"][nth];
        assert_eq!(band["description"], *name);
        assert_eq!(band["unit"], "bu/ac");
        assert_eq!(band["type"], "Float32");
        assert_eq!(band["block"], serde_json::json!([256, 256]));
        assert_eq!(band["noDataValue"], "NaN");
        assert_eq!(band["overviews"].as_array().unwrap().len(), 2);
    }
    // mean of 0 to 209,999 without the thousands: those average 104,500
    let mean = told["bands"][0]["mean"].as_f64().unwrap();
    let want = (209_999.0 * 105_000.0 - 210.0 * 104_500.0) / (210_000.0 - 210.0);
    assert!((mean / want - 1.0).abs() < 1e-6, "{mean} {want}");
}

#[test]
fn gdal_finds_each_cell_where_it_lies() {
    let room = tempfile::tempdir().unwrap();
    let raster = some();
    let file = write(room.path(), "map.tif", &geotiff(&raster).unwrap());
    let frame = track::LocalFrame::at(ORIGIN.0, ORIGIN.1);
    for (column, row) in [
        (3_usize, 1_usize),
        (699, 0),
        (350, 299),
        (77, 123),
        (698, 298),
    ] {
        // a fifth of a cell off its south-west corner: 40 cm, where frame and map grid are at most 20 cm apart
        let (longitude, latitude) = frame.degrees(
            raster.corner.0 + (column as f64 + 0.2) * 2.0,
            raster.corner.1 + (row as f64 + 0.2) * 2.0,
        );
        let (longitude, latitude) = (format!("{longitude:.10}"), format!("{latitude:.10}"));
        let words = ["-wgs84", "-valonly", &file, &longitude, &latitude];
        let Some(text) = gdal("gdallocationinfo", &words) else {
            return;
        };
        let values: Vec<f64> = text
            .lines()
            .map(|line| line.trim().parse().unwrap())
            .collect();
        assert_eq!(values, [(row * 700 + column) as f64, column as f64]);
    }
}

#[test]
fn overviews_are_means_of_what_is_told() {
    let room = tempfile::tempdir().unwrap();
    let file = write(room.path(), "map.tif", &geotiff(&some()).unwrap());
    // cells (0, 0), (1, 0), (0, 1), (1, 1) from the north-west; the northmost row begins with cell 299 x 700
    let words = ["-overview", "1", "-valonly", "-b", "1", &file, "0", "0"];
    let Some(text) = gdal("gdallocationinfo", &words) else {
        return;
    };
    let told: Vec<f64> = [209_300.0, 209_301.0, 208_600.0, 208_601.0]
        .into_iter()
        .filter(|cell| cell % 1_000.0 != 0.0)
        .collect();
    let mean = told.iter().sum::<f64>() / told.len() as f64;
    let value: f64 = text.trim().parse().unwrap();
    assert!((value - mean).abs() < 0.02, "{value} {mean}");
}

#[test]
fn gdal_opens_a_png_and_pixels_are_as_given() {
    let room = tempfile::tempdir().unwrap();
    let pixels: Vec<[u8; 4]> = (0..12_u8).map(|i| [i, 10 * i, 200, 255 - i]).collect();
    let bytes = png(4, 3, &pixels).unwrap();
    assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n") && bytes.ends_with(b"IEND\xaeB`\x82"));
    let file = write(room.path(), "map.png", &bytes);
    for (column, row) in [(0, 0), (3, 0), (1, 2)] {
        let words = ["-valonly", &file, &column.to_string(), &row.to_string()];
        let Some(text) = gdal("gdallocationinfo", &words) else {
            return;
        };
        let values: Vec<u8> = text
            .lines()
            .map(|line| line.trim().parse().unwrap())
            .collect();
        assert_eq!(values, pixels[row * 4 + column]);
    }
}

#[test]
fn what_is_no_map_is_refused() {
    let mut raster = some();
    raster.bands[1].values.pop();
    assert!(
        geotiff(&raster)
            .unwrap_err()
            .to_string()
            .contains("one a cell")
    );
    raster.bands.clear();
    assert!(geotiff(&raster).is_err());
    assert!(png(2, 2, &[[0; 4]; 3]).is_err() && png(0, 0, &[]).is_err());
}
