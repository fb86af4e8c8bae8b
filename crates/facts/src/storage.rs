//! How grain lies: the angle of repose and the rules of thumb for a peak.

use crate::crop::row;
use crate::{Crop, Fact};

/// Angle of repose in degrees for dry, clean grain; wetter or finer grain stands steeper.
///
/// ```
/// let corn = facts::repose(facts::Crop::Corn).expect("listed");
/// assert_eq!(corn.value, 23.0);
/// ```
pub fn repose(crop: Crop) -> Option<&'static Fact> {
    row(crop).repose.as_ref()
}

/// Height of a bin's peak as a share of the radius, for a peak that nobody measured.
pub fn peak_share(crop: Crop) -> Option<&'static Fact> {
    row(crop).heap.as_ref()
}
