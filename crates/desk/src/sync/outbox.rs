//! An outbox that came as a file.

use super::Batch;
use crate::DeskError;

/// What an outbox file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Outbox {
    /// Who wrote it, as the file says.
    pub person: String,
    /// Device, clock and entries, as a phone would send them.
    pub batch: Batch,
    /// Photographs whose bytes are those that their names promise.
    pub photographs: Vec<Photograph>,
    /// Lines that could not be read: number from 1, and why.
    pub set_aside: Vec<(usize, String)>,
}

/// A photograph of an outbox.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photograph {
    /// Its SHA-256.
    pub sha256: String,
    /// `image/jpeg`, `image/png` or `image/webp`.
    pub media_type: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Reads an outbox that came as a file.
///
/// # Errors
/// Not yet built.
pub fn outbox_file(_text: &str) -> Result<Outbox, DeskError> {
    Err(DeskError::Refused("not yet".to_owned()))
}
