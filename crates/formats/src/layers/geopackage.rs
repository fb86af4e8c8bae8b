//! The layer of a GeoPackage that is asked for, out of a copy in memory.

use super::{Geometry, Head, Taker, Want, check_columns, number, of_file, refuse, wkb};
use crate::FormatError;
use crate::crs::Crs;
use crate::geopackage::{blob, reading};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, MAIN_DB, OptionalExtension};

/// Where the header says how the file is written: 2 is a log beside it, which a copy in memory has not.
const WRITTEN_AS: std::ops::Range<usize> = 18..20;
/// Largest geometry, bytes: a million corners.
const MOST_GEOMETRY: usize = 32 << 20;

/// Kinds of geometry by the name that a layer says, for each want.
fn kinds(want: Want) -> &'static [&'static str] {
    match want {
        Want::Points => &["POINT", "MULTIPOINT"],
        Want::Polygons => &[
            "POLYGON",
            "MULTIPOLYGON",
            "CURVEPOLYGON",
            "MULTISURFACE",
            "SURFACE",
        ],
    }
}

pub(super) fn read(
    bytes: &[u8],
    file: &str,
    want: Want,
    taker: &mut dyn Taker,
) -> Result<(), FormatError> {
    let refused = |why: FormatError| match why {
        FormatError::Sqlite(why) => refuse(
            file,
            format!("a GeoPackage that cannot be read ({why})"),
            "a whole one; copy it again",
        ),
        other => of_file(file, other),
    };
    let db = open(bytes).map_err(refused)?;
    let layer = chosen(&db, file, want).map_err(refused)?;
    reading::plain_table(&db, &layer.table).map_err(refused)?;
    let columns: Vec<String> = reading::attributes(&db, &layer.table, &layer.column)
        .map_err(refused)?
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    check_columns(file, columns.len())?;
    taker.begin(Head {
        name: layer.table.clone(),
        crs: crs(&db, layer.srs).map_err(refused)?,
        columns: columns.clone(),
    })?;
    let mut cells = vec![String::new(); columns.len()];
    let sql = select(&layer, &columns);
    let mut select = db.prepare(&sql).map_err(|why| refused(why.into()))?;
    let mut rows = select.query([]).map_err(|why| refused(why.into()))?;
    let mut count = 0_u64;
    loop {
        let row = match rows.next() {
            Ok(Some(row)) => row,
            Ok(None) => return Ok(()),
            Err(why) if count == 0 => return Err(refused(why.into())),
            Err(why) => {
                taker.cut_short(format!(
                    "the GeoPackage cannot be read after {count} rows ({why}); copy it again"
                ));
                return Ok(());
            }
        };
        count += 1;
        let told = row.get_ref(0).map_err(|why| refused(why.into()))?;
        for (i, cell) in cells.iter_mut().enumerate() {
            cell.clear();
            match row.get_ref(i + 1).map_err(|why| refused(why.into()))? {
                ValueRef::Text(text) => cell.push_str(&String::from_utf8_lossy(text)),
                ValueRef::Integer(value) => *cell = value.to_string(),
                ValueRef::Real(value) => *cell = number(value),
                ValueRef::Null | ValueRef::Blob(_) => {}
            }
        }
        taker.feature(geometry(told, layer.srs), &cells)?;
    }
}

/// Opens a copy in memory, distrusted.
fn open(bytes: &[u8]) -> Result<Connection, FormatError> {
    let mut bytes = bytes.to_vec();
    if let Some(written_as) = bytes.get_mut(WRITTEN_AS) {
        written_as.fill(1);
    }
    let mut db = Connection::open_in_memory()?;
    db.deserialize_read_exact(MAIN_DB, bytes.as_slice(), bytes.len(), true)?;
    reading::guard(&db)?;
    reading::plain_table(&db, "gpkg_spatial_ref_sys")?;
    Ok(db)
}

struct Layer {
    table: String,
    column: String,
    srs: i64,
}

/// The one layer of the kind asked for; a layer that does not say its kind may be it.
fn chosen(db: &Connection, file: &str, want: Want) -> Result<Layer, FormatError> {
    let mut listed = db.prepare(
        "SELECT table_name, column_name, srs_id, upper(geometry_type_name) FROM gpkg_geometry_columns ORDER BY table_name LIMIT 1000",
    )?;
    let mut rows = listed.query([])?;
    let (mut sure, mut possible, mut others) = (Vec::new(), Vec::new(), Vec::new());
    while let Some(row) = rows.next()? {
        let layer = Layer {
            table: row.get(0)?,
            column: row.get(1)?,
            srs: row.get(2)?,
        };
        let kind: String = row.get(3)?;
        if kinds(want).contains(&kind.as_str()) {
            sure.push(layer);
        } else if kind == "GEOMETRY" {
            possible.push(layer);
        } else {
            others.push(format!("{} ({})", layer.table, kind.to_lowercase()));
        }
    }
    let found = if sure.is_empty() { possible } else { sure };
    let names = |layers: &[String]| crate::crs::short(&layers.join(", "));
    match <[Layer; 1]>::try_from(found) {
        Ok([layer]) => Ok(layer),
        Err(none) if none.is_empty() => Err(refuse(
            file,
            format!(
                "a GeoPackage without a layer of {} ({})",
                want.word(),
                names(&others)
            ),
            format!("one layer of {}", want.word()),
        )),
        Err(several) => {
            let listed: Vec<String> = several.into_iter().map(|layer| layer.table).collect();
            Err(refuse(
                file,
                format!(
                    "{} layers of {} ({})",
                    listed.len(),
                    want.word(),
                    names(&listed)
                ),
                "one; save the one that you mean as a file of its own",
            ))
        }
    }
}

fn select(layer: &Layer, columns: &[String]) -> String {
    use crate::geopackage::{joined, quoted};
    let names = joined(columns.iter().map(|name| quoted(name)));
    format!(
        "SELECT {}{names} FROM {} ORDER BY rowid",
        quoted(&layer.column),
        quoted(&layer.table)
    )
}

/// The coordinate system by its number, else by its text.
fn crs(db: &Connection, srs: i64) -> Result<Crs, FormatError> {
    // 0 and -1 are what nobody said
    if srs == 0 || srs == -1 {
        return Ok(Crs::unsaid());
    }
    let told: Option<(String, i64, String)> = db
        .query_row(
            "SELECT organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys WHERE srs_id = ?1",
            [srs],
            |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
        )
        .optional()?;
    let (organization, code, definition) = told.ok_or_else(|| FormatError::Malformed {
        found: format!("the coordinate system {srs}, which the file does not describe"),
        expected: "one that it describes; save it again in longitude and latitude (EPSG:4326)"
            .into(),
    })?;
    if organization.eq_ignore_ascii_case("EPSG")
        && let Ok(known) = Crs::epsg(code)
    {
        return Ok(known);
    }
    Crs::wkt(&definition)
}

fn geometry(told: ValueRef<'_>, srs: i64) -> Geometry {
    let bytes = match told {
        ValueRef::Blob(bytes) if bytes.len() <= MOST_GEOMETRY => bytes,
        ValueRef::Blob(_) => return Geometry::Other("a geometry of more than 32 MB".into()),
        _ => return Geometry::None,
    };
    match blob::parts(bytes) {
        Err(_) if bytes.get(3).is_some_and(|flags| flags & 0b0001_0000 != 0) => Geometry::None,
        Err(found) => Geometry::Other(found),
        Ok((own, _)) if i64::from(own) != srs && !matches!(own, 0 | -1) => Geometry::Other(
            format!("a geometry in the coordinate system {own} in a layer of {srs}"),
        ),
        Ok((_, binary)) => wkb::geometry(binary)
            .unwrap_or_else(|| Geometry::Other("a geometry that breaks off".into())),
    }
}
