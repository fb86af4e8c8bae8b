//! Task data (ISO 11783-10): against an independent reader, into points, within limits, on bad bytes.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod bad_input;
mod build;
mod limits;
mod parts;
mod peer;
mod points;

use formats::taskdata::{self, Files, Limits, PointsOptions, TaskData, TaskPoints};
use std::io::Cursor;

/// What an archive holds.
fn read(zip: &[u8]) -> TaskData {
    let files = Files::from_zip(Cursor::new(zip), "x.zip", &Limits::default()).unwrap();
    taskdata::read(&files, "x.zip").unwrap()
}

/// The points of a transfer, read as it is.
fn points(transfer: &build::Transfer) -> TaskPoints {
    taskdata::points(&read(&transfer.zip()), "x.zip", &PointsOptions::default()).unwrap()
}
