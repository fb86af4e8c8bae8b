//! Chosen entries of the inverse of a factored matrix.

use super::Factor;
use std::collections::BTreeMap;

/// Entries of the (generalised) inverse, found without forming it.
#[derive(Debug, Clone)]
pub struct Inverse<'a> {
    factor: &'a Factor,
    diagonal: Vec<f64>,
    /// Parallel to the factor's own entries.
    below: Vec<f64>,
    /// Entries off the pattern, worked out when asked for.
    extra: BTreeMap<(usize, usize), f64>,
}

impl<'a> Inverse<'a> {
    pub(super) fn new(factor: &'a Factor) -> Self {
        let mut made = Self {
            factor,
            diagonal: vec![0.0; factor.size],
            below: vec![0.0; factor.row.len()],
            extra: BTreeMap::new(),
        };
        // columns from the last: Z_kj = -sum over i in column k of L_ik Z_ij, and
        // Z_kk = 1/d_k - sum L_ik Z_ik; a free column is a zero row and column of Z.
        // `wanted` scatters column k so that one sweep over each later column serves all j.
        let size = factor.size;
        let mut sums = vec![0.0; size];
        let mut mark = vec![usize::MAX; size];
        let mut weight = vec![0.0; size];
        for k in (0..size).rev() {
            if factor.pivot[k] == 0.0 {
                continue;
            }
            let span = factor.start[k]..factor.start[k + 1];
            for at in span.clone() {
                let i = factor.row[at];
                mark[i] = k;
                weight[i] = factor.value[at];
                sums[i] = 0.0;
            }
            for at in span.clone() {
                let i = factor.row[at];
                sums[i] += weight[i] * made.diagonal[i];
                for inner in factor.start[i]..factor.start[i + 1] {
                    let j = factor.row[inner];
                    if mark[j] == k {
                        sums[i] += weight[j] * made.below[inner];
                        sums[j] += weight[i] * made.below[inner];
                    }
                }
            }
            let mut own = 1.0 / factor.pivot[k];
            for at in span {
                let i = factor.row[at];
                made.below[at] = -sums[i];
                own += factor.value[at] * sums[i];
            }
            made.diagonal[k] = own;
        }
        made
    }

    /// One entry, by the caller's numbering.
    ///
    /// Off the pattern of L it costs a short recursion up the elimination tree, and is remembered.
    pub fn get(&mut self, row: usize, column: usize) -> f64 {
        let (a, b) = (self.factor.place[row], self.factor.place[column]);
        self.entry(a.min(b), a.max(b))
    }

    /// `u^T Z v` for two sparse rows (column, coefficient).
    pub fn between(&mut self, u: &[(usize, f64)], v: &[(usize, f64)]) -> f64 {
        let mut sum = 0.0;
        for &(i, a) in u {
            for &(j, b) in v {
                sum += a * b * self.get(i, j);
            }
        }
        sum
    }

    fn entry(&mut self, low: usize, high: usize) -> f64 {
        if low == high {
            return self.diagonal[low];
        }
        if self.factor.pivot[low] == 0.0 || self.factor.pivot[high] == 0.0 {
            return 0.0;
        }
        let span = self.factor.start[low]..self.factor.start[low + 1];
        if let Ok(at) = self.factor.row[span.clone()].binary_search(&high) {
            return self.below[span.start + at];
        }
        if let Some(&known) = self.extra.get(&(low, high)) {
            return known;
        }
        // every step moves the lower index up the elimination tree, so this ends
        let mut sum = 0.0;
        for at in span {
            let i = self.factor.row[at];
            sum -= self.factor.value[at] * self.entry(i.min(high), i.max(high));
        }
        self.extra.insert((low, high), sum);
        sum
    }
}
