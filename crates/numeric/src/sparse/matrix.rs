//! A symmetric matrix given by sums of entries.

use crate::NumericError;

/// The upper triangle of a symmetric matrix, by columns, rows ascending.
#[derive(Debug, Clone, PartialEq)]
pub struct SymmetricMatrix {
    pub(super) size: usize,
    pub(super) start: Vec<usize>,
    pub(super) row: Vec<usize>,
    pub(super) value: Vec<f64>,
}

impl SymmetricMatrix {
    /// From entries (row, column, value); either triangle may be named, an entry off the diagonal
    /// stands for both of its mirror images, and repeated entries add up in the order given.
    ///
    /// # Errors
    /// An index at or past `size`, or a value that is not finite.
    pub fn from_entries(
        size: usize,
        entries: &[(usize, usize, f64)],
    ) -> Result<Self, NumericError> {
        let mut count = vec![0_usize; size + 1];
        for &(row, column, value) in entries {
            if row >= size || column >= size {
                return Err(NumericError::OutOfMatrix { row, column, size });
            }
            if !value.is_finite() {
                return Err(NumericError::NotFinite { value, row, column });
            }
            count[row.max(column) + 1] += 1;
        }
        for column in 0..size {
            count[column + 1] += count[column];
        }
        let mut next = count.clone();
        let mut loose = vec![(0_usize, 0.0_f64); entries.len()];
        for &(row, column, value) in entries {
            let at = &mut next[row.max(column)];
            loose[*at] = (row.min(column), value);
            *at += 1;
        }
        let mut made = Self {
            size,
            start: Vec::with_capacity(size + 1),
            row: Vec::with_capacity(entries.len()),
            value: Vec::with_capacity(entries.len()),
        };
        made.start.push(0);
        for column in 0..size {
            let part = &mut loose[count[column]..count[column + 1]];
            // stable, so that sums do not depend on anything but the order given
            part.sort_by_key(|entry| entry.0);
            let begin = made.row.len();
            for &(row, value) in part.iter() {
                if made.row.len() > begin && made.row.last() == Some(&row) {
                    let last = made.value.len() - 1;
                    made.value[last] += value;
                } else {
                    made.row.push(row);
                    made.value.push(value);
                }
            }
            made.start.push(made.row.len());
        }
        Ok(made)
    }

    /// Rows, which are as many as columns.
    pub fn size(&self) -> usize {
        self.size
    }

    /// Entries held in the upper triangle.
    pub fn entries(&self) -> usize {
        self.row.len()
    }

    /// The matrix times a vector of the same size.
    pub fn times(&self, x: &[f64]) -> Vec<f64> {
        let mut y = vec![0.0; self.size];
        for column in 0..self.size {
            for at in self.start[column]..self.start[column + 1] {
                let (row, value) = (self.row[at], self.value[at]);
                y[row] += value * x[column];
                if row != column {
                    y[column] += value * x[row];
                }
            }
        }
        y
    }
}
