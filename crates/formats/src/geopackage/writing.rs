//! A new file with one layer of outlines.

use super::{APPLICATION_ID, Feature, USER_VERSION, WGS_84, blob, joined, quoted};
use crate::FormatError;
use rusqlite::{Connection, ToSql, params};
use std::path::Path;

/// The three tables that every GeoPackage with features has.
const TABLES: &str = "
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT
);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE,
  min_y DOUBLE,
  max_x DOUBLE,
  max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);
INSERT INTO gpkg_spatial_ref_sys VALUES
  ('Undefined Cartesian', -1, 'NONE', -1, 'undefined', 'undefined Cartesian coordinate reference system'),
  ('Undefined geographic', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system'),
  ('WGS 84', 4326, 'EPSG', 4326,
   'GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS 84\",6378137,298.257223563,AUTHORITY[\"EPSG\",\"7030\"]],AUTHORITY[\"EPSG\",\"6326\"]],PRIMEM[\"Greenwich\",0,AUTHORITY[\"EPSG\",\"8901\"]],UNIT[\"degree\",0.0174532925199433,AUTHORITY[\"EPSG\",\"9122\"]],AUTHORITY[\"EPSG\",\"4326\"]]',
   'longitude and latitude in degrees on the WGS 84 ellipsoid');
";

/// What stands for "when it was changed": the writer asks no clock, so that the same outlines give
/// the same bytes.
const NO_CLOCK: &str = "1970-01-01T00:00:00.000Z";

fn malformed(found: String, expected: &str) -> FormatError {
    FormatError::Malformed {
        found,
        expected: expected.into(),
    }
}

/// Writes a new file with one layer. Either the whole file is there afterwards, or none.
///
/// # Errors
/// A file that is already there, features whose columns differ, a name that the format keeps for
/// itself, or SQLite's own.
pub fn write(path: &Path, layer: &str, features: &[Feature]) -> Result<(), FormatError> {
    let columns = columns(layer, features)?;
    if path.exists() {
        return Err(malformed(
            "a file that is already there".into(),
            "a new name; nothing was written",
        ));
    }
    let written = fill(path, layer, features, &columns);
    if written.is_err() {
        // the half-made file is ours: it was not there before
        let _ = std::fs::remove_file(path);
    }
    written
}

/// Column names and SQL types; every feature must have the same.
fn columns(layer: &str, features: &[Feature]) -> Result<Vec<(String, &'static str)>, FormatError> {
    let lower = layer.to_lowercase();
    if layer.is_empty()
        || ["gpkg_", "sqlite_", "rtree_"]
            .iter()
            .any(|own| lower.starts_with(own))
    {
        return Err(malformed(
            format!("the layer name '{layer}'"),
            "a name such as fields",
        ));
    }
    let of = |feature: &Feature| -> Vec<(String, &'static str)> {
        let text = feature.text.iter().map(|(name, _)| (name.clone(), "TEXT"));
        text.chain(feature.real.iter().map(|(name, _)| (name.clone(), "REAL")))
            .collect()
    };
    let columns = features.first().map(of).unwrap_or_default();
    if let Some(other) = features.iter().position(|feature| of(feature) != columns) {
        return Err(malformed(
            format!("other columns in feature {} than in the first", other + 1),
            "the same in all",
        ));
    }
    let mut taken = vec!["fid".to_string(), "geom".to_string()];
    for (name, _) in &columns {
        let lower = name.to_lowercase();
        if lower.is_empty() || name.contains('\0') || taken.contains(&lower) {
            return Err(malformed(
                format!("the column name '{name}'"),
                "a name that is not fid, geom or used before",
            ));
        }
        taken.push(lower);
    }
    Ok(columns)
}

fn fill(
    path: &Path,
    layer: &str,
    features: &[Feature],
    columns: &[(String, &str)],
) -> Result<(), FormatError> {
    let mut db = Connection::open(path)?;
    db.pragma_update(None, "application_id", APPLICATION_ID)?;
    db.pragma_update(None, "user_version", USER_VERSION)?;
    let step = db.transaction()?;
    step.execute_batch(TABLES)?;
    let table = quoted(layer);
    let listed = joined(
        columns
            .iter()
            .map(|(name, kind)| format!("{} {kind}", quoted(name))),
    );
    step.execute_batch(&format!(
        "CREATE TABLE {table} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom MULTIPOLYGON{listed})"
    ))?;
    let [west, east, south, north] = bounds(features);
    step.execute(
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, last_change, min_x, min_y, max_x, max_y, srs_id)
         VALUES (?1, 'features', ?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        params![layer, NO_CLOCK, west, south, east, north, WGS_84],
    )?;
    step.execute(
        "INSERT INTO gpkg_geometry_columns VALUES (?1, 'geom', 'MULTIPOLYGON', ?2, 0, 0)",
        params![layer, WGS_84],
    )?;
    {
        let names = joined(columns.iter().map(|(name, _)| quoted(name)));
        let marks = ", ?".repeat(columns.len());
        let mut insert = step.prepare(&format!(
            "INSERT INTO {table} (geom{names}) VALUES (?{marks})"
        ))?;
        for feature in features {
            let geometry = blob::encode(&feature.shape);
            let mut values: Vec<&dyn ToSql> = vec![&geometry];
            values.extend(feature.text.iter().map(|(_, value)| value as &dyn ToSql));
            values.extend(feature.real.iter().map(|(_, value)| value as &dyn ToSql));
            insert.execute(values.as_slice())?;
        }
    }
    step.commit()?;
    db.close().map_err(|(_, why)| why)?;
    Ok(())
}

/// Bounds of a layer; nothing when it is empty.
fn bounds(features: &[Feature]) -> [Option<f64>; 4] {
    let all = features.iter().map(|feature| feature.shape.bounds());
    all.reduce(|a, b| {
        [
            a[0].min(b[0]),
            a[1].max(b[1]),
            a[2].min(b[2]),
            a[3].max(b[3]),
        ]
    })
    .map_or([None; 4], |bounds| bounds.map(Some))
}
