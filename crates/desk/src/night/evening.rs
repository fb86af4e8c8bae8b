//! Making the evening.

use super::Evening;
use crate::{DeskError, Farm};

/// The evening of a harvest day (`2026-10-06`; that of `now_ms` if none is given).
///
/// # Errors
/// Not yet built.
pub fn evening(_farm: &Farm, _now_ms: i64, _day: Option<&str>) -> Result<Evening, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}
