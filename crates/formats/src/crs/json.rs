//! Coordinate systems written as PROJJSON (the form of GeoParquet; PROJ's schema 0.7, from memory; tried on
//! files of another writer): turned into well-known text, which says the same in other words.

use serde_json::Value;

/// The same as well-known text; `None` for what has no such form here.
pub(super) fn as_text(system: &Value) -> Option<String> {
    let name = quoted(&system["name"]);
    match system["type"].as_str()? {
        "CompoundCRS" => system["components"]
            .get(0)
            .filter(|part| part["type"] != "CompoundCRS")
            .and_then(as_text),
        "GeographicCRS" => Some(format!(
            "GEOGCRS[{name},{},{}]",
            datum(system)?,
            unit(&system["coordinate_system"]["axis"][0]["unit"])?
        )),
        "ProjectedCRS" => {
            let (base, conversion) = (&system["base_crs"], &system["conversion"]);
            let parameters: Option<Vec<String>> = conversion["parameters"]
                .as_array()?
                .iter()
                .map(|told| {
                    let (name, unit) = (quoted(&told["name"]), unit(&told["unit"])?);
                    Some(format!(",PARAMETER[{name},{},{unit}]", told["value"]))
                })
                .collect();
            let parameters = parameters?.concat();
            Some(format!(
                "PROJCRS[{name},BASEGEOGCRS[{},{}],CONVERSION[{},METHOD[{}]{parameters}],{}]",
                quoted(&base["name"]),
                datum(base)?,
                quoted(&conversion["name"]),
                quoted(&conversion["method"]["name"]),
                unit(&system["coordinate_system"]["axis"][0]["unit"])?
            ))
        }
        _ => None,
    }
}

fn quoted(text: &Value) -> String {
    format!("\"{}\"", text.as_str().unwrap_or("").replace('"', "\"\""))
}

fn datum(system: &Value) -> Option<String> {
    let datum = [&system["datum"], &system["datum_ensemble"]]
        .into_iter()
        .find(|datum| datum.is_object())?;
    let figure = &datum["ellipsoid"];
    let meridian = match &datum["prime_meridian"]["longitude"] {
        Value::Null => String::new(),
        longitude => format!(
            ",PRIMEM[{},{longitude}]",
            quoted(&datum["prime_meridian"]["name"])
        ),
    };
    Some(format!(
        "DATUM[{},ELLIPSOID[{},{},{}]]{meridian}",
        quoted(&datum["name"]),
        quoted(&figure["name"]),
        figure["semi_major_axis"],
        figure["inverse_flattening"]
    ))
}

fn unit(told: &Value) -> Option<String> {
    Some(match told.as_str() {
        Some("metre") => "LENGTHUNIT[\"metre\",1]".into(),
        Some("degree") => "ANGLEUNIT[\"degree\",0.0174532925199433]".into(),
        Some("unity") => "SCALEUNIT[\"unity\",1]".into(),
        Some(_) => return None,
        None => {
            let kind = match told["type"].as_str()? {
                "LinearUnit" => "LENGTHUNIT",
                "AngularUnit" => "ANGLEUNIT",
                "ScaleUnit" => "SCALEUNIT",
                _ => return None,
            };
            format!(
                "{kind}[{},{}]",
                quoted(&told["name"]),
                told["conversion_factor"]
            )
        }
    })
}
