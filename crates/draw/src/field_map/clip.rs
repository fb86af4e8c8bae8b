//! What of a field lies in a cell, and whether it holds a spot.

/// The part of a ring inside a box of west, south, east, north, by cutting at one side after the
/// other (Sutherland and Hodgman 1974, from memory). Where a bent edge crosses a box twice, the
/// parts are joined by a seam along the box, which takes no area.
///
/// The result keeps the way round of the ring.
pub(super) fn clipped(
    ring: &[(f64, f64)],
    [west, south, east, north]: [f64; 4],
) -> Vec<(f64, f64)> {
    let whole = ring.iter().all(|c| c.0.is_finite() && c.1.is_finite());
    let mut left: Vec<(f64, f64)> = if whole { ring.to_vec() } else { Vec::new() };
    // each side as: how far inside of it a corner is
    let sides: [&dyn Fn((f64, f64)) -> f64; 4] = [
        &|(x, _)| x - west,
        &|(_, y)| y - south,
        &|(x, _)| east - x,
        &|(_, y)| north - y,
    ];
    for inner in sides {
        let mut kept = Vec::with_capacity(left.len() + 2);
        for (index, &here) in left.iter().enumerate() {
            let before = left[(index + left.len() - 1) % left.len()];
            let (a, b) = (inner(before), inner(here));
            if (a >= 0.0) != (b >= 0.0) {
                let part = a / (a - b);
                kept.push((
                    before.0 + (here.0 - before.0) * part,
                    before.1 + (here.1 - before.1) * part,
                ));
            }
            if b >= 0.0 {
                kept.push(here);
            }
        }
        left = kept;
    }
    left
}

/// Whether a spot lies in a field of rings: inside an odd number of them, so that a pond is out.
pub(super) fn inside(rings: &[Vec<(f64, f64)>], (x, y): (f64, f64)) -> bool {
    let mut odd = false;
    for ring in rings {
        for (index, &(bx, by)) in ring.iter().enumerate() {
            let (ax, ay) = ring[(index + ring.len() - 1) % ring.len()];
            if (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax) {
                odd = !odd;
            }
        }
    }
    odd
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(ring: &[(f64, f64)]) -> f64 {
        let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
        pairs.map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>() / 2.0
    }

    #[test]
    fn a_field_cut_into_cells_is_the_whole_field() {
        // bent inward at (5, 4), so that a cell can hold two parts
        let field = [(0.0, 0.0), (10.0, 0.0), (10.0, 9.0), (5.0, 4.0), (0.0, 9.0)];
        let mut sum = 0.0;
        for column in 0..4 {
            for row in 0..4 {
                let (x, y) = (f64::from(column) * 2.5, f64::from(row) * 2.5);
                sum += area(&clipped(&field, [x, y, x + 2.5, y + 2.5]));
            }
        }
        assert!((sum - area(&field)).abs() < 1e-9, "{sum}");
        assert!(
            clipped(&field, [4.9, 8.0, 5.1, 8.2]).len() < 3 || {
                area(&clipped(&field, [4.9, 8.0, 5.1, 8.2])).abs() < 1e-9
            }
        );
        assert!(clipped(&field, [20.0, 20.0, 21.0, 21.0]).is_empty());
    }

    #[test]
    fn a_pond_is_out() {
        let square = |from: f64, to: f64| vec![(from, from), (to, from), (to, to), (from, to)];
        let field = [square(0.0, 10.0), square(4.0, 6.0)];
        assert!(inside(&field, (2.0, 2.0)));
        assert!(!inside(&field, (5.0, 5.0)));
        assert!(!inside(&field, (11.0, 5.0)));
        assert!(!inside(&[], (0.0, 0.0)));
    }
}
