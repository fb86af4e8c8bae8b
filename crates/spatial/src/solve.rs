//! Small dense symmetric systems: Cholesky, in place, column by column.

/// Factors the lower half of a positive definite matrix held by columns (`a[j * n + i]`, i >= j) and divides by the
/// factor, for kriging's two right-hand sides at once. `None` where it is not positive definite.
pub(crate) fn factor(a: &mut [f64], n: usize) -> Option<()> {
    for j in 0..n {
        let (done, rest) = a.split_at_mut(j * n + n);
        let column = &mut done[j * n..];
        let pivot = column[j];
        if pivot.is_nan() || pivot <= 0.0 {
            return None;
        }
        let root = 1.0 / pivot.sqrt();
        for value in &mut column[j..n] {
            *value *= root;
        }
        for (k, next) in rest.chunks_exact_mut(n).enumerate() {
            let k = j + 1 + k;
            let by = column[k];
            if by != 0.0 {
                for (value, one) in next[k..n].iter_mut().zip(&column[k..n]) {
                    *value -= by * one;
                }
            }
        }
    }
    Some(())
}

/// Solves `L x = b` in place.
pub(crate) fn forward(a: &[f64], n: usize, b: &mut [f64]) {
    for j in 0..n {
        let column = &a[j * n..j * n + n];
        let x = b[j] / column[j];
        b[j] = x;
        for (value, one) in b[j + 1..n].iter_mut().zip(&column[j + 1..n]) {
            *value -= x * one;
        }
    }
}

/// Solves `L' x = b` in place.
pub(crate) fn backward(a: &[f64], n: usize, b: &mut [f64]) {
    for j in (0..n).rev() {
        let column = &a[j * n..j * n + n];
        let below = b[j + 1..n].iter().zip(&column[j + 1..n]);
        let sum: f64 = below.map(|(x, one)| x * one).sum();
        b[j] = (b[j] - sum) / column[j];
    }
}
