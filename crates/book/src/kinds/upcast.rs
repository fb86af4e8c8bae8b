//! From older payload versions to the current one: pure steps, one a version, never edited once
//! published. Each old version has a sample in `samples/` that is read forever.

use serde_json::Value;

/// Raises a payload of an older version step by step. Versions that never were are refused.
pub(super) fn to_current(kind: &str, version: u32, value: Value) -> Result<Value, String> {
    match (kind, version) {
        ("weighed", 1) => weighed_1_to_2(value),
        ("dump", 1) => had_no(value, &["into_fill", "covered", "mixed", "remark"]),
        ("count", 1) => had_no(value, &["thousand_seeds_g"]),
        ("note", 1) => had_no(value, &["of", "question"]),
        ("person", 1) => had_no(value, &["language", "telephone"]),
        ("ready", 1) => had_no(value, &["reading", "every_engine_h"]),
        ("ticked", 1) => had_no(value, &["value", "engine_h"]),
        ("go", 1) => had_no(value, &["why", "part", "cost"]),
        ("season", 1) => had_no(value, &["hour"]),
        ("sample", 1) => sample_1_to_2(value),
        _ => Err(format!("{kind} never had a version {version}")),
    }
}

/// Version 1 of a ticket had one wagon; version 2 has a list, since one ticket may empty several.
fn weighed_1_to_2(mut value: Value) -> Result<Value, String> {
    let from = value.get_mut("from").ok_or("missing field `from`")?;
    if !from.is_string() {
        return Err(format!("found from {from}, expected one place's name"));
    }
    *from = Value::Array(vec![from.take()]);
    Ok(value)
}

/// Version 1 of a sample called what was picked and shelled by hand `standing`.
fn sample_1_to_2(value: Value) -> Result<Value, String> {
    let mut value = had_no(value, &["count", "temperature"])?;
    let how = value.get_mut("how").ok_or("missing field `how`")?;
    match how.as_str() {
        Some("standing") => *how = "hand_shelled".into(),
        Some("tank" | "stream" | "probe" | "grab") => {}
        _ => {
            return Err(format!(
                "found how {how}, expected standing, tank, stream, probe or grab"
            ));
        }
    }
    Ok(value)
}

/// A step that only adds what may be left out: the older version had none of it.
fn had_no(value: Value, added: &[&str]) -> Result<Value, String> {
    match added.iter().find(|name| value.get(name).is_some()) {
        Some(name) => Err(format!("unknown field `{name}`")),
        None => Ok(value),
    }
}
