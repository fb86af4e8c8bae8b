//! Exact division of a whole count: the parts always add up to it.

/// Divides `total` in proportion to `weights` by largest remainder: every part is first rounded
/// towards zero, and the units left over go one each to the parts with the largest remainders,
/// equal remainders in the order listed. `None` when no weight is above zero.
///
/// The method is Hamilton's, long used to allot seats; common practice here, no source.
///
/// ```
/// use account::ledger::in_proportion;
/// assert_eq!(in_proportion(100, &[1, 1, 1]), Some(vec![34, 33, 33]));
/// assert_eq!(in_proportion(-7, &[2, 1]), Some(vec![-5, -2]));
/// assert_eq!(in_proportion(5, &[0, 0]), None);
/// ```
pub fn in_proportion(total: i64, weights: &[u64]) -> Option<Vec<i64>> {
    let sum: u128 = weights.iter().map(|&w| u128::from(w)).sum();
    if sum == 0 {
        return None;
    }
    let size = u128::from(total.unsigned_abs());
    // size < 2^64 and weight < 2^64: the product fits
    let mut parts: Vec<u64> = Vec::with_capacity(weights.len());
    let mut order: Vec<(u128, usize)> = Vec::with_capacity(weights.len());
    for (at, &weight) in weights.iter().enumerate() {
        let product = size * u128::from(weight);
        parts.push((product / sum) as u64);
        order.push((product % sum, at));
    }
    let given: u128 = parts.iter().map(|&p| u128::from(p)).sum();
    order.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    for &(_, at) in order.iter().take((size - given) as usize) {
        parts[at] += 1;
    }
    let sign = |part: u64| {
        if total < 0 {
            0_i64.wrapping_sub_unsigned(part)
        } else {
            // a part is no larger than the total
            part.cast_signed()
        }
    };
    Some(parts.into_iter().map(sign).collect())
}

/// Divides `total` into `count` parts as equal as whole units allow, the larger ones first.
pub(crate) fn equally(total: i64, count: usize) -> Vec<i64> {
    in_proportion(total, &vec![1; count]).unwrap_or_default()
}

/// `value x top / bottom`, rounded half to even; `bottom` must not be zero.
pub(crate) fn ratio(value: i64, top: i64, bottom: i64) -> i64 {
    let (product, by) = (i128::from(value) * i128::from(top), i128::from(bottom));
    let (product, by) = if by < 0 {
        (-product, -by)
    } else {
        (product, by)
    };
    let (quotient, rest) = (product.div_euclid(by), product.rem_euclid(by));
    let up = match (2 * rest).cmp(&by) {
        std::cmp::Ordering::Less => 0,
        std::cmp::Ordering::Greater => 1,
        std::cmp::Ordering::Equal => quotient & 1,
    };
    (quotient + up) as i64
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn ratio_rounds_halves_to_even() {
        assert_eq!(ratio(5, 1, 2), 2);
        assert_eq!(ratio(7, 1, 2), 4);
        assert_eq!(ratio(-5, 1, 2), -2);
        assert_eq!(ratio(10, 3, -4), -8);
    }

    proptest! {
        #[test]
        fn parts_sum_to_the_whole(
            total in any::<i64>(),
            weights in proptest::collection::vec(any::<u64>(), 1..9),
        ) {
            match in_proportion(total, &weights) {
                None => prop_assert!(weights.iter().all(|&w| w == 0)),
                Some(parts) => {
                    prop_assert_eq!(parts.iter().map(|&p| i128::from(p)).sum::<i128>(), i128::from(total));
                    let sum: u128 = weights.iter().map(|&w| u128::from(w)).sum();
                    for (part, weight) in parts.iter().zip(&weights) {
                        // never a whole unit away from the exact quotient
                        let floor = u128::from(total.unsigned_abs()) * u128::from(*weight) / sum;
                        let off = u128::from(part.unsigned_abs()) - floor;
                        prop_assert!(off <= 1);
                    }
                }
            }
        }
    }
}
