//! Adding up points as they come.

use crate::check::Watch;
use crate::passes::Cutter;
use crate::{
    CropBasis, KG_PER_LB, M2_PER_AC, PassTotals, RawPoint, SHORT_PASS, Sum, Summary, TankTotals,
    Track, TrackError,
};
use quantity::Moisture;

/// A summary in the making, for a file too large to hold: give it the points in order, piece by piece.
///
/// Where the pieces are cut does not matter; [`crate::summary()`] is one piece.
///
/// ```
/// use track::{CropBasis, RawPoint, Totals, Track, summary};
/// let points: Vec<_> = (0..100)
///     .map(|i| RawPoint::new(i + 2, -93.9, 43.9 + i as f64 * 1.8e-5, 10.0, 1.0, 2.0))
///     .collect();
/// let basis = CropBasis {
///     crop: "corn".into(),
///     base_moisture: quantity::Moisture::from_percent(15.5)?,
///     lb_per_bu: 56.0,
///     moisture_if_unmeasured: Some(quantity::Moisture::from_percent(18.0)?),
/// };
/// let mut totals = Totals::new(9.144, &basis)?;
/// for piece in points.chunks(7) {
///     totals.add(piece);
/// }
/// let whole = Track::of(points);
/// assert_eq!(totals.finish(&whole)?, summary(&whole, 9.144, &basis)?);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Totals {
    basis: CropBasis,
    count: Counting,
    cutter: Cutter,
    watch: Watch,
    n: u64,
    unmeasured: u64,
    first_unmeasured: Option<u64>,
    all: Tally,
    passes: Vec<PassTotals>,
    pass: Option<Run>,
    tanks: Vec<Option<Run>>,
    no_tank: u64,
}

impl Totals {
    /// Nothing yet.
    ///
    /// # Errors
    /// A swath or test weight that cannot be.
    pub fn new(swath_m: f64, basis: &CropBasis) -> Result<Self, TrackError> {
        if !(0.3..=30.0).contains(&swath_m) {
            return Err(TrackError::Swath { found_m: swath_m });
        }
        if !(10.0..=100.0).contains(&basis.lb_per_bu) {
            return Err(TrackError::PoundsPerBushel {
                found: basis.lb_per_bu,
            });
        }
        Ok(Self {
            count: Counting {
                swath_m,
                fallback: basis.moisture_if_unmeasured.map_or(0.0, Moisture::fraction),
                bushel_kg: (1.0 - basis.base_moisture.fraction()) * basis.lb_per_bu * KG_PER_LB,
            },
            basis: basis.clone(),
            cutter: Cutter::new(swath_m),
            watch: Watch::new(swath_m, basis.lb_per_bu),
            n: 0,
            unmeasured: 0,
            first_unmeasured: None,
            all: Tally::default(),
            passes: Vec::new(),
            pass: None,
            tanks: Vec::new(),
            no_tank: 0,
        })
    }

    /// Adds the next points, in the order of the log.
    pub fn add(&mut self, points: &[RawPoint]) {
        for point in points {
            self.n += 1;
            if point.moisture.is_none() {
                self.unmeasured += 1;
                self.first_unmeasured.get_or_insert(point.row);
            }
            self.watch.see(point);
            if self.cutter.begins(point) {
                self.end_pass();
            }
            self.pass
                .get_or_insert_with(|| Run::new(point))
                .add(point, &self.count);
            match point.load {
                Some(load) => {
                    let load = load as usize;
                    if load >= self.tanks.len() {
                        self.tanks.resize(load + 1, None);
                    }
                    self.tanks[load]
                        .get_or_insert_with(|| Run::new(point))
                        .add(point, &self.count);
                }
                None => self.no_tank += 1,
            }
        }
    }

    /// The summary. Of the track, only its loads, findings and rows read are used.
    ///
    /// # Errors
    /// No points, or a point without moisture when none was given.
    pub fn finish(mut self, track: &Track) -> Result<Summary, TrackError> {
        if self.n == 0 {
            return Err(TrackError::Empty);
        }
        if let Some(row) = self
            .first_unmeasured
            .filter(|_| self.basis.moisture_if_unmeasured.is_none())
        {
            return Err(TrackError::NoMoisture { row });
        }
        self.end_pass();
        let mut findings = track.findings.clone();
        findings.append(self.watch.finish());
        let (wet_kg, dry_bu) = (
            self.all.wet.value(),
            self.all.dry.value() / self.count.bushel_kg,
        );
        let bu_per_kg = if wet_kg > 0.0 { dry_bu / wet_kg } else { 0.0 };
        let tanks = track.loads.iter().zip(&self.tanks);
        Ok(Summary {
            crop: self.basis.crop,
            n: self.n,
            rows_read: track.rows_read,
            swath_in: self.count.swath_m / crate::M_PER_FT * 12.0,
            area_ac: self.all.area_ac(),
            acres: "cut".into(),
            wet_lb: self.all.wet_lb(),
            dry_matter_lb: self.all.dry.value() / KG_PER_LB,
            dry_bu,
            base_moisture_pct: self.basis.base_moisture.percent(),
            lb_per_bu: self.basis.lb_per_bu,
            yield_bu_per_ac: per(dry_bu, self.all.area_ac()),
            moisture_pct_mass_weighted: self.all.moisture_pct(),
            moisture_assumed_rows: self.unmeasured,
            short_passes: self
                .passes
                .iter()
                .filter(|pass| pass.n < SHORT_PASS)
                .count() as u64,
            passes: self.passes,
            no_tank_rows: if track.loads.is_empty() {
                0
            } else {
                self.no_tank
            },
            tanks: tanks
                .filter_map(|(name, run)| Some(run.as_ref()?.tank(name, &self.count)))
                .collect(),
            findings: findings.totals(bu_per_kg),
        })
    }

    fn end_pass(&mut self) {
        if let Some(run) = self.pass.take() {
            self.all.merge(&run.tally);
            self.passes
                .push(run.pass(self.passes.len() as u64 + 1, &self.count));
        }
    }
}

/// The three numbers that every record is counted with.
#[derive(Debug)]
struct Counting {
    swath_m: f64,
    /// Moisture of records without one.
    fallback: f64,
    /// Dry matter in one bushel, kg.
    bushel_kg: f64,
}

/// A pass or a tank in the making.
#[derive(Debug, Clone)]
struct Run {
    first_row: u64,
    last_row: u64,
    start_s: Option<f64>,
    end_s: Option<f64>,
    n: u64,
    tally: Tally,
}

impl Run {
    fn new(first: &RawPoint) -> Self {
        Self {
            first_row: first.row,
            last_row: first.row,
            start_s: first.time_s,
            end_s: first.time_s,
            n: 0,
            tally: Tally::default(),
        }
    }

    fn add(&mut self, point: &RawPoint, count: &Counting) {
        self.last_row = point.row;
        self.end_s = point.time_s;
        self.n += 1;
        self.tally.add(point, count);
    }

    fn pass(&self, number: u64, count: &Counting) -> PassTotals {
        let dry_bu = self.tally.dry.value() / count.bushel_kg;
        PassTotals {
            pass: number,
            first_row: self.first_row,
            last_row: self.last_row,
            n: self.n,
            area_ac: self.tally.area_ac(),
            wet_lb: self.tally.wet_lb(),
            dry_bu,
            yield_bu_per_ac: per(dry_bu, self.tally.area_ac()),
        }
    }

    fn tank(&self, name: &str, count: &Counting) -> TankTotals {
        TankTotals {
            tank: name.to_string(),
            first_row: self.first_row,
            last_row: self.last_row,
            n: self.n,
            start_s: self.start_s,
            end_s: self.end_s,
            area_ac: self.tally.area_ac(),
            monitor_wet_lb: self.tally.wet_lb(),
            monitor_moisture_pct: self.tally.moisture_pct(),
            monitor_dry_bu: self.tally.dry.value() / count.bushel_kg,
        }
    }
}

#[derive(Debug, Clone, Default)]
struct Tally {
    wet: Sum,
    dry: Sum,
    area: Sum,
}

impl Tally {
    fn add(&mut self, point: &RawPoint, count: &Counting) {
        self.wet.add(point.mass_kg);
        self.dry
            .add(point.mass_kg * (1.0 - point.moisture.unwrap_or(count.fallback)));
        self.area.add(point.area_m2(count.swath_m));
    }

    fn merge(&mut self, other: &Self) {
        self.wet.merge(other.wet);
        self.dry.merge(other.dry);
        self.area.merge(other.area);
    }

    fn area_ac(&self) -> f64 {
        self.area.value() / M2_PER_AC
    }

    fn wet_lb(&self) -> f64 {
        self.wet.value() / KG_PER_LB
    }

    fn moisture_pct(&self) -> Option<f64> {
        per(
            100.0 * (self.wet.value() - self.dry.value()),
            self.wet.value(),
        )
    }
}

fn per(amount: f64, of: f64) -> Option<f64> {
    (of > 0.0).then(|| amount / of)
}
