//! The sheet of a field, and the list of a season.

use super::{FieldSheet, FieldSheetLine};
use crate::{DeskError, Farm};

/// What each field made in a season.
///
/// # Errors
/// Not yet built.
pub fn season(_farm: &Farm, _year: u16) -> Result<Vec<FieldSheetLine>, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}

/// The sheet of one field in a season; `crop` chooses where it carried two.
///
/// # Errors
/// Not yet built.
pub fn field(
    _farm: &Farm,
    _name: &str,
    _crop: Option<&str>,
    _year: u16,
) -> Result<FieldSheet, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}
