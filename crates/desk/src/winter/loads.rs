//! Loads of a field against the scale.
