//! Points by square cell.

use crate::Place;

/// Cells along a side at most, so that one point far out asks for no memory.
const MOST: f64 = 4_000.0;

/// An index over places. Ties of distance fall to the earlier place.
#[derive(Debug, Clone)]
pub struct Grid {
    places: Vec<Place>,
    low: Place,
    cell: f64,
    size: [usize; 2],
    starts: Vec<u32>,
    members: Vec<u32>,
}

impl Grid {
    /// Indexes places by cells of about this side, m; places that are not finite are never found.
    ///
    /// ```
    /// let grid = spatial::Grid::new(vec![[0.0, 0.0], [3.0, 4.0], [9.0, 9.0]], 5.0);
    /// let mut near = Vec::new();
    /// grid.nearest([0.0, 1.0], 2, |_| true, &mut near);
    /// assert_eq!(near.iter().map(|one| one.1).collect::<Vec<_>>(), [0, 1]);
    /// ```
    pub fn new(places: Vec<Place>, cell_m: f64) -> Self {
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for place in places.iter().filter(|one| finite(one)) {
            for axis in 0..2 {
                low[axis] = low[axis].min(place[axis]);
                high[axis] = high[axis].max(place[axis]);
            }
        }
        if low[0] > high[0] {
            (low, high) = ([0.0; 2], [0.0; 2]);
        }
        let span = (high[0] - low[0]).max(high[1] - low[1]);
        let cell = cell_m.max(span / MOST).max(1e-6);
        let size = [0, 1].map(|axis| ((high[axis] - low[axis]) / cell) as usize + 1);
        let mut out = Self {
            starts: vec![0; size[0] * size[1] + 1],
            members: Vec::new(),
            places,
            low,
            cell,
            size,
        };
        let cells: Vec<Option<usize>> = out
            .places
            .iter()
            .map(|place| finite(place).then(|| out.cell_of(*place)))
            .collect();
        for cell in cells.iter().flatten() {
            out.starts[cell + 1] += 1;
        }
        for at in 1..out.starts.len() {
            out.starts[at] += out.starts[at - 1];
        }
        let mut next = out.starts.clone();
        out.members = vec![0; next.last().map_or(0, |last| *last as usize)];
        for (place, cell) in cells.iter().enumerate() {
            if let Some(cell) = cell {
                out.members[next[*cell] as usize] = place as u32;
                next[*cell] += 1;
            }
        }
        out
    }

    /// The places, as given.
    pub fn places(&self) -> &[Place] {
        &self.places
    }

    fn column(&self, value: f64, axis: usize) -> usize {
        (((value - self.low[axis]) / self.cell).max(0.0) as usize).min(self.size[axis] - 1)
    }

    fn cell_of(&self, place: Place) -> usize {
        self.column(place[1], 1) * self.size[0] + self.column(place[0], 0)
    }

    /// Calls for each place of the cells that a square of this half side touches; some lie farther.
    pub fn about(&self, at: Place, half_m: f64, mut call: impl FnMut(usize)) {
        let columns = self.column(at[0] - half_m, 0)..=self.column(at[0] + half_m, 0);
        for row in self.column(at[1] - half_m, 1)..=self.column(at[1] + half_m, 1) {
            let from = self.starts[row * self.size[0] + columns.start()] as usize;
            let to = self.starts[row * self.size[0] + columns.end() + 1] as usize;
            for member in &self.members[from..to] {
                call(*member as usize);
            }
        }
    }

    /// The nearest places that are wanted, as (squared distance, index), nearest first; none of a place that is not
    /// finite.
    pub fn nearest(
        &self,
        at: Place,
        count: usize,
        wanted: impl Fn(usize) -> bool,
        out: &mut Vec<(f64, u32)>,
    ) {
        out.clear();
        if count == 0 || self.members.is_empty() || !finite(&at) {
            return;
        }
        // the cells that would hold as many if all were as full as the mean, then wider until sure
        let mean = self.members.len() as f64 / (self.size[0] * self.size[1]) as f64;
        let mut half = 0.5 * self.cell * (count as f64 / mean.max(1e-9)).sqrt().clamp(1.0, 1e4);
        let whole = self.cell * (self.size[0] + self.size[1]) as f64;
        let [x, y] = [0, 1].map(|axis| {
            let high = self.low[axis] + self.cell * self.size[axis] as f64;
            (self.low[axis] - at[axis]).max(at[axis] - high).max(0.0)
        });
        // off a corner the way is longer than along either side
        let outside = x.hypot(y);
        half += outside;
        loop {
            out.clear();
            let sure = half * half;
            self.about(at, half, |member| {
                let d = square(at, self.places[member]);
                if d <= sure && wanted(member) {
                    out.push((d, member as u32));
                }
            });
            if out.len() >= count || half > whole + outside {
                break;
            }
            half *= 1.5;
        }
        let order = |a: &(f64, u32), b: &(f64, u32)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if out.len() > count {
            out.select_nth_unstable_by(count - 1, order);
            out.truncate(count);
        }
        out.sort_unstable_by(order);
    }
}

fn finite(place: &Place) -> bool {
    place[0].is_finite() && place[1].is_finite()
}

/// Squared distance.
pub(crate) fn square(a: Place, b: Place) -> f64 {
    let (x, y) = (a[0] - b[0], a[1] - b[1]);
    x * x + y * y
}

#[cfg(test)]
mod tests {
    use super::*;
    use numeric::stream::Stream;

    #[test]
    fn nearest_are_those_of_a_full_search() {
        let mut stream = Stream::new(1, "grid", 0);
        let mut places: Vec<Place> = (0..500)
            .map(|_| [stream.between(0.0, 300.0), stream.between(0.0, 40.0)])
            .collect();
        places.push(places[3]);
        places.push([f64::NAN, 0.0]);
        let grid = Grid::new(places.clone(), 7.0);
        let mut near = Vec::new();
        for (at, count) in [
            ([150.0, 20.0], 30),
            ([-900.0, 20.0], 5),
            (places[3], 2),
            ([0.0, 0.0], 600),
            // off a corner, and more than there are: the farthest is farther than along either side
            ([-900.0, -900.0], 5),
            ([-9e4, 9e4], 30),
            ([-900.0, -900.0], 2_000),
        ] {
            grid.nearest(at, count, |i| i % 3 != 1, &mut near);
            let mut all: Vec<(f64, u32)> = (0..501)
                .filter(|i| i % 3 != 1)
                .map(|i| (square(at, places[i]), i as u32))
                .collect();
            all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            all.truncate(count);
            assert!(near == all, "{count} about {at:?}");
        }
        grid.nearest([f64::INFINITY, 0.0], 3, |_| true, &mut near);
        assert!(near.is_empty());
        Grid::new(Vec::new(), 1.0).nearest([0.0, 0.0], 3, |_| true, &mut near);
        assert!(near.is_empty());
    }
}
