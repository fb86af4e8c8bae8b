//! Rows of a table that is not delimited text, read as if they were: the same names, units, limits and
//! findings, so that one data set gives the same points in every format.
//!
//! A row is written down with the unit separator of ASCII between its cells, which no cell may hold, and
//! goes through the reader of delimited text. A number written in its shortest form comes back as the
//! same double.

use super::blocks::{Gathered, Piece};
use super::columns::{self, ColumnReading, Layout};
use super::record::{Place, RowReader};
use super::split::Dialect;
use super::{ProfileUsed, ReadOptions};
use crate::FormatError;
use track::Track;

const DIALECT: Dialect = Dialect {
    delimiter: 0x1f,
    line_end: b'\n',
    decimal_comma: false,
};
/// Bytes of rows that are read at a time.
const BLOCK: usize = 256 * 1024;

/// A table being read, row by row.
pub(crate) struct Table<'a> {
    gathered: Gathered<'a>,
    reader: RowReader,
    layout: Layout,
    rows: Vec<u8>,
    /// Number of the first row in `rows`, and of the next one.
    place: Place,
    next: u64,
}

/// What came of a table.
pub(crate) struct TableRead {
    pub(crate) track: Track,
    pub(crate) columns: Vec<ColumnReading>,
    pub(crate) profile: Option<ProfileUsed>,
}

impl<'a> Table<'a> {
    /// Decides what the columns are; rows are numbered from 1.
    pub(crate) fn new(
        file: &'a str,
        names: &[String],
        options: &ReadOptions,
    ) -> Result<Self, FormatError> {
        let layout = columns::resolve(file, names, &options.columns, options.interval_s)?;
        Ok(Self {
            gathered: Gathered::new(file, options.strict),
            reader: RowReader::new(&layout, DIALECT, options.interval_s),
            layout,
            rows: Vec::new(),
            place: Place { row: 1, byte: None },
            next: 1,
        })
    }

    /// Adds one row: a cell a column, in order.
    pub(crate) fn row<T: AsRef<str>>(
        &mut self,
        cells: impl IntoIterator<Item = T>,
    ) -> Result<(), FormatError> {
        for (i, cell) in cells.into_iter().enumerate() {
            if i > 0 {
                self.rows.push(DIALECT.delimiter);
            }
            // a control character would be taken for the end of a cell or a row
            let plain = cell.as_ref().bytes();
            self.rows
                .extend(plain.map(|byte| if byte < b' ' { b' ' } else { byte }));
        }
        self.rows.push(DIALECT.line_end);
        self.next += 1;
        if self.rows.len() >= BLOCK {
            self.flush()?;
        }
        Ok(())
    }

    fn flush(&mut self) -> Result<(), FormatError> {
        let piece = Piece {
            start: 0,
            end: self.rows.len(),
            quoted: false,
            place: self.place,
        };
        self.gathered
            .parse(&self.rows, &[piece], &self.reader, DIALECT)?;
        self.rows.clear();
        self.place.row = self.next;
        Ok(())
    }

    /// Ends the table.
    pub(crate) fn finish(mut self) -> Result<TableRead, FormatError> {
        self.flush()?;
        Ok(TableRead {
            track: self.gathered.finish()?,
            profile: self.layout.profile.map(|p| ProfileUsed {
                name: p.name.clone(),
                about: p.about.clone(),
            }),
            columns: self.layout.readings,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_read_as_delimited_text_is() {
        let names: Vec<String> = ["long", "lat", "mass kg", "dist m", "load"]
            .map(String::from)
            .to_vec();
        let mut table = Table::new("t", &names, &ReadOptions::default()).unwrap();
        table
            .row(["-93.9", "43.9", "20", "6", "a\u{1f}\n\"b"])
            .unwrap();
        table.row(["-93.9", "43.9", "", "6", ""]).unwrap();
        let read = table.finish().unwrap();
        assert_eq!(read.track.loads, ["a  \"b"]);
        assert_eq!(read.track.points[0].mass_kg, 20.0);
        let finding = &read.track.findings.shown()[0];
        assert_eq!((finding.row, finding.byte), (Some(2), None));
        assert_eq!(finding.what, "mass kg is empty, expected a number");
        assert!(read.track.conserved());
    }

    #[test]
    fn no_rows_are_no_points() {
        let names: Vec<String> = ["long", "lat", "mass kg", "dist m"]
            .map(String::from)
            .to_vec();
        let table = Table::new("t", &names, &ReadOptions::default()).unwrap();
        assert!(table.finish().is_err());
    }
}
