//! Where the head was: meters, heading, jumps of the receiver.

use crate::{LocalFrame, Pass, RawPoint};

/// A step that disagrees by more than this with the logged distance is a jump, m.
const ALONG_M: f64 = 6.0;
/// A place further than this from the line of its neighbors is a jump, m.
const ACROSS_M: f64 = 4.0;
/// Heading is taken over at least this far, m.
const REACH_M: f64 = 4.0;

/// Where a record was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    /// Meters east and north of the frame's origin, at the end of the record.
    pub at: (f64, f64),
    /// Unit vector of travel; (0, 0) where nothing moved.
    pub ahead: (f64, f64),
    /// The receiver jumped here.
    pub jump: bool,
}

impl Place {
    /// Middle of the ground of a record of this length, `offset` meters ahead of the antenna.
    pub(super) fn middle(&self, distance_m: f64, offset_m: f64) -> (f64, f64) {
        let along = offset_m - 0.5 * distance_m;
        (
            self.at.0 + along * self.ahead.0,
            self.at.1 + along * self.ahead.1,
        )
    }
}

/// Places of all records in a frame, pass by pass.
pub(super) fn places(points: &[RawPoint], passes: &[Pass], frame: &LocalFrame) -> Vec<Place> {
    let mut out: Vec<Place> = points
        .iter()
        .map(|one| Place {
            at: frame.xy(one.longitude_deg, one.latitude_deg),
            ahead: (0.0, 0.0),
            jump: false,
        })
        .collect();
    for pass in passes {
        jumps(points, &mut out, *pass);
        headings(&mut out, *pass);
    }
    out
}

/// Marks records off the line through the median of their neighbors, or a step that the wheels did not make.
fn jumps(points: &[RawPoint], places: &mut [Place], pass: Pass) {
    const SIDE: usize = 4;
    for i in pass.start..pass.end {
        let low = i.saturating_sub(SIDE).max(pass.start);
        let high = (i + SIDE + 1).min(pass.end);
        if high - low < 5 {
            continue;
        }
        // where each neighbor says this one is: along the chord of the window, by logged distance
        let (a, b) = (places[low].at, places[high - 1].at);
        let chord = (b.0 - a.0, b.1 - a.1);
        let length = chord.0.hypot(chord.1);
        if length < REACH_M {
            continue;
        }
        let u = (chord.0 / length, chord.1 / length);
        let (mut across, mut along) = (Vec::with_capacity(8), Vec::with_capacity(8));
        let mut gone = 0.0;
        let mut way: Vec<f64> = Vec::with_capacity(high - low);
        for one in &points[low..high] {
            gone += one.distance_m;
            way.push(gone);
        }
        for j in low..high {
            if j == i {
                continue;
            }
            let d = (
                places[i].at.0 - places[j].at.0,
                places[i].at.1 - places[j].at.1,
            );
            across.push(u.0 * d.1 - u.1 * d.0);
            along.push(u.0 * d.0 + u.1 * d.1 - (way[i - low] - way[j - low]));
        }
        let off = |all: &mut Vec<f64>| super::median(all).map_or(0.0, f64::abs);
        if off(&mut across) > ACROSS_M || off(&mut along) > ALONG_M {
            places[i].jump = true;
        }
    }
}

fn headings(places: &mut [Place], pass: Pass) {
    let good: Vec<usize> = (pass.start..pass.end)
        .filter(|i| !places[*i].jump)
        .collect();
    let mut last = (0.0, 0.0);
    let mut found: Vec<(f64, f64)> = Vec::with_capacity(good.len());
    for nth in 0..good.len() {
        let (mut low, mut high) = (nth, nth);
        let heading = loop {
            let (wider_low, wider_high) = (low.saturating_sub(1), (high + 1).min(good.len() - 1));
            let (a, b) = (places[good[wider_low]].at, places[good[wider_high]].at);
            let d = (b.0 - a.0, b.1 - a.1);
            let length = d.0.hypot(d.1);
            if length >= REACH_M {
                break Some((d.0 / length, d.1 / length));
            }
            if (wider_low, wider_high) == (low, high) || wider_high - wider_low > 60 {
                break None;
            }
            (low, high) = (wider_low, wider_high);
        };
        last = heading.unwrap_or(last);
        found.push(last);
    }
    // the first ones of a pass that began standing look where it went
    if let Some(first) = found.iter().copied().find(|one| *one != (0.0, 0.0)) {
        for one in found.iter_mut().take_while(|one| **one == (0.0, 0.0)) {
            *one = first;
        }
    }
    let mut next = 0;
    for (i, place) in places
        .iter_mut()
        .enumerate()
        .take(pass.end)
        .skip(pass.start)
    {
        if next < good.len() && good[next] == i {
            place.ahead = found[next];
            next += 1;
        } else if let Some(before) = next.checked_sub(1) {
            place.ahead = found[before];
        }
    }
}
