//! The sparse factor and its selected inverse against dense arithmetic.

use numeric::sparse::{Factor, SymmetricMatrix};
use numeric::stream::Stream;
use proptest::prelude::*;

/// A random sparse sum of outer products, weights spread over six decades.
fn random(seed: u64, size: usize, rows: usize) -> (SymmetricMatrix, Vec<Vec<f64>>) {
    let mut s = Stream::new(seed, "matrix", 0);
    let mut entries = Vec::new();
    for _ in 0..rows {
        let support: Vec<(usize, f64)> = (0..=s.below(3))
            .map(|_| (s.below(size), if s.chance(0.5) { 1.0 } else { -1.0 }))
            .collect();
        let weight = s.between(-3.0, 3.0).exp2().powi(3);
        for &(i, a) in &support {
            for &(j, b) in &support {
                if i < j {
                    entries.push((i, j, weight * a * b));
                } else if i == j {
                    entries.push((i, i, weight * a * b));
                }
            }
        }
    }
    let matrix = SymmetricMatrix::from_entries(size, &entries).expect("indices in range");
    let dense = (0..size)
        .map(|j| {
            let mut unit = vec![0.0; size];
            unit[j] = 1.0;
            matrix.times(&unit)
        })
        .collect();
    (matrix, dense)
}

fn add_diagonal(matrix: &SymmetricMatrix, dense: &mut [Vec<f64>], extra: f64) -> SymmetricMatrix {
    let mut entries = Vec::new();
    for (j, column) in dense.iter_mut().enumerate() {
        column[j] += extra;
        for (i, &value) in column.iter().enumerate().take(j + 1) {
            if value != 0.0 {
                entries.push((i, j, value));
            }
        }
    }
    SymmetricMatrix::from_entries(matrix.size(), &entries).expect("indices in range")
}

/// Dense inverse by Gauss and Jordan with pivoting.
fn invert(matrix: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let n = matrix.len();
    let mut a: Vec<Vec<f64>> = matrix.to_vec();
    for (i, row) in a.iter_mut().enumerate() {
        row.extend((0..n).map(|j| f64::from(u8::from(i == j))));
    }
    for k in 0..n {
        let best = (k..n)
            .max_by(|&i, &j| a[i][k].abs().total_cmp(&a[j][k].abs()))
            .expect("k is below n");
        a.swap(k, best);
        let pivot = a[k][k];
        a[k].iter_mut().for_each(|v| *v /= pivot);
        let lead = a[k].clone();
        for (i, row) in a.iter_mut().enumerate() {
            if i != k && row[k] != 0.0 {
                let f = row[k];
                row.iter_mut().zip(&lead).for_each(|(v, l)| *v -= f * l);
            }
        }
    }
    a.into_iter().map(|row| row[n..].to_vec()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn solve_and_every_inverse_entry_agree_with_dense(seed in 0_u64..1_000_000, size in 1_usize..40) {
        let (loose, mut dense) = random(seed, size, 2 * size);
        let matrix = add_diagonal(&loose, &mut dense, 0.5);
        let exact = invert(&dense);
        let factor = Factor::new(&matrix).unwrap();
        prop_assert!(factor.free().is_empty());
        let mut inverse = factor.inverse();
        for i in 0..size {
            for j in 0..size {
                let scale = (exact[i][i] * exact[j][j]).sqrt();
                prop_assert!((inverse.get(i, j) - exact[i][j]).abs() < 1e-10 * scale);
            }
        }
        let mut s = Stream::new(seed, "right hand side", 0);
        let b: Vec<f64> = (0..size).map(|_| s.normal()).collect();
        let x = factor.solve_refined(&matrix, &b);
        let back = matrix.times(&x);
        for (got, want) in back.iter().zip(&b) {
            prop_assert!((got - want).abs() < 1e-9);
        }
    }

    /// Few rows: some directions are free. Whatever the rows do determine must come out as a
    /// dense generalised inverse gives it.
    #[test]
    fn free_directions_are_found_and_pinned(seed in 0_u64..1_000_000, size in 2_usize..30) {
        let (matrix, dense) = random(seed, size, size / 2);
        let factor = Factor::new(&matrix).unwrap();
        let free = factor.free();
        prop_assert!(!free.is_empty());
        for &column in &free {
            let direction = factor.null_direction(column);
            prop_assert_eq!(direction[column], 1.0);
            let image = matrix.times(&direction);
            let scale: f64 = dense.iter().flatten().fold(0.0, |m: f64, v| m.max(v.abs()));
            for value in image {
                prop_assert!(value.abs() <= 1e-9 * scale);
            }
        }
        // A Z A = A is what makes Z a generalised inverse
        let mut inverse = factor.inverse();
        for i in 0..size {
            for j in 0..size {
                let row: Vec<(usize, f64)> = dense[i].iter().copied().enumerate().filter(|e| e.1 != 0.0).collect();
                let column: Vec<(usize, f64)> = dense[j].iter().copied().enumerate().filter(|e| e.1 != 0.0).collect();
                let got = inverse.between(&row, &column);
                let scale = (dense[i][i] * dense[j][j]).sqrt();
                prop_assert!((got - dense[i][j]).abs() <= 1e-8 * scale.max(1e-12));
            }
        }
    }
}

#[test]
fn bad_entries_are_refused() {
    assert!(SymmetricMatrix::from_entries(2, &[(0, 2, 1.0)]).is_err());
    assert!(SymmetricMatrix::from_entries(2, &[(0, 1, f64::NAN)]).is_err());
    let indefinite =
        SymmetricMatrix::from_entries(2, &[(0, 0, 1.0), (0, 1, 2.0), (1, 1, 1.0)]).unwrap();
    assert!(Factor::new(&indefinite).is_err());
}

#[test]
fn nothing_to_solve() {
    let matrix = SymmetricMatrix::from_entries(0, &[]).unwrap();
    assert!(Factor::new(&matrix).unwrap().solve(&[]).is_empty());
}
