//! From older payload versions to the current one: pure steps, one a version, never edited once
//! published. Each old version has a sample in `samples/` that is read forever.

use serde_json::Value;

/// Raises a payload of an older version step by step. Versions that never were are refused.
pub(super) fn to_current(kind: &str, version: u32, value: Value) -> Result<Value, String> {
    match (kind, version) {
        ("weighed", 1) => weighed_1_to_2(value),
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
