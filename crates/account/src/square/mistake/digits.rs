//! Other numbers that a hand may have meant.

/// Every number made by swapping two neighboring digits that differ; never one with a leading 0.
pub(super) fn swapped(value: i64) -> Vec<i64> {
    let text = value.to_string().into_bytes();
    (0..text.len().saturating_sub(1))
        .filter(|&at| text[at] != text[at + 1])
        .filter_map(|at| {
            let mut other = text.clone();
            other.swap(at, at + 1);
            read(&other)
        })
        .collect()
}

/// Every number that differs in one digit.
pub(super) fn one_off(value: i64) -> Vec<i64> {
    let text = value.to_string().into_bytes();
    let mut made = Vec::new();
    for at in 0..text.len() {
        for digit in b'0'..=b'9' {
            if digit != text[at] {
                let mut other = text.clone();
                other[at] = digit;
                made.extend(read(&other));
            }
        }
    }
    made
}

fn read(text: &[u8]) -> Option<i64> {
    if text.first() == Some(&b'0') {
        return None;
    }
    std::str::from_utf8(text).ok()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn swaps_and_slips_of_a_ticket() {
        assert_eq!(swapped(16_220), [61_220, 12_620, 16_202]);
        assert!(one_off(16_220).contains(&12_220));
        // 9 others at each of 5 digits, but no leading 0
        assert_eq!(one_off(16_220).len(), 44);
        assert!(swapped(7).is_empty());
    }
}
