//! Making the snapshot.

use super::Snapshot;
use crate::{DeskError, Farm};
use std::collections::BTreeMap;

/// The farm as a phone needs it at `now_ms`; `device` is the phone's own, `names` what people call
/// devices.
///
/// # Errors
/// Not yet built.
pub fn snapshot(
    _farm: &Farm,
    _now_ms: i64,
    _device: &str,
    _names: &BTreeMap<String, String>,
) -> Result<Snapshot, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}
