//! Exact elimination of the balances.
//!
//! Each balance gives one unknown in terms of the others, so that what is left is an ordinary, and
//! positive semi-definite, least-squares problem in the free unknowns. This was preferred to a
//! system with multipliers because that one is indefinite, twice the size, and must be damped to
//! be factored at all wherever a flow is not measured, and the damping shows in the ninth digit of
//! the standard errors. Its drawback, that a long balance becomes a dense row, is met by splitting
//! long balances into a chain of running stocks first: a bin is then a chain from slip to slip,
//! and the normal matrix stays as sparse as the season is.

use super::model::{Balance, Row};
use crate::square::SquareError;
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

/// Longer balances than this are split into a chain.
const LONG: usize = 6;

/// Every unknown as a constant and a combination of the free ones.
#[derive(Debug, Clone)]
pub(super) struct Elimination {
    /// Free unknowns, chain stocks included, by column.
    pub(super) free: Vec<usize>,
    /// Expression of each unknown in columns.
    expression: Vec<Row>,
    constant: Vec<f64>,
    /// Unknowns there are with the chain stocks.
    pub(super) unknowns: usize,
}

/// Sorts, adds up repeated terms and drops those that cancel.
pub(super) fn tidy(mut row: Row) -> Row {
    row.sort_by_key(|term| term.0);
    let mut made: Row = Vec::with_capacity(row.len());
    let mut size: f64 = 0.0;
    for (j, a) in row {
        size = size.max(a.abs());
        match made.last_mut() {
            Some(last) if last.0 == j => last.1 += a,
            _ => made.push((j, a)),
        }
    }
    made.retain(|term| term.1.abs() > 1e-13 * size);
    made
}

/// Splits a long balance: `r1 = first + second`, `r2 = r1 + third`, ... , `r(n-2) + last = total`.
fn split(balance: &Balance, unknowns: &mut usize, into: &mut Vec<(Row, f64)>) {
    let terms = tidy(balance.terms.clone());
    if terms.len() <= LONG {
        into.push((terms, balance.total));
        return;
    }
    // in the order given, which is the order of time, not of index
    let mut seen = BTreeSet::new();
    let mut given: Row = Vec::with_capacity(terms.len());
    for &(j, _) in &balance.terms {
        if let Ok(at) = terms.binary_search_by_key(&j, |t| t.0)
            && seen.insert(j)
        {
            given.push(terms[at]);
        }
    }
    let last = given.len() - 1;
    let mut running = given[0];
    for &term in &given[1..last] {
        let next = *unknowns;
        *unknowns += 1;
        into.push((tidy(vec![running, term, (next, -1.0)]), 0.0));
        running = (next, 1.0);
    }
    into.push((tidy(vec![running, given[last]]), balance.total));
}

impl Elimination {
    /// Eliminates; `uses` says how many measurements name each unknown.
    pub(super) fn new(
        given: usize,
        balances: &[Balance],
        uses: &[usize],
    ) -> Result<Self, SquareError> {
        let mut unknowns = given;
        let mut rows: Vec<(Row, f64)> = Vec::with_capacity(balances.len());
        for balance in balances {
            split(balance, &mut unknowns, &mut rows);
        }
        let scale = balances.iter().fold(1.0_f64, |m, b| m.max(b.total.abs()));
        let mut holders: Vec<Vec<usize>> = vec![Vec::new(); unknowns];
        for (index, (row, _)) in rows.iter().enumerate() {
            for &(j, _) in row {
                holders[j].push(index);
            }
        }
        let mut queue: BinaryHeap<Reverse<(usize, usize)>> = rows
            .iter()
            .enumerate()
            .map(|(index, (row, _))| Reverse((row.len(), index)))
            .collect();
        let mut done = vec![false; rows.len()];
        let mut order: Vec<(usize, usize)> = Vec::with_capacity(rows.len());
        while let Some(Reverse((length, index))) = queue.pop() {
            if done[index] || rows[index].0.len() != length {
                continue;
            }
            done[index] = true;
            let (row, total) = rows[index].clone();
            if row.is_empty() {
                if total.abs() > 1e-9 * scale {
                    return Err(SquareError::Impossible {
                        what: format!("balance {index}"),
                        found: total,
                    });
                }
                continue;
            }
            let largest = row.iter().fold(0.0_f64, |m, t| m.max(t.1.abs()));
            // a chain stock is kept where it can be: taking it out would undo the chain
            let price = |j: usize| {
                let open = holders[j].iter().filter(|&&h| !done[h]).count();
                let use_count = uses.get(j).copied().unwrap_or(0);
                (usize::from(j >= given), open + use_count, j)
            };
            let Some(&(pivot, by)) = row
                .iter()
                .filter(|t| t.1.abs() >= 0.1 * largest)
                .min_by_key(|t| price(t.0))
            else {
                continue;
            };
            order.push((pivot, index));
            for holder in holders[pivot].clone() {
                if done[holder] {
                    continue;
                }
                let Ok(at) = rows[holder].0.binary_search_by_key(&pivot, |t| t.0) else {
                    continue;
                };
                let ratio = rows[holder].0[at].1 / by;
                let mut changed = rows[holder].0.clone();
                changed.remove(at);
                changed.extend(
                    row.iter()
                        .filter(|t| t.0 != pivot)
                        .map(|&(j, a)| (j, -ratio * a)),
                );
                let changed = tidy(changed);
                for &(j, _) in &changed {
                    if !holders[j].contains(&holder) {
                        holders[j].push(holder);
                    }
                }
                rows[holder].1 -= ratio * total;
                queue.push(Reverse((changed.len(), holder)));
                rows[holder].0 = changed;
            }
        }
        Ok(Self::expressed(unknowns, &rows, &order))
    }

    fn expressed(unknowns: usize, rows: &[(Row, f64)], order: &[(usize, usize)]) -> Self {
        let mut basic = vec![false; unknowns];
        for &(pivot, _) in order {
            basic[pivot] = true;
        }
        let free: Vec<usize> = (0..unknowns).filter(|&j| !basic[j]).collect();
        let mut expression: Vec<Row> = vec![Vec::new(); unknowns];
        let mut constant = vec![0.0; unknowns];
        for (column, &j) in free.iter().enumerate() {
            expression[j] = vec![(column, 1.0)];
        }
        for &(pivot, index) in order.iter().rev() {
            let (row, total) = &rows[index];
            let mut by = 1.0;
            let mut sum = *total;
            let mut made: Row = Vec::new();
            for &(j, a) in row {
                if j == pivot {
                    by = a;
                } else {
                    sum -= a * constant[j];
                    made.extend(expression[j].iter().map(|&(c, e)| (c, -a * e)));
                }
            }
            constant[pivot] = sum / by;
            expression[pivot] = tidy(made).into_iter().map(|(c, e)| (c, e / by)).collect();
        }
        Self {
            free,
            expression,
            constant,
            unknowns,
        }
    }

    /// One unknown in columns.
    pub(super) fn unknown(&self, j: usize) -> &Row {
        &self.expression[j]
    }

    /// A row over unknowns as a row over columns.
    pub(super) fn reduce(&self, row: &[(usize, f64)]) -> Row {
        let mut made: Row = Vec::with_capacity(row.len() + 2);
        for &(j, a) in row {
            made.extend(self.expression[j].iter().map(|&(c, e)| (c, a * e)));
        }
        tidy(made)
    }

    /// All unknowns from the free ones.
    pub(super) fn spread(&self, columns: &[f64]) -> Vec<f64> {
        self.expression
            .iter()
            .zip(&self.constant)
            .map(|(row, constant)| constant + row.iter().map(|&(c, e)| e * columns[c]).sum::<f64>())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(unknowns: usize, balances: &[Balance]) -> Elimination {
        let made = Elimination::new(unknowns, balances, &vec![1; unknowns]).unwrap();
        let columns: Vec<f64> = (0..made.free.len()).map(|c| 3.0 + (c * c) as f64).collect();
        let x = made.spread(&columns);
        for balance in balances {
            let sum: f64 = balance.terms.iter().map(|&(j, a)| a * x[j]).sum();
            assert!(
                (sum - balance.total).abs() < 1e-9,
                "{sum} {}",
                balance.total
            );
        }
        made
    }

    #[test]
    fn every_free_choice_keeps_the_balances() {
        let long = Balance {
            terms: (0..20)
                .map(|j| (j, if j % 3 == 0 { 1.0 } else { -1.0 }))
                .collect(),
            total: 7.0,
        };
        let other = Balance {
            terms: vec![(3, 1.0), (4, 1.0), (20, -1.0)],
            total: 0.0,
        };
        let made = check(21, &[long, other]);
        assert_eq!(made.free.len(), 21 + 18 - 20);
        let widest = (0..21).map(|j| made.unknown(j).len()).max().unwrap();
        assert!(widest <= 4, "a chain keeps rows short, found {widest}");
    }

    #[test]
    fn a_repeated_balance_counts_once_and_a_contradiction_is_refused() {
        let one = Balance {
            terms: vec![(0, 1.0), (1, -1.0)],
            total: 2.0,
        };
        let made = check(2, &[one.clone(), one.clone()]);
        assert_eq!(made.free.len(), 1);
        let against = Balance {
            total: 3.0,
            ..one.clone()
        };
        assert!(matches!(
            Elimination::new(2, &[one, against], &[1, 1]),
            Err(SquareError::Impossible { .. })
        ));
    }
}
