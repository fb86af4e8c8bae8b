//! Combine points in delimited text: any column order, any usual delimiter and unit.
//!
//! [`read`] looks at the start of the file for what it is (tab, comma, semicolon or bar; quotes; CRLF;
//! byte-order mark; decimal comma) and decides what each column is. A unit said by the caller
//! ([`ColumnOverride`]) goes before one in the column's name (`dist_in`, `Distance(ft)`, `mass lb/s`,
//! `moist %`), which goes before a reader profile that knows the header (`profiles/*.toml`), which goes
//! before the one usual unit (degrees, per cent, seconds). Whatever was assumed is in
//! [`PointsRead::assumptions`], to be printed.
//!
//! A bad row becomes a finding with its row number and is set aside; its mass is reported where it can
//! still be read. The text is read in blocks of 1 MiB, cut at row ends and parsed in parallel with order
//! kept, so the result does not depend on threads or blocks; memory is the points (120 bytes each; none with
//! [`read_each`]) and a few blocks. Garbage is refused at its start.
//!
//! ```
//! let text = "Moisture(%),Lat,Long,Flow(kg/s),Interval(s),Distance(m)\n\
//!             18.0,43.9,-93.9,10,1,2\n\
//!             oops,43.9,-93.9,10,1,2\n";
//! let read = formats::delimited::read_bytes(text.as_bytes(), "points.csv", &Default::default())?;
//! assert_eq!((read.track.points.len(), read.track.findings.set_aside_rows()), (1, 1));
//! assert_eq!(read.track.findings.shown()[0].what, "Moisture(%) is 'oops', expected a number");
//! # Ok::<(), formats::FormatError>(())
//! ```

mod blocks;
mod clock;
mod columns;
mod fields;
mod number;
mod profile;
mod record;
mod sniff;
mod split;
mod table;
mod units;

pub(crate) use columns::{assumptions, is_position};
pub(crate) use sniff::other_kind;
pub(crate) use table::Table;

pub use columns::{ColumnOverride, ColumnReading, Said};
pub use units::Role;

use crate::FormatError;
use serde::Serialize;
use std::io::Read;
use track::{RawPoint, Track};

/// How to read; the default reads what the file says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadOptions {
    /// What the caller says about columns, over names and profiles.
    pub columns: Vec<ColumnOverride>,
    /// Fail at the first bad row.
    pub strict: bool,
    /// Seconds every record covers, for logs without such a column.
    pub interval_s: Option<f64>,
    /// Delimiter, when the likeliest is not right.
    pub delimiter: Option<u8>,
    /// Bytes read at a time; the result does not depend on it.
    pub block_bytes: usize,
}

impl Default for ReadOptions {
    fn default() -> Self {
        Self {
            columns: Vec::new(),
            strict: false,
            interval_s: None,
            delimiter: None,
            block_bytes: 1 << 20,
        }
    }
}

/// Points and how they were read.
#[derive(Debug, Clone, PartialEq)]
pub struct PointsRead {
    /// The points, and a finding for every row set aside.
    pub track: Track,
    /// How each column was read.
    pub columns: Vec<ColumnReading>,
    /// The reader profile that said some units, if one did.
    pub profile: Option<ProfileUsed>,
    /// Delimiter.
    pub delimiter: char,
    /// Whether `16,54` is sixteen and a half.
    pub decimal_comma: bool,
    /// Bytes in the file.
    pub bytes: u64,
}

/// A reader profile that said some units.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ProfileUsed {
    /// Its name.
    pub name: String,
    /// What it knows.
    pub about: String,
}

impl PointsRead {
    /// The units that nobody said and that were assumed, in one sentence to print; `None` when
    /// every unit was said.
    ///
    /// ```
    /// let text = "long\tlat\tmass\ttime\tseconds\tdist\tmoist\telev\n-93.9\t43.9\t16.5\t0\t3\t116\t18.5\t1030\n";
    /// let read = formats::delimited::read_bytes(text.as_bytes(), "points.tsv", &Default::default())?;
    /// assert_eq!(
    ///     read.assumptions().as_deref(),
    ///     Some("reader profile us-points assumed: long deg, lat deg, mass lb/s (flow), time s, dist in, moist %, elev ft")
    /// );
    /// # Ok::<(), formats::FormatError>(())
    /// ```
    pub fn assumptions(&self) -> Option<String> {
        columns::assumptions(&self.columns, self.profile.as_ref())
    }
}

/// Reads points from a stream; `file` is its name for messages.
///
/// # Errors
/// A file that is not delimited points (binary, no header that is known, columns or units missing,
/// no usable row); with `strict`, the first bad row.
pub fn read(
    input: impl Read,
    file: &str,
    options: &ReadOptions,
) -> Result<PointsRead, FormatError> {
    blocks::read(input, file, options, None)
}

/// Reads points from a stream and gives them, in order, to `each` instead of holding them; the
/// result's track has no points but all the rest. Memory is a few blocks, whatever the file.
///
/// ```
/// # let text = "long,lat,mass kg,dist m\n-93.9,43.9,20,6\n-93.9,43.9,21,6\n";
/// let mut kg = 0.0;
/// let read = formats::delimited::read_each(text.as_bytes(), "points.csv", &Default::default(), &mut |points| {
///     kg += points.iter().map(|p| p.mass_kg).sum::<f64>();
/// })?;
/// assert_eq!((kg, read.track.rows_read, read.track.points.len()), (41.0, 2, 0));
/// # Ok::<(), formats::FormatError>(())
/// ```
///
/// # Errors
/// As [`read`]; points may have been given before.
pub fn read_each(
    input: impl Read,
    file: &str,
    options: &ReadOptions,
    each: &mut dyn FnMut(&[RawPoint]),
) -> Result<PointsRead, FormatError> {
    blocks::read(input, file, options, Some(each))
}

/// Reads points from bytes at hand.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(
    bytes: &[u8],
    file: &str,
    options: &ReadOptions,
) -> Result<PointsRead, FormatError> {
    blocks::read(bytes, file, options, None)
}
