//! What one record of any combine may hold; beyond it a record is set aside. Common practice, no source.

/// Beyond any combine: 100 kg/s is 360 t/h.
pub(crate) const MOST_KG_S: f64 = 100.0;
/// Beyond any record: more than the largest machine tank.
pub(crate) const MOST_KG: f64 = 25_000.0;
/// Distance in one record, m; also a speed, m/s.
pub(crate) const MOST_M: f64 = 1_000.0;
/// Seconds in one record.
pub(crate) const MOST_S: f64 = 3_600.0;
/// Cutting width, m.
pub(crate) const MOST_WIDTH_M: f64 = 30.0;
/// Grain wetter than this is a fault of the meter.
pub(crate) const MOST_MOISTURE: f64 = 0.60;
