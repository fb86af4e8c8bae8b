//! Writes the outlines of `reference/geopackage`: `cargo run -p stook-formats --example sample_geopackage FILE`.

use formats::geojson::parse;
use formats::geopackage::{Feature, write};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args().nth(1).ok_or("name the file to write")?;
    let outlines = [
        (
            "creek",
            r#"{"type":"Polygon","coordinates":[[[-93.9,43.9],[-93.89,43.9],[-93.89,43.91],[-93.9,43.91],[-93.9,43.9]],
                [[-93.898,43.902],[-93.896,43.902],[-93.896,43.904],[-93.898,43.904],[-93.898,43.902]]]}"#,
        ),
        (
            "bench, \"far\"",
            r#"{"type":"MultiPolygon","coordinates":[[[[-93.8,43.9],[-93.79,43.9],[-93.79,43.91],[-93.8,43.9]]],
                [[[-93.7,43.9],[-93.69,43.9],[-93.69,43.91],[-93.7,43.9]]]]}"#,
        ),
    ];
    let mut features = Vec::new();
    for (name, text) in outlines {
        let shape = parse(text)?;
        let acres = shape.area_m2() / track::M2_PER_AC;
        features.push(Feature {
            shape,
            text: vec![
                ("name".into(), name.into()),
                ("unit_number".into(), "0001".into()),
            ],
            real: vec![("measured_ac".into(), acres)],
        });
    }
    write(std::path::Path::new(&file), "fields", &features)?;
    Ok(())
}
