//! Raw combine points to passes, areas, masses and per-tank totals.
//!
//! A combine writes one record every second or so: where it was, how much grain came over the
//! sensor, how far it moved, how wet the grain was. This room says what those records add up to.
//! It reads no file: a reader (`formats::delimited`) hands it a [`Track`] already in SI units,
//! with a [`Finding`] for every record it could not use.
//!
//! The way through:
//!
//! 1. [`Track`]: points, load names and [`Findings`]. Kept + set aside = read, always.
//! 2. [`passes::cut`]: which points belong to one run through the crop.
//! 3. In the summary, clocks that run backwards, speeds and yields that no combine makes
//!    (the sign of feet read as inches). Such records are flagged and *keep their mass*: the scale
//!    owns the bushels and a map may drop a point, but the account never does.
//! 4. [`summary()`]: area, wet and dry mass, yield, moisture, by pass and by tank; [`Totals`] does the
//!    same piece by piece for a file too large to hold.
//!
//! ```
//! use quantity::Moisture;
//! use track::{CropBasis, RawPoint, Track, summary};
//!
//! // one hundred records going north at 2 m/s, 10 kg/s of 18 % corn, a 30 ft (9.144 m) head
//! let points = (0..100)
//!     .map(|i| RawPoint {
//!         latitude_deg: 43.9 + f64::from(i) * 1.8e-5,
//!         moisture: Some(0.18),
//!         ..RawPoint::new(u64::from(i as u32) + 2, -93.9, 43.9, 10.0, 1.0, 2.0)
//!     })
//!     .collect();
//! let basis = CropBasis {
//!     crop: "corn".into(),
//!     base_moisture: Moisture::from_percent(15.5)?,
//!     lb_per_bu: 56.0,
//!     moisture_if_unmeasured: None,
//! };
//! let sum = summary(&Track::of(points), 9.144, &basis)?;
//! assert_eq!((sum.n, sum.passes.len()), (100, 1));
//! assert!((sum.wet_lb - 2204.6226).abs() < 1e-3); // 1,000 kg
//! assert!((sum.dry_bu - 38.2034).abs() < 1e-3); // 2204.6226 x 82 / 84.5 / 56
//! assert!((sum.area_ac - 0.45190).abs() < 1e-4); // 200 m x 9.144 m
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Limitations: area is width times distance, so overlap and a part-width last pass are counted
//! in full; no transport delay is taken out, no point is cleaned away. Those belong to the map,
//! not to the totals.

mod check;
pub mod clean;
pub mod edge;
mod error;
mod finding;
mod frame;
mod mercator;
pub mod passes;
mod point;
mod sum;
mod summary;
mod totals;

pub use error::TrackError;
pub use finding::{Done, Finding, FindingKind, FindingTotals, Findings};
pub use frame::LocalFrame;
pub use mercator::{Ellipsoid, Grid, TransverseMercator};
pub use passes::Pass;
pub use point::{Head, RawPoint, Track};
pub use sum::Sum;
pub use summary::{CropBasis, PassTotals, SHORT_PASS, Summary, TankTotals, summary};
pub use totals::Totals;

/// Kilograms in an international pound, exact.
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Meters in a foot, exact (international foot of 1959).
pub const M_PER_FT: f64 = 0.304_8;
/// Square meters in an acre, exact: 43,560 square feet.
pub const M2_PER_AC: f64 = 43_560.0 * M_PER_FT * M_PER_FT;
