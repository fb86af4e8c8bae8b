//! GeoJSON: features one after another, never all at once.
//!
//! Read twice: first for the names of the properties and the old `crs` member, which may stand at the
//! end, then for the features.

use super::{Geometry, Head, Taker, check_columns, number, of_file, refuse};
use crate::FormatError;
use crate::crs::Crs;
use crate::geojson::{Corner, Polygon};
use serde::Deserialize;
use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::fmt;

const WANTED: &str = "a GeoJSON FeatureCollection";

pub(super) fn read(bytes: &[u8], file: &str, taker: &mut dyn Taker) -> Result<(), FormatError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut names = Names::default();
    let head = pass(bytes, file, &mut |feature| {
        for key in feature.properties.iter().flat_map(Map::keys) {
            names.add(key);
        }
        Ok(())
    })?;
    // one feature or one geometry alone is a collection of one
    let alone = match head.kind.as_deref() {
        Some("Feature") => Some((r#"{"type":"FeatureCollection","features":["#, "]}")),
        Some("Point" | "MultiPoint" | "Polygon" | "MultiPolygon") => Some((
            r#"{"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":"#,
            "}]}",
        )),
        _ => None,
    };
    if let (Some((before, after)), None) = (alone, &head.crs) {
        let whole = [before.as_bytes(), bytes, after.as_bytes()].concat();
        return read(&whole, file, taker);
    }
    if head.kind.as_deref() != Some("FeatureCollection") {
        let found = head.kind.map_or_else(
            || "JSON without a type".to_owned(),
            |kind| format!("JSON of the type '{}'", crate::crs::short(&kind)),
        );
        return Err(refuse(file, found, WANTED));
    }
    check_columns(file, names.order.len())?;
    let crs = match &head.crs {
        None | Some(Value::Null) => Crs::wgs_84(),
        Some(told) => match told["properties"]["name"].as_str() {
            Some(name) if told["type"] == "name" => {
                Crs::named(name).map_err(|why| of_file(file, why))?
            }
            _ => {
                return Err(refuse(
                    file,
                    "a crs member that is not a name",
                    "none, or one like EPSG:4326; save it again in longitude and latitude (EPSG:4326)",
                ));
            }
        },
    };
    let mut cells = vec![String::new(); names.order.len()];
    taker.begin(Head {
        name: head.name.unwrap_or_default(),
        crs,
        columns: std::mem::take(&mut names.order),
    })?;
    pass(bytes, file, &mut |feature| {
        cells.iter_mut().for_each(String::clear);
        for (key, value) in feature.properties.iter().flatten() {
            if let Some(at) = names.known.get(key) {
                write(value, &mut cells[*at]);
            }
        }
        let geometry = feature.geometry.as_ref().map_or(Geometry::None, geometry);
        taker.feature(geometry, &cells)
    })?;
    Ok(())
}

/// Names of properties as features bring them, those of one feature by the alphabet.
#[derive(Default)]
struct Names {
    order: Vec<String>,
    known: BTreeMap<String, usize>,
}

impl Names {
    fn add(&mut self, name: &str) {
        if !self.known.contains_key(name) {
            self.known.insert(name.to_owned(), self.order.len());
            self.order.push(name.to_owned());
        }
    }
}

fn write(value: &Value, cell: &mut String) {
    match value {
        Value::Null | Value::Array(_) | Value::Object(_) => {}
        Value::Bool(value) => cell.push_str(if *value { "true" } else { "false" }),
        Value::String(text) => cell.push_str(text),
        Value::Number(value) if value.is_f64() => {
            *cell = value.as_f64().map(number).unwrap_or_default();
        }
        Value::Number(value) => *cell = value.to_string(),
    }
}

fn geometry(told: &Told) -> Geometry {
    let broken = || {
        Geometry::Other(format!(
            "a {} without its numbers",
            crate::crs::short(&told.kind)
        ))
    };
    let at = &told.coordinates;
    match told.kind.as_str() {
        "Point" => position(at).map_or(Geometry::None, Geometry::Point),
        "MultiPoint" => match at.as_array().map(Vec::as_slice) {
            Some([one]) => position(one).map_or_else(broken, Geometry::Point),
            _ => Geometry::Other("a MultiPoint".into()),
        },
        "Polygon" => polygon(at).map_or_else(broken, |one| Geometry::Polygons(vec![one])),
        "MultiPolygon" => at
            .as_array()
            .and_then(|all| all.iter().map(polygon).collect())
            .map_or_else(broken, Geometry::Polygons),
        other => Geometry::Other(format!("a {}", crate::crs::short(other))),
    }
}

fn position(value: &Value) -> Option<Corner> {
    match value.as_array()?.as_slice() {
        [x, y, ..] => Some([x.as_f64()?, y.as_f64()?]),
        _ => None,
    }
}

fn polygon(value: &Value) -> Option<Polygon> {
    value
        .as_array()?
        .iter()
        .map(|ring| ring.as_array()?.iter().map(position).collect())
        .collect()
}

#[derive(Deserialize)]
struct Feature {
    #[serde(default)]
    geometry: Option<Told>,
    #[serde(default)]
    properties: Option<Map<String, Value>>,
}

#[derive(Deserialize)]
struct Told {
    #[serde(rename = "type", default)]
    kind: String,
    #[serde(default)]
    coordinates: Value,
}

/// What stands beside the features.
#[derive(Default)]
struct Beside {
    kind: Option<String>,
    name: Option<String>,
    crs: Option<Value>,
}

type Each<'a> = &'a mut dyn FnMut(Feature) -> Result<(), FormatError>;

/// Goes through the file once.
fn pass(bytes: &[u8], file: &str, each: Each<'_>) -> Result<Beside, FormatError> {
    let mut stopped = None;
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let read = Collection {
        each,
        stopped: &mut stopped,
    }
    .deserialize(&mut reader)
    .and_then(|head| reader.end().map(|()| head));
    match (read, stopped) {
        (_, Some(why)) => Err(why),
        (Ok(head), None) => Ok(head),
        (Err(why), None) => Err(refuse(
            file,
            format!("text that is not GeoJSON ({why})"),
            "a GeoJSON FeatureCollection; if it breaks off, copy it again",
        )),
    }
}

struct Collection<'a, 'b> {
    each: Each<'a>,
    stopped: &'b mut Option<FormatError>,
}

impl<'de> DeserializeSeed<'de> for Collection<'_, '_> {
    type Value = Beside;
    fn deserialize<D: Deserializer<'de>>(self, input: D) -> Result<Beside, D::Error> {
        input.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Collection<'_, '_> {
    type Value = Beside;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(WANTED)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Beside, A::Error> {
        let mut head = Beside::default();
        while let Some(key) = map.next_key::<String>()? {
            match key.as_str() {
                "type" => head.kind = map.next_value::<Value>()?.as_str().map(str::to_owned),
                "name" => head.name = map.next_value::<Value>()?.as_str().map(str::to_owned),
                "crs" => head.crs = Some(map.next_value()?),
                "features" => map.next_value_seed(Features {
                    each: &mut *self.each,
                    stopped: &mut *self.stopped,
                })?,
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(head)
    }
}

struct Features<'a, 'b> {
    each: Each<'a>,
    stopped: &'b mut Option<FormatError>,
}

impl<'de> DeserializeSeed<'de> for Features<'_, '_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, input: D) -> Result<(), D::Error> {
        input.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for Features<'_, '_> {
    type Value = ();

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("a list of features")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        while let Some(feature) = list.next_element::<Feature>()? {
            if let Err(why) = (self.each)(feature) {
                *self.stopped = Some(why);
                return Err(serde::de::Error::custom("stopped"));
            }
        }
        Ok(())
    }
}
