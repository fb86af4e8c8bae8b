//! Taking a batch.

use super::{Batch, Sender, Taken};
use crate::{Clock, DeskError, Farm};
use book::Book;

/// Takes a phone's batch into the book.
///
/// # Errors
/// Not yet built.
pub fn take(
    _book: &mut Book,
    _farm: &Farm,
    _sender: &Sender<'_>,
    _batch: &Batch,
    _clock: &mut dyn Clock,
) -> Result<Taken, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}
