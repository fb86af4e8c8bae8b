//! Meters of a map grid to degrees and back: the transverse Mercator projection.

/// Order of the series in the third flattening.
const ORDER: usize = 6;
/// Steps of the latitude's equation; four reach the last digit even near the poles.
const MOST_STEPS: usize = 8;

/// An ellipsoid of revolution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ellipsoid {
    /// Equatorial radius, m.
    pub equatorial_m: f64,
    /// Inverse flattening, a / (a - b).
    pub inverse_flattening: f64,
}

impl Ellipsoid {
    /// Of WGS 84 (NIMA TR8350.2, from memory).
    pub const WGS_84: Self = Self {
        equatorial_m: 6_378_137.0,
        inverse_flattening: 298.257_223_563,
    };
    /// Of GRS 1980 (Moritz 2000, from memory), which NAD83 and ETRS89 stand on.
    pub const GRS_1980: Self = Self {
        equatorial_m: 6_378_137.0,
        inverse_flattening: 298.257_222_101,
    };
}

/// A transverse Mercator grid: easting and northing, m, for longitude and latitude, degrees.
///
/// By the series of Krueger (1912) to the sixth order in the third flattening, with the coefficients
/// and the latitude's equation of Karney (2011), Journal of Geodesy 85:475-485,
/// doi 10.1007/s00190-011-0445-3, eqs. 7-9, 12, 14, 19, 35, 36 (coefficients from memory; they
/// reproduce another program's numbers, `reference/proj`, to less than 0.1 mm).
///
/// ```
/// use track::TransverseMercator;
/// let zone_15_north = TransverseMercator::utm(15, false);
/// let (east, north) = zone_15_north.forward(-93.0, 0.0);
/// assert!((east - 500_000.0).abs() < 1e-9 && north.abs() < 1e-9);
/// let (longitude, latitude) = zone_15_north.inverse(421_750.0, 4_863_200.0);
/// let (east, north) = zone_15_north.forward(longitude, latitude);
/// assert!((east - 421_750.0).abs() < 1e-6 && (north - 4_863_200.0).abs() < 1e-6);
/// ```
///
/// Limitations: good to well under 0.1 mm within some 30 degrees of the central meridian; far beyond
/// that the series no longer holds, and a reader should refuse such positions. No datum is changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TransverseMercator {
    central_deg: f64,
    false_easting_m: f64,
    /// Northing of the equator, m.
    equator_m: f64,
    /// First eccentricity.
    e: f64,
    /// Radius of the rectifying sphere times the scale on the central meridian, m.
    radius_m: f64,
    to_plane: [f64; ORDER],
    to_sphere: [f64; ORDER],
}

/// What a transverse Mercator grid is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// The figure of the Earth.
    pub ellipsoid: Ellipsoid,
    /// Longitude of the central meridian, degrees.
    pub central_deg: f64,
    /// Latitude where the northing is the false northing, degrees.
    pub origin_deg: f64,
    /// Scale on the central meridian, such as 0.9996.
    pub scale: f64,
    /// Easting of the central meridian, m.
    pub false_easting_m: f64,
    /// Northing of the latitude of origin, m.
    pub false_northing_m: f64,
}

impl TransverseMercator {
    /// Sets a grid up.
    pub fn new(grid: Grid) -> Self {
        let f = 1.0 / grid.ellipsoid.inverse_flattening;
        let n = f / (2.0 - f);
        let n2 = n * n;
        let rectifying = grid.ellipsoid.equatorial_m / (1.0 + n)
            * (1.0 + n2 / 4.0 + n2 * n2 / 64.0 + n2 * n2 * n2 / 256.0);
        let mut made = Self {
            central_deg: grid.central_deg,
            false_easting_m: grid.false_easting_m,
            equator_m: 0.0,
            e: (f * (2.0 - f)).sqrt(),
            radius_m: rectifying * grid.scale,
            to_plane: series(n, &TO_PLANE),
            to_sphere: series(n, &TO_SPHERE),
        };
        let (_, origin) = made.forward(grid.central_deg, grid.origin_deg);
        made.equator_m = grid.false_northing_m - origin;
        made
    }

    /// A zone of the universal transverse Mercator grid, 1 to 60, on WGS 84.
    pub fn utm(zone: u8, south: bool) -> Self {
        Self::new(Grid::utm(zone, south, Ellipsoid::WGS_84))
    }

    /// Easting and northing, m.
    pub fn forward(&self, longitude_deg: f64, latitude_deg: f64) -> (f64, f64) {
        // the short way round from the central meridian
        let east_deg = (longitude_deg - self.central_deg + 540.0).rem_euclid(360.0) - 180.0;
        let (sin, cos) = east_deg.to_radians().sin_cos();
        let tau = latitude_deg.to_radians().tan();
        let conformal = self.conformal(tau);
        let xi = conformal.atan2(cos);
        let eta = (sin / conformal.hypot(cos)).asinh();
        let (mut north, mut east) = (xi, eta);
        for (j, a) in (1_u8..).zip(self.to_plane) {
            let k = 2.0 * f64::from(j);
            north += a * (k * xi).sin() * (k * eta).cosh();
            east += a * (k * xi).cos() * (k * eta).sinh();
        }
        (
            self.false_easting_m + self.radius_m * east,
            self.equator_m + self.radius_m * north,
        )
    }

    /// Longitude (-180 to 180) and latitude, degrees.
    pub fn inverse(&self, easting_m: f64, northing_m: f64) -> (f64, f64) {
        let east = (easting_m - self.false_easting_m) / self.radius_m;
        let north = (northing_m - self.equator_m) / self.radius_m;
        let (mut xi, mut eta) = (north, east);
        for (j, b) in (1_u8..).zip(self.to_sphere) {
            let k = 2.0 * f64::from(j);
            xi -= b * (k * north).sin() * (k * east).cosh();
            eta -= b * (k * north).cos() * (k * east).sinh();
        }
        let (sin, cos) = xi.sin_cos();
        let sinh = eta.sinh();
        let east_deg = sinh.atan2(cos).to_degrees();
        let latitude = self.tau_of(sin / sinh.hypot(cos)).atan();
        let longitude = self.central_deg + east_deg;
        (
            (longitude + 540.0).rem_euclid(360.0) - 180.0,
            latitude.to_degrees(),
        )
    }

    /// Tangent of the conformal latitude from that of the latitude.
    fn conformal(&self, tau: f64) -> f64 {
        let secant = tau.hypot(1.0);
        let sigma = (self.e * (self.e * tau / secant).atanh()).sinh();
        tau * sigma.hypot(1.0) - sigma * secant
    }

    /// The other way round, by Newton's method.
    fn tau_of(&self, wanted: f64) -> f64 {
        let e2 = self.e * self.e;
        let mut tau = wanted / (1.0 - e2);
        for _ in 0..MOST_STEPS {
            let at = self.conformal(tau);
            let step = (wanted - at) / at.hypot(1.0) * (1.0 + (1.0 - e2) * tau * tau)
                / ((1.0 - e2) * tau.hypot(1.0));
            // a pole has no finite tangent, and needs no step
            if !step.is_finite() {
                break;
            }
            tau += step;
            if step.abs() <= f64::EPSILON * tau.abs().max(1.0) {
                break;
            }
        }
        tau
    }
}

impl Grid {
    /// A zone of the universal transverse Mercator grid, 1 to 60.
    pub fn utm(zone: u8, south: bool, ellipsoid: Ellipsoid) -> Self {
        Self {
            ellipsoid,
            central_deg: 6.0 * f64::from(zone) - 183.0,
            origin_deg: 0.0,
            scale: 0.9996,
            false_easting_m: 500_000.0,
            false_northing_m: if south { 10_000_000.0 } else { 0.0 },
        }
    }
}

/// Coefficients of n^j and on, as numerators and denominators, for j = 1 to 6.
type Table = [&'static [(f64, f64)]; ORDER];

/// Karney (2011), eq. 35: alpha.
const TO_PLANE: Table = [
    &[
        (1.0, 2.0),
        (-2.0, 3.0),
        (5.0, 16.0),
        (41.0, 180.0),
        (-127.0, 288.0),
        (7_891.0, 37_800.0),
    ],
    &[
        (13.0, 48.0),
        (-3.0, 5.0),
        (557.0, 1_440.0),
        (281.0, 630.0),
        (-1_983_433.0, 1_935_360.0),
    ],
    &[
        (61.0, 240.0),
        (-103.0, 140.0),
        (15_061.0, 26_880.0),
        (167_603.0, 181_440.0),
    ],
    &[
        (49_561.0, 161_280.0),
        (-179.0, 168.0),
        (6_601_661.0, 7_257_600.0),
    ],
    &[(34_729.0, 80_640.0), (-3_418_889.0, 1_995_840.0)],
    &[(212_378_941.0, 319_334_400.0)],
];

/// Karney (2011), eq. 36: beta.
const TO_SPHERE: Table = [
    &[
        (1.0, 2.0),
        (-2.0, 3.0),
        (37.0, 96.0),
        (-1.0, 360.0),
        (-81.0, 512.0),
        (96_199.0, 604_800.0),
    ],
    &[
        (1.0, 48.0),
        (1.0, 15.0),
        (-437.0, 1_440.0),
        (46.0, 105.0),
        (-1_118_711.0, 3_870_720.0),
    ],
    &[
        (17.0, 480.0),
        (-37.0, 840.0),
        (-209.0, 4_480.0),
        (5_569.0, 90_720.0),
    ],
    &[
        (4_397.0, 161_280.0),
        (-11.0, 504.0),
        (-830_251.0, 7_257_600.0),
    ],
    &[(4_583.0, 161_280.0), (-108_847.0, 3_991_680.0)],
    &[(20_648_693.0, 638_668_800.0)],
];

fn series(n: f64, table: &Table) -> [f64; ORDER] {
    let mut out = [0.0; ORDER];
    for ((j, terms), sum) in (1_i32..).zip(table).zip(&mut out) {
        for (power, (above, below)) in (j..).zip(terms.iter()) {
            *sum += above / below * n.powi(power);
        }
    }
    out
}
