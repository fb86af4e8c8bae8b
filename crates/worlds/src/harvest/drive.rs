//! The machine's way through the field, a step every tenth of a second, and what it cut on each.

use super::ground::{self, Ground, HIGH, WIDE};
use super::{Crop, Options, Preset};
use numeric::stream::Stream;

/// A step, s.
pub(super) const STEP_S: f64 = 0.1;
const SPEED: f64 = 1.85;
const SPEED_SD: f64 = 0.12;
/// What a second's speed keeps of the second before.
const SPEED_KEEPS: f64 = 0.9;
const TURNING: f64 = 2.2;
const LATE_S: f64 = 2.0;

/// A step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    /// Middle of the head, m.
    pub at: [f64; 2],
    pub ahead: [f64; 2],
    pub moved_m: f64,
    pub wet_kg: f64,
    pub dry_kg: f64,
    pub cut_m2: f64,
    /// Width cut, m.
    pub width_m: f64,
    pub down: bool,
    /// Width that the monitor believes.
    pub believed_m: f64,
}

impl Step {
    /// Ahead at a place, cutting nothing.
    fn idle(at: [f64; 2], ahead: [f64; 2], moved_m: f64, down: bool, believed_m: f64) -> Self {
        Self {
            at,
            ahead,
            moved_m,
            wet_kg: 0.0,
            dry_kg: 0.0,
            cut_m2: 0.0,
            width_m: 0.0,
            down,
            believed_m,
        }
    }

    /// The machine standing here for so long.
    fn standing(self, seconds: f64) -> impl Iterator<Item = Self> {
        let still = Self::idle(self.at, self.ahead, 0.0, self.down, self.believed_m);
        std::iter::repeat_n(still, (seconds / STEP_S) as usize)
    }
}

pub(super) struct Driven {
    pub steps: Vec<Step>,
    /// Steps at which the machine plugged, with the first step after it.
    pub plugs: Vec<(usize, usize)>,
}

/// A straight run: from, to, and the strips across it from the left of travel.
struct Run {
    from: [f64; 2],
    to: [f64; 2],
    /// Offsets of the strips from the middle, m to the left of travel, that are still to cut.
    strips: Vec<f64>,
    /// Ground where they may cut.
    low: f64,
    high: f64,
}

fn runs(options: &Options, crop: &Crop) -> Vec<Run> {
    let swath = crop.swath_m();
    let spacing = swath - crop.again as f64 * crop.strip_m;
    let mut out = Vec::new();
    // strips of a pass: `first` of them are old ground on the side where cutting began
    let strips = |first: usize, count: usize, from_left: bool| -> Vec<f64> {
        (first..count)
            .map(|k| {
                let at = (k as f64 + 0.5) * crop.strip_m - 0.5 * swath;
                if from_left { -at } else { at }
            })
            .collect()
    };
    let headland = swath + spacing;
    let old = |nth: u32| if nth == 0 { 0 } else { crop.again };
    // two rounds at each end, the first eastward; going east the south is to the right
    for at_south in [true, false] {
        for nth in 0..2_u32 {
            let eastward = nth == 0;
            let from_side = 0.5 * swath + f64::from(nth) * spacing;
            let middle = if at_south {
                from_side
            } else {
                HIGH - from_side
            };
            let mut ends = [[0.0, middle], [ground::east(middle), middle]];
            if !eastward {
                ends.reverse();
            }
            out.push(Run {
                from: ends[0],
                to: ends[1],
                strips: strips(old(nth), crop.strips, at_south != eastward),
                low: f64::NEG_INFINITY,
                high: f64::INFINITY,
            });
        }
    }
    let (south, north) = (headland, HIGH - headland);
    let mut nth = 0_u32;
    loop {
        let left = f64::from(nth) * spacing;
        let room = ((WIDE - left) / crop.strip_m + 1e-6) as usize;
        let count = room.min(crop.strips);
        // a last pass of eight rows, not of the nine that would fit
        let count = if count < crop.strips && crop.rows.is_some() {
            count.min(8)
        } else {
            count
        };
        if count <= old(nth) + 1 {
            break;
        }
        let middle = left + 0.5 * swath;
        let southward = options.one_way || nth.is_multiple_of(2);
        // point rows end where the westernmost strip leaves the field
        let top = north.min((WIDE - left) * HIGH / (WIDE - ground::east(HIGH)));
        if top - south < 20.0 {
            break;
        }
        let mut ends = [[middle, top], [middle, south]];
        if !southward {
            ends.reverse();
        }
        out.push(Run {
            from: ends[0],
            to: ends[1],
            strips: strips(old(nth), count, !southward),
            low: south,
            high: north,
        });
        nth += 1;
    }
    out
}

struct Driver<'a> {
    crop: &'a Crop,
    ground: &'a Ground,
    steps: Vec<Step>,
    speed: f64,
}

pub(super) fn drive(
    options: &Options,
    crop: &Crop,
    ground: &Ground,
    stream: &mut Stream,
) -> Driven {
    let rough = options.preset != Preset::Easy;
    let runs = runs(options, crop);
    let mut driver = Driver {
        crop,
        ground,
        steps: Vec::new(),
        speed: 0.0,
    };
    let mut plugs = Vec::new();
    let inner = 4..runs.len().saturating_sub(2).max(5);
    let pick = |stream: &mut Stream| inner.start + stream.below(inner.end - inner.start);
    let stops: Vec<usize> = (0..if rough { 3 } else { 0 })
        .map(|_| pick(stream))
        .collect();
    let plugged: Vec<usize> = (0..if rough { 2 } else { 0 })
        .map(|_| pick(stream))
        .collect();
    let head_down_turn = rough.then(|| pick(stream));
    for (nth, run) in runs.iter().enumerate() {
        let full = run.strips.len() + crop.again >= crop.strips;
        let pointed = nth >= 4 && run.from[1].max(run.to[1]) < run.high - 1.0;
        let believed = if (full && !pointed) || stream.chance(0.7) {
            crop.swath_m()
        } else {
            run.strips.len() as f64 * crop.strip_m
        };
        let length = (run.to[0] - run.from[0]).hypot(run.to[1] - run.from[1]);
        let mut halts: Vec<(f64, f64, bool)> = Vec::new();
        for (at, long, plug) in [
            (&stops, (20.0, 60.0), false),
            (&plugged, (60.0, 120.0), true),
        ] {
            for _ in at.iter().filter(|one| **one == nth) {
                let where_m = stream.between(0.25, 0.75) * length;
                halts.push((where_m, stream.between(long.0, long.1), plug));
            }
        }
        halts.sort_by(|a, b| a.0.total_cmp(&b.0));
        driver.run(run, believed, &halts, &mut plugs, stream);
        if let Some(next) = runs.get(nth + 1) {
            driver.turn(next, believed, head_down_turn == Some(nth));
        }
    }
    // standing at the end until the machine is empty
    if let Some(last) = driver.steps.last().copied() {
        let up = Step {
            down: false,
            ..last
        };
        driver.steps.extend(up.standing(60.0));
    }
    Driven {
        steps: driver.steps,
        plugs,
    }
}

impl Driver<'_> {
    fn run(
        &mut self,
        run: &Run,
        believed: f64,
        halts: &[(f64, f64, bool)],
        plugs: &mut Vec<(usize, usize)>,
        stream: &mut Stream,
    ) {
        let length = (run.to[0] - run.from[0]).hypot(run.to[1] - run.from[1]);
        let u = [
            (run.to[0] - run.from[0]) / length,
            (run.to[1] - run.from[1]) / length,
        ];
        let left = [-u[1], u[0]];
        let mut gone = 0.0;
        let mut halts = halts.iter().peekable();
        let (mut out_s, mut nth) = (0.0, 0_u32);
        let keeps = SPEED_KEEPS;
        while gone < length {
            if nth.is_multiple_of(10) {
                let fresh = SPEED_SD * (1.0 - keeps * keeps).sqrt();
                self.speed = keeps * self.speed + fresh * stream.normal();
            }
            nth += 1;
            if let Some((at, seconds, plug)) = halts.peek()
                && gone >= *at
            {
                let from = self.steps.len();
                let here = self.steps.last().copied();
                let here = here.unwrap_or(Step::idle(run.from, u, 0.0, true, believed));
                self.steps.extend(here.standing(*seconds));
                if *plug {
                    plugs.push((from, self.steps.len()));
                }
                halts.next();
            }
            let moved = STEP_S * SPEED * (1.0 + self.speed).max(0.3);
            let middle = gone + 0.5 * moved;
            let at = [run.from[0] + u[0] * middle, run.from[1] + u[1] * middle];
            let second = self.steps.len() as f64 * STEP_S;
            let mut step = Step::idle(at, u, moved, true, believed);
            let wet = self.ground.moisture_pct(at[0], at[1], second) / 100.0;
            for strip in &run.strips {
                let (x, y) = (at[0] + left[0] * strip, at[1] + left[1] * strip);
                if !ground::inside(x, y) || y < run.low || y > run.high {
                    continue;
                }
                let ground_m2 = self.crop.strip_m * moved;
                let dry = self.crop.kg_m2(self.ground.dry_bu_ac(x, y)) * ground_m2;
                step.dry_kg += dry;
                step.wet_kg += dry * (1.0 - self.crop.base) / (1.0 - wet);
                step.cut_m2 += ground_m2;
                step.width_m += self.crop.strip_m;
            }
            out_s = if step.width_m > 0.0 {
                0.0
            } else {
                out_s + STEP_S
            };
            step.down = out_s <= LATE_S;
            self.steps.push(step);
            gone += moved;
        }
        // raised late
        for _ in 0..(LATE_S / STEP_S) as usize {
            let moved = STEP_S * SPEED;
            let last = self.steps.last().map_or(run.to, |one| one.at);
            let at = [last[0] + u[0] * moved, last[1] + u[1] * moved];
            self.steps.push(Step::idle(at, u, moved, true, believed));
        }
    }

    /// Out in line, round, and to where the next run begins, head up.
    fn turn(&mut self, next: &Run, believed: f64, down: bool) {
        let Some(last) = self.steps.last().copied() else {
            return;
        };
        let length = (next.to[0] - next.from[0]).hypot(next.to[1] - next.from[1]);
        let v = [
            (next.to[0] - next.from[0]) / length,
            (next.to[1] - next.from[1]) / length,
        ];
        // a Bezier curve that leaves in line and comes in line
        let (a, d) = (last.at, next.from);
        let apart = (d[0] - a[0]).hypot(d[1] - a[1]);
        let reach = (0.5 * apart).clamp(16.0, 60.0);
        let b = [a[0] + reach * last.ahead[0], a[1] + reach * last.ahead[1]];
        let c = [d[0] - reach * v[0], d[1] - reach * v[1]];
        let place = |t: f64| {
            let s = 1.0 - t;
            let w = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
            [0, 1].map(|k| w[0] * a[k] + w[1] * b[k] + w[2] * c[k] + w[3] * d[k])
        };
        let fine: Vec<[f64; 2]> = (0..=400).map(|k| place(f64::from(k) / 400.0)).collect();
        let moved = STEP_S * TURNING;
        let mut carried = 0.0;
        for pair in fine.windows(2) {
            let step = [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]];
            let long = step[0].hypot(step[1]);
            carried += long;
            while carried >= moved && long > 0.0 {
                carried -= moved;
                let back = carried / long;
                let at = [pair[1][0] - back * step[0], pair[1][1] - back * step[1]];
                let ahead = [step[0] / long, step[1] / long];
                self.steps
                    .push(Step::idle(at, ahead, moved, down, believed));
            }
        }
    }
}
