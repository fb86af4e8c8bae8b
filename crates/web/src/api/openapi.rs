//! The description of what programs can ask for: OpenAPI 3.1, written by hand beside the routes.

use crate::House;
use axum::routing::get;
use axum::{Json, Router};
use serde_json::Value;
use std::sync::LazyLock;

/// The description, with this program's version in it.
pub(crate) static DESCRIPTION: LazyLock<Value> = LazyLock::new(|| {
    let mut all: Value = serde_json::from_str(include_str!("openapi.json"))
        .expect("api/openapi.json is JSON, tested");
    all["info"]["version"] = env!("CARGO_PKG_VERSION").into();
    all
});

/// What a reference within the description means; anything else is itself.
pub(crate) fn meant(value: &Value) -> &Value {
    value["$ref"]
        .as_str()
        .and_then(|reference| DESCRIPTION.pointer(reference.strip_prefix('#')?))
        .unwrap_or(value)
}

async fn openapi() -> Json<Value> {
    Json(DESCRIPTION.clone())
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/api/openapi.json", get(openapi))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::door::routes::{ROUTES, find};
    use axum::http::Method;
    use std::collections::BTreeSet;

    /// Method and path of every operation that is described.
    fn described() -> BTreeSet<(String, String)> {
        let paths = DESCRIPTION["paths"].as_object().unwrap();
        paths
            .iter()
            .flat_map(|(path, methods)| {
                methods
                    .as_object()
                    .unwrap()
                    .keys()
                    .map(|method| (method.to_uppercase(), path.clone()))
            })
            .collect()
    }

    #[test]
    fn every_route_for_programs_is_described_and_no_other() {
        let routes: BTreeSet<(String, String)> = ROUTES
            .iter()
            .filter(|route| {
                let path = route.path;
                path.starts_with("/api/") || path.starts_with("/photographs/")
            })
            .map(|route| (route.method.to_string(), route.path.to_owned()))
            .collect();
        assert_eq!(described(), routes);
    }

    fn references<'v>(value: &'v Value, out: &mut Vec<&'v str>) {
        match value {
            Value::Object(map) => {
                out.extend(map.get("$ref").and_then(Value::as_str));
                map.values().for_each(|value| references(value, out));
            }
            Value::Array(list) => list.iter().for_each(|value| references(value, out)),
            _ => {}
        }
    }

    #[test]
    fn every_reference_is_there_and_every_operation_says_what_it_gives() {
        let mut all = Vec::new();
        references(&DESCRIPTION, &mut all);
        assert!(!all.is_empty());
        for reference in all {
            let there = DESCRIPTION.pointer(reference.strip_prefix('#').unwrap());
            assert!(there.is_some(), "{reference}");
        }
        let mut names = BTreeSet::new();
        for (method, path) in described() {
            let one = &DESCRIPTION["paths"][&path][method.to_lowercase()];
            assert!(one["summary"].is_string(), "{path}");
            assert!(names.insert(one["operationId"].as_str().unwrap()), "{path}");
            // each `{part}` of the path is a parameter, and each parameter in the path is a part
            let parts: BTreeSet<&str> = path
                .split('/')
                .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
                .collect();
            let named: BTreeSet<&str> = one["parameters"]
                .as_array()
                .into_iter()
                .flatten()
                .map(meant)
                .filter(|parameter| parameter["in"] == "path")
                .map(|parameter| parameter["name"].as_str().unwrap())
                .collect();
            assert_eq!(parts, named, "{path}");
            let method: Method = method.parse().unwrap();
            assert!(find(&method, &path).is_some(), "{path}");
        }
    }

    fn texts<'v>(value: &'v Value, out: &mut Vec<&'v str>) {
        match value {
            Value::Object(map) => {
                for key in ["summary", "description"] {
                    out.extend(map.get(key).and_then(Value::as_str));
                }
                map.values().for_each(|value| texts(value, out));
            }
            Value::Array(list) => list.iter().for_each(|value| texts(value, out)),
            _ => {}
        }
    }

    #[test]
    fn what_the_page_shows_of_it_is_said_in_spanish_too() {
        let mut all = Vec::new();
        texts(&DESCRIPTION["paths"], &mut all);
        texts(&DESCRIPTION["components"]["parameters"], &mut all);
        texts(&DESCRIPTION["components"]["responses"], &mut all);
        all.extend(DESCRIPTION["info"]["description"].as_str());
        all.extend(DESCRIPTION["components"]["securitySchemes"]["session"]["description"].as_str());
        // what a body holds is not shown
        let body = "JPEG, PNG or WebP, at most 6 MB.";
        let missing: Vec<&str> = all
            .into_iter()
            .filter(|text| *text != body && !crate::text::spanish().contains_key(*text))
            .collect();
        assert!(missing.is_empty(), "{missing:#?}");
    }

    #[test]
    fn what_phones_may_write_is_what_the_desk_takes() {
        let kinds = DESCRIPTION["components"]["schemas"]["Written"]["properties"]["kind"]["enum"]
            .as_array()
            .unwrap();
        let kinds: Vec<&str> = kinds.iter().map(|kind| kind.as_str().unwrap()).collect();
        assert_eq!(kinds, desk::sync::KINDS);
    }
}
