//! Polygon layers of somebody else's file.

use super::{APPLICATION_ID, Feature, WGS_84, blob, joined, quoted};
use crate::FormatError;
use rusqlite::config::DbConfig;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags, OptionalExtension};
use std::path::Path;

/// "GP10": how version 1.0 said what it is.
const OLD_APPLICATION_ID: i32 = 0x4750_3130;
/// Largest geometry, bytes: a million corners.
const MOST_BYTES: usize = 32 << 20;
/// Most features of one layer.
const MOST_FEATURES: usize = 1_000_000;

/// One polygon layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Its name.
    pub name: String,
    /// Features that can be used; features + findings = rows of the table.
    pub features: Vec<Feature>,
    /// Features set aside.
    pub findings: Vec<FeatureFinding>,
}

/// A feature that was set aside, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct FeatureFinding {
    /// Its row id.
    pub fid: i64,
    /// What was found and expected.
    pub what: String,
}

fn malformed(found: String, expected: &str) -> FormatError {
    FormatError::Malformed {
        found,
        expected: expected.into(),
    }
}

/// Reads the polygon layers in WGS 84 degrees. The file is opened read-only and defensive, its schema
/// is not trusted, and only plain tables are read (a view could run anything).
///
/// # Errors
/// A file that is no GeoPackage, has no polygon layer, has one that is not a plain table or is in
/// another coordinate system, or is damaged.
pub fn read(path: &Path) -> Result<Vec<Layer>, FormatError> {
    let db = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX,
    )?;
    guard(&db)?;
    let mut layers = Vec::new();
    let mut listed = db.prepare(
        "SELECT table_name, column_name, srs_id FROM gpkg_geometry_columns
         WHERE upper(geometry_type_name) IN ('POLYGON', 'MULTIPOLYGON') ORDER BY table_name",
    )?;
    let mut rows = listed.query([])?;
    while let Some(row) = rows.next()? {
        let (table, column, srs): (String, String, i64) = (row.get(0)?, row.get(1)?, row.get(2)?);
        if srs != i64::from(WGS_84) {
            return Err(malformed(
                format!(
                    "the layer '{}' in the coordinate system {srs}",
                    short(&table)
                ),
                "4326 (WGS 84 degrees); save it again in that one",
            ));
        }
        plain_table(&db, &table)?;
        layers.push(layer(&db, &table, &column)?);
    }
    if layers.is_empty() {
        return Err(malformed(
            "no polygon layer".into(),
            "a layer of field outlines",
        ));
    }
    Ok(layers)
}

/// Distrusts the file, and refuses one that is no GeoPackage.
pub(crate) fn guard(db: &Connection) -> Result<(), FormatError> {
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    db.pragma_update(None, "cell_size_check", true)?;
    let id: i32 = db.pragma_query_value(None, "application_id", |row| row.get(0))?;
    if id != APPLICATION_ID && id != OLD_APPLICATION_ID {
        return Err(malformed(
            "an SQLite database that is not a GeoPackage".into(),
            "a GeoPackage",
        ));
    }
    plain_table(db, "gpkg_geometry_columns")
}

/// Refuses a view or a virtual table, which could run anything.
pub(crate) fn plain_table(db: &Connection, table: &str) -> Result<(), FormatError> {
    let sql: Option<Option<String>> = db
        .query_row(
            "SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = ?1 COLLATE NOCASE",
            [table],
            |row| row.get(0),
        )
        .optional()?;
    let plain = sql.flatten().is_some_and(|sql| {
        !sql.trim_start()
            .to_uppercase()
            .starts_with("CREATE VIRTUAL")
    });
    if plain {
        Ok(())
    } else {
        Err(malformed(
            format!("'{}', which is not a plain table", short(table)),
            "the tables of a GeoPackage",
        ))
    }
}

fn layer(db: &Connection, table: &str, geometry: &str) -> Result<Layer, FormatError> {
    let mut layer = Layer {
        name: table.to_string(),
        features: Vec::new(),
        findings: Vec::new(),
    };
    let attributes = attributes(db, table, geometry)?;
    let names = joined(attributes.iter().map(|(name, _)| quoted(name)));
    let mut select = db.prepare(&format!(
        "SELECT rowid, {}{names} FROM {} ORDER BY rowid",
        quoted(geometry),
        quoted(table)
    ))?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let fid: i64 = row.get(0)?;
        if layer.features.len() + layer.findings.len() >= MOST_FEATURES {
            return Err(malformed(
                format!("more than {MOST_FEATURES} features in '{}'", short(table)),
                "fewer",
            ));
        }
        let shape = match row.get_ref(1)? {
            ValueRef::Blob(bytes) if bytes.len() <= MOST_BYTES => {
                blob::decode(bytes).map_err(|why| why.to_string())
            }
            ValueRef::Blob(bytes) => Err(format!(
                "found a geometry of {} bytes, expected at most {MOST_BYTES}",
                bytes.len()
            )),
            _ => Err("found no geometry, expected a Polygon or MultiPolygon".to_string()),
        };
        let shape = match shape {
            Ok(shape) => shape,
            Err(what) => {
                layer.findings.push(FeatureFinding { fid, what });
                continue;
            }
        };
        let mut feature = Feature {
            shape,
            text: Vec::new(),
            real: Vec::new(),
        };
        for ((name, real), i) in attributes.iter().zip(2..) {
            match row.get_ref(i)? {
                ValueRef::Real(value) if *real => feature.real.push((name.clone(), value)),
                ValueRef::Integer(value) if *real => {
                    feature.real.push((name.clone(), value as f64));
                }
                ValueRef::Text(text) => feature
                    .text
                    .push((name.clone(), String::from_utf8_lossy(text).into_owned())),
                ValueRef::Real(value) => feature.text.push((name.clone(), value.to_string())),
                ValueRef::Integer(value) => feature.text.push((name.clone(), value.to_string())),
                ValueRef::Null | ValueRef::Blob(_) => {}
            }
        }
        layer.features.push(feature);
    }
    Ok(layer)
}

/// Names of the attribute columns, and whether each was declared a real number: the declaration
/// decides what a column is, so that an empty cell does not.
pub(crate) fn attributes(
    db: &Connection,
    table: &str,
    geometry: &str,
) -> Result<Vec<(String, bool)>, FormatError> {
    let mut listed = db.prepare("SELECT name, type FROM pragma_table_info(?1) ORDER BY cid")?;
    let mut rows = listed.query([table])?;
    let mut attributes = Vec::new();
    while let Some(row) = rows.next()? {
        let (name, kind): (String, String) = (row.get(0)?, row.get(1)?);
        if !name.eq_ignore_ascii_case(geometry) && !name.eq_ignore_ascii_case("fid") {
            attributes.push((
                name,
                ["REAL", "DOUBLE", "FLOAT"]
                    .iter()
                    .any(|real| kind.eq_ignore_ascii_case(real)),
            ));
        }
    }
    Ok(attributes)
}

fn short(name: &str) -> String {
    name.chars().take(40).flat_map(char::escape_debug).collect()
}
