//! Outlines with attributes in a GeoPackage (OGC 12-128r18, version 1.2): one SQLite file that any
//! map program opens.
//!
//! [`write()`] makes a new file with one layer of MultiPolygons in WGS 84 degrees (EPSG:4326) and text
//! and real attributes. [`read`] opens a foreign file read-only, defensive, with its schema untrusted,
//! and returns the polygon layers; a feature that cannot be used is a finding.
//!
//! Limitations: the tables were checked against the standard from memory, and the written file against
//! an independent reader (`reference/geopackage`). Other kinds of geometry, other coordinate systems and
//! spatial indexes are not handled.

pub(crate) mod blob;
pub(crate) mod reading;
mod writing;

pub use reading::{FeatureFinding, Layer, read};
pub use writing::write;

use crate::geojson::Shape;

/// "GPKG" in ASCII: what a GeoPackage says it is in its header.
const APPLICATION_ID: i32 = 0x4750_4B47;
/// Version 1.2.0, as the standard writes it.
const USER_VERSION: i32 = 10_200;
/// WGS 84, degrees.
const WGS_84: i32 = 4326;

/// One outline and what is known of it; every feature of a layer has the same columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    /// The outline.
    pub shape: Shape,
    /// Text columns: name and value.
    pub text: Vec<(String, String)>,
    /// Number columns: name and value.
    pub real: Vec<(String, f64)>,
}

/// A name as an SQL identifier.
pub(crate) fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

/// Columns after the first: each with a comma before it.
pub(crate) fn joined(columns: impl Iterator<Item = String>) -> String {
    columns.fold(String::new(), |all, column| all + ", " + &column)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geojson::Corner;

    fn ring(west: f64, south: f64, side: f64) -> Vec<Corner> {
        let (east, north) = (west + side, south + side);
        vec![
            [west, south],
            [east, south],
            [east, north],
            [west, north],
            [west, south],
        ]
    }

    fn features() -> Vec<Feature> {
        let one = |name: &str, west: f64, acres: f64, polygons: Vec<Vec<Vec<Corner>>>| Feature {
            shape: Shape::new(polygons).unwrap(),
            text: vec![
                ("name".into(), name.into()),
                ("we\"ird".into(), format!("{west}")),
            ],
            real: vec![("measured_ac".into(), acres)],
        };
        vec![
            one(
                "creek",
                -93.9,
                40.5,
                vec![vec![ring(-93.9, 43.9, 0.01), ring(-93.898, 43.902, 0.002)]],
            ),
            one(
                "bench, \"far\"",
                -93.8,
                0.1 + 0.2,
                vec![vec![ring(-93.8, 43.9, 0.01)], vec![ring(-93.7, 43.9, 0.01)]],
            ),
        ]
    }

    #[test]
    fn what_is_written_is_read_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("fields.gpkg");
        write(&path, "fields", &features()).unwrap();
        let layers = read(&path).unwrap();
        assert_eq!(layers.len(), 1);
        assert_eq!(
            (layers[0].name.as_str(), &layers[0].features),
            ("fields", &features())
        );
        assert!(layers[0].findings.is_empty());
        // a file that is there is never written over
        let error = write(&path, "fields", &features()).unwrap_err().to_string();
        assert!(error.contains("already"), "{error}");
        let empty = folder.path().join("empty.gpkg");
        write(&empty, "fields", &[]).unwrap();
        assert_eq!(read(&empty).unwrap()[0].features, []);
    }

    #[test]
    fn the_same_outlines_give_the_same_bytes() {
        let folder = tempfile::tempdir().unwrap();
        let bytes = ["a", "b"].map(|name| {
            let path = folder.path().join(name);
            write(&path, "fields", &features()).unwrap();
            std::fs::read(path).unwrap()
        });
        assert!(bytes[0] == bytes[1]);
    }

    #[test]
    fn columns_that_do_not_fit_are_refused_and_leave_no_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x.gpkg");
        let mut other = features();
        other[1].text.pop();
        assert!(
            write(&path, "fields", &other)
                .unwrap_err()
                .to_string()
                .contains("other columns")
        );
        let mut twice = features();
        for feature in &mut twice {
            feature.real.push(("NAME".into(), 1.0));
        }
        assert!(
            write(&path, "fields", &twice)
                .unwrap_err()
                .to_string()
                .contains("NAME")
        );
        assert!(write(&path, "gpkg_contents", &features()).is_err());
        assert!(!path.exists());
    }

    #[test]
    fn foreign_files_are_read_with_findings_or_refused() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("f.gpkg");
        std::fs::write(&path, "not a database at all, just text that goes on").unwrap();
        assert!(read(&path).is_err());
        assert!(read(&folder.path().join("absent")).is_err());
        let plain = folder.path().join("plain.sqlite");
        rusqlite::Connection::open(&plain)
            .unwrap()
            .execute_batch("create table t(x)")
            .unwrap();
        assert!(
            read(&plain)
                .unwrap_err()
                .to_string()
                .contains("not a GeoPackage")
        );

        let path = folder.path().join("fields.gpkg");
        write(&path, "fields", &features()).unwrap();
        let db = rusqlite::Connection::open(&path).unwrap();
        db.execute_batch(
            "insert into fields(name, geom) values ('blob', x'47500003'), ('none', null), ('text', 'hello');
             update fields set geom = substr(geom, 1, length(geom) - 8) where fid = 2;",
        )
        .unwrap();
        drop(db);
        let layers = read(&path).unwrap();
        assert_eq!(layers[0].features.len(), 1);
        assert_eq!(
            layers[0].findings.iter().map(|f| f.fid).collect::<Vec<_>>(),
            [2, 3, 4, 5]
        );

        // a view in place of a table may run anything: it is not read
        let db = rusqlite::Connection::open(&path).unwrap();
        db.execute_batch("alter table fields rename to inner_fields; create view fields as select * from inner_fields;").unwrap();
        drop(db);
        assert!(
            read(&path)
                .unwrap_err()
                .to_string()
                .contains("not a plain table")
        );
    }
}
