//! One record of a combine's log, in SI units, and a file's worth of them.

use crate::{Finding, Findings};

/// Whether the head was in the crop, where the log says so.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Head {
    /// Down, cutting.
    Down,
    /// Up: no new ground is cut, though grain may still be arriving.
    Up,
    /// The log does not say; taken as cutting.
    #[default]
    Unsaid,
}

/// One record, in SI units, as logged: nothing corrected, shifted or smoothed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RawPoint {
    /// Line of the file it came from, the first line being 1.
    pub row: u64,
    /// Longitude, degrees east (WGS 84), -180 to 180.
    pub longitude_deg: f64,
    /// Latitude, degrees north (WGS 84), -90 to 90.
    pub latitude_deg: f64,
    /// Wet grain in this record, kg (a logged flow times its interval).
    pub mass_kg: f64,
    /// Seconds this record covers; 0 when the log gives mass and no interval.
    pub interval_s: f64,
    /// Distance travelled in this record, m.
    pub distance_m: f64,
    /// Moisture, fraction wet basis.
    pub moisture: Option<f64>,
    /// Logged time, s, from whatever zero the log uses (UTC epoch for full dates).
    pub time_s: Option<f64>,
    /// Logged cutting width, m, where the machine logs one; else the caller's swath holds.
    pub width_m: Option<f32>,
    /// Elevation, m.
    pub elevation_m: Option<f32>,
    /// Head up or down.
    pub head: Head,
    /// Which load (machine tank) it belongs to: an index into [`Track::loads`].
    pub load: Option<u32>,
    /// The log's own pass number, when it has one.
    pub pass: Option<u32>,
}

impl RawPoint {
    /// A record with only what every log has; the rest is unsaid.
    pub fn new(
        row: u64,
        longitude_deg: f64,
        latitude_deg: f64,
        mass_kg: f64,
        interval_s: f64,
        distance_m: f64,
    ) -> Self {
        Self {
            row,
            longitude_deg,
            latitude_deg,
            mass_kg,
            interval_s,
            distance_m,
            moisture: None,
            time_s: None,
            width_m: None,
            elevation_m: None,
            head: Head::Unsaid,
            load: None,
            pass: None,
        }
    }

    /// Ground cut in this record, m2: width times distance, nothing when the head is up.
    ///
    /// ```
    /// let p = track::RawPoint::new(2, -93.9, 43.9, 20.0, 3.0, 6.0);
    /// assert!((p.area_m2(9.144) - 54.864).abs() < 1e-9);
    /// ```
    pub fn area_m2(&self, swath_m: f64) -> f64 {
        match self.head {
            Head::Up => 0.0,
            Head::Down | Head::Unsaid => self.width_m.map_or(swath_m, f64::from) * self.distance_m,
        }
    }

    /// Ground speed, m/s, when the record says how long it is.
    pub fn speed_m_s(&self) -> Option<f64> {
        (self.interval_s > 0.0).then(|| self.distance_m / self.interval_s)
    }
}

/// A file's worth of points, in the file's order, and what was wrong with the rest.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Track {
    /// Usable records, in the order of the file.
    pub points: Vec<RawPoint>,
    /// Names of loads as written, in order of first appearance.
    pub loads: Vec<String>,
    /// What the reader found; every record set aside is in its counts.
    pub findings: Findings,
    /// Records read, blank lines and the header not counted: kept + set aside.
    pub rows_read: u64,
}

impl Track {
    /// Points that came from no file.
    pub fn of(points: Vec<RawPoint>) -> Self {
        let rows_read = points.len() as u64;
        Self {
            points,
            rows_read,
            ..Self::default()
        }
    }

    /// Whether kept + set aside = read.
    pub fn conserved(&self) -> bool {
        self.points.len() as u64 + self.findings.set_aside_rows() == self.rows_read
    }

    /// Adds a finding; for readers and checks.
    pub fn note(&mut self, finding: Finding) {
        self.findings.add(finding);
    }
}
