//! Acres and bushels an hour, when a wagon is full, whether the rest of a field fits.
