//! Raw combine points whose truth is known: a field, a machine that smears and delays, a receiver that drifts, an
//! operator who is late, and the tickets.
//!
//! Grain is taken row by row, every tenth of a second, and carried without loss through the machine: what the loads
//! hold is what the rows gave. Figures are plausible values from the literature on yield monitors and, where it says
//! nothing, our guesses; no real machine is meant.
//!
//! Limitations: rows run north and south but for two rounds at each end; one machine, one day; unloading takes no
//! time; no hills.

mod drive;
mod flow;
mod ground;
mod monitor;

pub use ground::{Edges, Spot, Trees};

use ground::Ground;
use numeric::stream::Stream;

/// Which imperfections.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Preset {
    /// Little noise, no jump, plug, stop or gap.
    Easy,
    /// A continuous log with a head flag.
    Default,
    /// Head-down records only, no flag, 9 s taken out already.
    Export,
    /// Every third second, a poor receiver, a wrong delay taken out.
    Hard,
    /// Solid seeded, every pass overlapping.
    Drilled,
}

impl Preset {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Easy,
        Self::Default,
        Self::Export,
        Self::Hard,
        Self::Drilled,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Easy => "easy",
            Self::Default => "default",
            Self::Export => "export",
            Self::Hard => "hard",
            Self::Drilled => "drilled",
        }
    }
}

/// What to simulate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Which imperfections.
    pub preset: Preset,
    /// Seed of everything drawn.
    pub seed: u64,
    /// What the trees take.
    pub trees: Trees,
    /// What the other edges take.
    pub edges: Edges,
    /// Whether every pass runs the same way.
    pub one_way: bool,
}

impl Options {
    /// A preset as it is.
    pub fn of(preset: Preset, seed: u64) -> Self {
        Self {
            preset,
            seed,
            trees: Trees {
                height_m: 15.0,
                depth: 0.7,
                reach: 0.5,
                gain: 0.04,
            },
            edges: Edges {
                headland: 0.12,
                strip: 0.05,
                strip_m: 5.0,
            },
            one_way: false,
        }
    }
}

/// One record as a monitor writes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Logged {
    /// Degrees east.
    pub longitude_deg: f64,
    /// Degrees north.
    pub latitude_deg: f64,
    /// End of the record, s since ten in the morning.
    pub time_s: f64,
    /// Its length, s.
    pub interval_s: f64,
    /// Travelled, m.
    pub distance_m: f64,
    /// Wet grain over the sensor, kg.
    pub wet_kg: f64,
    /// Moisture, fraction wet basis.
    pub moisture: Option<f64>,
    /// Width that the monitor believes is cut, m.
    pub width_m: f64,
    /// Head down, where the log has a flag.
    pub head_down: Option<bool>,
    /// Load, from 0.
    pub load: u32,
}

/// What is true of a record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Behind {
    /// Middle of the head, m.
    pub at: [f64; 2],
    /// Width cut, m; 0 out of the crop.
    pub width_m: f64,
    /// Dry yield of the ground cut, bu/ac; 0 out of the crop.
    pub dry_bu_ac: f64,
}

/// A scale ticket of one load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ticket {
    /// The load.
    pub load: u32,
    /// Wet, lb, in the scale's steps.
    pub wet_lb: f64,
    /// Moisture, fraction wet basis.
    pub moisture: f64,
    /// What it truly held: wet kg.
    pub true_wet_kg: f64,
    /// What it truly held: dry at the base, kg.
    pub true_dry_kg: f64,
}

/// A side of the field, or the waterway.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// trees, fence, road or waterway.
    pub kind: &'static str,
    /// Corners, m.
    pub points: Vec<[f64; 2]>,
}

/// Truth on a grid of 10 m, its south-west corner at the field's.
#[derive(Debug, Clone, PartialEq)]
pub struct Cells {
    /// Columns.
    pub wide: usize,
    /// Rows.
    pub high: usize,
    /// Mean dry yield over the part inside the boundary, bu/ac, row by row from the south.
    pub dry_bu_ac: Vec<f64>,
    /// Whether the middle lies inside.
    pub inside: Vec<bool>,
}

/// The side of a cell, m.
pub const CELL_M: f64 = 10.0;

/// What the edges took of the ground that lies nearest to one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// Ground, m2.
    pub area_m2: f64,
    /// Dry yield there without any edge, mean, bu/ac.
    pub open_bu_ac: f64,
    /// What trees, headlands and strips took of it, dry bu.
    pub lost_bu: f64,
}

/// What is true of the whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// The grid.
    pub cells: Cells,
    /// One for each record.
    pub records: Vec<Behind>,
    /// Residual delay: the shift, s, that best lays the sensor's stream without noise on the flow at the head,
    /// less what was taken out; above 0 the log is late.
    pub delay_s: f64,
    /// Ground cut, m2.
    pub cut_m2: f64,
    /// Field by its boundary, m2.
    pub field_m2: f64,
    /// Grain taken, wet kg.
    pub wet_kg: f64,
    /// Grain taken, dry at the base, kg.
    pub dry_kg: f64,
    /// Drowned spots.
    pub spots: Vec<Spot>,
    /// What trees take.
    pub trees: Trees,
    /// What its edges took, by side.
    pub taken: Vec<Taken>,
    /// Meters of the antenna behind the head.
    pub antenna_behind_m: f64,
}

/// A harvest.
#[derive(Debug, Clone, PartialEq)]
pub struct Harvest {
    /// The log.
    pub points: Vec<Logged>,
    /// The tickets.
    pub tickets: Vec<Ticket>,
    /// Boundary, m from the south-west corner.
    pub rings: Vec<Vec<[f64; 2]>>,
    /// What its sides are; [`Truth::taken`] has one for each.
    pub sides: Vec<Line>,
    /// Longitude and latitude of the south-west corner.
    pub origin: [f64; 2],
    /// Width of the head, m.
    pub swath_m: f64,
    /// Rows, of a row crop.
    pub rows: Option<u32>,
    /// Base moisture, fraction.
    pub base_moisture: f64,
    /// Pounds in a bushel.
    pub lb_per_bu: f64,
    /// What is true.
    pub truth: Truth,
}

const ORIGIN: [f64; 2] = [-93.5, 42.0];
/// Kilograms in a pound.
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Square meters in an acre.
pub const M2_PER_AC: f64 = 4_046.856_422_4;

/// The head and the crop.
#[derive(Debug, Clone, Copy)]
struct Crop {
    /// Width of a strip: a row, or a quarter meter of a drilled head.
    strip_m: f64,
    /// Strips in the head.
    strips: usize,
    /// Strips that a pass takes again.
    again: usize,
    rows: Option<u32>,
    base: f64,
    lb_per_bu: f64,
}

impl Crop {
    fn of(preset: Preset) -> Self {
        if preset == Preset::Drilled {
            return Self {
                strip_m: 0.25,
                strips: 40,
                again: 1,
                rows: None,
                base: 0.13,
                lb_per_bu: 60.0,
            };
        }
        Self {
            strip_m: 0.762,
            strips: 12,
            again: 0,
            rows: Some(12),
            base: 0.155,
            lb_per_bu: 56.0,
        }
    }
    fn swath_m(&self) -> f64 {
        self.strip_m * self.strips as f64
    }
    /// Kilograms a square meter, dry at base, of bushels an acre.
    fn kg_m2(&self, bu_ac: f64) -> f64 {
        bu_ac * self.lb_per_bu * KG_PER_LB / M2_PER_AC
    }
}

/// Longitude and latitude of a place in the field: the two radii of curvature of WGS 84 at its corner.
pub fn degrees(at: [f64; 2]) -> [f64; 2] {
    const A: f64 = 6_378_137.0;
    const F: f64 = 1.0 / 298.257_223_563;
    const E2: f64 = F * (2.0 - F);
    let (sin, cos) = ORIGIN[1].to_radians().sin_cos();
    let w2 = 1.0 - E2 * sin * sin;
    let east = (A / w2.sqrt() * cos).to_radians();
    let north = (A * (1.0 - E2) / (w2 * w2.sqrt())).to_radians();
    [ORIGIN[0] + at[0] / east, ORIGIN[1] + at[1] / north]
}

/// Harvests a field.
///
/// ```
/// use worlds::harvest::{Options, Preset, simulate};
/// let harvest = simulate(&Options::of(Preset::Easy, 1));
/// let loads: f64 = harvest.tickets.iter().map(|one| one.true_wet_kg).sum();
/// assert!((loads / harvest.truth.wet_kg - 1.0).abs() < 1e-9);
/// ```
pub fn simulate(options: &Options) -> Harvest {
    let crop = Crop::of(options.preset);
    let mut stream = Stream::new(options.seed, options.preset.name(), 0);
    let ground = Ground::new(options, crop.swath_m(), &mut stream);
    let driven = drive::drive(options, &crop, &ground, &mut stream);
    let arrived = flow::arrive(options, &driven);
    let (points, records) = monitor::write(options, &crop, &driven, &arrived, &mut stream);
    let tickets = flow::tickets(&arrived, &mut stream);
    let (cells, taken) = cells(&ground);
    Harvest {
        points,
        tickets,
        rings: ground::rings(),
        sides: ground::sides(),
        origin: ORIGIN,
        swath_m: crop.swath_m(),
        rows: crop.rows,
        base_moisture: crop.base,
        lb_per_bu: crop.lb_per_bu,
        truth: Truth {
            cells,
            records,
            delay_s: flow::true_delay(options, &driven, &arrived),
            cut_m2: driven.steps.iter().map(|one| one.cut_m2).sum(),
            field_m2: 55.17 * M2_PER_AC,
            wet_kg: driven.steps.iter().map(|one| one.wet_kg).sum(),
            dry_kg: driven.steps.iter().map(|one| one.dry_kg).sum(),
            spots: ground.spots.clone(),
            trees: options.trees,
            taken,
            antenna_behind_m: monitor::antenna_behind_m(options.preset),
        },
    }
}

/// The truth on the grid and by side, from places a meter apart.
fn cells(ground: &Ground) -> (Cells, Vec<Taken>) {
    let (wide, high) = (40, 62);
    let mut out = Cells {
        wide,
        high,
        dry_bu_ac: vec![0.0; wide * high],
        inside: vec![false; wide * high],
    };
    let mut taken = vec![[0.0; 3]; ground::SIDES];
    for j in 0..high {
        for i in 0..wide {
            let corner = [i as f64 * CELL_M, j as f64 * CELL_M];
            let (mut sum, mut n) = (0.0, 0.0);
            for a in 0..10 {
                for b in 0..10 {
                    let at = [
                        corner[0] + f64::from(a) + 0.5,
                        corner[1] + f64::from(b) + 0.5,
                    ];
                    if ground::inside(at[0], at[1]) {
                        let (open, dry) = ground.open_and_dry_bu_ac(at[0], at[1]);
                        sum += dry;
                        n += 1.0;
                        let side = &mut taken[ground::nearest_side(at[0], at[1]).0];
                        for (total, one) in side.iter_mut().zip([1.0, open, open - dry]) {
                            *total += one;
                        }
                    }
                }
            }
            out.dry_bu_ac[j * wide + i] = if n > 0.0 { sum / n } else { 0.0 };
            out.inside[j * wide + i] = ground::inside(corner[0] + 5.0, corner[1] + 5.0);
        }
    }
    let taken = taken.into_iter().map(|[area_m2, open, lost]| Taken {
        area_m2,
        open_bu_ac: open / area_m2,
        lost_bu: lost / M2_PER_AC,
    });
    (out, taken.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_edges_took_is_what_the_field_is_short_of() {
        let usual = Options::of(Preset::Easy, 3);
        let open = Options {
            trees: Trees {
                depth: 0.0,
                gain: 0.0,
                ..usual.trees
            },
            edges: Edges::NONE,
            ..usual
        };
        let grown = |options: &Options| {
            let crop = Crop::of(options.preset);
            let mut stream = Stream::new(options.seed, options.preset.name(), 0);
            cells(&Ground::new(options, crop.swath_m(), &mut stream))
        };
        let ((with, taken), (without, nothing)) = (grown(&usual), grown(&open));
        assert!(nothing.iter().all(|side| side.lost_bu == 0.0));
        assert!(taken.iter().all(|side| side.lost_bu > 0.0));
        let area: f64 = taken.iter().map(|side| side.area_m2).sum();
        assert!((area / M2_PER_AC - 55.17).abs() < 0.05, "{area}");
        let lost: f64 = taken.iter().map(|side| side.lost_bu).sum();
        let places = |cell: usize| {
            let (i, j) = (cell % with.wide, cell / with.wide);
            let at = |k: usize, nth: usize| k as f64 * CELL_M + nth as f64 + 0.5;
            let held = (0..100).filter(|n| ground::inside(at(i, n % 10), at(j, n / 10)));
            held.count() as f64
        };
        let short: f64 = (0..with.dry_bu_ac.len())
            .map(|c| (without.dry_bu_ac[c] - with.dry_bu_ac[c]) * places(c) / M2_PER_AC)
            .sum();
        assert!((lost / short - 1.0).abs() < 1e-9, "{lost} {short}");
    }
}
