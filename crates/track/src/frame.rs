//! Degrees to meters over one field.

/// A flat frame, meters east and north of one point, good over a field.
///
/// Uses the two radii of curvature of the WGS 84 ellipsoid (a = 6,378,137 m, 1/f = 298.257223563)
/// at the origin. Over 2 km the error of a distance is about 2 parts in 10,000 or less at middle
/// latitudes; do not use it across a county.
///
/// ```
/// let frame = track::LocalFrame::at(-93.9758, 43.9242);
/// let (east, north) = frame.xy(-93.9758, 43.9252);
/// assert!(east.abs() < 1e-6 && (north - 111.108).abs() < 0.01);
/// // across the 180th meridian
/// let (east, _) = track::LocalFrame::at(179.9999, 0.0).xy(-179.9999, 0.0);
/// assert!((east - 22.26).abs() < 0.01);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalFrame {
    /// Longitude and latitude, degrees.
    origin: (f64, f64),
    /// Meters in a degree, east and north.
    scale: (f64, f64),
}

impl LocalFrame {
    /// A frame around a point, degrees.
    pub fn at(longitude_deg: f64, latitude_deg: f64) -> Self {
        const A: f64 = 6_378_137.0;
        const F: f64 = 1.0 / 298.257_223_563;
        const E2: f64 = F * (2.0 - F);
        let (sin, cos) = latitude_deg.to_radians().sin_cos();
        let w2 = 1.0 - E2 * sin * sin;
        let prime_vertical = A / w2.sqrt();
        let meridian = A * (1.0 - E2) / (w2 * w2.sqrt());
        Self {
            origin: (longitude_deg, latitude_deg),
            scale: ((prime_vertical * cos).to_radians(), meridian.to_radians()),
        }
    }

    /// Meters east and north of the origin.
    pub fn xy(&self, longitude_deg: f64, latitude_deg: f64) -> (f64, f64) {
        // the short way round: a field may lie across the 180th meridian
        let east_deg = (longitude_deg - self.origin.0 + 540.0).rem_euclid(360.0) - 180.0;
        (
            east_deg * self.scale.0,
            (latitude_deg - self.origin.1) * self.scale.1,
        )
    }

    /// Degrees east and north of a place in meters.
    ///
    /// ```
    /// let frame = track::LocalFrame::at(-93.9758, 43.9242);
    /// let (east, north) = frame.xy(-93.97, 43.93);
    /// let (longitude, latitude) = frame.degrees(east, north);
    /// assert!((longitude + 93.97).abs() < 1e-9 && (latitude - 43.93).abs() < 1e-9);
    /// ```
    pub fn degrees(&self, east_m: f64, north_m: f64) -> (f64, f64) {
        let longitude = self.origin.0 + east_m / self.scale.0;
        (
            (longitude + 540.0).rem_euclid(360.0) - 180.0,
            self.origin.1 + north_m / self.scale.1,
        )
    }
}
