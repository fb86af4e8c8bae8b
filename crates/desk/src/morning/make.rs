//! Making the morning.

use super::Morning;
use crate::{DeskError, Farm};

/// The morning at `now_ms`.
///
/// # Errors
/// Not yet built.
pub fn morning(_farm: &Farm, _now_ms: i64) -> Result<Morning, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}
