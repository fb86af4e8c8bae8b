//! Local outliers, kept where something near bears them out.
//!
//! A record is odd when it lies more than 3.5 pooled median deviations from the middle of what lies within 20 m. It is
//! borne out by a quarter, and at least three, of the records of other passes within 16 m that are odd the same
//! way, or by its own pass being odd the same way for 12 s about it. What is odd and not borne out is alone.
//!
//! Without the second question the first takes drowned ground and the pass beside the trees off the map.

use spatial::Grid;

const WIDE_M: f64 = 20.0;
const CLOSE_M: f64 = 16.0;
const ODD: f64 = 3.5;
const LASTS_S: f64 = 12.0;
/// A normal's standard deviation over its median deviation.
pub(super) const TO_SD: f64 = 1.482_602_218_505_602;

/// A record that may be mapped.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    pub at: (f64, f64),
    pub value: f64,
    pub pass: u32,
    pub t: f64,
}

/// Which of the records, in order of time, are alone.
pub(super) fn alone(records: &[Candidate]) -> Vec<bool> {
    let grid = Grid::new(records.iter().map(|r| [r.at.0, r.at.1]).collect(), CLOSE_M);
    let near = |i: usize, j: usize, within: f64| {
        let (a, b) = (records[i].at, records[j].at);
        (a.0 - b.0).powi(2) + (a.1 - b.1).powi(2) <= within * within
    };
    let mut around: Vec<f64> = Vec::new();
    let off: Vec<f64> = (0..records.len())
        .map(|i| {
            around.clear();
            grid.about(grid.places()[i], WIDE_M, |j| {
                if near(i, j, WIDE_M) {
                    around.push(records[j].value);
                }
            });
            records[i].value - super::median(&mut around).unwrap_or(records[i].value)
        })
        .collect();
    let mut sizes: Vec<f64> = off.iter().map(|d| d.abs()).collect();
    let mut values: Vec<f64> = records.iter().map(|r| r.value).collect();
    let (Some(mad), Some(level)) = (super::median(&mut sizes), super::median(&mut values)) else {
        return vec![false; records.len()];
    };
    let odd = ODD * TO_SD * mad;
    (0..records.len())
        .map(|i| {
            if off[i].abs() <= odd || mad == 0.0 {
                return false;
            }
            let sign = off[i].signum();
            // odd the same way against its own surroundings, or against the field where its surroundings are odd
            let same =
                |j: usize| sign * off[j] > 0.5 * odd || sign * (records[j].value - level) > odd;
            let (mut with, mut all) = (0, 0);
            grid.about(grid.places()[i], CLOSE_M, |j| {
                if records[j].pass != records[i].pass && near(i, j, CLOSE_M) {
                    all += 1;
                    with += usize::from(same(j));
                }
            });
            if with >= 3 && 4 * with >= all {
                return false;
            }
            let own = |j: usize| records[j].pass == records[i].pass && same(j);
            let (mut from, mut to) = (i, i);
            while from > 0 && own(from - 1) {
                from -= 1;
            }
            while to + 1 < records.len() && own(to + 1) {
                to += 1;
            }
            records[to].t - records[from].t < LASTS_S
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nine passes 9 m apart of records 2 m apart.
    fn field(value: impl Fn(u32, u32) -> f64) -> Vec<Candidate> {
        (0..9)
            .flat_map(|pass| (0..100).map(move |nth| (pass, nth)))
            .map(|(pass, nth)| Candidate {
                at: (9.0 * f64::from(pass), 2.0 * f64::from(nth)),
                value: value(pass, nth),
                pass,
                t: f64::from(200 * pass + nth),
            })
            .collect()
    }

    fn noise(pass: u32, nth: u32) -> f64 {
        f64::from((pass * 37 + nth * 101) % 17) - 8.0
    }

    #[test]
    fn a_drowned_spot_and_a_pass_beside_trees_stay_and_a_lone_record_goes() {
        let drowned = |pass, nth| (3..6).contains(&pass) && (40..60).contains(&nth);
        let records = field(|pass, nth| {
            let level = if pass == 0 || drowned(pass, nth) {
                60.0
            } else {
                180.0
            };
            let lone = if (pass, nth) == (7, 70) { -150.0 } else { 0.0 };
            level + noise(pass, nth) + lone
        });
        let found = alone(&records);
        let gone: Vec<usize> = (0..found.len()).filter(|i| found[*i]).collect();
        assert_eq!(gone, [770]);
    }

    #[test]
    fn nothing_is_alone_where_all_are_alike() {
        assert!(!alone(&field(|_, _| 100.0)).contains(&true));
        assert!(alone(&[]).is_empty());
    }
}
