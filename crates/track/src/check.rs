//! Records and files that cannot be right, flagged and kept.

use crate::{Done, Finding, FindingKind, Findings, KG_PER_LB, LocalFrame, M2_PER_AC, RawPoint};

/// Ground speeds that a combine cuts at, m/s: 0.3 to 4.5 (0.7 to 10 mph); common practice, no source.
const SPEED_M_S: (f64, f64) = (0.3, 4.5);
/// Wet yields that a grain crop makes over a whole field, kg/m2: 0.1 to 30 t/ha; common practice, no source.
const YIELD_KG_M2: (f64, f64) = (0.01, 3.0);
/// Logged distance over distance between positions, outside which a unit is likely wrong.
const DISTANCE_RATIO: (f64, f64) = (0.5, 2.0);
/// Fewest records from which a whole file is judged.
const FEWEST: usize = 20;
/// Most records from which it is judged, evenly spread; even.
const MOST: usize = 20_000;

/// Watches points as they come for clocks that run backwards, records written twice, and units
/// that give a speed, a yield or a distance that no combine makes. Nothing is dropped: mass stays
/// where it is.
///
/// Pounds read as kilograms give 2.2 times the yield, which can be a fair crop: that mistake is
/// not caught here; only a scale ticket catches it.
#[derive(Debug)]
pub(crate) struct Watch {
    swath_m: f64,
    lb_per_bu: f64,
    before: Option<(RawPoint, (f64, f64))>,
    frame: Option<LocalFrame>,
    speeds: Spread,
    yields: Spread,
    ratios: Spread,
    found: Findings,
}

impl Watch {
    pub(crate) fn new(swath_m: f64, lb_per_bu: f64) -> Self {
        Self {
            swath_m,
            lb_per_bu,
            before: None,
            frame: None,
            speeds: Spread::default(),
            yields: Spread::default(),
            ratios: Spread::default(),
            found: Findings::default(),
        }
    }

    /// Looks at the next point.
    pub(crate) fn see(&mut self, now: &RawPoint) {
        let frame = *self
            .frame
            .get_or_insert_with(|| LocalFrame::at(now.longitude_deg, now.latitude_deg));
        let here = frame.xy(now.longitude_deg, now.latitude_deg);
        if let Some(speed) = now.speed_m_s().filter(|v| *v > 0.0) {
            self.speeds.add(speed);
        }
        let area = now.area_m2(self.swath_m);
        if now.mass_kg > 0.0 && area > 0.0 {
            self.yields.add(now.mass_kg / area);
        }
        let Some((before, there)) = self.before.replace((*now, here)) else {
            return;
        };
        let moved2 = (here.0 - there.0).powi(2) + (here.1 - there.1).powi(2);
        if moved2 > 0.04 {
            self.ratios.add(now.distance_m / moved2.sqrt());
        }
        let (Some(then), Some(time)) = (before.time_s, now.time_s) else {
            return;
        };
        if time < then {
            self.keep(
                now.row,
                FindingKind::ClockBackwards,
                format!("clock went back from {then} s to {time} s"),
            );
        }
        if time == then
            && (RawPoint {
                row: now.row,
                ..before
            }) == *now
        {
            self.keep(
                now.row,
                FindingKind::Repeated,
                "same time, place and mass as the record before".into(),
            );
        }
    }

    /// What was found, with what is wrong with the whole file at the end.
    pub(crate) fn finish(mut self) -> Findings {
        if let Some(speed) = self.speeds.median().filter(|v| !within(*v, SPEED_M_S)) {
            self.warn(
                FindingKind::ImplausibleSpeed,
                format!(
                    "median speed is {speed:.3} m/s ({:.2} mph), expected 0.3 to 4.5 m/s: check the units of distance and interval (feet and inches differ 12 times)",
                    speed / 0.447_04
                ),
            );
        }
        if let Some(wet) = self.yields.median().filter(|v| !within(*v, YIELD_KG_M2)) {
            self.warn(
                FindingKind::ImplausibleYield,
                format!(
                    "median yield is {:.4} wet bushels of {} lb an acre as cut, beyond any grain crop: check the units of mass, distance and swath",
                    wet * M2_PER_AC / KG_PER_LB / self.lb_per_bu,
                    self.lb_per_bu
                ),
            );
        }
        if let Some(ratio) = self.ratios.median().filter(|v| !within(*v, DISTANCE_RATIO)) {
            self.warn(
                FindingKind::ImplausibleDistance,
                format!(
                    "logged distances are {ratio:.3} times the distances between positions, expected about 1: check the unit of distance"
                ),
            );
        }
        self.found
    }

    fn keep(&mut self, row: u64, kind: FindingKind, what: String) {
        self.found.add(Finding {
            row: Some(row),
            byte: None,
            kind,
            what,
            done: Done::Kept,
            mass_kg: None,
        });
    }

    fn warn(&mut self, kind: FindingKind, what: String) {
        self.found.add(Finding {
            row: None,
            byte: None,
            kind,
            what,
            done: Done::Warned,
            mass_kg: None,
        });
    }
}

/// Values evenly spread over all that came: every one, then every second, fourth and so on.
#[derive(Debug)]
struct Spread {
    kept: Vec<f64>,
    every: u64,
    seen: u64,
}

impl Default for Spread {
    fn default() -> Self {
        Self {
            kept: Vec::new(),
            every: 1,
            seen: 0,
        }
    }
}

impl Spread {
    fn add(&mut self, value: f64) {
        if self.seen.is_multiple_of(self.every) {
            if self.kept.len() >= MOST {
                let mut odd = true;
                self.kept.retain(|_| {
                    odd = !odd;
                    !odd
                });
                self.every *= 2;
            }
            // MOST is even, so this one is still a multiple
            self.kept.push(value);
        }
        self.seen += 1;
    }

    /// The upper median, when there are enough to judge by.
    fn median(&mut self) -> Option<f64> {
        if self.kept.len() < FEWEST {
            return None;
        }
        let middle = self.kept.len() / 2;
        Some(*self.kept.select_nth_unstable_by(middle, f64::total_cmp).1)
    }
}

fn within(value: f64, (low, high): (f64, f64)) -> bool {
    (low..=high).contains(&value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spread_of_many_has_the_median_of_all() {
        let mut spread = Spread::default();
        for i in 0..1_000_000_u32 {
            spread.add(f64::from(i));
        }
        assert!(spread.kept.len() <= MOST && spread.kept.len() >= MOST / 2);
        assert!((spread.median().unwrap() - 500_000.0).abs() < 200.0);
        assert!(
            spread
                .kept
                .iter()
                .all(|v| (*v as u64).is_multiple_of(spread.every))
        );
    }

    #[test]
    fn clocks_and_repeats_are_flagged_and_kept() {
        let at = |row: u64, time: f64, mass: f64| RawPoint {
            time_s: Some(time),
            ..RawPoint::new(row, -93.9, 43.9, mass, 1.0, 2.0)
        };
        let mut watch = Watch::new(9.144, 56.0);
        for point in [
            at(2, 5.0, 1.0),
            at(3, 5.0, 1.0),
            at(4, 5.0, 2.0),
            at(5, 4.0, 2.0),
        ] {
            watch.see(&point);
        }
        let found = watch.finish();
        let kinds: Vec<_> = found
            .shown()
            .iter()
            .map(|f| (f.row, f.kind, f.done))
            .collect();
        assert_eq!(
            kinds,
            [
                (Some(3), FindingKind::Repeated, Done::Kept),
                (Some(5), FindingKind::ClockBackwards, Done::Kept)
            ]
        );
        assert_eq!(found.set_aside_rows(), 0);
    }
}
