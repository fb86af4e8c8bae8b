//! L D L^T of a sparse positive semi-definite matrix, through zero pivots.

use super::{Inverse, SymmetricMatrix};
use crate::NumericError;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::SymbolicSparseColMatRef;
use faer::sparse::linalg::amd;

/// Pivots below this share of their column's own diagonal are taken for zero: well above what
/// rounding leaves (about 1e-15 a term) and well below the smallest honest pivot of a season
/// (a 20 lb scale step against 3 % of a full bin, squared: 1e-7).
const ZERO_PIVOT: f64 = 1e-11;

/// No parent, not yet seen.
const NONE: usize = usize::MAX;

/// A factored matrix: `P A P^T = L D L^T` with unit lower triangular L.
#[derive(Debug, Clone)]
pub struct Factor {
    pub(super) size: usize,
    /// `new[old]`: where a column went.
    pub(super) place: Vec<usize>,
    /// `old[new]`: where it came from.
    pub(super) origin: Vec<usize>,
    pub(super) start: Vec<usize>,
    pub(super) row: Vec<usize>,
    pub(super) value: Vec<f64>,
    /// Pivots; 0 marks a direction that the matrix does not determine.
    pub(super) pivot: Vec<f64>,
}

fn order(matrix: &SymmetricMatrix) -> Result<(Vec<usize>, Vec<usize>), NumericError> {
    let size = matrix.size;
    let (mut origin, mut place) = (vec![0_usize; size], vec![0_usize; size]);
    if size == 0 {
        return Ok((origin, place));
    }
    let pattern =
        SymbolicSparseColMatRef::new_checked(size, size, &matrix.start, None, &matrix.row);
    let mut memory = MemBuffer::try_new(amd::order_scratch::<usize>(size, matrix.entries()))
        .map_err(|_| NumericError::Ordering { size })?;
    amd::order(
        &mut origin,
        &mut place,
        pattern,
        amd::Control::default(),
        MemStack::new(&mut memory),
    )
    .map_err(|_| NumericError::Ordering { size })?;
    Ok((origin, place))
}

impl Factor {
    /// Orders and factors.
    ///
    /// # Errors
    /// A pivot that is clearly negative: the matrix was not positive semi-definite.
    pub fn new(matrix: &SymmetricMatrix) -> Result<Self, NumericError> {
        let (origin, place) = order(matrix)?;
        Self::in_order(matrix, origin, place)
    }

    /// Factors a matrix of the same pattern in this factor's order, sparing the ordering.
    ///
    /// # Errors
    /// As [`Factor::new`].
    pub fn again(&self, matrix: &SymmetricMatrix) -> Result<Self, NumericError> {
        Self::in_order(matrix, self.origin.clone(), self.place.clone())
    }

    /// Up-looking factorisation by rows (Davis 2005, "Algorithm 849", from memory).
    fn in_order(
        matrix: &SymmetricMatrix,
        origin: Vec<usize>,
        place: Vec<usize>,
    ) -> Result<Self, NumericError> {
        let size = matrix.size;
        // upper triangle of the permuted matrix, by columns
        let permuted: Vec<(usize, usize, f64)> = (0..size)
            .flat_map(|column| {
                let place = &place;
                (matrix.start[column]..matrix.start[column + 1])
                    .map(move |at| (place[matrix.row[at]], place[column], matrix.value[at]))
            })
            .collect();
        let upper = SymmetricMatrix::from_entries(size, &permuted)?;

        let (mut parent, mut seen, mut count) = (vec![NONE; size], vec![NONE; size], vec![0; size]);
        for k in 0..size {
            seen[k] = k;
            for at in upper.start[k]..upper.start[k + 1] {
                let mut i = upper.row[at];
                while seen[i] != k {
                    if parent[i] == NONE {
                        parent[i] = k;
                    }
                    count[i] += 1;
                    seen[i] = k;
                    i = parent[i];
                }
            }
        }
        let mut start = vec![0; size + 1];
        for k in 0..size {
            start[k + 1] = start[k] + count[k];
        }
        let filled = start[size];
        let (mut row, mut value, mut pivot) = (vec![0; filled], vec![0.0; filled], vec![0.0; size]);
        let mut used = vec![0; size];
        let mut work = vec![0.0; size];
        let mut reach = vec![0; size];
        seen.fill(NONE);
        for k in 0..size {
            let mut top = size;
            let mut own = 0.0;
            seen[k] = k;
            let mut path = Vec::new();
            for at in upper.start[k]..upper.start[k + 1] {
                let mut i = upper.row[at];
                if i == k {
                    own += upper.value[at];
                    continue;
                }
                work[i] += upper.value[at];
                path.clear();
                while seen[i] != k {
                    path.push(i);
                    seen[i] = k;
                    i = parent[i];
                }
                while let Some(step) = path.pop() {
                    top -= 1;
                    reach[top] = step;
                }
            }
            let mut diagonal = own;
            for &i in &reach[top..] {
                let y = work[i];
                work[i] = 0.0;
                for at in start[i]..start[i] + used[i] {
                    work[row[at]] -= value[at] * y;
                }
                let share = if pivot[i] > 0.0 { y / pivot[i] } else { 0.0 };
                diagonal -= share * y;
                let at = start[i] + used[i];
                row[at] = k;
                value[at] = share;
                used[i] += 1;
            }
            if diagonal < -1e-6 * own.abs() - f64::MIN_POSITIVE {
                return Err(NumericError::Indefinite {
                    pivot: diagonal / own.abs(),
                    column: origin[k],
                });
            }
            pivot[k] = if diagonal > ZERO_PIVOT * own {
                diagonal
            } else {
                0.0
            };
        }
        Ok(Self {
            size,
            place,
            origin,
            start,
            row,
            value,
            pivot,
        })
    }

    /// Entries of L below its diagonal.
    pub fn entries(&self) -> usize {
        self.row.len()
    }

    /// Columns (as numbered by the caller) whose pivot was zero: the matrix determines the rest
    /// given these, and these are pinned at zero by [`Factor::solve`].
    pub fn free(&self) -> Vec<usize> {
        let mut found: Vec<usize> = (0..self.size)
            .filter(|&k| self.pivot[k] == 0.0)
            .map(|k| self.origin[k])
            .collect();
        found.sort_unstable();
        found
    }

    /// Natural logarithm of the product of the pivots that are not zero.
    pub fn ln_determinant(&self) -> f64 {
        self.pivot
            .iter()
            .filter(|p| **p > 0.0)
            .map(|p| p.ln())
            .sum()
    }

    /// Solves `A x = b`; where A is singular, the solution with its free columns at zero.
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let mut y: Vec<f64> = (0..self.size).map(|k| b[self.origin[k]]).collect();
        for k in 0..self.size {
            let yk = y[k];
            if yk != 0.0 {
                for at in self.start[k]..self.start[k + 1] {
                    y[self.row[at]] -= self.value[at] * yk;
                }
            }
        }
        for (yk, &pivot) in y.iter_mut().zip(&self.pivot) {
            *yk = if pivot > 0.0 { *yk / pivot } else { 0.0 };
        }
        self.back(&mut y);
        (0..self.size).map(|old| y[self.place[old]]).collect()
    }

    /// Solves and then corrects the answer once by its own residual.
    pub fn solve_refined(&self, matrix: &SymmetricMatrix, b: &[f64]) -> Vec<f64> {
        let mut x = self.solve(b);
        let fitted = matrix.times(&x);
        let rest: Vec<f64> = b.iter().zip(&fitted).map(|(b, f)| b - f).collect();
        for (x, step) in x.iter_mut().zip(self.solve(&rest)) {
            *x += step;
        }
        x
    }

    fn back(&self, y: &mut [f64]) {
        for k in (0..self.size).rev() {
            let mut yk = y[k];
            for at in self.start[k]..self.start[k + 1] {
                yk -= self.value[at] * y[self.row[at]];
            }
            y[k] = yk;
        }
    }

    /// The direction that goes with a free column: a vector that the matrix maps to zero, 1 at that
    /// column and 0 at every other free one.
    pub fn null_direction(&self, free: usize) -> Vec<f64> {
        let mut y = vec![0.0; self.size];
        let at = self.place[free];
        y[at] = 1.0;
        for k in (0..at).rev() {
            let mut yk = 0.0;
            if self.pivot[k] > 0.0 {
                for at in self.start[k]..self.start[k + 1] {
                    yk -= self.value[at] * y[self.row[at]];
                }
            }
            y[k] = yk;
        }
        (0..self.size).map(|old| y[self.place[old]]).collect()
    }

    /// The entries of the (generalised) inverse on the pattern of L.
    pub fn inverse(&self) -> Inverse<'_> {
        Inverse::new(self)
    }
}
