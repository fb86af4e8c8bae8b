//! What a track adds up to.

use crate::{
    FindingTotals, KG_PER_LB, M2_PER_AC, Pass, RawPoint, Sum, Track, TrackError, check, passes,
};
use quantity::Moisture;
use serde::Serialize;

/// Passes with fewer records than this are called short: starts, ends and turns
/// (threshold: common practice, no source).
pub const SHORT_PASS: usize = 12;

/// How dry bushels are counted. Base moisture belongs to the buyer or the crop, so it is an argument.
#[derive(Debug, Clone, PartialEq)]
pub struct CropBasis {
    /// Crop, for the reader.
    pub crop: String,
    /// Moisture at which dry bushels are counted (corn usually 15.5 %).
    pub base_moisture: Moisture,
    /// Pounds in a bushel (corn 56).
    pub lb_per_bu: f64,
    /// Moisture taken for records that carry none; without it they are an error.
    pub moisture_if_unmeasured: Option<Moisture>,
}

/// Totals of one pass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassTotals {
    /// Number, from 1, in the order of the log.
    pub pass: u64,
    /// Row of its first record.
    pub first_row: u64,
    /// Row of its last record.
    pub last_row: u64,
    /// Records.
    pub n: u64,
    /// Area cut, acres.
    pub area_ac: f64,
    /// Wet grain, lb.
    pub wet_lb: f64,
    /// Bushels at the base moisture.
    pub dry_bu: f64,
    /// Bushels at the base moisture per acre cut; `None` when no area was cut.
    pub yield_bu_per_ac: Option<f64>,
}

/// Totals of one machine tank, as the monitor saw it: evidence for the account, not a weight.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TankTotals {
    /// Load as named in the file.
    pub tank: String,
    /// Row of its first record.
    pub first_row: u64,
    /// Row of its last record.
    pub last_row: u64,
    /// Records.
    pub n: u64,
    /// Logged time of its first record, s, on the log's clock.
    pub start_s: Option<f64>,
    /// Logged time of its last record, s.
    pub end_s: Option<f64>,
    /// Area cut, acres.
    pub area_ac: f64,
    /// Wet grain by the monitor, lb.
    pub monitor_wet_lb: f64,
    /// Mass-weighted moisture by the monitor, per cent wet basis; `None` when it holds no grain.
    pub monitor_moisture_pct: Option<f64>,
    /// Bushels at the base moisture by the monitor.
    pub monitor_dry_bu: f64,
}

/// What a track adds up to; printed as it is by `--json`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Crop.
    pub crop: String,
    /// Records in the totals.
    pub n: u64,
    /// Records read: `n` + `findings.set_aside_rows`.
    pub rows_read: u64,
    /// Cutting width used where the log has none, inches.
    pub swath_in: f64,
    /// Area, acres.
    pub area_ac: f64,
    /// Which acres those are: "cut", width times distance with the head down, overlap counted twice.
    pub acres: String,
    /// Wet grain, lb.
    pub wet_lb: f64,
    /// Dry matter, lb.
    pub dry_matter_lb: f64,
    /// Bushels at `base_moisture_pct` and `lb_per_bu`.
    pub dry_bu: f64,
    /// Moisture at which `dry_bu` is counted, per cent wet basis.
    pub base_moisture_pct: f64,
    /// Pounds in one of those bushels.
    pub lb_per_bu: f64,
    /// `dry_bu` per acre cut, area-weighted (total over total); `None` when no area was cut.
    pub yield_bu_per_ac: Option<f64>,
    /// Moisture weighted by wet mass, per cent wet basis; `None` when there is no grain.
    pub moisture_pct_mass_weighted: Option<f64>,
    /// Records whose moisture was not measured and was taken as given.
    pub moisture_assumed_rows: u64,
    /// Passes, in the order of the log.
    pub passes: Vec<PassTotals>,
    /// How many of them have fewer than 12 records.
    pub short_passes: u64,
    /// Tanks, in order of first appearance; empty when the log has no load column.
    pub tanks: Vec<TankTotals>,
    /// Records of a file with loads that belong to none.
    pub no_tank_rows: u64,
    /// What was found on the way.
    pub findings: FindingTotals,
}

/// Adds up a track: area, wet and dry mass, yield, moisture, by pass and by tank.
///
/// `dry_bu = sum of wet_lb x (100 - M) / (100 - Mbase) / lb_per_bu`, each record at its own
/// moisture: the dry-matter rule, which is not an elevator's shrink factor. Yield is area-weighted,
/// total bushels over total acres, so a slow record does not count as much as a fast one.
/// The order of the points fixes every rounding, so the result is the same on any machine.
///
/// # Errors
/// A swath or test weight that cannot be, no points, or a point without moisture when none is given.
pub fn summary(track: &Track, swath_m: f64, basis: &CropBasis) -> Result<Summary, TrackError> {
    if !(0.3..=30.0).contains(&swath_m) {
        return Err(TrackError::Swath { found_m: swath_m });
    }
    if !(10.0..=100.0).contains(&basis.lb_per_bu) {
        return Err(TrackError::PoundsPerBushel {
            found: basis.lb_per_bu,
        });
    }
    let points = &track.points;
    if points.is_empty() {
        return Err(TrackError::Empty);
    }
    let unmeasured = points.iter().filter(|p| p.moisture.is_none());
    if basis.moisture_if_unmeasured.is_none()
        && let Some(point) = unmeasured.clone().next()
    {
        return Err(TrackError::NoMoisture { row: point.row });
    }
    let fallback = basis.moisture_if_unmeasured.map_or(0.0, Moisture::fraction);
    let count = Counting {
        swath_m,
        fallback,
        bushel_kg: (1.0 - basis.base_moisture.fraction()) * basis.lb_per_bu * KG_PER_LB,
    };

    let cut = passes::cut(points, swath_m);
    let mut all = Tally::default();
    let mut passes = Vec::with_capacity(cut.len());
    for (pass, number) in cut.iter().zip(1..) {
        let (totals, tally) = pass_totals(points, *pass, number, &count);
        all.merge(&tally);
        passes.push(totals);
    }
    let mut findings = track.findings.clone();
    for finding in check::implausible(points, swath_m, basis) {
        findings.add(finding);
    }
    let (tanks, no_tank_rows) = tanks(track, &count);
    let (wet_kg, dry_bu) = (all.wet.value(), all.dry.value() / count.bushel_kg);
    let bu_per_kg = if wet_kg > 0.0 { dry_bu / wet_kg } else { 0.0 };
    Ok(Summary {
        crop: basis.crop.clone(),
        n: points.len() as u64,
        rows_read: track.rows_read,
        swath_in: swath_m / crate::M_PER_FT * 12.0,
        area_ac: all.area_ac(),
        acres: "cut".into(),
        wet_lb: all.wet_lb(),
        dry_matter_lb: all.dry.value() / KG_PER_LB,
        dry_bu,
        base_moisture_pct: basis.base_moisture.percent(),
        lb_per_bu: basis.lb_per_bu,
        yield_bu_per_ac: per(dry_bu, all.area_ac()),
        moisture_pct_mass_weighted: all.moisture_pct(),
        moisture_assumed_rows: unmeasured.count() as u64,
        short_passes: cut.iter().filter(|pass| pass.len() < SHORT_PASS).count() as u64,
        passes,
        tanks,
        no_tank_rows,
        findings: findings.totals(bu_per_kg),
    })
}

/// The three numbers that every record is counted with.
struct Counting {
    swath_m: f64,
    /// Moisture of records without one.
    fallback: f64,
    /// Dry matter in one bushel, kg.
    bushel_kg: f64,
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

fn pass_totals(
    points: &[RawPoint],
    pass: Pass,
    number: u64,
    count: &Counting,
) -> (PassTotals, Tally) {
    let points = &points[pass.start..pass.end];
    let mut tally = Tally::default();
    for point in points {
        tally.add(point, count);
    }
    let dry_bu = tally.dry.value() / count.bushel_kg;
    let totals = PassTotals {
        pass: number,
        first_row: points[0].row,
        last_row: points[points.len() - 1].row,
        n: points.len() as u64,
        area_ac: tally.area_ac(),
        wet_lb: tally.wet_lb(),
        dry_bu,
        yield_bu_per_ac: per(dry_bu, tally.area_ac()),
    };
    (totals, tally)
}

fn tanks(track: &Track, count: &Counting) -> (Vec<TankTotals>, u64) {
    if track.loads.is_empty() {
        return (Vec::new(), 0);
    }
    let mut held: Vec<Option<(Tally, u64, &RawPoint, &RawPoint)>> = vec![None; track.loads.len()];
    let mut outside = 0;
    for point in &track.points {
        match point.load.and_then(|load| held.get_mut(load as usize)) {
            Some(tank) => {
                let (tally, n, _, last) = tank.get_or_insert((Tally::default(), 0, point, point));
                tally.add(point, count);
                *n += 1;
                *last = point;
            }
            None => outside += 1,
        }
    }
    let totals = track.loads.iter().zip(held).filter_map(|(name, tank)| {
        let (tally, n, first, last) = tank?;
        Some(TankTotals {
            tank: name.clone(),
            first_row: first.row,
            last_row: last.row,
            n,
            start_s: first.time_s,
            end_s: last.time_s,
            area_ac: tally.area_ac(),
            monitor_wet_lb: tally.wet_lb(),
            monitor_moisture_pct: tally.moisture_pct(),
            monitor_dry_bu: tally.dry.value() / count.bushel_kg,
        })
    });
    (totals.collect(), outside)
}
