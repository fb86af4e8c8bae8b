//! What can be wrong with a question about a track.

/// One error for the whole room: what was found and what was expected.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TrackError {
    /// The swath is not a width that a head can have.
    #[error(
        "found a swath of {found_m} m, expected a cutting width from 0.3 m to 30 m (12 in to 98 ft)"
    )]
    Swath {
        /// The width given, m.
        found_m: f64,
    },
    /// The test weight is not one that a crop can have.
    #[error(
        "found {found} lb per bushel, expected from 10 to 100 (corn 56, soybeans and wheat 60, oats 32)"
    )]
    PoundsPerBushel {
        /// The number given.
        found: f64,
    },
    /// Some points carry no moisture and none was given for them.
    #[error(
        "row {row} has no moisture, and dry bushels need one: name the moisture column, or give one moisture for the whole file"
    )]
    NoMoisture {
        /// First row without one.
        row: u64,
    },
    /// There is nothing to add up.
    #[error("found no usable record, expected at least one point to add up")]
    Empty,
    /// The records cannot be mapped.
    #[error("no map can be made: {what}")]
    Map {
        /// What was found.
        what: String,
    },
}
