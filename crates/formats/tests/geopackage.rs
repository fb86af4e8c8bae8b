//! A file of ours that others read, and a file that another program wrote (`reference/geopackage`).

use formats::geopackage::{Layer, read};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

fn reference(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../reference/geopackage")
        .join(name)
}

/// A layer in the shape that the script prints.
fn as_printed(layers: &[Layer]) -> Value {
    let features = |layer: &Layer| -> Vec<Value> {
        let mut features = Vec::new();
        for (feature, fid) in layer.features.iter().zip(1..) {
            let mut value = json!({ "fid": fid, "geom": feature.shape.polygons() });
            for (name, text) in &feature.text {
                value[name] = json!(text);
            }
            for (name, real) in &feature.real {
                value[name] = json!(real);
            }
            features.push(value);
        }
        features
    };
    layers
        .iter()
        .map(|layer| json!({ "layer": layer.name, "features": features(layer) }))
        .collect()
}

#[test]
fn both_files_hold_what_an_independent_reader_found() {
    let text = std::fs::read_to_string(reference("expected.json")).unwrap();
    let expected: Value = serde_json::from_str(&text).unwrap();
    for name in ["fields.gpkg", "foreign.gpkg"] {
        let layers = read(&reference(name)).unwrap();
        assert!(
            layers.iter().all(|layer| layer.findings.is_empty()),
            "{name}"
        );
        assert_eq!(as_printed(&layers), expected, "{name}");
    }
}
